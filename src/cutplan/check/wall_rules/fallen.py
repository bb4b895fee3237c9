"""What comes away from the pieces of a room: cut out at openings, and slit off where a strip is too wide."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from cutplan.check.roll_rules.what_fits_where import CutOut

if TYPE_CHECKING:
    from collections.abc import Iterator
    from fractions import Fraction

    from cutplan.check.roll_rules.what_fits_where import WantedDrop
    from cutplan.check.survey.surveyed import Survey
    from cutplan.check.wall_rules.hung import Piece


def with_widths(drop: WantedDrop, survey: Survey, piece: Piece, repeat: Fraction) -> WantedDrop:
    """Return the drop of a piece with the part of the dry strip that it needs, and with what comes away from it.

    At a reveal nothing is counted on: the edges of what falls out there are turned in.
    """
    cut_outs = list(_fallen(drop, survey, piece, repeat))
    if piece.paper_left <= 0 and piece.paper_right >= survey.strip:
        return replace(drop, cut_outs=tuple(cut_outs))
    left, right = piece.paper_left / survey.wet, piece.paper_right / survey.wet
    if survey.start.usable is not None:  # what is trimmed off equal strips is lost
        return replace(drop, left=left, right=right, cut_outs=tuple(cut_outs))
    motif = drop.datum % repeat if repeat else drop.datum * 0
    for side, begin, end in (("left", left * 0, left), ("right", right, survey.strip / survey.wet)):
        if begin < end:
            cut_outs.append(CutOut(f"{side} of {drop.label}", drop.cut_length, motif, begin, end))
    return replace(drop, left=left, right=right, cut_outs=tuple(cut_outs))


def _fallen(drop: WantedDrop, survey: Survey, piece: Piece, repeat: Fraction) -> Iterator[CutOut]:
    """Yield what falls out of a piece at openings, panel by panel as the survey lists them."""
    found = []
    for panel in piece.panels:
        for opening in survey.walls[panel.wall].openings:
            left, right = max(panel.left, opening.left), min(panel.right, opening.right)
            top, foot = min(opening.head, piece.top), max(opening.foot, piece.foot)
            if not opening.reveal and left < right and foot < top:
                found.append((panel, left, right, top, top - foot))
    for number, (panel, left, right, top, length) in enumerate(found, 1):
        label = f"cut-out of {drop.label}" if len(found) == 1 else f"cut-out {number} of {drop.label}"
        motif = drop.first_motif - (piece.top - top)
        edges = [(panel.paper_left + side - panel.left) / survey.wet for side in (left, right)]
        yield CutOut(label, length, motif % repeat if repeat else motif * 0, *edges)
