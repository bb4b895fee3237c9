"""How long ``cutplan buy`` takes over twenty rooms, and whether what it calls certain ever fails.

Every room is answered with 1000 draws. Then, for every room, 10 000 combinations of roll starts are drawn, anywhere
in the repeat, and the number of rolls that is certain when all are measured first is asked about each: it must be
enough every time.
"""

from __future__ import annotations

import argparse
import sys
from random import Random
from statistics import median
from time import perf_counter, process_time
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from cutplan.buying.how_many import Wishes, how_many_rolls
from cutplan.solve.clock import Clock
from cutplan.solve.measured.rolls_enough import Enough
from cutplan.solve.measured.starts import all_starts
from figures import duration, markdown
from instances import MATCHES, room

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from cutplan.buying.certain import Figure
    from cutplan.buying.how_many import RollsToBuy
    from cutplan.job.job import Job
    from cutplan.solve.measured.starts import RollStart

COLUMNS: Final = (12, 20, 30, 44)
"""A small room, two usual ones, and a hall."""

FINENESS: Final = 1000
"""Starts are drawn in thousandths of the unit of a job's lengths, never on a whole one, where chance never falls."""

HEADS: Final = (
    "match", "columns", "pieces", "certain", "measured first", "at best", "1.5 % short", "odds of one fewer",
    "time", "of this processor", "draws asked", "not enough",
)  # fmt: skip


class Result(Struct, frozen=True):
    """One room's answer, what it took, and for how many draws its certain number was not enough."""

    match: str
    columns: int
    answer: RollsToBuy
    seconds: float
    processor_seconds: float
    failures: int


def main() -> int:
    """Print the table; return 1 when a certain number was not enough."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n\n")[0])
    parser.add_argument("--draws", type=int, default=1000, help="draws for the odds of each room")
    parser.add_argument("--sure", type=int, default=10_000, help="draws of which none may fail the certain number")
    options = parser.parse_args()
    results = bought(options.draws, options.sure)
    print(buying_table(results, options.sure))
    seconds = sorted(result.seconds for result in results)
    print(f"\n{len(results)} rooms, {options.draws} draws: median {median(seconds):.2f} s, worst {seconds[-1]:.2f} s.")
    return 1 if any(result.failures for result in results) else 0


def bought(draws: int, sure: int, sizes: Sequence[int] = COLUMNS) -> list[Result]:
    """Return every room's answer: ``draws`` for its odds, ``sure`` to try the number that is called certain."""
    how_many_rolls(_room("half", COLUMNS[0]))  # the first answer loads the solver
    return [_result(match, columns, draws, sure) for match in MATCHES for columns in sizes]


def buying_table(results: Iterable[Result], sure: int) -> str:
    """Return a row for each room, in Markdown."""
    return markdown([_row(result, sure) for result in results], list(HEADS), texts=1)


def _room(match: str, columns: int) -> Job:
    return room(f"buy {match} {columns}", match=match, stock="sealed", columns=columns, step=5)


def _result(match: str, columns: int, draws: int, sure: int) -> Result:
    job = _room(match, columns)
    started, processor = perf_counter(), process_time()
    answer = how_many_rolls(job, Wishes(draws=draws))
    seconds, processor_seconds = perf_counter() - started, process_time() - processor
    failures = 0 if job.paper.pattern.is_free else sum(1 for enough in _verdicts(answer, sure) if not enough)
    return Result(match, columns, answer, seconds, processor_seconds, failures)


def _verdicts(answer: RollsToBuy, draws: int) -> Iterator[bool | None]:
    """Yield for each draw of starts whether the rolls called certain are enough."""
    need = answer.need
    instance = need.of_known_paper
    starts = all_starts(instance, need.length)
    oracle = Enough(instance, need.length, starts)
    rng = Random(f"{need.job.paper.pattern.offset} {len(need.job.drops)}")  # noqa: S311 - repeatable, nothing secret
    for _ in range(draws):
        ends = [rng.randrange(instance.repeat) + rng.randrange(1, FINENESS) / FINENESS for _ in range(_asked(answer))]
        yield oracle.decide([_start_at(end, starts, instance.repeat) for end in ends], Clock(60))


def _asked(answer: RollsToBuy) -> int:
    return answer.opened.figure.enough


def _start_at(end: float, starts: tuple[RollStart, ...], repeat: int) -> int:
    """Return which start a roll has whose outer end lies at ``end`` in the print."""
    lost, _, number = min(
        ((start.place - end) % repeat, start.lost, number)
        for number, start in enumerate(starts)
        if start.lost >= (start.place - end) % repeat
    )
    assert lost <= starts[number].lost  # noqa: S101 - a slip here would make the whole run worthless
    return number


def _row(result: Result, sure: int) -> list[str]:
    answer = result.answer
    short = answer.short
    return [
        result.match,
        f"{result.columns}",
        f"{answer.need.job.drop_count}",
        _bounds(answer.sure.figure),
        _bounds(answer.opened.figure),
        _bounds(answer.sure.at_best),
        "" if short is None else _bounds(short.figure),
        f"{float(answer.odds[-1].chance):.3f}" if answer.odds else "0",
        duration(result.seconds),
        duration(result.processor_seconds),
        "" if answer.need.job.paper.pattern.is_free else f"{sure}",
        f"{result.failures}",
    ]


def _bounds(figure: Figure) -> str:
    return f"{figure.enough}" if figure.is_exact else f"{figure.least}–{figure.enough}"


if __name__ == "__main__":
    sys.exit(main())
