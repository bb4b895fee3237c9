"""The rooms of a small contract as one job: every room's drops, and what falls out of them for that room alone.

Its plan bounds every way in which rooms share rolls, and tells in which rooms cut-outs that save none apart save some.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import Final

from msgspec.structs import replace

from cutplan.contract.rooms import Contract
from cutplan.job.job import Job
from cutplan.plan.plan import Plan

MOST_TOGETHER: Final = 200
"""So many pieces are planned as one job where something falls out of them; rooms with more are bounded more loosely."""


def rooms_together(contract: Contract) -> Job | None:
    """Return the pieces of all rooms as one job; None where they are too many, or nothing falls out of any."""
    jobs = [(kind.room(number), kind.scenario.job) for kind in contract.kinds for number in range(1, kind.count + 1)]
    is_small = sum(job.drop_count for _, job in jobs) <= MOST_TOGETHER
    has_kept = any(lot.is_offcut for _, job in jobs for lot in job.lots)
    if (
        contract.goes_by_wall
        or has_kept
        or not is_small
        or not any(drop.cut_outs for _, job in jobs for drop in job.drops)
    ):
        return None
    drops, cut_outs = [], []
    for room, job in jobs:
        for drop in job.drops:
            fallen = tuple(replace(each, label=f"{room}/{each.label}") for each in drop.cut_outs)
            drops.append(replace(drop, label=f"{room}/{drop.label}", cut_outs=fallen))
            cut_outs += [(room, each.label) for each in fallen]
    barred = frozenset(
        (drop.label, label) for drop in drops for room, label in cut_outs if not drop.label.startswith(f"{room}/")
    )
    roll = replace(contract.lots[0], label="roll", count=None, batch=None)
    return Job(contract.paper, (roll,), tuple(drops), barred=barred)


def from_cut_outs(together: Plan, room: str) -> frozenset[str]:
    """Return the drops of a room that a plan of all rooms cuts from what falls out there."""
    return frozenset(
        drop.removeprefix(f"{room}/")
        for drop, lot in together.lot_of.items()
        if drop.startswith(f"{room}/") and together.job.lot(lot).is_offcut
    )


def with_cut_outs_for(job: Job, drops: Collection[str]) -> Job:
    """Return a room's job in which these drops come from cut-outs, and no others."""
    rolls = [lot.label for lot in job.rolls]
    fallen = [lot.label for lot in job.offcuts]
    barred = {(drop.label, lot) for drop in job.drops for lot in (rolls if drop.label in drops else fallen)}
    return replace(job, barred=job.barred | barred)
