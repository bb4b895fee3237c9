"""From a drag of the plumb line to the redrawn wall, measured in Chromium: ``python benchmarks/page.py [DRAGS]``.

A room of 30 columns in a half-drop, and the same with a ceiling out of level at every point measured; how long after a
change of the room the band of rolls is whole, over nine changes; how soon one device sees what was ticked on another;
and what each part of the work takes, in one process. Give the machine, the versions and the date with the figures.
"""

from __future__ import annotations

import shutil
import sys
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from statistics import median, quantiles
from tempfile import TemporaryDirectory
from time import monotonic, perf_counter
from typing import TYPE_CHECKING, Final

from msgspec.structs import replace

sys.path.insert(0, str(Path(__file__).parent.parent / "tests" / "browser"))

from in_chromium import launched, missing
from page_served import LAPTOP, PHONE, Served, Watched

from cutplan import read_scenario
from cutplan.comparing.figures import figures_of
from cutplan.comparing.placements import Placement
from cutplan.comparing.sweep import Bench
from cutplan.page.moving import AT_ONCE, set_out_in, sweep_task
from cutplan.render.drawing.wall_picture import wall_pictures

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, Page

from sheet import NARROWER, scenario

SCENARIOS: Final = Path(__file__).parent.parent / "scenarios"
TICKS: Final = 20
CHANGES: Final = 9
"""Changes of a room after which the band is worked out anew."""
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
    """Measure, and print two tables."""
    lacking = missing()
    if lacking:
        sys.exit(lacking)
    level = scenario("64/32 cm", NARROWER)
    rooms = {"30 columns, half-drop": level, "the same, ceiling out of level": out_of_level(level)}
    print(f"| room | {' | '.join(PARTS)} |\n|---{'|---' * len(PARTS)}|")
    with TemporaryDirectory() as folder:
        for name, text in rooms.items():
            path = Path(folder) / "room.toml"
            path.write_text(text, encoding="utf-8")
            print(f"| {name} | {' | '.join(f'{taken:.1f}' for taken in parts_timed(path, drags))} |")
    print("\n| room | median ms | 95 % ms | band whole after s, median and most |\n|---|---|---|---|")
    with launched() as browser:
        for name, text in rooms.items():
            with TemporaryDirectory() as folder:
                path = Path(folder) / "room.toml"
                path.write_text(text, encoding="utf-8")
                served = Served(Path(folder), "room.toml")
                try:
                    taken, whole = _measured(browser, served, path, drags)
                finally:
                    served.kill()
            dragged = f"{median(taken):.0f} | {quantiles(taken, n=20)[-1]:.0f}"
            print(f"| {name} | {dragged} | {median(whole):.1f}, {max(whole):.1f} |")
        with TemporaryDirectory() as folder:
            seen = _ticks_seen(browser, Path(folder))
    print(
        f"\nA tick seen on the other device: median {median(seen):.2f} s, at most {max(seen):.2f} s ({len(seen)} ticks)"
    )


PARTS: Final = ("reading the file, ms", "setting out, ms", "solving, ms", "figures, ms", "drawing, ms")


def parts_timed(path: Path, drags: int) -> list[float]:
    """Return what each of :data:`PARTS` takes, the median over the places of a drag; reading, with its setting out."""
    read = []
    for _ in range(5):
        begun = perf_counter()
        scenario = read_scenario(path)
        read.append(perf_counter() - begun)
    now = set_out_in(scenario)
    bench = Bench(sweep_task(scenario, now.way))
    bench.prover.time_limit = AT_ONCE
    parts: list[list[float]] = [read, [], [], [], []]
    for part in _along_the_wall(drags):
        placement = Placement(replace(now.start, at=Fraction(round(NARROWER * part))), None, None)
        marks = [perf_counter()]
        setting_out = bench.set_out(placement)
        marks.append(perf_counter())
        proved = bench.prove_set_out(setting_out)
        marks.append(perf_counter())
        figures_of(placement, setting_out, proved)
        marks.append(perf_counter())
        for drawn in wall_pictures(setting_out, moving=now.start.wall):
            drawn.picture.svg()
        marks.append(perf_counter())
        for taken, (begun, ended) in zip(parts[1:], pairwise(marks), strict=True):
            taken.append(ended - begun)
    return [1000 * median(taken) for taken in parts]


def _along_the_wall(drags: int) -> Iterator[float]:
    """Yield places along a wall, as parts of its width, each far from the one before."""
    return (0.2 + 0.6 * (number * 0.618 % 1) for number in range(drags))


def _measured(browser: Browser, served: Served, path: Path, drags: int) -> tuple[list[float], list[float]]:
    page = Watched(browser, served, LAPTOP).page
    page.wait_for_selector("#worth button", timeout=180_000)
    page.wait_for_timeout(1000)
    text = path.read_text(encoding="utf-8")
    whole = []
    for change in range(1, CHANGES + 1):
        began = monotonic()
        path.write_text(text.replace("left = 1500", f"left = {1500 + 20 * change}"), encoding="utf-8")
        page.wait_for_selector("#worth button", state="detached", timeout=180_000)
        page.wait_for_selector("#worth button", timeout=180_000)
        whole.append(monotonic() - began)
        page.wait_for_timeout(1000)
    page.evaluate(WATCH)
    return _dragged(page, drags), whole


def _ticks_seen(browser: Browser, folder: Path) -> list[float]:
    """Return how many seconds pass from each press of «done» on a phone until a laptop shows it."""
    shutil.copy(SCENARIOS / "parlour.toml", folder / "room.toml")
    served = Served(folder, "room.toml")
    taken = []
    try:
        phone, laptop = Watched(browser, served, PHONE).page, Watched(browser, served, LAPTOP).page
        for number in range(1, TICKS + 2):
            began = monotonic()
            phone.click("#done-next")
            laptop.wait_for_selector(f"#table .lead:text-matches('^{number} of')", timeout=60_000)
            taken.append(monotonic() - began)
            phone.wait_for_selector(f"#table .lead:text-matches('^{number} of')", timeout=60_000)
    finally:
        served.kill()
    return taken[1:]  # with the first, the plan is put in the record


def _dragged(page: Page, drags: int) -> list[float]:
    wall = page.locator("#moving .moving-wall").first
    wall.scroll_into_view_if_needed()
    left, top, width, high = wall.evaluate("(wall) => Object.values(wall.getBoundingClientRect().toJSON()).slice(0, 4)")
    height = top + high / 3
    page.mouse.move(left + width / 2, height)
    page.mouse.down()
    for number, part in enumerate(_along_the_wall(drags)):
        page.mouse.move(left + width * part, height)
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
