"""What could be given up where rolls are too few, each with the rolls that are still missing then, dearest last."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil
from typing import TYPE_CHECKING

from cutplan.buying.certain import Figure
from cutplan.buying.need import Need, Size, batches_in_hand
from cutplan.buying.savings import smaller_trim
from cutplan.errors import NoPlanError
from cutplan.paper.stock import Lot
from cutplan.solve import plan_by
from cutplan.solve.clock import Clock
from cutplan.wording import Wording

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from cutplan.job.job import Job


@dataclass(frozen=True, slots=True)
class GivenUp:
    """One thing that could be given up.

    Attributes
    ----------
    what
        As a thing to do.
    missing
        Rolls, as the paper is sold, still to be had then: so many are enough, and the least that may be.
    other
        Rolls of another batch that it takes besides; None where it takes none.

    """

    what: Wording
    missing: Figure
    other: Figure | None = None


def could_be_given_up(job: Job, walls: Mapping[str, tuple[str, ...]], time_limit: float = 10.0) -> tuple[GivenUp, ...]:
    """Return what leaves fewer rolls missing: less trim; a wall in another paper; a wall of another batch.

    ``walls`` are the drops on each wall, those that matter most first: the others are given up before them. A drop on
    two walls goes on being hung. Nothing is said of a job with a drop that is too long for any roll.
    """
    clock = Clock(time_limit)
    try:
        now = _missing(job, clock)
        return tuple(step for step in _steps(job, walls, now, clock) if step.missing.enough < now.least)
    except NoPlanError:
        return ()


def _steps(job: Job, walls: Mapping[str, tuple[str, ...]], now: Figure, clock: Clock) -> Iterator[GivenUp]:
    for target in dict.fromkeys((0, now.least - 1)) if now.least else ():
        trim = smaller_trim(_need(job), target, clock)
        if trim is not None:
            what = Wording("cut with a trim of {} at the top and {} at the foot", (trim.top, trim.bottom))
            yield GivenUp(what, trim.figure)
            break
    others = []
    for wall in reversed(list(walls)):
        shared = {label for other, labels in walls.items() if other != wall for label in labels}
        gone = set(walls[wall]) - shared
        rest = tuple(drop for drop in job.drops if drop.label not in gone)
        if not gone or not rest or not clock.left:
            continue
        lots = tuple(lot for lot in job.lots if lot.after not in gone)
        missing = _missing(replace(job, drops=rest, lots=lots), clock)
        yield GivenUp(Wording("hang another paper on {}", (wall,)), missing)
        there = tuple(replace(drop, batch=None) for drop in job.drops if drop.label in gone)
        plan = plan_by(clock, replace(job, drops=there, lots=(Lot("roll", job.paper.roll_length, count=None),)))
        other = Figure(plan.rolls_needed, plan.lower_bound)
        others.append(GivenUp(Wording("hang another batch on {} alone", (wall,)), missing, other))
    yield from others


def _need(job: Job) -> Need:
    return Need(job, Size(job.paper.roll_length), batches_in_hand(job))


def _missing(job: Job, clock: Clock) -> Figure:
    plan = plan_by(clock, _need(job).to_buy)
    return Figure(int(plan.value), ceil(plan.proof.bound))
