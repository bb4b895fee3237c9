"""The whole survey: every question in turn, and the scenario that the answers make; and how a contract begins."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from shlex import quote
from typing import Final

import cutplan.asking.questions as q
from cutplan.asking.answers import YES_OR_NO, AnswerError, AnswerKind
from cutplan.asking.interview import MANNERS, Interview
from cutplan.asking.notes import Notes
from cutplan.asking.paper_questions import ask_paper, ask_rolls, ask_trims
from cutplan.asking.parts_questions import ask_parts
from cutplan.asking.start_questions import ask_start
from cutplan.asking.surveyor import Surveyor
from cutplan.asking.wall_questions import ask_room
from cutplan.faults import ScenarioError
from cutplan.parts.read_parts import parse_job
from cutplan.scenario.read import Scenario
from cutplan.scenario.toml_text import quoted

IS_RIGHT: Final = q.Question(
    "is_right",
    "Is all of it right?",
    "yes writes the scenario. Otherwise answers lists what you said, and back 7 goes to the seventh of them.",
    YES_OR_NO,
    "yes",
)


def ask_scenario(
    interview: Interview,
    name: str,
    summary: Callable[[Scenario], Sequence[str]] = lambda _scenario: (),
    *,
    asks_parts: bool = False,
) -> str:
    """Return a scenario as TOML with comments, from the answers to the survey's questions.

    ``summary`` returns the lines that sum up a scenario, which whoever sits there is shown before it counts;
    ``asks_parts`` is for rails, bands and borders too.

    InterviewError when the answers come from a file, and one cannot be taken or is missing; ScenarioError, with every
    fault, when such answers do not make a scenario together.
    """
    if interview.is_live:
        interview.say_all(MANNERS)
    return interview.carry_out(lambda: _survey(interview, name, summary, asks_parts=asks_parts))


def _survey(interview: Interview, name: str, summary: Callable[[Scenario], Sequence[str]], *, asks_parts: bool) -> str:
    notes = Notes()
    interview.section("")
    interview.units = interview.ask(q.UNIT).value
    file = quote(name) if name.isprintable() else "FILE"
    notes.remark(
        "A room surveyed by questions. Walls in order, left to right as one faces them; distances along a wall",
        "from its left; heights up from the floor line; first motifs down.",
        "",
        f"Plan it:                               cutplan plan {file}",
        f"Look at other places for the start:    cutplan compare {file}",
    )
    notes.table(f"units = {quoted(interview.units)}")
    surveyor = Surveyor(interview, notes)
    if asks_parts:
        ask_trims(surveyor)
        ask_parts(surveyor, ask_room(surveyor))
    else:
        paper = ask_paper(surveyor)
        ask_trims(surveyor)
        room = ask_room(surveyor)
        ask_start(surveyor, room, paper)
        ask_rolls(surveyor, paper)
    text = notes.text()
    if not interview.is_live:
        parse_job(text, name)
        return text
    _agree(interview, text, name, summary)
    return text


def _agree(interview: Interview, text: str, name: str, summary: Callable[[Scenario], Sequence[str]]) -> None:
    """Sum up what was answered, and wait until whoever sits there finds it right or goes back in it."""
    fault = "go back to what is wrong"
    try:
        job, is_whole = parse_job(text, name), True
        scenarios = {"": job} if isinstance(job, Scenario) else {part.name: part.scenario for part in job.parts}
        lines = [line for part, scenario in scenarios.items() for line in (part, *summary(scenario)) if line]
    except ScenarioError as error:
        lines, is_whole = error.lines(), False

    def read(text: str, units: str) -> bool:
        if YES_OR_NO.read(text, units) and is_whole:
            return True
        raise AnswerError(fault)

    interview.section("Summary")
    interview.say_all(lines)
    interview.ask(IS_RIGHT, kind=AnswerKind("yes or no", read), is_kept=False)


# A contract: how often each room occurs, how many are mirrored, and how much is spare


def ask_contract(interview: Interview, rooms: Sequence[tuple[str, Scenario]]) -> str:
    """Return a contract as TOML with comments; ``rooms`` are the files, as it names them, with what they hold.

    InterviewError when the answers come from a file, and one cannot be taken or is missing.
    """
    if interview.is_live:
        interview.say_all(MANNERS)
    return interview.carry_out(lambda: _contract(interview, rooms))


def _contract(interview: Interview, rooms: Sequence[tuple[str, Scenario]]) -> str:
    surveyor = Surveyor(interview, Notes())
    notes = surveyor.notes
    notes.remark("Several rooms in one paper, in the order in which they are papered. Plan it: cutplan contract FILE")
    interview.section("The contract")
    notes.table("[contract]")
    surveyor.ask(q.SPARE)
    for file, room in rooms:
        interview.section(file)
        notes.table("[[rooms]]")
        notes.key("file", quoted(file))
        with interview.part(file):
            count = surveyor.ask(q.ROOM_COUNT).value
            if room.setting_out is not None:
                surveyor.ask(q.MIRRORED, check=_no_more_than(count))
    return notes.text()


def _no_more_than(count: int) -> Callable[[int], str | None]:
    return lambda mirrored: f"there are {count} of them in all" if mirrored > count else None
