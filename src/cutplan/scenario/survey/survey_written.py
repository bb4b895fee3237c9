"""A room set out as the tables of a survey: what was read is written here, and reads the same again."""

from __future__ import annotations

from cutplan.room.profile import Profile
from cutplan.room.walls import Corner, Fitting, Opening, Room, Wall
from cutplan.scenario.write import Entry, present
from cutplan.setting_out import FinishAt, SettingOut


def survey_tables(setting_out: SettingOut) -> Entry:
    """Return ``room``, ``wall``, ``start`` and ``finish`` of a survey; lengths are exact, in millimetres."""
    room, start, finish = setting_out.room, setting_out.start, setting_out.finish
    tables = room_tables(room)
    if setting_out.paper.edge_trim is None:
        height = start.motif_at
        tables["start"] = present({
            "wall": room.walls[start.wall].name,
            "at": start.at,
            "puts": start.puts.value,
            "motif_drop": start.motif_drop if height is None else None,
            "motif_at": None if height is None else height.told or height.height,
            "way": setting_out.way.value,
        })  # fmt: skip
    if finish is not None:
        wall = room.walls[finish.wall]
        where = {"at": finish.at} if isinstance(finish, FinishAt) else {"over": wall.openings[finish.opening].name}
        tables["finish"] = {"wall": wall.name, **where}
    return tables


def room_tables(room: Room) -> Entry:
    """Return ``room`` and ``wall`` of a survey; lengths are exact, in millimetres."""
    corners = [*room.corners, *[None] * (len(room.walls) - len(room.corners))]
    walls = [_wall(wall, corner) for wall, corner in zip(room.walls, corners, strict=True)]
    told = {"closes": room.closes, "level_line": room.level_line, "built": room.built, "textured": room.textured}
    return {"room": present(told), "wall": walls}


def _wall(wall: Wall, corner: Corner | None) -> Entry:
    return {
        "name": wall.name,
        "width": wall.width,
        "top": _profile(wall.top),
        "foot": _profile(wall.foot),
        **({} if corner is None else _corner(corner)),
        "opening": [{**_placed(opening), "reveal": opening.reveal} for opening in wall.openings],
        "fitting": [_placed(fitting) for fitting in wall.fittings],
    }


def _profile(profile: Profile) -> object:
    return [list(point) for point in profile.points] if profile.level is None else profile.level


def _corner(corner: Corner) -> Entry:
    return {"corner": corner.kind.value, "turn": corner.turn, "lap": corner.lap, "true_corner": corner.is_true}


def _placed(thing: Opening | Fitting) -> Entry:
    placed = {"left": thing.left, "width": thing.width, "foot": thing.foot, "height": thing.height}
    return {"kind": thing.kind.value, "name": thing.name, **placed}
