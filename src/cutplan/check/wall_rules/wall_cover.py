"""What hangs on the walls: every bit that is no opening under paper, and under one piece only."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING

from cutplan.check.report import Violation, exact_text, mm
from cutplan.check.wall_rules.needs import openings_across

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cutplan.check.survey.surveyed import Survey, Wall
    from cutplan.check.wall_rules.hung import Hung, Piece

_NOTHING = Fraction(0)


@dataclass(frozen=True, slots=True)
class _Sheet:
    """A piece as it lies on one wall: a rectangle of paper, trims not counted."""

    piece: Piece
    left: Fraction
    right: Fraction


def cover_rule(survey: Survey, hung: Hung) -> Iterator[Violation]:
    """Require every bit of wall that is no opening to lie under paper, and under one piece only."""
    sheets: list[list[_Sheet]] = [[] for _ in survey.walls]
    for piece in hung.pieces:
        for panel in piece.panels:
            sheets[panel.wall].append(_Sheet(piece, panel.left, panel.right))
    for wall, hanging in zip(survey.walls, sheets, strict=True):
        yield from _twice_rule(wall, hanging)
        yield from _bare_rule(wall, hanging)


def _twice_rule(wall: Wall, sheets: Sequence[_Sheet]) -> Iterator[Violation]:
    open_sheets: list[_Sheet] = []
    for sheet in sorted(sheets, key=lambda sheet: sheet.left):
        open_sheets = [other for other in open_sheets if other.right > sheet.left]
        for other in open_sheets:
            if sheet.piece.meets(other.piece):
                wide = min(sheet.right, other.right) - sheet.left
                what = f"{other.piece.name} and {sheet.piece.name} hang over one another, {mm(wide)} wide"
                message = f"{what} at {mm(sheet.left)} along {wall.name!r}"
                yield Violation("cover", f"column {exact_text(sheet.piece.column)}", message, wide)
        open_sheets.append(sheet)


def _bare_rule(wall: Wall, sheets: Sequence[_Sheet]) -> Iterator[Violation]:
    """Look at every stretch across which nothing begins, ends, bends or crosses: its two ends tell all of it."""
    worst, begun, ended = _NOTHING, _NOTHING, None
    for left, right in pairwise(_marks(wall, sheets)):
        pieces = sorted(
            {(sheet.piece.foot, sheet.piece.top) for sheet in sheets if sheet.left <= left and right <= sheet.right}
        )
        tops, feet = wall.top.ends(left, right), wall.foot.ends(left, right)
        openings = [(thing.foot, thing.head) for thing in openings_across(wall, left, right)]
        covers = sorted([*openings, *pieces])
        bare = max(_bare(foot, top, covers) for foot, top in zip(feet, tops, strict=True))
        if bare:
            if ended is not None and ended != left:
                yield _bare_violation(wall, worst, begun, ended)
            if ended != left:
                worst, begun = _NOTHING, left
            worst, ended = max(worst, bare), right
    if ended is not None:
        yield _bare_violation(wall, worst, begun, ended)


def _bare_violation(wall: Wall, height: Fraction, left: Fraction, right: Fraction) -> Violation:
    message = f"up to {mm(height)} of its height lie bare from {mm(left)} to {mm(right)} along it"
    return Violation("cover", f"wall {wall.name!r}", message, height)


def _bare(foot: Fraction, top: Fraction, covers: Sequence[tuple[Fraction, Fraction]]) -> Fraction:
    """Return how much of the height from ``foot`` to ``top`` lies under nothing of ``covers``, in order of feet."""
    bare, reached = _NOTHING, foot
    for low, high in covers:
        if min(low, top) > reached:
            bare += min(low, top) - reached
        reached = max(reached, high)
    return bare + max(top - reached, _NOTHING)


def _marks(wall: Wall, sheets: Sequence[_Sheet]) -> list[Fraction]:
    marks = {_NOTHING, wall.width, *wall.top.bends, *wall.foot.bends}
    marks |= {side for thing in wall.openings for side in (thing.left, thing.right)}
    marks |= {side for sheet in sheets for side in (sheet.left, sheet.right)}
    heights = {height for thing in wall.openings for height in (thing.foot, thing.head)}
    heights |= {height for sheet in sheets for height in (sheet.piece.foot, sheet.piece.top)}
    for line in (wall.top, wall.foot):
        for height in heights:
            marks |= set(line.crossings(height))
    return sorted(mark for mark in marks if 0 <= mark <= wall.width)
