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


def motifs_cut_in(paper: Paper, pieces: Sequence[Piece]) -> Iterator[tuple[Piece, CutMotif]]:
    """Yield the motifs that ceiling and skirting cut, piece by piece; edges at openings are passed over.

    A piece too narrow to show the motif's middle cuts none.
    """
    across = paper.wet_motif_from_left
    for piece in pieces:
        if across is not None and not piece.paper_left <= across <= piece.paper_right:
            continue
        for cut in motifs_cut(paper, piece.top - piece.foot, piece.first_motif):
            reaches = PieceKind.OVER if cut.edge is Edge.TOP else PieceKind.UNDER
            if piece.kind in (PieceKind.FULL, reaches):
                yield piece, cut
