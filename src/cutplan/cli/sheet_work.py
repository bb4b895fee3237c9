"""Sheets written, of one job or each of its parts, for whoever hangs it, as work recorded left it, or the customer."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import PurePath
from typing import Final, NamedTuple

from msgspec.structs import replace

import cutplan
from cutplan.cli.draw_work import overview_of
from cutplan.cli.in_and_out import CUSTOMER_PAGE_PDF, JOB_SHEET_PDF, AnswerFile, job_from, print_told
from cutplan.cli.parts_shared import hung_with, whole_of
from cutplan.cli.plan_work import end_if_interrupted, solved, tell_gap
from cutplan.cli.terminal import UsageError, tell
from cutplan.cli.too_few_shared import compared, counting_further, covered_of, end_if_short
from cutplan.cli.work_shared import replan_command, work_of
from cutplan.errors import NoPlanError
from cutplan.parts.part import PartedJob
from cutplan.plan.proof import TooFewRollsError
from cutplan.progress.counted import scenario_in_force, state_of
from cutplan.progress.entries import Corrected
from cutplan.progress.plan_in_use import PlanInUse
from cutplan.progress.record_beside import has_record
from cutplan.progress.remains import misfits
from cutplan.progress.state import State
from cutplan.progress.still_enough import sequence_of_rest, still_enough
from cutplan.progress.work import Work
from cutplan.render.drawing.lettering import isolated
from cutplan.render.sheet.customer_page import customer_sheet
from cutplan.render.sheet.job_sheet import job_sheet
from cutplan.render.sheet.pdf import sheet_pdf
from cutplan.render.sheet.step_cards import Marks
from cutplan.render.words.step_words import words_of
from cutplan.render.words.too_few_words import too_few_lines
from cutplan.render.written_plan import with_notices
from cutplan.scenario.read import Scenario
from cutplan.solve.clock import Clock
from cutplan.table.sequence import sequence_of
from cutplan.table.steps import Sequence
from cutplan.wording import counted

_MOST_SHOWN: Final = 8
"""Letters without a font that are named; of more it is said that there are."""


class SheetWishes(NamedTuple):
    """What was asked for on the command line: for whom, with or without other places, the size of a PDF's pages."""

    for_customer: bool
    alternatives: bool
    paper: str
    has_listing: bool
    units: str | None


def write_sheets(source: str, target: AnswerFile, wishes: SheetWishes, time_limit: float, *, force: bool) -> None:
    """Write the sheet of a scenario, or one for each part of a job."""
    read = job_from(source)
    whole = read if isinstance(read, PartedJob) else whole_of(source)
    wanted = list(_each_part(read, target, force=force)) if isinstance(read, PartedJob) else [(read, target)]
    for (part, answer), seconds in Clock(time_limit).shared_out(wanted):
        if wishes.for_customer:
            _customer(part, answer, wishes, seconds)
        else:
            _job(part, answer, wishes, seconds, whole)


def _each_part(job: PartedJob, target: AnswerFile, *, force: bool) -> Iterator[tuple[Scenario, AnswerFile]]:
    """Yield each part of a job with a file of its own beside the one named: ``job-dado.html`` for ``job.html``."""
    if not target.is_file:
        raise UsageError(f"a sheet is for one part: name a file with -o for all of them, or a part: {job.addresses[0]}")
    path = PurePath(target.name)
    for part in job.parts:
        name = str(path.with_stem(f"{path.stem}-{part.name.replace(' ', '-')}"))
        yield part.scenario, AnswerFile(name, job.source, target.kind, force=force)


def _job(read: Scenario, output: AnswerFile, wishes: SheetWishes, time_limit: float, whole: PartedJob | None) -> None:
    clock, printed, made = Clock(time_limit), print_told(read), datetime.now().astimezone()
    made_for, marks, head, short = read, None, None, None
    try:
        at_work = plan_at_work(read, time_limit) if has_record(read.source) else None
        if at_work is None:
            sequence = cutplan.sequence_of(solved(read, time_limit))
        else:
            made_for, sequence, marks = at_work
    except TooFewRollsError as too_few:
        covered, made_for = covered_of(read, too_few, clock.left)
        if covered.plan is None:
            raise
        short, sequence = too_few, cutplan.sequence_of(covered.plan)
        head = [isolated(line) for line in too_few_lines(covered)]
    page = job_sheet(
        made_for,
        sequence,
        wishes.units,
        head=head,
        made=made,
        marks=marks,
        has_listing=wishes.has_listing,
        printed=printed,
        overview=() if whole is None else overview_of(whole, wishes.units),
        beside=() if whole is None else hung_with(whole, read, wishes.units),
    )
    _write(output, page, wishes.paper)
    if short is not None:
        raise NoPlanError(short.why) from short
    tell_gap(sequence.plan)
    end_if_interrupted(sequence.plan)


