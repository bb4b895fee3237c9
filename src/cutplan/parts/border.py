"""Borders set out: the strips of a border round a room or round an opening, their lengths and their print.

A border hangs along its length: its roll unrolls to the right, so that the end of a strip that comes off the roll first
is its left one. Round an opening it goes up the left side, to the right over the head, down the right side, and to the
left under the foot where that is above the floor. Along a run everything is measured to the right from the left edge of
the first wall; the print of a strip from the end that comes off first.
"""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from cutplan.lengths import ZERO, Length
from cutplan.paper.pattern import Pattern
from cutplan.room.walls import Opening, OpeningKind, Room, Wall


class StripOnWall(NamedTuple):
    """What a strip covers of one wall, counted from 0: along it from its left edge, and from a foot to a head.

    On a slope these are of its left end, the one as far from the other as the border is wide; ``rise`` is how much
    higher its right end lies.
    """

    wall: int
    left: Length
    right: Length
    foot: Length
    head: Length
    rise: Length = ZERO


class BorderStrip(Struct, frozen=True):
    """One strip of a border."""

    length: Length
    """Along its longer edge where it is mitred."""
    first_motif: Length
    """From the end that comes off the roll first to the first motif, within the repeat."""
    stretches: tuple[StripOnWall, ...]
    """Where it lies."""
    side: str = ""
    """Of an opening: ``left``, ``head``, ``right`` or ``foot``; empty for a run along walls."""
    leans: tuple[Length, Length] = (ZERO, ZERO)
    """Along a slope, how much further along the strip the far edge of either end lies than the edge that is measured,
    which is the upper one where it hangs ``by_top``."""
    by_top: bool = False


class Closes(Struct, frozen=True):
    """Where a border comes round to its own beginning."""

    wall: int
    at: Length
    """The wall, counted from 0, and the place along it; of an opening, the left end of its foot."""
    out_by: Length
    """How far the print on either side is out of step, along its length; 0 where it happens to meet."""
    is_hidden: bool
    """True where it falls within an opening, so that nothing meets there."""


class BorderSetOut(Struct, frozen=True):
    """A border's strips in hanging order, and where it closes; None where its ends do not meet."""

    strips: tuple[BorderStrip, ...]
    closes: Closes | None

    @property
    def is_raked(self) -> bool:
        """True for one along slopes."""
        return any(on.rise for strip in self.strips for on in strip.stretches)


class BorderPaper(NamedTuple):
    """A border as sold: its width, its repeat, the longest strip that a roll is sure to give; and how it is joined."""

    width: Length
    pattern: Pattern
    longest: Length
    joins_in_corners: bool = True


def out_by(pattern: Pattern, round_: Length) -> Length:
    """Return how far the print is out of step after a whole round."""
    if pattern.is_free:
        return ZERO
    over = pattern.within_repeat(round_)
    return min(over, pattern.repeat - over)


def round_opening(room: Room, wall: int, opening: Opening, paper: BorderPaper) -> BorderSetOut:
    """Return a border round one opening, mitred at its corners, with a motif in the middle of its head.

    A strip is as long as its outer edge. Where two are mitred the print goes on along their middles: each ends, and the
    next begins, half the border's width beyond the point where these meet.
    """
    width = paper.width
    floor = room.walls[wall].foot.lowest(opening.left, opening.right)
    stands = opening.foot <= floor
    foot = floor if stands else opening.foot - width
    left, right, head = opening.left - width, opening.right + width, opening.head + width
    across, up = (
        opening.width + width,
        opening.head + (-floor if stands else -opening.foot + paper.width) + (width / 2 if stands else ZERO),
    )
    middle = up + across / 2
    sides = [
        ("left", ZERO if stands else -width / 2, StripOnWall(wall, left, opening.left, foot, head)),
        ("head", up - width / 2, StripOnWall(wall, left, right, opening.head, head)),
        ("right", up + across - width / 2, StripOnWall(wall, opening.right, right, foot, head)),
    ]
    if not stands:
        sides.append(("foot", 2 * up + across - width / 2, StripOnWall(wall, left, right, foot, opening.foot)))
    strips = []
    for side, begin, stretch in sides:
        is_level = side in ("head", "foot")
        length = stretch.right - stretch.left if is_level else stretch.head - stretch.foot
        strips.append(BorderStrip(length, paper.pattern.within_repeat(middle - begin), (stretch,), side))
    if stands:
        return BorderSetOut(tuple(strips), None)
    return BorderSetOut(tuple(strips), Closes(wall, left, out_by(paper.pattern, 2 * (up + across)), is_hidden=False))


# Let in: what the drops leave bare.


def without_frame(opening: Opening, floor: Length, width: Length) -> Opening:
    """Return an opening with the border round it: the drops stop at the border's edge, and turn nothing in."""
    foot = opening.foot if opening.foot <= floor else opening.foot - width
    return replace(
        opening, left=opening.left - width, width=opening.width + 2 * width, foot=foot,
        height=opening.head + width - foot, reveal=ZERO,
    )  # fmt: skip


def without_run(wall: Wall, name: str, foot: Length, head: Length) -> Wall:
    """Return a wall with what a border covers of it taken out, as openings between and beside those there are."""
    sides = sorted({ZERO, wall.width, *(side for opening in wall.openings for side in (opening.left, opening.right))})
    taken: list[Opening] = []
    for left, right in pairwise(sides):
        at = foot
        over = [opening for opening in wall.openings if opening.left <= left and right <= opening.right]
        bounds = sorted(
            (max(opening.foot, foot), min(opening.head, head))
            for opening in over
            if opening.foot < head and opening.head > foot
        )
        for low, high in [*bounds, (head, head)]:
            if at < low:
                taken.append(Opening(name, OpeningKind.OTHER, left, right - left, at, low - at))
            at = max(at, high)
    joined: list[Opening] = []
    for piece in sorted(taken, key=lambda piece: (piece.foot, piece.left)):
        last = joined[-1] if joined else None
        if last and (last.foot, last.head, last.right) == (piece.foot, piece.head, piece.left):
            joined[-1] = replace(last, width=last.width + piece.width)
        else:
            joined.append(piece)
    named = [replace(piece, name=name if not number else f"{name} {number + 1}") for number, piece in enumerate(joined)]
    return replace(wall, openings=(*wall.openings, *named))
