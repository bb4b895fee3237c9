"""Values as plain JSON: of each kind one shape tells under which key each field stands, and how, in both directions."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any, Final, Generic, NamedTuple, TypeVar

from cutplan.lengths import exact_mm
from cutplan.progress.record import Json

_Kind = TypeVar("_Kind")


class Form(NamedTuple):
    """How the values of a field are written, None for one that is left out, and read again."""

    write: Callable[[Any], object]
    read: Callable[[Any], Any]


class Shape(Generic[_Kind]):
    """How values of one kind stand in the record: for each field its key, where that is another, and its form."""

    def __init__(self, kind: Callable[..., _Kind], **fields: Form | tuple[str, Form]) -> None:
        self.kind = kind
        self.fields = {name: (name, form) if isinstance(form, Form) else form for name, form in fields.items()}

    def facts(self, value: _Kind) -> Json:
        """Return a value as plain JSON; what is None, or written as None, is left out."""
        held = ((key, form.write, getattr(value, name)) for name, (key, form) in self.fields.items())
        written = ((key, None if inner is None else write(inner)) for key, write, inner in held)
        return {key: fact for key, fact in written if fact is not None}

    def read(self, facts: Json) -> _Kind:
        """Return the value that :meth:`facts` wrote; TypeError or ValueError for what it did not."""
        known = {name: (facts.get(key), form) for name, (key, form) in self.fields.items()}
        return self.kind(**{name: form.read(fact) for name, (fact, form) in known.items() if fact is not None})


def of_type(kind: type, called: str) -> Callable[[object], Any]:
    """Return what takes values of a type of JSON as they are, and raises TypeError for any other."""

    def read(value: object) -> object:
        if not isinstance(value, kind) or (isinstance(value, bool) and kind is not bool):
            raise TypeError(f"{value!r} is no {called}")
        return value

    return read


def several(form: Form) -> Form:
    """Return the form of a tuple of values."""
    listed = of_type(list, "list")
    return Form(
        lambda values: [form.write(value) for value in values],
        lambda facts: tuple(form.read(fact) for fact in listed(facts)),
    )


def shaped(shape: Shape[Any]) -> Form:
    """Return the form of a value that has a shape of its own."""
    table = of_type(dict, "table")
    return Form(shape.facts, lambda fact: shape.read(table(fact)))


_text: Final = of_type(str, "text")
TEXT: Final = Form(str, _text)
WHOLE: Final = Form(int, of_type(int, "whole number"))
FLAG: Final = Form(bool, of_type(bool, "flag"))
MARK: Final = Form(lambda is_so: is_so or None, of_type(bool, "flag"))
"""A flag that stands only where it is so."""
TABLE: Final = Form(dict, of_type(dict, "table"))
EXACT: Final = Form(exact_mm, lambda fact: Fraction(_text(fact)))
"""An exact number as text; of lengths, in millimetres."""
