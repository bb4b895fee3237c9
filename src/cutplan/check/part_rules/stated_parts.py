"""A job of several parts as its document states it: the whole room, what parts its walls, and each part's own room."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from itertools import pairwise
from typing import Final, NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from cutplan.check.stated.document import ListedPlan
from cutplan.check.stated.echo import Wanted, with_units
from cutplan.check.stated.exact_lengths import exact_number
from cutplan.check.stated.fields import NOTHING, Json, Table
from cutplan.check.survey.surveyed import Survey, SurveyReader, Thing, Wall, opening_named
from cutplan.check.survey.wall_line import Edges, legs_of, length_along
from cutplan.check.wall_rules.on_the_wall import WallToJudge

USUAL_ENDS: Final = Fraction(25)
"""How much longer a strip of a border is cut at either end, mm, where the scenario says nothing."""


class Planned(NamedTuple):
    """One plan of several: its scenario, what it wants, its room, and what it lists; no room for a list of drops.

    Bands that share rolls have a room each, and list what all of them do.
    """

    scenario: Json
    wanted: Wanted
    wall: WallToJudge | None
    plan: ListedPlan

    @property
    def survey(self) -> Survey | None:
        """The room of its own; None for a list of drops."""
        return None if self.wall is None else self.wall.survey

    def shared(self, scenario: Json, key: str) -> object:
        """Return what the whole scenario says for all parts, of the walls that come first those on which this hangs."""
        said = scenario.get(key)
        names = said.get("first_walls") if key == "cutting" and isinstance(said, dict) else None
        if self.wall is not None or not isinstance(said, dict) or not isinstance(names, list):
            return said
        walls = [drop.wall for drop in self.wanted.drops.values()]
        return {**said, "first_walls": [name for name in names if name in walls]}


class Rail(Struct, frozen=True):
    """What parts the walls: ``feet`` its lower edge along each wall, ``heads`` its upper one, lying on it or not."""

    name: str
    feet: tuple[Edges, ...]
    heads: tuple[Edges, ...]


class Band(Struct, frozen=True):
    """What lies above one rail and below another, None for the wall's own foot and top; ``table`` as written."""

    name: str
    above: str | None
    below: str | None
    is_bare: bool
    table: Json


class Border(Struct, frozen=True):
    """A border asked for: round the opening ``framed`` of a wall, or round the room with its lower edge at ``foot``.

    ``motif_at`` is where a motif of one round the room is to lie: the wall, and the place along it. ``lines`` are what
    its lower edge runs along on each wall, or its upper one where it ``is_by_top``.
    """

    name: str
    width: Fraction
    is_let_in: bool
    framed: tuple[int, Thing] | None
    foot: Fraction
    motif_at: tuple[int, Fraction]
    table: Json
    ends: Fraction
    lines: tuple[Edges, ...] = ()
    is_by_top: bool = False

    @property
    def is_raked(self) -> bool:
        """True for one along slopes."""
        return len({height for line in self.lines for _, height in line.points}) > 1


class On(NamedTuple):
    """What a strip is said to cover of a wall: along it, and from a foot to a head."""

    wall: str
    left: Fraction
    right: Fraction
    foot: Fraction
    head: Fraction


class Strip(NamedTuple):
    """A strip of a border as the document has it: the drop that it is, and where it lies.

    Along a slope ``leans`` tells how much further along it the far edges of its ends lie, and ``rises`` how much higher
    the right end of each stretch lies than its left.
    """

    drop: str
    side: str | None
    stretches: tuple[On, ...]
    leans: tuple[Fraction, Fraction]
    rises: tuple[Fraction, ...]


class Closes(NamedTuple):
    """Where and by how much a border is said to close."""

    wall: str
    at: Fraction
    out_by: Fraction
    is_hidden: bool


class Hangs(NamedTuple):
    """Where a border is said to hang; ``closes`` is None for ends that do not meet."""

    strips: tuple[Strip, ...]
    closes: Closes | None


