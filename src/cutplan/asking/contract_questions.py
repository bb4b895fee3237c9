"""Questions from which a contract begins: how often each room occurs, how many are mirrored, and how much is spare."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from cutplan.asking.answers import AnswerError, AnswerKind, count_from
from cutplan.asking.interview import MANNERS, Interview
from cutplan.asking.notes import Notes
from cutplan.asking.questions import Question
from cutplan.scenario.read import Scenario
from cutplan.scenario.toml_text import quoted


def _per_cent(text: str, _units: str) -> Fraction:
    try:
        share = Fraction(text.removesuffix("%").strip())
    except (ValueError, ZeroDivisionError):
        share = Fraction(-1)
    if 0 <= share <= 100:  # noqa: PLR2004 - a whole is so many per cent
        return share
    raise AnswerError("give a number of per cent from 0 to 100, such as 5")


_MOST_ROOMS: Final = 9999

HOW_MANY: Final = Question(
    "count",
    "How many such rooms are there",
    "Mirrored ones too; rooms not alike have a file each.",
    count_from(1, _MOST_ROOMS),
    "1",
    remark="how many there are",
)
MIRRORED: Final = Question(
    "mirrored",
    "How many of them are mirrored",
    "Their walls are, left and right changed over; their print is not.",
    count_from(0, _MOST_ROOMS),
    "0",
    remark="of them",
)
SPARE: Final = Question(
    "spare",
    "Spare rolls, in per cent",
    "What the contract asks for besides the rolls needed.",
    AnswerKind("number of per cent", _per_cent),
    "0",
    remark="per cent of the rolls, bought besides",
)


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
    notes = Notes()
    notes.remark("Several rooms in one paper, in the order in which they are papered. Plan it: cutplan contract FILE")
    interview.section("The contract")
    spare = interview.ask(SPARE).value
    notes.table("[contract]")
    notes.key(SPARE.key, f"{float(spare):g}", SPARE.remark)
    for file, room in rooms:
        interview.section(file)
        with interview.part(file):
            count = interview.ask(HOW_MANY).value
            mirrored = _mirrored(interview, count) if room.setting_out is not None else 0
        notes.table("[[rooms]]")
        notes.key("file", quoted(file))
        notes.key(HOW_MANY.key, str(count), HOW_MANY.remark)
        if mirrored:
            notes.key(MIRRORED.key, str(mirrored), MIRRORED.remark)
    return notes.text()


def _mirrored(interview: Interview, count: int) -> int:
    def too_many(mirrored: int) -> str | None:
        return f"there are {count} of them in all" if mirrored > count else None

    return interview.ask(MIRRORED, check=too_many).value
