"""The survey's questions as fields of the page: what is written, what is asked, and what is wrong with it.

The questions, their reasons and the kinds of their answers are those of the interview; only the face is another.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, Final

from msgspec import Struct, field

from cutplan.asking.answers import SPOKEN, as_toml, toml_answer
from cutplan.asking.questions import QUESTIONS, Question
from cutplan.errors import CutplanError
from cutplan.faults import Fault
from cutplan.page.desk import Survey
from cutplan.page.editing import Path, value_at
from cutplan.scenario.toml_places import places_of_keys

BY_KEY: Final[dict[str, Question[Any]]] = {question.key: question for question in QUESTIONS}
_ADDED: Final = re.compile(r"; (?:add|write) for example .*|; add a \[.*|; put text, and a length.*|: \w+ = \[\{.*")
"""What tells the writer of a file what to write: on the page there are fields."""
_HOLDERS: Final = ("band", "border", "lining", "damp_lining")
"""What holds tables that an ordinary scenario has at its top."""
_MISSING: Final = "is missing"


class Field(Struct, frozen=True):
    """One field."""

    path: Path
    """Where the file holds the answer."""
    asked: str
    why: str
    value: str
    """As it is written; empty where nothing is."""
    units: str
    offered: str = ""
    """What no answer stands for."""
    words: tuple[str, ...] = ()
    """All that may be answered; empty where it is not one of a few words."""
    faults: tuple[str, ...] = ()
    """What is wrong with it, each with its remedy."""
    doubt: str = ""
    """What is asked back about an unusual length."""
    is_wanted: bool = False
    """True when nothing can be planned without an answer."""
    is_optional: bool = False
    """True when there may be none."""

    def spoken(self, word: str) -> str:
        """Return one of the words as the trade says it; what somebody has named, as it is named."""
        return SPOKEN.get(word, word) if word in question_of(self.path).kind.words else word

    @property
    def identity(self) -> str:
        """What the page knows the field by."""
        return "f-" + "-".join(map(str, self.path))


class Fields(Struct):
    """The fields of a survey as it is now; whatever is wrong and has no field yet is left in ``unplaced``."""

    survey: Survey
    unplaced: dict[Path, list[str]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Find the place of every fault."""
        places = places_of_keys(self.survey.text) if self.survey.document else {}
        by_place: dict[tuple[int | None, int | None], Path] = {}
        for path, place in places.items():
            by_place[place] = max(path, by_place.get(place, ()), key=len)
        for fault in () if self.survey.whole is not None else self.survey.faults:
            self.unplaced.setdefault(_path_of(fault, by_place), []).append(_ADDED.sub("", fault.what))

    @property
    def units(self) -> str:
        """What bare numbers are in."""
        units = self.survey.document.get("units")
        return units if isinstance(units, str) else "mm"

    def of(self, *path: str | int, words: tuple[str, ...] = ()) -> Field:
        """Return the field for a path."""
        question = question_of(path)
        value = shown_value(value_at(self.survey.document, path))
        faults = self.unplaced.pop(path, [])
        is_wanted = any(fault.startswith(_MISSING) for fault in faults)
        return Field(
            path,
            question.wording,
            question.why,
            value,
            self.units,
            question.offered(self.units) or "",
            words or question.kind.words,
            tuple(fault for fault in faults if not fault.startswith(_MISSING)),
            self._doubt(question, value),
            is_wanted,
            question.default == "",
        )

    def _doubt(self, question: Question[Any], value: str) -> str:
        if not value or question.usual is None:
            return ""
        try:
            return question.doubt(question.kind.read(value, self.units), self.units) or ""
        except CutplanError:
            return ""

    def left_over(self) -> Iterator[Field | str]:
        """Yield what is wrong and has no field yet: as a field where a question asks for it, else in words."""
        for path, faults in list(self.unplaced.items()):
            key = ".".join(step for step in path if isinstance(step, str))
            if stands_at(path):
                yield self.of(*path)
            else:
                self.unplaced.pop(path)
                named = key.replace(".", ", ").replace("_", " ")
                yield from (f"{named}: {fault}" if key else fault for fault in faults)


def question_of(path: Path) -> Question[Any]:
    """Return the question whose answer stands at a path; CutplanError when nobody asks for it."""
    key = ".".join(step for step in path if isinstance(step, str))
    within = key.partition(".")[2]
    held = (within, f"lining.{within}", f"damp_lining.{within}") if key.partition(".")[0] in _HOLDERS else ()
    for known in (key, *held):
        if known in BY_KEY and ("." in known or known == "units"):
            return BY_KEY[known]
    raise CutplanError(f"{key} is not asked for on this page; change it in the file.")


def stands_at(path: Path) -> bool:
    """Return True when a question's answer stands at a path."""
    try:
        question_of(path)
    except CutplanError:
        return False
    return True


def _path_of(fault: Fault, by_place: dict[tuple[int | None, int | None], Path]) -> Path:
    path = by_place.get((fault.line, fault.column), ())
    key = fault.where.rpartition(".")[2]
    if not re.fullmatch(r"[a-z_]+", key) or (path and path[-1] == key):
        return path
    return (*path, key) if not path or isinstance(path[-1], int) or path[-1] != fault.where else path


def shown_value(value: object) -> str:
    """Return a value of the file as it is typed.

    >>> shown_value([[0, 1150], ["1.4 m", 2380]]), shown_value(True), shown_value(None)
    ('0=1150; 1.4 m=2380', 'yes', '')

    """
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        pairs = [point if isinstance(point, list) else [point] for point in value]
        return "; ".join("=".join(map(str, pair)) for pair in pairs)
    return "" if value is None else str(value)


def toml_of(path: Path, typed: str, units: str) -> str | None:
    """Return what was typed as the file takes it; None for nothing. What cannot be read is written as it was typed."""
    text, kind = typed.strip(), question_of(path).kind
    if not text:
        return None
    try:
        value = kind.read(text, units)
    except CutplanError:
        return as_toml(text)
    return None if value is False else toml_answer(kind, text, value)
