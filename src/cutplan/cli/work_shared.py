"""What the commands at the table share: the scenario with its record, the plan to begin with, what is said after."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated, Final

import typer

from cutplan.cli.plan_work import end_if_interrupted, solved
from cutplan.cli.terminal import STANDARD, UsageError, print_text, tell
from cutplan.errors import CutplanError
from cutplan.interruption import keep_what_is_found
from cutplan.lengths import Length, read_length
from cutplan.parts.address import address_of
from cutplan.parts.read_parts import read_scenario
from cutplan.progress.entries import Event, facts_of
from cutplan.progress.plan_in_use import PlanInUse
from cutplan.progress.record import open_record
from cutplan.progress.record_beside import RECORD_END, record_path, scenario_beside
from cutplan.progress.remains import misfits
from cutplan.progress.state import State
from cutplan.progress.work import OpenWork, Work, open_work, work_on
from cutplan.render.documents.plan_document import document_of
from cutplan.render.pages.state_page import event_words, next_lines, warnings
from cutplan.render.written_plan import plan_in_use, with_notices, write_page
from cutplan.scenario.read import Scenario
from cutplan.solve.clock import Clock
from cutplan.table.sequence import sequence_of

SCENARIO_HELP: Final = "The TOML file; the record is kept beside it."

RecordedScenario = Annotated[
    str | None, typer.Argument(metavar="[SCENARIO]", help=f"{SCENARIO_HELP} May be left out where one is under way.")
]
FirstMotif = Annotated[
    str | None, typer.Option(metavar="LENGTH", help="Measured from the roll's end to its first motif.")
]

EntryNumber = Annotated[
    int | None,
    typer.Option("--entry", min=1, metavar="N", help="Number of the entry that this makes, so that it is made once."),
]

_STEPS: Final = re.compile(r"([0-9]{1,6})(?:-([0-9]{1,6}))?")
_USUAL_TIME_LIMIT: Final = 10.0


def job_and_words(words: list[str] | None) -> tuple[Scenario, list[str]]:
    """Return the scenario that a command names first, or else the one under way in this folder; and its other words."""
    first, *others = words or [""]
    if first == STANDARD or first.endswith(".toml") or (first and Path(address_of(first)[0]).is_file()):
        return read_recorded(first), others
    return read_recorded(None), words or []


def _under_way() -> str:
    """Return the scenario in this folder on which work is under way, saying which.

    UsageError when there is none, or more than one.
    """
    found = [name for path in sorted(Path().glob(f"*{RECORD_END}")) if (name := scenario_beside(path))]
    if len(found) > 1:
        found = [path for path in found if not _is_hung(path)] or found
    if len(found) == 1:
        tell(f"job: {found[0]}")
        return found[0]
    what = f"several jobs are under way here ({', '.join(found)})" if found else "no job is under way in this folder"
    raise UsageError(f"{what}: name the scenario first, such as room.toml")


def _is_hung(source: str) -> bool:
    try:
        state = work_on(read_scenario(source)).state
    except CutplanError:
        return False
    return state is not None and not state.remaining and not state.on_table


def read_recorded(source: str | None) -> Scenario:
    """Return the scenario in a file, beside which its record is kept; UsageError for standard input.

    Without a name it is the one that is under way in this folder.
    """
    source = _under_way() if source is None else source
    if source == STANDARD:
        raise UsageError("the record is kept beside the scenario's file: give its name, not -")
    return read_scenario(source)


def work_of(scenario: Scenario) -> Work:
    """Return the work recorded for a scenario, telling what is amiss with its record."""
    work = work_on(scenario)
    tell(*work.notes)
    for old in work.unanswered:
        tell(f"entry {old.number} was recorded by a command that could not say so: {event_words(old.event)}")
    return work


@contextmanager
def recording(
    scenario: Scenario, entry: int | None, asked: str, *, is_bare: bool = False, as_it_was: bool = False
) -> Iterator[OpenWork]:
    """Hold the work on a scenario to record in it what the command asks, once.

    UsageError when ``entry``, the number that this is to have in the record, is taken; or when no number is given, and
    the same command has recorded the same before but was stopped before it could say so: any, for one that ``is_bare``
    and so names nothing.
    """
    keep_what_is_found()
    with open_work(scenario, as_it_was=as_it_was) as held:
        refuse_twice(held.work, entry, asked, is_bare=is_bare)
        yield held


def refuse_twice(work: Work, entry: int | None, asked: str, *, is_bare: bool = False) -> None:
    """Refuse what :func:`recording` refuses."""
    following = len(work.entries) + 1
    if entry is not None and entry != following:
        taken = next(
            (f"taken: {event_words(old.event)}" for old in work.entries if old.number == entry), "not the next"
        )
        raise UsageError(f"{work.path}: entry {entry} is {taken}; what is recorded next will be entry {following}")
    if entry is None and work.unanswered and (is_bare or work.asked == asked):
        done = "; ".join(event_words(old.event) for old in work.unanswered)
        raise UsageError(
            f"this was recorded already, by a command that was stopped before it could say so: {done}. "
            f"If it happened once more, give the number of its entry: --entry {following}"
        )


def begun_for(scenario: Scenario, entry: int | None, *, is_bare: bool) -> State:
    """Return the state of work that was begun, by which a command that ``is_bare`` chooses what it is about.

    UsageError where a bare command is refused, as in :func:`recording`: what it would choose now is something else.
    """
    work = work_of(scenario)
    if is_bare:
        refuse_twice(work, entry, work.asked, is_bare=True)
    return work.begun()


def asked_for(*words: object) -> str:
    """Return what a command asks, in its own words: the same for the same command given again."""
    return " ".join(str(word) for word in words if word is not None)


def record(scenario: Scenario, entry: int | None, event: Event, *, is_bare: bool = False) -> State:
    """Record an event of work that was begun before, and return the state after it."""
    asked = asked_for(*facts_of(event))
    with recording(scenario, entry, asked, is_bare=is_bare) as held:
        return held.record(event, asked=asked)


def answered(scenario: Scenario) -> None:
    """Note that the user was told of what is recorded."""
    with open_record(record_path(scenario.source)) as held:
        held.answer()


def first_plan(scenario: Scenario, time_limit: float | None) -> tuple[PlanInUse, str]:
    """Return the plan to begin with, and its page.

    Without a time limit it must be the plan that ``cutplan plan`` prints, so one whose search was stopped, which
    may come out differently another time, is a UsageError.
    """
    noted = with_notices(scenario, None)
    seconds = time_limit or _USUAL_TIME_LIMIT
    clock = Clock(seconds)
    found = solved(noted, seconds)
    end_if_interrupted(found)
    if found.stopped and time_limit is None:
        raise UsageError(
            "the search for the plan stops before its proof, so it may not find the same plan twice: "
            "start with `cutplan begin`, and follow the plan that it prints"
        )
    sequence = sequence_of(found)
    page = write_page(sequence, noted, is_over=clock.is_over)
    return plan_in_use(scenario, 1, sequence, document_of(sequence, noted), {}), page


def numbers_in(text: str, what: str = "step") -> Iterable[int]:
    """Return the numbers of steps, or of ``what``, that ``4`` or ``4-9`` names; UsageError for anything else."""
    match = _STEPS.fullmatch(text.strip())
    if match is None:
        raise UsageError(f"{text!r} is no {what}: write its number, such as 4, or several in a row, such as 4-9")
    first = int(match[1])
    last = int(match[2] or first)
    if last < first:
        raise UsageError(f"{text!r} runs backwards: write {last}-{first}")
    return range(first, last + 1)


def length_if_given(text: str | None, scenario: Scenario) -> Length | None:
    """Return a length as typed, a bare number in the scenario's units; None when none was."""
    return None if text is None else read_length(text, scenario.units)


def say(scenario: Scenario, state: State, lines: list[str]) -> None:
    """Print what was recorded; then what is amiss with the plan because of it, and what is next."""
    misfit = misfits(state)
    print_text(
        "\n".join([*lines, *warnings(state, misfit, replan_command(scenario)), *next_lines(state, misfit)]) + "\n"
    )
    answered(scenario)


def replan_command(scenario: Scenario) -> str:
    """Return how the rest of a scenario is planned anew."""
    return f"cutplan replan {scenario.source}"
