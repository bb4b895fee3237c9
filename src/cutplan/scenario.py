"""Scenarios: the TOML files that say which paper, which rolls and which drops a plan is wanted for.

A scenario is read whole: every fault in it is found and reported at once, with its line and column.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Final

from cutplan.drops import Drop
from cutplan.errors import PatternError, ScenarioError
from cutplan.job import Job
from cutplan.lengths import UNITS, show
from cutplan.pattern import DIRECTIONS, Pattern, read_match
from cutplan.reading import Reading, describe, reject_repeats
from cutplan.stock import Lot, Paper
from cutplan.toml_file import parse_toml, read_text

if TYPE_CHECKING:
    from fractions import Fraction
    from os import PathLike

    from cutplan.lengths import Length
    from cutplan.pattern import MatchLabel
    from cutplan.reading import Table

DEFAULT_TRIM: Final[Length] = 50 * UNITS["mm"]
"""Trim at the top and at the bottom of a drop where the scenario gives none [practice]."""

LOWEST_USUAL: Final[Length] = 300 * UNITS["mm"]
HIGHEST_USUAL: Final[Length] = 10 * UNITS["m"]
"""A height outside these is more often a wrong unit than a wall, so it is noted."""

_SMALLEST_USUAL_REPEAT: Final[Length] = 150 * UNITS["mm"]

_TOP_KEYS: Final = ("units", "paper", "trim", "roll", "drop")
_PAPER_KEYS: Final = ("name", "roll_length", "roll_width", "match", "offset_direction", "price")
_TRIM_KEYS: Final = ("top", "bottom")
_ROLL_KEYS: Final = ("label", "length", "first_motif", "count", "batch", "price")
_DROP_KEYS: Final = ("label", "height", "first_motif", "count")
_CODES: Final = frozenset({"label", "batch"})


@dataclass(frozen=True, slots=True)
class Scenario:
    """A scenario as read.

    Attributes
    ----------
    job
        The paper, rolls and drops.
    units
        The unit that its bare numbers are in and that people read its lengths in; ``mm`` when it names none.
    notes
        What the reader had to interpret or finds unusual, one sentence each.
    document
        The same keys and values as plain JSON types. Whole numbers stay whole; a decimal becomes the float
        that prints as the same decimal or, where no float does, a text with its unit; labels and batches
        written as numbers become text.
    source
        Where it was read from.

    """

    job: Job
    units: str
    notes: tuple[str, ...]
    document: dict[str, object]
    source: str


def read_scenario(path: str | PathLike[str]) -> Scenario:
    """Return the scenario in the file at ``path``, or on standard input when it is ``-``.

    Raises
    ------
    ScenarioError
        When the file cannot be read, is not UTF-8, is not TOML, or says something that cannot be planned.

    """
    text, source = read_text(path)
    return parse_scenario(text, source)


def parse_scenario(text: str, source: str) -> Scenario:
    """Return the scenario that a TOML text states; ``source`` is what messages call it.

    Raises
    ------
    ScenarioError
        Holding every fault of the text, or the first place where it is not TOML.

    """
    document = parse_toml(text, source)
    reading = Reading()
    root = reading.root(document, _TOP_KEYS)
    units = root.unit("units", required=False)
    # A bare number is not blamed for a unit that is itself at fault.
    reading.units = "mm" if units is None and root.has("units") else units
    job = _read_job(root)
    if job is None or reading.has_faults:
        raise ScenarioError(source, reading.faults(text))
    plain = {key: _plain(key, value, units) for key, value in document.items()}
    return Scenario(job, units or "mm", tuple(reading.notes), plain, source)


def _read_job(root: Table) -> Job | None:
    label = _read_paper(root)
    lots = _read_rolls(root, label)
    drops = _read_drops(root, label.pattern)
    paper = label.paper()
    return Job(paper, lots, drops) if paper and not root.reading.has_faults else None


# The paper.


@dataclass(slots=True)
class _PaperLabel:
    """As much of the paper's label as could be read, so that the rest of the file can be judged by it."""

    name: str | None = None
    pattern: Pattern | None = None
    roll_length: Length | None = None
    roll_width: Length | None = None
    price: Fraction | None = None

    def paper(self) -> Paper | None:
        if self.pattern is None or self.roll_length is None:
            return None
        return Paper(self.name or "paper", self.pattern, self.roll_length, self.roll_width, self.price)


def _read_paper(root: Table) -> _PaperLabel:
    table = root.table("paper", _PAPER_KEYS)
    if table is None:
        return _PaperLabel()
    return _PaperLabel(
        name=table.text("name", required=False),
        pattern=_read_pattern(table),
        roll_length=table.length("roll_length"),
        roll_width=table.length("roll_width", required=False),
        price=table.price("price", required=False),
    )


def _read_pattern(paper: Table) -> Pattern | None:
    direction = paper.choice("offset_direction", DIRECTIONS, required=False)
    label = paper.raw("match", example='match = "64/32 cm", as the label prints it')
    if label is None:
        return None
    if isinstance(label, bool) or not isinstance(label, str | int | Decimal):
        what = "must be the match as the label prints it"
        paper.reject("match", f'{what}, not {describe(label)}; write for example match = "64/32 cm"')
        return None
    match: MatchLabel | None
    try:
        match = read_match(label, paper.reading.units, direction)
    except PatternError as error:
        match = _match_for_judging(label, paper)
        if match is None or not paper.has("offset_direction"):
            paper.reject("match", str(error))
    if match is None:
        return None
    if match.note:
        paper.note("match", match.note)
    _note_repeat_without_unit(paper, label, match.pattern)
    return match.pattern


def _match_for_judging(label: object, paper: Table) -> MatchLabel | None:
    """Return the match as if its direction were known, so that first motifs can be judged by the repeat."""
    try:
        return read_match(label, paper.reading.units, DIRECTIONS[0])
    except PatternError:
        return None


