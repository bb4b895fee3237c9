"""Reading stock that is not a whole, plain roll: flaws, bolts in pieces, offcuts kept; and what is cut out of drops.

Along a roll everything is measured from its outer end; across a strip from its left edge, as it hangs.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final, NamedTuple

from msgspec.structs import replace

from cutplan.job.drops import CutOut, Drop, cut_out_label
from cutplan.job.print_along import is_of_no_roll
from cutplan.lengths import ZERO, Length
from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Lot, Stretch
from cutplan.scenario.paper_table import PaperLabel
from cutplan.scenario.sheets_table import read_sheet, reject_longer
from cutplan.scenario.tables import Table, describe

ROLL_KEYS: Final = (
    "label", "count", "length", "first_motif", "batch", "price", "sheet", "foot_first", "flaws", "pieces",
)  # fmt: skip
OFFCUT_KEYS: Final = ("label", "length", "first_motif", "left", "right", "batch", "after", "sheet")
SPECIAL_DROP_KEYS: Final = ("batch", "turned", "sheet", "left", "right", "cut_outs", "along")
FLAW_KEYS: Final = ("from", "to")
PIECE_KEYS: Final = ("length", "first_motif")
_CUT_OUT_KEYS: Final = ("label", "from_top", "first_motif", "length", "left", "right")


class StockEntry(NamedTuple):
    """One ``[[roll]]`` or ``[[offcut]]`` with its label, and the paper that it is; None for what is at fault."""

    table: Table
    label: str | None
    lot: Lot | None


def read_stretches(
    roll: Table, length: Length | None, first_motif: Length | None, pattern: Pattern | None
) -> tuple[Stretch, ...]:
    """Return the stretches of a roll that may be cut; empty for a roll without flaws, in one piece."""
    if not (roll.has("flaws") or roll.has("pieces")):
        return ()
    key = "flaws" if roll.has("flaws") else "pieces"
    count = roll.values.get("count")
    if count is not None and count != 1:
        roll.reject(key, f"are of one roll, and count says {describe(count)}; give that roll a [[roll]] of its own")
    if roll.has("flaws") and roll.has("pieces"):
        roll.reject("flaws", "stand beside pieces; leave the flaws out of the pieces' lengths, as pieces of their own")
        return ()
    return _between_flaws(roll, length, first_motif, pattern) if key == "flaws" else _pieces_of(roll, length, pattern)


# A roll with flaws.


def _between_flaws(
    roll: Table, length: Length | None, first_motif: Length | None, pattern: Pattern | None
) -> tuple[Stretch, ...]:
    is_told = first_motif is not None or roll.has("first_motif")
    if pattern is not None and not pattern.is_free and not is_told:
        roll.reject("flaws", "need a measured roll: open it and give its first_motif")
    flaws = _flaws(roll, length)
    if length is None or pattern is None:
        return ()
    bounds = [ZERO, *(end for flaw in flaws for end in flaw), length]
    return tuple(
        Stretch(start, end - start, None if first_motif is None else pattern.within_repeat(first_motif - start))
        for start, end in zip(bounds[::2], bounds[1::2], strict=True)
        if end > start
    )


def _flaws(roll: Table, length: Length | None) -> list[tuple[Length, Length]]:
    """Return where each flaw begins and ends, along the roll; those that are themselves at fault are left out."""
    found = []
    for table in roll.entries("flaws", FLAW_KEYS):
        start, end = table.length("from", zero=True), table.length("to")
        if start is None or end is None or _is_off(table, start, end, length):
            continue
        found.append((table, start, end))
    found.sort(key=lambda flaw: flaw[1])
    for (_, _, reached), (table, start, _) in pairwise(found):
        if start < reached:
            what = f"lies within the flaw before it, which ends at {table.shown(reached)}"
            table.reject("from", f"{what}; write them as one flaw")
    return [(start, end) for _, start, end in found]


def _is_off(flaw: Table, start: Length, end: Length, length: Length | None) -> bool:
    if start >= end:
        what = f"must lie beyond from, which is {flaw.shown(start)}, not at {flaw.shown(end)}"
        flaw.reject("to", f"{what}; measure both from the roll's outer end")
    elif start == 0:
        flaw.reject("from", "is the end of the roll: cut the flaw off, measure the roll again, and leave it out")
    elif length is not None and end > length:
        what = f"lies {flaw.shown(end - length)} beyond the end of the roll, which is {flaw.shown(length)} long"
        flaw.reject("to", f"{what}; measure the flaw from the outer end again")
    else:
        return False
    return True


# A bolt in several pieces.


def _pieces_of(roll: Table, length: Length | None, pattern: Pattern | None) -> tuple[Stretch, ...]:
    if roll.has("first_motif"):
        roll.reject("first_motif", "stands beside pieces; give each piece its own first_motif, and leave it out here")
    tables = roll.entries("pieces", PIECE_KEYS, empty="leave it out for a roll that is one piece")
    stretches = []
    start = ZERO
    for table in tables:
        size = table.length("length")
        first_motif = table.first_motif("first_motif", pattern, required=False)
        if size is not None:
            stretches.append(Stretch(start, size, first_motif))
            start += size
    if length is not None and start > length:
        what = f"are {roll.shown(start)} together, {roll.shown(start - length)} more than the roll's length"
        roll.reject("pieces", f"{what} of {roll.shown(length)}; measure them again, or give the roll's length")
    return tuple(stretches)


# Offcuts kept.


def read_offcuts(root: Table, paper: PaperLabel) -> list[StockEntry]:
    """Return each ``[[offcut]]`` with its label and, where nothing of it is at fault, the paper that it is."""
    tables = root.entries("offcut", OFFCUT_KEYS, required=False, empty="leave it out when no offcut is kept")
    return [_offcut(table, paper) for table in tables]


def note_foreign_offcuts(offcuts: Sequence[StockEntry], rolls: Sequence[Lot]) -> None:
    """Note each offcut of a batch that no roll is of, or of an unknown one where each roll's is told: it may show."""
    for table, _, offcut in offcuts:
        if offcut is None or not is_of_no_roll(offcut, rolls):
            continue
        why = "is not told, and that of every roll is, so nothing is cut from this offcut; add it"
        if offcut.batch is not None:
            why = f"no roll is of batch {offcut.batch}, so nothing is cut from this offcut"
        table.note("batch", why)


