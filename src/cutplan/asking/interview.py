"""Questions put one at a time, at a keyboard or to a file of answers: one line for each.

A survey is a function that asks. To go back, or to go on where it was left off, it is run once more from its beginning,
and what has been answered is taken without asking, up to the first question that is to be asked again or never was.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import Final, Generic, TypeVar, cast

from msgspec import Struct

from cutplan.asking.answers import AnswerError, AnswerKind
from cutplan.asking.questions import Question
from cutplan.errors import LengthError, PatternError, RefusedError
from cutplan.faults import ScenarioError
from cutplan.lengths import Length, show
from cutplan.plain_text import steers
from cutplan.room.finding import RoomError

T = TypeVar("T")

MANNERS: Final = (
    "Nothing written is the answer in brackets. ? gives the reason for a question; back goes to the one before, back 7",
    'to the seventh; answers lists them. A wall that is called back is written "back".',
    "Several answers on one line are parted by semicolons: 3600; 2440. usual takes what is in brackets to the end of a",
    "part, and stops where nothing is offered.",
)
_BACK: Final = re.compile(r"back(?:\s+([0-9]{1,4}))?")
_USUAL: Final = "usual"
_NOTHING: Final = ("none", "no", "nil", "nothing")
_OF_NUMBERS: Final = ("length", "distance", "whole number", "openings", "rolls")
"""Kinds of answer of which nothing is 0."""
_COMMAND: Final = re.compile(rf'"(\?|answers|{_USUAL}|back(?:\s+[0-9]+)?)"')
_BARE: Final = re.compile(r"[0-9./ ]*")
"""What needs no echo: a number in the unit of the survey."""


class InterviewError(RefusedError):
    """The answers came from a file and cannot be taken, so that there is nobody to ask again."""


class _GoneBackError(Exception):
    """Somebody wants to answer an earlier question again."""


class Said(Struct, Generic[T], frozen=True):
    """An answer as it was written, and what it means."""

    text: str
    value: T


class _Asked(Struct, Generic[T], frozen=True):
    """A question as it is put here and now."""

    question: Question[T]
    kind: AnswerKind[T]
    why: str
    offered: str | None
    check: Callable[[T], str | None] | None


class Interview:
    """One conversation: ``read`` returns the next answer, None when there are no more; ``say`` shows a line.

    It ``is_live`` when somebody sits there to be asked again; else the answers come from a file. ``answers`` are what
    was answered before, by the place of its question, and is not asked again; ``keep`` takes all of them after each.
    """

    def __init__(
        self,
        read: Callable[[], str | None],
        say: Callable[[str], None],
        *,
        is_live: bool,
        answers: dict[str, str] | None = None,
        keep: Callable[[dict[str, str]], None] | None = None,
    ) -> None:
        self._read = read
        self._say = say
        self.is_live = is_live
        self._answers = dict(answers or {})
        self._keep = keep
        self._again: set[str] = set()
        self._not_offered: set[str] = set()
        self._asked: dict[str, str] = {}
        self._parts: tuple[str, ...] = ()
        self._title, self._shown = "", ""
        self._as_usual: str | None = None
        self._written: list[str] = []
        self._reasons_given: set[str] = set()
        self._number = 0
        self._last = ("", "")
        self.units = "mm"

    def carry_out(self, survey: Callable[[], T]) -> T:
        """Return what a survey gives, begun anew whenever somebody goes back in it."""
        while True:
            self._asked.clear()
            self._parts = ()
            try:
                return survey()
            except _GoneBackError:
                self._shown = ""

    def say_all(self, lines: Iterable[str]) -> None:
        """Show several lines."""
        for line in lines:
            self._say(line)

    def section(self, title: str) -> None:
        """Begin another part of the survey; it is shown with the first question asked in it."""
        self._title, self._as_usual = title, None

    @contextmanager
    def part(self, name: str) -> Iterator[None]:
        """Ask of one of several things, so that its answers are told from those of the others."""
        self._parts = (*self._parts, name)
        yield
        self._parts = self._parts[:-1]

    def ask(
        self,
        question: Question[T],
        default: str | None = None,
        *,
        kind: AnswerKind[T] | None = None,
        why: str = "",
        check: Callable[[T], str | None] | None = None,
        is_kept: bool = True,
    ) -> Said[T]:
        """Return the answer to a question, asking until it can be taken; one not ``is_kept`` is asked each time.

        What no answer stands for, what may be answered and its reason are the question's own where they are left out.
        ``check`` returns why an answer that means something cannot be taken all the same; None when it can.

        InterviewError when the answers come from a file, and this one cannot be taken or is missing.
        """
        place = "/".join((*self._parts, question.key))
        self._asked[place] = question.wording
        earlier = self._answers.get(place)
        offered = question.offered(self.units) if default is None else default
        offered = offered if earlier is None else earlier
        offered = None if place in self._not_offered else offered
        asked = _Asked(question, kind or question.kind, why or question.why, offered, check)
        said, refusal = None, ""
        if earlier is not None and place not in self._again:
            said, refusal = self._meant(asked, earlier)
        if said is not None:
            return said
        said = self._usual(asked)
        if said is None:
            self._put(asked)
            if refusal:
                self.refuse(f"{earlier!r}: {refusal}")
            said = self._answer(asked)
        self._again.discard(place)
        self._not_offered.discard(place)
        if is_kept:
            self._answers[place] = said.text
            if self._keep is not None:
                self._keep(self._answers)
        return said

    def _usual(self, asked: _Asked[T]) -> Said[T] | None:
        """Return what is offered, where all of a part is taken as it is offered; None where it is to be asked for."""
        if self._as_usual != self._title or asked.offered is None:
            return None
        said, _ = self._meant(asked, asked.offered)
        if said is not None:
            self._say(f"{asked.question.wording} {said.text or 'none'}")
        return said

    def _put(self, asked: _Asked[T]) -> None:
        if self._title != self._shown:
            self.say_all(("", self._title))
            self._shown = self._title
        key, wording = asked.question.key, asked.question.wording
        self._say(wording + ("" if asked.offered is None else f" [{asked.offered or 'none'}]"))
        if key not in self._reasons_given:
            self._reasons_given.add(key)
            self._say(f"    {asked.why}")

    def _answer(self, asked: _Asked[T]) -> Said[T]:
        doubted = None
        while True:
            text = self._next(asked.question)
            if self.is_live and self._obeyed(text, asked.why):
                said = self._usual(asked)
                if said is not None:
                    return said
                continue
            said, refusal = self._taken(asked, text)
            if said is None:
                self.refuse(refusal)
                continue
            unusual = asked.question.doubt(said.value, self.units)
            if unusual:
                self._say(f"  ? {unusual}" + (" If it is right, give it again." if self.is_live else ""))
            if not unusual or not self.is_live or said.text == doubted:
                if text and asked.kind.name in ("length", "distance") and not _BARE.fullmatch(text):
                    self._say(f"  = {show(cast('Length', said.value), self.units)}")
                return said
            doubted = said.text

    def _taken(self, asked: _Asked[T], text: str) -> tuple[Said[T] | None, str]:
        """Return an answer as it was given now; None, and the reason, where it cannot be taken."""
        if self.is_live:
            text = _COMMAND.sub(r"\1", text)
        if text.lower() in _NOTHING:
            if asked.question.default == "":
                return self._meant(asked, "")
            text = "0" if asked.kind.name in _OF_NUMBERS else text
        if not text and asked.offered is None:
            return None, "an answer is needed here"
        if steers(text):
            return None, "it holds control signs; write plain text"
        return self._meant(asked, text or asked.offered or "")

    def _meant(self, asked: _Asked[T], text: str) -> tuple[Said[T] | None, str]:
        """Return an answer with what it means; None, and the reason, where it cannot be taken."""
        try:
            value = asked.kind.read(text, self.units)
        except (AnswerError, LengthError, PatternError) as error:
            return None, str(error)
        refusal = None if asked.check is None else asked.check(value)
        return (Said(text, value), "") if refusal is None else (None, refusal)

    def _obeyed(self, text: str, why: str) -> bool:
        """Do what was said instead of an answer; return False for an answer."""
        if text == "?":
            self._say(f"    {why}")
        elif text == "answers":
            for number, (place, wording) in enumerate(self._asked.items(), start=1):
                if place in self._answers:
                    of = f"{place.rpartition('/')[0].replace('/', ', ')}: ".lstrip(": ")
                    self._say(f"  {number:>3}  {of}{wording} {self._answers[place] or 'none'}")
        elif text == _USUAL:
            self._as_usual = self._title
        elif back := _BACK.fullmatch(text):
            places = list(self._asked)
            number = int(back[1]) if back[1] else len(places) - 1
            if 1 <= number < len(places):
                self._again.add(places[number - 1])
                self._as_usual = None
                self._written.clear()
                raise _GoneBackError
            self._say("  ! there is no such answer to go back to; answers lists them")
        else:
            return False
        return True

    def until_it_holds(self, ask: Callable[[], T]) -> T:
        """Return what a few questions give together, asked until the room can be like that.

        What is refused a second time is no longer offered: who takes what is offered would be asked for ever.
        """
        given: dict[str, str | None] = {}
        while True:
            before = set(self._asked)
            try:
                return ask()
            except (RoomError, ScenarioError) as error:
                reasons = (
                    [f"{found.path[-1]}: {found.what.read(self.units)}" for found in error.findings]
                    if isinstance(error, RoomError)
                    else [f"{fault.where.rpartition('.')[2]}: {fault.what}" for fault in error.faults]
                )
                self.refuse("; ".join(reasons), "these go together; once more")
                asked = self._asked.keys() - before
                answers = {place: self._answers.get(place) for place in asked}
                self._not_offered |= asked if answers == given else set()
                given, self._as_usual = answers, None
                self._again |= asked
                for place in self._again & self._asked.keys():
                    del self._asked[place]

    def refuse(self, reason: str, then: str = "once more") -> None:
        """Say why an answer cannot be taken, so that it is given again; raise InterviewError if nobody can."""
        if not self.is_live:
            question, last = self._last
            where = f"answer {self._number}, {last!r}, to {question!r}"
            raise InterviewError(f"{where}: {reason}; nothing was written")
        rest = "; ".join(self._written)
        self._written.clear()
        self._say(f"  ! {reason}; {then}{f', and what was to follow: {rest}' if rest else ''}")

    def _next(self, question: Question[T]) -> str:
        line = self._written.pop(0) if self._written else self._read()
        if line is not None and self.is_live and "=" not in line:  # A sloping top is told with semicolons too.
            line, *self._written = [*map(str.strip, line.split(";")), *self._written]
        if line is None:
            asked = f"before {question.wording!r} after {self._number} of them"
            raise InterviewError(f"the answers end {asked}; nothing was written")
        self._number += 1
        self._last = (question.wording, line.strip())
        if not self.is_live:
            self._say(f"  > {self._last[1]}")
        return self._last[1]