def _note_repeat_without_unit(paper: Table, label: object, pattern: Pattern) -> None:
    """Note a label copied without its unit into a file in millimetres: "64/32" on a label means cm."""
    is_bare = not re.search(r"[^\d\s./]", str(label))
    if is_bare and paper.reading.units == "mm" and 0 < pattern.repeat < _SMALLEST_USUAL_REPEAT:
        paper.note(
            "match", f'read as a repeat of {show(pattern.repeat)}; if the label means cm, write "{label} cm"'
        )


# The rolls.


@dataclass(frozen=True, slots=True)
class _RollEntry:
    """As much of one ``[[roll]]`` as could be read, with what the paper gives to rolls that say nothing."""

    table: Table
    label: str | None
    length: Length | None
    first_motif: Length | None
    count: int
    batch: str | None
    price: Fraction | None

    def lot(self) -> Lot | None:
        if self.label is None or self.length is None:
            return None
        return Lot(self.label, self.length, self.first_motif, self.count, self.batch, self.price)


def _read_rolls(root: Table, paper: _PaperLabel) -> tuple[Lot, ...]:
    if not root.has("roll") and paper.roll_length is not None:
        return (Lot("roll", paper.roll_length, count=None, price=paper.price),)
    tables = root.entries("roll", _ROLL_KEYS, required=False)
    if root.values.get("roll") == []:
        root.reject("roll", "is an empty list; leave it out to count rolls as needed, or add a [[roll]]")
    rolls = [_read_roll(table, paper) for table in tables]
    reject_repeats([(roll.table, roll.label) for roll in rolls])
    _reject_numbered_twins(rolls)
    _reject_missing_prices(rolls)
    return tuple(lot for roll in rolls if (lot := roll.lot()) is not None)


def _read_roll(table: Table, paper: _PaperLabel) -> _RollEntry:
    length = table.length("length", required=False)
    price = table.price("price", required=False)
    return _RollEntry(
        table=table,
        label=table.label(),
        length=paper.roll_length if length is None else length,
        first_motif=table.first_motif("first_motif", paper.pattern, required=False),
        count=table.whole("count", required=False) or 1,
        batch=table.code("batch", required=False),
        price=paper.price if price is None else price,
    )


def _reject_numbered_twins(rolls: list[_RollEntry]) -> None:
    """Report rolls labelled like one of several alike: ``A-2`` beside an ``A`` of which there are three."""
    counts = {roll.label: roll.count for roll in rolls}
    for roll in rolls:
        base, _, number = (roll.label or "").rpartition("-")
        count = counts.get(base, 1)
        if count > 1 and re.fullmatch(r"[1-9][0-9]{0,8}", number) and int(number) <= count:
            what = f'"{roll.label}" is also number {number} of the {count} rolls "{base}"'
            roll.table.reject("label", f"{what}; call it something else")


def _reject_missing_prices(rolls: list[_RollEntry]) -> None:
    priced = [roll.table.name for roll in rolls if roll.table.has("price")]
    for roll in rolls:
        if priced and roll.price is None and not roll.table.has("price"):
            remedy = "price every roll or none, or put one price for all under [paper]"
            roll.table.reject("price", f"is missing, and {priced[0]} has one; {remedy}")


# The drops.


def _read_drops(root: Table, pattern: Pattern | None) -> tuple[Drop, ...]:
    """Return the drops wanted: here is where a room survey stands in for a list of drops."""
    trims = _read_trims(root)
    tables = root.entries("drop", _DROP_KEYS)
    if root.values.get("drop") == []:
        root.reject("drop", "is an empty list; add a [[drop]] for each piece to be hung")
    labelled = [(table, table.label()) for table in tables]
    reject_repeats(labelled)
    drops = [_read_drop(table, label, pattern, trims) for table, label in labelled]
    return tuple(drop for drop in drops if drop is not None)


def _read_trims(root: Table) -> tuple[Length, Length]:
    table = root.table("trim", _TRIM_KEYS, required=False)
    if table is None:
        return DEFAULT_TRIM, DEFAULT_TRIM
    top = table.length("top", required=False, zero=True)
    bottom = table.length("bottom", required=False, zero=True)
    return DEFAULT_TRIM if top is None else top, DEFAULT_TRIM if bottom is None else bottom


def _read_drop(
    table: Table, label: str | None, pattern: Pattern | None, trims: tuple[Length, Length]
) -> Drop | None:
    height = table.length("height")
    first_motif = table.first_motif("first_motif", pattern, required=pattern is not None)
    count = table.whole("count", required=False)
    if height is not None:
        _note_unusual_height(table, height)
    if label is None or height is None or first_motif is None:
        return None
    return Drop(label, height, first_motif, *trims, count or 1)


def _note_unusual_height(table: Table, height: Length) -> None:
    units = table.reading.units or "mm"
    if height < LOWEST_USUAL:
        table.note(
            "height", f"{show(height, units)} is less than {show(LOWEST_USUAL, units)}; is the unit right?"
        )
    if height > HIGHEST_USUAL:
        table.note(
            "height", f"{show(height, units)} is more than {show(HIGHEST_USUAL, units)}; is the unit right?"
        )


# The echo.


def _plain(key: str, value: object, units: str | None) -> object:
    if isinstance(value, dict):
        return {inner: _plain(inner, entry, units) for inner, entry in value.items()}
    if isinstance(value, list):
        return [_plain(key, entry, units) for entry in value]
    if key in _CODES and isinstance(value, int):
        return str(value)
    if isinstance(value, Decimal):
        return float(value) if Decimal(repr(float(value))) == value else f"{value:f} {units or 'mm'}"
    return value
