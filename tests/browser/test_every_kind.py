"""Every kind of job on the page in a real browser: fit for everybody at both widths, its start moved, a step ticked."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING, Final

import pytest
from in_chromium import ROOT, missing
from msgspec import Struct
from page_served import PHONE, Served, Watched, is_fit_for_everybody

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.skipif(bool(missing()), reason=missing() or "nothing is missing")


class Kind(Struct, frozen=True):
    """A kind of job: its file in ``scenarios``, what is told in it besides, and which of its parts is opened."""

    file: str
    part: str = ""
    paper: str = ""
    more: str = ""
    shows: tuple[str, ...] = ("start", "rolls", "table", "customer")


LISTED: Final = ("rolls", "table")
"""What is shown of a list of drops, and of what hangs without a start of its own."""
OFFCUT: Final = '\n[[offcut]]\nlabel = "end"\nlength = 900\nfirst_motif = 100\n'

KINDS: Final = {
    "whole room in a third-drop": Kind("parlour.toml"),
    "feet and inches beside a stair": Kind("stairwell.toml"),
    "under slopes": Kind("loft.toml"),
    "free match in feet and inches": Kind("sloping-ceiling.toml", shows=LISTED),
    "photographed paper": Kind("photographed-paper.toml"),
    "timetable": Kind("reading-corner.toml", shows=LISTED),
    "packets": Kind("alcove-feature-wall.toml", paper='packet = 2\nprice_per = "packet"\n'),
    "by the metre": Kind("alcove-feature-wall.toml", paper='sold_by = "m"\nprice_per = "m"\n'),
    "equal strips": Kind("grasscloth.toml"),
    "numbered sheets": Kind("mural.toml"),
    "measured rolls of two batches": Kind("measured-rolls.toml", shows=LISTED),
    "an offcut kept": Kind("feature-wall.toml", more=OFFCUT, shows=LISTED),
    "too few rolls": Kind("too-few/bedroom.toml"),
    "band": Kind("parts/dado-room.toml", "filling"),
    "lining": Kind("parts/lined-room.toml", "lining", shows=LISTED),
    "border that rises with its stair": Kind("parts/stair-border.toml", "handrail border", shows=LISTED),
    "room of a contract": Kind("guest-house/contract.toml", "bedroom"),
}


@pytest.fixture
def served(tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Served]:
    """Return a server at a job of the kind."""
    kind: Kind = request.param
    shutil.copytree((ROOT / "scenarios" / kind.file).parent, tmp_path / "job")
    file = tmp_path / "job" / kind.file.rpartition("/")[2]
    text = file.read_text(encoding="utf-8").replace("[paper]\n", f"[paper]\n{kind.paper}", 1)
    file.write_text(text + kind.more, encoding="utf-8")
    server = Served(file.parent, file.name)
    yield server
    server.kill()


@pytest.mark.parametrize(
    ("served", "kind"), [pytest.param(kind, kind, id=name) for name, kind in KINDS.items()], indirect=["served"]
)
def test_job_of_every_kind_is_worked_on_by_everybody(browser: Browser, served: Served, kind: Kind) -> None:
    """Nothing at fault for axe, finger or eye, on a phone, a laptop and at 200 per cent; nothing asked of others.

    Where there is a start it is moved by touch and by keys; where there is enough paper a step is ticked by a key.
    """
    watched = Watched(browser, served, PHONE, has_touch=True)
    page = watched.page
    if kind.part:
        is_fit_for_everybody(page)
        page.set_viewport_size({"width": PHONE[0], "height": PHONE[1]})
        page.click(f"a:text-is('Open {kind.part}')")
        page.wait_for_selector("h1:has-text('" + kind.part + "')")
        watched.settled()
    for name in kind.shows:
        assert page.locator(f"#{name}").is_visible(), name
    if page.locator("#finger").count():
        move_start(page)
    if page.locator("#done-next").count():
        page.focus("#done-next")
        page.keyboard.press("Enter")
        page.wait_for_selector("#table .lead:text-matches('^1 of')")
        assert list(served.folder.glob("*.record.jsonl"))
    else:
        assert page.locator("text=Only part of this job can be cut").count() == 2
    is_fit_for_everybody(page)
    page.emulate_media(media="print")
    printed = [name for name in ("told", "table", "rolls", "customer") if page.locator(f"#{name}").is_visible()]
    assert set(printed) <= {"customer"}
    assert "customer" in printed or "customer" not in kind.shows
    assert watched.complaints == []


def move_start(page: Page) -> None:
    """Drag the plumb line across the wall with a finger, then move it on by a key."""
    page.wait_for_selector("#finger[data-settled]")
    page.locator("#moving").scroll_into_view_if_needed()
    before = page.get_attribute("#plumb", "aria-valuetext")
    box = page.locator(".moving-wall").first.bounding_box()
    assert box is not None
    client = page.context.new_cdp_session(page)
    x, y = box["x"] + box["width"] * 0.4, box["y"] + min(box["height"] * 0.6, 300)
    for kind, right in (("touchStart", 0), *(("touchMove", 10 * step) for step in range(1, 7)), ("touchEnd", 0)):
        points = [] if kind == "touchEnd" else [{"x": x + right, "y": y}]
        client.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
    page.wait_for_selector(f"#plumb:not([aria-valuetext='{before}'])")
    page.wait_for_selector("#finger[data-settled]")
    dragged = page.get_attribute("#plumb", "aria-valuetext")
    page.focus("#plumb")
    page.keyboard.press("ArrowRight")
    page.wait_for_selector(f"#plumb:not([aria-valuetext='{dragged}'])")
    page.wait_for_selector("#finger[data-settled]")
