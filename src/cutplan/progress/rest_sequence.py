"""The steps of a plan for what remains: numbered on from the earlier ones, and each roll as it lies at the table."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from cutplan.solve.ordering import order_cuts
from cutplan.table.sequence import sequence_of
from cutplan.table.steps import OpenRoll

if TYPE_CHECKING:
    from cutplan.plan.order import CuttingHabit
    from cutplan.plan.plan import Plan
    from cutplan.progress.state import State
    from cutplan.table.steps import LeftOver, Sequence, Step


def rest_sequence(plan: Plan, state: State, first_step: int) -> Sequence:
    """Return the steps of ``plan``, the first of which has the number ``first_step``.

    Rolls that are open are taken up again, and what may be left on them is not understated.
    """
    opened = [label for label, roll in state.rolls.items() if roll.is_open]
    sequence = sequence_of(plan, opened)
    steps = tuple(_as_it_lies(replace(step, number=step.number + first_step - 1), state) for step in sequence.steps)
    return replace(sequence, steps=steps, left=tuple(_as_it_is(over, state) for over in sequence.left))


def sequence_of_rest(plan: Plan, habit: CuttingHabit, state: State, first_step: int) -> Sequence:
    """Return the steps of a plan for what remains, its cuts put in order by the habits of the whole job."""
    return rest_sequence(order_cuts(plan, follow=habit.follow, open_rolls=habit.open_rolls), state, first_step)


def _as_it_lies(step: Step, state: State) -> Step:
    if not isinstance(step, OpenRoll):
        return step
    source = state.falls_from.get(step.roll)
    is_to_fall = source in state.on_table and step.roll not in state.rolls
    return replace(step, is_open=state.is_opened(step.roll), hangs_first=source if is_to_fall else step.hangs_first)


def _as_it_is(over: LeftOver, state: State) -> LeftOver:
    roll = state.rolls.get(over.roll)
    if roll is None:
        return over
    return replace(over, is_measured=roll.is_measured, is_at_least=over.is_at_least or not roll.is_certain)