class PartedRoom(Struct, frozen=True):
    """The whole room, its rails, bands and borders, and where these are said to hang.

    ``kinds`` tells what each part of the job is, ``turns`` in which turn they are told, those that share rolls in one;
    ``scenario`` is all of it. ``closes`` is True for a whole room.
    """

    walls: tuple[Wall, ...]
    rails: tuple[Rail, ...]
    bands: tuple[Band, ...]
    borders: tuple[Border, ...]
    hangs: Mapping[str, Hangs]
    kinds: Mapping[str, str]
    turns: tuple[tuple[str, ...], ...]
    scenario: Json
    closes: bool

    def framed(self) -> tuple[Wall, ...]:
        """Return the walls with every opening as wide as the border round it."""
        return self._with([border for border in self.borders if border.framed is not None])

    def papered(self) -> tuple[Wall, ...]:
        """Return the walls with what let-in borders cover as openings."""
        return self._with([border for border in self.borders if border.is_let_in])

    def _with(self, borders: list[Border]) -> tuple[Wall, ...]:
        walls = list(self.walls)
        for border in borders:
            if border.framed is not None:
                number, thing = border.framed
                around = frame_of(walls[number], thing, border.width)
                openings = tuple(around if each == thing else each for each in walls[number].openings)
                walls[number] = replace(walls[number], openings=openings)
                continue
            for number, wall in enumerate([] if border.is_raked else walls):
                head = border.foot + border.width
                run = Thing("opening", border.name, NOTHING, wall.width, border.foot, head, NOTHING)
                walls[number] = replace(wall, openings=(*wall.openings, run))
        return tuple(walls)


def frame_of(wall: Wall, thing: Thing, width: Fraction) -> Thing:
    """Return an opening with a border round it: down to the floor where the opening stands on it."""
    floor = wall.foot.span(thing.left, thing.right)[0]
    foot = thing.foot if thing.foot <= floor else thing.foot - width
    return Thing(thing.kind, thing.name, thing.left - width, thing.right + width, foot, thing.head + width, NOTHING)


def read_parted(document: Table) -> PartedRoom | None:
    """Return the job that a document of several parts states; None, with the faults in the table, for an unreadable."""
    why = "is missing; without it nobody knows which stretch of wall is whose"
    scenario = with_units(document.needed_table("scenario", why))
    reader = SurveyReader(scenario, is_free=True)
    walls = tuple(reader.walls())
    rails = scenario.each("rail", lambda table: _rail(table, walls))
    bands = scenario.each("band", _band)
    borders = scenario.each("border", lambda table: _border(table, walls, reader))
    rails += tuple(rail for border in borders for rail in _rail_of(border))
    entries = list(document.tables("parts"))
    told = [tuple(_kinds(entry)) for entry in entries]
    kinds = {name: kind for part in told for name, kind in part}
    turns = tuple(tuple(name for name, _ in part) for part in told)
    single = [each for entry in entries for each in (list(entry.tables("bands")) or [entry])]
    names = [name for turn in turns for name in turn]
    if len(set(names)) < len(names):
        document.fault("parts", "tell one part twice")
    hangs = {name: _hangs(each) for name, each in zip(names, single, strict=False) if kinds[name] == "border"}
    room = scenario.table("room")
    closes = room is not None and bool(room.flag("closes"))
    if document.faults or not walls:
        return None
    return PartedRoom(walls, rails, bands, borders, hangs, kinds, turns, scenario.values, closes)


def _band(table: Table) -> Band:
    above, below = table.optional_text("above"), table.optional_text("below")
    return Band(table.text("name"), above, below, bool(table.flag("bare")), table.values)


def _kinds(entry: Table) -> Iterator[tuple[str, str]]:
    """Yield what a part is, by its name; parts that share rolls each by itself."""
    kinds = ("lining", "band", "border")
    kind, shared = entry.one_of("kind", kinds) or "", list(entry.tables("bands"))
    for table in shared:
        yield table.text("band"), (table.one_of("kind", kinds) if table.has("kind") else kind) or ""
    if not shared:
        yield entry.text("part"), kind


