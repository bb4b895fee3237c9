"""Borders, read from a scenario: the tables ``[[border]]``, each into an ordinary scenario that lists its strips."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from cutplan.lengths import UNITS, ZERO, Length, exact_mm, show
from cutplan.parts.border import (
    BorderPaper,
    BorderSetOut,
    BorderStrip,
    round_opening,
    without_frame,
    without_run,
)
from cutplan.parts.border_along_walls import along_line, far_edge, has_step, leaning, stays_on
from cutplan.parts.clipping import held_within
from cutplan.parts.part import Part, PartKind
from cutplan.parts.rails import Line, Rail, read_line
from cutplan.room.finding import RoomError
from cutplan.room.profile import Profile
from cutplan.room.walls import Opening, Room, Wall
from cutplan.scenario.cutting_table import HABIT_KEYS, of_walls
from cutplan.scenario.paper_table import read_paper
from cutplan.scenario.read import TOP_KEYS, parsed_scenario
from cutplan.scenario.survey.start_tables import START_KEYS, read_finish, start_point, wall_index
from cutplan.scenario.survey.wall_tables import SurveyedWall
from cutplan.scenario.tables import Reading, Table, describe
from cutplan.scenario.usual import ALONG_WALLS, BORDER_WIDTH
from cutplan.scenario.write import written
from cutplan.setting_out import FinishAt

BORDER_KEYS: Final = (
    "name", "round", "wall", "foot", "top", "let_in", "joins", "ends", "across", "start", "finish", "paper", "roll",
    "offcut",
    *HABIT_KEYS,
)  # fmt: skip
OF_A_BORDER: Final = ("paper", "roll", "offcut", *HABIT_KEYS)
"""Tables of an ordinary scenario that a border may have to itself."""
JOINS: Final = ("in corners", "anywhere")
_START_KEYS: Final = ("wall", "at", "middle_of", "between")
_FLOOR: Final = Line(ZERO)
USUAL_OF_BORDERS: Final = {"roll_width": BORDER_WIDTH, "height": ALONG_WALLS}
USUAL_ENDS: Final[Length] = 25 * UNITS["mm"]
"""How much longer a strip is cut at each end: 2 in, or 50 mm, in all [web note, US pages on borders]."""


class Border(Struct, frozen=True):
    """A border as asked for: round one opening, or round the room with its lower edge at ``foot``; not set out yet.

    ``across`` is how many a roll has side by side.
    ``line`` is along what its lower edge runs, or its upper one where ``by_top``; ``foot`` where that is level.
    """

    name: str
    table: Table
    paper: BorderPaper
    ends: Length
    is_let_in: bool
    across: int = 1
    foot: Length = ZERO
    line: Line = _FLOOR
    by_top: bool = False
    round: tuple[int, Opening] | None = None
    motif_at: tuple[int, Length] = (0, ZERO)
    closing: tuple[int, Length] | None = None

    @property
    def is_raked(self) -> bool:
        """True for one along slopes."""
        return self.line != Line(self.foot)

    def set_out(self, room: Room, framed: Room) -> BorderSetOut:
        """Return its strips; one round the room stops at the borders round openings of the room as it is ``framed``."""
        if self.round is not None:
            return round_opening(room, *self.round, self.paper)
        return along_line(framed, self.line, self.paper, self.motif_at, self.closing, by_top=self.by_top)


def read_borders(root: Table, surveyed: Sequence[SurveyedWall], room: Room | None) -> list[Border]:
    """Return the borders of a file; faults are noted, those of their own where the room is None for its faults too."""
    tables = root.entries("border", BORDER_KEYS, required=False, named_by="name")
    borders = [border for table in tables if (border := _read_border(root, table, surveyed, room)) is not None]
    if room is None:
        return []
    try:
        framed(room, borders)
    except RoomError as error:
        root.reject(
            "border", f"those round openings are in one another's way: an opening with its border: {_why(error, root)}"
        )
        return []
    return borders


def _read_border(root: Table, table: Table, surveyed: Sequence[SurveyedWall], room: Room | None) -> Border | None:
    name, across = table.text("name"), _across(table)
    line = None if table.has("round") else _line(table)
    label = read_paper(Table(table.reading, {"paper": table.values.get("paper")}, table.path, table.name, TOP_KEYS))
    ends = table.length("ends", required=False, zero=True)
    ends = USUAL_ENDS if ends is None else ends
    joins = table.choice("joins", JOINS, required=False) or JOINS[0]
    is_let_in = table.flag("let_in") or False
    if label.pattern is not None and label.pattern.offset:
        table.reject("paper", "a border has one strip, so its match has no offset; write its repeat alone")
    if label.roll_length is None or label.pattern is None or name is None:
        return None
    width = label.roll_width
    if width is None:
        table.reject("paper", "roll_width is needed: how wide the border is")
        return None
    longest = label.roll_length - label.pattern.repeat - 2 * ends
    if longest <= 0:
        table.reject("paper", "a roll is too short to give a strip with its ends, wherever its print begins")
        return None
    paper = BorderPaper(width, label.pattern, longest, joins == JOINS[0])
    border = Border(name, table, paper, ends, is_let_in, across)
    if room is None:
        return None
    return _framed(border, surveyed, room) if table.has("round") else _running(root, border, line, surveyed, room)


def _across(table: Table) -> int:
    """Return how many borders a roll has side by side, to be cut apart; faults are noted."""
    across, rolls = table.whole("across", required=False) or 1, table.values.get("roll")
    is_priced = isinstance(rolls, list) and any(isinstance(roll, dict) and "price" in roll for roll in rolls)
    if across > 1 and is_priced:
        table.reject("across", "stands beside a [[border.roll]] with a price; put a roll's price under [border.paper]")
    return across


def as_strips(own: Mapping[str, object], across: int) -> dict[str, object]:
    """Return the tables of a border of which a roll has several side by side, with its strips for rolls.

    Cut apart, a roll is so many strips whose prints begin alike, and a packet of them is what is bought, however many
    singles it counts as. What is cut to order gives so many strips of its length.
    """
    if across == 1:
        return dict(own)
    found, paper, rolls = dict(own), own.get("paper"), own.get("roll")
    if isinstance(paper, dict) and "sold_by" in paper:
        found["paper"] = {**paper, "across": across}
    elif isinstance(paper, dict):
        paper, packet = dict(paper), paper.get("packet", 1)
        singles = paper.pop("singles", 1)
        times = {"packet": 1, "single": packet * singles}.get(paper.get("price_per", ""), packet)
        price = {"price": paper["price"] * times, "price_per": "packet"} if "price" in paper else {}
        found["paper"] = {**paper, "packet": packet * across, **price}
    if isinstance(rolls, list):
        found["roll"] = [_in_strips(roll, across) for roll in rolls]
    return found


def _in_strips(roll: object, across: int) -> object:
    """Return rolls in hand as their strips; what is at fault, or as many as needed, as it is."""
    count = roll.get("count", 1) if isinstance(roll, dict) else None
    if not isinstance(roll, dict) or not isinstance(count, int) or isinstance(count, bool) or count < 1:
        return roll
    return {**roll, "count": count * across}


def _framed(border: Border, surveyed: Sequence[SurveyedWall], room: Room) -> Border | None:
    table = border.table
    for key in ("foot", "top", "start", "finish", "joins"):
        if table.has(key):
            table.reject(key, "belongs to a border round the room; leave it out, or leave out round")
    name = table.text("round")
    wall = wall_index(table, surveyed) if table.has("wall") else None
    found = [
        (number, opening)
        for number, each in enumerate(room.walls)
        for opening in each.openings
        if opening.name == name and wall in (None, number)
    ]
    if len(found) != 1:
        what = "is called so" if not found else "are called so; say which wall"
        table.reject("round", f"{len(found) or 'no'} opening{'s' if found else ''} {what}: {describe(name or '')}")
        return None
    ((number, opening),) = found
    floor = room.walls[number].foot.lowest(opening.left, opening.right)
    try:  # What the border needs of the wall must be there: the same that it takes where it is let in.
        others = tuple(other for other in room.walls[number].openings if other is not opening)
        replace(room.walls[number], openings=(*others, without_frame(opening, floor, border.paper.width)))
    except RoomError as error:
        table.reject(
            "round", f"there is no room for the border: with it {describe(opening.name)}: {_why(error, table)}"
        )
        return None
    return replace(border, round=(number, opening))


def _why(error: RoomError, table: Table) -> str:
    said = [(found.path[-1:], found.what.read(table.reading.units or "mm")) for found in error.findings]
    return "; ".join(f"its {key[0]} {what}" if key and isinstance(key[0], str) else what for key, what in said)


def _running(
    root: Table, border: Border, line: Line | None, surveyed: Sequence[SurveyedWall], room: Room
) -> Border | None:
    table = border.table
    placed = None if line is None else _placed(border, line, room)
    holder = table if table.has("start") else root
    motif: tuple[int, Length] | None = (0, room.walls[0].width / 2)
    if holder.has("start"):
        motif = _motif_at(holder.table("start", _START_KEYS if holder is table else START_KEYS), surveyed)
    finish = read_finish(table, surveyed, closes=room.closes) if table.has("finish") else None
    if placed is None or motif is None:
        return None
    border = replace(placed, motif_at=motif)
    if finish is not None:
        if isinstance(finish, FinishAt):
            return replace(border, closing=(finish.wall, finish.at))
        over = room.walls[finish.wall].openings[finish.opening]
        return replace(border, closing=(finish.wall, over.left + over.width / 2))
    return border


def _motif_at(start: Table | None, surveyed: Sequence[SurveyedWall]) -> tuple[int, Length] | None:
    index = None if start is None else wall_index(start, surveyed)
    at = None if start is None or index is None else start_point(start, surveyed[index])
    return None if index is None or at is None else (index, at)


def _line(table: Table) -> Line | None:
    if table.has("top") and table.has("foot"):
        table.reject("top", "and foot say the same thing twice; give one of them")
        return None
    return read_line(table, "top" if table.has("top") else "foot")


def _placed(border: Border, line: Line, room: Room) -> Border | None:
    """Return a border on its line along the walls, level or not; one that leaves the wall is reported."""
    table, width, by_top = border.table, border.paper.width, border.table.has("top")
    key = "top" if by_top else "foot"
    heights = {line.on(wall).level for wall in room.walls}
    (height,) = heights if len(heights) == 1 else (None,)
    if height is not None:
        foot = height - width if by_top else height
        border = replace(border, foot=foot, line=Line(foot))
    else:
        border = replace(border, line=line, by_top=by_top)
    for wall in room.walls:
        if has_step(wall, border.line):
            table.reject(key, f"has a step on {describe(wall.name)}, which a border cannot climb; give it another line")
            return None
        if not stays_on(wall, border.line, width, by_top=border.by_top):
            table.reject(key, f"reaches beyond what is papered of {describe(wall.name)}; give it another height")
            return None
        if far_edge(wall, border.line, width, by_top=border.by_top) is None:
            what = f"has a stretch on {describe(wall.name)} that is shorter than its mitres; give it another line"
            table.reject(key, what)
            return None
    if border.paper.longest <= leaning(room, border.line, width):
        table.reject("paper", "a roll is too short to give a strip whose ends are cut to so steep a slope")
        return None
    return border


class _LetIn(Rail, frozen=True):
    """A border let in along a slope, which parts the walls as a rail does: ``foot`` is its edge that was asked for."""

    by_top: bool = False

    def edges(self, wall: Wall) -> tuple[Profile, Profile]:
        """Return its lower and its upper edge along a wall, as far as they lie on it."""
        near, far = self.foot.on(wall), far_edge(wall, self.foot, self.height, by_top=self.by_top)
        assert far is not None  # noqa: S101 - refused before
        low, high = (far, near) if self.by_top else (near, far)
        return held_within(wall, low), held_within(wall, high)


def rails_of(borders: Sequence[Border]) -> list[tuple[Table, Rail]]:
    """Return the borders that are let in along slopes as the rails that part the walls there, each with its table."""
    return [
        (border.table, _LetIn(border.name, border.line, border.paper.width, border.by_top))
        for border in borders
        if border.is_let_in and border.is_raked
    ]


def let_in(room: Room, borders: Sequence[Border]) -> Room:
    """Return a room without what its let-in borders cover, but for those along slopes: drops stop at their edges."""
    room = framed(room, [border for border in borders if border.is_let_in])
    for border in borders:
        if border.is_let_in and border.round is None and not border.is_raked:
            ends = border.foot, border.foot + border.paper.width
            room = replace(room, walls=tuple(without_run(wall, border.name, *ends) for wall in room.walls))
    return room


def framed(room: Room, borders: Sequence[Border]) -> Room:
    """Return a room whose openings are as wide as the borders round them."""
    walls = list(room.walls)
    for border in borders:
        if border.round is not None:
            number, opening = border.round
            wall = walls[number]
            floor = wall.foot.lowest(opening.left, opening.right)
            around = without_frame(opening, floor, border.paper.width)
            walls[number] = replace(wall, openings=tuple(around if each == opening else each for each in wall.openings))
    return replace(room, walls=tuple(walls))


def border_part(
    border: Border, borders: Sequence[Border], room: Room, document: Mapping[str, object], text: tuple[str, str]
) -> Part:
    """Return one of the borders of a room as an ordinary scenario that lists its strips as drops.

    ``document`` is the whole file as parsed, ``text`` its text and its source.
    """
    table, found = border.table, border.set_out(room, framed(room, borders))
    own = {key: value for key, value in table.values.items() if key in OF_A_BORDER}
    own = as_strips(own, border.across)
    shared = {key: document[key] for key in ("units", *HABIT_KEYS) if key in document}
    ends, is_free = written(border.ends), border.paper.pattern.is_free
    listed = [
        {
            "label": str(number),
            "height": written(strip.length),
            **({} if is_free else {"first_motif": written(strip.first_motif)}),
            "wall": room.walls[strip.stretches[0].wall].name,
            "along": True,
        }
        for number, strip in enumerate(found.strips, 1)
    ]
    walls = {room.walls[strip.stretches[0].wall].name for strip in found.strips}
    ordinary = {**of_walls(shared, walls), **own, "trim": {"top": ends, "bottom": ends}, "drop": listed}
    reading = Reading(moved=dict.fromkeys(own, table), usual=USUAL_OF_BORDERS)
    scenario = parsed_scenario(ordinary, text[0], f"{text[1]}/{border.name}", reading)
    notes = (*scenario.notes, *_notes(border, found, room, scenario.units))
    return Part(border.name, PartKind.BORDER, replace(scenario, notes=notes), _told(found, room), border=found)


def _told(found: BorderSetOut, room: Room) -> dict[str, object]:
    """Return where the strips hang, as plain JSON with exact lengths."""
    closes = found.closes
    return {
        "strips": [
            {
                "drop": str(number),
                **({"side": strip.side} if strip.side else {}),
                **({"leans": [exact_mm(lean) for lean in strip.leans]} if found.is_raked else {}),
                "stretches": [
                    {
                        "wall": room.walls[on.wall].name,
                        **{key: exact_mm(getattr(on, key)) for key in ("left", "right", "foot", "head")},
                        **({"rise": exact_mm(on.rise)} if found.is_raked else {}),
                    }
                    for on in strip.stretches
                ],
            }
            for number, strip in enumerate(found.strips, 1)
        ],
        "closes": None
        if closes is None
        else {
            "wall": room.walls[closes.wall].name,
            "at": exact_mm(closes.at),
            "out_by": exact_mm(closes.out_by),
            "hidden": closes.is_hidden,
        },
    }


def _notes(border: Border, found: BorderSetOut, room: Room, units: str) -> Iterator[str]:
    """Yield what to know of a border: which way its strips run, where each lies, where it closes."""
    if border.across > 1:
        yield f"a roll as sold has {border.across} borders side by side: slit it apart all along; {_called(border)}"
    if border.round is None:
        yield "strips run to the right: what is called the top of a piece is its left end"
        if found.is_raked:
            yield (
                "along a slope a strip is as long as its longer edge: cut its ends plumb at corners and openings, and "
                "mitre it on the wall where the rake changes; the print goes on along the middles of strips"
            )
    else:
        way = "up the left side, to the right over the head, down the right side"
        way += ", to the left under the foot" if found.closes is not None else ""
        yield f"strips run {way}: what is called the top of a piece is the end where it begins"
        yield f"strips are mitred at the corners of {border.round[1].name}, and as long as their outer edges"
    for number, strip in enumerate(found.strips, 1):
        yield f"strip {number}: {_place(strip, room, units)}"
    closes = found.closes
    if closes is not None:
        where = f"{room.walls[closes.wall].name}, {show(closes.at, units)} from its left"
        out = f"out of step by {show(closes.out_by, units)} along its length" if closes.out_by else "in step"
        hidden = "nothing meets there" if closes.is_hidden else f"there its print is {out}"
        yield f"the border closes on {where}: {hidden}"
    if border.is_let_in:
        yield "it is let in: the drops of the paper stop at its edges"
    else:
        yield "it is hung over the paper: wait 48 hours for that to dry [newspaper column, US, 1994]"


def _called(border: Border) -> str:
    """Return what the strips of a roll with several side by side are called in its plan."""
    sold = border.table.values["paper"]
    assert isinstance(sold, dict)  # noqa: S101 - it was read
    if "sold_by" in sold:
        return "each piece gives as many"
    roll = "packet" if "packet" in sold else "roll"
    singles = f"; a roll as sold counts as {sold['singles']} singles" if sold.get("singles", 1) > 1 else ""
    return f"each strip is called a roll here, and the {roll} as sold, with its strips, a packet{singles}"


def _place(strip: BorderStrip, room: Room, units: str) -> str:
    if strip.side:
        on = strip.stretches[0]
        sides = {"left": "left side of", "head": "over", "right": "right side of", "foot": "under"}
        return f"{sides[strip.side]} the opening, {show(strip.length, units)} on {room.walls[on.wall].name}"
    places = ", then ".join(
        f"{room.walls[on.wall].name} from {show(on.left, units)} to {show(on.right, units)}{_rise(on.rise, units)}"
        for on in strip.stretches
    )
    begin, end = (f"aslant by {show(abs(lean), units)}" if lean else "square" for lean in strip.leans)
    return f"{places}; cut {begin} where it begins and {end} where it ends" if any(strip.leans) else places


def _rise(rise: Length, units: str) -> str:
    return f", {'rising' if rise > 0 else 'falling'} {show(abs(rise), units)}" if rise else ""
