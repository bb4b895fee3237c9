"""The whole survey: every question in turn, and the scenario that the answers make."""

from __future__ import annotations

from shlex import quote
from typing import TYPE_CHECKING, Final

from cutplan.asking.answers import one_of
from cutplan.asking.notes import Notes
from cutplan.asking.paper_questions import ask_paper, ask_rolls, ask_trims
from cutplan.asking.start_questions import ask_start
from cutplan.asking.wall_questions import ask_room
from cutplan.scenario.read import parse_scenario
from cutplan.scenario.toml_text import quoted

if TYPE_CHECKING:
    from cutplan.asking.interview import Interview

UNITS: Final = ("mm", "cm", "m", "in", "ft")


def ask_scenario(interview: Interview, name: str) -> str:
    """Return a scenario as TOML with comments, from the answers to the survey's questions.

    Parameters
    ----------
    interview
        Who is asked.
    name
        What the file is called.

    Raises
    ------
    InterviewError
        When the answers come from a file, and one cannot be taken or is missing.
    ScenarioError
        When the answers do not make a scenario together, with every fault.

    """
    notes = Notes()
    why = "Bare numbers are read in it; an answer may always carry its own unit, such as 8 ft 2 1/2 in."
    units = interview.ask("Which unit do you measure in: mm, cm, m, in or ft?", why, one_of(UNITS), UNITS[0]).value
    file = quote(name) if name.isprintable() else "FILE"
    notes.remark(
        "A room surveyed by questions. Walls in order, left to right as one faces them; distances along a wall",
        "from its left; heights up from the floor line; first motifs down.",
        "",
        f"Plan it:                               cutplan plan {file}",
        f"Look at other places for the start:    cutplan compare {file}",
    )
    notes.table(f"units = {quoted(units)}")
    paper = ask_paper(interview, notes, units)
    ask_trims(interview, notes, units)
    room = ask_room(interview, notes, units)
    ask_start(interview, notes, units, room, paper)
    ask_rolls(interview, notes, units, paper)
    text = notes.text()
    parse_scenario(text, name)
    return text
