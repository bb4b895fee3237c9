"""The rules of a contract: every room gets its drops, every cut goes to one room, in order where that is said."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import chain
from math import ceil
from typing import Final

from msgspec.structs import replace

from cutplan.check.contract_rules.bounds_of_ways import Alike, alike_in, bound_rule
from cutplan.check.contract_rules.stated_contract import RoomsAlike, StatedWay
from cutplan.check.part_rules.stated_parts import Planned
from cutplan.check.report import Violation, counted
from cutplan.check.roll_rules.rolls_and_drops import drop_label
from cutplan.check.roll_rules.rolls_there import lot_of, roll_number
from cutplan.check.roll_rules.totals import rolls_listed
from cutplan.check.roll_rules.what_fits_where import StockLot
from cutplan.check.stated.echo import Wanted
from cutplan.check.stated.fields import NOTHING, Json
from cutplan.check.survey.surveyed import Survey, Wall, told_apart

_HOW_ORDERED: Final = ("sold_by", "order_least", "order_step")
"""What a paper says of how it is ordered; rooms are planned in rolls of it all the same."""
_MIRRORED: Final = ("paper", "room", "wall", "start", "finish")
"""What is judged of a mirrored room by itself: all else is as in the surveyed one."""


def judge_way(
    rooms: Sequence[RoomsAlike],
    way: StatedWay,
    spare: Fraction,
    one_batch_to: str | None = None,
    lots: Mapping[str, tuple[int | None, str]] | None = None,
) -> list[Violation]:
    """Return what is wrong with one way of a contract.

    ``spare`` is the part of the rolls bought besides; ``one_batch_to`` says whether a "wall" may be of another batch
    than the next, or else a room; ``lots`` are the rolls of the contract, None where not told.
    """
    rules = [
        _rooms_rule(rooms, way),
        _turns_rule(rooms, way),
        bound_rule(rooms, way),
        _figures_rule(rooms, way, spare),
    ]
    rules += [] if lots is None else [_lots_rule(way, lots)]
    for part in (*way.parts, *(() if way.bound is None else (way.bound,))):
        rules += [
            same_paper(way.name, part.scenario, rooms[0].part.scenario, is_all=True),
            same_rolls_rule(way.name, part.wanted, rooms[0].part.wanted),
        ]
        if any(lot.is_offcut for lot in part.wanted.lots.values()):
            rules.append(iter([Violation("paper", way.name, "its plans cut from offcuts, of which rooms share none")]))
    if one_batch_to != "wall" and any(listed.wall is not None for listed in way.rooms):
        rules.append(iter([Violation("batch", way.name, "its walls may be of several batches, and a room takes one")]))
    rules += [_alone_rule(way)] if way.name == "apart" else [_served_rule(rooms, way), _cuts_rule(way)]
    return list(chain(*rules))


def mirrored_rule(rooms: Sequence[RoomsAlike]) -> Iterator[Violation]:
    """Require a mirrored room to be the room of the survey from right to left, and the paper to be that of all."""
    first = rooms[0].part.wanted
    for kind in rooms:
        wanted = kind.part.wanted
        yield from same_rolls_rule(kind.name, wanted, first)
        papers = [_paper(part.scenario) for part in (kind.part, rooms[0].part)]
        names = {str(paper["name"]).strip() for paper in papers if "name" in paper}
        if len(names) > 1:
            yield Violation(
                "paper", kind.name, f"is papered in {' and '.join(sorted(names))}, and one paper is for all"
            )
        if kind.surveyed is not None:
            yield from same_paper(kind.name, kind.written, kind.part.scenario, is_all=kind.to_order is None)
            unlike = (key for key in {**kind.written, **kind.part.scenario} if key not in _MIRRORED)
            apart = [key for key in unlike if kind.written.get(key) != kind.part.scenario.get(key)]
            for key in (*apart, *told_apart(kind.written, kind.part.scenario)):
                yield Violation("mirrored", kind.name, f"{key} of its room is not that of the surveyed room")
            if kind.part.survey is None or not is_mirror_image(kind.surveyed, kind.part.survey):
                yield Violation("mirrored", kind.name, "is not the surveyed room from right to left")


def same_rolls_rule(where: str, wanted: Wanted, first: Wanted) -> Iterator[Violation]:
    """Require the print to be that of the first room's, and rolls to be whole and sealed, as a shop sells its paper."""
    if wanted.match != first.match:
        yield Violation("paper", where, "the print repeats or steps otherwise than in the other rooms")
    whole = StockLot("", first.sold.roll_length, None, None, first.sold.price)
    if any(replace(lot, label="", count=None, batch="") != whole for lot in wanted.rolls):
        yield Violation("paper", where, "its rolls are others than those of the other rooms")


