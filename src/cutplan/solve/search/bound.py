"""Lower bounds: what the linear relaxation of the arc-flow model says, proved in whole numbers.

Columns are generated as in Gilmore and Gomory (Operations Research 9 (1961) 849–859). Duals of the linear programme are
rounded to whole prices, which certify a bound whatever the rounding.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from ortools.linear_solver import pywraplp

from cutplan.solve.search.certificate import SCALE, certify, nothing_proved

if TYPE_CHECKING:
    from collections.abc import Iterable

    from cutplan.solve.clock import Clock
    from cutplan.solve.instance import Instance
    from cutplan.solve.layout import Layout
    from cutplan.solve.roll.holding import Prices, Pricing
    from cutplan.solve.search.certificate import Certificate

_Column = tuple[int, tuple[tuple[int, int], ...]]
"""What layouts have in common that the linear programme cannot tell apart: roll type, and number of each kind."""

_LONGEST = 86_400
"""Seconds after which no linear programme is waited for any longer."""

UNUSED = 1e-9
"""A column used no more than this in the linear programme is not used."""


@dataclass(frozen=True, slots=True)
class Relaxation:
    """The best certificate found, the columns of the linear programme, and how much each is used in it."""

    certificate: Certificate
    use: dict[Layout, float] = field(default_factory=dict)


def relax(
    instance: Instance,
    rolls: Pricing,
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
        prices = master.solve(clock)
        worth = rolls.worth(prices)
        certificate = certify(instance, prices, worth.by_type, SCALE)
        if certificate.bound > best.bound:
            best = certificate
        if good_enough is not None and best.whole_bound >= good_enough:
            return Relaxation(best, master.use())
        fresh = master.new_among(worth.layouts_above(master.allowance))
        if not fresh:
            return Relaxation(best, master.use())
        master.add(fresh)


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
        self.columns: dict[_Column, tuple[Layout, pywraplp.Variable]] = {}
        self.allowance = [0] * len(instance.roll_types)
        self.add(self.new_among(columns))

    def new_among(self, layouts: Iterable[Layout]) -> dict[_Column, Layout]:
        """Return the layouts of which the programme has no column yet."""
        found: dict[_Column, Layout] = {}
        for layout in layouts:
            column = (layout.roll_type, tuple(sorted(layout.counts.items())))
            if column not in self.columns:
                found.setdefault(column, layout)
        return found

    def add(self, fresh: dict[_Column, Layout]) -> None:
        """Add a column for each of these new layouts."""
        for column, layout in fresh.items():
            roll_type, counts = column
            variable = self.solver.NumVar(0.0, self.solver.infinity(), "")
            self.objective.SetCoefficient(variable, float(self.instance.roll_types[roll_type].value))
            for kind, count in counts:
                self.wanted[kind].SetCoefficient(variable, float(count))
            limit = self.limited[roll_type]
            if limit is not None:
                limit.SetCoefficient(variable, 1.0)
            self.columns[column] = (layout, variable)

    def solve(self, clock: Clock) -> Prices:
        """Return whole prices of the kinds, and set ``allowance`` of each roll type."""
        self.solver.SetTimeLimit(max(1, int(min(clock.left, _LONGEST) * 1000)))
        if self.solver.Solve() != pywraplp.Solver.OPTIMAL:
            clock.check()
            self._solve_plainly()
        for index, (roll_type, limit) in enumerate(zip(self.instance.roll_types, self.limited, strict=True)):
            premium = 0.0 if limit is None else max(0.0, -limit.dual_value())
            self.allowance[index] = roll_type.value * SCALE + round(premium * SCALE) + (SCALE >> 24)
        return np.array([round(max(0.0, row.dual_value()) * SCALE) for row in self.wanted], dtype=np.int64)

    def use(self) -> dict[Layout, float]:
        """Return the columns in use as last solved, before others are added."""
        use = {layout: variable.solution_value() for layout, variable in self.columns.values()}
        return {layout: amount for layout, amount in use.items() if amount > UNUSED}

    def _solve_plainly(self) -> None:
        """Solve once more without presolve, after which GLOP rarely ends as «abnormal»."""
        plainly = pywraplp.MPSolverParameters()
        plainly.SetIntegerParam(plainly.PRESOLVE, plainly.PRESOLVE_OFF)
        status = self.solver.Solve(plainly)
        if status != pywraplp.Solver.OPTIMAL:
            raise ArithmeticError(f"the linear programme ended with status {status}")
