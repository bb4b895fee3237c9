"""What the walls need and what hangs there: every bit of wall under paper once, every piece long enough."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING

from cutplan.check.report import Violation, counted, mm

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cutplan.check.hung import Column, Hung, Panel, Piece
    from cutplan.check.survey import Survey, Thing, Wall

_NOTHING = Fraction(0)


# What a column needs.


@dataclass(frozen=True, slots=True)
class Need:
    """An unbroken height of wall within a column: it takes one piece of paper.

    ``top`` is the highest wall of it, ``foot`` the lowest; ``under`` is what the paper reaches further, to be
    turned under the head of a reveal.
    """

    top: Fraction
    foot: Fraction
    under: Fraction

    @property
    def paper_foot(self) -> Fraction:
        """How far down the paper reaches."""
        return self.foot - self.under

    def joined_to(self, lower: Need) -> Need:
        """Return the unbroken height of this and of one that begins no lower than this one ends."""
        foot = min(self.foot, lower.foot)
        return Need(self.top, foot, foot - min(self.paper_foot, lower.paper_foot))

    def meets(self, piece: Piece) -> bool:
        """Return True when a piece hangs at some of its heights."""
        return min(self.top, piece.top) > max(self.foot, piece.foot)


def needs_of(survey: Survey, column: Column) -> list[Need]:
    """Return what a column needs, from the top down: heights that are wall anywhere across it, joined up."""
    heights = [
        need for panel in column.panels for need in _needs_across(survey.walls[panel.wall], panel.left, panel.right)
    ]
    joined: list[Need] = []
    for need in sorted(heights, key=lambda need: (-need.top, need.paper_foot)):
        above = joined.pop() if joined and need.top >= joined[-1].paper_foot else None
        joined.append(need if above is None else above.joined_to(need))
    return joined


def _needs_across(wall: Wall, left: Fraction, right: Fraction) -> Iterator[Need]:
    """Yield the heights of wall between two places of it, apart for each stretch with the same openings."""
    sides = {side for thing in wall.openings for side in (thing.left, thing.right) if left < side < right}
    for start, end in pairwise(sorted({left, right} | sides)):
        base, under = wall.foot.span(start, end)[0], _NOTHING
        top = wall.top.span(start, end)[1]
        for thing in _openings_at(wall, start, end):
            if base < min(thing.foot, top):
                yield Need(min(thing.foot, top), base, under)
            if thing.head > base:
                base, under = thing.head, thing.reveal
        if base < top:
            yield Need(top, base, under)


def _openings_at(wall: Wall, left: Fraction, right: Fraction) -> list[Thing]:
    """Return the openings that stand over the whole of a stretch, from the foot up."""
    return sorted(
        (thing for thing in wall.openings if thing.left <= left and right <= thing.right), key=lambda thing: thing.foot
    )


def heights_needed(survey: Survey, hung: Hung) -> dict[str, Fraction]:
    """Return, by drop, the finished height that its piece must have; pieces that fit no one need left out."""
    heights = {}
    for column in hung.columns:
        pieces = hung.pieces_of(column.number)
        for need in needs_of(survey, column):
            met = [piece for piece in pieces if need.meets(piece)]
            if len(met) == 1:
                heights[met[0].drop] = need.top - need.paper_foot
    return heights


def piece_rule(survey: Survey, hung: Hung) -> Iterator[Violation]:
    """Require one piece for each unbroken height of a column, from its highest wall to its lowest."""
    numbers = {column.number for column in hung.columns}
    for piece in hung.pieces:
        if piece.column not in numbers:
            yield Violation("pieces", piece.name, f"hangs in column {piece.column}, which is not listed")
    for column in hung.columns:
        where, pieces = f"column {column.number}", hung.pieces_of(column.number)
        needs = needs_of(survey, column)
        for need in needs:
            met = [piece for piece in pieces if need.meets(piece)]
            if len(met) == 1:
                yield from _ends_rule(where, need, met[0])
                continue
            span = f"from {mm(need.foot)} to {mm(need.top)} above the floor line"
            if met:
                message = f"{counted(len(met), 'piece')} hang where the wall is unbroken {span}"
            else:
                message = f"nothing hangs on the wall {span}"
            yield Violation("pieces", where, message, need.top - need.foot)
        for piece in pieces:
            if sum(need.meets(piece) for need in needs) != 1:
                what = "over more than one height of wall" if any(need.meets(piece) for need in needs) else "on no wall"
                yield Violation("pieces", where, f"{piece.name} hangs {what}")


def _ends_rule(where: str, need: Need, piece: Piece) -> Iterator[Violation]:
    for end, said, found, what in (
        ("top", piece.top, need.top, "the highest wall within its width"),
        ("foot", piece.foot, need.foot, "the lowest wall within its width"),
    ):
        if said != found:
            way = "above" if said > found else "below"
            message = f"the {end} of {piece.name} is {mm(abs(said - found))} {way} {what}, at {mm(found)}"
            yield Violation("pieces", where, message, abs(said - found))
    if piece.turned_under != need.under:
        message = f"{piece.name} has {mm(piece.turned_under)} to turn under a reveal; it needs {mm(need.under)}"
        yield Violation("pieces", where, message, abs(piece.turned_under - need.under))


def panel_rule(hung: Hung) -> Iterator[Violation]:
    """Require each piece to hang within its column, and to have the part of the strip that it shows."""
    columns = {column.number: column for column in hung.columns}
    for piece in hung.pieces:
        own = columns[piece.column].panels if piece.column in columns else ()
        for panel in piece.panels:
            if not any(_is_within(panel, whole) for whole in own):
                message = f"{piece.name} does not hang where its column does, with the same part of the strip"
                yield Violation("pieces", f"column {piece.column}", message)
            short = max(piece.paper_left - panel.paper_left, panel.paper_right - piece.paper_right)
            if short > 0:
                message = f"{piece.name} shows {mm(short)} more of the strip's width than it is said to need"
                yield Violation("pieces", f"column {piece.column}", message, short)


def _is_within(panel: Panel, whole: Panel) -> bool:
    return (
        panel.wall == whole.wall
        and whole.left <= panel.left
        and panel.right <= whole.right
        and panel.paper_left - panel.left == whole.paper_left - whole.left
        and panel.paper_right - panel.right == whole.paper_right - whole.right
    )


# What hangs on a wall.


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
                yield Violation("cover", f"column {sheet.piece.column}", message, wide)
        open_sheets.append(sheet)


def _bare_rule(wall: Wall, sheets: Sequence[_Sheet]) -> Iterator[Violation]:
    """Look at every stretch across which nothing begins, ends, bends or crosses: its two ends tell all of it."""
    worst, begun, ended = _NOTHING, _NOTHING, None
    for left, right in pairwise(_marks(wall, sheets)):
        pieces = sorted(
            {(sheet.piece.foot, sheet.piece.top) for sheet in sheets if sheet.left <= left and right <= sheet.right}
        )
        tops, feet = wall.top.ends(left, right), wall.foot.ends(left, right)
        openings = [(thing.foot, thing.head) for thing in _openings_at(wall, left, right)]
        covers = sorted([*openings, *pieces])
        bare = max(_bare(foot, top, covers) for foot, top in zip(feet, tops, strict=True))
        if bare:
            begun = begun if ended == left else left
            if ended != left and ended is not None:
                yield _bare_violation(wall, worst, begun, ended)
            worst, ended = max(worst if ended == left else _NOTHING, bare), right
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
