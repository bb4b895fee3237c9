"""Reading a parsed TOML document key by key, collecting every fault instead of stopping at the first.

How to use it::

    reading = Reading()
    root = reading.root(document, keys=("units", "wall"))
    root.read_units()
    for wall in root.entries("wall", keys=("label", "length", "opening")):
        label = wall.label()                      # str | None
        length = wall.length("length")            # Length | None, more than 0
        for opening in wall.entries("opening", keys=("label", "left"), required=False):
            left = opening.length("left", zero=True)
        if length is not None and length > TOO_LONG:
            wall.reject("length", "is longer than the room; measure again")
    faults = reading.faults(text)                 # tuple[Fault, ...], placed by line and column

Every method that reads a key returns **None when the key is absent or at fault**; the fault is then
already on the list, so the caller goes on reading, builds nothing out of a None, and looks at
:meth:`Reading.has_faults` before using what was built. The keys that a table may hold are given when it
is opened: any other is a fault that names the nearest one, and the misspelt one is not reported missing
as well. Entries are named by their labels: ``roll["A"].first_motif``; by number from 1 where they have none.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from decimal import Decimal
from difflib import get_close_matches
from enum import Enum
from fractions import Fraction
from math import lcm
from typing import Final, TypeVar

from msgspec import Struct, field

from cutplan.errors import LengthError
from cutplan.faults import Fault
from cutplan.lengths import ZERO, Length, read_length, show, unit_named
from cutplan.paper.pattern import Pattern
from cutplan.plain_text import one_line
from cutplan.scenario.toml_places import KeyPath, place_of, places_of_keys
from cutplan.scenario.usual import Usual

_E = TypeVar("_E", bound="Enum")

MOST: Final = 10_000_000
"""No job wants more of anything: a larger count is a slip of the finger."""

FINEST: Final = 1_000_000
"""Steps a millimetre of the finest scale on which all lengths of a scenario may lie. Thirds of a repeat, sixty-fourths
of an inch and thousandths of a millimetre together take 24 000; what is finer leaves the solver's whole numbers."""

_MOST_PLACES: Final = 4
_LONGEST_QUOTE: Final = 60
_SHARE: Final = re.compile(r"[0-9]{1,12}/[1-9][0-9]{0,8}")
_BARE_KEY: Final = re.compile(r"[\w-]{1,60}")


class _Found(Struct, frozen=True):
    """A fault before it is placed: where its key lies in the document, how it is named, what is wrong."""

    path: KeyPath
    where: str
    what: str


class Reading(Struct):
    """What has come of reading one document so far."""

    units: str | None = None
    """Unit of a bare number; None while the document has named none, and then bare lengths are faults."""
    notes: list[str] = field(default_factory=list)
    """What the reader should tell the user although nothing is wrong."""
    doubts: list[str] = field(default_factory=list)
    """Lengths that are unusual for their kind, each with what may have been meant."""
    moved: Mapping[object, Table] = field(default_factory=dict)
    """For top-level keys that stand elsewhere in the file, the table that they stand in."""
    usual: Mapping[str, Usual] = field(default_factory=dict)
    """What is usual for keys, where that is other than it mostly is."""
    _found: list[_Found] = field(default_factory=list)
    _steps: int = 1

    def takes_in(self, length: Length) -> bool:
        """Return True when all lengths taken in so far, and this one, lie on a scale that is not too fine."""
        steps = lcm(self._steps, length.denominator)
        if steps > FINEST:
            return False
        self._steps = steps
        return True

    @property
    def has_faults(self) -> bool:
        """True when some fault has been found, so that nothing read may be used."""
        return bool(self._found)

    def root(self, document: Mapping[str, object], keys: Sequence[str]) -> Table:
        """Return the document as a table that may hold ``keys``."""
        return Table(self, document, (), "", tuple(keys))

    def report(self, path: KeyPath, where: str, what: str) -> None:
        """Add a fault: ``what`` continues a sentence that begins with ``where``."""
        holder = self.moved.get(path[0]) if path else None
        if holder is not None:
            path, where = (*holder.path, *path), f"{holder.name}.{where}"
        self._found.append(_Found(path, where, what))

    def faults(self, text: str) -> tuple[Fault, ...]:
        """Return the faults found, each with its line and column in ``text``, in the order of the file."""
        if not self._found:
            return ()
        places = places_of_keys(text)
        faults = []
        for found in self._found:
            line, column = place_of(found.path, places) or (None, None)
            faults.append(Fault(found.where, found.what, line, column))
        return tuple(sorted(faults, key=lambda fault: (fault.line or 0, fault.column or 0)))


