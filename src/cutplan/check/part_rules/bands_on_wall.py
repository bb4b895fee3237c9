"""Bands on the wall: every stretch between rails is one band's or bare, and its plan is for just that stretch."""

from __future__ import annotations

from itertools import combinations, pairwise
from typing import TYPE_CHECKING, Final, NamedTuple

from cutplan.check.report import Violation, mm
from cutplan.check.survey.wall_line import TAKEN

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from fractions import Fraction

    from cutplan.check.part_rules.stated_parts import PartedRoom, Planned, Rail
    from cutplan.check.survey.surveyed import Survey, Thing, Wall
    from cutplan.check.survey.wall_line import Edges

ONE_PAPER: Final = "paper"
"""Name of the part that papers the walls from top to foot where no band is named."""
_SHARED: Final = ("units", "trim", "cutting", "pace", "start", "finish")
_OF_A_PAPER: Final = ("paper", "roll", "offcut")
_OF_THE_WALLS: Final = ("wall", "room")
_OF_THE_ROOM: Final = ("closes", "built", "textured")
_OFF: Final = 16 * TAKEN
"""Where a rail meets a steep edge, a band's room may be this much off, in mm: the place is taken to 1/64."""


class _Stretch(NamedTuple):
    """What lies between two rails; None for the wall's own foot and top."""

    low: Rail | None
    high: Rail | None


def stretches_rule(room: PartedRoom, planned: Mapping[str, Planned]) -> Iterator[Violation]:
    """Require every stretch between rails to be one band's, and every band that is not bare to have a plan."""
    yield from _crossing_rule(room)
    yield from _told_rule(room, planned)
    if not room.rails and not room.bands:
        if ONE_PAPER not in planned:
            yield Violation("bands", "", "the walls have no plan")
        return
    for stretch in _stretches(room):
        named = [band.name for band in room.bands if (band.above, band.below) == _names(stretch)]
        if len(named) != 1:
            what = f"is covered by {' and '.join(named)}" if named else "is no band's, and not said to be bare"
            yield Violation("bands", _where(stretch), what)
    for band in room.bands:
        if (band.above, band.below) not in [_names(stretch) for stretch in _stretches(room)]:
            yield Violation("bands", f"band {band.name!r}", "lies between no two rails next to one another")
        if band.is_bare == (band.name in planned):
            yield Violation(
                "bands", f"band {band.name!r}", "has no plan" if not band.is_bare else "is bare, and planned"
            )


def _told_rule(room: PartedRoom, planned: Mapping[str, Planned]) -> Iterator[Violation]:
    """Require every plan to be that of a part, and every part that is called a band to be one."""
    for name in sorted({*room.kinds} ^ {*planned}):
        yield Violation("parts", f"part {name!r}", "has no plan" if name in room.kinds else "is not told what it is")
    names = {band.name for band in room.bands} or {ONE_PAPER}
    for name, kind in room.kinds.items():
        if kind == "band" and name not in names:
            yield Violation("bands", f"part {name!r}", "is no band of this room")


def room_rule(room: PartedRoom, planned: Mapping[str, Planned]) -> Iterator[Violation]:
    """Require the plan of each band to be for its own paper, and for its own stretch of the walls."""
    for stretch, name, table in _bands(room):
        if name not in planned:
            continue
        plan = planned[name]
        yield from asked_rule(room, f"band {name!r}", table, plan)
        yield from _room_asked_rule(room, f"band {name!r}", plan)
        if plan.survey is None or len(plan.survey.walls) != len(room.walls):
            yield Violation("bands", f"band {name!r}", "its plan is not for the walls of this room")
            continue
        for number, wall in enumerate(room.papered()):
            yield from _wall_rule(name, stretch, number, wall, plan.survey)


def _bands(room: PartedRoom) -> Iterator[tuple[_Stretch, str, Mapping[str, object]]]:
    if not room.rails and not room.bands:
        yield _Stretch(None, None), ONE_PAPER, room.scenario
    for stretch in _stretches(room):
        for band in room.bands:
            if (band.above, band.below) == _names(stretch):
                yield stretch, band.name, band.table


def _stretches(room: PartedRoom) -> list[_Stretch]:
    """Return the stretches from the foot up: rails stand in the order of their middle heights, wall after wall."""
    order = sorted(
        room.rails,
        key=lambda rail: [
            sum(_held(wall, foot, along) for along in _sides(wall))
            for wall, foot in zip(room.walls, rail.feet, strict=True)
        ],
    )
    return [_Stretch(low, high) for low, high in pairwise([None, *order, None])]


def _sides(wall: Wall) -> tuple[Fraction, ...]:
    return (wall.width * 0, wall.width)


def _held(wall: Wall, line: Edges, along: Fraction) -> Fraction:
    return sorted((min(wall.foot.at(along)), line.at(along)[0], max(wall.top.at(along))))[1]


def _names(stretch: _Stretch) -> tuple[str | None, str | None]:
    low, high = stretch
    return (None if low is None else low.name, None if high is None else high.name)


def _where(stretch: _Stretch) -> str:
    low, high = _names(stretch)
    return f"the wall from {'its foot' if low is None else repr(low)} to {'its top' if high is None else repr(high)}"


