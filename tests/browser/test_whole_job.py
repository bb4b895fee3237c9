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

    from playwright.sync_api import Browser, Page

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


def start_of(page: Page) -> str:
    """Return where the page says that hanging begins, once the finger rests."""
    page.wait_for_selector("#finger[data-settled]")
    return page.get_attribute("#plumb", "aria-valuetext") or ""


def test_start_is_dragged_moved_by_keys_and_typed(browser: Browser, served: Served) -> None:
    """Each way leads to the same figures; kept, it stands in the file, and the other page shows it."""
    watched = Watched(browser, served, LAPTOP)
    page = watched.page
    page.wait_for_selector("#plumb")
    before = start_of(page)
    rolls = page.inner_text("#start-rolls")
    box = page.locator(".moving-wall").first.bounding_box()
    plumb = page.locator("#plumb").bounding_box()
    assert box is not None
    assert plumb is not None
    page.mouse.move(plumb["x"] + plumb["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    for step in range(1, 6):
        page.mouse.move(plumb["x"] + plumb["width"] / 2 + 12 * step, box["y"] + box["height"] / 2)
    page.mouse.up()
    dragged = start_of(page)
    assert dragged != before
    page.focus("#plumb")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Shift+ArrowLeft")
    at = float(dragged.split()[0]) + 9
    expect_start(page, at)
    page.fill("#start-form [name=at]", before.partition(" from")[0])
    page.keyboard.press("Tab")
    expect_start(page, float(before.split()[0]))
    page.wait_for_selector(f"#start-rolls:has-text('{rolls}')")
    page.click("#keep-start")
    page.wait_for_selector("#said:has-text('kept')")
    assert watched.complaints == []


def test_start_is_dragged_by_touch_while_the_page_still_scrolls(browser: Browser, served: Served) -> None:
    """A finger across the wall moves the plumb line; a finger down the wall scrolls."""
    watched = Watched(browser, served, PHONE, has_touch=True)
    page = watched.page
    page.wait_for_selector("#plumb")
    page.locator("#moving").scroll_into_view_if_needed()
    box = page.locator(".moving-wall").first.bounding_box()
    assert box is not None
    before = start_of(page)
    client = page.context.new_cdp_session(page)
    x, y = box["x"] + box["width"] * 0.3, box["y"] + box["height"] * 0.6

    def touch(kind: str, right: float, down: float) -> None:
        points = [] if kind == "touchEnd" else [{"x": x + right, "y": y + down}]
        client.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", 0, 0)
    for step in range(1, 9):
        touch("touchMove", 10 * step, 0)
    touch("touchEnd", 0, 0)
    after = start_of(page)
    assert after != before
    scrolled = page.evaluate("scrollY")
    touch("touchStart", 0, 0)
    for step in range(1, 9):
        touch("touchMove", 0, -20 * step)
    touch("touchEnd", 0, 0)
    page.wait_for_timeout(300)
    assert page.evaluate("scrollY") > scrolled
    assert start_of(page) == after
    assert watched.complaints == []


def expect_start(page: Page, at: float) -> None:
    """Wait until the page shows that hanging begins there."""
    page.wait_for_selector(f"#plumb[aria-valuetext^='{at:g} mm']", timeout=5000)
