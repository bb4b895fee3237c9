"""Scenarios: the TOML files that say which paper, which rolls, and which drops or which room to plan for.

A scenario is read whole: every fault in it is found and reported at once, with its line and column.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from cutplan.cutting_order import CuttingHabit, WallsUnknownError, refuse_unknown_walls
from cutplan.drops import Drop, drops_of
from cutplan.errors import PatternError, ScenarioError
from cutplan.habits import HABIT_KEYS, read_cutting, read_pace
from cutplan.job import Job
from cutplan.lengths import UNITS, ZERO, show
from cutplan.pattern import DIRECTIONS, Pattern, read_match
from cutplan.reading import Reading, describe, reject_repeats
from cutplan.stock import Lot, Paper
from cutplan.survey import SURVEY_KEYS
from cutplan.toml_file import parse_toml, read_text
from cutplan.usual_height import note_unusual_height

if TYPE_CHECKING:
    from os import PathLike

    from cutplan.lengths import Length
    from cutplan.pace import Pace
    from cutplan.pattern import MatchLabel
    from cutplan.reading import Table
    from cutplan.setting_out import SettingOut

DEFAULT_TRIM: Final[Length] = 50 * UNITS["mm"]
"""Trim at the top and at the bottom of a drop where the scenario gives none [practice]."""

_SMALLEST_USUAL_REPEAT: Final[Length] = 150 * UNITS["mm"]

MOST_GROWTH: Final = 10
"""Paper that grows by more per cent than this when wet is a slip of the finger: 1–2 % is usual [memory]."""

_TOP_KEYS: Final = ("units", "paper", "trim", "roll", "drop", *HABIT_KEYS, *SURVEY_KEYS)
_PAPER_KEYS: Final = (
    "name", "roll_length", "roll_width", "match", "offset_direction", "price",
    "motif_from_left", "motif_above", "motif_below", "wet_growth", "foil", "reverse",
)  # fmt: skip
_TRIM_KEYS: Final = ("top", "bottom")
_ROLL_KEYS: Final = ("label", "length", "first_motif", "count", "batch", "price")
_DROP_KEYS: Final = ("label", "height", "first_motif", "count", "wall")
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
    setting_out
        The room set out, from which the drops follow; None for a plain list of drops.
    cutting
        How the cuts are to be ordered.
    pace
        How fast the work goes; None when the scenario does not say.

    """

    job: Job
    units: str
    notes: tuple[str, ...]
    document: dict[str, object]
    source: str
    setting_out: SettingOut | None = None
    cutting: CuttingHabit = field(default_factory=CuttingHabit)
    pace: Pace | None = None


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
    job, setting_out = _read_job(root)
    cutting, pace = read_cutting(root), read_pace(root)
    if job is not None:
        _refuse_unknown_walls(root, cutting, job)
    if job is None or reading.has_faults:
        raise ScenarioError(source, reading.faults(text))
    plain = {key: _plain(key, value, units) for key, value in document.items()}
    return Scenario(job, units or "mm", tuple(reading.notes), plain, source, setting_out, cutting, pace)


def _refuse_unknown_walls(root: Table, cutting: CuttingHabit, job: Job) -> None:
    try:
        refuse_unknown_walls(cutting.follow, job.drops)
    except WallsUnknownError as error:
        root.reject("cutting", str(error))


def _read_job(root: Table) -> tuple[Job | None, SettingOut | None]:
    label = _read_paper(root)
    lots = _read_rolls(root, label)
    paper = label.paper()
    trims = _read_trims(root)
    setting_out = None
    if any(root.has(key) for key in SURVEY_KEYS):
        setting_out = _read_survey(root, label, paper)
        drops = () if setting_out is None else drops_of(setting_out, *trims)
        if setting_out is not None and not drops:
            root.reject("wall", "nothing is left to paper: openings take up all of it; measure them again")
    else:
        drops = _read_drops(root, label.pattern, trims)
    if paper is None or root.reading.has_faults:
        return None, None
    return Job(paper, lots, drops), setting_out


