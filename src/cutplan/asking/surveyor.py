"""Who surveys: asks, and writes down what was answered."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

from cutplan.asking.answers import AnswerKind, toml_answer
from cutplan.asking.interview import Interview, Said
from cutplan.asking.notes import Notes
from cutplan.asking.questions import Question

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Surveyor:
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

    def note(self, question: Question[Any], said: Said[Any], key: str = "") -> None:
        """Note an answer under its key, unless it says nothing or no more than what the key left out says."""
        value = said.value
        if value is None or value is False or said.text == question.default in ("0", "1"):
            return
        self.notes.key(
            key or question.key.rpartition(".")[2], toml_answer(question.kind, said.text, said.value), question.remark
        )

    def note_all(self, answers: list[tuple[Question[Any], Said[Any]]]) -> None:
        """Note several answers, each under its key."""
        for question, said in answers:
            self.note(question, said)
