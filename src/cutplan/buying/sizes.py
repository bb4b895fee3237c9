"""The choice among the sizes in which a paper is sold."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from cutplan.buying.certain import certain_figure
from cutplan.buying.need import Need
from cutplan.errors import NoPlanError
from cutplan.paper.stock import Lot
from cutplan.solve import solve

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cutplan.buying.certain import Figure
    from cutplan.buying.need import Size
    from cutplan.job.job import Job
    from cutplan.solve.clock import Clock

MOST_SECONDS: Final = 2.0
"""A cheapest mixture may take long to prove; a good one is found at once."""


@dataclass(frozen=True, slots=True)
class SizeChoice:
    """How many rolls of one size would do alone.

    Attributes
    ----------
    size
        The size.
    figure
        Rolls to buy to be certain, each as short as it may be; None when a drop is too long for such a roll.

    """

    size: Size
    figure: Figure | None

    @property
    def cost(self) -> Fraction | None:
        """What they cost; None when they would not do or the price is not known."""
        return None if self.figure is None or self.size.price is None else self.figure.enough * self.size.price


@dataclass(frozen=True, slots=True)
class Mixture:
    """The cheapest rolls of all sizes together.

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


def choices(job: Job, sizes: Sequence[Size], tolerance: Fraction, clock: Clock) -> tuple[SizeChoice, ...]:
    """Return what each size alone would take, every roll short by ``tolerance`` of its length."""
    return tuple(SizeChoice(size, _figure(Need(job, size), tolerance, clock)) for size in sizes)


def _figure(need: Need, tolerance: Fraction, clock: Clock) -> Figure | None:
    try:
        return certain_figure(need.with_length(need.size.length * (1 - tolerance)), clock)
    except NoPlanError:
        return None


def mixture(job: Job, sizes: Sequence[Size], tolerance: Fraction, clock: Clock) -> Mixture | None:
    """Return the cheapest mixture of sizes; None when a price is missing or no mixture would do."""
    if any(size.price is None for size in sizes):
        return None
    in_hand = (replace(lot, price=Fraction(0)) for lot in job.lots if lot.count is not None)
    labels = {f"size {number}": size for number, size in enumerate(sizes, start=1)}
    lots = (Lot(label, size.length * (1 - tolerance), None, None, price=size.price) for label, size in labels.items())
    try:
        plan = solve(replace(job, lots=(*in_hand, *lots)), time_limit=min(clock.left, MOST_SECONDS))
    except NoPlanError:
        return None
    rolls = [
        (size, sum(layout.count for layout in plan.layouts if layout.lot == label)) for label, size in labels.items()
    ]
    bought = tuple((size, count) for size, count in rolls if count)
    cost = sum((count * (size.price or Fraction(0)) for size, count in bought), Fraction(0))
    return Mixture(bought, cost, plan.proof.bound)
