"""What the plan was asked for: the echoed scenario, read again from what its author wrote."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from cutplan.check.roll_rules.what_fits_where import (
    CutOut,
    StockLot,
    Stretch,
    WantedDrop,
    with_cut_outs,
    with_foreign_told,
)
from cutplan.check.stated.exact_lengths import unit_in_mm
from cutplan.check.stated.fields import NOTHING, Table
from cutplan.check.stated.match import Match, read_match, says_reverse, within_repeat
from cutplan.check.stated.sold import Sold, lost_across, read_sold

_FREE: Final = Match(NOTHING, NOTHING)
USUAL_TRIM: Final = Fraction(50)
"""Trim at the top and at the bottom of a drop, mm, where the scenario names none."""


class Wanted(Struct, frozen=True):
    """Everything that a plan must answer to.

    ``drops`` and ``lots`` are by label. ``is_survey`` tells a room survey: its drops follow from the wall, and
    are added once the plan has said where its pieces hang. ``is_reversed`` tells a paper of which every second length
    hangs turned end for end. ``strip`` is the width of the strip, dry; ``first_sheet`` of a numbered set is the one
    that hangs furthest to the left, None for paper in rolls. ``is_hand_free`` takes rolls in hand to count nothing.
    """

    match: Match
    lots: dict[str, StockLot]
    drops: dict[str, WantedDrop]
    is_survey: bool
    is_reversed: bool
    sold: Sold
    strip: Fraction | None
    first_sheet: int | None
    is_hand_free: bool = False

    @property
    def rolls(self) -> tuple[StockLot, ...]:
        """The lots that count as rolls: all but offcuts."""
        return tuple(lot for lot in self.lots.values() if not lot.is_offcut)

    @property
    def counts_cost(self) -> bool:
        """True when rolls differ in price, so that the least cost was wanted and not the fewest rolls."""
        return len({lot.price for lot in self.rolls}) > 1

    @property
    def buys_beside_hand(self) -> bool:
        """True when rolls of one price, or of none, are bought as needed beside rolls in hand."""
        return not self.counts_cost and len({lot.count is None for lot in self.rolls}) > 1

    def value_of(self, lot: StockLot) -> Fraction:
        """Return what one roll adds to the plan's value: its price where cost counts, else 1; an offcut adds 0."""
        if lot.is_offcut or (self.is_hand_free and lot.count is not None):
            return Fraction(0)
        return lot.price or Fraction(0) if self.counts_cost else Fraction(1)


def read_wanted(scenario: Table) -> Wanted:
    """Return what the scenario asks for; faults go into its table."""
    scenario = with_units(scenario)
    paper = scenario.needed_table("paper")
    sheets = scenario.table("sheets")  # On numbered sheets nothing comes twice within the length of one.
    match = _match(paper) if sheets is None else Match(paper.length("roll_length"), NOTHING)
    is_survey = scenario.has("wall")
    if is_survey and scenario.has("drop"):
        scenario.fault("drop", "stands beside a survey, from which the drops follow")
    strip = paper.optional_length("roll_width")
    strip = None if strip is None else strip - lost_across(paper)[1]
    sold = read_sold(paper)
    drops = {} if is_survey else drops_wanted(scenario, match, strip)
    if sheets is None:
        lots = lots_in_hand(scenario, paper, sold.price)
    else:
        lots = sheets_in_hand(scenario, paper, sheets, sold.price)
    for offcut in offcuts_kept(scenario, strip, match.repeat):
        if offcut.label in lots:
            scenario.fault("offcut", f"{offcut.label!r} is used more than once")
        lots[offcut.label] = offcut
    is_reversed = says_reverse(paper.values)
    first_sheet = None if sheets is None else sheets.whole("first", 1) or 1
    if is_reversed:
        drops = _every_other_turned(drops)
    lots = with_cut_outs(with_foreign_told(lots), drops, strip)
    return Wanted(match, lots, drops, is_survey, is_reversed, sold, strip, first_sheet)


def _every_other_turned(drops: dict[str, WantedDrop]) -> dict[str, WantedDrop]:
    """Return drops of a paper that says to reverse: every second piece is turned, but where the drop tells itself."""
    turned, before = {}, 0
    for label, drop in drops.items():
        is_turned = before % 2 == 1 if drop.is_turned is None else drop.is_turned
        turned[label] = replace(drop, is_turned=is_turned)
        before += drop.count
    return turned


