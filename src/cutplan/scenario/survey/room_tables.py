"""A survey as a whole: the room, and its setting out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Paper
from cutplan.room.finding import Finding, RoomError
from cutplan.room.walls import Room
from cutplan.scenario.survey.start_tables import read_finish, read_start
from cutplan.scenario.survey.wall_tables import CORNER_KEYS, SurveyedWall, read_walls
from cutplan.scenario.tables import Table
from cutplan.setting_out import SettingOut, Start, Way, set_out
from cutplan.setting_out.equal_strips import FROM_THE_LEFT

ROOM_KEYS: Final = ("closes", "level_line", "built", "textured")


def read_setting_out(root: Table, paper: Paper | None, pattern: Pattern | None) -> SettingOut | None:
    """Return the setting out of the room that a whole scenario surveys; None when anything is at fault.

    Where the paper is None, for it is at fault, the survey is only looked through for more faults, with its
    ``pattern`` if that much could be read.
    """
    surveyed = read_walls(root)
    closes, shell = read_room(root, surveyed)
    start, way = _read_start(root, surveyed, pattern, shell, paper)
    finish = None if root.has("equal_strips") else read_finish(root, surveyed, closes=closes)
    if root.reading.has_faults or shell is None or paper is None or start is None:
        return None
    try:
        return set_out(shell, paper, start, way, finish)
    except RoomError as error:
        for found in error.findings:
            _report(root, found)
        return None


def _read_start(
    root: Table,
    surveyed: Sequence[SurveyedWall],
    pattern: Pattern | None,
    shell: Room | None,
    paper: Paper | None,
) -> tuple[Start | None, Way]:
    """Return the start and the way round; where each wall is hung in equal strips, there is nothing to choose."""
    if not root.has("equal_strips"):
        return read_start(root, surveyed, pattern, shell, paper)
    for key in ("start", "finish"):
        if root.has(key):
            root.reject(key, "is not to be chosen: each wall is set out by itself in equal strips; leave it out")
    return FROM_THE_LEFT, Way.RIGHT


def _report(root: Table, found: Finding) -> None:
    """Report a finding about the survey as a whole, at the key of a top-level table."""
    path = tuple(map(str, found.path))
    place: tuple[str, ...] = path
    values = root.values.get(path[0])
    if path == ("start", "at") and isinstance(values, dict):
        place = ("start", next((key for key in ("at", "middle_of", "between") if key in values), "at"))
    root.reading.report(place, ".".join(place), found.what.read(root.units))


def read_room(root: Table, surveyed: Sequence[SurveyedWall]) -> tuple[bool, Room | None]:
    """Return whether the walls surveyed close, and the room of them; None when anything of it is at fault."""
    table = root.table("room", ROOM_KEYS, required=False)
    closes, level_line, built, textured = False, None, None, False
    if table is not None:
        closes = table.flag("closes") or False
        level_line = table.length("level_line", required=False)
        built = table.whole("built", required=False)
        textured = table.flag("textured") or False
    if surveyed and not closes:
        _refuse_corner_at_end(surveyed[-1].table)
    if table is not None and closes and len(surveyed) == 1:
        table.reject("closes", "one wall cannot close on itself; add the others, or leave closes out")
        return closes, None
    walls = tuple(wall.wall for wall in surveyed if wall.wall is not None)
    corners = tuple(wall.corner for wall in surveyed if wall.corner is not None)
    if not surveyed or len(walls) < len(surveyed) or len(corners) < len(surveyed):
        return closes, None
    return closes, Room(walls, corners if closes else corners[:-1], closes, level_line, built, textured)


def _refuse_corner_at_end(last: Table) -> None:
    for key in CORNER_KEYS:
        if last.has(key):
            what = "the run ends at the right of the last wall, so it has no corner there; leave it out, "
            last.reject(key, what + "or set closes = true under [room]")
