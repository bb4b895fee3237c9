"""Motifs cut at the ceiling and at the skirting: how much of each is lost, and in which pieces."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from enum import Enum
from functools import partial

from msgspec import Struct

from cutplan.lengths import ZERO, Length
from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Paper
from cutplan.room.profile import Profile
from cutplan.room.walls import Opening, Room
from cutplan.setting_out.pieces import Piece, PieceKind
from cutplan.setting_out.strips import Panel


class Edge(Enum):
    """Which edge of a piece."""

    TOP = "top"
    FOOT = "foot"


class CutMotif(Struct, frozen=True):
    """A motif that an edge cuts: how much of its height is cut off, and how much still shows.

    Where the edge ``slopes`` within the motif's width both are taken where there is most of them, so that together they
    may be more than the motif.
    """

    edge: Edge
    cut_off: Length
    shown: Length
    slopes: bool = False

    @property
    def up_to(self) -> str:
        """What is said before its lengths: nothing where they are the same all across."""
        return "up to " if self.slopes else ""


def motifs_cut(
    paper: Paper, height: Length, first_motif: Length, dip: Length = ZERO, rise: Length = ZERO
) -> Iterator[CutMotif]:
    """Yield the motifs that the top and the foot of a piece cut, from the top down.

    ``height`` is finished, and more than 0; ``first_motif`` lies below the finished top, in [0, repeat). The edges are
    lower than that top by ``dip``, and higher than the foot by ``rise``, elsewhere within the motif's width.
    """
    yield from _cut_at(Edge.TOP, paper, first_motif, dip)
    yield from _cut_at(Edge.FOOT, paper, height - first_motif, rise)


def _cut_at(edge: Edge, paper: Paper, datum: Length, dip: Length) -> Iterator[CutMotif]:
    """Yield the motifs that one edge cuts, from the top down: at the foot the piece is looked at upside down.

    Distances are from the edge into the piece: ``datum`` that of some motif's; ``dip`` how far in the edge lies
    elsewhere within the motif's width.
    """
    repeat, tall = paper.pattern.repeat, paper.motif_above + paper.motif_below
    if paper.pattern.is_free or not tall:
        return
    beyond, within = paper.motif_above, paper.motif_below
    if edge is Edge.FOOT:
        beyond, within = within, beyond
    cut = []
    datum = datum % repeat - repeat
    while datum - beyond < dip:
        if datum + within > 0:
            cut.append(CutMotif(edge, min(dip + beyond - datum, tall), min(datum + within, tall), slopes=dip > 0))
        datum += repeat
    yield from cut if edge is Edge.TOP else reversed(cut)


def motifs_cut_in(room: Room, paper: Paper, pieces: Sequence[Piece]) -> Iterator[tuple[Piece, CutMotif]]:
    """Yield the motifs that ceiling and skirting cut, piece by piece; edges at openings are passed over.

    Under a slope or over a stair it is the edge where the motif is across the strip that cuts it; where that is not
    told, the piece's highest and lowest. A piece too narrow to show any of the motif cuts none.
    """
    for piece, edges in _edges_of(room, paper, pieces):
        first_motif = _first_motif_at(paper, piece, edges.top)
        if edges.is_top_of_wall:
            yield from ((piece, cut) for cut in _cut_at(Edge.TOP, paper, first_motif, edges.dip))
        if edges.is_foot_of_wall:
            datum = edges.top - edges.foot - first_motif
            yield from ((piece, cut) for cut in _cut_at(Edge.FOOT, paper, datum, edges.rise))


class AtCeiling(Struct, frozen=True):
    """How the print of a column stands to the ceiling where its motif is."""

    column: int
    """Its number."""
    ends: Length
    """From the highest of the ceiling there down to where a motif ends, give or take repeats."""
    reach: Length
    """A motif that ends nearer than this is cut: its height, and by how much the ceiling dips within its width."""

    def cuts(self, pattern: Pattern, lower: Length = ZERO) -> bool:
        """Return True when the ceiling cuts a motif of the print hung ``lower``."""
        return (pattern.within_repeat(self.ends + lower) or pattern.repeat) < self.reach


def at_ceiling(room: Room, paper: Paper, pieces: Sequence[Piece]) -> tuple[AtCeiling, ...]:
    """Return how the print of each piece that the ceiling might cut stands to it; none for a free match."""
    tall = paper.motif_above + paper.motif_below
    if paper.pattern.is_free or not tall:
        return ()
    return tuple(
        AtCeiling(piece.column, _first_motif_at(paper, piece, edges.top) + paper.motif_below, tall + edges.dip)
        for piece, edges in _edges_of(room, paper, pieces)
        if edges.is_top_of_wall
    )


def _edges_of(room: Room, paper: Paper, pieces: Sequence[Piece]) -> Iterator[tuple[Piece, _Edges]]:
    """Yield the pieces that show their motif, with their edges there."""
    across = tuple(None if length is None else length.as_integer_ratio() for length in paper.wet_motif)
    for piece in pieces:
        edges = room.once(("edges", across, piece.mark), partial(_edges_at, room, paper, piece))
        if edges is not None and edges.top > edges.foot:
            yield piece, edges


def _first_motif_at(paper: Paper, piece: Piece, top: Length) -> Length:
    """Return from a height at which a piece shows its motif down to its first motif datum."""
    return piece.first_motif if piece.top == top else paper.pattern.within_repeat(piece.first_motif - piece.top + top)


class MotifPlace(Struct, frozen=True):
    """Where the walls show a motif: from ``left`` to ``right`` along a wall counted from 0, the same for its middle."""

    wall: int
    left: Length
    right: Length

    def top(self, room: Room) -> tuple[Length, Length]:
        """Return the lowest and the highest of the ceiling over it; at a step just there, the higher, as it is cut."""
        return self._range(room.walls[self.wall].top, max)

    def foot(self, room: Room) -> tuple[Length, Length]:
        """Return the lowest and the highest of the wall's foot under it; at a step just there, the lower."""
        return self._range(room.walls[self.wall].foot, min)

    def _range(self, line: Profile, at_step: Callable[[Length, Length], Length]) -> tuple[Length, Length]:
        if self.left < self.right:
            return line.lowest(self.left, self.right), line.highest(self.left, self.right)
        height = at_step(line.just_left_of(self.left), line.just_right_of(self.left))
        return height, height

    def is_within(self, opening: Opening) -> bool:
        """Return True when an opening takes its whole width."""
        if self.left < self.right:
            return opening.left <= self.left and self.right <= opening.right
        return opening.left < self.left < opening.right


