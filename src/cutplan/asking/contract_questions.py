"""Questions from which a contract begins: how often each room occurs, how many are mirrored, and how much is spare."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import cutplan.asking.questions as q
from cutplan.asking.interview import MANNERS, Interview
from cutplan.asking.notes import Notes
from cutplan.asking.surveyor import Surveyor
from cutplan.scenario.read import Scenario
from cutplan.scenario.toml_text import quoted


def ask_contract(interview: Interview, rooms: Sequence[tuple[str, Scenario]]) -> str:
    """Return a contract as TOML with comments; ``rooms`` are the files, as it names them, with what they hold.

    Raises
    ------
    InterviewError
        When the answers come from a file, and one cannot be taken or is missing.

    """
    if interview.is_live:
        interview.say_all(MANNERS)
    return interview.carry_out(lambda: _asked(interview, rooms))


def _asked(interview: Interview, rooms: Sequence[tuple[str, Scenario]]) -> str:
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