class Table(Struct):
    """One table of a document, read key by key."""

    reading: Reading
    """Where faults and notes go."""
    values: Mapping[str, object]
    """The table as parsed, with decimals as :class:`~decimal.Decimal`."""
    path: KeyPath
    """Where it lies in the document."""
    name: str
    """How messages call it: ``roll["A"]``; empty for the document itself."""
    keys: tuple[str, ...]
    """Every key that may stand here."""
    _misspelt: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        for key in self.values:
            if key not in self.keys:
                self._report_unknown(key)

    def _report_unknown(self, key: str) -> None:
        absent = [known for known in self.keys if known not in self.values]
        nearest = get_close_matches(key.lower().replace("-", "_"), absent, n=1)
        if nearest:
            self._misspelt.add(nearest[0])
            remedy = f"did you mean {nearest[0]}?"
        else:
            remedy = f"keys allowed here: {', '.join(self.keys)}"
        self.reject(key, f"unknown key; {remedy}")

    def where(self, key: str) -> str:
        """Return how messages name ``key`` of this table."""
        shown = key if _BARE_KEY.fullmatch(key) else describe(key)
        return f"{self.name}.{shown}" if self.name else shown

    @property
    def units(self) -> str:
        """The unit in which people read this document's lengths."""
        return self.reading.units or "mm"

    def shown(self, length: Length) -> str:
        """Return a length as this document's reader measures it."""
        return show(length, self.units)

    def reject(self, key: str, what: str) -> None:
        """Report a fault of ``key``: ``what`` says the rule, the value and the remedy."""
        self.reading.report((*self.path, key), self.where(key), what)

    def note(self, key: str, what: str) -> None:
        """Note something about ``key`` that the user should look at, though it is no fault."""
        self.reading.notes.append(f"{self.where(key)}: {what}")

    def has(self, key: str) -> bool:
        """Return True when ``key`` is here, or was meant to be but is misspelt."""
        return key in self.values or key in self._misspelt

    def raw(self, key: str, example: str | None = None) -> object | None:
        """Return the value of ``key`` as parsed, None when absent: a fault if ``example`` is given.

        ``example`` is how the missing key would be written, such as ``match = "64/32 cm"``.
        """
        if key not in self.keys:
            raise KeyError(f"{key} is not among the keys of {self.name or 'the document'}")
        value = self.values.get(key)
        if value is None and example is not None and key not in self._misspelt:
            self.reject(key, f"is missing; add for example {example}")
        return value

    def text(self, key: str, *, required: bool = True) -> str | None:
        """Return a text of one line, without the space around it."""
        value = self.raw(key, f'{key} = "…"' if required else None)
        if value is None:
            return None
        if not isinstance(value, str):
            self.reject(key, f'must be text in quotes, not {describe(value)}; write {key} = "…"')
            return None
        return self._one_line(key, value)

    def code(self, key: str, *, required: bool = True) -> str | None:
        """Return a text of one line that may also be written as a whole number, such as a batch."""
        value = self.raw(key, f'{key} = "1"' if required else None)
        if _is_whole(value) and _is_short(value):
            return str(value)
        return None if value is None else self.text(key, required=required)

    def label(self, key: str = "label", *, required: bool = True) -> str | None:
        """Return the name of this entry: one line, of text or a whole number, without « (»."""
        label = self.code(key, required=required)
        if label is not None and " (" in label:
            self.reject(key, f'{describe(label)} has " (" in it, which plans use to count alike pieces')
            return None
        return label

    def _one_line(self, key: str, value: str) -> str | None:
        text = value.strip()
        if not text:
            self.reject(key, f"is empty; write what is printed or written there, or leave {key} out")
            return None
        if not text.isprintable():
            self.reject(key, f"must be one line of plain text, not {describe(value)}")
            return None
        return text

    def length(
        self, key: str, *, required: bool = True, zero: bool = False, usual: Usual | None = None
    ) -> Length | None:
        """Return an exact length in millimetres: more than 0, or not less than 0 when ``zero`` is allowed.

        One that is not ``usual`` for its kind is doubted.
        """
        value = self.raw(key, f'{key} = "{"50 mm" if zero else "2.4 m"}"' if required else None)
        if value is None:
            return None
        if not isinstance(value, str) and not _is_number(value):
            self.reject(key, f'must be a length, not {describe(value)}; write for example "2.4 m"')
            return None
        try:
            length = read_length(value, self.reading.units)
        except LengthError as error:
            self.reject(key, str(error))
            return None
        if length < 0 or (length == 0 and not zero):
            rule = "cannot be less than 0" if zero else "must be more than 0"
            self.reject(key, f"{rule}, not {describe(value)}; a length is measured forwards")
            return None
        self.doubt(key, length, usual)
        return self.taken_in(key, length, describe(value))

    def taken_in(self, key: str, length: Length, shown: str) -> Length | None:
        """Return a length that lies on one scale with those read before it; else None, and the fault reported."""
        if self.reading.takes_in(length):
            return length
        what = f"{shown} lies on no scale of {FINEST} steps a millimetre with the lengths before it"
        self.reject(key, f"{what}; round it to thousandths of a millimetre, or write it in parts of an inch")
        return None

    def doubt(self, key: str, length: Length, usual: Usual | None) -> None:
        """Doubt a length that is not ``usual`` for its kind."""
        usual = self.reading.usual.get(key, usual)
        doubt = usual and usual.doubt(length, self.units)
        if doubt:
            self.reading.doubts.append(f"{self.where(key)}: {doubt}")

    def first_motif(self, key: str, pattern: Pattern | None, *, required: bool = True) -> Length | None:
        """Return a first motif, in [0, repeat); 0 for a free match that leaves it out and ``required``.

        ``pattern`` is None when the match is itself at fault; only the length is checked then.
        """
        if pattern is not None and pattern.is_free:
            return self._no_motif(key, required=required)
        motif = self.length(key, required=required, zero=True)
        if motif is None or pattern is None:
            return motif
        beyond = pattern.beyond_repeat(motif, self.units, f", not {describe(self.values[key])}")
        if beyond is not None:
            self.reject(key, beyond)
        return motif if beyond is None else None

    def _no_motif(self, key: str, *, required: bool) -> Length | None:
        motif = self.length(key, required=False, zero=True)
        if motif:
            self.reject(key, f"a free match has no motif to measure; leave {key} out, or mend the match")
            return None
        return ZERO if required else motif

    def whole(self, key: str, *, required: bool = True) -> int | None:
        """Return a whole number from 1 to :data:`MOST`."""
        value = self.raw(key, f"{key} = 1" if required else None)
        if value is None:
            return None
        if not isinstance(value, int) or isinstance(value, bool):
            self.reject(key, f"must be a whole number, not {describe(value)}; write for example {key} = 6")
            return None
        if not 1 <= value <= MOST:
            rule = "must be 1 or more" if value < 1 else f"must be {MOST} or less"
            self.reject(key, f"{rule}, not {describe(value)}")
            return None
        return value

    def price(self, key: str, *, required: bool = True) -> Fraction | None:
        """Return a price, 0 or more, with at most four decimal places and no currency.

        A share of a packet's price that no decimal holds is a fraction in text: :mod:`cutplan.scenario.write`.
        """
        value = self.raw(key, f"{key} = 84.00" if required else None)
        if value is None:
            return None
        if isinstance(value, str) and _SHARE.fullmatch(value):
            return Fraction(value)
        if not _is_number(value) or not isinstance(value, int | Decimal):
            self.reject(key, f"must be a number, not {describe(value)}; write it without currency: {key} = 84.00")
            return None
        if not 0 <= value <= MOST:
            self.reject(key, f"must be from 0 to {MOST}, not {describe(value)}")
            return None
        if self.is_too_fine(key, value):
            return None
        return Fraction(value)

    def number(self, key: str, most: int, *, of: str, example: str, zero: bool = True) -> Fraction | None:
        """Return a number of more than 0, or of 0 too, and no more than ``most``.

        ``of`` says of what, and within which bounds; ``example`` is how it is written.
        """
        value = self.raw(key)
        if value is None:
            return None
        if _is_number(value) and isinstance(value, int | Decimal) and 0 <= value <= most and (value or zero):
            return None if self.is_too_fine(key, value) else Fraction(value)
        self.reject(key, f"must be a number of {of}, not {describe(value)}; write {example}")
        return None

    def is_too_fine(self, key: str, value: int | Decimal) -> bool:
        """Report a number that is no length yet has more than four decimal places; False when it has not."""
        if isinstance(value, int) or value == round(value, _MOST_PLACES):
            return False
        self.reject(key, f"has more than {_MOST_PLACES} decimal places: {describe(value)}; round it")
        return True

    def choice(self, key: str, choices: Collection[str], *, required: bool = True) -> str | None:
        """Return one of ``choices``."""
        words = [f'"{choice}"' for choice in choices]
        value = self.raw(key, f"{key} = {words[0]}" if required else None)
        if value is None or (isinstance(value, str) and value in choices):
            return value
        rule = f"must be {', '.join(words[:-1])} or {words[-1]}, not {describe(value)}"
        nearest = get_close_matches(value.lower(), choices, n=1) if isinstance(value, str) else []
        self.reject(key, f'{rule}; did you mean "{nearest[0]}"?' if nearest else rule)
        return None

    def kind(self, key: str, kinds: type[_E], default: _E | None = None) -> _E | None:
        """Return the kind that ``key`` names, ``default`` where it is absent; without a default it is required."""
        word = self.choice(key, [kind.value for kind in kinds], required=default is None)
        if word is not None:
            return kinds(word)
        return None if self.has(key) else default

    def flag(self, key: str) -> bool | None:
        """Return true or false as written; None when absent."""
        value = self.raw(key)
        if value is None or isinstance(value, bool):
            return value
        self.reject(key, f"must be true or false without quotes, not {describe(value)}")
        return None

    def read_units(self) -> str | None:
        """Return ``units``, the unit of bare numbers from here on, by its short name (``mm cm m in ft yd``)."""
        text, units = self.text("units", required=False), None
        if text is not None:
            try:
                units = unit_named(text)
            except LengthError as error:
                self.reject("units", str(error))
        # A bare number is not blamed for a unit that is itself at fault.
        self.reading.units = "mm" if units is None and self.has("units") else units
        return units

    def table(self, key: str, keys: Sequence[str], *, required: bool = True) -> Table | None:
        """Return the table ``[key]``, which may hold ``keys``."""
        value = self.raw(key)
        if value is None:
            if required and key not in self._misspelt:
                self.reject(key, f"is missing; add a [{self.where(key)}] table; its keys are {', '.join(keys)}")
            return None
        if isinstance(value, list) and len(value) == 1 and isinstance(value[0], dict):
            self.reject(key, f"there is only one; write [{key}] with single brackets")
            return None
        if not isinstance(value, dict):
            self.reject(key, f"must be a table, not {describe(value)}; write [{key}] and its keys below")
            return None
        return Table(self.reading, value, (*self.path, key), self.where(key), tuple(keys))

    def entries(
        self, key: str, keys: Sequence[str], *, required: bool = True, named_by: str = "label", empty: str | None = None
    ) -> list[Table]:
        """Return the tables ``[[key]]`` in order, each named by its ``named_by`` value if it has one.

        ``empty`` is the remedy for a list without any; None where that is no fault.
        """
        value = self.raw(key)
        if value == [] and empty is not None:
            self.reject(key, f"is an empty list; {empty}")
        if value is None:
            if required and key not in self._misspelt:
                self.reject(key, f"is missing; add a [[{key}]] for each; its keys are {', '.join(keys)}")
            return []
        if isinstance(value, dict):
            self.reject(key, f"there may be several; write [[{key}]] with double brackets")
            return []
        if not isinstance(value, list):
            self.reject(key, f"must be a list of tables, not {describe(value)}; write [[{key}]] for each")
            return []
        return self._open_entries(key, value, tuple(keys), named_by)

    def _open_entries(self, key: str, values: list[object], keys: tuple[str, ...], named_by: str) -> list[Table]:
        tables = []
        for index, value in enumerate(values):
            path = (*self.path, key, index)
            if isinstance(value, dict):
                name = f"{self.where(key)}[{_entry_name(value.get(named_by), index)}]"
                tables.append(Table(self.reading, value, path, name, keys))
            else:
                what = f"must be a table, not {describe(value)}; write [[{key}]] for each"
                self.reading.report(path, f"{self.where(key)}[{index + 1}]", what)
        return tables