def _read_survey(root: Table, label: _PaperLabel, paper: Paper | None) -> SettingOut | None:
    if root.has("drop"):
        what = "stands beside a room survey, from which the drops follow; keep the one or the other"
        root.reject("drop", what)
    from cutplan.survey.whole import read_setting_out  # noqa: PLC0415 - a list of drops need not load it

    return read_setting_out(root, paper, label.pattern)


# The paper.


@dataclass(slots=True)
class _PaperLabel:
    """As much of the paper's label as could be read, so that the rest of the file can be judged by it."""

    name: str | None = None
    pattern: Pattern | None = None
    roll_length: Length | None = None
    roll_width: Length | None = None
    price: Fraction | None = None
    motif_from_left: Length | None = None
    motif_above: Length = ZERO
    motif_below: Length = ZERO
    wet_growth: Fraction = ZERO
    is_foil: bool = False
    is_reversed: bool = False

    def paper(self) -> Paper | None:
        if self.pattern is None or self.roll_length is None:
            return None
        return Paper(
            self.name or "paper",
            self.pattern,
            self.roll_length,
            self.roll_width,
            self.price,
            self.motif_from_left,
            self.motif_above,
            self.motif_below,
            self.wet_growth,
            self.is_foil,
            self.is_reversed,
        )


def _read_paper(root: Table) -> _PaperLabel:
    table = root.table("paper", _PAPER_KEYS)
    if table is None:
        return _PaperLabel()
    pattern = _read_pattern(table)
    return _PaperLabel(
        name=table.text("name", required=False),
        pattern=pattern,
        roll_length=table.length("roll_length"),
        roll_width=table.length("roll_width", required=False),
        price=table.price("price", required=False),
        motif_from_left=table.length("motif_from_left", required=False, zero=True),
        motif_above=table.length("motif_above", required=False, zero=True) or ZERO,
        motif_below=table.length("motif_below", required=False, zero=True) or ZERO,
        wet_growth=_read_growth(table),
        is_foil=table.flag("foil") or False,
        is_reversed=_read_reverse(table, pattern),
    )


def _read_reverse(paper: Table, pattern: Pattern | None) -> bool:
    """Return True for reverse alternate lengths, which only a free match can be."""
    is_reversed = paper.flag("reverse") or False
    if is_reversed and pattern is not None and not pattern.is_free:
        paper.reject(
            "reverse", "a print that must match cannot be turned end for end; leave reverse out, or mend match"
        )
    return is_reversed


def _read_growth(paper: Table) -> Fraction:
    """Return by what part the pasted paper grows in width; the scenario gives it in per cent."""
    growth = paper.raw("wet_growth")
    if growth is None:
        return ZERO
    if isinstance(growth, Decimal | int) and not isinstance(growth, bool):
        exact = Decimal(growth)
        if exact.is_finite() and 0 <= exact <= MOST_GROWTH:
            return ZERO if paper.is_too_fine("wet_growth", exact) else Fraction(exact) / 100
    what = f"must be a number of per cent from 0 to {MOST_GROWTH}, not {describe(growth)}"
    paper.reject("wet_growth", f"{what}; write for example wet_growth = 1.5")
    return ZERO


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
        paper.note("match", f'read as a repeat of {show(pattern.repeat)}; if the label means cm, write "{label} cm"')


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


def _read_drops(root: Table, pattern: Pattern | None, trims: tuple[Length, Length]) -> tuple[Drop, ...]:
    if not root.has("drop"):
        remedy = f"list the pieces, each in a [[drop]] with {', '.join(_DROP_KEYS)}, or survey the room in [[wall]]"
        root.reject("drop", f"is missing; {remedy}")
    tables = root.entries("drop", _DROP_KEYS, required=False)
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


def _read_drop(table: Table, label: str | None, pattern: Pattern | None, trims: tuple[Length, Length]) -> Drop | None:
    height = table.length("height")
    first_motif = table.first_motif("first_motif", pattern, required=pattern is not None)
    count = table.whole("count", required=False)
    wall = table.text("wall", required=False)
    if height is not None:
        note_unusual_height(table, "height", height)
    if label is None or height is None or first_motif is None:
        return None
    return Drop(label, height, first_motif, *trims, count or 1, wall=wall)


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
