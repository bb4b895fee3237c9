"""Questions put one at a time, at a keyboard or to a file of answers: one line for each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Generic, TypeVar

from cutplan.errors import CutplanError, LengthError, PatternError
from cutplan.plain_text import steers
from cutplan.room.finding import RoomError

if TYPE_CHECKING:
    from collections.abc import Callable

T = TypeVar("T")


class AnswerError(CutplanError):
    """An answer that cannot be taken: the message says why, and what to write instead."""

    exit_status = 2


class InterviewError(CutplanError):
    """The answers came from a file and cannot be taken, so that there is nobody to ask again."""

    exit_status = 2


@dataclass(frozen=True, slots=True)
class Said(Generic[T]):
    """An answer as it was written, and what it means."""

    text: str
    value: T


class Interview:
    """One conversation.

    Parameters
    ----------
    read
        Returns the next answer without its line end; None when there are no more.
    say
        Shows a line to the person who answers.
    is_live
        True when somebody sits there to be asked again; False when the answers come from a file.

    """

    def __init__(self, read: Callable[[], str | None], say: Callable[[str], None], *, is_live: bool) -> None:
        self._read = read
        self._say = say
        self._is_live = is_live
        self._answers = 0
        self._question = ""
        self._last = ""

    def section(self, title: str) -> None:
        """Show that another part of the survey begins."""
        self._say("")
        self._say(title)

    def ask(
        self,
        question: str,
        why: str,
        parse: Callable[[str], T],
        default: str | None = None,
        doubt: Callable[[T], str | None] | None = None,
    ) -> Said[T]:
        """Return the answer to a question, asking until it can be taken.

        Parameters
        ----------
        question
            In a few words, with its unit.
        why
            What the answer is for, or how to find it.
        parse
            Returns what an answer means; raises AnswerError, LengthError or PatternError for one that means nothing.
        default
            What an empty answer stands for; None when there must be one.
        doubt
            Asks back about an answer that is unusual, which is taken when it is given again, or comes from a file.

        Raises
        ------
        InterviewError
            When the answers come from a file, and this one cannot be taken or is missing.

        """
        offered = "" if default is None else f" [{default or 'none'}]"
        self._say(f"{question}{offered}")
        self._say(f"    {why}")
        doubted = None
        while True:
            text = self._next(question)
            if not text and default is None:
                self.refuse("an answer is needed here")
                continue
            if steers(text):
                self.refuse("it holds control signs; write plain text")
                continue
            text = text or default or ""
            try:
                value = parse(text)
            except (AnswerError, LengthError, PatternError) as error:
                self.refuse(str(error))
                continue
            unusual = doubt and doubt(value)
            if unusual:
                self._say(f"  ? {unusual}" + (" If it is right, give it again." if self._is_live else ""))
            if not unusual or not self._is_live or text == doubted:
                return Said(text, value)
            doubted = text

    def until_it_holds(self, ask: Callable[[], T], units: str) -> T:
        """Return what a few questions give together, asked until the room can be like that."""
        while True:
            try:
                return ask()
            except RoomError as error:
                reasons = (f"{found.path[-1]}: {found.what.read(units)}" for found in error.findings)
                self.refuse("; ".join(reasons), "these go together; once more")

    def refuse(self, reason: str, then: str = "once more") -> None:
        """Say why an answer cannot be taken, so that it is given again; raise InterviewError if nobody can."""
        if not self._is_live:
            where = f"answer {self._answers}, {self._last!r}, to {self._question!r}"
            raise InterviewError(f"{where}: {reason}; nothing was written")
        self._say(f"  ! {reason}; {then}")

    def _next(self, question: str) -> str:
        line = self._read()
        if line is None:
            asked = f"before {question!r} after {self._answers} of them"
            raise InterviewError(f"the answers end {asked}; nothing was written")
        self._answers += 1
        self._question, self._last = question, line.strip()
        if not self._is_live:
            self._say(f"  > {self._last}")
        return self._last
