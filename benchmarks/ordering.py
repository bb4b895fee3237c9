"""How closely cutting follows hanging, before and after the order is optimised, over rooms of up to 40 drops.

Before: the plan as it comes, its drops alike traded and its rolls taken so as to follow the hanging order as nearly as
these layouts allow. After: the best order of all ways to lay out the same rolls. Two rolls are open at once.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from platform import machine, python_version, system
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import TYPE_CHECKING, Final

from tabulate import tabulate

from cutplan.plan.order import Follow
from cutplan.plan.waiting import Waiting, pieces_in_order, turns_of, waiting
from cutplan.solve import solve
from cutplan.solve.ordering import order_cuts
from cutplan.table.hanging_order import walk
from instances import MATCHES, STOCKS, room
from job_text import scenario_text

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cutplan.job.job import Job
    from cutplan.plan.order import CuttingOrder

MOST_DROPS: Final = 40
COLUMNS: Final = (10, 14, 18, 22, 26, 30, 34)

HEADS: Final = (
    "match", "rolls", "rooms", "drops", "most waiting before", "after", "furthest ahead before", "after",
    "none waiting after", "proved", "s to order: median", "worst", "s whole command: median", "worst",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Result:
    """One room: how far cutting ran ahead before, the order found, and seconds to order it and for a whole command."""

    drops: int
    before: Waiting
    after: CuttingOrder
    seconds: float
    command_seconds: float


def main() -> int:
    """Print the table, or write it with what it was measured on."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n\n")[0])
    parser.add_argument("--write", action="store_true", help="write ordering.md beside this script")
    options = parser.parse_args()
    results = {(match, stock): list(_results(match, stock)) for match in MATCHES for stock in STOCKS}
    rows = [_row(match, stock, held) for (match, stock), held in results.items()]
    rows.append(_row("**all**", "", [result for held in results.values() for result in held]))
    table = tabulate(rows, headers=HEADS, tablefmt="github", disable_numparse=True)
    if options.write:
        Path(__file__).with_suffix(".md").write_text(_page(table), encoding="utf-8")
    print(table)
    return 0


def _results(match: str, stock: str) -> Iterator[Result]:
    for number, columns in enumerate(COLUMNS):
        name = f"order {match} {stock} {columns}"
        job = room(name, match=match, stock=stock, columns=columns, step=(5, 1)[number % 2])
        if job.drop_count <= MOST_DROPS:
            yield _result(job)


def _result(job: Job) -> Result:
    plan = solve(job)
    walked = walk(plan)
    before = waiting(pieces_in_order(walked.plan, walked.moves), turns_of(job, Follow.DROPS))
    started = perf_counter()
    ordered = order_cuts(plan)
    seconds = perf_counter() - started
    assert ordered.order is not None  # noqa: S101 - so small a job always has an order
    return Result(job.drop_count, before, ordered.order, seconds, _command_seconds(job))


def _command_seconds(job: Job) -> float:
    """Return how long ``cutplan plan`` takes for the room, from the start of the process to its end."""
    with TemporaryDirectory() as folder:
        path = Path(folder, "room.toml")
        path.write_text(scenario_text(job), encoding="utf-8")
        started = perf_counter()
        subprocess.run([sys.executable, "-m", "cutplan", "plan", str(path)], check=True, stdout=subprocess.DEVNULL)  # noqa: S603 - our own program
        return perf_counter() - started


def _row(match: str, stock: str, results: Sequence[Result]) -> tuple[str, ...]:
    drops = sorted(result.drops for result in results)
    seconds = sorted(result.seconds for result in results)
    commands = sorted(result.command_seconds for result in results)
    return (
        match,
        stock,
        f"{len(results)}",
        f"{drops[0]}–{drops[-1]}",
        _spread([result.before.most for result in results]),
        _spread([result.after.most_waiting for result in results]),
        _spread([result.before.furthest for result in results]),
        _spread([result.after.furthest_ahead for result in results]),
        f"{sum(not result.after.most_waiting for result in results)}",
        f"{sum(result.after.is_proved for result in results)}",
        f"{median(seconds):.2f}",
        f"{seconds[-1]:.2f}",
        f"{median(commands):.2f}",
        f"{commands[-1]:.2f}",
    )


def _spread(numbers: Sequence[int]) -> str:
    return f"{median(numbers):g} (worst {max(numbers)})"


def _page(table: str) -> str:
    about = (__doc__ or "").strip()
    commit = subprocess.run(["git", "rev-parse", "--short", "HEAD"], check=True, capture_output=True, text=True)  # noqa: S607 - whichever git there is
    measured = f"Measured on {datetime.now(UTC):%Y-%m-%d} at commit {commit.stdout.strip()}, Python {python_version()}"
    return f"# The order of cutting\n\n{about}\n\n{table}\n\n{measured}, {system()} {machine()}, 2 cores.\n"


if __name__ == "__main__":
    sys.exit(main())
