"""What stages the solver takes, noted from outside, and stand-ins for the programmes that it runs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ortools.linear_solver import pywraplp

from cutplan.solve import shortage
from cutplan.solve.search import closing, full_rolls, likely_rolls, strategy
from cutplan.solve.search import gap_search as search
from cutplan.solve.search.grouping import Grouping

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    import pytest


def stages_noted(patch: pytest.MonkeyPatch) -> list[str]:
    """Return a list to which the name of each stage is added when it is entered."""
    stages: list[str] = []
    note_steps(patch, stages, strategy, "filled_rolls", "filling {}")
    note_steps(patch, stages, likely_rolls, "likely_plans", "likely {}")
    note_calls(patch, stages, full_rolls, "decided", "full rolls")
    note_steps(patch, stages, closing, "meet_bound", "dive {}")
    note_calls(patch, stages, strategy, "_first_plan", "first plan")
    note_steps(patch, stages, strategy, "certificates_by_rule", "rule {}")
    note_calls(patch, stages, closing, "relax", "relaxation")
    note_steps(patch, stages, closing, "round_and_fill", "rounding")
    note_steps(patch, stages, closing, "fill_with_corrections", "corrections")
    note_calls(patch, stages, closing, "round_and_relax", "round and relax")
    note_steps(patch, stages, closing, "buy_cheapest", "purchases")
    note_calls(patch, stages, search, "Cover", "list")
    note_calls(patch, stages, search, "Flow", "steps")
    note_calls(patch, stages, shortage, "with_rolls_to_buy", "rolls in hand")
    note_failures(patch, stages, search, "_listed", "too many to list")
    note_failures(patch, stages, Grouping, "expand", "not handed out")
    return stages


def note_calls(patch: pytest.MonkeyPatch, stages: list[str], owner: object, name: str, stage: str) -> None:
    """Note ``stage`` whenever what is called ``name`` is called."""
    original = getattr(owner, name)

    def noting(*arguments: object, **named: object) -> object:
        stages.append(stage)
        return original(*arguments, **named)

    patch.setattr(owner, name, noting)


def note_steps(patch: pytest.MonkeyPatch, stages: list[str], owner: object, name: str, stage: str) -> None:
    """Note ``stage``, with its number where it has a place for one, whenever one more step is asked of a generator."""
    original = getattr(owner, name)

    def noting(*arguments: object) -> Iterator[object]:
        steps = original(*arguments)
        number = 0
        while True:
            number += 1
            stages.append(stage.format(number))
            try:
                step = next(steps)
            except StopIteration:
                if stages[-1] == stage.format(number):  # nothing came of asking
                    stages.pop()
                return
            yield step

    patch.setattr(owner, name, noting)


def note_failures(patch: pytest.MonkeyPatch, stages: list[str], owner: object, name: str, stage: str) -> None:
    """Note ``stage`` whenever what is called ``name`` returns nothing."""
    after_each(patch, owner, name, lambda result, _: stages.extend([stage] * (result is None)))


def after_each(
    patch: pytest.MonkeyPatch, owner: object, name: str, look: Callable[[Any, dict[str, Any]], object]
) -> None:
    """Call ``look`` with the result and the named arguments after each call of what is called ``name``."""
    original = getattr(owner, name)

    def looking(*arguments: object, **named: object) -> object:
        result = original(*arguments, **named)
        look(result, named)
        return result

    patch.setattr(owner, name, looking)


def instead_of_cbc(patch: pytest.MonkeyPatch, run: Callable[[Callable[[], int]], int]) -> None:
    """Run integer programmes by ``run``, which is given what would solve them."""
    original = pywraplp.Solver.Solve

    def running(solver: pywraplp.Solver, *parameters: pywraplp.MPSolverParameters) -> int:
        if not solver.IsMip():
            return int(original(solver, *parameters))
        return run(lambda: original(solver, *parameters))

    patch.setattr(pywraplp.Solver, "Solve", running)


def instead_of_glop(patch: pytest.MonkeyPatch, run: Callable[..., int]) -> None:
    """Run linear programmes by ``run``, which is given what would solve them and any parameters."""
    original = pywraplp.Solver.Solve

    def running(solver: pywraplp.Solver, *parameters: pywraplp.MPSolverParameters) -> int:
        if solver.IsMip():
            return int(original(solver, *parameters))
        return run(lambda *given: original(solver, *given), *parameters)

    patch.setattr(pywraplp.Solver, "Solve", running)
