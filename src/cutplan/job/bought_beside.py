"""Rolls bought as needed beside rolls in hand: a plan buys the fewest, and of such plans opens the fewest.

Each of the two counts rolls that are all worth the same, and is asked and proved as in any other job: first how many
are bought when those in hand cost nothing, then how many are opened of those in hand and so many more. As one number a
roll bought outweighs all rolls in hand together.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from msgspec.structs import replace

from cutplan.lengths import ZERO
from cutplan.paper.stock import Lot


def are_bought_beside(lots: Sequence[Lot]) -> bool:
    """Return True when rolls are bought as needed beside rolls in hand, and no two of them differ in price."""
    rolls = [lot for lot in lots if not lot.is_offcut]
    return len({lot.price for lot in rolls}) == 1 and len({lot.count is None for lot in rolls}) > 1


def weight_of_bought(lots: Sequence[Lot]) -> int:
    """Return what a roll bought counts where each in hand counts 1; 1 too where none is bought beside others."""
    return 1 + sum(lot.count or 0 for lot in lots if not lot.is_offcut) if are_bought_beside(lots) else 1


def in_hand_for_nothing(lots: Sequence[Lot]) -> tuple[Lot, ...]:
    """Return lots by which the least value of a job is the number of rolls to buy."""
    return tuple(
        lot if lot.is_offcut else replace(lot, price=ZERO if lot.count is not None else Fraction(1)) for lot in lots
    )


def when_bought(lots: Sequence[Lot], rolls: int) -> tuple[Lot, ...]:
    """Return lots by which the fewest rolls are opened once so many are bought.

    Where several lots are bought as needed nobody has told of which: each roll then costs what it weighs.
    """
    if sum(lot.count is None for lot in lots) == 1:
        return tuple(replace(lot, count=max(rolls, 1)) if lot.count is None else lot for lot in lots)
    weight = Fraction(weight_of_bought(lots))
    return tuple(
        lot if lot.is_offcut else replace(lot, price=Fraction(1) if lot.count is not None else weight) for lot in lots
    )