def same_paper(where: str, written: Json, planned: Json, *, is_all: bool = False) -> Iterator[Violation]:
    """Require a paper to be written as another is; how it is ordered may be more, unless that ``is_all`` of it."""
    asked, paper = _paper(written), _paper(planned)
    ordered = () if is_all else _HOW_ORDERED
    for key in {**paper, **{key: told for key, told in asked.items() if key not in ordered}}:
        if asked.get(key) != paper.get(key):
            message = f"{key} of the paper is {asked.get(key)!r}, and {paper.get(key)!r} elsewhere"
            yield Violation("paper", where, message)


def _paper(scenario: Json) -> Json:
    """Return the paper of a scenario as it is written; empty where there is none."""
    paper = scenario.get("paper")
    return paper if isinstance(paper, dict) else {}


def _lots_rule(way: StatedWay, lots: Mapping[str, tuple[int | None, str]]) -> Iterator[Violation]:
    """Require rooms to take of lots that the contract has, and its plans to cut from its rolls."""
    for label in dict.fromkeys(listed.lot for listed in way.rooms):
        if label not in lots:
            yield Violation("batch", way.name, f"a room takes of lot {label}, which the contract does not have")
    for part in way.parts:
        for lot in part.wanted.rolls:
            if lots.get(lot.label) != (lot.count, lot.batch):
                yield Violation("batch", way.name, f"rolls of {lot.label} are not so many, or not of the batch, told")


def _turns_rule(rooms: Sequence[RoomsAlike], way: StatedWay) -> Iterator[Violation]:
    """Require rooms that are papered in order to be listed so."""
    turns = list(dict.fromkeys(f"{kind.name} {number}" for kind in rooms for number in range(1, kind.count + 1)))
    if way.name == "in order" and list(dict.fromkeys(listed.room for listed in way.rooms)) != turns:
        yield Violation("in order", way.name, "the rooms are not listed in the order of the contract")


def is_mirror_image(one: Survey, other: Survey) -> bool:
    """Return True when two rooms are mirror images: walls, what is on them, start and finish; the strip is the same."""
    are_as_many = len(one.walls) == len(other.walls)
    return are_as_many and _seen(one, is_turned=True) == _seen(other, is_turned=False)


def _seen(survey: Survey, *, is_turned: bool) -> tuple[object, ...]:
    """Return all that tells a room from left to right; or from right to left, as its mirror image has it."""
    start, finish = survey.start, survey.finish
    way = -1 if is_turned else 1
    corners = [wall.corner for wall in survey.walls]
    walls = [_wall_seen(wall, is_turned=is_turned) for wall in survey.walls]
    room = survey.strip, walls[::way], corners[:-1][::way], corners[-1:] if survey.closes else None
    if start.usable is not None:
        return *room, start.usable

    def place(number: int, along: Fraction) -> tuple[int, Fraction]:
        wall = survey.walls[number]
        return (len(survey.walls) - 1 - number, wall.width - along) if is_turned else (number, along)

    height = survey.level_line - start.motif_drop if start.motif_height is None else start.motif_height
    ends: tuple[object, ...] = ()
    if finish is not None and finish.over is not None:
        ends = finish.over.name, place(finish.wall, (finish.over.left + finish.over.right) / 2)
    elif finish is not None:
        ends = place(finish.wall, finish.at or NOTHING)
    is_right_first = start.is_right_first != is_turned
    return *room, place(start.wall, start.at), start.puts, height, is_right_first, start.is_one_way, ends


