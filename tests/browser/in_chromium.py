"""A real browser: Debian's Chromium, driven by Playwright, for the tests of pages and for pictures of them."""

from __future__ import annotations

import os
import shutil
import sys
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser

ROOT: Final = Path(__file__).parent.parent.parent


def chromium() -> str | None:
    """Return where Chromium is: as CHROMIUM says, or on the path; best without windows, which take a second a page."""
    names = ("chromium-headless-shell", "chromium", "chromium-browser")
    return os.environ.get("CHROMIUM") or next(filter(None, map(shutil.which, names)), None)


def missing() -> str:
    """Return what must be installed before pages can be looked at; empty when nothing is."""
    try:
        import axe_playwright_python  # noqa: F401, PLC0415 - only to learn whether it is there
        import playwright  # noqa: F401, PLC0415
    except ImportError as error:
        return f"{error.name} is not installed: .ci/browser installs it"
    if shutil.which("pdftotext") is None:
        return "poppler-utils is not installed: .ci/browser installs it"
    return "" if chromium() else "chromium is not installed: .ci/browser installs it"


@contextmanager
def launched() -> Iterator[Browser]:
    """Give Chromium, and end it afterwards."""
    from playwright.sync_api import sync_playwright  # noqa: PLC0415 - not installed everywhere

    # Root may start it only without its sandbox; it loads nothing but pages made here.
    arguments = ["--no-sandbox"] if sys.platform == "linux" and os.geteuid() == 0 else []
    with sync_playwright() as driver:
        started = driver.chromium.launch(executable_path=chromium(), args=arguments)
        yield started
        started.close()
