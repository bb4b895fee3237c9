"""The choice among the sizes in which a paper is sold."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from itertools import product
from math import prod
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from cutplan.buying.certain import Figure, certain_figure
from cutplan.buying.need import Need, Size
from cutplan.buying.reckoning import Reckoning
from cutplan.errors import NoPlanError
from cutplan.solve import solve
from cutplan.solve.clock import Clock

MOST_SECONDS: Final = 2.0
"""A cheapest mixture may take long to prove; a good one is found at once."""

MOST_CHOICES: Final = 2000
"""With more choices of packets than this, the cheapest is not looked for one by one."""


class SizeChoice(Struct, frozen=True):
    """How many rolls of one size would do alone, each as short as it may be.

    ``found`` is what is known of it; None when a drop is too long for such a roll.
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
        return None if rolls is None else self.size.cost(rolls)


class Mixture(Struct, frozen=True):
    """The cheapest rolls of all sizes together, cut as they come, each as short as it may be.

    ``rolls`` are how many of each size that is bought; no mixture costs less than ``least_cost``.
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


def mixture(need: Need, sizes: Sequence[Size], tolerance: Fraction, clock: Clock) -> Mixture | None:
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
        plan = solve(replace(short.job, lots=(*in_hand, *lots)), time_limit=min(clock.left, MOST_SECONDS))
    except NoPlanError:
        return None
    rolls = [
        (size, sum(layout.count for layout in plan.layouts if layout.lot == label)) for label, size in labels.items()
    ]
    # Where all sizes cost the same, rolls were counted.
    of_one = Fraction(1) if plan.job.counts_cost else sizes[0].price or Fraction(0)
    found = _mixed(rolls, plan.proof.bound * of_one)
    return found if found.is_proved else _of_whole_packets(short, sizes, tolerance, found, clock)


def _mixed(rolls: Iterable[tuple[Size, int]], least_cost: Fraction) -> Mixture:
    bought = tuple((size, size.bought(count)) for size, count in rolls if count)
    return Mixture(bought, sum((size.cost(count) or Fraction(0) for size, count in bought), Fraction(0)), least_cost)


def _of_whole_packets(short: Need, sizes: Sequence[Size], tolerance: Fraction, found: Mixture, clock: Clock) -> Mixture:
    """Return the cheapest mixture where packets are not broken, which a price for each roll says little of.

    Every choice of packets of the shorter sizes is tried that might be cheaper, the cheapest first; the solver says how
    many rolls of the longest are needed beside it. When time runs out the bound is what the prices of rolls prove.
    """
    longest, *others = sorted(sizes, key=lambda size: -size.length)
    if all(size.sale.packet == 1 for size in sizes) or any(not size.price for size in sizes):
        return found
    best, least = found, None
    packets = [
        range(0, int(found.cost / (size.cost(1) or 1)) * size.sale.packet + 1, size.sale.packet) for size in others
    ]
    if prod(map(len, packets)) > MOST_CHOICES:
        return found
    choices = [_mixed(zip(others, rolls, strict=True), found.least_cost) for rolls in product(*packets)]
    for beside in sorted(choices, key=lambda choice: choice.cost):
        if beside.cost >= best.cost:
            break
        if not clock.left:
            return best
        figure = certain_figure(_beside(short, longest, tolerance, beside), clock)
        tried = _mixed([*beside.rolls, (longest, figure.enough)], found.least_cost)
        best = min(best, tried, key=lambda mixed: mixed.cost)
        cost = beside.cost + (longest.cost(figure.least) or Fraction(0))
        least = cost if least is None else min(least, cost)
    return replace(best, least_cost=best.cost if least is None else max(found.least_cost, min(least, best.cost)))


def _beside(short: Need, longest: Size, tolerance: Fraction, bought: Mixture) -> Need:
    """Return what is needed of the longest size beside rolls that are bought, all as short as they may be."""
    (new,) = short.new
    lots = (
        replace(new, label=f"size {number} of {new.label}", length=size.length * (1 - tolerance), count=count)
        for number, (size, count) in enumerate(bought.rolls, start=1)
    )
    size = Size(longest.length * (1 - tolerance))
    return replace(short, job=replace(short.job, lots=(*short.in_hand, *lots)), size=size)