def _wall_seen(wall: Wall, *, is_turned: bool) -> tuple[object, ...]:
    lines = [line.points for line in (wall.top, wall.foot)]
    openings, fittings = wall.openings, wall.fittings
    if is_turned:
        lines = [tuple((wall.width - along, height) for along, height in reversed(points)) for points in lines]
        openings, fittings = (
            tuple(replace(thing, left=wall.width - thing.right, right=wall.width - thing.left) for thing in things)
            for things in (openings, fittings)
        )
    return wall.name, wall.width, lines, Counter(openings), Counter(fittings)


def _from_rolls(part: Planned, wall: str | None) -> Counter[str]:
    """Return how many pieces of each of a room's drops come from rolls, and not from offcuts.

    Of a wall that may be of another batch, those on it, and not from what falls out there.
    """
    drops = part.wanted.drops
    offcuts: Counter[str] = Counter()
    for roll in part.plan.rolls:
        lot = lot_of(part.wanted, roll)
        source = None if lot is None or lot.waits_for is None else drops.get(lot.waits_for)
        if lot is not None and lot.is_offcut and (wall is None or (source is not None and source.wall == wall)):
            offcuts.update(drop_label(cut.piece) for cut in roll.cuts)
    return Counter({label: drop.count for label, drop in drops.items() if wall in (None, drop.wall)}) - offcuts


def _numbered(rooms: Sequence[RoomsAlike], way: StatedWay) -> Iterator[tuple[str, RoomsAlike, str | None]]:
    """Yield what takes one batch, by its name: each room, or each of its walls."""
    by_wall = any(listed.wall is not None for listed in way.rooms)
    for kind in rooms:
        walls = dict.fromkeys(drop.wall for drop in kind.part.wanted.drops.values())
        for number in range(1, kind.count + 1):
            for wall in walls if by_wall else (None,):
                room = f"{kind.name} {number}"
                yield room if wall is None else f"{room}, {wall}", kind, wall


def _rooms_rule(rooms: Sequence[RoomsAlike], way: StatedWay) -> Iterator[Violation]:
    wanted = Counter(name for name, _, _ in _numbered(rooms, way))
    listed = Counter(each.name for each in way.rooms)
    for name in (wanted - listed) + (listed - wanted):
        yield Violation("rooms", way.name, f"{name} is listed {counted(listed[name], 'time')}, not {wanted[name]}")


def _served_rule(rooms: Sequence[RoomsAlike], way: StatedWay) -> Iterator[Violation]:
    """Require every room to get each of its drops, from cuts as long and in the same place of the print, of one lot."""
    kinds = {name: (kind, wall) for name, kind, wall in _numbered(rooms, way)}
    cuts = _cuts(way)
    wanted: dict[tuple[str, str | None], Counter[str]] = {}
    for listed in way.rooms:
        name, lot, given = listed.name, listed.lot, listed.given
        if name not in kinds:
            continue
        kind, wall = kinds[name]
        got = Counter(drop for part in given for drop in part.drops)
        if (kind.name, wall) not in wanted:
            wanted[kind.name, wall] = _from_rolls(kind.part, wall)
        need = wanted[kind.name, wall]
        for drop in (need - got) + (got - need):
            message = f"{name} gets drop {drop} {counted(got[drop], 'time')}, not {need[drop]}"
            yield Violation("served", way.name, message, Fraction(abs(got[drop] - need[drop])))
        for part in given:
            for number, drop in zip(part.cuts, part.drops, strict=True):
                from_lot, cut = cuts.get((part.roll, number), (lot, None))
                if from_lot != lot:
                    yield Violation("batch", way.name, f"{name} gets of {part.roll}, which is none of lot {lot}")
                if cut is None:
                    yield Violation("served", way.name, f"{name} gets cut {number} of {part.roll}, and there is none")
                elif drop in kind.part.wanted.drops and cut != alike_in(kind.part, kind.part.wanted.drops[drop]):
                    message = f"{name}, drop {drop}: cut {number} of {part.roll} is another piece"
                    yield Violation("served", way.name, message)


