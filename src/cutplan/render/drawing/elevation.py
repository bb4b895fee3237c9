"""Elevations: a run of walls as one faces it, divided into parts that a phone can show, each to one scale."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from cutplan.lengths import ZERO, Length
from cutplan.render.drawing.picture import FULL_WIDTH, Point
from cutplan.room.walls import Room, Wall

if TYPE_CHECKING:
    from cutplan.room.profile import Profile

WIDEST: Final = Fraction(4900)
"""No part shows more wall than this, in millimetres: nine strips or so, whose numbers a phone can show.

Walls so high that their height sets the scale may stand in wider parts."""
_LEAST: Final = Fraction(2600)
"""A narrower run is not drawn larger than one of this width, in millimetres."""
_WIDE: Final = FULL_WIDTH - 30
_TALL: Final = 470.0
"""Units that the highest wall may take: a page of A4 or Letter then holds the picture with its texts."""


class Face(Struct, frozen=True):
    """A wall, or as much of a long one as one part shows."""

    wall: int
    """Wall, counted from 0."""
    left: Length
    right: Length
    """Along that wall, from its left edge."""
    at: Length
    """Where ``left`` lies in the part, from the part's left edge."""

    @property
    def width(self) -> Length:
        """How much wall it shows."""
        return self.right - self.left


class Elevation(Struct, frozen=True):
    """One part of a run, and the scale at which it is drawn: all parts of a run have the same."""

    room: Room
    faces: tuple[Face, ...]
    """Left to right, unfolded at the corners between them."""
    per_mm: float
    """Units for a millimetre."""
    top: Length
    foot: Length
    """The highest and the lowest that its walls reach, above the floor line."""

    @property
    def width(self) -> float:
        """Width in units."""
        return self.x(self.faces[-1], self.faces[-1].right)

    @property
    def bottom(self) -> float:
        """Where the lowest foot lies, in units down from the top."""
        return self.y(self.foot)

    def x(self, face: Face, along: Length) -> float:
        """Return where a point of a wall lies, in units to the right."""
        return (float(face.at) + float(along) - float(face.left)) * self.per_mm

    def y(self, height: Length | float) -> float:
        """Return where a height lies, in units down from the top."""
        return (float(self.top) - float(height)) * self.per_mm

    def size(self, length: Length) -> float:
        """Return a length in units."""
        return float(length) * self.per_mm

    def wall(self, face: Face) -> Wall:
        """Return the wall that a face shows."""
        return self.room.walls[face.wall]

    def outline(self, face: Face) -> list[Point]:
        """Return the outline of the wall within a face: along its top to the right, and back along its foot."""
        wall = self.wall(face)
        top = [(self.x(face, along), self.y(height)) for along, height in _within(wall.top, face)]
        foot = [(self.x(face, along), self.y(height)) for along, height in _within(wall.foot, face)]
        return [*top, *reversed(foot)]

    def line_of(self, face: Face, profile: Profile) -> list[Point]:
        """Return the line of a top or a foot within a face, left to right."""
        return [(self.x(face, along), self.y(height)) for along, height in _within(profile, face)]


def _within(profile: Profile, face: Face) -> Iterator[tuple[Length, Length]]:
    """Yield the points of a profile within a face, with its ends."""
    yield face.left, profile.just_right_of(face.left)
    if profile.level is None:
        yield from (point for point in profile.points if face.left < point[0] < face.right)
    yield face.right, profile.just_left_of(face.right)


def elevations_of(room: Room, joints: Sequence[tuple[int, Length]] = ()) -> tuple[Elevation, ...]:
    """Return the parts of a room's run, left to right.

    Walls stand together while they fit; a wall too wide for one part is divided, at a joint where it has any:
    ``joints`` are wall, and distance from its left edge, of each.
    """
    parts: list[list[Face]] = []
    tallest = max(wall.top.highest(ZERO, wall.width) - wall.foot.lowest(ZERO, wall.width) for wall in room.walls)
    widest = max(WIDEST, tallest * Fraction(_WIDE) / Fraction(_TALL))
    for index, wall in enumerate(room.walls):
        for left, right in _divided(wall.width, [at for place, at in joints if place == index], widest):
            so_far = sum((face.width for face in parts[-1]), ZERO) if parts else None
            if so_far is None or so_far + right - left > widest:
                parts.append([])
                so_far = ZERO
            parts[-1].append(Face(index, left, right, so_far))
    heights = [_heights(room, faces) for faces in parts]
    width = max(sum((face.width for face in faces), ZERO) for faces in parts)
    height = max(top - foot for top, foot in heights)
    per_mm = min(_WIDE / float(max(width, _LEAST)), _TALL / float(height))
    return tuple(
        Elevation(room, tuple(faces), per_mm, top, foot) for faces, (top, foot) in zip(parts, heights, strict=True)
    )


def _divided(width: Length, joints: list[Length], widest: Length) -> list[tuple[Length, Length]]:
    count = -(-width // widest)
    bounds = [ZERO]
    for number in range(1, count):
        wanted = width * number / count
        inside = [at for at in joints if bounds[-1] < at < width]
        bounds.append(min(inside, key=lambda at: abs(at - wanted)) if inside else wanted)
    ends = [*bounds[1:], width]
    return [(left, right) for left, right in zip(bounds, ends, strict=True) if left < right]


def _heights(room: Room, faces: Sequence[Face]) -> tuple[Length, Length]:
    tops = [room.walls[face.wall].top.highest(face.left, face.right) for face in faces]
    feet = [room.walls[face.wall].foot.lowest(face.left, face.right) for face in faces]
    return max(tops), min(feet)
