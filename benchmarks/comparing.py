"""How long ``cutplan compare`` takes over a 30-column room in a half-drop, each place proved.

Two rooms, four walls with door, window and fireplace: one with level ceilings, where few places differ in what is cut,
and one whose ceiling runs out of level, where no two drops and no two places are alike. Each is swept at the steps that
give about 200 and 1000 placements, starts and finishes together.
"""

from __future__ import annotations

import argparse
import sys
from fractions import Fraction
from math import inf
from time import perf_counter, process_time
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from cutplan.comparing.placements import focus_of, placements_of
from cutplan.comparing.sweep import SweepTask, processors, sweep
from cutplan.scenario.read import parse_scenario
from figures import duration, markdown

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

SIZES: Final = (200, 1000)
"""About so many placements are swept."""

TRAVEL: Final = Fraction(2100)
"""A sweep's step is this by how many placements are wanted, in millimetres: about how far starts and finishes move."""

LIMITS: Final = {200: 5.0, 1000: 8.0}
"""Seconds that a sweep of so many placements may take on two processors, for the level room."""

LEVEL: Final = ("2520", "2520", "2520", "2520")
UNEVEN: Final = (
    "[[0, 2520], [4200, 2547]]",
    "[[0, 2547], [3700, 2531]]",
    "[[0, 2531], [4200, 2514]]",
    "[[0, 2514], [3700, 2520]]",
)
CEILINGS: Final = {"level": LEVEL, "out of level": UNEVEN}
"""The tops of the walls, left to right."""

_ROOM: Final = """\
units = "mm"

[paper]
roll_length = "10.05 m"
roll_width = 530
match = "64/32 cm"
motif_from_left = 200
motif_above = 100
motif_below = 120

[room]
closes = true

[[wall]]
name = "door wall"
width = 4200
top = {0}

[[wall.opening]]
kind = "door"
left = 600
width = 860
height = 2030

[[wall]]
name = "window wall"
width = 3700
top = {1}

[[wall.opening]]
kind = "window"
left = 1000
width = 1600
foot = 850
height = 1250

[[wall]]
name = "focal wall"
width = 4200
top = {2}

[[wall.opening]]
kind = "fireplace"
left = 1500
width = 1200
height = 1150

[[wall]]
name = "back wall"
width = 3700
top = {3}

[start]
wall = "focal wall"
at = "middle"
puts = "motif"
motif_drop = 140
"""


class Result(Struct, frozen=True):
    """What one sweep took."""

    room: str
    wanted: int
    placements: int
    answers: str
    proved: int
    seconds: float
    processor_seconds: float


HEADS: Final = ("ceiling", "placements", "rolls", "proved", "time", "each", "of this processor")


def main() -> int:
    """Print the table; return 1 when some place was not proved, or the level room took too long."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n\n")[0])
    parser.add_argument("--processes", type=int, default=processors(), help="most processes to use at once")
    parser.add_argument(
        "--sizes", type=int, nargs="+", default=SIZES, help="about so many places (default: %(default)s)"
    )
    parser.add_argument("--ceilings", nargs="+", choices=CEILINGS, default=list(CEILINGS), help="default: both")
    given = parser.parse_args()
    results = swept_rooms(given.sizes, given.processes, given.ceilings)
    print(sweep_table(results))
    slow = [
        result
        for result in results
        if given.processes > 1 and result.room == "level" and result.seconds > LIMITS.get(result.wanted, inf)
    ]
    unproved = [result for result in results if result.proved < result.placements]
    return 1 if slow or unproved else 0


def swept_rooms(sizes: Sequence[int], processes: int, ceilings: Sequence[str] = tuple(CEILINGS)) -> list[Result]:
    """Return what each sweep of about so many placements takes, after one that warms up where there are several."""
    if len(sizes) * len(ceilings) > 1:
        _swept("warm up", LEVEL, min(sizes), 1)
    return [_swept(name, CEILINGS[name], wanted, processes) for name in ceilings for wanted in sizes]


def sweep_table(results: Iterable[Result]) -> str:
    """Return a row for each sweep, in Markdown."""
    rows = [
        [
            result.room,
            f"{result.placements}",
            result.answers,
            f"{result.proved}/{result.placements}",
            duration(result.seconds),
            duration(result.seconds / result.placements),
            duration(result.processor_seconds),
        ]
        for result in results
    ]
    return markdown(rows, list(HEADS), texts=1)


def _swept(name: str, tops: tuple[str, ...], wanted: int, processes: int) -> Result:
    scenario = parse_scenario(_ROOM.format(*tops), name)
    setting_out = scenario.setting_out
    if setting_out is None:
        raise SystemExit("the benchmark's own room is no room")
    drop = scenario.job.drops[0]
    task = SweepTask(
        setting_out.room, setting_out.paper, setting_out.way, scenario.job.lots, (drop.trim_top, drop.trim_bottom)
    )
    began, began_working = perf_counter(), process_time()
    placements = placements_of(setting_out, focus_of(setting_out), step=TRAVEL / wanted)
    swept = sweep(task, placements, None, processes)
    seconds, working = perf_counter() - began, process_time() - began_working
    proved = [found.proved for found in swept.compared if found.proved is not None and found.proved.is_proved]
    rolls = sorted({answer.rolls for answer in proved})
    answers = " or ".join(map(str, rolls))
    return Result(name, wanted, len(swept.compared), answers, len(proved), seconds, working)


if __name__ == "__main__":
    sys.exit(main())
