"""Lower bounds: what the linear relaxation of the arc-flow model says, proved in whole numbers.

Columns are generated as in Gilmore and Gomory (Operations Research 9 (1961) 849–859). Duals of the linear programme are
rounded to whole prices, which certify a bound whatever the rounding.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from ortools.linear_solver import pywraplp

from cutplan.solve.certificate import SCALE, certify, nothing_proved

if TYPE_CHECKING:
    from collections.abc import Iterable

    from cutplan.solve.certificate import Certificate
    from cutplan.solve.clock import Clock
    from cutplan.solve.instance import Instance
    from cutplan.solve.layout import Layout
    from cutplan.solve.rolls import Prices, Rolls

UNUSED = 1e-9
"""A column used no more than this in the linear programme is not used."""


@dataclass(frozen=True, slots=True)
class Relaxation:
    """The best certificate found, the columns of the linear programme, and how much each is used in it."""

    certificate: Certificate
    use: dict[Layout, float] = field(default_factory=dict)


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
        if self.solver.Solve() != pywraplp.Solver.OPTIMAL:
            self._solve_plainly()
        prices = np.array([round(max(0.0, row.dual_value()) * SCALE) for row in self.wanted], dtype=np.int64)
        for index, (roll_type, limit) in enumerate(zip(self.instance.roll_types, self.limited, strict=True)):
            premium = 0.0 if limit is None else max(0.0, -limit.dual_value())
            self.allowance[index] = roll_type.value * SCALE + round(premium * SCALE) + (SCALE >> 24)
        use = {layout: variable.solution_value() for layout, variable in self.columns.values()}
        return prices, {layout: amount for layout, amount in use.items() if amount > UNUSED}

    def _solve_plainly(self) -> None:
        """Solve once more without presolve, after which GLOP rarely ends as «abnormal»."""
        plainly = pywraplp.MPSolverParameters()
        plainly.SetIntegerParam(plainly.PRESOLVE, plainly.PRESOLVE_OFF)
        status = self.solver.Solve(plainly)
        if status != pywraplp.Solver.OPTIMAL:
            raise ArithmeticError(f"the linear programme ended with status {status}")
