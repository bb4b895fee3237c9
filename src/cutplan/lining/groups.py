"""Walls that one length of lining may cross, unfolded at the corners between them, and what of them is to be lined."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import ceil, floor

from msgspec import Struct
from msgspec.structs import replace

from cutplan.lengths import ZERO, Length
from cutplan.lining.wishes import Lining
from cutplan.room.profile import SLOPE_STEP, Profile
from cutplan.room.walls import Corner, CornerKind, Opening, Room


class LinedFace(Struct, frozen=True):
    """As much of one wall, counted from 0, as is lined."""

    wall: int
    left: Length
    right: Length
    """Along the wall, from its left edge."""
    foot: Length | None = None
    top: Length | None = None
    """Between which heights; None for as far as the wall goes."""
    at: Length = ZERO
    """Where the wall's left edge lies in its group."""


class Cell(Struct, frozen=True):
    """A rectangle of wall to be lined; at a slope the least that holds what is there.

    ``beside`` tells the openings that take the rest of its course, and which gap between them it is, from the foot up.
    """

    face: LinedFace
    left: Length
    right: Length
    foot: Length
    top: Length
    beside: tuple[str, ...] = ()

    @property
    def from_left(self) -> Length:
        """Its left edge in the group."""
        return self.face.at + self.left

    @property
    def from_right(self) -> Length:
        """Its right edge in the group."""
        return self.face.at + self.right

    def within(self, left: Length, right: Length) -> Cell | None:
        """Return what of it lies between two places of the group; None for nothing."""
        low, high = max(self.from_left, left) - self.face.at, min(self.from_right, right) - self.face.at
        return replace(self, left=low, right=high) if low < high else None


def is_gone_round(corner: Corner | None, lining: Lining) -> bool:
    """Return True when lining is carried round a corner: an external one, or where asked for; None is a run's end."""
    if corner is None:
        return False
    return corner.kind is CornerKind.EXTERNAL or (lining.is_horizontal and lining.goes_round)


def groups_of(room: Room, lining: Lining) -> tuple[tuple[LinedFace, ...], ...]:
    """Return the walls to be lined in groups, left to right; a closed run that is all gone round begins at its first.

    Along a wall the lining stops short where it is not carried on round the corner.
    """
    if lining.patches:
        return tuple((_patch_face(room, lining, number),) for number in range(len(lining.patches)))
    walls = range(len(room.walls))
    broken = [wall for wall in walls if not is_gone_round(room.corner_left_of(wall), lining)] or [0]
    groups = []
    for first, after in pairwise([*broken, broken[0] + len(room.walls)]):
        faces: list[LinedFace] = []
        at = ZERO
        for place in range(first, after):
            wall = place % len(room.walls)
            left = lining.short if place == first else ZERO
            right = room.walls[wall].width - (lining.short if place == after - 1 else 0)
            faces.append(LinedFace(wall, left, right, at=at))
            at += room.walls[wall].width
        groups.append(tuple(faces))
    return tuple(groups)


def _patch_face(room: Room, lining: Lining, number: int) -> LinedFace:
    patch = lining.patches[number]
    width = room.walls[patch.wall].width
    left, right = max(patch.left, lining.short), min(patch.right, width - lining.short)
    return LinedFace(patch.wall, left, right, patch.foot, patch.top)


def highest_of(room: Room, lining: Lining, group: Sequence[LinedFace]) -> Length:
    """Return the highest that a group is lined: what its first course hangs from."""
    return max(_reach(room, lining, face, upwards=True) for face in group)


def lowest_of(room: Room, lining: Lining, group: Sequence[LinedFace]) -> Length:
    """Return the lowest that a group is lined."""
    return min(_reach(room, lining, face, upwards=False) for face in group)


def _reach(room: Room, lining: Lining, face: LinedFace, *, upwards: bool) -> Length:
    wall = room.walls[face.wall]
    if upwards:
        top = wall.top.taken_up(wall.top.highest(face.left, face.right)) - lining.short
        return top if face.top is None else min(top, face.top)
    foot = wall.foot.taken_down(wall.foot.lowest(face.left, face.right)) + lining.short
    return foot if face.foot is None else max(foot, face.foot)


def cells_of(room: Room, lining: Lining, face: LinedFace, foot: Length, top: Length) -> Iterator[Cell]:
    """Yield what of a face lies between two heights, left to right, divided wherever an opening or an edge changes."""
    wall = room.walls[face.wall]
    foot = foot if face.foot is None else max(foot, face.foot)
    top = top if face.top is None else min(top, face.top)
    short = lining.short
    met = [opening for opening in wall.openings if opening.foot - short < top and opening.head + short > foot]
    heights = {foot, top, *(opening.foot - short for opening in met), *(opening.head + short for opening in met)}
    marks = {face.left, face.right}
    marks |= {side for opening in met for side in (opening.left - short, opening.right + short)}
    for profile, by in ((wall.top, short), (wall.foot, -short)):
        marks |= set(profile.alongs) | {at for height in heights for at in _crossings(profile, height + by)}
    for left, right in pairwise(sorted(mark for mark in marks if face.left <= mark <= face.right)):
        ends = wall.top.just_right_of(left), wall.top.just_left_of(right)
        high = min(top, wall.top.taken_up(max(ends)) - short)
        ends = wall.foot.just_right_of(left), wall.foot.just_left_of(right)
        low = max(foot, wall.foot.taken_down(min(ends)) + short)
        here = [one for one in met if one.left - short <= left and one.right + short >= right]
        names = tuple(sorted(opening.name for opening in here))
        for number, (bottom, head) in enumerate(_gaps(low, high, here, short)):
            beside = (*names, str(number)) if names else ()
            yield Cell(face, left, right, bottom, head, beside)


def _crossings(profile: Profile, height: Length) -> Iterator[Length]:
    """Yield where a sloping line passes a height: the steps of :data:`SLOPE_STEP` before and behind it."""
    for (left, low), (right, high) in pairwise(profile.points):
        if left < right and min(low, high) < height < max(low, high):
            steps = (left + (right - left) * (height - low) / (high - low)) / SLOPE_STEP
            yield floor(steps) * SLOPE_STEP
            yield ceil(steps) * SLOPE_STEP


def _gaps(low: Length, high: Length, openings: Sequence[Opening], short: Length) -> Iterator[tuple[Length, Length]]:
    """Yield the heights between ``low`` and ``high`` that are no opening, from the foot up."""
    for opening in sorted(openings, key=lambda opening: opening.foot):
        if low < min(opening.foot - short, high):
            yield low, min(opening.foot - short, high)
        low = max(low, opening.head + short)
    if low < high:
        yield low, high
