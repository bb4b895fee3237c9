"""More paper never makes a proved answer worse: random pairs of small jobs, one with more to cut from or less to cut.

A job with special stock, or with batches by wall, some of them not told, is solved; then again with one roll or offcut
more, with a drop shorter, or without a drop from which nothing else could be cut. The second value must not be above
the first, in rolls or in cost where rolls are priced, and both must be proved.
"""

from __future__ import annotations

import argparse
import sys
from fractions import Fraction
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING, Final

from msgspec import Struct
from msgspec.structs import replace

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests"))

import test_batches
import test_special_stock
from cutplan.errors import NoPlanError
from cutplan.plan.proof import Status
from cutplan.solve import solve

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cutplan.job.job import Job

PAIRS: Final = 2000


class Pair(Struct, frozen=True):
    """A job, and the same job with more paper or less to cut; ``change`` says which."""

    seed: int
    change: str
    job: Job
    easier: Job


def pairs(first: int, count: int) -> Iterator[Pair]:
    """Yield pairs, the same for the same numbers."""
    for seed in range(first, first + count):
        chance = Random(f"monotone {seed}")  # noqa: S311 - repeatable, nothing secret
        job = _job(chance, seed)
        change, easier = _easier(chance, job)
        yield Pair(seed, change, job, easier)


def _job(chance: Random, seed: int) -> Job:
    free = chance.random() < 0.5  # noqa: PLR2004 - half of them
    makes = chance.choice([test_special_stock.random_job, test_special_stock.narrow_job, test_batches.random_job])
    job = makes(seed, free=free)
    if makes is not test_batches.random_job and chance.random() < 0.3:  # noqa: PLR2004 - some of them
        lots = [lot if lot.is_offcut else replace(lot, price=Fraction(chance.randint(20, 90))) for lot in job.lots]
        job = replace(job, lots=tuple(lots))
    if makes is test_batches.random_job and chance.random() < 0.3:  # noqa: PLR2004 - some of them
        # Nobody wrote down the batch of the rolls of B, nor of all kept: beside others they are a batch of their own.
        lots = [replace(lot, batch=None) if lot.batch == "B" else lot for lot in job.lots]
        job = replace(job, lots=tuple(lots))
    return job


def _easier(chance: Random, job: Job) -> tuple[str, Job]:
    change = chance.choice(["one roll more", "one offcut more", "a shorter drop", "a drop fewer"])
    repeat = int(job.paper.pattern.repeat)
    has_walls = job.drops[0].wall is not None
    batch = chance.choice([*(lot.batch for lot in job.rolls), *(["A", "D", None] if has_walls else [])])
    if change == "one roll more":
        price = None if job.rolls[0].price is None else Fraction(chance.randint(20, 90))
        roll = test_special_stock.random_roll(chance, "one more", repeat)
        return change, replace(job, lots=(*job.lots, replace(roll, batch=batch, price=price)))
    if change == "a drop fewer" and len(job.drops) > 1:
        bare = [drop for drop in job.drops if not drop.cut_outs]
        if bare:
            gone = chance.choice(bare)
            return change, replace(job, drops=tuple(drop for drop in job.drops if drop is not gone))
    if change == "a shorter drop":
        number = chance.randrange(len(job.drops))
        drop = job.drops[number]
        shorter = replace(drop, height=max(Fraction(1), drop.height - chance.randint(1, 4)))
        return change, replace(job, drops=(*job.drops[:number], shorter, *job.drops[number + 1 :]))
    left, right = sorted(chance.sample(range(test_special_stock.WIDTH + 1), 2))
    first = test_special_stock.length(chance.randrange(repeat) if repeat else 0)
    offcut = replace(
        test_special_stock.random_roll(chance, "one offcut more", 0),
        length=test_special_stock.length(chance.randint(6, 24)),
        first_motif=None if repeat and chance.random() < 0.2 else first,  # noqa: PLR2004 - some of them
        parts=(),
        is_foot_first=False,
        is_offcut=True,
        batch=batch,
    )
    if chance.random() < 0.7:  # noqa: PLR2004 - most of them
        offcut = replace(offcut, left=Fraction(left), right=Fraction(right))
    return "one offcut more", replace(job, lots=(*job.lots, offcut))


def worse(pair: Pair) -> str | None:
    """Return what is wrong with a pair; None when nothing is."""
    by_cost = pair.job.counts_cost or pair.easier.counts_cost
    value, easier = _proved(pair.job, by_cost=by_cost), _proved(pair.easier, by_cost=by_cost)
    if value is not None and (easier is None or easier > value):
        return f"{pair.seed}: {pair.change}: {value} became {easier}"
    return None


def _proved(job: Job, *, by_cost: bool) -> tuple[Fraction, ...] | None:
    """Return the proved cost of a job; or the rolls bought, and then those opened; None when there is no plan."""
    try:
        plan = solve(job)
    except NoPlanError:
        return None
    if plan.status is not Status.OPTIMAL:
        raise SystemExit(f"not proved: {job}")
    if not by_cost:
        return Fraction(plan.rolls_to_buy), Fraction(plan.rolls_needed)
    opened = [(plan.job.lot(layout.lot), layout.count) for layout in plan.layouts]
    costs = (count * (Fraction(1) if lot.price is None else lot.price) for lot, count in opened if not lot.is_offcut)
    return (sum(costs, Fraction(0)),)


def main() -> int:
    """Print what is worse, and how many pairs were tried; 1 when any is worse."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n\n")[0])
    parser.add_argument("--pairs", type=int, default=PAIRS)
    parser.add_argument("--first", type=int, default=0, help="number of the first pair")
    options = parser.parse_args()
    faults = [fault for pair in pairs(options.first, options.pairs) if (fault := worse(pair)) is not None]
    print(*faults, f"{options.pairs} pairs, {len(faults)} worse", sep="\n")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