def _customer(read: Scenario, output: AnswerFile, wishes: SheetWishes, time_limit: float) -> None:
    setting_out = read.setting_out
    if setting_out is None:
        what = "lists its drops, so nobody knows where they hang; survey the room in [[wall]] for the customer's page"
        raise UsageError(f"{read.source} {what}")
    printed, units = print_told(read), wishes.units
    if not wishes.alternatives or read.job.paper.edge_trim is not None:  # equal strips leave no start to choose
        _write(output, customer_sheet(read, setting_out, units, None, printed), wishes.paper)
        return
    comparison = compared(read, setting_out, time_limit)
    page = customer_sheet(counting_further(comparison, read), setting_out, units, comparison, printed)
    _write(output, page, wishes.paper)
    end_if_short(comparison)


def _write(output: AnswerFile, page: str, paper: str) -> None:
    if output.kind not in (CUSTOMER_PAGE_PDF, JOB_SHEET_PDF):
        output.write(page)
        return
    made, unknown = sheet_pdf(page, paper)
    output.write(made)
    if unknown:
        shown = ", ".join(f"{letter} (U+{ord(letter):04X})" for letter in unknown[:_MOST_SHOWN])
        more = " and others" if len(unknown) > _MOST_SHOWN else ""
        tell(
            f"{output.name} has an empty box for each {shown}{more}: no font of this machine has them. Install one "
            "that does and make it again, or write a .html file and print it where it is read rightly"
        )


def plan_at_work(scenario: Scenario, time_limit: float) -> tuple[Scenario, Sequence, Marks] | None:
    """Return what the plan in use was made for, its steps, and what the record marks; None before any plan is in use.

    UsageError when the plan cannot be found as it was, because its search was stopped.
    """
    work = work_of(scenario)
    state = work.state
    if state is None:
        return None
    before, scenario = _before(work, state.plan, scenario)
    made_for, sequence = _made_again(scenario, before, state.plan, time_limit)
    told = words_of(sequence, scenario.units)
    if [told(step) for step in sequence.steps] != [step.words for step in state.plan.steps]:
        raise UsageError(
            f"{work.path}: plan {state.plan.number} cannot be found once more as it was, for its search was stopped: "
            f"give it more time by --time-limit, or make a plan that can: {replan_command(scenario)}"
        )
    return made_for, sequence, _marks(work, state, before)


def _before(work: Work, plan: PlanInUse, scenario: Scenario) -> tuple[State | None, Scenario]:
    """Return the state that a plan was made in, None for the first; and the scenario as it was then."""
    events = work.counting
    place = next(
        place
        for place, entry in enumerate(events)
        if isinstance(entry.event, PlanInUse) and entry.event.number == plan.number
    )
    if any(isinstance(entry.event, Corrected) for entry in events[place:]):
        scenario = scenario_in_force(events[: place + 1], scenario.source)
    return state_of(events[:place], scenario.job, scenario.units), scenario


def _made_again(
    scenario: Scenario, before: State | None, plan: PlanInUse, time_limit: float
) -> tuple[Scenario, Sequence]:
    if before is None:
        noted = with_notices(scenario, None)
        return scenario, sequence_of(solved(noted, time_limit))
    answer = still_enough(before, scenario, time_limit=time_limit)
    if answer.plan is None:
        raise UsageError("the plan in use cannot be found again")
    made_for = replace(answer.remains.scenario, setting_out=scenario.setting_out, source=scenario.source)
    return made_for, sequence_of_rest(answer.plan, scenario.cutting, before, plan.first)


def _marks(work: Work, state: State, before: State | None) -> Marks:
    done = [step.number for step in state.plan.steps if state.done.get(step.number, 0) >= step.count]
    spoiled = [loss.piece for loss in state.spoiled[0 if before is None else len(before.spoiled) :]]
    said = (
        f"Plan {state.plan.number} of this job, after {counted(len(work.entries), 'entry', 'entries')} of its record: "
    )
    said += f"{len(done)} of {counted(len(state.plan.steps), 'step')} done."
    if misfits(state):
        said += " It no longer holds for all that remains: plan the rest anew by cutplan replan."
    return Marks(frozenset(done), frozenset(spoiled), said)
