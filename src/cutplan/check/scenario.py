"""What the plan was asked for: the echoed scenario, read again from what its author wrote."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from cutplan.check.lengths import read_length, unit_in_mm
from cutplan.check.match import Match, read_match

if TYPE_CHECKING:
    from cutplan.check.fields import Table

_FREE: Final = Match(Fraction(0), Fraction(0))
USUAL_TRIM: Final = Fraction(50)
"""Trim at the top and at the bottom of a drop, mm, where the scenario names none."""


@dataclass(frozen=True, slots=True)
class WantedDrop:
    """A drop as the scenario wants it; lengths in mm, first motif from the finished top down.

    ``count`` is how many pieces of it, all alike.
    """

    label: str
    height: Fraction
    first_motif: Fraction
    trim_top: Fraction
    trim_bottom: Fraction
    count: int

    @property
    def cut_length(self) -> Fraction:
        """Length of paper to cut: both trims and the height."""
        return self.trim_top + self.height + self.trim_bottom

    @property
    def datum(self) -> Fraction:
        """From the cut top edge down to the first motif below the finished top."""
        return self.trim_top + self.first_motif


@dataclass(frozen=True, slots=True)
class StockLot:
    """Rolls that are alike; ``first_motif`` is None while sealed, ``count`` None for as many as needed."""

    label: str
    length: Fraction
    first_motif: Fraction | None
    count: int | None
    price: Fraction | None

    def roll_label(self, number: int) -> str:
        """Return what roll ``number`` of the lot is called, counted from 1."""
        return self.label if self.count == 1 else f"{self.label}-{number}"


@dataclass(frozen=True, slots=True)
class Wanted:
    """Everything that a plan must answer to.

    ``drops`` and ``lots`` are by label. ``is_survey`` tells a room survey: its drops follow from the wall, and
    are added once the plan has said where its pieces hang.
    """

    match: Match
    lots: dict[str, StockLot]
    drops: dict[str, WantedDrop]
    is_survey: bool

    @property
    def counts_cost(self) -> bool:
        """True when rolls differ in price, so that the least cost was wanted and not the fewest rolls."""
        return len({lot.price for lot in self.lots.values()}) > 1

    def value_of(self, lot: StockLot) -> Fraction:
        """Return what one roll adds to the plan's value: its price where cost counts, else 1."""
        return lot.price or Fraction(0) if self.counts_cost else Fraction(1)


def read_wanted(scenario: Table) -> Wanted:
    """Return what the scenario asks for; faults go into its table."""
    units = scenario_units(scenario)
    paper = scenario.table("paper")
    if paper is None:
        scenario.fault("paper", "is missing")
        return Wanted(_FREE, {}, {}, is_survey=False)
    match = _match(paper, units)
    is_survey = scenario.has("wall")
    if is_survey and scenario.has("drop"):
        scenario.fault("drop", "stands beside a survey, from which the drops follow")
    drops = {} if is_survey else drops_wanted(scenario, units, match)
    return Wanted(match, lots_in_hand(scenario, paper, units), drops, is_survey)


def scenario_units(scenario: Table) -> str | None:
    """Return the unit of a scenario's bare numbers, None where it names none; an unknown one is a fault."""
    units = scenario.optional_text("units")
    try:
        if units is not None:
            unit_in_mm(units)
    except ValueError as error:
        if not any(fault.startswith(f"{scenario.path('units')}:") for fault in scenario.faults):
            scenario.fault("units", str(error))
        return "mm"
    return units


def trims_of(scenario: Table, units: str | None) -> tuple[Fraction, Fraction] | None:
    """Return what is added to every drop at its top and at its bottom; None when it cannot be read."""
    trim = scenario.table("trim")
    top = _length(trim, "top", units, USUAL_TRIM)
    bottom = _length(trim, "bottom", units, USUAL_TRIM)
    return None if top is None or bottom is None else (top, bottom)


def drops_wanted(scenario: Table, units: str | None, match: Match) -> dict[str, WantedDrop]:
    """Return the drops of a plain list, by label."""
    trims = trims_of(scenario, units)
    drops: dict[str, WantedDrop] = {}
    for table in scenario.tables("drop"):
        label = table.label("label")
        height = _length(table, "height", units, None)
        first_motif = _length(table, "first_motif", units, Fraction(0) if match.repeat == 0 else None)
        if label is None or height is None or first_motif is None or trims is None:
            continue
        if label in drops:
            table.fault("label", f"{label!r} is used more than once")
        drops[label] = WantedDrop(label, height, first_motif, *trims, count=table.whole("count", 1) or 1)
    return drops


def lots_in_hand(scenario: Table, paper: Table, units: str | None) -> dict[str, StockLot]:
    """Return the rolls that may be cut, by label: those listed, or as many sealed ones as needed."""
    price = paper.number("price")
    if not scenario.has("roll"):
        length = _length(paper, "roll_length", units, None)
        return {} if length is None else {"roll": StockLot("roll", length, None, None, price)}
    lots: dict[str, StockLot] = {}
    for table in scenario.tables("roll"):
        lot = _lot(table, paper, units)
        if lot is not None and lot.label in lots:
            table.fault("label", f"{lot.label!r} is used more than once")
        if lot is not None:
            lots[lot.label] = lot
    return lots


def _lot(table: Table, paper: Table, units: str | None) -> StockLot | None:
    label = table.label("label")
    own = table.has("length")
    length = _length(table if own else paper, "length" if own else "roll_length", units, None)
    first_motif = _length(table, "first_motif", units, None) if table.has("first_motif") else None
    price = table.number("price") if table.has("price") else paper.number("price")
    count = table.whole("count", 1) or 1
    return None if label is None or length is None else StockLot(label, length, first_motif, count, price)


def _match(paper: Table, units: str | None) -> Match:
    try:
        return read_match(paper.values.get("match"), units, paper.values.get("offset_direction"))
    except ValueError as error:
        paper.fault("match", str(error))
        return _FREE


def _length(table: Table | None, key: str, units: str | None, otherwise: Fraction | None) -> Fraction | None:
    """Return the length at ``key``; without one ``otherwise``, and a fault where that is None too."""
    if table is None or not table.has(key):
        if table is not None and otherwise is None:
            table.fault(key, "is missing")
        return otherwise
    try:
        return read_length(table.values[key], units)
    except ValueError as error:
        table.fault(key, str(error))
        return None
