"""One batch for each wall: the fewest rolls over every choice, against exhaustive search; and what is said of shortages."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction
from itertools import product

import pytest

from cutplan.drops import Drop
from cutplan.errors import NoPlanError
from cutplan.job import Job, Neighbours
from cutplan.pattern import FREE, Pattern
from cutplan.plan import Plan, Status
from cutplan.solve import solve
from cutplan.solve.ordering import order_cuts
from cutplan.stock import Lot, Paper
from test_special_stock import (
    REPEAT,
    WIDTH,
    fewest_that_cover,
    length,
    lots_counted_on,
    random_drop,
    random_roll,
    sets_held,
)

WALLS = ("north", "east", "south")


def random_job(seed: int, *, free: bool) -> Job:
    """Return up to five drops on three walls, from up to five rolls of every sort, of two or three batches."""
    chance = random.Random(seed)  # noqa: S311 - repeatable, nothing secret
    repeat = 0 if free else REPEAT
    batches = chance.choice(["AB", "AB", "ABC"])
    drops = [random_drop(chance, str(number), repeat) for number in range(1, chance.randint(4, 6))]
    walls = sorted(chance.randrange(len(WALLS)) for _ in drops)
    rolls = [
        replace(random_roll(chance, f"roll {number}", repeat), batch=batches[number % len(batches)])
        for number in range(len(batches), len(batches) + chance.randint(2, 4))
    ]
    if chance.random() < 0.5:
        left, right = sorted(chance.sample(range(WIDTH + 1), 2))
        rolls.append(
            Lot(
                "kept",
                length(chance.randint(6, 20)),
                None if free else length(chance.randrange(REPEAT)),
                batch=chance.choice("AB"),
                left=length(left),
                right=length(right),
                is_offcut=True,
            )
        )
    paper = Paper("trial", Pattern(length(repeat), Fraction(0)), length(40), length(WIDTH))
    placed = tuple(replace(drop, wall=WALLS[wall]) for drop, wall in zip(drops, walls, strict=True))
    return Job(paper, tuple(rolls), placed)


def fewest_by_wall(job: Job) -> int | None:
    """Return the fewest rolls over every choice of a batch for each wall; None when no choice will do."""
    lots = lots_counted_on(job)
    held = [sets_held(job, lot) for lot in lots]
    fewest: list[int] = []
    for chosen in product(job.batches, repeat=len(WALLS)):
        of_drop = [chosen[WALLS.index(drop.wall or "")] for drop in job.drops]
        allowed = []
        for lot, sets in zip(lots, held, strict=True):
            batch = lot.batch if lot.cut_from is None else of_drop[int(lot.cut_from)]
            others = sum(1 << number for number, wanted in enumerate(of_drop) if wanted != batch)
            allowed.append([mask for mask in sets if not mask & others])
        found = fewest_that_cover(len(job.drops), lots, allowed)
        fewest += [] if found is None else [found]
    return min(fewest, default=None)


def assert_one_batch_a_wall(plan: Plan) -> None:
    """Require every drop to be cut from the batch of its wall, a piece from a cut-out included."""
    assert plan.batches is not None
    for layout in plan.layouts:
        lot = plan.job.lot(layout.lot)
        for cut in layout.cuts:
            assert lot.batch == plan.batches.of_walls[plan.job.drop(cut.drop).wall or ""]


@pytest.mark.parametrize("free", [False, True])
@pytest.mark.parametrize("seed", range(100))
def test_choice_of_batches_matches_exhaustive_search(seed: int, free: bool) -> None:  # noqa: FBT001 - parametrized
    """The plan needs as few rolls as the best of every choice of one batch for each wall, whatever the rolls are."""
    job = random_job(seed, free=free)
    expected = fewest_by_wall(job)

    plan: Plan | None = None
    try:
        plan = solve(job)
    except NoPlanError:
        assert expected is None
    if plan is not None and job.must_share_batches:
        assert plan.rolls_needed == expected
        assert plan.status is Status.OPTIMAL
        assert_one_batch_a_wall(plan)
        assert_one_batch_a_wall(order_cuts(plan))


