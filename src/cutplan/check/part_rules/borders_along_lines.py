"""Borders round a room, along slopes and stairs too: strips on the line asked for, ends plumb, mitred or square."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise
from math import isqrt
from typing import Final

from cutplan.check.part_rules.stated_parts import Border, Hangs, On, PartedRoom, Strip
from cutplan.check.report import Violation, mm
from cutplan.check.survey.surveyed import Thing, Wall
from cutplan.check.survey.wall_line import TAKEN, Leg, legs_of, length_along

_FINE: Final = 10**9


def line_rule(room: PartedRoom, border: Border, hangs: Hangs, where: str) -> Iterator[Violation]:
    """Require strips on the line once, but where an opening takes all of the border, and their ends cut to meet."""
    for wall, line in zip(room.framed(), border.lines, strict=True):
        legs = list(legs_of(line))
        placed = sorted(
            (on.left, on.right, on, rise)
            for strip in hangs.strips
            for on, rise in zip(strip.stretches, strip.rises, strict=True)
            if on.wall == wall.name
        )
        for left, _, on, rise in placed:
            yield from _lies_rule(border, legs, on, rise, f"{where} on {wall.name!r} at {mm(left)}")
        for one, other in pairwise(placed):
            if other[0] < one[1]:
                yield Violation("borders", where, f"covers {wall.name!r} twice at {mm(other[0])} along it")
        yield from _cover_rule(border, wall, legs, [on for _, _, on, _ in placed], where)
    lines = {wall.name: list(legs_of(line)) for wall, line in zip(room.walls, border.lines, strict=True)}
    for strip in hangs.strips:
        yield from _ends_rule(border, lines, hangs, strip, where)


def _leg_of(legs: list[Leg], on: On) -> Leg | None:
    return next((leg for leg in legs if leg.left <= on.left and on.right <= leg.right), None)


def _lies_rule(border: Border, legs: list[Leg], on: On, rise: Fraction, where: str) -> Iterator[Violation]:
    """Require a stretch to lie on the line, straight, and to be as wide as the border."""
    leg = _leg_of(legs, on)
    if leg is None or on.right <= on.left:
        yield Violation("borders", where, "goes on over a change of rake, or beyond the wall")
        return
    edge = on.head if border.is_by_top else on.foot
    away = max(abs(edge - leg.at(on.left)), abs(edge + rise - leg.at(on.right)))
    if away:
        message = f"hangs at another height: it lies {mm(away)} off the line that was asked for"
        yield Violation("borders", where, message, away)
    if on.head - on.foot != border.width:
        yield Violation("borders", where, "is not as wide as the border")


def _cover_rule(border: Border, wall: Wall, legs: list[Leg], hung: list[On], where: str) -> Iterator[Violation]:
    for leg in legs:
        sides = {side for thing in wall.openings for side in (thing.left, thing.right)}
        sides |= {side for on in hung for side in (on.left, on.right)}
        marks = sorted({leg.left, leg.right, *(side for side in sides if leg.left < side < leg.right)})
        for left, right in pairwise(marks):
            is_open = any(
                thing.left <= left and right <= thing.right and _takes(border, leg, thing) for thing in wall.openings
            )
            if is_open == any(on.left <= left and right <= on.right for on in hung):
                does = "hangs over an opening of" if is_open else "leaves bare"
                yield Violation("borders", where, f"{does} {wall.name!r} from {mm(left)} to {mm(right)}", right - left)


def _takes(border: Border, leg: Leg, thing: Thing) -> bool:
    """Return True when an opening takes all of the border along as much of a straight stretch as it lies over."""
    plumb = border.width * length_along(leg.right - leg.left, leg.end - leg.start) / (leg.right - leg.left)
    edges = [leg.at(max(thing.left, leg.left)), leg.at(min(thing.right, leg.right))]
    low, high = min(edges), max(edges)
    low, high = (low - plumb, high) if border.is_by_top else (low, high + plumb)
    return thing.foot <= low and thing.head >= high


def _ends_rule(
    border: Border, lines: dict[str, list[Leg]], hangs: Hangs, strip: Strip, where: str
) -> Iterator[Violation]:
    """Require ends to be mitred to a strip of another rake, square to one of the same, and else plumb."""
    for is_left, on, lean in ((True, strip.stretches[0], strip.leans[0]), (False, strip.stretches[-1], strip.leans[1])):
        own = _leg_of(lines.get(on.wall, []), on)
        if own is None:
            continue
        beside = [
            each
            for other in hangs.strips
            for each in other.stretches
            if each.wall == on.wall and (each.right == on.left if is_left else each.left == on.right)
        ]
        met = _leg_of(lines[on.wall], beside[0]) if beside else None
        way = -1 if border.is_by_top else 1
        run, rise = own.right - own.left, way * (own.end - own.start)
        wanted = border.width * rise / run
        if met is not None:
            other_run, other_rise = met.right - met.left, way * (met.end - met.start)
            cross, dot = run * other_rise - rise * other_run, run * other_run + rise * other_rise
            product = (run**2 + rise**2) * (other_run**2 + other_rise**2)
            wanted = -border.width * cross / (dot + Fraction(isqrt(int(product * _FINE**2)), _FINE))
        away = abs(lean - wanted)
        if away > TAKEN:
            end = "left" if is_left else "right"
            message = f"the {end} end of strip {strip.drop} leans {mm(lean)}, and must lean {mm(wanted)} to meet"
            yield Violation("borders", where, message, away)
