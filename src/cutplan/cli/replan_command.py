"""``cutplan replan``: is there still enough paper, and how is the rest cut."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from cutplan.cli.app import STATUSES, AsJson, Debug, InUnits, TimeLimit, app
from cutplan.cli.terminal import NO_PLAN, UsageError, faults_told, print_text, progress_line
from cutplan.cli.work_shared import RecordedScenario, read_recorded, work_of
from cutplan.progress.plan_in_use import freeze
from cutplan.progress.record import fingerprint
from cutplan.progress.remains import remains_of
from cutplan.progress.rest_plan import rest_plan
from cutplan.progress.still_enough import still_enough
from cutplan.progress.work import open_work
from cutplan.render.documents.plan_document import document_of, plan_text
from cutplan.render.pages.state_page import answer_lines, replan_page
from cutplan.render.words.step_words import words_of

if TYPE_CHECKING:
    from cutplan.progress.replan import Replan
    from cutplan.progress.still_enough import Answer
    from cutplan.progress.work import Work
    from cutplan.scenario.read import Scenario


@app.command(epilog=STATUSES)
def replan(
    scenario: RecordedScenario,
    *,
    only_answer: Annotated[
        bool, typer.Option("--only-answer", help="Say whether the paper is enough, and change nothing.")
    ] = False,
    as_json: AsJson = False,
    time_limit: TimeLimit = 10.0,
    units: InUnits = None,
    debug: Debug = False,
) -> None:
    """Answer whether there is still enough paper, and plan the rest anew with the least change.

    The new plan opens the fewest further rolls, proved, and its steps go on from the numbers of the old one.
    Exit status 3 when the rolls in hand are not enough to go on.
    """
    with faults_told(debug=debug):
        read = read_recorded(scenario)
        shown = read.units if units is None else units.value
        _replan(read, time_limit, shown, as_json=as_json, only_answer=only_answer)


def _replan(scenario: Scenario, time_limit: float, units: str, *, as_json: bool, only_answer: bool) -> None:
    work = work_of(scenario)
    remains = remains_of(work.begun())
    with progress_line() as show:
        answer = still_enough(remains, time_limit=time_limit, progress=show)
    lines = answer_lines(answer, units)
    if answer.found is None:
        typer.echo("\n".join(lines), err=True)
        raise typer.Exit(NO_PLAN)
    if only_answer:
        print_text("\n".join(lines) + "\n")
        return
    print_text(_new_plan(scenario, work, answer, answer.found, units, as_json=as_json))


def _new_plan(scenario: Scenario, work: Work, answer: Answer, found: Replan, units: str, *, as_json: bool) -> str:
    """Put the new plan to use, and return how it is printed."""
    number = work.last_plan + 1
    rest = rest_plan(found, scenario, number, work.last_step + 1)
    document = document_of(rest.sequence, rest.scenario)
    plan = freeze(
        number=number,
        scenario=fingerprint(scenario.document),
        sequence=rest.sequence,
        origins=rest.origins,
        document=document,
        words=words_of(rest.sequence, scenario.units),
    )
    with open_work(scenario) as held:
        if len(held.work.entries) != len(work.entries):
            raise UsageError("something was recorded meanwhile, so the plan may be out of date; run it again")
        held.record(plan)
    return plan_text(document) if as_json else replan_page(answer, found, rest.sequence, number, units)
