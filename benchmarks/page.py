"""From a drag of the plumb line to the redrawn wall, measured in Chromium: ``python benchmarks/page.py [DRAGS]``.

A room of 30 columns in a half-drop, and the same with a ceiling out of level at every point measured; and how long the
band of rolls takes until it is whole. Give the machine, the versions and the date with the figures.
"""

from __future__ import annotations

import sys
from pathlib import Path
from statistics import median, quantiles
from tempfile import TemporaryDirectory
from time import monotonic
from typing import TYPE_CHECKING, Final

sys.path.insert(0, str(Path(__file__).parent.parent / "tests" / "browser"))

from in_chromium import launched, missing
from page_served import LAPTOP, Served, Watched

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

from sheet import NARROWER, scenario

WATCH: Final = """() => {
  window.taken = [];
  let since = 0;
  addEventListener("pointermove", (event) => { since = event.timeStamp; }, true);
  new MutationObserver(() => {
    const from = since;
    if (from) requestAnimationFrame(() => { window.taken.push(performance.now() - from); });
    since = 0;
  }).observe(document.querySelector("#moving .moving-wall > div"), {childList: true});
}"""
"""Notes how long after each move of the pointer the wall is drawn anew, up to the frame that shows it."""


def out_of_level(text: str) -> str:
    """Return a scenario whose ceilings rise and fall by a few millimetres along each wall."""
    heights = (2480, 2487, 2476, 2491, 2483)
    points = ", ".join(f"[{NARROWER * number // 4}, {height}]" for number, height in enumerate(heights))
    return text.replace("\nheight = 2480\n", f"\ntop = [{points}]\n")


def main(drags: int) -> None:
    """Measure, and print a table."""
    lacking = missing()
    if lacking:
        sys.exit(lacking)
    level = scenario("64/32 cm", NARROWER)
    print("| room | median ms | 95 % ms | band whole after s |\n|---|---|---|---|")
    with launched() as browser:
        for name, text in (("30 columns, half-drop", level), ("the same, ceiling out of level", out_of_level(level))):
            with TemporaryDirectory() as folder:
                (Path(folder) / "room.toml").write_text(text, encoding="utf-8")
                served = Served(Path(folder), "room.toml")
                try:
                    taken, whole = _measured(browser, served, drags)
                finally:
                    served.kill()
            print(f"| {name} | {median(taken):.0f} | {quantiles(taken, n=20)[-1]:.0f} | {whole:.1f} |")


def _measured(browser: Browser, served: Served, drags: int) -> tuple[list[float], float]:
    page = Watched(browser, served, LAPTOP).page
    began = monotonic()
    page.wait_for_selector("#worth button", timeout=180_000)
    whole = monotonic() - began
    page.wait_for_timeout(1000)
    page.evaluate(WATCH)
    return _dragged(page, drags), whole


def _dragged(page: Page, drags: int) -> list[float]:
    wall = page.locator("#moving .moving-wall").first
    wall.scroll_into_view_if_needed()
    left, top, width, high = wall.evaluate("(wall) => Object.values(wall.getBoundingClientRect().toJSON()).slice(0, 4)")
    height = top + high / 3
    page.mouse.move(left + width / 2, height)
    page.mouse.down()
    for number in range(drags):
        page.mouse.move(left + width * (0.2 + 0.6 * (number * 0.618 % 1)), height)
        page.wait_for_timeout(20)
        for _ in range(100):
            if page.evaluate("window.taken.length") > number:
                break
            page.wait_for_timeout(10)
    page.mouse.up()
    found: list[float] = page.evaluate("window.taken")
    return found


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 60)
