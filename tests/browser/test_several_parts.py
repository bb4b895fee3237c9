"""What only some jobs need, in a real browser: several parts, a picture sent, the table against the clock."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

import pytest
from in_chromium import ROOT, missing
from page_served import LAPTOP, PHONE, Served, Watched, is_fit_for_everybody
from PIL import Image

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser

pytestmark = pytest.mark.skipif(bool(missing()), reason=missing() or "nothing is missing")


def test_rail_parts_a_room_and_each_band_has_its_page(browser: Browser, tmp_path: Path) -> None:
    """By keys alone: the rail is added and told, the dado gets its paper, and its page has its own start and table."""
    shutil.copy(ROOT / "scenarios" / "parlour.toml", tmp_path / "room.toml")
    served = Served(tmp_path, "room.toml")
    try:
        watched = Watched(browser, served, LAPTOP)
        page = watched.page
        for pressed in ("summary:has-text('Rails, bands and borders')", "button:text-is('+ rail')"):
            page.focus(pressed)
            page.keyboard.press("Enter")
        page.wait_for_selector("#f-rail-0-foot")
        for field, value in (
            ("rail-0-foot", "900 mm"),
            ("band-1-paper-roll_length", "10.05 m"),
            ("band-1-paper-roll_width", "530"),
            ("band-1-paper-match", "64 cm"),
        ):
            page.fill(f"#f-{field}", value)
            page.keyboard.press("Tab")
            page.wait_for_selector(f'#f-{field}[data-was="{value}"]')
        page.wait_for_selector("a:text-is('Open dado')")
        assert page.locator("#start").is_hidden()
        is_fit_for_everybody(page)
        page.focus("a:text-is('Open dado')")
        page.keyboard.press("Enter")
        page.wait_for_selector("h1:has-text('dado')")
        page.wait_for_selector("#done-next")
        page.wait_for_selector("#finger[data-settled]")
        assert page.locator("#room").is_hidden()
        assert watched.complaints == []
    finally:
        served.kill()


def test_picture_is_sent_and_the_table_stands_against_the_clock(browser: Browser, tmp_path: Path) -> None:
    """On a phone: a picture is chosen and its lines kept; a pasted length counts its soak down."""
    text = (ROOT / "scenarios" / "a-day.toml").read_text(encoding="utf-8")
    (tmp_path / "day.toml").write_text(f'{text}\n[pace]\npasted = "paper"\nsoak = 8\n', encoding="utf-8")
    picture = tmp_path / "phone" / "bindweed.jpg"
    picture.parent.mkdir()
    Image.new("RGB", (900, 1200), "#ccc").save(picture)
    served = Served(tmp_path, "day.toml")
    try:
        watched = Watched(browser, served, PHONE)
        page = watched.page
        page.set_input_files("#picture", picture)
        page.wait_for_selector("#said:has-text('bindweed.jpg is kept')")
        page.wait_for_selector("#lined:not([hidden]) button")
        page.click("#keep-lines")
        page.wait_for_selector("#said:has-text('are kept in the file')")
        for number in (1, 2, 3):
            page.click("#done-next")
            page.wait_for_selector(f"#table .lead:text-matches('^{number} of')")
        page.locator("#table button:text-is('Pasted')").first.click()
        page.wait_for_selector("#table time:text-matches('^[78] min to soak yet')")
        is_fit_for_everybody(page)
        assert watched.complaints == []
    finally:
        served.kill()
    assert "[paper.picture]" in (tmp_path / "day.toml").read_text(encoding="utf-8")
