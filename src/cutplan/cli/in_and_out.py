"""Where a command's scenario comes from, and where its answer goes: a file must be fit to take it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Final

import typer

import cutplan
from cutplan.cli.terminal import STANDARD, print_text, tell, tell_what_is_awaited
from cutplan.whole_file import FileKind, refuse_target, write_whole

if TYPE_CHECKING:
    from cutplan.parts.part import PartedJob
    from cutplan.photograph.print_of import Print
    from cutplan.scenario.read import Scenario

_MARKUP: Final = "<!-- {} -->"
_PDF: Final = "%{}"
_TEXT: Final = "[{}]"
_TOML: Final = "# {}"

PLAN_PAGE: Final = FileKind("a plan as text", "cutplan-plan-page/1", _TEXT)
PLAN: Final = FileKind("a plan as JSON", "cutplan-plan/1")
BUYING_PAGE: Final = FileKind("the text of cutplan buy", "cutplan-buy-page/1", _TEXT)
BUYING: Final = FileKind("the JSON of cutplan buy", "cutplan-buy/1")
COMPARING_PAGE: Final = FileKind("the text of cutplan compare", "cutplan-compare-page/1", _TEXT)
COMPARING: Final = FileKind("the JSON of cutplan compare", "cutplan-compare/1")
DRAWING: Final = FileKind("a drawing", "cutplan-drawing/1", _MARKUP)
JOB_SHEET: Final = FileKind("a job sheet", "cutplan-job-sheet/1", _MARKUP)
JOB_SHEET_PDF: Final = FileKind("a job sheet as PDF", "cutplan-job-sheet/1", _PDF)
CUSTOMER_PAGE: Final = FileKind("a customer's page", "cutplan-customer-page/1", _MARKUP)
CUSTOMER_PAGE_PDF: Final = FileKind("a customer's page as PDF", "cutplan-customer-page/1", _PDF)
KEPT: Final = FileKind("a list of what is kept", "cutplan-kept/1", _TOML)

Force = Annotated[
    bool, typer.Option("--force", help="Replace FILE even where it is not what this command wrote there.")
]


def scenario_from(source: str) -> Scenario:
    """Return the scenario in a file or on standard input."""
    tell_what_is_awaited(source, "the scenario")
    return cutplan.read_scenario(source)


def job_from(source: str) -> Scenario | PartedJob:
    """Return the scenario, or the job of several parts, in a file or on standard input."""
    tell_what_is_awaited(source, "the scenario")
    return cutplan.read_job(source)


def print_told(scenario: Scenario) -> Print | None:
    """Return the print of the paper from its photograph, and say where that disagrees with the label; None without."""
    if scenario.job.paper.photographed is None:
        return None
    from cutplan.photograph import print_of  # noqa: PLC0415 - few scenarios tell of one

    printed = print_of(scenario)
    tell(*(printed.doubts if printed else ()))
    return printed


class AnswerFile:
    """Where an answer goes, found fit for it before the work begins: a file, or ``-`` for standard output.

    ``source`` is the scenario that is answered, which is never written over; with ``force`` anything else that is there
    is.

    WriteError when the file cannot take it.
    """

    def __init__(self, name: str, source: str, kind: FileKind, *, force: bool) -> None:
        self.name = name
        self.kind = kind
        if self.is_file:
            refuse_target(name, source, kind, force=force)

    @property
    def is_file(self) -> bool:
        """True when the answer does not go to standard output."""
        return self.name != STANDARD

    @property
    def is_json(self) -> bool:
        """True for an answer that other programs read."""
        return not self.kind.line

    @property
    def is_unseen(self) -> bool:
        """True when nobody reads the answer on the screen, so that what matters of it is told there besides."""
        return self.is_json or self.is_file

    def write(self, content: str | bytes) -> None:
        """Write the answer, whole or not at all, and say so where it is a file."""
        if self.is_file:
            write_whole(self.name, content, self.kind)
            tell(f"wrote {self.name}")
        else:
            print_text(content if isinstance(content, str) else content.decode())
