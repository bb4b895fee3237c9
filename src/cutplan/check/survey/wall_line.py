"""The line along the top or the foot of a wall, as straight edges."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from itertools import pairwise
from math import ceil, floor, isqrt
from typing import Final, NamedTuple, TypeAlias

from msgspec import Struct

Point: TypeAlias = "tuple[Fraction, Fraction]"
"""Distance from the wall's left edge, height above the floor line; mm."""
Box: TypeAlias = "tuple[Fraction, Fraction, Fraction, Fraction]"
"""A rectangle of wall: its left and its right edge along the wall, its foot and its head above the floor line."""

TAKEN: Final = Fraction(1, 64)
"""Paper may reach to the next multiple of this, in mm, beyond a height on a slope."""


def is_taken_up(said: Fraction, height: Fraction) -> bool:
    """Return True when the top of paper is said to be at a height of wall, or the next 1/64 mm above it."""
    return said in (height, ceil(height / TAKEN) * TAKEN)


def is_taken_down(said: Fraction, height: Fraction) -> bool:
    """Return True when the foot of paper is said to be at a height of wall, or the next 1/64 mm below it."""
    return said in (height, floor(height / TAKEN) * TAKEN)


class Edges(Struct, frozen=True):
    """A line from the left edge of a wall to its right one.

    ``points`` are those that it was measured by, left to right, a step where two are at one place; ``edges`` the ends
    of each straight edge between them, steps left out, for they have no width.
    """

    points: tuple[Point, ...]
    edges: tuple[tuple[Point, Point], ...]

    @classmethod
    def through(cls, points: Sequence[Point], width: Fraction) -> Edges:
        """Return the line through points; a line of one height is level over the whole ``width``."""
        if len({height for _, height in points}) == 1:
            points = [(width * 0, points[0][1]), (width, points[0][1])]
        edges = tuple((before, after) for before, after in pairwise(points) if before[0] < after[0])
        return cls(tuple(points), edges)

    @property
    def bends(self) -> tuple[Fraction, ...]:
        """Where one edge ends and the next begins, the wall's own ends among them."""
        return tuple(along for edge in self.edges for along, _ in edge)

    def span(self, left: Fraction, right: Fraction) -> tuple[Fraction, Fraction]:
        """Return the least and the greatest height strictly between two places; beyond the wall, that of its end."""
        heights = [height for along, height in self.points if left < along < right]
        heights += [height for edge in self.edges for height in _clipped(edge, left, right)]
        heights = heights or [self.points[-1][1]]
        return min(heights), max(heights)

    def ends(self, left: Fraction, right: Fraction) -> tuple[Fraction, Fraction]:
        """Return the heights at both ends of a stretch without a bend in it, seen from within."""
        for edge in self.edges:
            if edge[0][0] <= left and right <= edge[1][0]:
                low, high = _clipped(edge, left, right)
                return low, high
        raise ValueError("there is a bend in the stretch")

    def at(self, along: Fraction) -> list[Fraction]:
        """Return the height at one place: both of a step, be it in the very corner."""
        outer = [height for place, height in (self.points[0], self.points[-1]) if place == along]
        return outer + [_height(edge, along) for edge in self.edges if edge[0][0] <= along <= edge[1][0]]

    def raised(self, by: Fraction) -> Edges:
        """Return a line so much higher, never below the floor line."""
        return Edges.through([(along, max(height + by, 0 * by)) for along, height in self.points], self.points[-1][0])


def slices_of(lines: Sequence[Edges], boxes: Iterable[Box]) -> Iterator[tuple[Fraction, Fraction]]:
    """Yield the slices of a wall across which no line bends or passes another, and nothing begins or ends, in order.

    So what holds at the two ends of a slice holds all across it. ``lines`` run from edge to edge of the wall; none of
    them passes the foot or the head of a box within a slice.
    """
    boxes, (left_end, *_, right_end) = list(boxes), lines[0].bends
    marks = {bend for line in lines for bend in line.bends} | {side for box in boxes for side in box[:2]}
    heights = {height for box in boxes for height in box[2:]}
    for left, right in pairwise(sorted(mark for mark in marks if left_end <= mark <= right_end)):
        edges, within = [line.ends(left, right) for line in lines], {left, right}
        for number, (start, end) in enumerate(edges):
            level = [(height, height) for height in heights] if start != end else []  # Level, it passes none of them.
            for other_start, other_end in (*edges[:number], *level):
                before, after = start - other_start, end - other_end
                if before * after < 0:
                    within.add(left + (right - left) * before / (before - after))
        yield from pairwise(sorted(within))


def covers_across(boxes: Iterable[Box], left: Fraction, right: Fraction) -> set[tuple[Fraction, Fraction]]:
    """Return from which foot to which head each box lies that goes all across a slice."""
    return {(foot, head) for begin, end, foot, head in boxes if begin <= left and right <= end}


def uncovered(
    foot: Fraction, top: Fraction, covers: Iterable[tuple[Fraction, Fraction]]
) -> Iterator[tuple[Fraction, Fraction]]:
    """Yield the heights from ``foot`` to ``top`` that lie under nothing of ``covers``, from the foot up."""
    for low, high in (*sorted(covers), (top, top)):
        if foot < min(low, top):
            yield foot, min(low, top)
        foot = max(foot, high)


def _clipped(edge: tuple[Point, Point], left: Fraction, right: Fraction) -> tuple[Fraction, ...]:
    start, end = max(left, edge[0][0]), min(right, edge[1][0])
    return (_height(edge, start), _height(edge, end)) if start < end else ()


def _height(edge: tuple[Point, Point], along: Fraction) -> Fraction:
    (left, low), (right, high) = edge
    return low if low == high else low + (high - low) * (along - left) / (right - left)


class Leg(NamedTuple):
    """A straight stretch of the line: along the wall, and its heights at both ends."""

    left: Fraction
    right: Fraction
    start: Fraction
    end: Fraction

    def at(self, along: Fraction) -> Fraction:
        """Return its height at a place along the wall."""
        return self.start + (self.end - self.start) * (along - self.left) / (self.right - self.left)


def length_along(run: Fraction, rise: Fraction) -> Fraction:
    """Return how long a straight stretch is, along a slope up to the next 1/64 mm."""
    if not rise:
        return run
    square = (run * run + rise * rise) / TAKEN**2
    root = isqrt(int(square))
    return (root if root * root == square else root + 1) * TAKEN


def legs_of(line: Edges) -> Iterator[Leg]:
    """Yield the straight stretches of a line, left to right, those that go on as they were in one."""
    held: Leg | None = None
    for (left, start), (right, end) in line.edges:
        leg = Leg(left, right, start, end)
        if held is not None and (held.right, held.end) == (left, start) and _is_straight(held, leg):
            held = Leg(held.left, right, held.start, end)
            continue
        if held is not None:
            yield held
        held = leg
    if held is not None:
        yield held


def _is_straight(one: Leg, other: Leg) -> bool:
    return (one.end - one.start) * (other.right - other.left) == (other.end - other.start) * (one.right - one.left)
