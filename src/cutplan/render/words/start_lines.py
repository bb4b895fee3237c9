"""A chosen start and finish, as the lines of TOML that put it into the scenario."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.lengths import Length
from cutplan.room.walls import Room
from cutplan.scenario.toml_text import length_value, quoted
from cutplan.setting_out import Finish, FinishAt, Way

if TYPE_CHECKING:
    from cutplan.comparing import Placement


def start_lines(room: Room, placement: Placement, way: Way, units: str, holder: str = "") -> list[str]:
    """Return the ``[start]``, and the ``[finish]`` of a room that has one, line by line.

    ``units`` is what the scenario's bare numbers mean; every length is written exactly. ``holder`` stands before the
    names of both tables: ``band.`` for those of a band.
    """
    start = placement.start
    wall = room.walls[start.wall]
    lines = [
        f"[{holder}start]",
        f"wall = {quoted(wall.name)}",
        f"at = {_middle_or(start.at, wall.width, units)}",
        f"puts = {quoted(start.puts.value)}",
        f"motif_drop = {length_value(start.motif_drop, units)}",
        f"way = {quoted(way.value)}",
    ]
    if placement.finish is not None:
        lines += ["", f"[{holder}finish]", *_finish_lines(room, placement.finish, units)]
    return lines


def _middle_or(at: Length, width: Length, units: str) -> str:
    return quoted("middle") if 2 * at == width else length_value(at, units)


def _finish_lines(room: Room, finish: Finish, units: str) -> list[str]:
    wall = room.walls[finish.wall]
    named = f"wall = {quoted(wall.name)}"
    if not isinstance(finish, FinishAt):
        return [named, f"over = {quoted(wall.openings[finish.opening].name)}"]
    words = {0: "left corner", wall.width: "right corner"}
    at = quoted(words[finish.at]) if finish.at in words else length_value(finish.at, units)
    return [named, f"at = {at}"]
