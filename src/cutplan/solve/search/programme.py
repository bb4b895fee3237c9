"""An integer programme as the search uses it: least value, every drop cut, no roll type used beyond its supply."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

from msgspec import Struct
from ortools.linear_solver import pywraplp

from cutplan.errors import CutplanError
from cutplan.solve.clock import Clock
from cutplan.solve.instance import Instance
from cutplan.solve.layout import Layout
from cutplan.solve.search.greedy import Layouts

STEP = 0.05
"""Seconds between two looks at the clock."""

PATIENCE = 0.3
"""Seconds after its time for which the programme may still end by itself."""

KNOWN = (pywraplp.Solver.INFEASIBLE, pywraplp.Solver.OPTIMAL, pywraplp.Solver.FEASIBLE)


class LostFolderError(CutplanError):
    """The folder that the program works in was removed, and CBC would end the whole program there."""

    exit_status = 2


class ProgrammeSolved(Struct, frozen=True):
    """What the search found."""

    layouts: Layouts | None
    """A plan of the value asked for, or None."""
    is_decided: bool
    """True when no plan is better than ``layouts``; or, without any, when none has the value asked for."""


class Programme:
    """A programme of CBC, or of SCIP where rolls differ in price: of the solvers at hand these close gaps soonest."""

    def __init__(self, instance: Instance) -> None:
        self.solver = pywraplp.Solver.CreateSolver("SCIP" if instance.has_several_prices else "CBC")

    def whole(self, most: float | None = None) -> pywraplp.Variable:
        """Return a new variable of whole numbers from 0 to ``most``."""
        return self.solver.IntVar(0, self.solver.infinity() if most is None else most, "")

    def ask(
        self,
        instance: Instance,
        cutting: Mapping[int, list[pywraplp.LinearExpr]],
        opened: Mapping[int, list[pywraplp.LinearExpr]],
        target: int,
        *,
        any_will_do: bool = False,
        exactly: bool = False,
    ) -> None:
        """Ask that every drop be cut, no roll type be opened beyond its supply, and the value be ``target`` or less.

        Each drop is cut once, or at least once where not ``exactly``: an equation is much sooner decided.

        ``cutting`` holds for each kind what counts its drops, ``opened`` for each roll type what counts its rolls. It
        is the least value that is asked for, unless any will do.
        """
        for kind, wanted in enumerate(instance.kinds):
            cut = sum(cutting[kind])
            self.solver.Add(cut == wanted.demand if exactly else cut >= wanted.demand)
        for number, roll_type in enumerate(instance.roll_types):
            if roll_type.supply is not None:
                self.solver.Add(sum(opened[number]) <= roll_type.supply)
        value = sum(instance.roll_types[number].value * sum(rolls) for number, rolls in opened.items())
        if not any_will_do:
            self.solver.Minimize(value)
        self.solver.Add(value <= target)

    def decide(self, clock: Clock, read: Callable[[], Layouts]) -> ProgrammeSolved:
        """Run it for the time left, and ``read`` the layouts when it has found some.

        The solver does not always keep its time limit and cannot be interrupted, so it runs beside this thread, and is
        left to itself when the clock has run out.
        """
        try:
            Path.cwd()
        except OSError as error:
            raise LostFolderError("the folder that this was started in is gone; change to one that is there") from error
        self.solver.SetTimeLimit(max(1, int(clock.left * 1000)))
        statuses: list[int] = []
        run = threading.Thread(target=lambda: statuses.append(self._run()), daemon=True)
        run.start()
        late = 0.0
        while run.is_alive() and late < PATIENCE:
            run.join(STEP)
            late = late + STEP if clock.left <= 0 else 0.0
        if not statuses or statuses[0] not in KNOWN:
            return ProgrammeSolved(None, is_decided=False)
        if statuses[0] == pywraplp.Solver.INFEASIBLE:
            return ProgrammeSolved(None, is_decided=True)
        return ProgrammeSolved(read(), is_decided=statuses[0] == pywraplp.Solver.OPTIMAL)

    def _run(self) -> int:
        exactly = pywraplp.MPSolverParameters()
        exactly.SetDoubleParam(exactly.RELATIVE_MIP_GAP, 0.0)
        status: int = self.solver.Solve(exactly)
        return status


def as_wanted(instance: Instance, layouts: Iterable[Layout]) -> Layouts:
    """Return the layouts of all rolls, without the drops that are cut once too often."""
    found: Layouts = {}
    remaining = [kind.demand for kind in instance.kinds]
    for layout in layouts:
        needed = layout.within(remaining)
        for kind in needed.kinds:
            remaining[kind] -= 1
        if needed.kinds:
            found[needed] = found.get(needed, 0) + 1
    return found
