"""Pieces: the lengths of paper that each column takes, over, under and beside openings.

At each place across a column some heights are wall and some are opening. Heights that are wall anywhere
across the column need paper; each unbroken stretch of them is one piece. So a column beside a door is one
full drop, cut out to shape; a column wholly inside a window is a piece over it and a piece under it; and a
strip slit at a corner is one length that serves both walls.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from enum import Enum
from functools import cached_property
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from cutplan.lengths import ZERO, Length
from cutplan.paper.pattern import Pattern
from cutplan.room.walls import Opening, Room, Wall
from cutplan.setting_out.columns import Column
from cutplan.setting_out.strips import Panel


class PieceKind(Enum):
    """What a piece is."""

    FULL = "full"
    OVER = "over"
    UNDER = "under"
    BETWEEN = "between"
    PATCH = "patch"


class Piece(Struct, frozen=True, dict=True):
    """One length of paper on the wall."""

    number: int
    """Its place in the hanging order, from 1."""
    column: int
    """Number of its column."""
    kind: PieceKind
    """From the wall's top to its foot, over an opening, under one, or between two; or a patch of a reveal's head."""
    openings: tuple[str, ...]
    """Names of the openings that it is over, under, between or in, left to right; none for a full drop."""
    panels: tuple[Panel, ...]
    """Where it lies on the walls, left to right."""
    paper_left: Length
    paper_right: Length
    """What it needs of the wet strip's width, from its left edge, turns included."""
    top: Length
    """Height of its finished top above the floor line: the highest within its width, at a slope taken up."""
    foot: Length
    """Height of its finished foot: the lowest within its width, at a slope taken down."""
    turned_under: Length
    """How much longer it is than from top to foot, to be turned under the head of a reveal."""
    first_motif: Length
    """From its finished top down to its first motif datum, in [0, repeat)."""
    name: str = ""
    """Of a patch, which has the number of the piece that it is hung after; of a piece that is called after its band."""

    @cached_property
    def mark(self) -> tuple[object, ...]:
        """What it is and where it lies on the walls, in whole numbers."""
        heights = self.top.as_integer_ratio(), self.foot.as_integer_ratio()
        return self.kind.value, heights, *(panel.mark for panel in self.panels)

    @property
    def height(self) -> Length:
        """Finished height: from top to foot, and what is turned under a reveal."""
        return self.top - self.foot + self.turned_under

    @property
    def label(self) -> str:
        """What is written on its back: its number, or the name of a patch."""
        return self.name or str(self.number)


class Slice(Struct, frozen=True):
    """A part of a panel across which the openings do not change, with the openings there from the foot up."""

    panel: Panel
    left: Length
    right: Length
    openings: tuple[Opening, ...]

    @property
    def paper_left(self) -> Length:
        """Its left edge across the strip."""
        whole = self.panel
        return whole.paper_left if self.left is whole.left else whole.paper_left + self.left - whole.left

    @property
    def paper_right(self) -> Length:
        """Its right edge across the strip."""
        whole = self.panel
        return whole.paper_right if self.right is whole.right else whole.paper_left + self.right - whole.left


class _Stretch(Struct, frozen=True):
    """An unbroken height of wall within one slice, and the openings that end it."""

    slice: Slice
    foot: Length
    top: Length
    below: Opening | None
    above: Opening | None

    @property
    def paper_foot(self) -> Length:
        """How far down the paper reaches: under the head of a reveal, if it ends at one."""
        return self.foot if self.below is None else self.foot - self.below.reveal

    @property
    def joins(self) -> Length:
        """How far down it is one with what begins there; a turn deeper than its opening is high joins nothing."""
        is_deep = self.below is not None and self.below.reveal >= self.below.height
        return self.foot if is_deep else self.paper_foot


def slices_of(wall: Wall, panel: Panel) -> tuple[Slice, ...]:
    """Return a panel divided at the sides of openings, left to right."""
    met = [opening for opening in wall.openings if opening.left < panel.right and opening.right > panel.left]
    if not met:
        return (Slice(panel, panel.left, panel.right, ()),)
    met.sort(key=lambda opening: opening.foot)
    sides = {side for opening in met for side in (opening.left, opening.right)}
    bounds = [panel.left, *sorted(side for side in sides if panel.left < side < panel.right), panel.right]
    return tuple(
        Slice(
            panel,
            left,
            right,
            tuple(opening for opening in met if opening.left <= left and opening.right >= right),
        )
        for left, right in pairwise(bounds)
    )


