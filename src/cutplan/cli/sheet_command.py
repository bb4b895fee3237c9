"""``cutplan sheet``: the job sheet for the phone and the table, and the customer's page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from enum import StrEnum
from pathlib import PurePath
from typing import TYPE_CHECKING, Annotated, Final

import typer

import cutplan
from cutplan.cli.app import InUnits, ScenarioFile, TimeLimit, command
from cutplan.cli.in_and_out import (
    CUSTOMER_PAGE,
    CUSTOMER_PAGE_PDF,
    JOB_SHEET,
    JOB_SHEET_PDF,
    AnswerFile,
    Force,
    print_told,
)
from cutplan.cli.parts_shared import hung_with, job_from, overview_of, whole_of
from cutplan.cli.plan_command import end_if_interrupted, solved, tell_gap
from cutplan.cli.terminal import STANDARD, UsageError, tell
from cutplan.errors import NoPlanError
from cutplan.plan.proof import TooFewRollsError
from cutplan.progress.record_beside import has_record
from cutplan.render.sheet.pdf import sheet_pdf
from cutplan.solve.clock import Clock
from cutplan.whole_file import FileKind

if TYPE_CHECKING:
    from cutplan.parts.part import PartedJob
    from cutplan.render.drawing.wall_picture import WallPicture
    from cutplan.scenario.read import Scenario

_MOST_SHOWN: Final = 8
"""Letters without a font that are named; of more it is said that there are."""


class PaperSize(StrEnum):
    """Sizes of a PDF's pages."""

    A4 = "a4"
    LETTER = "letter"


@command
def sheet(
    scenario: ScenarioFile,
    *,
    output: Annotated[
        str,
        typer.Option("-o", "--output", metavar="FILE", help="Write to FILE, .html or .pdf; - is standard output."),
    ] = STANDARD,
    force: Force = False,
    customer: Annotated[bool, typer.Option("--customer", help="Write the customer's page instead.")] = False,
    alternatives: Annotated[
        bool, typer.Option(help="On the customer's page, show other places, as cutplan compare finds them.")
    ] = True,
    paper: Annotated[
        PaperSize, typer.Option(help="Size of a PDF's pages; a browser takes the printer's.")
    ] = PaperSize.A4,
    listing: Annotated[
        bool, typer.Option("--listing", help="List once more, in tables, every place, cut and piece.")
    ] = False,
    time_limit: TimeLimit = 10.0,
    units: InUnits = None,
) -> None:
    """Write the job sheet: one page for the phone, to tick off step by step, and to print in black and white.

    The file needs no network and nothing beside it. A name that ends in .pdf makes a PDF, by an optional part.

    On to the phone:  cutplan sheet scenarios/parlour.toml -o job.html
    """
    kind = _kind(output, customer=customer)
    target = AnswerFile(output, scenario, kind, force=force)
    read = job_from(scenario)
    whole = read if isinstance(read, cutplan.PartedJob) else whole_of(scenario)
    wanted = [(read, target)] if isinstance(read, cutplan.Scenario) else list(_each_part(read, target, force=force))
    for (part, answer), seconds in Clock(time_limit).shared_out(wanted):
        if customer:
            _customer(part, answer, paper, units, seconds, alternatives=alternatives)
        else:
            overview = () if whole is None else overview_of(whole, units)
            beside = () if whole is None else hung_with(whole, part, units)
            _job(part, answer, paper, units, seconds, has_listing=listing, overview=overview, beside=beside)


def _each_part(job: PartedJob, target: AnswerFile, *, force: bool) -> Iterator[tuple[Scenario, AnswerFile]]:
    """Yield each part of a job with a file of its own beside the one named: ``job-dado.html`` for ``job.html``."""
    if not target.is_file:
        raise UsageError(f"a sheet is for one part: name a file with -o for all of them, or a part: {job.addresses[0]}")
    path = PurePath(target.name)
    for part in job.parts:
        name = str(path.with_stem(f"{path.stem}-{part.name.replace(' ', '-')}"))
        yield part.scenario, AnswerFile(name, job.source, target.kind, force=force)


def _kind(output: str, *, customer: bool) -> FileKind:
    if PurePath(output).suffix.lower() == ".pdf":
        return CUSTOMER_PAGE_PDF if customer else JOB_SHEET_PDF
    return CUSTOMER_PAGE if customer else JOB_SHEET


def _job(
    read: Scenario,
    output: AnswerFile,
    paper: PaperSize,
    units: str | None,
    time_limit: float,
    *,
    has_listing: bool,
    overview: tuple[WallPicture, ...],
    beside: Sequence[str] = (),
) -> None:
    from cutplan.cli.recorded_sheet import plan_at_work  # noqa: PLC0415 - with the solver, which help does without
    from cutplan.cli.too_few_shared import covered_of  # noqa: PLC0415 - likewise
    from cutplan.render.drawing.lettering import isolated  # noqa: PLC0415 - pictures, likewise
    from cutplan.render.sheet.job_sheet import job_sheet  # noqa: PLC0415
    from cutplan.render.words.too_few_words import too_few_lines  # noqa: PLC0415

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
        units,
        head=head,
        made=made,
        marks=marks,
        has_listing=has_listing,
        printed=printed,
        overview=overview,
        beside=beside,
    )
    _write(output, page, paper)
    if short is not None:
        raise NoPlanError(short.why) from short
    tell_gap(sequence.plan)
    end_if_interrupted(sequence.plan)


def _customer(
    read: Scenario, output: AnswerFile, paper: PaperSize, units: str | None, time_limit: float, *, alternatives: bool
) -> None:
    from cutplan.cli.too_few_shared import compared, counting_further, end_if_short  # noqa: PLC0415 - likewise
    from cutplan.render.sheet.customer_page import customer_sheet  # noqa: PLC0415 - likewise

    setting_out = read.setting_out
    if setting_out is None:
        what = "lists its drops, so nobody knows where they hang; survey the room in [[wall]] for the customer's page"
        raise UsageError(f"{read.source} {what}")
    printed = print_told(read)
    if not alternatives or read.job.paper.edge_trim is not None:  # equal strips leave no start to choose
        _write(output, customer_sheet(read, setting_out, units, None, printed), paper)
        return
    comparison = compared(read, setting_out, time_limit)
    page = customer_sheet(counting_further(comparison, read), setting_out, units, comparison, printed)
    _write(output, page, paper)
    end_if_short(comparison)


def _write(output: AnswerFile, page: str, paper: PaperSize) -> None:
    if output.kind not in (CUSTOMER_PAGE_PDF, JOB_SHEET_PDF):
        output.write(page)
        return
    made, unknown = sheet_pdf(page, paper.value)
    output.write(made)
    if unknown:
        shown = ", ".join(f"{letter} (U+{ord(letter):04X})" for letter in unknown[:_MOST_SHOWN])
        more = " and others" if len(unknown) > _MOST_SHOWN else ""
        tell(
            f"{output.name} has an empty box for each {shown}{more}: no font of this machine has them. Install one "
            "that does and make it again, or write a .html file and print it where it is read rightly"
        )
