"""What the page writes where the disk is full, the folder may not be written to, or the server is killed meanwhile."""

from __future__ import annotations

import errno
import http.client
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import threading
import time
import tomllib
from contextlib import closing, suppress
from random import Random
from typing import TYPE_CHECKING, Final, NoReturn

import pytest

import cutplan
from cutplan.progress.record import read_record
from cutplan.progress.work import work_on
from page_client import Answer, Visitor
from test_page_door import SCENARIOS
from test_page_photograph import LINES, phone_picture

if TYPE_CHECKING:
    from pathlib import Path

DEEDS: Final = {
    "edit": ("/edit", {"path": ["wall", 0, "width"], "value": "3410", "was": "3400"}),
    "change": ("/change", {"what": "opening", "wall": 0, "kind": "door"}),
    "start": ("/start/keep", {"wall": 0, "at": "700 mm"}),
    "record": ("/record", {"what": "done", "plan": 1, "step": 1, "times": 0, "id": "once"}),
    "lines": ("/photograph", {"file": "photographed-paper.jpg", **LINES}),
    "picture": ("/picture", None),
}
"""Whatever the page writes, by where it is sent; a survey's first writing is tested by itself."""


def refusing(number: int) -> object:
    """Return a function of the system that fails for this reason."""

    def fail(*_: object, **__: object) -> NoReturn:
        raise OSError(number, os.strerror(number))

    return fail


@pytest.fixture
def visitor(tmp_path: Path) -> Visitor:
    """Return a browser at a job with a photograph beside it."""
    for name in ("photographed-paper.toml", "photographed-paper.jpg"):
        shutil.copy(SCENARIOS / name, tmp_path / name)
    return Visitor(tmp_path / "photographed-paper.toml")


def do(visitor: Visitor, deed: str) -> Answer:
    """Send one of the deeds."""
    address, fields = DEEDS[deed]
    if fields is None:
        return visitor.send(address, "vine.jpg", phone_picture((30, 40)))
    return visitor.post(address, fields)


def held(visitor: Visitor) -> dict[str, bytes]:
    """Return what lies in the job's folder; a record in which nothing stands yet is none."""
    assert visitor.desk.path is not None
    return {path.name: found for path in visitor.desk.path.parent.iterdir() if (found := path.read_bytes())}


@pytest.mark.parametrize("deed", DEEDS)
@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EROFS, errno.EACCES])
def test_what_cannot_be_written_is_said_and_may_be_sent_again(
    visitor: Visitor, monkeypatch: pytest.MonkeyPatch, deed: str, number: int
) -> None:
    """A full disk, a read-only folder, another's: nothing is changed, no half file lies there, and why is told.

    Sent again when there is room, it is done, and done once.
    """
    visitor.desk.planned()
    before = held(visitor)
    with monkeypatch.context() as broken:
        broken.setattr(tempfile, "mkstemp", refusing(number))
        broken.setattr(os, "fsync", refusing(number))
        refused = do(visitor, deed)
        assert held(visitor) == before
    assert refused.status == 409
    assert "cannot be written" in str(refused.fields["error"])
    assert os.strerror(number).lower() in str(refused.fields["error"]).lower()

    assert do(visitor, deed).status == 200
    assert held(visitor) != before
    if deed == "record":
        assert do(visitor, deed).status == 200
        assert work_on(visitor.desk.scenario()).begun().done == {1: 1}


def test_survey_without_room_for_it_keeps_its_draft(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was typed before the name is still there, and is saved under it once there is room."""
    monkeypatch.chdir(tmp_path)
    visitor = Visitor(None)
    visitor.post("/change", {"what": "walls", "count": 4})
    draft = visitor.desk.text()
    with monkeypatch.context() as broken:
        broken.setattr(os, "fsync", refusing(errno.ENOSPC))
        assert "cannot be written" in str(visitor.post("/name", {"name": "attic"}).fields["error"])
    assert (visitor.desk.path, visitor.desk.text(), list(tmp_path.iterdir())) == (None, draft, [])
    assert visitor.post("/name", {"name": "attic"}).status == 200
    assert (tmp_path / "attic.toml").read_text(encoding="utf-8") == draft


class Typist(threading.Thread):
    """Types one width after another and ticks steps, until nobody answers any more; knows what was acknowledged."""

    def __init__(self, port: int, cookie: str) -> None:
        super().__init__()
        self.port, self.cookie = port, cookie
        self.width, self.steps = 1080, 0

    def run(self) -> None:
        """Type."""
        with suppress(OSError, http.client.HTTPException):
            for number in range(1, 1000):
                self._post("/edit", {"path": ["wall", 0, "width"], "value": str(1080 + number), "was": str(self.width)})
                self.width = 1080 + number
                if number == 3:
                    self._post("/record", {"what": "done", "plan": 1, "step": 1, "times": 0, "id": "once"})
                    self.steps += 1

    def _post(self, address: str, fields: object) -> None:
        origin = f"http://127.0.0.1:{self.port}"
        with closing(http.client.HTTPConnection("127.0.0.1", self.port)) as connection:
            connection.request("POST", address, json.dumps(fields), {"Origin": origin, "Cookie": self.cookie})
            if connection.getresponse().read() != b"{}":
                raise http.client.HTTPException


def cookie_of(port: int, key: str) -> str:
    """Return what a browser that brings the key is known by, once the server answers."""
    for _ in range(1500):
        with closing(http.client.HTTPConnection("127.0.0.1", port)) as connection, suppress(ConnectionRefusedError):
            connection.request("GET", key)
            return str(connection.getresponse().getheader("Set-Cookie")).partition(";")[0]
        time.sleep(0.02)
    raise AssertionError


def typing_at(server: subprocess.Popen[str]) -> Typist:
    """Return somebody who has typed a while at the page of a server."""
    assert server.stdout is not None
    address = re.search(r"http://127.0.0.1:(\d+)(/\?key=\S+)", server.stdout.readline())
    assert address is not None
    port = int(address[1])
    typist = Typist(port, cookie_of(port, address[2]))
    typist.start()
    while typist.width < 1085 and typist.is_alive():
        typist.join(0.01)
    typist.join(Random(18).random() / 10)  # noqa: S311 - a moment like any other
    return typist


def test_server_killed_while_it_writes_loses_nothing_acknowledged(tmp_path: Path) -> None:
    """The file is whole, and says what was typed last or, unanswered yet, what was being typed."""
    shutil.copy(SCENARIOS / "parlour.toml", tmp_path / "room.toml")
    sources = os.path.dirname(os.path.dirname(cutplan.__file__))  # noqa: PTH120 - a name, to be handed on
    with subprocess.Popen(
        [sys.executable, "-m", "cutplan", "page", "room.toml", "--no-open"],
        cwd=tmp_path,
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1", "PYTHONPATH": sources},
    ) as server:
        try:
            typist = typing_at(server)
        finally:
            server.kill()
    typist.join()

    told = tomllib.loads((tmp_path / "room.toml").read_text(encoding="utf-8"))["wall"][0]["width"]
    assert told in (typist.width, typist.width + 1)
    assert (typist.width >= 1085, typist.steps) == (True, 1)
    assert len(read_record(tmp_path / "room.record.jsonl").entries) == 2  # the plan, and the step
