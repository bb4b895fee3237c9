"""Panels, read from a scenario: ``[sheets]`` of a numbered set and which sheet paper is of; ``[equal_strips]``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cutplan.lengths import ZERO, Length
from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Lot, SheetSet
from cutplan.scenario.tables import Table

if TYPE_CHECKING:
    from cutplan.scenario.paper_table import PaperLabel

SHEETS_KEYS: Final = ("count", "first", "first_motif")
_OF_ROLLS: Final = ("match", "offset_direction", "reverse", "packet", "singles", "price_per", "sold_by")
"""Keys of ``[paper]`` that speak of a print that repeats, or of rolls."""
MOST_SHEETS: Final = 60
"""No set has more: in one of 20, of sheets a yard wide, the scene goes on for 60 ft (a maker's ordering sheet)."""


def pattern_of_sheets(paper: Table, length: Length | None) -> Pattern | None:
    """Return the print of sheets of this length, on which nothing comes twice; None when the length is at fault."""
    for key in _OF_ROLLS:
        if paper.has(key):
            paper.reject(key, "speaks of paper in rolls, and numbered sheets make one picture; leave it out")
    return None if length is None else Pattern(length, ZERO)


def read_sheets(root: Table, pattern: Pattern | None) -> SheetSet | None:
    """Return the set of numbered sheets; None where the paper comes in rolls, or when the table is at fault."""
    table = root.table("sheets", SHEETS_KEYS, required=False)
    if table is None:
        return None
    count, first = table.whole("count"), table.whole("first", required=False) or 1
    first_motif = table.first_motif("first_motif", pattern, required=False) or ZERO
    if count is None:
        return None
    if count > MOST_SHEETS:
        table.reject("count", f"is more sheets than any set has; {MOST_SHEETS} is the most")
    if first > count:
        table.reject("first", f"is a sheet beyond the last, which is {count}; give the number of the leftmost sheet")
    return SheetSet(count, first, first_motif)


def read_equal_strips(root: Table, pattern: Pattern | None) -> Length | None:
    """Return what comes off each edge at least, where walls are hung in equal strips; None where they are not."""
    table = root.table("equal_strips", ("edge_trim",), required=False)
    if table is None:
        return None
    if pattern is not None and not pattern.is_free:
        root.reject("equal_strips", "are for goods without a match: a print that is trimmed off no longer meets")
    if not table.has("edge_trim"):
        what = "is missing: the least that comes off each edge, for edges crushed on the roll show; 0 if both are sound"
        table.reject("edge_trim", what)
    return table.length("edge_trim", required=False, zero=True)


def sheets_in_hand(label: PaperLabel) -> list[Lot | None]:
    """Return every sheet of a set as paper of its own, where the scenario lists none."""
    sheets, length = label.sheets, label.roll_length
    if sheets is None or length is None:
        return []
    return [
        Lot(f"sheet {number}", length, sheets.first_motif, price=label.price, sheet=number)
        for number in range(1, sheets.count + 1)
    ]


def read_sheet(table: Table, label: PaperLabel) -> int | None:
    """Return of which sheet a roll, an offcut or a drop is; it must be told of a numbered set, and of nothing else."""
    sheet = table.whole("sheet", required=label.sheets is not None)
    if sheet is not None and label.sheets is None and not table.reading.has_faults:
        table.reject("sheet", "is for a numbered set, and there is none; leave it out, or describe the set in [sheets]")
    elif sheet is not None and label.sheets is not None and sheet > label.sheets.count:
        table.reject("sheet", f"is beyond the set, which has {label.sheets.count}; mend it, or count under [sheets]")
    return sheet


def reject_longer(table: Table, length: Length | None, label: PaperLabel) -> None:
    """Report a sheet, or a part of one, that is longer than the sheets of the set."""
    if label.sheets is not None and length is not None and label.roll_length is not None and length > label.roll_length:
        table.reject("length", f"is more than a sheet's, {table.shown(label.roll_length)}; give [paper] the longest")
