"""``cutplan plan``: from a scenario to a proven plan and its sequence."""

from __future__ import annotations

from typing import Annotated

import typer

from cutplan.cli.app import InUnits, Output, ScenarioFile, TimeLimit, command
from cutplan.cli.in_and_out import KEPT, PLAN, PLAN_PAGE, AnswerFile, Force
from cutplan.cli.terminal import STANDARD, UsageError
from cutplan.plan.order import Follow


@command
def plan(
    scenario: ScenarioFile,
    *,
    as_json: Annotated[bool, typer.Option("--json", help="Print the plan with its proof as JSON.")] = False,
    output: Output = STANDARD,
    force: Force = False,
    time_limit: TimeLimit = 10.0,
    order: Annotated[
        Follow | None,
        typer.Option(help="Cut as drops are hung, or wall by wall, or all at once; otherwise as [cutting] says."),
    ] = None,
    open_rolls: Annotated[
        int | None,
        typer.Option(min=1, metavar="N", help="Rolls that may be open at once; otherwise as [cutting] says, or 2."),
    ] = None,
    stock_out: Annotated[
        str | None,
        typer.Option("--stock-out", metavar="FILE", help="Write what is worth keeping to FILE, for a later scenario."),
    ] = None,
    units: InUnits = None,
) -> None:
    """Plan how to cut a scenario's drops from the fewest rolls (or the cheapest).

    A plan that is good but not proved the best is printed too, and says so. Ctrl-C stops the search and
    prints the best plan so far. Among plans with as few rolls, the one is chosen that is best cut in the
    order in which its drops are hung.
    """
    from cutplan.cli.plan_work import PlanWish, answer_planning  # noqa: PLC0415 - help does without

    wish = PlanWish(time_limit, order, open_rolls)
    target = AnswerFile(output, scenario, PLAN if as_json else PLAN_PAGE, force=force)
    kept = None if stock_out is None else _stock_file(stock_out, scenario, output, force=force)
    answer_planning(scenario, target, wish, units, kept)


def _stock_file(stock_out: str, source: str, output: str, *, force: bool) -> AnswerFile:
    if stock_out == STANDARD:
        raise UsageError("--stock-out: name a file; standard output is for the plan")
    if stock_out == output:
        raise UsageError(f"--stock-out: {stock_out} is where the plan goes; give what is kept a file of its own")
    return AnswerFile(stock_out, source, KEPT, force=force)
