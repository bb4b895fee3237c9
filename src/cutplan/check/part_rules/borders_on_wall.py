"""Borders on the wall: the run covered once, strips as long as what they cover, the print going on at each joint."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from typing import Final

from cutplan.check.part_rules.bands_on_wall import asked_rule
from cutplan.check.part_rules.borders_along_lines import line_rule
from cutplan.check.part_rules.stated_parts import Border, Hangs, On, PartedRoom, Planned, Strip, frame_of
from cutplan.check.report import Violation, mm
from cutplan.check.stated.fields import NOTHING
from cutplan.check.survey.surveyed import Wall
from cutplan.check.survey.wall_line import TAKEN, length_along

_WORKED_OUT: Final = ("drop", "trim", "start", "finish")
_OF_A_STRIP: Final = frozenset(("label", "height", "first_motif", "wall", "along"))
_SIDES: Final = ("left", "head", "right", "foot")


def borders_rule(room: PartedRoom, planned: Mapping[str, Planned]) -> Iterator[Violation]:
    """Require every border to have its plan, and that to hang as the border was asked for."""
    names = {border.name for border in room.borders}
    for name, kind in room.kinds.items():
        if kind == "border" and name not in names:
            yield Violation("borders", f"part {name!r}", "is no border of this room")
    for border in room.borders:
        where = f"border {border.name!r}"
        if border.name not in planned or border.name not in room.hangs:
            yield Violation("borders", where, "has no plan")
            continue
        plan, hangs = planned[border.name], room.hangs[border.name]
        yield from asked_rule(room, where, _cut_apart(border.table), plan, _WORKED_OUT)
        yield from _strips_rule(border, hangs, plan, where)
        if [strip.drop for strip in hangs.strips] != list(plan.wanted.drops):
            yield Violation("borders", where, "its strips are not the drops of its plan, in order")
        elif border.framed is None:
            yield from _run_rule(room, border, hangs, plan, where)
        else:
            yield from _frame_rule(room.walls, border, hangs, plan, where)


def _strips_rule(border: Border, hangs: Hangs, plan: Planned, where: str) -> Iterator[Violation]:
    """Require each strip to be cut once, as wide as the border, for the wall on which it begins, and to hang along."""
    begins = {strip.drop: on.wall for strip in hangs.strips for on in strip.stretches[:1]}
    if any(drop.wall != begins.get(label, drop.wall) for label, drop in plan.wanted.drops.items()):
        yield Violation("borders", where, "a strip is cut for another wall than it begins on")
    for drop in plan.wanted.drops.values():
        if (drop.trim_top, drop.trim_bottom) != (border.ends, border.ends):
            yield Violation("borders", where, f"strip {drop.label} is not cut {mm(border.ends)} longer at either end")
    listed = plan.scenario.get("drop")
    more = sorted({key for drop in (listed if isinstance(listed, list) else []) for key in drop} - _OF_A_STRIP)
    if more:
        yield Violation("borders", where, f"{more[0]} is told of a strip, which hangs once, whole, and as it is")
    if border.framed is None and any(strip.side is not None for strip in hangs.strips):
        yield Violation("borders", where, "a strip is said to lie on a side, and it goes along walls")
    if border.framed is not None and any(any((*strip.leans, *strip.rises)) for strip in hangs.strips):
        yield Violation("borders", where, "a strip is said to lean or to rise, and it lies round an opening")
    if any(drop.is_along is False for drop in plan.wanted.drops.values()):
        yield Violation("borders", where, "a strip is said not to hang along its length")


def _cut_apart(table: Mapping[str, object]) -> Mapping[str, object]:
    """Return a border of which a roll has several side by side as it is planned: a packet, or an order, of strips."""
    paper, rolls = table.get("paper"), table.get("roll")
    if not isinstance(paper, dict):
        return table
    across, packet, singles = _whole(table, "across"), _whole(paper, "packet"), _whole(paper, "singles")
    price = paper.get("price")
    if across in (None, 1) or packet is None or singles is None or not isinstance(price, int | float | Decimal | None):
        return table
    if "sold_by" in paper:
        paper = {**paper, "across": across}
    else:
        per: dict[object, Fraction] = {"packet": Fraction(1), "single": Fraction(packet * singles)}
        times = per.get(paper.get("price_per"), Fraction(packet))
        of_all = {} if price is None else {"price": float(Fraction(str(price)) * times), "price_per": "packet"}
        whole = {key: value for key, value in paper.items() if key != "singles"}
        paper = {**whole, "packet": packet * across, **of_all}
    listed = rolls if isinstance(rolls, list) else []
    counted = [
        {**roll, "count": count * across} if isinstance(roll, dict) and (count := _whole(roll, "count")) else roll
        for roll in listed
    ]
    return {**table, "paper": paper, **({"roll": counted} if counted else {})}


def _whole(table: Mapping[str, object], key: str) -> int | None:
    """Return a count, 1 where none is told; None for what is no whole number from 1 on."""
    count = table.get(key, 1)
    return count if isinstance(count, int) and not isinstance(count, bool) and count > 0 else None


# Round the room


def _run_rule(room: PartedRoom, border: Border, hangs: Hangs, plan: Planned, where: str) -> Iterator[Violation]:
    names = {wall.name for wall in room.walls}
    told = {on.wall for strip in hangs.strips for on in strip.stretches} | (
        {hangs.closes.wall} if hangs.closes else set()
    )
    if not told <= names or not all(strip.stretches for strip in hangs.strips):
        yield Violation("borders", where, "a strip lies on no wall of this room")
        return
    yield from line_rule(room, border, hangs, where)
    lefts = _lefts(room)
    for strip in hangs.strips:
        leaning = max(strip.leans[1], NOTHING) - min(strip.leans[0], NOTHING)
        covers = sum((length for _, length in _lengths(strip)), leaning)
        yield from _length_rule(plan, strip, covers, where)
        for one, other in pairwise(strip.stretches):
            if (lefts[one.wall] + one.right - lefts[other.wall] - other.left) % lefts[""]:
                yield Violation(
                    "borders", where, f"strip {strip.drop} does not go on from {one.wall!r} to {other.wall!r}"
                )
    yield from _joints_rule(room, hangs, plan, where)
    yield from _motif_rule(room, border, hangs, plan, where)


def _length_rule(plan: Planned, strip: Strip, covers: Fraction, where: str) -> Iterator[Violation]:
    away = abs(plan.wanted.drops[strip.drop].height - covers)
    if away:
        yield Violation("borders", where, f"strip {strip.drop} is {mm(away)} off the length that it covers", away)


def _joints_rule(room: PartedRoom, hangs: Hangs, plan: Planned, where: str) -> Iterator[Violation]:
    """Require the print to go on wherever one strip ends and another begins, but where the border closes."""
    lefts = _lefts(room)
    ends = {strip.drop: _ends(lefts, strip) for strip in hangs.strips}
    closing = hangs.closes
    if (closing is not None) != room.closes:
        yield Violation("borders", where, "closes where the room does not, or the other way round")
        return
    at = None if closing is None else (lefts[closing.wall] + closing.at) % lefts[""]
    out_by = None
    for one in hangs.strips:
        for other in hangs.strips:
            place = ends[one.drop][1]
            if place != ends[other.drop][0] or (place == 0 and not room.closes):
                continue
            away = _out_of_step(plan, one, other, (abs(one.leans[1]) + abs(other.leans[0])) / 2)
            if place == at:
                out_by = away
            elif away:
                message = f"the print is {mm(away)} out of step between strips {one.drop} and {other.drop}"
                yield Violation("borders", where, message, away)
    if closing is not None and closing.is_hidden != (out_by is None):
        yield Violation("borders", where, "a joint where it closes is hidden, or one that is not there is told")
    elif closing is not None and out_by is not None and out_by != closing.out_by:
        message = f"it closes {mm(out_by)} out of step, and {mm(closing.out_by)} is told"
        yield Violation("borders", where, message, abs(out_by - closing.out_by))


def _lefts(room: PartedRoom) -> dict[str, Fraction]:
    """Return where each wall begins along the run, and under no name how long the run is."""
    lefts, at = {}, NOTHING
    for wall in room.walls:
        lefts[wall.name] = at
        at += wall.width
    return {**lefts, "": at}


def _ends(lefts: Mapping[str, Fraction], strip: Strip) -> tuple[Fraction, Fraction]:
    """Return where a strip begins and ends along the run, the end of which is its beginning too."""
    first, last = strip.stretches[0], strip.stretches[-1]
    return (lefts[first.wall] + first.left) % lefts[""], (lefts[last.wall] + last.right) % lefts[""]


def _out_of_step(plan: Planned, one: Strip, other: Strip, lap: Fraction = NOTHING) -> Fraction:
    """Return by how much the print of ``other`` does not go on from that of ``one``, of which it covers ``lap``."""
    drops, repeat = plan.wanted.drops, plan.wanted.match.repeat
    if not repeat:
        return repeat
    over = (drops[one.drop].height - lap - drops[one.drop].first_motif + drops[other.drop].first_motif) % repeat
    return min(over, repeat - over)


def _motif_rule(room: PartedRoom, border: Border, hangs: Hangs, plan: Planned, where: str) -> Iterator[Violation]:
    """Require a motif where the border starts, if a strip lies there, or on one of two that meet there."""
    repeat, (number, place) = plan.wanted.match.repeat, border.motif_at
    off: list[tuple[Fraction, Fraction]] = []
    for strip in hangs.strips if repeat else ():
        along = -min(strip.leans[0], NOTHING)
        for on, length in _lengths(strip):
            if on.wall == room.walls[number].name and on.left <= place <= on.right:
                lies = along + length * (place - on.left) / (on.right - on.left)
                over = (lies - plan.wanted.drops[strip.drop].first_motif) % repeat
                off.append((min(over, repeat - over), TAKEN if any(strip.rises) else NOTHING))
            along += length
    away, taken = min(off, default=(NOTHING, NOTHING))
    if away > taken:
        yield Violation("borders", where, f"the motif is {mm(away)} off the place where it was to lie", away)


def _lengths(strip: Strip) -> Iterator[tuple[On, Fraction]]:
    """Yield the stretches of a strip, each with its length along the strip."""
    for on, rise in zip(strip.stretches, strip.rises, strict=True):
        yield on, length_along(on.right - on.left, rise)


# Round an opening


def _frame_rule(
    walls: tuple[Wall, ...], border: Border, hangs: Hangs, plan: Planned, where: str
) -> Iterator[Violation]:
    """Require a strip on each side, as long as its outer edge, and the print to go on at the middle of each mitre."""
    assert border.framed is not None  # noqa: S101 - asked for one round an opening only
    number, thing = border.framed
    around = frame_of(walls[number], thing, border.width)
    foot = max(around.foot, walls[number].foot.span(thing.left, thing.right)[0])
    stands = around.foot == thing.foot
    places = {
        "left": (around.left, thing.left, foot, around.head),
        "head": (around.left, around.right, thing.head, around.head),
        "right": (thing.right, around.right, foot, around.head),
        "foot": (around.left, around.right, foot, thing.foot),
    }
    wanted = _SIDES[:3] if stands else _SIDES
    if tuple(strip.side for strip in hangs.strips) != wanted:
        yield Violation("borders", where, f"has not one strip each on the sides {', '.join(wanted)}, in this order")
        return
    for strip, side in zip(hangs.strips, wanted, strict=True):
        left, right, low, high = places[side]
        if strip.stretches != ((walls[number].name, left, right, low, high),):
            yield Violation("borders", where, f"strip {strip.drop} does not lie along the {side} of {thing.name!r}")
        yield from _length_rule(plan, strip, right - left if side in ("head", "foot") else high - low, where)
    for one, other in pairwise(hangs.strips):
        away = _out_of_step(plan, one, other, border.width)
        if away:
            message = f"the print is {mm(away)} out of step at the mitre of strips {one.drop} and {other.drop}"
            yield Violation("borders", where, message, away)
    if hangs.closes is not None and (hangs.closes.wall, hangs.closes.at) != (walls[number].name, around.left):
        yield Violation("borders", where, "it closes elsewhere than at the left of its foot")
    head, repeat = plan.wanted.drops[hangs.strips[1].drop], plan.wanted.match.repeat
    if repeat and (head.height / 2 - head.first_motif) % repeat:
        yield Violation("borders", where, "no motif lies in the middle of its head")
    out_by = None if stands else _out_of_step(plan, hangs.strips[-1], hangs.strips[0], border.width)
    if (None if hangs.closes is None else hangs.closes.out_by) != out_by:
        yield Violation(
            "borders", where, "it closes out of step by another length than is told, or where nothing closes"
        )
