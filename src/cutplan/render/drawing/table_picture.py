"""The table plan: the lengths as they come off, in order, each drawn to scale with its number and its roll."""

from __future__ import annotations

from collections.abc import Sequence as Rows
from typing import Final

from msgspec import Struct

from cutplan.lengths import Length
from cutplan.render.drawing.lettering import LINE, Box, Lettering, fitted, isolated, isolated_piece, width_of
from cutplan.render.drawing.marks import CUT, NAME, SMALL, arrow_head
from cutplan.render.drawing.picture import FULL_WIDTH, PAPER, Pen, Picture
from cutplan.table.steps import CutDrop, OpenRoll, Sequence

_IN_A_ROW: Final = 6
_IN_A_PICTURE: Final = 2 * _IN_A_ROW
_COLUMN: Final = (FULL_WIDTH - 12) / _IN_A_ROW
_TALLEST: Final = 150.0
_LEAST: Final = 30.0
_WIDTH: Final = 60.0


class _Length(Struct, frozen=True):
    """One length to come off, or so many alike in one go.

    ``place`` is its place among all lengths, from 1.
    """

    place: int
    piece: str
    roll: str
    length: Length
    count: int
    is_turned: bool


def table_pictures(sequence: Sequence) -> tuple[Picture, ...]:
    """Return pictures of the lengths in the order in which they are cut, two rows of six to a picture.

    The first to come off is at the upper left. Lengths are to one scale; widths are not.
    """
    lengths = _lengths(sequence)
    longest = max(length.length for length in lengths)
    return tuple(
        _picture(lengths[start : start + _IN_A_PICTURE], float(longest), f"table-{start // _IN_A_PICTURE + 1}")
        for start in range(0, len(lengths), _IN_A_PICTURE)
    )


def _lengths(sequence: Sequence) -> list[_Length]:
    counts = {step.roll: step.count for step in sequence.steps if isinstance(step, OpenRoll)}
    cuts = [step for step in sequence.steps if isinstance(step, CutDrop)]
    return [
        _Length(place, step.piece, step.roll, step.length, counts.get(step.roll, 1), step.is_turned)
        for place, step in enumerate(cuts, start=1)
    ]


def _picture(lengths: Rows[_Length], longest: float, name: str) -> Picture:
    first, last = lengths[0].place, lengths[-1].place
    title = f"Lengths {first} to {last} in the order of cutting"
    said = [f"{length.place}: drop {isolated_piece(length.piece)} from {isolated(length.roll)}" for length in lengths]
    picture = Picture(name, title, f"{'; '.join(said)}.")
    y = 0.0
    for start in range(0, len(lengths), _IN_A_ROW):
        y = _draw_row(picture, lengths[start : start + _IN_A_ROW], longest, y)
    return picture


def _draw_row(picture: Picture, lengths: Rows[_Length], longest: float, y: float) -> float:
    """Draw a row of lengths that lie on the table with their tops level, and return where the next row begins."""
    tallest = max(_height(length, longest) for length in lengths)
    top = y + NAME * 1.3
    picture.line([(0, top - 4), (FULL_WIDTH, top - 4)], Pen(1), counts=True)
    for number, length in enumerate(lengths):
        left = number * _COLUMN + (_COLUMN - _WIDTH) / 2 + 6
        box = Box(left, top, left + _WIDTH, top + _height(length, longest))
        _draw_length(picture, length, box)
    return top + tallest + NAME * 3


def _height(length: _Length, longest: float) -> float:
    return max(float(length.length) / longest * _TALLEST, _LEAST)


def _draw_length(picture: Picture, length: _Length, box: Box) -> None:
    picture.box(box, fill=PAPER, pen=CUT)
    x = (box.left + box.right) / 2
    order = f"{length.place}." if length.count == 1 else f"{length.place}. ×{length.count}"
    picture.letter(Lettering(fitted(order, _COLUMN - 4, SMALL), SMALL, x, box.top - NAME * 0.85))
    _write_piece(picture, isolated_piece(length.piece), box, is_turned=length.is_turned)
    roll = fitted(isolated(length.roll), _COLUMN - 6, SMALL)
    picture.letter(Lettering(roll, SMALL, x, box.bottom + SMALL * 0.8))


def _write_piece(picture: Picture, piece: str, box: Box, *, is_turned: bool) -> None:
    x, y = (box.left + box.right) / 2, (box.top + box.bottom) / 2
    for size in (32.0, 24.0, SMALL):
        if width_of(piece, size, is_bold=True) <= box.width - 6 and size * LINE <= box.height:
            picture.letter(Lettering(piece, size, x, y, is_bold=True))
            if box.height > size * 2.4:
                near, far = (y + size * 0.6, box.bottom - 6) if is_turned else (y - size * 0.6, box.top + 6)
                picture.line([(x, near), (x, far)], Pen(1.6))
                arrow_head(picture, (x, far), (0, 1 if is_turned else -1), 9)
            return
    upright = width_of(piece, SMALL, is_bold=True) <= box.height - 6 or box.height > box.width
    room = (box.height if upright else box.width) - 6
    shown = fitted(piece, room, SMALL, is_bold=True)
    picture.letter(Lettering(shown, SMALL, x, y, is_bold=True, is_upright=upright))
