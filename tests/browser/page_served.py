"""The page's server as a user starts it, in a process of its own, for the tests in a browser."""

from __future__ import annotations

import os
import re
import socket
import subprocess
import sys
import time
from contextlib import closing
from typing import TYPE_CHECKING, Final

import cutplan

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser, Page

SOURCES: Final = os.path.dirname(os.path.dirname(cutplan.__file__))  # noqa: PTH120 - a name, to be handed on
PROGRAM: Final = (sys.executable, "-m", "cutplan")
OWN: Final = {"PYTHONUNBUFFERED": "1", "PYTHONPATH": SOURCES}
PHONE: Final = (390, 844)
LAPTOP: Final = (1280, 900)
PATIENCE: Final = 120_000
"""Milliseconds that a busy machine may take for anything: waited out only where it never comes."""

TOO_SMALL: Final = """() => [...document.querySelectorAll("button, summary, input, select, nav a")]
  .filter((each) => each.type !== "hidden" && each.checkVisibility())
  .map((each) => [each.outerHTML.slice(0, 80), each.getBoundingClientRect()])
  .filter(([, box]) => box.height < 43.9 || box.width < 43.9).map(([html, box]) => `${html} ${box.width} ${box.height}`)
"""
"""What is to be touched and is smaller than 44 px."""


TOO_WIDE: Final = """() => document.documentElement.scrollWidth <= innerWidth ? [] :
  [...document.querySelectorAll("body *")].filter((each) => each.getBoundingClientRect().right > innerWidth)
  .map((each) => each.outerHTML.slice(0, 120))
"""
"""What makes the page scroll sideways."""


class Served:
    """``cutplan page`` on a file of its own, that can be killed and started again at the same address."""

    def __init__(self, folder: Path, *words: str) -> None:
        self.folder = folder
        self.words = words
        self.port = free_port()
        self.address = ""
        self._process: subprocess.Popen[str] | None = None
        self.start()

    def start(self) -> None:
        """Start the server and wait for its address."""
        command = [*PROGRAM, "page", *self.words, "--no-open", "--port", str(self.port)]
        self._process = subprocess.Popen(  # noqa: S603 - our own program
            command,
            cwd=self.folder,
            stdout=subprocess.PIPE,
            text=True,
            env={**os.environ, **OWN},
        )
        assert self._process.stdout is not None
        found = re.search(r"http://\S+", self._process.stdout.readline())
        assert found is not None
        self.address = found[0]
        for _ in range(1200):
            with closing(socket.socket()) as tried:
                if tried.connect_ex(("127.0.0.1", self.port)) == 0:
                    return
            time.sleep(0.05)

    def run(self, *words: str) -> None:
        """Run another command beside the server, in the same folder."""
        subprocess.run(  # noqa: S603 - our own program
            [*PROGRAM, *words], cwd=self.folder, stdout=subprocess.PIPE, check=True, env={**os.environ, **OWN}
        )

    def kill(self) -> None:
        """End the server as a power cut does."""
        assert self._process is not None
        self._process.kill()
        self._process.wait()
        assert self._process.stdout is not None
        self._process.stdout.close()


class Watched:
    """A page that is watched: what it says to the console, and what it asks of anybody but its server."""

    def __init__(self, browser: Browser, served: Served, size: tuple[int, int], *, has_touch: bool = False) -> None:
        self.context = browser.new_context(viewport={"width": size[0], "height": size[1]}, has_touch=has_touch)
        self.context.set_default_timeout(PATIENCE)
        self.page: Page = self.context.new_page()
        self.complaints: list[str] = []
        self.page.on("console", lambda message: self._hear(message.type, message.text))
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        here = f"http://127.0.0.1:{served.port}/"
        self.page.on(
            "request", lambda request: self._hear("" if request.url.startswith(here) else "error", request.url)
        )
        self.page.goto(served.address)
        self.settled()

    def _hear(self, kind: str, text: str) -> None:
        if kind in ("error", "warning"):
            self.complaints.append(text)

    def settled(self) -> None:
        """Wait until every part has been fetched."""
        from playwright.sync_api import expect  # noqa: PLC0415 - not installed everywhere

        expect(self.page.locator("section > .part[aria-busy]")).to_have_count(0, timeout=PATIENCE)


def is_fit_for_everybody(page: Page) -> None:
    """See, with everything unfolded, that axe finds nothing, what is touched is large enough, nothing scrolls sideways.

    On a phone and on a laptop, and each at 200 per cent, which leaves half of the width.
    """
    from axe_playwright_python.sync_playwright import Axe  # noqa: PLC0415 - not installed everywhere

    page.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true; })")
    for width, height in (PHONE, LAPTOP):
        for wide in (width // 2, width):
            page.set_viewport_size({"width": wide, "height": height})
            wider = page.evaluate(TOO_WIDE)
            assert wider == [], f"at {wide}: {wider}"
        assert page.evaluate(TOO_SMALL) == []
        report = Axe().run(page)
        assert report.violations_count == 0, report.generate_report()


def free_port() -> int:
    """Return a port that nobody listens at."""
    with closing(socket.socket()) as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])
