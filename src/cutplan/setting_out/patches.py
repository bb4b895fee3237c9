"""Patches: the ends of a reveal's head where a strip is turned in at the side, and so cannot go under as well.

What falls out there is narrower by what is turned in, so a patch is a piece of its own: the paper that the strip would
have gone on with under the head, right way up, as wide as what lies bare and as long as the reveal is deep.
"""

from __future__ import annotations

from collections.abc import Iterable

from cutplan.lengths import ZERO
from cutplan.paper.pattern import Pattern
from cutplan.room.walls import Opening, Room
from cutplan.setting_out.cut_outs import Reveal
from cutplan.setting_out.pieces import Piece, PieceKind
from cutplan.setting_out.strips import Panel


def patches_of(room: Room, pieces: Iterable[Piece], reveals: Iterable[Reveal], pattern: Pattern) -> tuple[Piece, ...]:
    """Return the patches in hanging order: each after the last piece of its column, across the strip left to right."""
    bare: dict[int, list[tuple[Panel, Reveal]]] = {}
    for reveal in reveals:
        if reveal.column is not None and reveal.patch is not None:
            bare.setdefault(reveal.column, []).append((reveal.patch, reveal))
    last = {piece.column: piece for piece in pieces if piece.column in bare}
    patches = []
    for column, piece in last.items():
        found = sorted(bare[column], key=lambda pair: pair[0].paper_left)
        for number, (panel, reveal) in enumerate(found, 1):
            name = patch_name(piece.label, number, len(found))
            opening = next(opening for opening in room.walls[panel.wall].openings if opening.name == reveal.opening)
            patches.append(_patch(name, piece, panel, opening, pattern))
    return tuple(patches)


def patch_name(piece: str, number: int, count: int) -> str:
    """Return what is written on patch ``number`` of the ``count`` that are hung after a piece.

    >>> patch_name("7", 1, 1), patch_name("7", 2, 2)
    ('patch of 7', 'patch 2 of 7')

    """
    return f"patch of {piece}" if count == 1 else f"patch {number} of {piece}"


def _patch(name: str, piece: Piece, panel: Panel, opening: Opening, pattern: Pattern) -> Piece:
    return Piece(
        number=piece.number,
        column=piece.column,
        kind=PieceKind.PATCH,
        openings=(opening.name,),
        panels=(panel,),
        paper_left=panel.paper_left,
        paper_right=panel.paper_right,
        top=opening.head,
        foot=opening.head - opening.reveal,
        turned_under=ZERO,
        first_motif=pattern.within_repeat(piece.first_motif - (piece.top - opening.head)),
        name=name,
    )
