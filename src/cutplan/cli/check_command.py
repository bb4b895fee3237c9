"""``cutplan check``: the independent judgement of a plan."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cutplan.check import PlanUnreadable, check_text, report_lines
from cutplan.cli.app import command
from cutplan.cli.terminal import NO_PLAN, WRONG_USAGE, print_lines, tell, tell_what_is_awaited, text_given
from cutplan.progress.record_beside import end_path


@command
def check(
    plan: Annotated[
        str, typer.Argument(metavar="PLAN", help="A plan as JSON, or a record of work; - reads standard input.")
    ],
) -> None:
    """Judge a plan made with --json: every cut, the match on the wall, the proof.

    Of a record of work every plan in it is judged, and what was done; by the
    small file beside it, whether its last entries were deleted.

    The judge shares no code with the planner. Exit status 0 when the plan holds; 3 when it does not, and
    then each fault is printed with its amount.
    """
    tell_what_is_awaited(plan, "the plan")
    text = text_given(plan)
    beside = end_path(Path(plan))
    end = text_given(str(beside)) if plan.endswith(".jsonl") and beside.exists() else None
    try:
        report = check_text(text, end)
    except PlanUnreadable as error:
        tell(*(f"{plan}: {fault}" for fault in error.faults))
        raise typer.Exit(WRONG_USAGE) from error
    print_lines(report_lines(report))
    if not report.holds:
        raise typer.Exit(NO_PLAN)