def _alone_rule(way: StatedWay) -> Iterator[Violation]:
    """Require rooms that share no rolls to get of none here: the plan of one by itself tells what each is cut from."""
    for listed in way.rooms:
        if listed.given:
            yield Violation("served", way.name, f"{listed.name} gets of a roll, and by itself it shares none")
    if way.parts:
        yield Violation("served", way.name, "has a plan of rooms together, and each is by itself")


def _cuts(way: StatedWay) -> Mapping[tuple[str, int], tuple[str, Alike]]:
    """Return of which lot every cut of a way's plans is, and what, by its roll and its number along it from 1."""
    cuts = {}
    for part in way.parts:
        for roll in part.plan.rolls:
            lot = lot_of(part.wanted, roll)
            first = None if lot is None else roll_number(lot, roll)
            if lot is None or first is None:
                continue
            for place, cut in enumerate(roll.cuts, 1):
                drop = part.wanted.drops.get(drop_label(cut.piece))
                if drop is not None:
                    alike = alike_in(part, drop)
                    cuts.update({(lot.roll_label(first + n), place): (lot.label, alike) for n in range(roll.count)})
    return cuts


def _cuts_rule(way: StatedWay) -> Iterator[Violation]:
    """Require every cut to go to one room, and along a roll no room before one that is papered earlier."""
    takers: dict[tuple[str, int], list[int]] = {key: [] for key in _cuts(way)}
    for place, listed in enumerate(way.rooms):
        for part in listed.given:
            for number in part.cuts:
                takers.setdefault((part.roll, number), []).append(place)
    last: dict[str, int] = {}
    for (roll, number), rooms in sorted(takers.items()):
        if len(rooms) != 1:
            yield Violation("cuts", way.name, f"cut {number} of {roll} goes to {counted(len(rooms), 'room')}")
        elif way.name == "in order":
            if rooms[0] < last.get(roll, 0):
                earlier, later = way.rooms[rooms[0]].name, way.rooms[last[roll]].name
                yield Violation("in order", way.name, f"{roll} is cut for {later} before {earlier}, which comes first")
            last[roll] = rooms[0]


def _figures_rule(rooms: Sequence[RoomsAlike], way: StatedWay, spare: Fraction) -> Iterator[Violation]:
    if way.name == "apart":
        rolls = sum(kind.count * rolls_listed(kind.part.wanted, kind.part.plan) for kind in rooms)
    else:
        rolls = sum(rolls_listed(part.wanted, part.plan) for part in way.parts)
    if way.rolls != rolls:
        yield Violation(
            "rolls", way.name, f"{way.rolls} rolls are claimed, {rolls} are cut", Fraction(way.rolls - rolls)
        )
    if (way.status == "optimal") != (way.rolls == way.lower_bound):
        message = f"{way.status}, with {way.rolls} rolls and a bound of {way.lower_bound}"
        yield Violation("status", way.name, message, Fraction(way.rolls - way.lower_bound))
    buy = rooms[0].part.wanted.sold.bought(way.rolls + ceil(way.rolls * spare))
    if way.to_buy != buy:
        yield Violation(
            "spare", way.name, f"{counted(way.to_buy, 'roll')} to buy, not {buy}", Fraction(way.to_buy - buy)
        )
    price = next((lot.price for lot in rooms[0].part.wanted.rolls), None)
    if way.cost is not None and (price is None or way.cost != way.to_buy * price):
        yield Violation("cost", way.name, f"the cost is not {way.to_buy} rolls at their price")
