"""Whole plans from a fractional one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import floor
from typing import TYPE_CHECKING

from cutplan.solve.clock import Clock
from cutplan.solve.instance import Instance
from cutplan.solve.layout import Layout
from cutplan.solve.search.bound import Relaxation, relax
from cutplan.solve.search.certificate import filling_prices, nothing_proved
from cutplan.solve.search.greedy import Layouts, both_plans, fill_rolls, take

if TYPE_CHECKING:
    from cutplan.solve.roll.holding import Rolls

THRESHOLDS = (0.0, 0.2, 0.4, 0.6)
"""A column used x times in the relaxation is cut ⌊x + threshold⌋ times, and the rest filled roll by roll."""

NEARLY = 1e-6
"""What a linear programme may lack of a whole number."""


def round_and_fill(instance: Instance, rolls: Rolls, relaxation: Relaxation) -> Iterator[Layouts]:
    """Yield plans made by rounding the relaxation at each threshold and filling rolls with what remains."""
    prices = filling_prices(instance, relaxation.certificate)
    for threshold in THRESHOLDS:
        layouts: Layouts = {}
        remaining, supply = _wanted(instance)
        for layout, use in _most_used(relaxation.use):
            take(layouts, layout, remaining, supply, floor(use + threshold + NEARLY))
        rest = fill_rolls(instance, rolls, prices, remaining, supply)
        if rest is not None:
            yield both_plans(layouts, rest)


def round_and_relax(instance: Instance, rolls: Rolls, relaxation: Relaxation, clock: Clock) -> Layouts | None:
    """Return the plan found by cutting the most used columns and relaxing the rest anew until nothing remains."""
    layouts: Layouts = {}
    remaining, supply = _wanted(instance)
    use = relaxation.use
    while True:
        for layout, amount in _most_used(use):
            take(layouts, layout, remaining, supply, floor(amount + NEARLY))
        if any(remaining):
            fullest = max(use, key=lambda layout: (use[layout] - floor(use[layout] + NEARLY), layout.kinds))
            take(layouts, fullest.within(remaining), remaining, supply, 1)
        if not any(remaining):
            return layouts
        rest = fill_rolls(instance, rolls, filling_prices(instance, relaxation.certificate), remaining, supply)
        if rest is None:
            return None
        smaller = instance.with_demands(remaining, supply)
        columns = [*rest, *use]
        use = relax(smaller, rolls, columns, clock, start=nothing_proved(smaller)).use


def _wanted(instance: Instance) -> tuple[list[int], list[int | None]]:
    return [kind.demand for kind in instance.kinds], [roll_type.supply for roll_type in instance.roll_types]


def _most_used(use: Mapping[Layout, float]) -> list[tuple[Layout, float]]:
    return sorted(use.items(), key=lambda item: (-item[1], item[0].roll_type, item[0].kinds))