def _border(table: Table, walls: tuple[Wall, ...], reader: SurveyReader) -> Border | None:
    name, width = table.text("name"), table.needed_table("paper").length("roll_width")
    if not width or not walls:
        table.fault("paper", "must tell how wide the border is")
        return None
    is_let_in, middle = bool(table.flag("let_in")), (0, walls[0].width / 2)
    ends = table.length("ends", USUAL_ENDS)
    if table.has("round"):
        around = opening_named(table, "round", walls)
        return Border(name, width, is_let_in, around, NOTHING, middle, table.values, ends)
    key = "top" if table.has("top") else "foot"
    lines = tuple(line_along(table, key, wall) for wall in walls)
    start = table.table("start") or reader.scenario.table("start")
    motif = middle
    if start is not None:
        number = reader.wall_named(start, walls)
        motif = number, reader.point(start, walls[number])
    foot = lines[0].points[0][1] - (width if key == "top" else 0)
    return Border(name, width, is_let_in, None, foot, motif, table.values, ends, lines, key == "top")


def _hangs(entry: Table) -> Hangs:
    strips, closes = entry.each("strips", _strip), entry.table("closes")
    if closes is None:
        return Hangs(strips, None)
    at, out_by = closes.exact("at", "out_by")
    return Hangs(strips, Closes(closes.text("wall"), at, out_by, bool(closes.flag("hidden"))))


def _strip(table: Table) -> Strip:
    leans = [exact_number(lean) for lean in table.texts("leans")] or [NOTHING, NOTHING]
    if len(leans) != 2 or None in leans:  # noqa: PLR2004 - two ends
        table.fault("leans", "must be two numbers, one for each end")
    rises = table.each("stretches", lambda on: on.number("rise") or NOTHING)
    ends = (leans[0] or NOTHING, leans[-1] or NOTHING)
    return Strip(table.text("drop"), table.optional_text("side"), table.each("stretches", _on), ends, rises)


def _on(table: Table) -> On:
    return On(table.text("wall"), *table.exact("left", "right", "foot", "head"))


def _rail(table: Table, walls: tuple[Wall, ...]) -> Rail:
    height, feet = table.length("height", NOTHING), tuple(line_along(table, "foot", wall) for wall in walls)
    return Rail(table.text("name"), feet, tuple(foot.raised(height) for foot in feet))


def _rail_of(border: Border) -> Iterator[Rail]:
    """Yield what parts the walls where a border is let in along slopes: it does so as a rail does."""
    if border.is_let_in and border.is_raked:
        far = tuple(_far_edge(line, border.width, -1 if border.is_by_top else 1) for line in border.lines)
        yield Rail(border.name, *((far, border.lines) if border.is_by_top else (border.lines, far)))


def _far_edge(line: Edges, width: Fraction, way: int) -> Edges:
    """Return the edge of a border above a line, or below it for a ``way`` of -1: mitred where the line bends."""
    sides = []
    for leg in legs_of(line):
        run, rise = leg.right - leg.left, leg.end - leg.start
        plumb = way * width * length_along(run, rise) / run
        sides.append((leg.left, leg.start + plumb, rise / run, leg.right))
    points = [(sides[0][0], sides[0][1])]
    for (left, height, steep, _), (other_left, other_height, other_steep, _) in pairwise(sides):
        at = (other_height - height + steep * left - other_steep * other_left) / (steep - other_steep)
        points.append((at, height + steep * (at - left)))
    left, height, steep, right = sides[-1]
    points.append((right, height + steep * (right - left)))
    return Edges.through(points, right)


def line_along(table: Table, key: str, wall: Wall) -> Edges:
    """Return a line as one wall has it: at one height, or so much above its foot or below its top."""
    value = table.values.get(key)
    words = value.split() if isinstance(value, str) else []
    edge = words[-1] if words and words[-1] in ("foot", "top") else None
    if edge is None:
        return Edges.through([(NOTHING, table.as_length(key, value))], wall.width)
    at = next((place for place, word in enumerate(words) if word in ("above", "below")), 0)
    by = table.as_length(key, " ".join(words[:at]))
    if words[at] != {"foot": "above", "top": "below"}[edge]:
        table.fault(key, f"cannot read {value!r} as a line along the walls")
    return wall.foot.raised(by) if edge == "foot" else wall.top.raised(-by)
