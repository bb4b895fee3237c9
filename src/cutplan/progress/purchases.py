"""Rolls that come in while the work goes on."""

from __future__ import annotations

from cutplan.lengths import Length
from cutplan.paper.stock import Lot
from cutplan.progress.plan_in_use import StockLot
from cutplan.progress.state import NotPossibleError, State


def bought_rolls(
    state: State, count: int, length: Length | None, batch: str | None, sheet: int | None = None
) -> tuple[StockLot, ...]:
    """Return sealed rolls as they come from the shop, labelled ``bought 1``, ``bought 2`` and so on.

    Without a ``length`` each is as long as is marked on the paper. ``sheet`` is the number of a sheet of a set; None
    for paper in rolls.

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
    # A further roll costs what the paper does, else what the dearest roll does; where none is priced, nothing is told.
    prices = [lot.price for lot in job.rolls if lot.price is not None]
    price = job.paper.price if prices and job.paper.price is not None else max(prices, default=None)
    labels = [f"bought {number}" for number in range(first, first + count)]
    whole = length or job.paper.roll_length
    lots = [Lot(label, whole, motif, batch=batch, price=price, sheet=sheet) for label in labels]
    return tuple(StockLot(lot, lot.label) for lot in lots)
