"""What remains of a job: the drops still wanted, and the rolls as they now are.

A roll once opened is paid for, so it costs nothing more; a plan for what remains therefore counts, or costs, the
further rolls alone.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from cutplan.errors import CutplanError
from cutplan.job.offcuts import cut_out_lots
from cutplan.job.print_along import place_along
from cutplan.lengths import ZERO
from cutplan.paper.stock import Lot
from cutplan.progress.state import drop_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from cutplan.job.drops import Drop
    from cutplan.job.job import Job
    from cutplan.lengths import Length
    from cutplan.progress.roll_now import RollAtTable
    from cutplan.progress.state import State

FURTHER: Final = "further roll"
"""Label of a roll that would have to be bought."""


class NothingToCutError(CutplanError):
    """There is nothing to plan, since every drop wanted has been cut."""

    exit_status = 2


@dataclass(frozen=True, slots=True)
class Remains:
    """What remains of a job.

    Attributes
    ----------
    state
        The state that this is the remainder of.
    job
        The drops still wanted, from rolls that were touched, each a lot of its own under its own label, and from
        rolls that were not, under the label of the scenario's lot, as many as are left of it.
    whole
        For each label of rolls not touched, the lot as it was before any of it was touched.

    """

    state: State
    job: Job
    whole: dict[str, Lot]

    @property
    def bought_as_needed(self) -> str | None:
        """Label of the lot of which as many rolls may be opened as are needed; None when all are counted."""
        return next((lot.label for lot in self.state.job.lots if lot.count is None), None)

    def is_further(self, label: str) -> bool:
        """Return True when a roll of the lot has not been opened yet."""
        return not self.state.is_opened(label)


def remains_of(state: State, *, hoped: bool = False) -> Remains:
    """Return what remains, with what is certain to be left on each roll, or all that may be where ``hoped``.

    Raises
    ------
    NothingToCutError
        When every drop wanted has been cut.

    """
    drops = tuple(_wanted(state, label, count) for label, count in state.remaining.items())
    if not drops:
        raise NothingToCutError("every drop is cut, and none is wanted again: there is nothing to plan")
    whole = {lot.label: lot for lot in state.job.lots} | {held.lot.label: held.lot for held in state.bought}
    shortest = min(drop.cut_length for drop in drops)
    touched = (_lot_of(roll, whole, hoped=hoped) for roll in state.rolls.values())
    useful = [lot for lot in touched if lot is not None and _longest(lot) >= shortest]
    lots = [*useful, *_untouched(state, whole.values()), *_cut_outs(state)]
    return Remains(state, replace(state.job, lots=_priced(state, lots), drops=drops), whole)


def further_lot(job: Job) -> Lot:
    """Return the lot from which further rolls would come: sealed ones of the paper's marked length."""
    return Lot(FURTHER, job.paper.roll_length, count=None, price=Fraction(1))


def misfits(state: State) -> dict[str, tuple[str, ...]]:
    """Return, by roll, the drops that the plan in use will cut from it and that it can no longer give."""
    found = {}
    for label, drops in state.to_be_cut.items():
        if label in state.rolls:
            lot = state.rolls[label].as_lot(None)
            fit = 0 if lot is None else _number_that_fit(state.job, lot, drops)
            if fit < len(drops):
                found[label] = drops[fit:]
    return found


def _number_that_fit(job: Job, lot: Lot, drops: tuple[str, ...]) -> int:
    return next(fit for fit in range(len(drops), -1, -1) if place_along(job, lot, drops[:fit]) is not None)


def _longest(lot: Lot) -> Length:
    return max(stretch.length for stretch in lot.stretches)


def _lot_of(roll: RollAtTable, whole: dict[str, Lot], *, hoped: bool) -> Lot | None:
    price = whole[roll.of].price if roll.of in whole and not roll.is_open else None
    return roll.as_lot(price, hoped=hoped)


def _wanted(state: State, label: str, count: int) -> Drop:
    """Return a drop as it is still wanted, without the cut-outs that have been cut from already."""
    drop = state.job.drop(label)
    return replace(drop, count=count, cut_outs=tuple(cut for cut in drop.cut_outs if cut.label not in state.rolls))


def _cut_outs(state: State) -> Iterable[Lot]:
    """Yield the cut-outs of drops that are cut, and that nothing has been cut from: paper that is there already."""
    for piece in (*state.on_table, *state.hung):
        for lot in cut_out_lots(state.job.drop(drop_of(piece)), state.job.paper):
            if lot.label not in state.rolls:
                yield replace(lot, cut_from=None)


def _untouched(state: State, lots: Iterable[Lot]) -> Iterable[Lot]:
    touched = Counter(roll.of for roll in state.rolls.values())
    for lot in lots:
        if lot.count is None:
            yield lot
        elif lot.count > touched[lot.label]:
            yield replace(lot, count=lot.count - touched[lot.label])


def _priced(state: State, lots: list[Lot]) -> tuple[Lot, ...]:
    """Price rolls so that those already open cost nothing more: at 1 a further roll where rolls have no price."""
    rolls = [lot for lot in lots if not lot.is_offcut]
    if not any(state.is_opened(lot.label) for lot in rolls):
        return (*lots, *([] if rolls else [further_lot(state.job)]))
    if all(state.is_opened(lot.label) for lot in rolls):
        lots = [*lots, further_lot(state.job)]  # never cut from unless it must be: it makes the others cost less
    return tuple(
        replace(lot, price=ZERO if state.is_opened(lot.label) else Fraction(1) if lot.price is None else lot.price)
        for lot in lots
    )
