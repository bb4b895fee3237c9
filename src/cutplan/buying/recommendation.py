"""What to buy, in one line, with what stands behind it."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Sequence

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
    must_measure
        True when they are certain only if all that are needed are measured before the first cut.
    open_first
        Of these, how many are likely to be enough when measured first; the rest stay sealed until they are needed.
    chance
        The chance that those are enough; 1 when it is certain.

    """

    size: Size
    buy: int
    must_measure: bool
    open_first: int
    chance: Fraction

    @property
    def returned(self) -> int:
        """Rolls expected to go back unopened."""
        return self.buy - self.open_first

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
    """Return what to buy: enough in any case, with as few rolls as measuring first allows, and what may come back.

    Rolls are opened one after another until they are enough; none is cut before that, so that nothing is lost by it.
    """
    buy = max(opened.figure.enough, 0 if short is None else short.opened.enough)
    as_they_come = max(sure.figure.enough, 0 if short is None else short.figure.enough)
    likely = [chance for chance in odds if chance.chance > LIKELY]
    if likely:
        return Recommendation(size, buy, buy < as_they_come, likely[0].rolls, likely[0].chance)
    return Recommendation(size, buy, buy < as_they_come, opened.figure.enough, Fraction(1))
