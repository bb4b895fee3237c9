"""Rolls that come in while the work goes on."""

from __future__ import annotations

from fractions import Fraction

from cutplan.lengths import Length
from cutplan.paper.stock import Lot
from cutplan.progress.plan_in_use import StockLot
from cutplan.progress.state import NotPossibleError, State


def bought_rolls(
    state: State, count: int, length: Length | None, batch: str | None, sheet: int | None = None
) -> tuple[StockLot, ...]:
    """Return sealed rolls as they come from the shop, labelled ``bought 1``, ``bought 2`` and so on.

    Parameters
    ----------
    state
        Where the work stands.
    count
        How many.
    length
        Of each; None for what is marked on the paper.
    batch
        As printed on them; None when not told.
    sheet
        Which sheet of a numbered set they are; None for paper in rolls.

    Raises
    ------
    NotPossibleError
        When the scenario takes rolls as they are needed, so that none are counted; or without the right ``sheet``.

    """
    job = state.job
    if any(lot.count is None for lot in job.lots):
        raise NotPossibleError("this scenario lists no rolls, so as many are taken as are needed: just plan anew")
    sheets = job.paper.sheets
    if sheets is not None and (sheet is None or not 1 <= sheet <= sheets.count):
        raise NotPossibleError(f"say which sheet of the {sheets.count} came in: cutplan bought 1 --sheet 3")
    if sheets is None and sheet is not None:
        raise NotPossibleError("this paper is no numbered set; leave --sheet out")
    motif = None if sheets is None else sheets.first_motif
    first = len(state.bought) + 1
    price = _price(state)
    labels = [f"bought {number}" for number in range(first, first + count)]
    whole = length or job.paper.roll_length
    lots = [Lot(label, whole, motif, batch=batch, price=price, sheet=sheet) for label in labels]
    return tuple(StockLot(lot, lot.label) for lot in lots)


def _price(state: State) -> Fraction | None:
    """Return what a further roll costs: the paper's price, else that of the dearest roll; None where none has one."""
    prices = [lot.price for lot in state.job.rolls if lot.price is not None]
    return max(prices, default=None) if state.job.paper.price is None or not prices else state.job.paper.price
