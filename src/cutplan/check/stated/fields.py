"""Reading JSON tables: each value checked for its kind, every fault noted with its key path."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from fractions import Fraction
from typing import Final, TypeAlias, TypeVar

from msgspec import Struct

from cutplan.check.stated.exact_lengths import exact_number, read_length

Json: TypeAlias = "dict[str, object]"
_T = TypeVar("_T")
NOTHING: Final = Fraction(0)


class Table(Struct, frozen=True):
    """One JSON object, where it stands, and the list in which the faults of the whole document gather.

    Reading a value that is missing, or of the wrong kind, notes a fault and returns nothing of that kind: no text, 0,
    an empty object. So one pass finds every fault, and no reader need ask after one; the caller stops once the document
    is read and ``faults`` is not empty. ``units`` is the unit of bare lengths here, and in all that this object holds;
    None where none is told.
    """

    where: str
    values: Json
    faults: list[str]
    units: str | None = None

    def fault(self, key: str, what: str) -> None:
        """Note a fault of the value at ``key``."""
        self.faults.append(f"{self.path(key)}: {what}")

    def path(self, key: str) -> str:
        """Return the key path of a value here."""
        return f"{self.where}.{key}" if self.where else key

    def has(self, key: str) -> bool:
        """Return whether there is a value, other than null, at ``key``."""
        return self.values.get(key) is not None

    def require(self, *keys: str) -> None:
        """Note a fault for each of these that is missing."""
        for key in keys:
            if not self.has(key):
                self.fault(key, "is missing")

    def refuse_nulls(self) -> None:
        """Note a fault for each key that is there and says nothing, which nobody would write."""
        for key, value in self.values.items():
            if value is None:
                self.fault(key, "must not be null")

    def text(self, key: str) -> str:
        """Return the text at ``key``; a missing one is a fault."""
        self.require(key)
        return self.optional_text(key) or ""

    def label(self, key: str) -> str:
        """Return the label at ``key``, which may be written as a whole number; a missing one is a fault."""
        self.require(key)
        return self.optional_label(key) or ""

    def optional_label(self, key: str) -> str | None:
        """Return the label at ``key``, None where there is none."""
        value = self.values.get(key)
        if isinstance(value, int) and not isinstance(value, bool):
            return str(value)
        text = self.optional_text(key)
        return None if text is None else text.strip()

    def optional_text(self, key: str) -> str | None:
        """Return the text at ``key``, None where there is none."""
        return self._of_type(key, str, "a text")

    def wall(self, numbers: Mapping[str, int]) -> int:
        """Return the number of the wall that is named here; a name that no wall bears is a fault."""
        name = self.text("wall")
        if name not in numbers and isinstance(self.values.get("wall"), str):
            self.fault("wall", f"there is no wall {name!r} in the survey")
        return numbers.get(name, 0)

    def one_of(self, key: str, words: Sequence[str]) -> str | None:
        """Return the text at ``key``, which must be one of ``words``; None where there is none."""
        word = self.optional_text(key)
        if word is not None and word not in words:
            self.fault(key, f"must be one of {', '.join(words)}, not {word!r}")
            return None
        return word

    def word(self, key: str, words: Sequence[str]) -> str:
        """Return the text at ``key``, which must be one of ``words``; a missing one is a fault."""
        self.require(key)
        return self.one_of(key, words) or ""

    def whole(self, key: str, least: int = 0) -> int | None:
        """Return the whole number at ``key``, None where there is none; below ``least`` is a fault."""
        value = self.values.get(key)
        if value is None:
            return None
        if isinstance(value, int) and not isinstance(value, bool) and value >= least:
            return value
        self.fault(key, f"must be a whole number of at least {least}, not {value!r}")
        return None

    def count(self, key: str, least: int = 1) -> int:
        """Return the whole number at ``key``; a missing one is a fault, as one below ``least`` is."""
        self.require(key)
        return self.whole(key, least) or 0

    def number(self, key: str) -> Fraction | None:
        """Return the number at ``key`` (or the text that writes one), None where there is none."""
        value = self.values.get(key)
        if value is None:
            return None
        number = exact_number(value)
        if number is None:
            self.fault(key, f"must be a number, not {value!r}")
        return number

    def exact(self, *keys: str) -> tuple[Fraction, ...]:
        """Return the numbers at all of these keys; a missing one is a fault."""
        self.require(*keys)
        return tuple(self.number(key) or NOTHING for key in keys)

    def length(self, key: str, otherwise: Fraction | None = None) -> Fraction:
        """Return the length at ``key``, mm; without one ``otherwise``, and a fault where that is None too."""
        if not self.has(key) and otherwise is not None:
            return otherwise
        self.require(key)
        return self.optional_length(key) or NOTHING

    def optional_length(self, key: str) -> Fraction | None:
        """Return the length at ``key``, mm; None where there is none."""
        return self.as_length(key, self.values[key]) if self.has(key) else None

    def as_length(self, key: str, value: object) -> Fraction:
        """Return a value found at ``key``, or within it, as a length in mm."""
        try:
            return read_length(value, self.units)
        except ValueError as error:
            self.fault(key, str(error))
            return NOTHING

    def texts(self, key: str, called: str = "texts") -> tuple[str, ...]:
        """Return the texts of the list at ``key``, which a fault calls so; none where there is none."""
        value = self.values.get(key)
        if value is not None and not (isinstance(value, list) and all(isinstance(text, str) for text in value)):
            self.fault(key, f"must be a list of {called}")
            return ()
        return tuple(value or ())

    def flag(self, key: str) -> bool | None:
        """Return the true or false at ``key``, None where there is none."""
        return self._of_type(key, bool, "true or false")

    def needed_table(self, key: str, why: str = "is missing") -> Table:
        """Return the object at ``key``; where there is none, ``why`` that is a fault."""
        if not self.has(key):
            self.fault(key, why)
        return self.table(key) or Table(self.path(key), {}, [], self.units)

    def table(self, key: str) -> Table | None:
        """Return the object at ``key``, None where there is none."""
        value = self.values.get(key)
        if value is None:
            return None
        return self._as_table(key, value)

    def one(self, key: str, read: Callable[[Table], _T]) -> _T | None:
        """Return what ``read`` makes of the object at ``key``, None where there is none."""
        table = self.table(key)
        return None if table is None else read(table)

    def tables(self, key: str) -> Iterator[Table]:
        """Yield the objects of the list at ``key``, numbered from 1 in their key paths."""
        value = self.values.get(key)
        if value is not None and not isinstance(value, list):
            self.fault(key, "must be a list")
            return
        for number, entry in enumerate(value or (), start=1):
            table = self._as_table(f"{key}[{number}]", entry)
            if table is not None:
                yield table

    def each(self, key: str, read: Callable[[Table], _T | None]) -> tuple[_T, ...]:
        """Return what ``read`` makes of each object of the list at ``key``; None of it is left out."""
        return tuple(found for table in self.tables(key) if (found := read(table)) is not None)

    def whole_numbers(self, key: str) -> dict[str, int]:
        """Return the object at ``key`` as whole numbers, none negative; empty where there is none."""
        table = self.table(key)
        if table is None:
            return {}
        return {label: table.whole(label) or 0 for label in table.values}

    def _of_type(self, key: str, kind: type[_T], called: str) -> _T | None:
        value = self.values.get(key)
        if value is None or isinstance(value, kind):
            return value
        self.fault(key, f"must be {called}, not {value!r}")
        return None

    def _as_table(self, key: str, value: object) -> Table | None:
        if isinstance(value, dict) and all(isinstance(name, str) for name in value):
            return Table(self.path(key), value, self.faults, self.units)
        self.fault(key, f"must be an object, not {value!r}")
        return None