def with_ordered(wanted: Wanted, pieces: tuple[tuple[str, Fraction, int], ...]) -> Wanted:
    """Return what is wanted with the pieces that were ordered for rolls, where as many rolls as needed may be cut."""
    if wanted.sold.unit is None or not any(lot.count is None for lot in wanted.rolls):
        return wanted
    ordered = {label: StockLot(label, length, None, count, None) for label, length, count in pieces}
    offcuts = {label: lot for label, lot in wanted.lots.items() if lot.is_offcut}
    return replace(wanted, lots={**ordered, **offcuts})


def with_units(scenario: Table) -> Table:
    """Return a scenario whose bare lengths are in the units that it names; an unknown unit is a fault."""
    units = scenario.optional_text("units")
    try:
        if units is not None:
            unit_in_mm(units)
    except ValueError as error:
        if not any(fault.startswith(f"{scenario.path('units')}:") for fault in scenario.faults):
            scenario.fault("units", str(error))
        units = "mm"
    return replace(scenario, units=units)


def trims_of(
    holder: Table, otherwise: tuple[Fraction, Fraction] = (USUAL_TRIM, USUAL_TRIM)
) -> tuple[Fraction, Fraction]:
    """Return what is added at the top and the bottom of every drop, or of one."""
    trim, (top, bottom) = holder.table("trim"), otherwise
    return otherwise if trim is None else (trim.length("top", top), trim.length("bottom", bottom))


def drops_wanted(scenario: Table, match: Match, strip: Fraction | None) -> dict[str, WantedDrop]:
    """Return the drops of a plain list, by label."""
    trims = trims_of(scenario)
    drops: dict[str, WantedDrop] = {}
    for table in scenario.tables("drop"):
        label, height = table.label("label"), table.length("height")
        first_motif = table.length("first_motif", NOTHING if match.repeat == 0 else None)
        if label in drops:
            table.fault("label", f"{label!r} is used more than once")
        count, across = table.whole("count", 1) or 1, _across(table, strip)
        drop = WantedDrop(label, height, first_motif, *trims_of(table, trims), count, *across)
        drops[label] = replace(
            drop,
            cut_outs=_cut_outs(table, drop, match.repeat, strip),
            wall=table.optional_label("wall"),
            batch=table.optional_label("batch"),
            is_turned=table.flag("turned"),
            sheet=table.whole("sheet", 1),
            is_along=table.flag("along"),
        )
    return drops


def _across(table: Table, strip: Fraction | None) -> tuple[Fraction | None, Fraction | None]:
    """Return the part of the strip's width from ``left`` to ``right``; twice None for all of it."""
    if not table.has("left") and not table.has("right"):
        return None, None
    left, right = table.length("left", NOTHING), table.length("right", strip)
    if left >= right or (strip is not None and right > strip):
        table.fault("right", "must lie to the right of left, and within the strip")
    return (None, None) if not left and right == strip else (left, right)


def _cut_outs(drop: Table, wanted: WantedDrop, repeat: Fraction, strip: Fraction | None) -> tuple[CutOut, ...]:
    """Return what falls out of a drop once it hangs."""
    tables = list(drop.tables("cut_outs"))
    if tables and wanted.count != 1:
        drop.fault("cut_outs", "are of one drop, and there are several alike")
    found = []
    for number, table in enumerate(tables, 1):
        label = f"cut-out of {wanted.label}" if len(tables) == 1 else f"cut-out {number} of {wanted.label}"
        left, right = table.length("left", NOTHING), table.length("right", strip)
        length = table.length("length")
        if table.has("label"):  # one that has a first motif of its own too
            label, motif = table.label("label"), table.length("first_motif", None if repeat else NOTHING)
            if length > wanted.cut_length:
                table.fault("length", "is more than the drop's own")
        else:
            from_top = table.length("from_top")
            motif = within_repeat(wanted.first_motif - from_top, repeat)
            if from_top + length > wanted.height:
                table.fault("length", "reaches beyond the drop")
        found.append(CutOut(label, length, motif, left, right))
    return tuple(found)