def reject_repeats(entries: Sequence[tuple[Table, str | None]], key: str = "label") -> None:
    """Report every entry whose label an earlier entry has too; labels that are None are passed over."""
    seen: set[str] = set()
    for table, label in entries:
        if label in seen:
            table.reject(key, f"{describe(label)} is used by an earlier entry too; give each its own")
        if label is not None:
            seen.add(label)


def describe(value: object) -> str:
    """Return how a message shows a value that was found: texts in quotes and on one line, long ones cut short.

    >>> describe("six"), describe(True), describe([1]), describe(Decimal("2.40"))
    ('"six"', 'true', 'a list', '2.40')

    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, str):
        shown = value if len(value) <= _LONGEST_QUOTE else f"{value[:_LONGEST_QUOTE]}…"
        return f'"{one_line(shown)}"'
    if isinstance(value, int | Decimal):
        return str(value) if _is_short(value) else "a number of very many digits"
    return f"the date or time {value}"


def _entry_name(label: object, index: int) -> str:
    if isinstance(label, str) or (_is_whole(label) and _is_short(label)):
        return describe(str(label).strip())
    return str(index + 1)


def _is_whole(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _is_number(value: object) -> bool:
    return _is_whole(value) or (isinstance(value, Decimal) and value.is_finite())


def _is_short(value: object) -> bool:
    """Return True when a number can be printed; some whole numbers are too long even for that."""
    if isinstance(value, int):
        return value.bit_length() <= 64  # noqa: PLR2004 - 20 digits
    return isinstance(value, Decimal) and len(str(value)) <= _LONGEST_QUOTE
