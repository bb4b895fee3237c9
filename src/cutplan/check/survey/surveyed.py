"""The room as its author surveyed it: walls, corners, openings, start and finish, read from the echo.

Directions: along a wall to the right from its left edge, as one faces it; along the run from the left edge
of the first wall; heights up from the floor line; across a strip to the right from its left edge, wet.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import accumulate
from math import ceil
from typing import Final

from msgspec import Struct

from cutplan.check.stated.fields import NOTHING, Json, Table
from cutplan.check.stated.sold import edges_of, lost_across
from cutplan.check.survey.wall_line import Box, Edges, Point

INTERNAL_TURN: Final = Fraction(20)
EXTERNAL_TURN: Final = Fraction(40)
"""What is turned round a corner where the survey does not say, mm [practice]."""

PUTS: Final = ("motif", "joint", "middle")
WAYS: Final = ("right then left", "left then right", "right", "left")
_STANDS: Final = ("door", "fireplace", "unit")
"""Kinds of openings that stand on the wall's foot unless the survey says otherwise."""
_PAIR: Final = 2
_OF_THE_ROOM: Final = ("closes", "built", "textured")


class Thing(Struct, frozen=True):
    """An opening or a fitting; ``foot`` and ``head`` above the floor line, ``reveal`` 0 where there is none."""

    kind: str
    name: str
    left: Fraction
    right: Fraction
    foot: Fraction
    head: Fraction
    reveal: Fraction

    @property
    def box(self) -> Box:
        """What it takes of its wall."""
        return self.left, self.right, self.foot, self.head


class Corner(Struct, frozen=True):
    """A corner: what is turned round it, how much of that the next paper covers, and whether it is passed uncut."""

    turn: Fraction
    lap: Fraction
    is_true: bool
    is_internal: bool


class Wall(Struct, frozen=True):
    """One wall; ``corner`` is the one at its right."""

    name: str
    width: Fraction
    top: Edges
    foot: Edges
    openings: tuple[Thing, ...]
    fittings: tuple[Thing, ...]
    corner: Corner


class Start(Struct, frozen=True):
    """Where hanging begins.

    ``left_part`` is how much of the first strip lies to the left of the point, ``motif_drop`` how far its
    motif datum hangs below the level line; ``motif_height``, where that is told instead, how far above the floor line.
    ``usable`` is how much of the wet strip equal strips may be wide, None where walls are not hung in them.
    """

    wall: int
    at: Fraction
    puts: str
    left_part: Fraction
    motif_drop: Fraction
    way: str
    motif_height: Fraction | None = None
    usable: Fraction | None = None

    @property
    def is_right_first(self) -> bool:
        """True when hanging goes to the right first."""
        return self.way.startswith("right")

    @property
    def is_one_way(self) -> bool:
        """True when hanging never comes back to the start."""
        return "then" not in self.way


class Finish(Struct, frozen=True):
    """Where the survey has the room close: at a point of a wall, or over one of its openings."""

    wall: int
    at: Fraction | None
    over: Thing | None


class Survey(Struct, frozen=True):
    """A room to be papered.

    ``strip`` is the wet width of a strip, ``wet`` how many times wider it is than dry; ``lefts`` where each wall begins
    on the run; ``reach`` half of the wet lap, which the outer strips of a run show more on their free sides.
    """

    walls: tuple[Wall, ...]
    closes: bool
    level_line: Fraction
    strip: Fraction
    start: Start
    finish: Finish | None
    lefts: tuple[Fraction, ...]
    length: Fraction
    wet: Fraction
    reach: Fraction


def told_apart(one: Json, other: Json) -> list[str]:
    """Return which of ``closes``, ``built`` and ``textured`` two scenarios do not say alike of their rooms."""
    rooms = [room if isinstance(room := scenario.get("room"), dict) else {} for scenario in (one, other)]
    return [key for key in _OF_THE_ROOM if (rooms[0].get(key) or None) != (rooms[1].get(key) or None)]


