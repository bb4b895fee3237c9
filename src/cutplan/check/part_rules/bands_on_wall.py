"""Bands on the wall: every stretch between rails is one band's or bare, and its plan is for just that stretch."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import Final, NamedTuple, TypeAlias

from msgspec.structs import replace

from cutplan.check.lining_rules.linings import linings_asked
from cutplan.check.part_rules.stated_parts import Band, PartedRoom, Planned, Rail
from cutplan.check.report import Violation, mm
from cutplan.check.stated.echo import with_units
from cutplan.check.stated.fields import NOTHING, Table
from cutplan.check.survey.surveyed import Survey, Thing, Wall, told_apart
from cutplan.check.survey.wall_line import TAKEN, Box, Edges, covers_across, slices_of, uncovered

ONE_PAPER: Final = "paper"
"""Name of the part that papers the walls from top to foot where no band is named."""
_SHARED: Final = ("units", "trim", "cutting", "pace", "start", "finish")
_OF_A_PAPER: Final = ("paper", "roll", "offcut")
_OF_THE_WALLS: Final = ("wall", "room")
_MARK: Final = "fitting"
"""Kind of what stands for an opening that lies in another band."""
_Heights: TypeAlias = "tuple[Fraction, Fraction]"
_OFF: Final = 16 * TAKEN
"""Where a rail meets a steep edge, a band's room may be this much off, in mm: the place is taken to 1/64."""


class _Stretch(NamedTuple):
    """What lies between two rails; None for the wall's own foot and top."""

    low: Rail | None
    high: Rail | None

    def is_of(self, band: Band) -> bool:
        """Return True when a band lies here."""
        names = [None if rail is None else rail.name for rail in self]
        return names == [band.above, band.below]


def stretches_rule(room: PartedRoom, planned: Mapping[str, Planned]) -> Iterator[Violation]:
    """Require every stretch between rails to be one band's, and every band that is not bare to have a plan."""
    yield from _crossing_rule(room)
    yield from _told_rule(room, planned)
    there = _there(room)
    if not room.bands and len(there) == 1:
        if ONE_PAPER not in planned:
            yield Violation("bands", "", "the walls have no plan")
        return
    for stretch in there:
        named = [band.name for band in room.bands if stretch.is_of(band)]
        if len(named) != 1:
            what = f"is covered by {' and '.join(named)}" if named else "is no band's, and not said to be bare"
            yield Violation("bands", _where(stretch), what)
    for band in room.bands:
        if not any(stretch.is_of(band) for stretch in _stretches(room)):
            yield Violation("bands", f"band {band.name!r}", "lies between no two rails next to one another")
        if band.is_bare == (band.name in planned):
            what = "is bare, and planned" if band.is_bare else "has no plan"
            yield Violation("bands", f"band {band.name!r}", what)


def _told_rule(room: PartedRoom, planned: Mapping[str, Planned]) -> Iterator[Violation]:
    """Require every plan to be that of a part, and every part that is called a band to be one."""
    for name in sorted({*room.kinds} ^ {*planned}):
        yield Violation("parts", f"part {name!r}", "has no plan" if name in room.kinds else "is not told what it is")
    names = {band.name for band in room.bands} or {ONE_PAPER}
    for name, kind in room.kinds.items():
        if kind == "band" and name not in names:
            yield Violation("bands", f"part {name!r}", "is no band of this room")
    bands = [band.name for stretch in reversed(_stretches(room)) for band in room.bands if stretch.is_of(band)]
    linings = [name for name, _ in linings_asked(Table("", room.scenario, []))]
    hang = [*linings, *(bands or [ONE_PAPER]), *(border.name for border in room.borders)]
    turns = [[hang.index(name) for name in turn if name in hang] for turn in room.turns]
    if turns != sorted(map(sorted, turns)):
        yield Violation("parts", "", "are not told as they hang: linings, bands from the top down, borders")


def room_rule(room: PartedRoom, planned: Mapping[str, Planned]) -> Iterator[Violation]:
    """Require the plan of each band to be for its own paper, and for its own stretch of the walls."""
    for stretch, name, table in _bands(room):
        if name not in planned:
            continue
        plan = planned[name]
        yield from asked_rule(room, f"band {name!r}", table, plan)
        for key in told_apart(room.scenario, plan.scenario):
            yield Violation("bands", f"band {name!r}", f"{key} of its room is not that of the whole room")
        if plan.survey is None or len(plan.survey.walls) != len(room.walls):
            yield Violation("bands", f"band {name!r}", "its plan is not for the walls of this room")
            continue
        level, own = _level_line(room.scenario, table), _level_line(plan.scenario, {})
        if level != own:
            yield Violation("bands", f"band {name!r}", "its print hangs from another level line than was asked for")
        for number, wall in enumerate(room.papered()):
            yield from _wall_rule(name, stretch, number, wall, plan.survey)
            yield from _things_rule(f"band {name!r} on {wall.name!r}", room, wall, plan.survey.walls[number])