def offcuts_kept(scenario: Table, strip: Fraction | None, repeat: Fraction) -> Iterator[StockLot]:
    """Yield the offcuts that an earlier job left; of some nobody knows where the print begins."""
    for table in scenario.tables("offcut"):
        label, length = table.label("label"), table.length("length")
        is_known = not repeat or table.has("first_motif")
        first_motif = table.length("first_motif", NOTHING) if is_known else None
        left, right = _across(table, strip)
        lot = StockLot(label, length, first_motif, 1, None, is_offcut=True, left=left, right=right)
        batch, after = table.optional_label("batch") or "", table.optional_label("after")
        yield replace(lot, batch=batch, after=after, sheet=table.whole("sheet", 1))


def lots_in_hand(
    scenario: Table, paper: Table, price: Fraction | None, motif: Fraction | None = None
) -> dict[str, StockLot]:
    """Return the rolls that may be cut, by label: those listed, or as many sealed ones as needed, at this price.

    ``motif`` is that of a roll whose first motif is not told; None where it is then sealed.
    """
    if not scenario.has("roll"):
        return {"roll": StockLot("roll", paper.length("roll_length"), None, None, price)}
    lots: dict[str, StockLot] = {}
    for table in scenario.tables("roll"):
        lot = _lot(table, paper, price, motif)
        if lot.label in lots:
            table.fault("label", f"{lot.label!r} is used more than once")
        lots[lot.label] = lot
    return lots


def sheets_in_hand(scenario: Table, paper: Table, sheets: Table, price: Fraction | None) -> dict[str, StockLot]:
    """Return the sheets of a numbered set, by label: those listed, or every one."""
    motif = sheets.length("first_motif", NOTHING)
    if scenario.has("roll"):
        return lots_in_hand(scenario, paper, price, motif)
    length = paper.length("roll_length")
    numbers = range(1, (sheets.whole("count", 1) or 0) + 1)
    lots = [StockLot(f"sheet {number}", length, motif, 1, price, sheet=number) for number in numbers]
    return {lot.label: lot for lot in lots}


def _lot(table: Table, paper: Table, price: Fraction | None, motif: Fraction | None) -> StockLot:
    length = table.length("length") if table.has("length") else paper.length("roll_length")
    first_motif = table.length("first_motif") if table.has("first_motif") else motif
    price = table.number("price") if table.has("price") else price
    count = None if table.values.get("count") == "as needed" else table.whole("count", 1) or 1
    parts = _parts(table, length, first_motif)
    if parts:
        length, first_motif = parts[-1].end, parts[0].datum
    is_foot_first = table.flag("foot_first") is True
    batch = table.optional_label("batch") or ""
    lot = StockLot(table.label("label"), length, first_motif, count, price, parts, is_foot_first, batch=batch)
    return replace(lot, sheet=table.whole("sheet", 1))


def _parts(roll: Table, length: Fraction, first_motif: Fraction | None) -> tuple[Stretch, ...]:
    """Return the stretches of a roll that has flaws or is in pieces; none for a plain roll.

    Between flaws the print goes on as it began; each piece has a print of its own.
    """
    if roll.has("flaws"):
        start, parts = Fraction(0), []
        for begun, ended in sorted((table.length("from"), table.length("to")) for table in roll.tables("flaws")):
            if begun < start or ended <= begun or ended > length:
                roll.fault("flaws", "lie outside the roll or over one another")
            parts.append(Stretch(start, begun, first_motif))
            start = ended
        parts.append(Stretch(start, length, first_motif))
        return tuple(part for part in parts if part.end > part.start)
    start, parts = Fraction(0), []
    for table in roll.tables("pieces"):
        size, motif = table.length("length"), table.optional_length("first_motif")
        parts.append(Stretch(start, start + size, None if motif is None else start + motif))
        start += size
    if start > length:
        roll.fault("pieces", "are longer together than the roll")
    return tuple(parts)


def _match(paper: Table) -> Match:
    try:
        return read_match(paper.values.get("match"), paper.units, paper.values.get("offset_direction"))
    except ValueError as error:
        paper.fault("match", str(error))
        return _FREE