class SurveyReader:
    """Reads a scenario's survey; faults go into the scenario's own list."""

    def __init__(self, scenario: Table, *, is_free: bool) -> None:
        self.scenario = scenario
        self.is_free = is_free

    def survey(self) -> Survey | None:
        """Return the survey; None when anything of it is at fault."""
        faults = len(self.scenario.faults)
        paper, room = self.scenario.needed_table("paper"), self.scenario.table("room")
        before, lost = lost_across(paper)
        wet = 1 + (paper.number("wet_growth") or NOTHING) / 100
        dry, motif = paper.length("roll_width") - lost, paper.length("motif_from_left", NOTHING) - before
        walls = self.walls()
        if not walls or len(self.scenario.faults) > faults:
            return None
        closes = room is not None and bool(room.flag("closes"))
        has_ends = not closes and not self.scenario.has("equal_strips")
        reach = edges_of(paper)[2] * wet / 2 if has_ends else NOTHING
        start = self._start(walls, dry * wet, motif * wet, wet, reach)
        finish = self._finish(walls)
        level_line = None if room is None else room.optional_length("level_line")
        if len(self.scenario.faults) > faults:
            return None
        if level_line is None:
            level_line = max(walls[start.wall].top.at(start.at))
        ends = list(accumulate((wall.width for wall in walls), initial=NOTHING))
        lefts = tuple(ends[:-1])
        return Survey(tuple(walls), closes, level_line, dry * wet, start, finish, lefts, ends[-1], wet, reach)

    def walls(self) -> list[Wall]:
        """Return the walls that can be read."""
        return list(self.scenario.each("wall", self._wall))

    # Walls.

    def _wall(self, table: Table) -> Wall | None:
        width = table.length("width")
        if not width:
            table.fault("width", "must be more than 0")
            return None
        top = self._edges(table, "top" if table.has("top") else "height", width)
        foot = self._edges(table, "foot", width) if table.has("foot") else Edges.through([(NOTHING, NOTHING)], width)
        openings = table.each("opening", lambda entry: self._thing(entry, foot))
        fittings = table.each("fitting", lambda entry: self._thing(entry, None))
        return Wall(table.text("name").strip(), width, top, foot, openings, fittings, self._corner(table))

    def _edges(self, table: Table, key: str, width: Fraction) -> Edges:
        value = table.values.get(key)
        if not isinstance(value, list):
            return Edges.through([(NOTHING, table.length(key))], width)
        points: list[Point] = []
        for pair in value:
            if isinstance(pair, list) and len(pair) == _PAIR:
                points.append((table.as_length(key, pair[0]), table.as_length(key, pair[1])))
            else:
                table.fault(key, f"cannot read {pair!r} as a point")
        edges = Edges.through(points, width)
        alongs = [along for along, _ in edges.points]
        if alongs and alongs[0] == 0 and alongs[-1] == width and alongs == sorted(alongs):
            return edges
        table.fault(key, "must run from the wall's left edge to its right")
        return Edges.through([(NOTHING, NOTHING)], width)

    def _thing(self, table: Table, wall_foot: Edges | None) -> Thing:
        """Return an opening of a wall with this foot, or a fitting (None)."""
        kind, left, otherwise = table.text("kind"), table.length("left"), NOTHING if wall_foot is None else None
        width, height = table.length("width", otherwise), table.length("height", otherwise)
        if wall_foot is not None and left >= wall_foot.bends[-1]:
            table.fault("left", "lies beyond the wall")
        elif wall_foot is not None and kind in _STANDS:
            otherwise = wall_foot.span(left, left + width)[0] if width else NOTHING
        foot, name = table.length("foot", otherwise), _name(table, "name") or kind
        return Thing(kind, name, left, left + width, foot, foot + height, table.length("reveal", NOTHING))

    def _corner(self, table: Table) -> Corner:
        is_internal = table.one_of("corner", ("internal", "external")) != "external"
        turn = table.length("turn", INTERNAL_TURN if is_internal else EXTERNAL_TURN)
        lap = table.length("lap", turn if is_internal else NOTHING)
        return Corner(turn, lap, bool(table.flag("true_corner")), is_internal)

    # Start and finish.

    def _start(self, walls: list[Wall], strip: Fraction, motif: Fraction, wet: Fraction, reach: Fraction) -> Start:
        equal = self.scenario.table("equal_strips")
        if equal is not None:
            return self._from_the_left(strip, equal.length("edge_trim") * wet)
        table = self.scenario.needed_table("start")
        wall = self.wall_named(table, walls)
        height = self._motif_height(table, walls) if table.has("motif_at") else None
        is_set = table.values.get("puts") == "set"
        drop = table.length("motif_drop", NOTHING if height is not None or (self.is_free and not is_set) else None)
        if is_set:
            at, puts, left_part, way = _centred_set(table, walls, strip, reach)
        else:
            at, way = self.point(table, walls[wall]), table.word("way", WAYS) if table.has("way") else WAYS[0]
            puts, joint = table.word("puts", PUTS), NOTHING if way.startswith("right") else strip
            left_part = {"motif": motif, "middle": strip / 2}.get(puts, joint)
        return Start(wall, at, puts, left_part, drop, way, height)

    def _from_the_left(self, strip: Fraction, trim: Fraction) -> Start:
        """Return the start of walls in equal strips, each hung from its left; ``trim`` comes off each edge."""
        if self.scenario.has("start") or self.scenario.has("finish") or strip <= 2 * trim or not self.is_free:
            self.scenario.fault("equal_strips", "leave no start to choose, need a free match, and some of the width")
        return Start(0, NOTHING, "joint", NOTHING, NOTHING, "right", usable=strip - 2 * trim)

    def _motif_height(self, table: Table, walls: list[Wall]) -> Fraction:
        """Return the height told by ``motif_at``: above the floor line, or above or below an edge of a named thing."""
        value = table.values["motif_at"]
        words = value.split() if isinstance(value, str) else []
        at = next((place for place, word in enumerate(words) if word in ("above", "below")), None)
        if at is None:
            return table.as_length("motif_at", value)
        by, way = table.as_length("motif_at", " ".join(words[:at])), words[at]
        name = " ".join(words[at + 1 :]).removeprefix("the ")
        things = [thing for wall in walls for thing in (*wall.openings, *wall.fittings) if thing.name == name]
        if name == "floor" and way == "above":
            return by
        if len(things) != 1:
            table.fault("motif_at", f"does not name one thing: {name!r}")
            return by
        return things[0].head + by if way == "above" else things[0].foot - by

    def wall_named(self, table: Table, walls: Sequence[Wall]) -> int:
        """Return the wall that a table names, counted from 0; the only one where it names none."""
        name = _name(table, "wall")
        found = [number for number, wall in enumerate(walls) if name in (None, wall.name)]
        if len(found) != 1:
            table.fault("wall", "does not name one wall")
        return found[0] if found else 0

    def point(self, table: Table, wall: Wall) -> Fraction:
        """Return the point of the start, from its wall's left edge."""
        at: Fraction | None = None
        if table.values.get("at") == "middle":
            at = wall.width / 2
        elif table.has("middle_of"):
            thing = _named(table, "middle_of", wall, table.values["middle_of"])
            at = None if thing is None else (thing.left + thing.right) / 2
        elif table.has("between"):
            names = table.values["between"]
            pair = [_named(table, "between", wall, name) for name in names] if isinstance(names, list) else []
            things = sorted((thing for thing in pair if thing is not None), key=lambda thing: thing.left)
            if len(things) == _PAIR:
                at = (things[0].right + things[1].left) / 2
        else:
            at = table.length("at")
        if at is None or not 0 <= at <= wall.width:
            table.fault("at", "is no point of the wall")
        return at or NOTHING

    def _finish(self, walls: list[Wall]) -> Finish | None:
        table = self.scenario.table("finish")
        if table is None:
            return None
        if table.has("over"):
            number, thing = opening_named(table, "over", walls) or (0, None)
            return Finish(number, None, thing)
        number = self.wall_named(table, walls)
        corners = {"left corner": NOTHING, "right corner": walls[number].width}
        word = table.values.get("at")
        at = corners[word] if isinstance(word, str) and word in corners else table.length("at")
        return Finish(number, at, None)


