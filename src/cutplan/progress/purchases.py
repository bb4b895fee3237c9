"""Rolls that come in while the work goes on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.paper.stock import Lot
from cutplan.progress.plan_in_use import StockLot
from cutplan.progress.state import NotPossibleError

if TYPE_CHECKING:
    from fractions import Fraction

    from cutplan.lengths import Length
    from cutplan.progress.state import State


def bought_rolls(state: State, count: int, length: Length | None, batch: str | None) -> tuple[StockLot, ...]:
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

    Raises
    ------
    NotPossibleError
        When the scenario takes rolls as they are needed, so that none are counted.

    """
    job = state.job
    if any(lot.count is None for lot in job.lots):
        raise NotPossibleError("this scenario lists no rolls, so as many are taken as are needed: just plan anew")
    first = len(state.bought) + 1
    price = _price(state)
    labels = [f"bought {number}" for number in range(first, first + count)]
    lots = [Lot(label, length or job.paper.roll_length, batch=batch, price=price) for label in labels]
    return tuple(StockLot(lot, lot.label) for lot in lots)


def _price(state: State) -> Fraction | None:
    """Return what a further roll costs: the paper's price, else that of the dearest roll; None where none has one."""
    prices = [lot.price for lot in state.job.rolls if lot.price is not None]
    return max(prices, default=None) if state.job.paper.price is None or not prices else state.job.paper.price