def motif_places(paper: Paper, panels: Sequence[Panel]) -> list[MotifPlace]:
    """Return where panels show the motif, of all its width or of its middle; none where that is not told."""
    middle, half = paper.wet_motif
    if middle is None:
        return []
    places: list[MotifPlace] = []
    for panel in panels:
        left, right = max(panel.paper_left, middle - half), min(panel.paper_right, middle + half)
        if left < right or (not half and left == right and not places):
            shift = panel.left - panel.paper_left
            places.append(MotifPlace(panel.wall, left + shift, right + shift))
    return places


class _Edges(Struct, frozen=True):
    """Heights between which a piece shows its motif, and which of them are the wall's own."""

    top: Length
    foot: Length
    is_top_of_wall: bool
    is_foot_of_wall: bool
    dip: Length = ZERO
    rise: Length = ZERO


def _edges_at(room: Room, paper: Paper, piece: Piece) -> _Edges | None:
    """Return the edges of a piece where its motif is; None where it does not show it."""
    reaches_top = piece.kind in (PieceKind.FULL, PieceKind.OVER)
    reaches_foot = piece.kind in (PieceKind.FULL, PieceKind.UNDER)
    if paper.motif_from_left is None:
        return _Edges(piece.top, piece.foot, reaches_top, reaches_foot)
    places = motif_places(paper, piece.panels)
    if not places:
        return None
    tops = [place.top(room) for place in places] if reaches_top else [(piece.top, piece.top)]
    feet = [place.foot(room) for place in places] if reaches_foot else [(piece.foot, piece.foot)]
    top, foot = max(high for _, high in tops), min(low for low, _ in feet)
    openings = [opening for place in places for opening in room.walls[place.wall].openings if place.is_within(opening)]
    return _Edges(
        top,
        foot,
        reaches_top and not any(opening.head >= top for opening in openings),
        reaches_foot and not any(opening.foot <= foot for opening in openings),
        dip=top - min(low for low, _ in tops),
        rise=max(high for _, high in feet) - foot,
    )
