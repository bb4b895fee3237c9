"""Write the pictures of docs/pictures: ``python tests/browser/screenshots.py``, from the root of the repository.

Three scenarios as a phone shows them, at their walls or rolls and with some steps ticked; a customer's page; a
print on a wall.
"""

from __future__ import annotations

import sys
import tempfile
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Final

sys.path.insert(0, str(Path(__file__).parent.parent))

from in_chromium import ROOT, launched, missing
from page_served import Served, Watched
from PIL import Image

from cutplan.parts.read_parts import read_scenario
from cutplan.photograph import print_of
from cutplan.render.drawing.wall_picture import wall_pictures
from sheets import customer_page_from, sheet_from, text_of

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

PICTURES: Final = ROOT / "docs" / "pictures"
PHONE: Final = {"width": 390, "height": 844}
TICKED: Final = {"parlour": 5, "stairwell": 8, "measured-rolls": 3}
"""The scenarios, and how many steps are ticked before the picture is taken."""


def main() -> None:
    """Take every picture anew."""
    lacking = missing()
    if lacking:
        sys.exit(lacking)
    PICTURES.mkdir(parents=True, exist_ok=True)
    with launched() as browser, tempfile.TemporaryDirectory() as folder:
        for name, count in TICKED.items():
            page = _opened(browser, Path(folder) / f"{name}.html", sheet_from(_scenario(name)).page)
            for number in range(1, count + 1):
                page.locator(f"#step-{number}").check()
            _take(page, name, count + 1)
        page = _opened(browser, Path(folder) / "customer.html", customer_page_from(_scenario("alcove-feature-wall")))
        page.screenshot(path=PICTURES / "customer.png", full_page=True)
        _whole_job(browser, Path(folder))
        page.set_content(f"<body style='margin:0'>{_photographed()}</body>")
        shown = Image.open(BytesIO(page.locator("svg").first.screenshot()))
        shown.quantize(32).save(PICTURES / "photographed-wall.png", optimize=True)


def _whole_job(browser: Browser, folder: Path) -> None:
    """Take the page of the parlour: its start under the finger, and its table once five steps are done."""
    (folder / "parlour.toml").write_text(_scenario("parlour"), encoding="utf-8")
    served = Served(folder, "parlour.toml")
    try:
        page = Watched(browser, served, (700, 900)).page
        page.select_option("#start-form [name=wall]", label="window wall")
        page.wait_for_selector("#worth button", timeout=180_000)
        page.wait_for_selector("#finger[data-settled]")
        page.evaluate("document.querySelector('#start-heading').scrollIntoView()")
        page.screenshot(path=PICTURES / "page-start.png")
        for number in range(1, 6):
            page.click("#done-next")
            page.wait_for_selector(f"#table .lead:text-matches('^{number} of')")
        page.evaluate("document.querySelector('#table-heading').scrollIntoView()")
        page.screenshot(path=PICTURES / "page-table.png")
    finally:
        served.kill()


def _scenario(name: str) -> str:
    return text_of(ROOT / "scenarios" / f"{name}.toml")


def _photographed() -> str:
    """Return the wall whose paper is photographed, as its customer sees it."""
    scenario = read_scenario(ROOT / "scenarios" / "photographed-paper.toml")
    assert scenario.setting_out is not None
    (part,) = wall_pictures(scenario.setting_out, for_customer=True, printed=print_of(scenario))
    return part.picture.svg()


def _opened(browser: Browser, path: Path, text: str) -> Page:
    path.write_text(text, encoding="utf-8")
    page = browser.new_page(viewport={"width": PHONE["width"], "height": PHONE["height"]}, device_scale_factor=1.5)
    page.goto(path.as_uri())
    return page


def _take(page: Page, name: str, number: int) -> None:
    """Take the first picture of the walls or rolls, and the screen at the step that is next."""
    has_walls = page.locator("#walls").count()
    first = ("walls", "section:has(#walls) figure") if has_walls else ("rolls", ".roll-block")
    for part, anchor in (first, ("steps", f"#step-{number - 1}")):
        page.evaluate("anchor => document.querySelector(anchor).scrollIntoView()", anchor)
        page.screenshot(path=PICTURES / f"{name}-{part}.png")


if __name__ == "__main__":
    main()