def _offcut(table: Table, paper: PaperLabel) -> StockEntry:
    label, pattern = table.label(), paper.pattern
    length = table.length("length")
    is_measured = pattern is None or pattern.is_free or table.has("first_motif")
    first_motif = table.first_motif("first_motif", pattern, required=is_measured and pattern is not None)
    if not is_measured:
        table.note("first_motif", "is not measured, so up to a repeat may come off first: measure it, to save that")
    left, right = read_across(table, paper.roll_width)
    sheet = read_sheet(table, paper)
    reject_longer(table, length, paper)
    batch = table.code("batch", required=False)
    after = table.code("after", required=False)
    lot = None
    if label is not None and length is not None:
        lot = Lot(label, length, first_motif, batch=batch, left=left, right=right, is_offcut=True, after=after)
        lot = replace(lot, sheet=sheet)
    return StockEntry(table, label, lot)


# Across the strip.


def read_across(table: Table, strip: Length | None) -> tuple[Length | None, Length | None]:
    """Return the part of a strip's width from ``left`` to ``right``; twice None for all of it, or when at fault.

    Either may be left out: it is then the strip's own edge.
    """
    left = table.length("left", required=False, zero=True)
    right = table.length("right", required=False)
    if left is None and right is None:
        return None, None
    end = strip if right is None else right
    if end is None:
        table.reject("right", "is missing; add it, or the roll_width under [paper]")
        return None, None
    beyond = [(key, at) for key, at in (("left", left), ("right", right)) if at and strip and at > strip]
    for key, at in beyond:
        what = f"lies {table.shown(at - (strip or at))} beyond the strip, which is {table.shown(strip or at)} wide"
        table.reject(key, f"{what}; measure from the strip's left edge")
    if not beyond and (left or ZERO) >= end:
        what = f"must lie to the right of left, which is {table.shown(left or ZERO)}, not at {table.shown(end)}"
        table.reject("left" if right is None else "right", f"{what}; measure both from the strip's left edge")
    return (None, None) if not left and end == strip else (left or ZERO, end)


def read_cut_outs(
    drop: Table, label: str | None, top: tuple[Length | None, Length | None], pattern: Pattern | None,
    strip: Length | None,
) -> tuple[CutOut, ...]:  # fmt: skip
    """Return what is cut out of a drop once it hangs; ``top`` is the drop's finished height and first motif."""
    if not drop.has("cut_outs"):
        return ()
    count = drop.values.get("count")
    if count is not None and count != 1:
        drop.reject(
            "cut_outs", f"are of one drop, and count says {describe(count)}; give that drop an entry of its own"
        )
    height, first_motif = top
    tables = drop.entries("cut_outs", _CUT_OUT_KEYS)
    found = []
    for number, table in enumerate(tables, 1):
        if table.has("label"):
            found += _named_cut_out(table, pattern, strip)
            continue
        from_top = table.length("from_top", zero=True)
        length = table.length("length")
        left, right = read_across(table, strip)
        if left is None or right is None:
            left, right = ZERO, strip
            if strip is None and not (table.has("left") or table.has("right")):
                table.reject("right", "is missing; add it, or the roll_width under [paper]")
        if from_top is None or length is None or right is None:
            continue
        if height is not None and from_top + length > height:
            what = f"reaches {table.shown(from_top + length - height)} below the drop's finished foot"
            table.reject("length", f"{what}; measure from its finished top")
        elif label is not None and first_motif is not None and pattern is not None:
            name = cut_out_label(label, number, len(tables))
            motif = pattern.within_repeat(first_motif - from_top)
            found.append(CutOut(name, length, motif, left, right))
    return tuple(found)


def _named_cut_out(table: Table, pattern: Pattern | None, strip: Length | None) -> list[CutOut]:
    """Return a cut-out with a name and a first motif of its own, which need not lie within the finished drop."""
    label, length = table.label(), table.length("length")
    first_motif = table.first_motif("first_motif", pattern, required=pattern is not None)
    left, right = read_across(table, strip)
    right = strip if right is None else right
    if label is None or length is None or first_motif is None or right is None:
        return []
    return [CutOut(label, length, first_motif, left or ZERO, right)]


def reject_unknown_drops(offcuts: Sequence[StockEntry], drops: Sequence[Drop]) -> None:
    """Report offcuts that are there after a drop that is not wanted."""
    known = {drop.label for drop in drops}
    for table, _, offcut in offcuts:
        if offcut is not None and offcut.after is not None and offcut.after not in known:
            table.reject("after", f"there is no drop {describe(offcut.after)}; name the drop that must hang first")


def reject_names_of_cut_outs(stock: Sequence[tuple[Table, str | None]], cut_outs: Sequence[CutOut]) -> None:
    """Report rolls and offcuts that are called as a cut-out will be."""
    taken = {cut_out.label for cut_out in cut_outs}
    for table, label in stock:
        if label in taken:
            table.reject("label", f"{describe(label)} is what a cut-out of this job will be called; call it otherwise")
