"""Who is let in to the page, and what is answered at all."""

from __future__ import annotations

import asyncio
import socket
from pathlib import Path
from typing import Final

import pytest

from cutplan.cli.page_work import listening_at
from cutplan.page.desk import Desk
from cutplan.page.moving import Mover
from cutplan.page.server import application
from page_client import HOST, ORIGIN, Visitor

SCENARIOS: Final = Path(__file__).parent.parent / "scenarios"
DESK: Final = Desk(SCENARIOS / "reading-corner.toml")
ADDRESSES: Final = [
    *(
        route.path.replace("{name}", "table")
        for route in application(DESK, Mover(DESK)).routes
        if hasattr(route, "path")
    ),
    "/of/paper/record",
    "/static/page.js",
    "/nothing",
]
"""Whatever the page answers to those whom it knows, and more."""


@pytest.fixture
def visitor() -> Visitor:
    """Return a browser that came in by the key."""
    return Visitor(SCENARIOS / "reading-corner.toml")


@pytest.mark.parametrize("address", [*ADDRESSES, "/?key=", "/?key=guess", "/?key=a&key=b", "/part/table?key=x"])
@pytest.mark.parametrize("method", ["GET", "POST"])
def test_without_the_key_nothing_is_answered(address: str, method: str) -> None:
    """Every address is answered alike, with nothing: not even what it is that does not answer."""
    stranger = Visitor(SCENARIOS / "reading-corner.toml", comes_in=False)
    answer = stranger.request(method, address, b"{}" if method == "POST" else b"", {"origin": ORIGIN})

    assert len(ADDRESSES) > 20
    assert (answer.status, answer.body) == (404, b"")
    assert set(answer.headers) == {"content-length"}


def test_key_is_exchanged_for_a_cookie_that_no_script_and_no_other_site_gets(visitor: Visitor) -> None:
    """The address with the key leads to the page without it; the cookie is HttpOnly and SameSite=Strict."""
    answer = visitor.get(f"/?key={visitor.key}", cookie="")

    assert (answer.status, answer.headers["location"]) == (303, "/")
    assert "HttpOnly" in answer.headers["set-cookie"]
    assert "SameSite=strict" in answer.headers["set-cookie"]
    assert visitor.key not in answer.headers["set-cookie"]


def test_one_time_key_opens_once() -> None:
    """The second who brings it is a stranger; the first stays in."""
    phone = Visitor(SCENARIOS / "reading-corner.toml", for_once=True)

    assert phone.get("/").status == 200
    assert phone.get(f"/?key={phone.key}", cookie="").status == 404


@pytest.mark.parametrize("host", ["evil.example", "evil.example:8577", "127.0.0.1:80", "127.0.0.1", ""])
def test_foreign_host_is_not_answered(visitor: Visitor, host: str) -> None:
    """A name that somebody else points at this machine is not this server's, even with the cookie."""
    assert visitor.get("/", host=host).status == 404


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "", f"https://{HOST}", "http://localhost:8577"])
def test_foreign_origin_records_nothing(visitor: Visitor, origin: str) -> None:
    """What changes something must come from a page of this very address."""
    assert visitor.post("/record", {"what": "done"}, origin=origin).status == 403


def test_large_post_is_refused_unread(visitor: Visitor) -> None:
    """50 MB are refused by what they say they are; what lies about it, as soon as it is too much."""
    body = b"x" * 50_000_000

    assert visitor.request("POST", "/record", body, {"origin": ORIGIN}).status == 413
    assert visitor.request("POST", "/record", body, {"origin": ORIGIN, "content-length": "10"}).status == 413


@pytest.mark.parametrize("length", ["9" * 5000, "١٢", "-1", "ten"])
def test_post_of_no_length_that_can_be_is_refused(visitor: Visitor, length: str) -> None:
    """A number of more figures than Python reads is one of them."""
    assert visitor.request("POST", "/record", b"{}", {"origin": ORIGIN, "content-length": length}).status == 413


@pytest.mark.parametrize(
    "name", ["../server.py", "..%2fserver.py", "../../../etc/passwd", "/etc/passwd", "page.js/../../desk.py", ""]
)
def test_no_other_file_is_read(visitor: Visitor, name: str) -> None:
    """Files are known by name from the start, so that no path leads anywhere."""
    assert visitor.get(f"/static/{name}").status == 404
    assert visitor.get(f"/part/{name}").status == 404


def test_nothing_inline_runs(visitor: Visitor) -> None:
    """The page allows scripts and styles from its own files only, and holds none itself."""
    page = visitor.get("/")
    policy = page.headers["content-security-policy"]

    assert "default-src 'none'" in policy
    assert "script-src 'self';" in policy
    assert "unsafe" not in policy
    assert "<style" not in page.text
    assert page.text.count("<script") == page.text.count('<script type="module" src="/static/page.js"></script>') == 1


@pytest.mark.parametrize(
    "body", [b"", b"[]", b"{", b'{"what": 7}', b'{"what": "done", "id": "\\u202e"}', b"[" * 60_000]
)
def test_what_no_page_asks_is_refused_in_words(visitor: Visitor, body: bytes) -> None:
    """Whatever is sent, the answer is a sentence, never a fault of the server."""
    answer = visitor.request("POST", "/record", body, {"origin": ORIGIN})

    assert answer.status == 409
    assert isinstance(answer.fields["error"], str)


def test_body_of_an_answer_does_not_wait_until_its_head_has_come() -> None:
    """A connection sends small parts at once: waiting for the other side's word costs 40 ms an answer."""
    sends_at_once: list[int] = []

    async def visited() -> None:
        async def answer(_: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
            own: socket.socket = writer.get_extra_info("socket")
            sends_at_once.append(own.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY))
            writer.close()

        listening = listening_at("127.0.0.1", 0)
        async with await asyncio.start_server(answer, sock=listening):
            reader, writer = await asyncio.open_connection(*listening.getsockname())
            await reader.read()
            writer.close()

    asyncio.run(visited())

    assert sends_at_once == [1]
