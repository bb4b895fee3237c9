"""Rooms from twelve lots of different lengths and prices: how many are proved, how soon, how far off are the others.

The rooms have 10 to 30 columns and are hung with a half-drop, a straight match or a free match. Of every second lot
there are as many rolls as needed, of the others one to four, all sealed. A metre costs 5 to 7, a roll a whole number.
Both figures are asked for, certain and at best; every plan is judged by the checker. Exit status 1 when it finds fault.

python benchmarks/dozen_prices.py --rooms 50
"""

from __future__ import annotations

import argparse
import sys
import time
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Final
from unittest.mock import patch

from msgspec import Struct
from msgspec.structs import replace

from cutplan.check import check_text
from cutplan.paper.stock import Lot
from cutplan.render.documents.plan_document import plan_document, plan_text
from cutplan.scenario.read import parse_scenario
from cutplan.solve import solve
from figures import duration, percentile
from instances import ORDINARY_COLUMNS, room, seeded

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

from scenario_text import scenario_text

if TYPE_CHECKING:
    from random import Random

    from cutplan.job.job import Job

MATCHES: Final = ("half", "straight", "free")
LOTS: Final = 12
LONGEST: Final = 15_000
SHORTEST: Final = 4_000
"""Millimetres; a sealed roll of it holds a full drop, a repeat and its trim."""


class Result(Struct, frozen=True):
    """What became of a room: its cost, processor seconds, the wider gap of its two figures, and is it judged right."""

    cost: Fraction
    seconds: float
    gap: float
    is_right: bool


def main() -> int:
    """Plan every room and say what is not proved; return 1 when the checker finds fault with a plan."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n\n")[0])
    parser.add_argument("--rooms", type=int, default=50, help="how many (default: %(default)s)")
    parser.add_argument("--first", type=int, default=0, help="number of the first (default: %(default)s)")
    parser.add_argument("--time-limit", type=float, default=10.0, help="processor seconds each (default: %(default)s)")
    options = parser.parse_args()
    results = []
    for number in range(options.first, options.first + options.rooms):
        job = priced_room(number)
        result = _result(job, options.time_limit)
        results.append(result)
        told = f"{MATCHES[number % len(MATCHES)]}, {job.drop_count} pieces: {result.cost} in {result.seconds:.2f} s"
        print(f"{number} {told}, {f'gap {result.gap:.2%}' if result.gap else 'proved'}", flush=True)
    seconds = sorted(result.seconds for result in results)
    print(f"{sum(not result.gap for result in results)} of {len(results)} proved,", end=" ")
    print(f"the widest gap {max(result.gap for result in results):.2%};", end=" ")
    print(f"processor time {duration(percentile(seconds, 50))} by median, {duration(seconds[-1])} at worst")
    return int(not all(result.is_right for result in results))


def priced_room(number: int) -> Job:
    """Return one of the rooms, from twelve lots; the same for the same number."""
    name, match = f"dozen prices {number}", MATCHES[number % len(MATCHES)]
    rng = seeded(name)
    job = room(name, match=match, stock="sealed", columns=rng.randint(*ORDINARY_COLUMNS), step=rng.choice([1, 5]))
    return replace(job, lots=tuple(_lot(rng, place) for place in range(LOTS)))


def _lot(rng: Random, place: int) -> Lot:
    length = rng.randrange(SHORTEST, LONGEST, 50)
    price = Fraction(round(length * rng.randint(500, 700) / 100_000))
    return Lot(f"lot {place + 1}", Fraction(length), count=None if place % 2 else rng.randint(1, 4), price=price)


def _result(job: Job, time_limit: float) -> Result:
    begun = time.process_time()
    with patch.object(time, "monotonic", time.process_time):  # other work on the machine takes none of its time
        plan = solve(job, time_limit=time_limit)
    seconds = time.process_time() - begun
    figures = [figure for figure in (plan, plan.at_best) if figure is not None]
    gap = max(float(1 - figure.proof.bound / figure.value) for figure in figures)
    scenario = parse_scenario(scenario_text(job), "benchmark")
    report = check_text(plan_text(plan_document(plan, scenario)))
    for violation in report.violations:
        print(violation.line(), file=sys.stderr)
    return Result(plan.value, seconds, gap, not report.violations)


if __name__ == "__main__":
    sys.exit(main())
