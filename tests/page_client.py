"""Asking the page's server in tests, without a network: one request through its door, and the answer."""

from __future__ import annotations

import asyncio
import json
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from cutplan.page.desk import Desk
from cutplan.page.door import Door, Keys
from cutplan.page.moving import Mover
from cutplan.page.server import application

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

HOST: Final = "127.0.0.1:8577"
ORIGIN: Final = f"http://{HOST}"


class Answer(Struct, frozen=True):
    """What came back."""

    status: int
    headers: Mapping[str, str]
    body: bytes

    @property
    def text(self) -> str:
        """The body as text."""
        return self.body.decode()

    @property
    def fields(self) -> dict[str, object]:
        """The body as JSON."""
        found = json.loads(self.body)
        assert isinstance(found, dict)
        return found


class Visitor:
    """A browser that came in by the key, unless told otherwise."""

    def __init__(self, path: Path | None, *, comes_in: bool = True, for_once: bool = False) -> None:
        self.desk = Desk(path)
        self.keys = Keys()
        self.key = self.keys.new(for_once=for_once)
        self.mover = Mover(self.desk)
        self.band = self.mover.band
        self.door = Door(
            application(self.desk, self.mover, self.invite), self.keys, frozenset({HOST, "localhost:8577"})
        )
        self.cookie = ""
        if comes_in:
            self.cookie = self.get(f"/?key={self.key}").headers["set-cookie"].partition(";")[0]

    def invite(self) -> str:
        """Return the address with which one more phone comes in."""
        return f"{ORIGIN}/?key={self.keys.new(for_once=True)}"

    def get(self, address: str, **headers: str) -> Answer:
        """Return the answer to a GET."""
        return self.request("GET", address, b"", headers)

    def post(self, address: str, fields: object, **headers: str) -> Answer:
        """Return the answer to a POST of JSON, as a page of this server sends it."""
        return self.request("POST", address, json.dumps(fields).encode(), {"origin": ORIGIN, **headers})

    def send(self, address: str, name: str, data: bytes, **headers: str) -> Answer:
        """Return the answer to a picture that a form of the page sends."""
        head = f'--edge\r\nContent-Disposition: form-data; name="picture"; filename="{name}"\r\n\r\n'
        sent = {"origin": ORIGIN, "content-type": "multipart/form-data; boundary=edge", **headers}
        return self.request("POST", address, head.encode() + data + b"\r\n--edge--\r\n", sent)

    def request(self, method: str, address: str, body: bytes, headers: Mapping[str, str]) -> Answer:
        """Return the answer to any request."""
        path, _, query = address.partition("?")
        every = {"host": HOST, "cookie": self.cookie, "content-length": str(len(body)), **headers}
        scope: dict[str, object] = {
            "type": "http",
            "asgi": {"version": "3.0"},
            "http_version": "1.1",
            "method": method,
            "path": path,
            "raw_path": path.encode(),
            "root_path": "",
            "scheme": "http",
            "query_string": query.encode(),
            "headers": [(name.encode(), value.encode()) for name, value in every.items() if value],
            "server": ("127.0.0.1", 8577),
            "client": ("127.0.0.1", 50000),
        }
        return asyncio.run(_answer(self.door, scope, body))


async def _answer(door: Door, scope: dict[str, object], body: bytes) -> Answer:
    rest = [body[start : start + 65536] for start in range(0, len(body), 65536)] or [b""]
    sent: list[dict[str, object]] = []

    async def receive() -> dict[str, object]:
        if not rest:
            await asyncio.sleep(3600)
        return {"type": "http.request", "body": rest.pop(0), "more_body": bool(rest)}

    async def send(message: object) -> None:
        assert isinstance(message, dict)
        sent.append(message)

    await door(scope, receive, send)
    start = sent[0]
    status, raw = start["status"], start["headers"]
    assert isinstance(status, int)
    assert isinstance(raw, list)
    parts = [part for message in sent[1:] if isinstance(part := message.get("body", b""), bytes)]
    return Answer(status, {name.decode(): value.decode() for name, value in raw}, b"".join(parts))
