"""The ``[start]`` and ``[finish]`` of a survey: points of the run."""

from __future__ import annotations

import re
from collections.abc import Sequence
from difflib import get_close_matches
from typing import Final

from msgspec.structs import replace

from cutplan.errors import LengthError
from cutplan.lengths import ZERO, Length, read_length
from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Paper
from cutplan.room.walls import Room, Wall
from cutplan.scenario.survey.wall_tables import Placed, SurveyedWall
from cutplan.scenario.tables import Table, describe
from cutplan.setting_out import Finish, FinishAt, FinishOver, Puts, Start, Way
from cutplan.setting_out.start import MotifAt, centred_set, point_findings

START_KEYS: Final = ("wall", "at", "middle_of", "between", "puts", "motif_drop", "motif_at", "way")
FINISH_KEYS: Final = ("wall", "at", "over")
_MIDDLE: Final = "middle"
_CORNERS: Final = ("left corner", "right corner")
_SET: Final = "set"
"""What the start puts on its point where a set of numbered sheets is centred on the wall."""
_PAIR: Final = 2
_BY_A_THING: Final = re.compile(r"(?P<by>.+?)\s+(?P<way>above|below)\s+(?:the\s+)?(?P<thing>.+)", re.DOTALL)
_FLOOR: Final = "floor"
_EXAMPLES: Final = 'write for example "165 cm" above the floor line, or "20 cm above bed head"'


def read_start(
    root: Table,
    surveyed: Sequence[SurveyedWall],
    pattern: Pattern | None,
    shell: Room | None,
    paper: Paper | None,
) -> tuple[Start | None, Way]:
    """Return the start and the way round; None for a start at fault.

    ``shell`` is the room that a set is centred in; None when it is at fault.
    """
    table = root.table("start", START_KEYS)
    if table is None:
        return None, Way.RIGHT_THEN_LEFT
    index = wall_index(table, surveyed)
    is_set = table.values.get("puts") == _SET
    puts = Puts.JOINT if is_set else table.kind("puts", Puts)
    is_by_height = table.has("motif_at") and not (pattern is not None and pattern.is_free)
    height = read_motif_at(table, surveyed) if is_by_height else None
    if table.has("motif_at") and (table.has("motif_drop") or not is_by_height):
        what = "a free match has no motif" if not is_by_height else "and motif_drop say the same thing twice"
        table.reject("motif_at", f"{what}; leave motif_at out")
    drop = None if is_by_height else table.first_motif("motif_drop", pattern, required=True)
    way = table.kind("way", Way, Way.RIGHT_THEN_LEFT)
    at = start_point(table, None if index is None else surveyed[index])
    if index is None or puts is None or way is None or at is None:
        return None, Way.RIGHT_THEN_LEFT
    start = Start(index, at, puts, drop or ZERO, height)
    if is_set:
        return _read_set(table, start, shell, paper)
    return (None, Way.RIGHT_THEN_LEFT) if drop is None and height is None else (start, way)


def _read_set(table: Table, start: Start, shell: Room | None, paper: Paper | None) -> tuple[Start | None, Way]:
    """Return the start that centres a set of numbered sheets."""
    if shell is None or paper is None:
        return None, Way.RIGHT_THEN_LEFT
    wall = shell.walls[start.wall]
    if paper.sheets is None:
        table.reject("puts", f"{describe(_SET)} centres numbered sheets, and there are none; describe them in [sheets]")
    elif len(shell.walls) > 1 or start.at * 2 != wall.width or table.has("way"):
        what = 'a set is centred on one wall, and hung from its left: write at = "middle", leave way out'
        table.reject("puts", f"{what}, and give other walls a scenario of their own")
    if paper.sheets is None:
        return None, Way.RIGHT_THEN_LEFT
    if paper.wet_width is None:  # which the setting out reports
        return start, Way.RIGHT
    centred, way = centred_set(paper, wall, start.wall, start.motif_drop)
    return replace(centred, motif_at=start.motif_at), way


def wall_index(table: Table, surveyed: Sequence[SurveyedWall]) -> int | None:
    """Return the wall that a table names, counted from 0; the only one where it names none; None for a fault."""
    name = table.text("wall", required=len(surveyed) > 1)
    if name is None:
        return 0 if len(surveyed) == 1 and not table.has("wall") else None
    names = [wall.name for wall in surveyed]
    if name in names:
        return names.index(name)
    table.reject("wall", f"there is no wall {describe(name)}; {_nearest(name, names)}")
    return None


def _nearest(name: str, names: Sequence[str | None]) -> str:
    known = [known for known in names if known is not None]
    close = get_close_matches(name, known, n=1)
    if close:
        return f"did you mean {describe(close[0])}?"
    return f"there is {', '.join(map(describe, known))}" if known else "there is none"


def start_point(table: Table, surveyed: SurveyedWall | None) -> Length | None:
    """Return the point of a wall that ``at``, ``middle_of`` or ``between`` names; None for a fault."""
    given = [key for key in ("at", "middle_of", "between") if table.has(key)]
    if len(given) != 1:
        what = "give one of at, middle_of and between" + (f", not {' and '.join(given)}" if given else "")
        table.reject(given[1] if given else "at", what + '; for example at = "middle"')
        return None
    wall, bare = (None, None) if surveyed is None else (surveyed.wall, surveyed.bare)
    if table.values.get("at") == _MIDDLE:
        return None if bare is None else bare.width / 2
    if given == ["at"]:
        return _point_on(table, bare, table.length("at", zero=True))
    if given == ["middle_of"]:
        thing = _thing_named(table, "middle_of", table.text("middle_of"), wall)
        return None if thing is None else (thing.left + thing.right) / 2
    return _between(table, wall)


