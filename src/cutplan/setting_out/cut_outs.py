"""Cut-outs: what is cut away from a hung drop for an opening; and the sides of reveals, with the patches left bare."""

from __future__ import annotations

from collections.abc import Iterator
from enum import Enum

from msgspec import Struct
from msgspec.structs import replace

from cutplan.lengths import ZERO, Length
from cutplan.paper.pattern import Pattern
from cutplan.room.walls import Opening, Room, Wall
from cutplan.setting_out.columns import Column
from cutplan.setting_out.pieces import Piece
from cutplan.setting_out.strips import Panel


class PieceCutOut(Struct, frozen=True):
    """Paper of less than full width that falls out of a piece where an opening is cut out."""

    piece: int
    """Number of the piece that it comes from."""
    wall: int
    opening: str
    """The wall, counted from 0, and the opening's name."""
    paper_left: Length
    paper_right: Length
    """Across the wet strip, from its left edge; what is turned in to a reveal is not part of it."""
    top: Length
    """Height of its upper edge above the floor line."""
    length: Length
    """From its upper edge down."""
    first_motif: Length
    """From its upper edge down to its first motif datum, in [0, repeat)."""


class Side(Enum):
    """A side of an opening, as one faces it."""

    LEFT = "left"
    RIGHT = "right"


class Reveal(Struct, frozen=True):
    """How one side of a reveal is papered by the column that stands across it."""

    wall: int
    opening: str
    """The wall, counted from 0, and the opening's name."""
    side: Side
    """Which side of the opening."""
    column: int | None
    """The column that is turned in; None when a joint or a corner lies on that side, so that nothing can be."""
    turned_in: Length
    """How much is turned in: the depth of the reveal, or what the strip has."""
    depth: Length
    """Of the reveal."""
    patch: Panel | None
    """Where the column leaves that end of the reveal's head bare, as deep as the reveal, for the same paper cannot be
    turned both in and under; None where it leaves nothing. One strip astride the whole opening leaves one patch,
    counted on the left."""
    is_at_end: bool = False
    """True when that side lies at the end of the wall, in a corner."""

    @property
    def patch_width(self) -> Length:
        """Width of what is left bare; 0 where nothing is."""
        return ZERO if self.patch is None else self.patch.right - self.patch.left


def cut_outs_of_piece(
    room: Room, piece: Piece, column: Column, pattern: Pattern, level_line: Length
) -> Iterator[PieceCutOut]:
    """Yield what falls out of one piece, left to right."""
    for shape in room.once(("cut-outs", piece.mark), lambda: tuple(_shapes(room, piece))):
        first_motif = pattern.within_repeat(column.first_motif - (level_line - shape.top))
        yield replace(shape, piece=piece.number, first_motif=first_motif)


def _shapes(room: Room, piece: Piece) -> Iterator[PieceCutOut]:
    """Yield the same as if the print began at the top of each."""
    for panel in piece.panels:
        for opening in room.walls[panel.wall].openings:
            across = _range_across(panel, opening)
            top, foot = min(opening.head, piece.top), max(opening.foot, piece.foot)
            if across is not None and top > foot:
                yield PieceCutOut(piece.number, panel.wall, opening.name, *across, top, top - foot, ZERO)


def _range_across(panel: Panel, opening: Opening) -> tuple[Length, Length] | None:
    """Return what an opening takes of a panel, across the strip, less what is turned in to its reveal."""
    left, right = max(panel.left, opening.left), min(panel.right, opening.right)
    if panel.left < opening.left:
        left += opening.reveal
    if panel.right > opening.right:
        right -= opening.reveal
    if left >= right:
        return None
    shift = panel.paper_left - panel.left
    return left + shift, right + shift


def reveals_of(room: Room, columns: tuple[Column, ...]) -> Iterator[Reveal]:
    """Yield both sides of every reveal, wall by wall."""
    for index, wall in enumerate(room.walls):
        if not any(opening.reveal for opening in wall.openings):
            continue
        panels = [(column.number, panel) for column in columns for panel in column.panels if panel.wall == index]
        for opening in wall.openings:
            if opening.reveal:
                for side in Side:
                    yield _reveal(index, wall, opening, side, panels)


def _reveal(number: int, wall: Wall, opening: Opening, side: Side, panels: list[tuple[int, Panel]]) -> Reveal:
    edge = opening.left if side is Side.LEFT else opening.right
    for column, panel in panels:
        if panel.left < edge < panel.right:
            left, right = max(panel.left, opening.left), min(panel.right, opening.right)
            is_astride = panel.left < opening.left and panel.right > opening.right
            turned_in = min((right - left) / (2 if is_astride else 1), opening.reveal)
            patch = None
            if not (is_astride and side is Side.RIGHT) and _has_head(wall, opening, left, right):
                patch = panel.cut_down(left, right)
            return Reveal(number, opening.name, side, column, turned_in, opening.reveal, patch)
    return Reveal(number, opening.name, side, None, ZERO, opening.reveal, None, is_at_end=edge in (ZERO, wall.width))


def _has_head(wall: Wall, opening: Opening, left: Length, right: Length) -> bool:
    """Return True when there is wall right above an opening anywhere from ``left`` to ``right``."""
    above = [other for other in wall.openings if other.foot <= opening.head < other.head]
    is_open = any(other.left <= left and right <= other.right for other in above)
    return wall.top.highest(left, right) > opening.head and not is_open