def pieces_of(room: Room, columns: Sequence[Column], pattern: Pattern, level_line: Length) -> tuple[Piece, ...]:
    """Return the pieces of columns given in hanging order, numbered from 1, each column's from the top down."""
    pieces: list[Piece] = []
    for column in columns:
        for shape in _shapes(room, column):
            first_motif = pattern.within_repeat(column.first_motif - (level_line - shape.top))
            pieces.append(replace(shape, number=len(pieces) + 1, column=column.number, first_motif=first_motif))
    return tuple(pieces)


def _shapes(room: Room, column: Column) -> tuple[Piece, ...]:
    """Return the pieces of a column, from the top down, as if it were the first and its print began at their tops."""
    key = "pieces", *(panel.mark for panel in column.panels), column.turns
    return room.once(key, lambda: tuple(_piece(column, group) for group in _groups(room, column)))


def _groups(room: Room, column: Column) -> list[list[_Stretch]]:
    """Return the stretches of wall that each piece of a column covers, from the top down."""
    stretches = [
        stretch
        for panel in column.panels
        for part in slices_of(room.walls[panel.wall], panel)
        for stretch in _stretches(room.walls[panel.wall], part)
    ]
    if len(stretches) == 1:
        return [stretches]
    groups: list[list[_Stretch]] = []
    reached = ZERO
    for stretch in sorted(stretches, key=lambda stretch: stretch.top, reverse=True):
        if groups and stretch.top >= reached:
            groups[-1].append(stretch)
            reached = min(reached, stretch.joins)
        else:
            groups.append([stretch])
            reached = stretch.joins
    return groups


def _stretches(wall: Wall, part: Slice) -> Iterator[_Stretch]:
    foot = wall.foot.lowest(part.left, part.right)
    top = wall.top.highest(part.left, part.right)
    below = None
    for opening in part.openings:
        if opening.foot >= top:
            break
        if opening.foot > foot:
            yield _Stretch(part, _end(wall, foot, below), opening.foot, below, opening)
        if opening.head > foot:
            foot, below = opening.head, opening
    if top > foot:
        yield _Stretch(part, _end(wall, foot, below), wall.top.taken_up(top), below, None)


def _end(wall: Wall, foot: Length, below: Opening | None) -> Length:
    """Return the foot of a stretch: that of the wall as paper takes it, or the head of the opening below."""
    return wall.foot.taken_down(foot) if below is None else foot


def _piece(column: Column, group: Sequence[_Stretch]) -> Piece:
    top = max(stretch.top for stretch in group)
    foot = min(stretch.foot for stretch in group)
    kind = _kind(group)
    paper_left = min(stretch.slice.paper_left for stretch in group)
    paper_right = max(stretch.slice.paper_right for stretch in group)
    for turn in column.turns:
        near = turn.paper_left if turn.slit == turn.paper_right else turn.paper_right
        if paper_left <= near <= paper_right:
            paper_left, paper_right = min(paper_left, turn.slit), max(paper_right, turn.slit)
    return Piece(
        number=0,
        column=0,
        kind=kind,
        openings=() if kind is PieceKind.FULL else _opening_names(group),
        panels=_panels(column, group),
        paper_left=paper_left,
        paper_right=paper_right,
        top=top,
        foot=foot,
        turned_under=foot - min(stretch.paper_foot for stretch in group),
        first_motif=ZERO,
    )


def _kind(group: Sequence[_Stretch]) -> PieceKind:
    reaches_top = any(stretch.above is None for stretch in group)
    reaches_foot = any(stretch.below is None for stretch in group)
    if reaches_top:
        return PieceKind.FULL if reaches_foot else PieceKind.OVER
    return PieceKind.UNDER if reaches_foot else PieceKind.BETWEEN


def _opening_names(group: Sequence[_Stretch]) -> tuple[str, ...]:
    ends = [opening for stretch in group for opening in (stretch.below, stretch.above)]
    return tuple(dict.fromkeys(opening.name for opening in ends if opening is not None))


def _panels(column: Column, group: Sequence[_Stretch]) -> tuple[Panel, ...]:
    """Return the column's panels, each cut down to what a piece covers of it."""
    panels = []
    for panel in column.panels:
        covered = [stretch.slice for stretch in group if stretch.slice.panel is panel]
        if not covered:
            continue
        left, right = min(part.left for part in covered), max(part.right for part in covered)
        panels.append(panel if (left, right) == (panel.left, panel.right) else panel.cut_down(left, right))
    return tuple(panels)
