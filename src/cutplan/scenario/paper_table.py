"""Reading what a paper's label says: lengths, repeat and match, price, and how the paper behaves."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from cutplan.errors import PatternError
from cutplan.lengths import UNITS, ZERO, Length, show
from cutplan.paper.match_label import DIRECTIONS, MatchLabel, read_match, says_reverse
from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Paper, SheetSet
from cutplan.scenario.sale_keys import SALE_KEYS, read_edges, read_motif_from_left, read_price, read_sale, read_width
from cutplan.scenario.sheets_table import pattern_of_sheets, read_equal_strips, read_sheets
from cutplan.scenario.tables import Table, describe
from cutplan.scenario.usual import MOTIF, REPEAT, ROLL_LENGTH

if TYPE_CHECKING:
    from cutplan.paper.photographed import Photographed

_CLOSEST_REPEAT: Final = UNITS["mm"]
"""A shorter repeat is a slip, and would give a roll more places to cut than can be told apart."""
_SMALLEST_USUAL_REPEAT: Final[Length] = 150 * UNITS["mm"]

MOST_GROWTH: Final = 10
"""Paper that grows by more per cent than this when wet is a slip of the finger: 1–2 % is usual [memory]."""

LABEL_KEYS: Final = ("name", "roll_length", "roll_width", "match", "offset_direction", "price")
_PAPER_KEYS: Final = (
    *LABEL_KEYS,
    "motif_from_left", "motif_width", "motif_above", "motif_below", "wet_growth", "foil", "reverse", "sideways",
    "picture",
    *SALE_KEYS,
)  # fmt: skip


class PaperLabel(Struct):
    """As much of the paper's label as could be read, so that the rest of the file can be judged by it.

    ``paper`` is all of it; None when its match or its length could not be read.
    """

    pattern: Pattern | None = None
    roll_length: Length | None = None
    roll_width: Length | None = None
    price: Fraction | None = None
    is_reversed: bool = False
    sheets: SheetSet | None = None
    paper: Paper | None = None


def read_paper(root: Table) -> PaperLabel:
    """Return what ``[paper]`` says; its faults are noted."""
    table = root.table("paper", _PAPER_KEYS)
    if table is None:
        return PaperLabel()
    roll_length = table.length("roll_length", usual=ROLL_LENGTH)
    pattern = pattern_of_sheets(table, roll_length) if root.has("sheets") else _read_pattern(table)
    sale, edges = read_sale(table, roll_length), read_edges(table)
    width = read_width(table, edges)
    from_left = _on_one_strip(table, "motif_from_left", None if width is None else width + edges.before_strip)
    per_cent = f"per cent from 0 to {MOST_GROWTH}"
    growth = table.number("wet_growth", MOST_GROWTH, of=per_cent, example="for example wet_growth = 1.5") or ZERO
    # What takes the place of a match or a length at fault is only there to find what else is.
    paper = Paper(
        table.text("name", required=False) or "paper",
        pattern or Pattern(ZERO, ZERO),
        roll_length or ZERO,
        width,
        read_price(table, sale, roll_length),
        motif_from_left=read_motif_from_left(table, edges, from_left),
        motif_above=table.length("motif_above", required=False, zero=True, usual=MOTIF) or ZERO,
        motif_below=table.length("motif_below", required=False, zero=True, usual=MOTIF) or ZERO,
        wet_growth=growth / 100,
        is_foil=table.flag("foil") or False,
        is_reversed=_read_reverse(table, pattern),
        may_lie_sideways=_read_sideways(table, pattern),
        motif_width=_on_one_strip(table, "motif_width", width) or ZERO,
        sale=sale,
        edges=edges,
        photographed=_read_photographed(table),
        sheets=read_sheets(root, pattern),
        edge_trim=read_equal_strips(root, pattern),
    )
    if paper.edge_trim is not None and edges.overlap:
        text = "stands beside equal_strips, which are butted; leave it out, and count what a lap costs into edge_trim"
        table.reject("overlap", text)
    whole = None if pattern is None or roll_length is None else paper
    return PaperLabel(pattern, roll_length, width, paper.price, paper.is_reversed, paper.sheets, whole)


def _read_photographed(paper: Table) -> Photographed | None:
    if not paper.has("picture"):
        return None
    from cutplan.scenario.picture_table import read_photographed  # noqa: PLC0415 - few papers are photographed

    return read_photographed(paper)


def _on_one_strip(paper: Table, key: str, strip: Length | None) -> Length | None:
    length = paper.length(key, required=False, zero=True, usual=MOTIF)
    beyond = beyond_strip(length, strip, paper.units)
    if beyond is not None:
        paper.reject(key, beyond)
    return length


def beyond_strip(length: Length | None, strip: Length | None, units: str) -> str | None:
    """Return why a motif cannot lie that far across a strip, or be that wide; None when it can."""
    if length is None or strip is None or length <= strip:
        return None
    return f"must lie within the strip's width of {show(strip, units)}, not at {show(length, units)}; measure it again"


def _read_sideways(paper: Table, pattern: Pattern | None) -> bool:
    """Return True where a short piece may be hung on its side, which only a free match can be."""
    may = paper.flag("sideways") or False
    if may and pattern is not None and not pattern.is_free:
        paper.reject("sideways", "a print that must match cannot be turned by a quarter; leave sideways out")
    return may and (pattern is None or pattern.is_free)


def _read_reverse(paper: Table, pattern: Pattern | None) -> bool:
    """Return True for reverse alternate lengths, which only a free match can be."""
    is_reversed = paper.flag("reverse") or says_reverse(paper.values.get("match"))
    if is_reversed and paper.values.get("reverse") is False:
        paper.reject("reverse", "is false, and the match says to reverse; leave it out, or mend match")
    if is_reversed and pattern is not None and not pattern.is_free:
        paper.reject(
            "reverse", "a print that must match cannot be turned end for end; leave reverse out, or mend match"
        )
    return is_reversed


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
    if 0 < match.pattern.repeat < _CLOSEST_REPEAT:
        paper.reject(
            "match", f"no print repeats within {show(_CLOSEST_REPEAT)}, as {describe(label)} does; mend its unit"
        )
        return None
    if not all(map(paper.reading.takes_in, (match.pattern.repeat, match.pattern.offset))):
        paper.reject("match", "is finer than any print; round the repeat to thousandths of a millimetre")
        return None
    if not match.pattern.is_free:
        paper.doubt("match", match.pattern.repeat, REPEAT)
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
