"""What to buy, in one line, with what stands behind it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Sequence
    from fractions import Fraction

    from cutplan.buying.certain import Certain
    from cutplan.buying.need import Size
    from cutplan.buying.odds import Odds
    from cutplan.buying.opened_first import OpenedFirst
    from cutplan.buying.short_rolls import ShortRolls

LIKELY: Final = 0.5
"""So many rolls are expected to be enough whose odds are better than even."""


@dataclass(frozen=True, slots=True)
class Recommendation:
    """What to buy.

    Attributes
    ----------
    size
        Of the rolls.
    buy
        Rolls to buy, all of one batch: certain even if every roll is as short as it may be.
    open_first
        Of these, how many to open and measure before the first cut; the rest stay sealed until they are needed.
    chance
        The chance that those are enough; 1 when it is certain.
    returned
        Rolls expected to go back unopened.

    """

    size: Size
    buy: int
    open_first: int
    chance: Fraction | int
    returned: int

    @property
    def cost(self) -> Fraction | None:
        """What the rolls cost; None when the price is not known."""
        return None if self.size.price is None else self.buy * self.size.price

    @property
    def refund(self) -> Fraction | None:
        """What comes back for those returned."""
        return None if self.size.price is None else self.returned * self.size.price


def recommend(
    size: Size, sure: Certain, opened: OpenedFirst, odds: Sequence[Odds], short: ShortRolls | None
) -> Recommendation:
    """Return what to buy: enough in any case, and what is likely to come back."""
    buy = max(sure.figure.enough, short.figure.enough if short is not None else 0)
    likely = [chance for chance in odds if chance.chance > LIKELY]
    if likely:
        return Recommendation(size, buy, likely[0].rolls, likely[0].chance, buy - likely[0].rolls)
    return Recommendation(size, buy, opened.figure.enough, 1, buy - opened.figure.enough)
