"""Motifs cut at the ceiling and at the skirting: how much of each is lost, and in which pieces."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING

from cutplan.setting_out.pieces import PieceKind

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cutplan.lengths import Length
    from cutplan.paper.stock import Paper
    from cutplan.room.walls import Room
    from cutplan.setting_out.pieces import Piece


class Edge(Enum):
    """Which edge of a piece."""

    TOP = "top"
    FOOT = "foot"


@dataclass(frozen=True, slots=True)
class CutMotif:
    """A motif that an edge cuts: how much of its height is cut off, and how much still shows."""

    edge: Edge
    cut_off: Length
    shown: Length


def motifs_cut(paper: Paper, height: Length, first_motif: Length) -> Iterator[CutMotif]:
    """Yield the motifs that the top and the foot of a piece cut, from the top down.

    Parameters
    ----------
    paper
        Its repeat, and how far the motif reaches above and below its datum.
    height
        From the finished top to the finished foot, more than 0.
    first_motif
        From the finished top down to the first motif datum, in [0, repeat).

    """
    above, below, repeat = paper.motif_above, paper.motif_below, paper.pattern.repeat
    if paper.pattern.is_free or not above + below:
        return
    for datum in (first_motif - repeat, first_motif):
        if datum - above < 0 < datum + below:
            yield CutMotif(Edge.TOP, above - datum, datum + below)
    last = first_motif + (height - first_motif) // repeat * repeat
    for datum in (last, last + repeat):
        if datum - above < height < datum + below:
            yield CutMotif(Edge.FOOT, datum + below - height, height - datum + above)


def motifs_cut_in(room: Room, paper: Paper, pieces: Sequence[Piece]) -> Iterator[tuple[Piece, CutMotif]]:
    """Yield the motifs that ceiling and skirting cut, piece by piece; edges at openings are passed over.

    Under a slope or over a stair it is the edge where the motif's middle is across the strip that cuts it; where that
    is not told, the piece's highest and lowest. A piece too narrow to show the motif's middle cuts none.
    """
    for piece in pieces:
        edges = _edges_at(room, paper.wet_motif_from_left, piece)
        if edges is None or edges.top <= edges.foot:
            continue
        first_motif = paper.pattern.within_repeat(piece.first_motif - (piece.top - edges.top))
        for cut in motifs_cut(paper, edges.top - edges.foot, first_motif):
            if edges.is_top_of_wall if cut.edge is Edge.TOP else edges.is_foot_of_wall:
                yield piece, cut


@dataclass(frozen=True, slots=True)
class _Edges:
    """Heights between which a piece shows its motif, and which of them are the wall's own."""

    top: Length
    foot: Length
    is_top_of_wall: bool
    is_foot_of_wall: bool


def _edges_at(room: Room, across: Length | None, piece: Piece) -> _Edges | None:
    """Return the edges of a piece where its motif's middle is; None where it does not show it."""
    reaches_top = piece.kind in (PieceKind.FULL, PieceKind.OVER)
    reaches_foot = piece.kind in (PieceKind.FULL, PieceKind.UNDER)
    if across is None:
        return _Edges(piece.top, piece.foot, reaches_top, reaches_foot)
    panel = next((panel for panel in piece.panels if panel.paper_left <= across <= panel.paper_right), None)
    if panel is None:
        return None
    wall, along = room.walls[panel.wall], panel.left + across - panel.paper_left
    # At a step the motif shows up to the higher side, and down to the lower one, as the piece is cut.
    top = max(wall.top.just_left_of(along), wall.top.just_right_of(along)) if reaches_top else piece.top
    foot = min(wall.foot.just_left_of(along), wall.foot.just_right_of(along)) if reaches_foot else piece.foot
    openings = [opening for opening in wall.openings if opening.left < along < opening.right]
    return _Edges(
        top,
        foot,
        reaches_top and not any(opening.head >= top for opening in openings),
        reaches_foot and not any(opening.foot <= foot for opening in openings),
    )