def _centred_set(
    table: Table, walls: Sequence[Wall], strip: Fraction, reach: Fraction
) -> tuple[Fraction, str, Fraction, str]:
    """Return where, with what, and which way as few sheets of a set are centred as reach across the only wall."""
    if table.values.get("at") != "middle" or len(walls) > 1:
        table.fault("puts", "a set is centred on the middle of one wall")
    middle = walls[0].width / 2
    sheets = 1 + max(ceil((walls[0].width - strip - 2 * reach) / strip), 0)
    if sheets == 1:
        return middle, "middle", strip / 2, WAYS[0]
    return middle - (sheets - 2) * strip / 2, "joint", strip, WAYS[1]


def opening_named(table: Table, key: str, walls: Sequence[Wall]) -> tuple[int, Thing] | None:
    """Return the opening that a table names, and its wall, counted from 0; None, with a fault, for not just one."""
    name, of_wall = table.text(key).strip(), _name(table, "wall")
    walls_named = [(number, wall) for number, wall in enumerate(walls) if of_wall in (None, wall.name)]
    found = [(number, thing) for number, wall in walls_named for thing in wall.openings if thing.name == name]
    if len(found) != 1:
        table.fault(key, "does not name one opening")
        return None
    return found[0]


def _name(table: Table, key: str) -> str | None:
    """Return a name without the blanks around it; None where there is none."""
    text = table.optional_text(key)
    return None if text is None else text.strip()


def _named(table: Table, key: str, wall: Wall, name: object) -> Thing | None:
    name = name.strip() if isinstance(name, str) else name
    thing = next((thing for thing in (*wall.openings, *wall.fittings) if thing.name == name), None)
    if thing is None:
        table.fault(key, f"there is no {name!r} on the wall")
    return thing
