"""``cutplan replan``: is there still enough paper, and how is the rest cut."""

from __future__ import annotations

from typing import Annotated

import typer

from cutplan.cli.app import AsJson, InUnits, TimeLimit, command
from cutplan.cli.terminal import NO_PLAN, UsageError, print_text, progress_line, show_lines
from cutplan.cli.work_shared import (
    EntryNumber,
    RecordedScenario,
    answered,
    read_recorded,
    recording,
    refuse_twice,
    work_of,
)
from cutplan.progress.still_enough import still_enough
from cutplan.render.documents.plan_document import plan_text
from cutplan.render.pages.state_page import answer_lines, replan_page
from cutplan.render.written_plan import rest_in_use
from cutplan.solve.clock import Clock


@command
def replan(
    scenario: RecordedScenario = None,
    *,
    only_answer: Annotated[
        bool, typer.Option("--only-answer", help="Say whether the paper is enough, and change nothing.")
    ] = False,
    as_json: AsJson = False,
    time_limit: TimeLimit = 10.0,
    entry: EntryNumber = None,
    units: InUnits = None,
) -> None:
    """Answer whether there is still enough paper, and plan the rest anew.

    The new plan opens the fewest further rolls, proved, and its steps go on from the numbers of the old one.
    Exit status 3 when the rolls in hand are not enough to go on.
    """
    read = read_recorded(scenario)
    shown = units or read.units
    work = work_of(read)
    if not only_answer:
        refuse_twice(work, entry, "replan")
    clock = Clock(time_limit)
    with progress_line() as watch:
        answer = still_enough(work.begun(), read, time_limit=time_limit, progress=watch)
    lines = answer_lines(answer, shown)
    if answer.plan is None:
        show_lines(*"\n".join(lines).split("\n"))
        raise typer.Exit(NO_PLAN)
    if only_answer:
        print_text("\n".join(lines) + "\n")
        return
    sequence, in_use = rest_in_use(read, work, answer)
    with recording(read, entry, "replan") as held:
        if len(held.work.entries) != len(work.entries):
            raise UsageError("something was recorded meanwhile, so the plan may be out of date; run it again")
        held.record(in_use, asked="replan")
    if as_json:
        print_text(plan_text(in_use.document))
    else:
        print_text(replan_page(answer, sequence, in_use.number, shown, clock.is_over))
    answered(read)
