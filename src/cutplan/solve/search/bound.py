"""Lower bounds: what the linear relaxation of the arc-flow model says, proved in whole numbers.

Columns are generated as in Gilmore and Gomory (Operations Research 9 (1961) 849–859). Duals of the linear programme are
rounded to whole prices, which certify a bound whatever the rounding.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import pairwise
from math import ceil
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from msgspec import Struct, field
from ortools.linear_solver import pywraplp

from cutplan.plan.plan import TIME_LIMIT
from cutplan.solve.clock import Clock, TimeIsUp
from cutplan.solve.instance import Instance
from cutplan.solve.layout import Layout
from cutplan.solve.search.certificate import SCALE, Certificate, certify, nothing_proved
from cutplan.solve.search.outcome import say_nothing

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from cutplan.solve.roll.holding import Priced, Pricing

    Prices = NDArray[np.int64]

_Column = tuple[int, tuple[tuple[int, int], ...]]
"""What layouts have in common that the linear programme cannot tell apart: roll type, and number of each kind."""

_LONGEST = 86_400
"""Seconds after which no linear programme is waited for any longer."""

MANY_KINDS = 60
"""With more kinds than this, the prices of the linear programme are steadied."""

WEIGHTS = (0.8, 0.4)
"""How much the best prices so far count beside those of the linear programme, as long as that leads to columns."""

APART = 24
"""How many times columns are sought that have no drops in common with those before."""

NEARLY = 1e-6
"""By how much the value of a linear programme may be out."""

UNUSED = 1e-9
"""A column used no more than this in the linear programme is not used."""


class Relaxation(Struct, frozen=True):
    """The best certificate found, how much each layout is used in the linear programme, and all that it knows."""

    certificate: Certificate
    use: dict[Layout, float] = field(default_factory=dict)
    columns: tuple[Layout, ...] = ()


def relax(
    instance: Instance,
    rolls: Pricing,
    columns: Iterable[Layout],
    clock: Clock,
    *,
    good_enough: int | None = None,
    low_enough: int = 0,
    start: Certificate | None = None,
    prove: Callable[[Certificate], None] = say_nothing,
) -> Relaxation:
    """Return the linear relaxation's bound and solution.

    ``columns`` must hold a feasible plan. The generation stops early once the bound, rounded up, reaches
    ``good_enough``, if given, or the programme's value is down to ``low_enough``. ``start`` is a certificate of
    ``instance`` that is known already, or of the bound 0; with it the prices of many kinds are steadied, for which
    ``rolls`` must hold a shorter drop where they hold a longer one.
    ``prove`` is told of every better certificate at once, so that it is known even when time is up before the end.
    """
    master, nothing = _Master(instance, columns), nothing_proved(instance)
    enough = _Enough(good_enough, low_enough)
    if start is not None and is_large(instance):
        return _Steadied(master, rolls, clock, start, enough=enough, prove=prove).relaxation()
    return _Generation(master, rolls, clock, nothing, enough=enough, prove=prove).relaxation()


def is_large(instance: Instance) -> bool:
    """Return True when the prices of the linear programme would wander for long before they prove anything.

    A shorter drop must be able to take the place of a longer one of its phase on every roll.
    """
    plain = all(roll.holds is None and not roll.is_mirrored for roll in instance.roll_types)
    return plain and instance.repeat > 0 and len(instance.kinds) > MANY_KINDS


class _Enough(NamedTuple):
    """The whole bound, and the value of the linear programme, at which no more columns are wanted."""

    bound: int | None
    value: int


class _Generation:
    """Columns generated at the prices of the linear programme, until none is worth more than its roll."""

    def __init__(
        self,
        master: _Master,
        rolls: Pricing,
        clock: Clock,
        best: Certificate,
        *,
        enough: _Enough,
        prove: Callable[[Certificate], None],
    ) -> None:
        self.master = master
        self.rolls = rolls
        self.clock = clock
        self.best = best
        self.enough = enough
        self.prove = prove

    @property
    def is_enough(self) -> bool:
        """True when the bound is as good as wanted, or the linear programme's value as low."""
        is_low = self.master.value <= self.enough.value + NEARLY
        return is_low or (self.enough.bound is not None and self.best.whole_bound >= self.enough.bound)

    def relaxation(self) -> Relaxation:
        """Generate columns until the bound is good enough or the best there is."""
        while True:
            self.clock.check()
            prices = self.master.solve(self.clock)
            fresh = {} if self.is_enough else self._fresh(prices)
            if self.is_enough or self._has_ended(fresh):
                return Relaxation(self.best, self.master.use(), self.master.layouts)
            self.master.add(fresh)

    def _fresh(self, prices: Prices) -> dict[_Column, Layout]:
        """Return new columns that are worth more than their rolls at these prices, if the bound is not good enough."""
        worth = self._worth(prices)
        return {} if self.is_enough else self.master.new_among(worth.layouts_above(self.master.allowance))

    def _has_ended(self, fresh: dict[_Column, Layout]) -> bool:
        return not fresh

    def _worth(self, prices: Prices) -> Priced:
        """Return what rolls are worth at ``prices``, having kept the certificate if it is the best."""
        worth = self.rolls.worth(prices)
        certificate = certify(self.master.instance, prices, worth.by_type, SCALE)
        if certificate.bound > self.best.bound:
            self.best = certificate
            self.prove(certificate)
        return worth


