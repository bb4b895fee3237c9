"""Lower bounds: what the linear relaxation of the arc-flow model says, proved in whole numbers.

Columns are generated as in Gilmore and Gomory (Operations Research 9 (1961) 849–859). Duals of the linear
programme are rounded to whole prices, and the exact value of every window at those prices gives the bound of
Farley (Operations Research 38 (1990) 922–923): whatever the rounding, the bound holds, and the prices are
its certificate.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from math import ceil, gcd
from typing import TYPE_CHECKING

import numpy as np
from ortools.linear_solver import pywraplp

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from cutplan.solve.clock import Clock
    from cutplan.solve.instance import Instance
    from cutplan.solve.layout import Layout
    from cutplan.solve.rolls import Prices, Rolls

SCALE = 720_720 << 12
"""Whole prices per unit of roll value: a multiple of 1 to 16, so that common fractions stay exact."""

UNUSED = 1e-9
"""A column used no more than this in the linear programme is not used."""


@dataclass(frozen=True, slots=True)
class Certificate:
    """Prices of kinds, premiums of roll types, and the scale at which no roll beats them.

    Every layout of roll type t is worth at most ``scale × value of t + premiums[t]``.
    """

    prices: tuple[int, ...]
    premiums: tuple[int, ...]
    scale: int
    bound: Fraction

    @property
    def whole_bound(self) -> int:
        """The bound rounded up: plans are worth whole numbers."""
        return ceil(self.bound)


@dataclass(frozen=True, slots=True)
class Relaxation:
    """The best certificate found, the columns of the linear programme, and how much each is used in it."""

    certificate: Certificate
    use: dict[Layout, float] = field(default_factory=dict)


def certify(instance: Instance, prices: Prices, worth: Sequence[int], scale: int) -> Certificate:
    """Return what ``prices`` prove, given the most that a roll of each type can be worth at them.

    Whatever the prices, premiums and, if need be, the scale are raised until the certificate holds.
    """
    for roll_type, most in zip(instance.roll_types, worth, strict=True):
        if roll_type.supply is None and roll_type.value:
            scale = max(scale, -(-most // roll_type.value))
    premiums = tuple(
        max(0, most - scale * roll_type.value) for roll_type, most in zip(instance.roll_types, worth, strict=True)
    )
    if any(premium and roll.supply is None for premium, roll in zip(premiums, instance.roll_types, strict=True)):
        return nothing_proved(instance)
    price_of = prices.tolist()
    total = sum(price * kind.demand for price, kind in zip(price_of, instance.kinds, strict=True))
    total -= sum(premium * (roll.supply or 0) for premium, roll in zip(premiums, instance.roll_types, strict=True))
    if total <= 0:
        return nothing_proved(instance)
    common = gcd(scale, *price_of, *premiums)
    return Certificate(
        tuple(price // common for price in price_of),
        tuple(premium // common for premium in premiums),
        scale // common,
        Fraction(total, scale),
    )


def nothing_proved(instance: Instance) -> Certificate:
    """Return the certificate of the bound 0."""
    return Certificate((0,) * len(instance.kinds), (0,) * len(instance.roll_types), 1, Fraction(0))


def relax(
    instance: Instance,
    rolls: Rolls,
    columns: Iterable[Layout],
    clock: Clock,
    *,
    good_enough: int | None = None,
) -> Relaxation:
    """Return the linear relaxation's bound and solution.

    ``columns`` must hold a feasible plan. The generation stops early once the bound, rounded up, reaches
    ``good_enough``, if given.
    """
    master = _Master(instance, columns)
    best = nothing_proved(instance)
    while True:
        clock.check()
        prices, use = master.solve()
        worth = rolls.worth(prices)
        certificate = certify(instance, prices, worth.by_type, SCALE)
        if certificate.bound > best.bound:
            best = certificate
        if good_enough is not None and best.whole_bound >= good_enough:
            return Relaxation(best, use)
        if not master.add(worth.layouts_above(master.allowance)):
            return Relaxation(best, use)


class _Master:
    """The linear programme over the columns known so far: least value that covers every demand."""

    def __init__(self, instance: Instance, columns: Iterable[Layout]) -> None:
        self.instance = instance
        self.solver = pywraplp.Solver.CreateSolver("GLOP")
        self.objective = self.solver.Objective()
        self.objective.SetMinimization()
        infinity = self.solver.infinity()
        self.wanted = [self.solver.Constraint(float(kind.demand), infinity) for kind in instance.kinds]
        self.limited = [
            None if roll_type.supply is None else self.solver.Constraint(-infinity, float(roll_type.supply))
            for roll_type in instance.roll_types
        ]
        self.columns: dict[tuple[int, tuple[tuple[int, int], ...]], tuple[Layout, pywraplp.Variable]] = {}
        self.allowance = [0] * len(instance.roll_types)
        self.add(columns)

    def add(self, layouts: Iterable[Layout]) -> bool:
        """Add a column for each layout that is new; return True when there was one."""
        before = len(self.columns)
        for layout in layouts:
            counts = tuple(sorted(layout.counts.items()))
            key = (layout.roll_type, counts)
            if key in self.columns:
                continue
            variable = self.solver.NumVar(0.0, self.solver.infinity(), "")
            self.objective.SetCoefficient(variable, float(self.instance.roll_types[layout.roll_type].value))
            for kind, count in counts:
                self.wanted[kind].SetCoefficient(variable, float(count))
            limit = self.limited[layout.roll_type]
            if limit is not None:
                limit.SetCoefficient(variable, 1.0)
            self.columns[key] = (layout, variable)
        return len(self.columns) > before

    def solve(self) -> tuple[Prices, dict[Layout, float]]:
        """Return whole prices of the kinds, and the columns in use. Sets ``allowance`` of each roll type."""
        status = self.solver.Solve()
        if status != pywraplp.Solver.OPTIMAL:
            raise ArithmeticError(f"the linear programme ended with status {status}")
        prices = np.array([round(max(0.0, row.dual_value()) * SCALE) for row in self.wanted], dtype=np.int64)
        for index, (roll_type, limit) in enumerate(zip(self.instance.roll_types, self.limited, strict=True)):
            premium = 0.0 if limit is None else max(0.0, -limit.dual_value())
            self.allowance[index] = roll_type.value * SCALE + round(premium * SCALE) + (SCALE >> 24)
        use = {layout: variable.solution_value() for layout, variable in self.columns.values()}
        return prices, {layout: amount for layout, amount in use.items() if amount > UNUSED}
