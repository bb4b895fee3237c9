"""Where the lengths of a lining hang, in words: course by course along each wall, or strip by strip."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import TYPE_CHECKING

from cutplan.lengths import show
from cutplan.render.pages.layout_of_page import bullets, section

if TYPE_CHECKING:
    from cutplan.lining.courses import LiningPiece, LiningSetOut


def lining_page(found: LiningSetOut, units: str) -> str:
    """Return where each length of a lining hangs, and how the lengths meet."""
    return section("Where the lengths hang", bullets(lining_lines(found, units)))


def lining_lines(found: LiningSetOut, units: str) -> Iterator[str]:
    """Yield each wall's courses from the ceiling down, or its strips from the left, then what lies in reveals."""
    hung = [(cell, piece) for piece in found.pieces for cell in piece.cells]
    hung.sort(key=lambda pair: (pair[0].face.wall, pair[1].course, pair[0].left, -pair[0].top))
    what = "course" if found.lining.is_horizontal else "strip"
    for (wall, course), group in groupby(hung, key=lambda pair: (pair[0].face.wall, pair[1].course)):
        lengths = []
        for cell, piece in group:
            place = f"{show(cell.left, units)} to {show(cell.right, units)}"
            height = f"{show(cell.top, units)} down to {show(cell.foot, units)}"
            lengths.append(f"{piece.label} from {place}, {height} high{_ripped(found, piece, units)}")
        yield f"{found.room.walls[wall].name}, {what} {course}: {'; '.join(lengths)}."
    for piece in found.pieces:
        if piece.reveal is not None:
            where = f"{piece.reveal.side} of the reveal of {piece.reveal.opening}"
            yield f"{found.room.walls[piece.wall].name}: {piece.label} at the {where}{_ripped(found, piece, units)}."
    yield how_they_meet(found, units)


def _ripped(found: LiningSetOut, piece: LiningPiece, units: str) -> str:
    return "" if piece.width == found.lining.roll_width else f", ripped to {show(piece.width, units)}"


def how_they_meet(found: LiningSetOut, units: str) -> str:
    """Return how lengths meet one another, corners and frames."""
    short = show(found.lining.short, units)
    return f"Butt the lengths and never lap them; stop {short} short of corners, ceiling, skirting and frames."
