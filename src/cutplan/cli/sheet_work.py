"""Sheets written: of one job or of each of its parts, for whoever hangs it and for the customer."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import PurePath
from typing import Final, NamedTuple

import cutplan
from cutplan.cli.draw_work import overview_of
from cutplan.cli.in_and_out import CUSTOMER_PAGE_PDF, JOB_SHEET_PDF, AnswerFile, job_from, print_told
from cutplan.cli.parts_shared import hung_with, whole_of
from cutplan.cli.plan_work import end_if_interrupted, solved, tell_gap
from cutplan.cli.recorded_sheet import plan_at_work
from cutplan.cli.terminal import UsageError, tell
from cutplan.cli.too_few_shared import compared, counting_further, covered_of, end_if_short
from cutplan.errors import NoPlanError
from cutplan.parts.part import PartedJob
from cutplan.plan.proof import TooFewRollsError
from cutplan.progress.record_beside import has_record
from cutplan.render.drawing.lettering import isolated
from cutplan.render.sheet.customer_page import customer_sheet
from cutplan.render.sheet.job_sheet import job_sheet
from cutplan.render.sheet.pdf import sheet_pdf
from cutplan.render.words.too_few_words import too_few_lines
from cutplan.scenario.read import Scenario
from cutplan.solve.clock import Clock

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
