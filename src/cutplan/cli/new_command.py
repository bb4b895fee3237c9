"""``cutplan new``: a survey by questions, and the scenario that the answers make."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable
from io import StringIO
from pathlib import Path
from typing import Annotated, Final

import typer

from cutplan.asking.interview import Interview
from cutplan.asking.survey_questions import ask_contract, ask_scenario
from cutplan.cli.app import command
from cutplan.cli.in_and_out import scenario_from
from cutplan.cli.terminal import STANDARD, UsageError, ask, print_text, show_lines, tell, text_given
from cutplan.render.pages.walls_page import survey_summary
from cutplan.whole_file import FileKind, refuse_to_write_over, write_new, write_whole
from cutplan.wording import counted

ANSWERS: Final = FileKind("answers kept from a survey", "cutplan-answers/1")


@command
def new(
    file: Annotated[str, typer.Argument(metavar="FILE", help="The scenario to write; - is standard output.")],
    *,
    room: Annotated[
        list[str] | None,
        typer.Option(metavar="FILE", help="Begin a contract instead, with this room; repeat it for each room."),
    ] = None,
    parts: Annotated[
        bool, typer.Option("--parts", help="Ask about rails, bands, borders, linings, paste too.")
    ] = False,
) -> None:
    """Survey a room by questions, and write a scenario to plan from.

    Each question says what it is for and what an empty answer means; ? says it again, back goes back, and answers lists
    what was answered, which is kept in FILE.answers until FILE is written: the same command goes on after Ctrl-C.
    Answers may come from a file too, one on each line; the first that cannot be taken then ends it. Nothing is written
    before the last answer, and never over a file.

    Begin a contract of rooms surveyed:  cutplan new contract.toml --room bedroom.toml --room suite.toml
    """
    is_file, is_live = file != STANDARD, sys.stdin.isatty()
    if is_file:
        refuse_to_write_over(file)
    folder = Path(file).parent if is_file else Path()
    read = [(os.path.relpath(each, folder).replace(os.sep, "/"), scenario_from(each)) for each in room or ()]
    kept = Path(f"{file}.answers") if is_file and is_live else None
    interview = _typed(kept) if is_live else Interview(_lines_of_a_file(), show_lines, is_live=False)
    name = file if is_file else "scenario.toml"
    text = ask_contract(interview, read) if read else ask_scenario(interview, name, survey_summary, asks_parts=parts)
    if not is_file:
        print_text(text)
        return
    write_new(file, text)
    if kept is not None:
        kept.unlink(missing_ok=True)
    tell(f"wrote {file}; plan it with: cutplan {'contract' if read else 'plan'} {file}")


def _typed(kept: Path | None) -> Interview:
    """Return an interview at the keyboard, whose answers are kept in a file after each of them."""
    if kept is None:
        return Interview(lambda: ask("> "), show_lines, is_live=True)
    answers = answers_of(kept)
    tell(f"answers are kept in {kept}: after Ctrl-C the same command goes on")
    if answers:
        tell(f"going on after {counted(len(answers), 'answer')}; remove that file to begin anew")

    def keep(answers: dict[str, str]) -> None:
        text = json.dumps({"format": ANSWERS.mark, "answers": answers}, ensure_ascii=False, indent=1)
        write_whole(str(kept), f"{text}\n", ANSWERS)

    return Interview(lambda: ask("> "), show_lines, is_live=True, answers=answers, keep=keep)


def answers_of(kept: Path) -> dict[str, str]:
    """Return the answers kept in a file, none where there is none; raise UsageError where it holds anything else."""
    if not kept.exists():
        return {}
    try:
        found = json.loads(text_given(str(kept)))
        answers = found["answers"] if found["format"] == ANSWERS.mark else None
    except (ValueError, TypeError, KeyError, RecursionError):
        answers = None
    if isinstance(answers, dict) and all(isinstance(answer, str) for answer in answers.values()):
        return answers
    raise UsageError(f"{kept}: does not hold the answers of a survey as cutplan keeps them; remove it, or move it away")


def _lines_of_a_file() -> Callable[[], str | None]:
    lines = iter(StringIO(text_given(STANDARD), newline=None))
    return lambda: next((line.removesuffix("\n") for line in lines), None)
