"""The choice among the sizes in which a paper is sold."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from cutplan.errors import NoPlanError
from cutplan.solve import solve

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cutplan.buying.certain import Figure
    from cutplan.buying.need import Need, Size
    from cutplan.buying.reckoning import Reckoning

MOST_SECONDS: Final = 2.0
"""A cheapest mixture may take long to prove; a good one is found at once."""


@dataclass(frozen=True, slots=True)
class SizeChoice:
    """How many rolls of one size would do alone, each as short as it may be.

    Attributes
    ----------
    size
        The size.
    found
        What is known of it; None when a drop is too long for such a roll.

    """

    size: Size
    found: Reckoning | None

    @property
    def figure(self) -> Figure | None:
        """Rolls to buy to be certain, cut as they come; None when a drop is too long for such a roll."""
        if self.found is None:
            return None
        return self.found.sure.figure if self.found.short is None else self.found.short.figure

    @property
    def cost(self) -> Fraction | None:
        """What they cost, cut as they come; None when they would not do or the price is not known."""
        return self._cost(None if self.figure is None else self.figure.enough)

    @property
    def measured_cost(self) -> Fraction | None:
        """What they cost, opened and measured first; None likewise."""
        return self._cost(None if self.found is None else self.found.buy)

    def _cost(self, rolls: int | None) -> Fraction | None:
        return None if rolls is None or self.size.price is None else rolls * self.size.price


@dataclass(frozen=True, slots=True)
class Mixture:
    """The cheapest rolls of all sizes together, cut as they come, each as short as it may be.

    Attributes
    ----------
    rolls
        How many of each size, by its place in the list of sizes; none that is not bought.
    cost
        What they cost.
    least_cost
        No mixture costs less than this.

    """

    rolls: tuple[tuple[Size, int], ...]
    cost: Fraction
    least_cost: Fraction

    @property
    def is_proved(self) -> bool:
        """True when no mixture costs less."""
        return self.cost == self.least_cost


def cheapest(choices: Sequence[SizeChoice], mixed: Mixture | None) -> SizeChoice | Mixture | None:
    """Return what costs least of all that was worked out: a size opened and measured first, or a mixture as it comes.

    None when the price of a size that would do is not known. Of sizes that cost the same the first is taken.
    """
    will_do = [choice for choice in choices if choice.found is not None]
    priced = [(cost, choice) for choice in will_do if (cost := choice.measured_cost) is not None]
    if not priced or len(priced) < len(will_do):
        return None
    cost, best = min(priced, key=lambda pair: pair[0])
    return mixed if mixed is not None and mixed.cost < cost else best


def mixture(need: Need, sizes: Sequence[Size], tolerance: Fraction, seconds: float) -> Mixture | None:
    """Return the cheapest mixture of sizes; None when a price is missing, or no mixture would do.

    None too where rolls in hand are of several batches: which sizes a batch is sold in nobody has told.
    """
    if any(size.price is None for size in sizes) or len(need.batches) > 1:
        return None
    short = need.shortened(tolerance)
    in_hand = (replace(lot, price=Fraction(0)) for lot in short.in_hand)
    (new,) = short.new
    labels = {f"size {number} of {new.label}": size for number, size in enumerate(sizes, start=1)}
    lots = (
        replace(new, label=label, length=size.length * (1 - tolerance), price=size.price)
        for label, size in labels.items()
    )
    try:
        plan = solve(replace(short.job, lots=(*in_hand, *lots)), time_limit=min(seconds, MOST_SECONDS))
    except NoPlanError:
        return None
    rolls = [
        (size, sum(layout.count for layout in plan.layouts if layout.lot == label)) for label, size in labels.items()
    ]
    bought = tuple((size, count) for size, count in rolls if count)
    cost = sum((count * (size.price or Fraction(0)) for size, count in bought), Fraction(0))
    return Mixture(bought, cost, plan.proof.bound)