def _level_line(scenario: Mapping[str, object], band: Mapping[str, object]) -> Fraction | None:
    """Return the level line that a band is given, else that of its room; None where neither tells one."""
    whole = scenario.get("room")
    told = band.get("level_line", whole.get("level_line") if isinstance(whole, dict) else None)
    return None if told is None else with_units(Table("", dict(scenario), [])).as_length("level_line", told)


def _bands(room: PartedRoom) -> Iterator[tuple[_Stretch, str, Mapping[str, object]]]:
    if not room.bands:
        yield from ((stretch, ONE_PAPER, room.scenario) for stretch in _there(room)[:1])
    for stretch in _stretches(room):
        for band in room.bands:
            if stretch.is_of(band):
                yield stretch, band.name, band.table


def _stretches(room: PartedRoom) -> list[_Stretch]:
    """Return the stretches from the foot up: rails stand in the order of their middle heights, wall after wall."""
    order = sorted(
        room.rails,
        key=lambda rail: [
            sum(_held(wall, foot, along) for along in (NOTHING, wall.width))
            for wall, foot in zip(room.walls, rail.feet, strict=True)
        ],
    )
    return [_Stretch(low, high) for low, high in pairwise([None, *order, None])]


def _there(room: PartedRoom) -> list[_Stretch]:
    """Return the stretches that some wall has something of."""
    found = []
    for stretch in _stretches(room):
        edges = (_edges(stretch, number, wall) for number, wall in enumerate(room.walls))
        if any(over - under > _OFF for lines in edges for under, over in _ends(lines)):
            found.append(stretch)
    return found


def _edges(stretch: _Stretch, number: int, wall: Wall) -> tuple[Edges, Edges, Edges, Edges]:
    """Return the foot of a wall, what a stretch lies between on it, and the wall's top."""
    low = wall.foot if stretch.low is None else stretch.low.heads[number]
    high = wall.top if stretch.high is None else stretch.high.feet[number]
    return wall.foot, low, high, wall.top


def _ends(lines: tuple[Edges, Edges, Edges, Edges]) -> Iterator[tuple[Fraction, Fraction]]:
    """Yield where a stretch begins and ends above the floor line, as far as it lies on a wall, slice by slice."""
    for left, right in _slices(lines):
        for foot, under, over, top in zip(*(line.ends(left, right) for line in lines), strict=True):
            yield sorted((foot, under, top))[1], sorted((foot, over, top))[1]


def _held(wall: Wall, line: Edges, along: Fraction) -> Fraction:
    return sorted((min(wall.foot.at(along)), line.at(along)[-1], max(wall.top.at(along))))[1]


def _where(stretch: _Stretch) -> str:
    low = "its foot" if stretch.low is None else repr(stretch.low.name)
    high = "its top" if stretch.high is None else repr(stretch.high.name)
    return f"the wall from {low} to {high}"


def _crossing_rule(room: PartedRoom) -> Iterator[Violation]:
    for stretch in _stretches(room):
        if stretch.low is None or stretch.high is None:
            continue
        for wall, low, high in zip(room.walls, stretch.low.heads, stretch.high.feet, strict=True):
            for under, over in _ends((wall.foot, low, high, wall.top)):
                if under > over:
                    message = f"lies {mm(under - over)} into {stretch.low.name!r} on {wall.name!r}"
                    yield Violation("bands", f"rail {stretch.high.name!r}", message, under - over)
                    return


def asked_rule(
    room: PartedRoom, where: str, table: Mapping[str, object], plan: Planned, worked_out: Sequence[str] = _OF_THE_WALLS
) -> Iterator[Violation]:
    """Require what the plan of a part echoes to be what the whole scenario says of it."""
    for key in sorted({*plan.scenario, *_SHARED, *_OF_A_PAPER} - {*worked_out}):
        wanted = table.get(key, plan.shared(room.scenario, key) if key in _SHARED else None)
        if plan.scenario.get(key) != wanted:
            yield Violation("parts", where, f"{key} of its plan is not what the whole scenario says of it")


