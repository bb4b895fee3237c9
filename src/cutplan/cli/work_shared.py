"""What the commands at the table share: the scenario with its record, the plan to begin with, what is said after."""

from __future__ import annotations

import re
from contextlib import contextmanager
from typing import TYPE_CHECKING, Annotated, Final

import typer

from cutplan.cli.plan_command import end_if_interrupted, solved, with_notices
from cutplan.cli.terminal import STANDARD, UsageError, print_text, tell
from cutplan.interruption import keep_what_is_found
from cutplan.lengths import read_length
from cutplan.progress.entries import facts_of
from cutplan.progress.plan_in_use import freeze
from cutplan.progress.record import fingerprint, open_record
from cutplan.progress.record_beside import record_path
from cutplan.progress.remains import misfits
from cutplan.progress.work import open_work, work_on
from cutplan.render.documents.plan_document import document_of
from cutplan.render.pages.state_page import event_words, next_lines, warnings
from cutplan.render.words.step_words import words_of
from cutplan.render.written_plan import write_page
from cutplan.scenario.read import read_scenario
from cutplan.table.sequence import sequence_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from cutplan.lengths import Length
    from cutplan.progress.entries import Event
    from cutplan.progress.plan_in_use import PlanInUse
    from cutplan.progress.state import State
    from cutplan.progress.work import OpenWork, Work
    from cutplan.scenario.read import Scenario
    from cutplan.table.steps import Sequence

SCENARIO_HELP: Final = "The TOML file; the record is kept beside it."

RecordedScenario = Annotated[str, typer.Argument(metavar="SCENARIO", help=SCENARIO_HELP)]
FirstMotif = Annotated[
    str | None, typer.Option(metavar="LENGTH", help="Measured from the roll's end to its first motif.")
]

EntryNumber = Annotated[
    int | None,
    typer.Option("--entry", min=1, metavar="N", help="Number of the entry that this makes, so that it is made once."),
]

_STEPS: Final = re.compile(r"([0-9]{1,6})(?:-([0-9]{1,6}))?")
_USUAL_TIME_LIMIT: Final = 10.0


def read_recorded(source: str) -> Scenario:
    """Return the scenario in a file, beside which its record is kept; UsageError for standard input."""
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
def recording(scenario: Scenario, entry: int | None, asked: str) -> Iterator[OpenWork]:
    """Hold the work on a scenario to record in it what the command asks, once.

    Raises
    ------
    UsageError
        When ``entry``, the number that this is to have in the record, is taken; or when no number is given, and the
        same command has recorded the same before but was stopped before it could say so.

    """
    keep_what_is_found()
    with open_work(scenario) as held:
        _refuse_twice(held.work, entry, asked)
        yield held


def _refuse_twice(work: Work, entry: int | None, asked: str) -> None:
    following = len(work.entries) + 1
    if entry is not None and entry != following:
        taken = next(
            (f"taken: {event_words(old.event)}" for old in work.entries if old.number == entry), "not the next"
        )
        raise UsageError(f"{work.path}: entry {entry} is {taken}; what is recorded next will be entry {following}")
    if entry is None and work.unanswered and work.asked == asked:
        done = "; ".join(event_words(old.event) for old in work.unanswered)
        raise UsageError(
            f"this was recorded already, by a command that was stopped before it could say so: {done}. "
            f"If it happened once more, give the number of its entry: --entry {following}"
        )


def asked_for(*words: object) -> str:
    """Return what a command asks, in its own words: the same for the same command given again."""
    return " ".join(str(word) for word in words if word is not None)


def record(scenario: Scenario, entry: int | None, event: Event) -> State:
    """Record an event of work that was begun before, and return the state after it."""
    work_of(scenario).begun()
    asked = asked_for(*facts_of(event))
    with recording(scenario, entry, asked) as held:
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
    found = solved(noted, time_limit or _USUAL_TIME_LIMIT)
    end_if_interrupted(found)
    if found.stopped and time_limit is None:
        raise UsageError(
            "the search for the plan stops before its proof, so it may not find the same plan twice: "
            "start with `cutplan begin`, and follow the plan that it prints"
        )
    sequence = sequence_of(found)
    return plan_in_use(scenario, 1, sequence, document_of(sequence, noted), {}), write_page(sequence, noted)


def plan_in_use(
    scenario: Scenario, number: int, sequence: Sequence, document: dict[str, object], origins: Mapping[str, str]
) -> PlanInUse:
    """Return plan ``number`` of a scenario as it is recorded, once it is the one to work from."""
    return freeze(
        number=number,
        scenario=fingerprint(scenario.document),
        sequence=sequence,
        origins=origins,
        document=document,
        words=words_of(sequence, scenario.units),
    )


def numbers_in(text: str) -> Iterable[int]:
    """Return the step numbers that ``4`` or ``4-9`` names; UsageError for anything else."""
    match = _STEPS.fullmatch(text.strip())
    if match is None:
        raise UsageError(f"{text!r} is no step: write its number, such as 4, or several in a row, such as 4-9")
    first = int(match[1])
    last = int(match[2] or first)
    if last < first:
        raise UsageError(f"{text!r} runs backwards: write {last}-{first}")
    return range(first, last + 1)


def length_in(text: str, scenario: Scenario) -> Length:
    """Return a length as typed, a bare number in the scenario's units."""
    return read_length(text, scenario.units)


def length_if_given(text: str | None, scenario: Scenario) -> Length | None:
    """Return a length as typed; None when none was."""
    return None if text is None else length_in(text, scenario)


def say(scenario: Scenario, state: State, lines: list[str]) -> None:
    """Print what was recorded; then what is amiss with the plan because of it, or else what is next."""
    amiss = warnings(state, misfits(state), replan_command(scenario))
    print_text("\n".join([*lines, *(amiss or next_lines(state))]) + "\n")
    answered(scenario)


def replan_command(scenario: Scenario) -> str:
    """Return how the rest of a scenario is planned anew."""
    return f"cutplan replan {scenario.source}"
