"""What an offcut in the hand saves: the plans with it beside the one without it, for each batch that it may be of."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

from msgspec.structs import replace

from cutplan.errors import NoPlanError
from cutplan.job.job import Job
from cutplan.job.print_along import is_of_no_roll
from cutplan.paper.stock import Lot
from cutplan.plan.order import CuttingHabit
from cutplan.plan.plan import Plan
from cutplan.plan.proof import TooFewRollsError
from cutplan.setting_out import SettingOut
from cutplan.solve import solve
from cutplan.solve.clock import Clock
from cutplan.too_few.covering import cover, walls_in_order


class BatchUse(NamedTuple):
    """What an offcut saves if it is of the batch that ``paper`` says.

    ``is_foreign`` where no roll is of that batch. Each plan is None where there is none; where the rolls are too few
    it is of what they cover, and the pieces of each drop that stay bare are told.
    """

    paper: Lot
    is_foreign: bool
    without: Plan | None
    bare_without: Mapping[str, int]
    having: Plan | None
    bare_having: Mapping[str, int]


def uses_of(
    job: Job,
    habit: CuttingHabit,
    setting_out: SettingOut | None,
    offcut: Lot,
    *,
    time_limit: float,
    progress: Callable[[str], None] | None = None,
) -> list[BatchUse]:
    """Return what an offcut saves: if it is of its batch, or of each batch of the rolls where it has none.

    Each of the plans, one without it and one for each batch, may take the same part of the time.
    """
    of_rolls = sorted(job.batches_of_rolls, key=lambda batch: not batch)
    batches = [batch or None for batch in of_rolls] if offcut.batch is None and any(of_rolls) else [offcut.batch]
    paper = [replace(offcut, batch=each) for each in batches]
    jobs = [job, *(replace(job, lots=(*job.lots, lot)) for lot in paper)]
    without, *plans = [
        _plan(each, habit, setting_out, seconds, progress) for each, seconds in Clock(time_limit).shared_out(jobs)
    ]
    return [
        BatchUse(lot, is_of_no_roll(lot, job.rolls), *without, *found) for lot, found in zip(paper, plans, strict=True)
    ]


def _plan(
    job: Job,
    habit: CuttingHabit,
    setting_out: SettingOut | None,
    time_limit: float,
    progress: Callable[[str], None] | None,
) -> tuple[Plan | None, Mapping[str, int]]:
    """Return a plan, and what stays bare in it: of all drops, or, where the rolls are too few, of what they cover."""
    clock = Clock(time_limit)
    try:
        found = solve(job, time_limit=time_limit, progress=progress)
    except TooFewRollsError as short:
        walls = walls_in_order(job, setting_out, habit.first_walls)
        covered = cover(job, habit, short, walls, time_limit=clock.left, progress=progress)
        return covered.plan, covered.bare
    except NoPlanError:
        return None, {}
    return (found if found.layouts else None), {}
