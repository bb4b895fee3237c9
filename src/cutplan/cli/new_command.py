"""``cutplan new``: a survey by questions, and the scenario that the answers make."""

from __future__ import annotations

import json
import sys
from io import StringIO
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final

import typer

from cutplan.asking import Interview, ask_scenario
from cutplan.cli.app import STATUSES, Debug, app
from cutplan.cli.terminal import STANDARD, UsageError, ask, faults_told, print_text, read_text, show, tell
from cutplan.whole_file import Kind, refuse_to_write_over, write_new, write_whole
from cutplan.wording import counted

if TYPE_CHECKING:
    from collections.abc import Callable

ANSWERS: Final = Kind("answers kept from a survey", "cutplan-answers/1")


@app.command(epilog=STATUSES)
def new(
    file: Annotated[str, typer.Argument(metavar="FILE", help="The scenario to write; - is standard output.")],
    *,
    debug: Debug = False,
) -> None:
    """Survey a room by questions, and write a scenario to plan from.

    Each question says what it is for and what an empty answer means; ? says it again, back goes back, and answers lists
    what was answered, which is kept in FILE.answers until FILE is written: the same command goes on after Ctrl-C.
    Answers may come from a file too, one on each line; the first that cannot be taken then ends it. Nothing is written
    before the last answer, and never over a file.
    """
    with faults_told(debug=debug):
        _new(file)


def _new(file: str) -> None:
    if file != STANDARD:
        refuse_to_write_over(file)
    if not sys.stdin.isatty():
        text = ask_scenario(Interview(_lines_of_a_file(), show, is_live=False), _named(file))
    else:
        text = _asked(file)
    if file == STANDARD:
        print_text(text)
        return
    write_new(file, text)
    kept_in(file).unlink(missing_ok=True)
    tell(f"wrote {file}; plan it with: cutplan plan {file}")


def _named(file: str) -> str:
    return "scenario.toml" if file == STANDARD else file


def _asked(file: str) -> str:
    """Return the scenario that somebody at the keyboard answers; each answer is kept beside the file to be written."""
    from cutplan.render.pages.survey_summary import survey_summary  # noqa: PLC0415 - help does without

    if file == STANDARD:
        return ask_scenario(Interview(lambda: ask("> "), show, is_live=True), _named(file), survey_summary)
    kept = kept_in(file)
    answers = answers_of(kept)
    tell(f"answers are kept in {kept}: after Ctrl-C the same command goes on")
    if answers:
        tell(f"going on after {counted(len(answers), 'answer')}; remove that file to begin anew")
    interview = Interview(
        lambda: ask("> "),
        show,
        is_live=True,
        answers=answers,
        keep=lambda answers: write_whole(str(kept), _kept(answers), ANSWERS),
    )
    return ask_scenario(interview, file, survey_summary)


def kept_in(file: str) -> Path:
    """Return where the answers of a survey are kept until it is written."""
    return Path(f"{file}.answers")


def _kept(answers: dict[str, str]) -> str:
    return json.dumps({"format": ANSWERS.mark, "answers": answers}, ensure_ascii=False, indent=1) + "\n"


def answers_of(kept: Path) -> dict[str, str]:
    """Return the answers kept in a file, none where there is none; raise UsageError where it holds anything else."""
    if not kept.exists():
        return {}
    try:
        found = json.loads(read_text(str(kept)))
        answers = found["answers"] if found["format"] == ANSWERS.mark else None
    except (ValueError, TypeError, KeyError, RecursionError):
        answers = None
    if isinstance(answers, dict) and all(isinstance(answer, str) for answer in answers.values()):
        return answers
    raise UsageError(f"{kept}: does not hold the answers of a survey as cutplan keeps them; remove it, or move it away")


def _lines_of_a_file() -> Callable[[], str | None]:
    lines = iter(StringIO(read_text(STANDARD), newline=None))
    return lambda: next((line.removesuffix("\n") for line in lines), None)
