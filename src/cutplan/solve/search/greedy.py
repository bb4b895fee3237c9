"""First plans: rolls filled one after another."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from cutplan.solve.instance import Instance
from cutplan.solve.layout import Layout

if TYPE_CHECKING:
    from cutplan.solve.roll.holding import Fillable, Filler, Prices

Layouts = dict["Layout", int]
"""Layouts and how many rolls are cut like each."""

STRESS = 1.02
"""Exponent by which long drops count for more than their length when prices are corrected."""


A_FEW = 50
"""One in so many kinds may have run out before it is reckoned anew what rolls can be worth."""


def fill_rolls(
    instance: Instance, rolls: Filler, prices: Prices, demands: Sequence[int], supply: Sequence[int | None]
) -> Layouts | None:
    """Return layouts for ``demands`` of each kind, or None when ``supply`` runs out first.

    Rolls are filled with the most valuable drops still wanted, the roll whose filling is worth most for what it
    costs first. What rolls can be worth is reckoned anew only when more than a few of the kinds have run out: until
    then it is a little too much, which steers the filling nearly as well.
    """
    layouts: Layouts = {}
    remaining = list(demands)
    left = list(supply)
    worth, priced = None, 0
    while wanted := len(remaining) - remaining.count(0):
        if worth is None or (priced - wanted) * A_FEW > priced:
            now = [int(price) if number else 0 for price, number in zip(prices, remaining, strict=True)]
            worth, priced = rolls.worth(now), wanted
        layout = _next_layout(instance, worth, prices, remaining, left)
        if layout is None:
            return None
        take(layouts, layout, remaining, left)
    return layouts


def fill_with_corrections(instance: Instance, rolls: Filler, prices: Prices, passes: int) -> Iterator[Layouts]:
    """Yield a plan for each pass, after each of which drops that lay on wasteful rolls become dearer.

    References
    ----------
    The sequential value correction of Mukhacheva, Belov, Kartack and Mukhacheva, Pesquisa Operacional 20 (2000)
    153–168.

    """
    demands = [kind.demand for kind in instance.kinds]
    supply = [roll_type.supply for roll_type in instance.roll_types]
    for _ in range(passes):
        layouts = fill_rolls(instance, rolls, prices, demands, supply)
        if layouts is None:
            return
        yield layouts
        prices = _corrected(instance, prices, layouts)


def _corrected(instance: Instance, before: Prices, layouts: Layouts) -> Prices:
    """Return the mean of each price and what the drop's share of its rolls costs."""
    import numpy as np  # noqa: PLC0415 - late: most rooms need no corrections

    prices = np.asarray(before, dtype=np.int64)
    cost = np.zeros(len(prices))
    times_cut = np.zeros(len(prices))
    length_of = np.array([kind.length for kind in instance.kinds], dtype=float)
    scale = float(prices.max()) / float(length_of.max())
    for layout, times in layouts.items():
        kinds = list(layout.kinds)
        span = instance.room_on(instance.roll_types[layout.roll_type])
        share = span / float(length_of[kinds].sum())
        np.add.at(cost, kinds, times * share * scale * length_of[kinds] ** STRESS / length_of.max() ** (STRESS - 1))
        np.add.at(times_cut, kinds, times)
    fresh = np.divide(cost, times_cut, out=prices.astype(float), where=times_cut > 0)
    mean: Prices = np.maximum(1, (prices + fresh) / 2).astype(np.int64)
    return mean


def take(
    layouts: Layouts, layout: Layout, remaining: list[int], supply: list[int | None], most: int | None = None
) -> int:
    """Add ``layout`` as often as ``remaining`` and ``supply`` allow, at most ``most`` times; return how often."""
    limits = [remaining[kind] // count for kind, count in layout.counts.items()]
    limits += [limit for limit in (supply[layout.roll_type], most) if limit is not None]
    times = min(limits)
    if times > 0:
        layouts[layout] = layouts.get(layout, 0) + times
        for kind, count in layout.counts.items():
            remaining[kind] -= count * times
        stock = supply[layout.roll_type]
        supply[layout.roll_type] = None if stock is None else stock - times
    return times


def _next_layout(
    instance: Instance, worth: Fillable, prices: Prices, remaining: Sequence[int], supply: Sequence[int | None]
) -> Layout | None:
    in_stock = [roll_type for roll_type, left in enumerate(supply) if left != 0]
    if len(in_stock) == 1:
        layout = worth.fill(in_stock[0], remaining)
        return layout if layout.kinds else None
    costs = [roll_type.value for roll_type in instance.roll_types]
    rates = [_rate(most, cost) for most, cost in zip(worth.by_type, costs, strict=True)]
    best: Layout | None = None
    best_rate = 0.0
    for roll_type in sorted(range(len(rates)), key=lambda roll_type: -rates[roll_type]):
        if rates[roll_type] <= best_rate:
            break
        if supply[roll_type] == 0:
            continue
        layout = worth.fill(roll_type, remaining)
        rate = _rate(sum(int(prices[kind]) for kind in layout.kinds), costs[roll_type])
        if rate > best_rate:
            best, best_rate = layout, rate
    return best


def _rate(worth: int, cost: int) -> float:
    """Return worth for what it costs; rolls that cost nothing come first."""
    return worth / cost if cost else worth * 1e9


def both_plans(one: Layouts, other: Layouts) -> Layouts:
    """Return both plans as one."""
    both = dict(one)
    for layout, times in other.items():
        both[layout] = both.get(layout, 0) + times
    return both
