"""``cutplan sheet``: the job sheet for the phone and the table, and the customer's page."""

from __future__ import annotations

from pathlib import PurePath
from typing import Annotated, Literal

import typer

from cutplan.cli.app import InUnits, ScenarioFile, TimeLimit, command
from cutplan.cli.in_and_out import (
    CUSTOMER_PAGE,
    CUSTOMER_PAGE_PDF,
    JOB_SHEET,
    JOB_SHEET_PDF,
    AnswerFile,
    Force,
)
from cutplan.cli.terminal import STANDARD
from cutplan.whole_file import FileKind


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
        Literal["a4", "letter"], typer.Option(help="Size of a PDF's pages; a browser takes the printer's.")
    ] = "a4",
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
    from cutplan.cli.sheet_work import SheetWishes, write_sheets  # noqa: PLC0415 - help does without

    wishes = SheetWishes(customer, alternatives, paper, listing, units)
    target = AnswerFile(output, scenario, _kind(output, customer=customer), force=force)
    write_sheets(scenario, target, wishes, time_limit, force=force)


def _kind(output: str, *, customer: bool) -> FileKind:
    if PurePath(output).suffix.lower() == ".pdf":
        return CUSTOMER_PAGE_PDF if customer else JOB_SHEET_PDF
    return CUSTOMER_PAGE if customer else JOB_SHEET
