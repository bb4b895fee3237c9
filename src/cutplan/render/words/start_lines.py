"""A chosen start and finish, as the lines of TOML that put it into the scenario; and what the print was hung by."""

from __future__ import annotations

from cutplan.comparing.placements import Placement
from cutplan.render.words.readings import place
from cutplan.room.walls import Room
from cutplan.scenario.toml_text import length_value, quoted
from cutplan.setting_out import Finish, FinishAt, Start, Way
from cutplan.setting_out.start import MotifAt


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
        f"at = {quoted('middle') if 2 * start.at == wall.width else length_value(start.at, units)}",
        f"puts = {quoted(start.puts.value)}",
        _height_line(start, units),
        f"way = {quoted(way.value)}",
    ]
    if placement.finish is not None:
        lines += ["", f"[{holder}finish]", *_finish_lines(room, placement.finish, units)]
    return lines


def height_told(motif_at: MotifAt, units: str) -> str:
    """Return the height of a motif by what the customer pointed at."""
    height = f"{place(motif_at.height, units)} above the floor"
    return f"{motif_at.told} ({height})" if motif_at.told else height


def _height_line(start: Start, units: str) -> str:
    """Return how high the print hangs, as it was told."""
    if start.motif_at is None:
        return f"motif_drop = {length_value(start.motif_drop, units)}"
    told, height = start.motif_at.told, start.motif_at.height
    return f"motif_at = {quoted(told) if told else length_value(height, units)}"


def _finish_lines(room: Room, finish: Finish, units: str) -> list[str]:
    wall = room.walls[finish.wall]
    named = f"wall = {quoted(wall.name)}"
    if not isinstance(finish, FinishAt):
        return [named, f"over = {quoted(wall.openings[finish.opening].name)}"]
    words = {0: "left corner", wall.width: "right corner"}
    at = quoted(words[finish.at]) if finish.at in words else length_value(finish.at, units)
    return [named, f"at = {at}"]
