"""The lines over a photograph, moved in a real browser by finger and keys."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from in_chromium import ROOT, launched, missing
from page_served import PHONE, TOO_SMALL, Served, Watched

from cutplan.parts.read_parts import read_scenario

if TYPE_CHECKING:
    from pathlib import Path

pytestmark = pytest.mark.skipif(bool(missing()), reason=missing() or "nothing is missing")


def test_lines_are_moved_over_the_photograph_and_kept(tmp_path: Path) -> None:
    """A drag of 30 px on a phone, then ten pixels of the picture down by a key; all is large enough."""
    for name in ("photographed-paper.toml", "photographed-paper.jpg"):
        (tmp_path / name).write_bytes((ROOT / "scenarios" / name).read_bytes())
    served = Served(tmp_path, "photographed-paper.toml")
    try:
        with launched() as browser:
            watched = Watched(browser, served, PHONE)
            page = watched.page
            page.goto(served.address)
            end = page.locator('[data-end="left 0"]')
            end.scroll_into_view_if_needed()
            box = end.bounding_box()
            width = page.locator("#lined img").bounding_box()
            assert box is not None
            assert width is not None
            page.mouse.move(box["x"] + 22, box["y"] + 22)
            page.mouse.down()
            page.mouse.move(box["x"] + 52, box["y"] + 22, steps=3)
            page.mouse.up()
            end.press("Shift+ArrowDown")
            small = page.evaluate(TOO_SMALL)
            page.locator("#keep-lines").click()
            page.get_by_text("The picture and its lines are kept in the file.").wait_for()
            page.locator('#start-walls image[href^="./print.jpg"]').first.wait_for(state="attached")
            complaints = watched.complaints
    finally:
        served.kill()
    photographed = read_scenario(tmp_path / "photographed-paper.toml").job.paper.photographed

    assert photographed is not None
    # A fifth of the way down its line from (92.7, 90.2) to (32.4, 667.2), since the corner has another line's end.
    assert photographed.left[0] == pytest.approx((80.6 + 30 * 600 / width["width"], 205.6 + 10), abs=2)
    assert (small, complaints) == ([], [])