class _Steadied(_Generation):
    """Columns generated for hundreds of kinds, in a tenth of the time.

    Prices are held near the best known ones, a longer drop is never cheaper than a shorter one of its phase, and
    columns are added that have no drops in common.

    References
    ----------
    The smoothing of Wentges, International Transactions in Operational Research 4 (1997) 151–162; the inequalities
    between prices of Valério de Carvalho, INFORMS Journal on Computing 17 (2005) 175–182.

    """

    def relaxation(self) -> Relaxation:
        """Generate columns until the bound is good enough or the best there is."""
        self.master.let_shorter_drops_replace_longer()
        return super().relaxation()

    def _fresh(self, prices: Prices) -> dict[_Column, Layout]:
        for weight in WEIGHTS:
            centre = np.array([price * SCALE // self.best.scale for price in self.best.prices], dtype=np.int64)
            between = np.rint(weight * centre + (1 - weight) * prices).astype(np.int64)
            fresh = self._columns(between, prices)
            if fresh or self.is_enough:
                return fresh
        return super()._fresh(prices)

    def _columns(self, between: Prices, prices: Prices) -> dict[_Column, Layout]:
        """Return the best columns at the prices ``between``, then those without the drops of these, and so on."""
        master = self.master
        fresh: dict[_Column, Layout] = {}
        rest = between.copy()
        worth = self._worth(between)
        for _ in range(0 if self.is_enough else APART):
            best = worth.layouts_above([-1] * len(master.allowance))
            more = master.new_among(
                layout for layout in best if int(prices[list(layout.kinds)].sum()) > master.allowance[layout.roll_type]
            )
            if not more.keys() - fresh.keys():
                break
            fresh |= more
            rest[[kind for _, counts in more for kind, _ in counts]] = 0
            self.clock.check()
            worth = self.rolls.worth(rest)
        return fresh

    def _has_ended(self, fresh: dict[_Column, Layout]) -> bool:
        """Return True when neither the bound nor, rounded up, the linear programme's value can change any more."""
        is_met = self.best.whole_bound >= ceil(self.master.value - NEARLY)
        return (is_met or not fresh) and not self.master.let_no_drop_replace_another()


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
        self.replacing: list[pywraplp.Variable] = []
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

    def let_shorter_drops_replace_longer(self) -> None:
        """Let a drop of a column be cut shorter, to another drop of its phase; so no longer drop is ever cheaper."""
        kinds = self.instance.kinds
        by_length = sorted(range(len(kinds)), key=lambda kind: (kinds[kind].phase, kinds[kind].length))
        for shorter, longer in pairwise(by_length):
            if kinds[shorter].phase == kinds[longer].phase:
                variable = self.solver.NumVar(0.0, self.solver.infinity(), "")
                self.wanted[shorter].SetCoefficient(variable, 1.0)
                self.wanted[longer].SetCoefficient(variable, -1.0)
                self.replacing.append(variable)

    def let_no_drop_replace_another(self) -> bool:
        """Undo :meth:`let_shorter_drops_replace_longer`; return whether that changes the solution."""
        if all(variable.solution_value() <= UNUSED for variable in self.replacing):
            return False
        for variable in self.replacing:
            variable.SetUb(0.0)
        self.replacing = []
        return True

    @property
    def value(self) -> float:
        """The value of the linear programme as last solved."""
        value: float = self.objective.Value()
        return value

    def solve(self, clock: Clock) -> Prices:
        """Return whole prices of the kinds, and set ``allowance`` of each roll type."""
        self.solver.SetTimeLimit(max(1, int(min(clock.left, _LONGEST) * 1000)))
        if self.solver.Solve() != pywraplp.Solver.OPTIMAL:
            clock.check()
            self._solve_plainly(clock)
        for index, (roll_type, limit) in enumerate(zip(self.instance.roll_types, self.limited, strict=True)):
            premium = 0.0 if limit is None else max(0.0, -limit.dual_value())
            self.allowance[index] = roll_type.value * SCALE + round(premium * SCALE) + (SCALE >> 24)
        return np.array([round(max(0.0, row.dual_value()) * SCALE) for row in self.wanted], dtype=np.int64)

    @property
    def layouts(self) -> tuple[Layout, ...]:
        """The layout of each column."""
        return tuple(layout for layout, _ in self.columns.values())

    def use(self) -> dict[Layout, float]:
        """Return the columns in use as last solved, before others are added."""
        use = {layout: variable.solution_value() for layout, variable in self.columns.values()}
        return {layout: amount for layout, amount in use.items() if amount > UNUSED}

    def _solve_plainly(self, clock: Clock) -> None:
        """Solve once more without presolve, after which GLOP rarely ends as «abnormal»."""
        plainly = pywraplp.MPSolverParameters()
        plainly.SetIntegerParam(plainly.PRESOLVE, plainly.PRESOLVE_OFF)
        status = self.solver.Solve(plainly)
        if status != pywraplp.Solver.OPTIMAL:
            clock.check()
            if status in (pywraplp.Solver.FEASIBLE, pywraplp.Solver.NOT_SOLVED):  # by its own clock, a moment sooner
                raise TimeIsUp(TIME_LIMIT)
            raise ArithmeticError(f"the linear programme ended with status {status}")
