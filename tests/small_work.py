"""Work in progress, small enough to follow with a finger: plans made by hand, put to use."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cutplan.paper.pattern import FREE
from cutplan.progress.entries import Done
from cutplan.progress.plan_in_use import PlanInUse, freeze
from cutplan.progress.state import State
from cutplan.table.sequence import sequence_of
from hand_plans import half_drop_wall, job, packed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cutplan.job.drops import Drop
    from cutplan.paper.stock import Lot
    from cutplan.plan.plan import Plan

SCENARIO: Final = "the scenario's fingerprint"


def in_use(plan: Plan, number: int = 1) -> PlanInUse:
    """Return a plan put to use, its steps worded by their numbers."""
    return freeze(
        number=number,
        scenario=SCENARIO,
        sequence=sequence_of(plan),
        origins={},
        document={"scenario": {"units": "mm"}},
        words=lambda step: f"as printed, {step.number}",
    )


def begun(plan: Plan | None = None) -> State:
    """Return the state before the first step of a plan, by default of the half-drop wall on two sealed rolls.

    Its steps: 1 to 3 open roll-1, cut it back and cut drop 1; 4 to 6 the same of roll-2 and drop 2; 7 checks the
    match; 8 and 9 cut off 60 mm and cut drop 3 from roll-1, 10 and 11 the same of drop 4 from roll-2.
    """
    plan = plan or half_drop_wall()
    return State(plan.job, "mm", in_use(plan))


def done(state: State, *steps: int, times: int = 1) -> State:
    """Return the state after steps of the plan in use."""
    return state.after(Done(state.plan.number, steps, times))


def free_work(drops: Sequence[Drop], lots: tuple[Lot, ...], rolls: Sequence[tuple[str, int, Sequence[str]]]) -> State:
    """Return the state before the first step of a plan of paper that needs no matching."""
    return begun(packed(job(drops, FREE, lots), rolls))
