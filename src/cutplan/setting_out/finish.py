"""The finish: where the closing joint of a room falls, by the scenario or by the rules of the trade.

The last joint of a full room never matches, so it goes on a short height over a door or window off the
focal wall, else in the corner behind the door (Wallcoverings Association, "Where to start").
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeAlias

from msgspec import Struct

from cutplan.lengths import ZERO, Length
from cutplan.room.finding import RoomError, finding, raise_any
from cutplan.room.walls import CornerKind, Opening, OpeningKind, Room
from cutplan.setting_out.start import Start, point_findings


class FinishAt(Struct, frozen=True):
    """The closing joint falls at one point: ``at`` from the left edge of a wall counted from 0."""

    wall: int
    at: Length


class FinishOver(Struct, frozen=True):
    """The closing joint falls over an opening of a wall, both counted from 0.

    It falls on the joint nearest to the opening's middle that the strips laid first make there, so that one
    strip closes the room; without one, on such a joint of the strips laid last; else on the middle itself. Joints
    under the first strip do not count.
    """

    wall: int
    opening: int


Finish: TypeAlias = FinishAt | FinishOver


class Rounds(Struct, frozen=True):
    """The run gone round once from the start both ways, before it is known where to finish."""

    length: Length
    """Of the whole run."""
    first_right: Length
    first_left: Length
    """How far the first strip reaches from the start, to the right and to the left."""
    right_first: bool
    """True when hanging goes to the right first."""
    joints: tuple[Callable[[], Sequence[tuple[int, Length]]], ...]
    """The joints (wall, and from its left edge) of strips laid all the way round: of those hung first, then of those
    hung last. Functions, because most finishes need neither."""

    def distance(self, room: Room, start: Start, point: FinishAt) -> Length:
        """Return how far to the right of the start a point lies; the start itself is a whole round away.

        A round begun to the left comes back to the start from its right, at no distance.
        """
        between = _along(room, point.wall, point.at) - _along(room, start.wall, start.at)
        within = between % self.length
        return self.length if within == 0 and self.right_first else within

    def frees(self, distance: Length) -> bool:
        """Return True when a point at this distance does not lie under the first strip."""
        return self.first_right <= distance <= self.length - self.first_left


def _along(room: Room, wall: int, at: Length) -> Length:
    return sum((before.width for before in room.walls[:wall]), at)


def finish_distance(room: Room, start: Start, finish: Finish | None, rounds: Rounds) -> Length:
    """Return how far to the right of the start a room closes that is hung both ways.

    Raises
    ------
    RoomError
        When the finish is not on the run, or lies under the first strip.

    """
    if finish is None:
        return _default_distance(room, start, rounds)
    distance = rounds.distance(room, start, _checked_point(room, start, finish, rounds))
    if not rounds.frees(distance):
        text = "lies under the first strip, which reaches {} to the left of the start and {} to its right; move it"
        path = ("finish", "over" if isinstance(finish, FinishOver) else "at")
        raise RoomError((finding(path, text, rounds.first_left, rounds.first_right),))
    return distance


def _default_distance(room: Room, start: Start, rounds: Rounds) -> Length:
    for finish in sensible_finishes(room, start.wall):
        point = finish if isinstance(finish, FinishAt) else _point_over(room, start, finish, rounds)
        distance = rounds.distance(room, start, point)
        if rounds.frees(distance):
            return distance
    text = "is needed: every door, window and corner lies under the first strip; say where the room closes"
    raise RoomError((finding(("finish",), text),))


def _checked_point(room: Room, start: Start, finish: Finish, rounds: Rounds) -> FinishAt:
    if not 0 <= finish.wall < len(room.walls):
        raise RoomError((finding(("finish", "wall"), "is not a wall of this room"),))
    wall = room.walls[finish.wall]
    if isinstance(finish, FinishAt):
        raise_any(found.below("finish") for found in point_findings(wall, finish.at))
        return finish
    if not 0 <= finish.opening < len(wall.openings):
        raise RoomError((finding(("finish", "over"), "is not an opening of that wall"),))
    return _point_over(room, start, finish, rounds)


def _point_over(room: Room, start: Start, finish: FinishOver, rounds: Rounds) -> FinishAt:
    opening = room.walls[finish.wall].openings[finish.opening]
    middle = (opening.left + opening.right) / 2
    for joints in rounds.joints:
        over = [
            FinishAt(wall, at) for wall, at in joints() if wall == finish.wall and opening.left <= at <= opening.right
        ]
        free = [point for point in over if rounds.frees(rounds.distance(room, start, point))]
        if free:
            return min(free, key=lambda point: (abs(point.at - middle), point.at))
    return FinishAt(finish.wall, middle)


def sensible_finishes(room: Room, focal_wall: int) -> tuple[Finish, ...]:
    """Return the places where a closing joint may be put, best first, none of them on the focal wall.

    First over doors and windows, where the joint shows least: its height over the opening and under it.
    Then the internal corners, the nearest to a door's side first, for the door hides it; of those equally
    near, left to right. A room without an internal corner offers the external ones.
    """
    return (*_over_openings(room, focal_wall), *_corners(room, focal_wall))


def _over_openings(room: Room, focal_wall: int) -> list[FinishOver]:
    found = []
    for index, wall in enumerate(room.walls):
        if index == focal_wall:
            continue
        for number, opening in enumerate(wall.openings):
            if opening.kind in (OpeningKind.DOOR, OpeningKind.WINDOW):
                found.append((_showing(room, index, opening), FinishOver(index, number)))
    return [finish for _, finish in sorted(found, key=lambda pair: pair[0])]


def _showing(room: Room, wall: int, opening: Opening) -> Length:
    """Return how much of a joint across an opening shows: over it and under it."""
    top = room.walls[wall].top.highest(opening.left, opening.right)
    foot = room.walls[wall].foot.lowest(opening.left, opening.right)
    return max(top - opening.head, ZERO) + max(opening.foot - foot, ZERO)


def _corners(room: Room, focal_wall: int) -> list[FinishAt]:
    internal = [index for index, corner in enumerate(room.corners) if corner.kind is CornerKind.INTERNAL] or list(
        range(len(room.corners))
    )
    focal_corners = {focal_wall, (focal_wall - 1) % len(room.walls)}
    free = [index for index in internal if index not in focal_corners] or internal
    ranked = sorted(free, key=lambda index: (_to_door(room, index) is None, _to_door(room, index) or ZERO))
    return [FinishAt(index, room.walls[index].width) for index in ranked]


def _to_door(room: Room, corner: int) -> Length | None:
    """Return how far the nearest door's side is from a corner, along the two walls that meet there."""
    before, after = room.walls[corner], room.walls[(corner + 1) % len(room.walls)]
    distances = [before.width - door.right for door in before.openings if door.kind is OpeningKind.DOOR]
    distances += [door.left for door in after.openings if door.kind is OpeningKind.DOOR]
    return min(distances, default=None)
