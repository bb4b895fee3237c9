"""``cutplan new``: a survey by questions, and the scenario that the answers make."""

from __future__ import annotations

import sys
from io import StringIO
from typing import TYPE_CHECKING, Annotated

import typer

from cutplan.asking import Interview, ask_scenario
from cutplan.cli.app import STATUSES, Debug, app
from cutplan.cli.terminal import STANDARD, ask, faults_told, print_text, read_text, show, tell
from cutplan.whole_file import refuse_to_write_over, write_new

if TYPE_CHECKING:
    from collections.abc import Callable


@app.command(epilog=STATUSES)
def new(
    file: Annotated[str, typer.Argument(metavar="FILE", help="The scenario to write; - is standard output.")],
    *,
    debug: Debug = False,
) -> None:
    """Survey a room by questions, and write a scenario to plan from.

    Each question says what it is for and what an empty answer means. Answers may come from a file too, one on each
    line; the first that cannot be taken then ends it. Nothing is written before the last answer, and never over a file.
    """
    with faults_told(debug=debug):
        _new(file)


def _new(file: str) -> None:
    if file != STANDARD:
        refuse_to_write_over(file)
    is_live = sys.stdin.isatty()
    interview = Interview((lambda: ask("> ")) if is_live else _lines_of_a_file(), show, is_live=is_live)
    text = ask_scenario(interview, "scenario.toml" if file == STANDARD else file)
    if file == STANDARD:
        print_text(text)
        return
    write_new(file, text)
    tell(f"wrote {file}; plan it with: cutplan plan {file}")


def _lines_of_a_file() -> Callable[[], str | None]:
    lines = iter(StringIO(read_text(STANDARD), newline=None))
    return lambda: next((line.removesuffix("\n") for line in lines), None)
