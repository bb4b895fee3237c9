"""Who surveys: asks, writes down what was answered, and has it read as a scenario's reader reads it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from msgspec import Struct

from cutplan.asking.answers import AnswerKind, toml_answer
from cutplan.asking.interview import Interview, Said
from cutplan.asking.notes import Notes
from cutplan.asking.questions import Question
from cutplan.faults import ScenarioError
from cutplan.room.walls import Room
from cutplan.scenario.read import TOP_KEYS
from cutplan.scenario.survey.survey_written import room_tables
from cutplan.scenario.tables import Reading, Table
from cutplan.scenario.toml_file import parse_toml
from cutplan.scenario.write import plain

T = TypeVar("T")


class Surveyor(Struct, frozen=True):
    """Somebody with questions and a pencil."""

    interview: Interview
    notes: Notes

    @property
    def units(self) -> str:
        """What bare numbers are in."""
        return self.interview.units

    def ask(
        self,
        question: Question[T],
        default: str | None = None,
        *,
        kind: AnswerKind[T] | None = None,
        check: Callable[[T], str | None] | None = None,
    ) -> Said[T]:
        """Return an answer, noted unless it says nothing."""
        said = self.interview.ask(question, default, kind=kind, check=check)
        self.note(question, said)
        return said

    def settle(self, tell: Callable[[], object], read: Callable[[Table], T], room: Room | None = None) -> T:
        """Return what is read of the notes once ``tell`` has asked and noted, once more where the reader finds fault.

        ``read`` and ``room`` as :meth:`read` takes them.
        """
        begins = self.notes.count

        def told() -> T:
            self.notes.begin_again(begins)
            tell()
            return self.read(read, room)

        return self.interview.until_it_holds(told)

    def read(self, read: Callable[[Table], T], room: Room | None = None) -> T:
        """Return what is read of all that is noted, or of the band that is; ``room`` is what that band has of the room.

        ScenarioError with all that the reader finds wrong.
        """
        document: Any = parse_toml(self.notes.text(), "")
        if self.notes.inside:
            document = document[self.notes.inside][-1]
        surveyed: Any = {} if room is None else plain(room_tables(room))
        reading = Reading(units=self.units)
        known = {key: value for key, value in document.items() if key in TOP_KEYS}
        found = read(reading.root({**known, **surveyed}, TOP_KEYS))
        if reading.has_faults:
            raise ScenarioError("", reading.faults(""))
        return found

    def note(self, question: Question[Any], said: Said[Any], key: str = "") -> None:
        """Note an answer under its key, unless it says nothing or no more than what the key left out says."""
        value = said.value
        if value is None or value is False or said.text == question.default in ("0", "1"):
            return
        self.notes.key(
            key or question.key.rpartition(".")[2], toml_answer(question.kind, said.text, said.value), question.remark
        )