def _point_on(table: Table, wall: Wall | None, at: Length | None) -> Length | None:
    if at is None or wall is None:
        return at
    for found in point_findings(wall, at):
        table.reject("at", found.what.read(table.units))
        return None
    return at


def _between(table: Table, wall: Wall | None) -> Length | None:
    names = table.raw("between")
    if not isinstance(names, list) or len(names) != _PAIR or not all(isinstance(name, str) for name in names):
        table.reject("between", 'must be two names, such as between = ["left window", "right window"]')
        return None
    things = [_thing_named(table, "between", str(name), wall) for name in names]
    one, other = things
    if one is None or other is None:
        return None
    first, second = sorted((one, other), key=lambda thing: thing.left)
    return (first.right + second.left) / 2


def _thing_named(table: Table, key: str, name: str | None, wall: Wall | None) -> Placed | None:
    if name is None or wall is None:
        return None
    for thing in wall.things:
        if thing.name == name:
            return thing
    what = f"nothing on {describe(wall.name)} is called {describe(name)}"
    table.reject(key, f"{what}; {_nearest(name, [thing.name for thing in wall.things])}")
    return None


def read_finish(root: Table, surveyed: Sequence[SurveyedWall], *, closes: bool) -> Finish | None:
    """Return the finish; None when there is none or it is at fault."""
    table = root.table("finish", FINISH_KEYS, required=False)
    if table is None:
        return None
    if not closes:
        what = "the run does not close, so it has no closing joint; leave it out, or set closes = true under [room]"
        root.reject("finish", what)
    if table.has("over") == table.has("at"):
        table.reject("over" if table.has("over") else "at", 'give one of at and over, such as over = "door"')
        return None
    if table.has("over"):
        return _read_finish_over(table, surveyed)
    index = wall_index(table, surveyed)
    wall = None if index is None else surveyed[index].bare
    word = table.values.get("at")
    if isinstance(word, str) and word in _CORNERS:
        at = None if wall is None else ZERO if word == _CORNERS[0] else wall.width
    else:
        at = _point_on(table, wall, table.length("at", zero=True))
    return None if index is None or at is None else FinishAt(index, at)


def _read_finish_over(table: Table, surveyed: Sequence[SurveyedWall]) -> Finish | None:
    name = table.text("over")
    index = wall_index(table, surveyed) if table.has("wall") else None
    if name is None or (index is None and table.has("wall")):
        return None
    searched = surveyed if index is None else [surveyed[index]]
    places = [
        (surveyed.index(entry), number)
        for entry in searched
        if entry.wall is not None
        for number, opening in enumerate(entry.wall.openings)
        if opening.name == name
    ]
    if len(places) == 1:
        return FinishOver(*places[0])
    if any(entry.wall is None for entry in searched):
        return None
    if places:
        table.reject("over", f'{len(places)} openings are called {describe(name)}; say which wall = "…"')
    else:
        names = [opening.name for entry in searched if entry.wall for opening in entry.wall.openings]
        table.reject("over", f"no opening is called {describe(name)}; {_nearest(name, names)}")
    return None


def read_motif_at(table: Table, surveyed: Sequence[SurveyedWall]) -> MotifAt | None:
    """Return the height above the floor line at which the first strip is to have a motif datum.

    A length alone counts from the floor line; «… above X» from the upper edge of the opening or fitting X upwards,
    «… below X» from its lower edge downwards.
    """
    value = table.raw("motif_at")
    if not isinstance(value, str):
        height = table.length("motif_at", zero=True)
        return None if height is None else MotifAt(height)
    found = _BY_A_THING.fullmatch(value.strip())
    by = _length(table, value if found is None else found["by"])
    if by is None or found is None:
        return None if by is None else MotifAt(by)
    is_above, is_floor = found["way"] == "above", found["thing"] == _FLOOR
    if is_floor and is_above:
        return MotifAt(by)
    thing = None if is_floor else _thing(table, found["thing"], surveyed)
    if is_floor:
        _refuse(table, "nothing hangs below the floor line")
    if thing is None:
        return None
    height = thing.foot + thing.height + by if is_above else thing.foot - by
    if height < 0:
        _refuse(table, "lies below the floor line")
    return MotifAt(height, value.strip())


def _length(table: Table, text: str) -> Length | None:
    try:
        return table.taken_in("motif_at", read_length(text, table.reading.units), describe(text))
    except LengthError:
        _refuse(table, f"cannot read {describe(text)} as a height")
        return None


def _refuse(table: Table, what: str) -> None:
    table.reject("motif_at", f"{what}; {_EXAMPLES}")


def _thing(table: Table, name: str, surveyed: Sequence[SurveyedWall]) -> Placed | None:
    walls = [entry.wall for entry in surveyed if entry.wall is not None]
    things = [thing for wall in walls for thing in wall.things]
    found = [thing for thing in things if thing.name == name]
    if len(found) == 1:
        return found[0]
    if len(walls) == len(surveyed):
        close = get_close_matches(name, [thing.name for thing in things], n=1)
        meant = f"did you mean {describe(close[0])}? " if close and not found else ""
        many = f"{len(found)} things are" if found else "nothing is"
        _refuse(table, f"{many} called {describe(name)}; {meant}name one thing of the room")
    return None
