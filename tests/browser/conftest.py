"""A real browser for the tests of pages: Debian's Chromium, driven by Playwright."""

from __future__ import annotations

import os
import shutil
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

import pytest

from sheets import customer_page_from, sheet_from, text_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser

TESTS: Final = Path(__file__).parent.parent
ROOT: Final = TESTS.parent


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Skip what needs a browser where there is none, saying what to install."""
    reason = missing()
    for item in items:
        if reason and Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.skip(reason=reason))


def chromium() -> str | None:
    """Return where Chromium is: as CHROMIUM says, or on the path."""
    return os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")


def missing() -> str:
    """Return what must be installed before pages can be tested; empty when nothing is."""
    try:
        import axe_playwright_python  # noqa: F401, PLC0415 - only to learn whether it is there
        import playwright  # noqa: F401, PLC0415
    except ImportError as error:
        return f"{error.name} is not installed: .ci/browser installs it"
    return "" if chromium() else "chromium is not installed: .ci/browser installs it"


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Return Chromium, started once for all tests."""
    from playwright.sync_api import sync_playwright  # noqa: PLC0415 - skipped where it is not installed

    # Root may start it only without its sandbox; it loads nothing but pages made here.
    arguments = ["--no-sandbox"] if sys.platform == "linux" and os.geteuid() == 0 else []
    with sync_playwright() as driver:
        started = driver.chromium.launch(executable_path=chromium(), args=arguments)
        yield started
        started.close()


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Return the pages to be tested, by name: three scenarios, their customers' pages, and hostile texts."""
    from hostile_scenario import hostile_drops, hostile_room  # noqa: PLC0415 - beside the other tests

    folder = tmp_path_factory.mktemp("pages")
    scenarios = {
        name: text_of(ROOT / "scenarios" / f"{name}.toml") for name in ("parlour", "stairwell", "measured-rolls")
    }
    pages = {name: sheet_from(text).page for name, text in scenarios.items()}
    pages["parlour in inches"] = sheet_from(scenarios["parlour"], "in").page
    pages["hostile room"] = sheet_from(hostile_room()).page
    pages["hostile drops"] = sheet_from(hostile_drops()).page
    pages["customer"] = customer_page_from(scenarios["parlour"])
    pages["hostile customer"] = customer_page_from(hostile_room())
    paths = {name: folder / f"{name.replace(' ', '-')}.html" for name in pages}
    for name, path in paths.items():
        path.write_text(pages[name], encoding="utf-8")
    return paths