def _wall_rule(name: str, stretch: _Stretch, number: int, wall: Wall, survey: Survey) -> Iterator[Violation]:
    own = survey.walls[number]
    where = f"band {name!r} on {wall.name!r}"
    if (own.name, own.width, own.corner) != (wall.name, wall.width, wall.corner):
        yield Violation("bands", where, "its plan is for another wall, or goes round another corner")
        return
    lines = (*_edges(stretch, number, wall), own.foot, own.top)
    worst = None
    whole, there = ([thing.box for thing in each.openings] for each in (wall, own))
    for left, right in _slices(lines, (*whole, *there)):
        over_whole, over_own = covers_across(whole, left, right), covers_across(there, left, right)
        for foot, under, over, top, own_foot, own_top in zip(*(line.ends(left, right) for line in lines), strict=True):
            wanted = _papered(sorted((foot, under, top))[1], sorted((foot, over, top))[1], over_whole)
            found = _papered(own_foot, own_top, over_own)
            away = _away(wanted, found)
            if away > _OFF and (worst is None or away > worst[0]):
                worst = away, left
    if worst is not None:
        message = f"its plan is for a stretch of wall that is {mm(worst[0])} off at {mm(worst[1])} along it"
        yield Violation("bands", where, message, worst[0])


def _things_rule(where: str, room: PartedRoom, wall: Wall, own: Wall) -> Iterator[Violation]:
    """Require what stands on a band's wall to be what stands on the whole wall, each thing once and where it is.

    An opening that lies in another band stands there as a fitting. Of a wall on which the band has nothing, and of the
    places that a let-in border takes, it is enough that nothing hangs there.
    """
    if own.openings == (nothing_of(wall),):
        return
    let_in = tuple(
        border.name for border in room.borders if border.is_let_in and border.framed is None and not border.is_raked
    )
    (openings, fittings), (whole, fixed) = (
        [[thing for thing in things if not _is_of(thing, let_in)] for things in (each.openings, each.fittings)]
        for each in (own, wall)
    )
    there = {thing.name: thing for thing in whole}
    times = Counter(thing.name for thing in openings)
    for thing in openings:
        if times[thing.name] > 1 or thing.name not in there or _across(thing) != _across(there[thing.name]):
            message = "has another reveal or place than in the whole room, is another thing, or is told twice"
            yield Violation("bands", where, f"{thing.name!r} {message}")
    named = {*times, *(thing.name for thing in fixed)}
    apart = (replace(thing, kind=_MARK, reveal=NOTHING) for thing in whole if thing.name not in named)
    if fittings != [*fixed, *apart]:
        message = "what is fixed to it, or lies in another band, is not told as in the whole room"
        yield Violation("bands", where, message)


def _is_of(thing: Thing, borders: Sequence[str]) -> bool:
    """Return whether a thing is what a border takes of a wall, beside openings in several pieces."""
    return any(thing.name == name or thing.name.startswith(f"{name} ") for name in borders)


def _across(thing: Thing) -> tuple[object, ...]:
    """Return what of an opening is the same in every band."""
    return thing.kind, thing.left, thing.right, thing.reveal


def nothing_of(wall: Wall) -> Thing:
    """Return what takes all of a wall of which a band has nothing."""
    foot, top = wall.foot.span(NOTHING, wall.width)[0], wall.top.span(NOTHING, wall.width)[1]
    return Thing("opening", "nothing here", NOTHING, wall.width, foot, top, NOTHING)


def _papered(foot: Fraction, top: Fraction, openings: set[_Heights]) -> list[_Heights]:
    """Return the heights from ``foot`` to ``top`` that lie in no opening, from the foot up, slivers passed over."""
    return [(low, high) for low, high in uncovered(foot, top, openings) if high - low > _OFF]


def _away(wanted: Sequence[_Heights], found: Sequence[_Heights]) -> Fraction:
    """Return by how much two lists of heights differ at most."""
    if len(wanted) != len(found):
        return max(high - low for low, high in (*wanted, *found))
    pairs = [(abs(one[0] - other[0]), abs(one[1] - other[1])) for one, other in zip(wanted, found, strict=True)]
    return max((max(pair) for pair in pairs), default=NOTHING)


def _slices(lines: Sequence[Edges], boxes: Iterable[Box] = ()) -> Iterator[tuple[Fraction, Fraction]]:
    """Yield the slices of a wall, slivers passed over; see :func:`slices_of`."""
    return ((left, right) for left, right in slices_of(lines, boxes) if right - left > _OFF)
