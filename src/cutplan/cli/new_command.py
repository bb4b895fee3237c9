"""``cutplan new``: a survey by questions, and the scenario that the answers make."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from cutplan.asking import Interview, ask_scenario
from cutplan.cli.app import STATUSES, Debug, app
from cutplan.cli.terminal import STANDARD, UsageError, faults_told, print_text, read_text, tell

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
        _refuse_place(Path(file))
    is_live = sys.stdin.isatty()
    interview = Interview(_line if is_live else _lines_of_a_file(), _show, is_live=is_live)
    text = ask_scenario(interview, "scenario.toml" if file == STANDARD else file)
    if file == STANDARD:
        print_text(text)
        return
    try:
        with Path(file).open("x", encoding="utf-8", newline="\n") as written:
            written.write(text)
    except FileExistsError:
        raise _is_there(file) from None
    except OSError as error:
        raise UsageError(f"{file}: cannot be written: {(error.strerror or str(error)).lower()}") from error
    tell(f"wrote {file}; plan it with: cutplan plan {file}")


def _refuse_place(path: Path) -> None:
    """Refuse before the first question what could not be written after the last."""
    if path.exists() or path.is_symlink():
        raise _is_there(str(path))
    if not path.parent.is_dir():
        raise UsageError(f"{path}: there is no folder {path.parent}; make it first, or write elsewhere")


def _is_there(file: str) -> UsageError:
    return UsageError(f"{file} is there already, and is not written over; give another name, or remove it first")


def _show(line: str) -> None:
    typer.echo(line, err=True)


def _line() -> str | None:
    """Return a line from the keyboard; None at its end."""
    typer.echo("> ", nl=False, err=True)
    line = sys.stdin.readline()
    return line.rstrip("\n") if line else None


def _lines_of_a_file() -> Callable[[], str | None]:
    lines = iter(read_text(STANDARD).splitlines())
    return lambda: next(lines, None)
