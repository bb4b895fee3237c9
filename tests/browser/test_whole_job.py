"""``cutplan page`` in a real browser, on a phone and on a laptop."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

import pytest
from in_chromium import ROOT, launched, missing
from page_served import LAPTOP, PHONE, TOO_SMALL, Served, Watched

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Browser

pytestmark = pytest.mark.skipif(bool(missing()), reason=missing() or "nothing is missing")


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Return Chromium, started once for all tests."""
    with launched() as started:
        yield started


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    """Return a server at a room of its own."""
    shutil.copy(ROOT / "scenarios" / "parlour.toml", tmp_path / "room.toml")
    server = Served(tmp_path, "room.toml")
    yield server
    server.kill()


@pytest.mark.parametrize("size", [PHONE, LAPTOP])
def test_page_is_fit_for_everybody(browser: Browser, served: Served, size: tuple[int, int]) -> None:
    """Axe finds nothing; all that is touched is large enough; nothing scrolls sideways, nor at 200 per cent."""
    from axe_playwright_python.sync_playwright import Axe  # noqa: PLC0415 - not installed everywhere

    watched = Watched(browser, served, size)
    page = watched.page

    assert page.evaluate(TOO_SMALL) == []
    for width in (size[0], size[0] // 2):  # half the width is what 200 per cent leaves
        page.set_viewport_size({"width": width, "height": size[1]})
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true; })")
    report = Axe().run(page)
    assert report.violations_count == 0, report.generate_report()
    assert watched.complaints == []


def test_killed_server_loses_nothing_that_was_acknowledged(browser: Browser, served: Served) -> None:
    """The page says that nobody answers, keeps what is ticked meanwhile, and sends it when the server is back."""
    page = Watched(browser, served, PHONE).page
    page.click("#done-next")
    page.wait_for_selector("#table .lead:has-text('1 of')")
    served.kill()
    page.wait_for_selector("#silence:not([hidden])")
    page.click("#done-next")
    page.wait_for_selector("#silence:has-text('kept here')")
    served.start()
    again = page.context.new_page()
    again.goto(served.address)

    again.wait_for_selector("#table .lead:has-text('2 of')")
    page.wait_for_selector("#table .lead:has-text('2 of')")
    page.wait_for_selector("#silence", state="hidden")
    assert (served.folder / "room.record.jsonl").read_text(encoding="utf-8").count('"kind":"done"') == 2


def test_two_devices_see_each_others_ticks_within_a_second(browser: Browser, served: Served) -> None:
    """And both press the same button at once: the step is recorded once."""
    phone, laptop = Watched(browser, served, PHONE).page, Watched(browser, served, LAPTOP).page
    phone.click("#done-next")
    laptop.wait_for_selector("#table .lead:has-text('1 of')", timeout=1500)  # The plan is put in the record first.
    phone.click("#done-next")
    laptop.wait_for_selector("#table .lead:has-text('2 of')", timeout=1000)
    number = phone.inner_text("#table .card .number")
    for page in (phone, laptop):
        page.evaluate("document.querySelector('#done-next').click()")
    phone.wait_for_selector("#table .lead:has-text('3 of')")
    laptop.wait_for_selector("#table .lead:has-text('3 of')")

    record = (served.folder / "room.record.jsonl").read_text(encoding="utf-8")
    assert record.count(f'"steps":[{number}]') == 1