def _crossing_rule(room: PartedRoom) -> Iterator[Violation]:
    for stretch in _stretches(room):
        if stretch.low is None or stretch.high is None:
            continue
        for wall, low, high in zip(room.walls, stretch.low.heads, stretch.high.feet, strict=True):
            for left, right in _slices(wall, (wall.foot, low, high, wall.top), ()):
                for foot, under, over, top in zip(
                    *(line.ends(left, right) for line in (wall.foot, low, high, wall.top)), strict=True
                ):
                    away = sorted((foot, under, top))[1] - sorted((foot, over, top))[1]
                    if away > 0:
                        message = f"lies {mm(away)} into {stretch.low.name!r} on {wall.name!r}"
                        yield Violation("bands", f"rail {stretch.high.name!r}", message, away)
                        return


def asked_rule(
    room: PartedRoom, where: str, table: Mapping[str, object], plan: Planned, worked_out: Sequence[str] = _OF_THE_WALLS
) -> Iterator[Violation]:
    """Require what the plan of a part echoes to be what the whole scenario says of it."""
    for key in sorted({*plan.scenario, *_SHARED, *_OF_A_PAPER} - {*worked_out}):
        wanted = table.get(key, room.scenario.get(key) if key in _SHARED else None)
        if plan.scenario.get(key) != wanted:
            yield Violation("parts", where, f"{key} of its plan is not what the whole scenario says of it")


def _room_asked_rule(room: PartedRoom, where: str, plan: Planned) -> Iterator[Violation]:
    whole, own = room.scenario.get("room") or {}, plan.scenario.get("room") or {}
    assert isinstance(whole, dict)  # noqa: S101 - read as a table before
    for key in _OF_THE_ROOM:
        if isinstance(own, dict) and (own.get(key) or None) != (whole.get(key) or None):
            yield Violation("bands", where, f"{key} of its room is not that of the whole room")


def _wall_rule(name: str, stretch: _Stretch, number: int, wall: Wall, survey: Survey) -> Iterator[Violation]:
    own = survey.walls[number]
    where = f"band {name!r} on {wall.name!r}"
    if (own.name, own.width, own.corner) != (wall.name, wall.width, wall.corner):
        yield Violation("bands", where, "its plan is for another wall, or goes round another corner")
        return
    low = wall.foot if stretch.low is None else stretch.low.heads[number]
    high = wall.top if stretch.high is None else stretch.high.feet[number]
    lines = (wall.foot, low, high, wall.top, own.foot, own.top)
    worst = None
    for left, right in _slices(wall, lines, (*wall.openings, *own.openings)):
        for foot, under, over, top, own_foot, own_top in zip(*(line.ends(left, right) for line in lines), strict=True):
            wanted = _papered(sorted((foot, under, top))[1], sorted((foot, over, top))[1], _across(wall, left, right))
            found = _papered(own_foot, own_top, _across(own, left, right))
            away = _away(wanted, found)
            if away > _OFF and (worst is None or away > worst[0]):
                worst = away, left
    if worst is not None:
        message = f"its plan is for a stretch of wall that is {mm(worst[0])} off at {mm(worst[1])} along it"
        yield Violation("bands", where, message, worst[0])
    else:
        yield from _reveal_rule(where, wall, own)


def _reveal_rule(where: str, wall: Wall, own: Wall) -> Iterator[Violation]:
    whole = {thing.name: thing for thing in wall.openings}
    for thing in own.openings:
        if thing.name in whole and (thing.reveal, thing.kind) != (whole[thing.name].reveal, whole[thing.name].kind):
            yield Violation(
                "bands", where, f"{thing.name!r} has another reveal than in the whole room, or is another thing"
            )


def _across(wall: Wall, left: Fraction, right: Fraction) -> list[Thing]:
    return [thing for thing in wall.openings if thing.left <= left and right <= thing.right]


def _papered(foot: Fraction, top: Fraction, openings: Sequence[Thing]) -> list[tuple[Fraction, Fraction]]:
    """Return the heights from ``foot`` to ``top`` that lie in no opening, from the foot up, slivers passed over."""
    found, reached = [], foot
    for low, high in [*sorted((thing.foot, thing.head) for thing in openings), (top, top)]:
        if min(low, top) - reached > _OFF:
            found.append((reached, min(low, top)))
        reached = max(reached, high)
    return found


def _away(wanted: Sequence[tuple[Fraction, Fraction]], found: Sequence[tuple[Fraction, Fraction]]) -> Fraction:
    """Return by how much two lists of heights differ at most."""
    if len(wanted) != len(found):
        return max((high - low for low, high in (*wanted, *found)), default=_OFF * 0)
    pairs = [(abs(one[0] - other[0]), abs(one[1] - other[1])) for one, other in zip(wanted, found, strict=True)]
    return max((max(pair) for pair in pairs), default=_OFF * 0)


def _slices(wall: Wall, lines: Sequence[Edges], things: Sequence[Thing]) -> Iterator[tuple[Fraction, Fraction]]:
    """Yield the stretches of a wall within which no line bends or crosses another and no opening begins or ends."""
    marks = {*_sides(wall), *(bend for line in lines for bend in line.bends)}
    marks |= {side for thing in things for side in (thing.left, thing.right)}
    rough = sorted(mark for mark in marks if 0 <= mark <= wall.width)
    for left, right in pairwise(rough):
        edges = [line.ends(left, right) for line in lines]
        edges += [(height, height) for thing in things for height in (thing.foot, thing.head)]
        within = {left, right}
        for (start, end), (other_start, other_end) in combinations(edges, 2):
            before, after = start - other_start, end - other_end
            if before * after < 0:
                within.add(left + (right - left) * before / (before - after))
        for begin, stop in pairwise(sorted(within)):
            if stop - begin > _OFF:
                yield begin, stop
