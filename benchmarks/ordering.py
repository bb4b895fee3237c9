"""How closely cutting follows hanging, before and after the order is optimised, over rooms of up to 40 columns.

Before: the plan as it comes, its drops alike traded and its rolls taken so as to follow the hanging order as nearly as
these layouts allow. After: the best order of all ways to lay out the same rolls. Two rolls are open at once. Within
one: proved, or no order has fewer waiting than one drop less. Times are of the processor. The ratio is of a whole
command to the same with `--order once`, over every third room on plain rolls, each the least of three in turn.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path
from platform import machine, python_version, system
from statistics import median
from tempfile import TemporaryDirectory
from time import process_time
from typing import TYPE_CHECKING, Final

from msgspec import Struct
from tabulate import tabulate

from cutplan.plan.order import Follow
from cutplan.plan.waiting import Waiting, pieces_in_order, turns_of, waiting
from cutplan.solve import solve
from cutplan.solve.ordering import order_cuts
from cutplan.table.hanging_order import walk
from instances import MATCHES
from instances import STOCKS as PLAIN_STOCKS
from job_text import scenario_text
from ordering_rooms import COLUMNS, STOCKS, rooms_to_order
from pairs import processor_seconds

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cutplan.job.job import Job
    from cutplan.plan.order import CuttingOrder

COMMAND_EVERY: Final = 3
TURNS: Final = 3

HEADS: Final = (
    "match", "rolls", "rooms", "drops", "most waiting before", "after", "furthest ahead before", "after",
    "none waiting after", "proved", "within one", "s to order: median", "worst", "ratio of commands: median", "worst",
)  # fmt: skip


class Result(Struct, frozen=True):
    """One room: how far cutting ran ahead before, the order found, seconds to order it, and the ratio of commands."""

    drops: int
    before: Waiting
    after: CuttingOrder
    seconds: float
    ratio: float | None


def main() -> int:
    """Print the table, or write it with what it was measured on."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n\n")[0])
    parser.add_argument("--write", action="store_true", help="write ordering.md beside this script")
    parser.add_argument("--rooms", type=int, default=20, help="rooms of each match and stock (20)")
    parser.add_argument("--columns", type=int, nargs=2, default=COLUMNS, help="from the fewest to the most (10 40)")
    options = parser.parse_args()
    results = {
        (match, stock): list(_results(match, stock, options.rooms, tuple(options.columns)))
        for match in MATCHES
        for stock in STOCKS
    }
    rows = [_row(match, stock, held) for (match, stock), held in results.items()]
    rows.append(_row("**all**", "", [result for held in results.values() for result in held]))
    table = tabulate(rows, headers=HEADS, tablefmt="github", disable_numparse=True)
    if options.write:
        Path(__file__).with_suffix(".md").write_text(_page(table), encoding="utf-8")
    print(table)
    return 0


def _results(match: str, stock: str, rounds: int, columns: tuple[int, int]) -> Iterator[Result]:
    for number, job in enumerate(rooms_to_order(match, stock, rounds, columns)):
        yield _result(job, with_command=stock in PLAIN_STOCKS and number % COMMAND_EVERY == 0)


def _result(job: Job, *, with_command: bool) -> Result:
    plan = solve(job)
    walked = walk(plan)
    before = waiting(pieces_in_order(walked.plan, walked.moves), turns_of(job, Follow.DROPS))
    started = process_time()
    ordered = order_cuts(plan)
    seconds = process_time() - started
    assert ordered.order is not None  # noqa: S101 - so small a job always has an order
    return Result(job.drop_count, before, ordered.order, seconds, _ratio(job) if with_command else None)


def _ratio(job: Job) -> float:
    """Return how many times as long a whole ``cutplan plan`` takes as the same with ``--order once``."""
    with TemporaryDirectory() as folder:
        path = Path(folder, "room.toml")
        path.write_text(scenario_text(job), encoding="utf-8")
        turns = [(_command_seconds(path), _command_seconds(path, "--order", "once")) for _ in range(TURNS)]
        return min(searched for searched, _ in turns) / min(once for _, once in turns)


def _command_seconds(path: Path, *options: str) -> float:
    return processor_seconds(["plan", str(path), *options], dict(os.environ))


def _row(match: str, stock: str, results: Sequence[Result]) -> tuple[str, ...]:
    drops = sorted(result.drops for result in results)
    seconds = sorted(result.seconds for result in results)
    ratios = sorted(result.ratio for result in results if result.ratio is not None)
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
        f"{sum(result.after.most_waiting - result.after.most_waiting_bound <= 1 for result in results)}",
        f"{median(seconds):.2f}",
        f"{seconds[-1]:.2f}",
        f"{median(ratios):.2f}" if ratios else "",
        f"{ratios[-1]:.2f}" if ratios else "",
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
