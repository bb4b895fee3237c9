"""Rooms mirrored: the same walls with left and right changed over, hung with the same paper.

The print is not mirrored: a strip's right neighbour sits as much lower as it ever does, and the motif stays as far from
the strip's left edge.
"""

from __future__ import annotations

from typing import Final, TypeVar

from msgspec.structs import replace

from cutplan.lengths import Length
from cutplan.room.profile import Profile
from cutplan.room.walls import Fitting, Opening, Room, Wall
from cutplan.setting_out.finish import Finish, FinishAt, FinishOver
from cutplan.setting_out.start import Way
from cutplan.setting_out.whole import SettingOut, set_out

_Thing = TypeVar("_Thing", Opening, Fitting)

_OTHER_WAY: Final = {
    Way.RIGHT_THEN_LEFT: Way.LEFT_THEN_RIGHT,
    Way.LEFT_THEN_RIGHT: Way.RIGHT_THEN_LEFT,
    Way.RIGHT: Way.LEFT,
    Way.LEFT: Way.RIGHT,
}


def set_out_mirrored(setting_out: SettingOut) -> SettingOut:
    """Return the mirrored room set out anew: walls, start, way and finish are mirrored, the paper is the same.

    Raises
    ------
    RoomError
        When the mirrored room cannot be set out from the mirrored start.

    """
    room, start = setting_out.room, setting_out.start
    if setting_out.paper.edge_trim is not None:
        return set_out(mirrored_room(room), setting_out.paper, start)
    last = len(room.walls) - 1
    return set_out(
        mirrored_room(room),
        setting_out.paper,
        replace(start, wall=last - start.wall, at=room.walls[start.wall].width - start.at),
        _OTHER_WAY[setting_out.way],
        _finish(room, setting_out.finish),
    )


def mirrored_room(room: Room) -> Room:
    """Return a room with left and right changed over; names stay."""
    between = len(room.walls) - 1
    corners = (*reversed(room.corners[:between]), *room.corners[between:])
    return replace(room, walls=tuple(map(_wall, reversed(room.walls))), corners=corners)


def _wall(wall: Wall) -> Wall:
    return replace(
        wall,
        top=_profile(wall.top, wall.width),
        foot=_profile(wall.foot, wall.width),
        openings=_things(wall.openings, wall.width),
        fittings=_things(wall.fittings, wall.width),
    )


def _profile(profile: Profile, width: Length) -> Profile:
    if len(profile.points) == 1:
        return profile
    return Profile(tuple((width - along, height) for along, height in reversed(profile.points)))


def _things(things: tuple[_Thing, ...], width: Length) -> tuple[_Thing, ...]:
    return tuple(replace(thing, left=width - thing.right) for thing in things)


def _finish(room: Room, finish: Finish | None) -> Finish | None:
    last = len(room.walls) - 1
    if isinstance(finish, FinishAt):
        return FinishAt(last - finish.wall, room.walls[finish.wall].width - finish.at)
    return None if finish is None else FinishOver(last - finish.wall, finish.opening)
