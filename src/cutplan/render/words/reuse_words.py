"""What offcuts save, in words: which pieces come from which, and how many rolls it would take without them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.render.words.names import drops_named, listed_with_and, roll_named
from cutplan.wording import counted

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from fractions import Fraction

    from cutplan.plan.plan import Plan


def reuse_lines(plan: Plan, amount: Callable[[int, Fraction], str]) -> Iterator[str]:
    """Yield what the plan cuts from offcuts, and what it would take without them; nothing for a plan without any.

    ``amount`` says how many rolls in words, or what they cost.
    """
    without = plan.without_offcuts
    if without is None:
        return
    pieces = listed_with_and(list(_pieces(plan)))
    if without.rolls is None or without.value is None:
        what = "the rolls are too few" if without.is_proved else "no plan was found"
        yield f"Without offcuts {what}: {pieces}."
        return
    more = amount(without.rolls, without.value)
    if without.value == plan.value:
        yield f"Offcuts are used, but {more} would do without them too: {pieces}."
    else:
        it_takes = "it takes" if without.is_proved else "it was seen to take"
        yield f"Offcuts save {_saved(plan)}: without them {it_takes} {more}. From them come {pieces}."


def _saved(plan: Plan) -> str:
    without = plan.without_offcuts
    if plan.job.counts_cost or without is None or without.rolls is None:
        return "money"
    return counted(without.rolls - plan.rolls_needed, "roll")


def _pieces(plan: Plan) -> Iterator[str]:
    """Yield what is cut from each offcut: ``drop 8 from cut-out of 3``."""
    for layout in plan.layouts:
        lot = plan.job.lot(layout.lot)
        if lot.is_offcut:
            yield f"{drops_named([cut.drop for cut in layout.cuts])} from {roll_named(lot.label, lot)}"
