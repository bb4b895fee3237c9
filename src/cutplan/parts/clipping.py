"""What of a room lies between two lines along its walls: the same walls, lower or higher.

Directions: along a wall to the right from its left edge; heights up from the floor line.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise
from typing import Final, TypeAlias

from msgspec.structs import replace

from cutplan.lengths import ZERO, Length
from cutplan.room.profile import SLOPE_STEP, Profile
from cutplan.room.walls import Fitting, FittingKind, Opening, OpeningKind, Wall

NOTHING: Final = "nothing here"
"""Name of the opening that takes all of a wall on which nothing lies."""
_Edge: TypeAlias = "tuple[Length, Length]"
"""Heights of a straight line at the left and at the right of a stretch."""


def clipped(wall: Wall, foot: Profile, top: Profile) -> Wall:
    """Return what of a wall lies between two lines, the one nowhere above the other.

    Openings and fittings stay where they are; an opening is as much of it as lies there, and one that lies elsewhere
    becomes a fitting, so that a start may still go by its name. A wall on which nothing lies between the lines has an
    opening all over.
    """
    below, above = held_within(wall, foot), held_within(wall, top)
    elsewhere: list[Opening] = []
    openings: list[Opening] = []
    for opening in wall.openings:
        low = below.lowest(opening.left, opening.right)
        high = above.highest(opening.left, opening.right)
        if opening.head <= low or opening.foot >= high:
            elsewhere.append(opening)
            continue
        start, end = max(opening.foot, below.taken_down(low)), min(opening.head, above.taken_up(high))
        openings.append(replace(opening, foot=start, height=end - start))
    names = {fitting.name for fitting in wall.fittings}
    marks = (
        Fitting(one.name, FittingKind.OTHER, one.left, one.width, one.foot, one.height)
        for one in elsewhere
        if one.name not in names
    )
    fittings = (*wall.fittings, *marks)
    if below.points == above.points:
        lowest, highest = wall.foot.lowest(ZERO, wall.width), wall.top.highest(ZERO, wall.width)
        nothing = Opening(NOTHING, OpeningKind.OTHER, ZERO, wall.width, lowest, highest - lowest)
        return replace(wall, openings=(nothing,), fittings=fittings)
    return replace(wall, foot=below, top=above, openings=tuple(openings), fittings=fittings)


def is_empty(wall: Wall) -> bool:
    """Return True for a wall of which nothing lies between the lines that it was clipped to."""
    return any(opening.name == NOTHING for opening in wall.openings)


def held_within(wall: Wall, line: Profile) -> Profile:
    """Return a line as far as it lies on the wall: along its foot where it is lower, along its top where it is higher.

    Where it meets either between two measured points, the place is taken to the nearest :data:`SLOPE_STEP`.
    """
    lines = (wall.foot, line, wall.top)
    marks = sorted({ZERO, wall.width, *(along for each in lines for along in each.alongs if along <= wall.width)})
    points: list[tuple[Length, Length]] = []
    for left, right in pairwise(marks):
        edges = [(each.just_right_of(left), each.just_left_of(right)) for each in lines]
        points.append((left, sorted(start for start, _ in edges)[1]))
        points.extend(sorted(_crossings(edges, left, right)))
        points.append((right, sorted(end for _, end in edges)[1]))
    return _plainest(points)


def _crossings(edges: list[_Edge], left: Length, right: Length) -> Iterator[tuple[Length, Length]]:
    """Yield where two lines cross within a stretch, if what lies in the middle of the three changes over there."""
    for one, other in combinations(edges, 2):
        start, end = one[0] - other[0], one[1] - other[1]
        if start * end >= 0:
            continue
        share = start / (start - end)
        third = next(edge for edge in edges if edge is not one and edge is not other)
        height = one[0] + (one[1] - one[0]) * share
        beside = third[0] + (third[1] - third[0]) * share
        is_foot = third is edges[0]
        if (is_foot and beside > height) or (third is edges[-1] and beside < height):
            continue
        along = round((left + (right - left) * share) / SLOPE_STEP) * SLOPE_STEP
        level = next((edge[0] for edge in (one, other) if edge[0] == edge[1]), None)
        if left < along < right:
            yield along, round(height / SLOPE_STEP) * SLOPE_STEP if level is None else level


def _plainest(points: list[tuple[Length, Length]]) -> Profile:
    """Return the line through points, without those that lie straight between their neighbours."""
    kept: list[tuple[Length, Length]] = []
    for point in points:
        if kept and kept[-1] == point:
            continue
        while len(kept) > 1 and _is_straight(kept[-2], kept[-1], point):
            kept.pop()
        kept.append(point)
    profile = Profile(tuple(kept))
    return profile if profile.level is None else Profile.at_height(profile.level)


def _is_straight(one: tuple[Length, Length], middle: tuple[Length, Length], other: tuple[Length, Length]) -> bool:
    (left, low), (along, height), (right, high) = one, middle, other
    if left == right:
        return False
    return (height - low) * (right - left) == (high - low) * (along - left)
