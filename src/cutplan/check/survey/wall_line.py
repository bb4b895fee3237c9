"""The line along the top or the foot of a wall, as straight edges."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import ceil, floor
from typing import Final, TypeAlias

Point: TypeAlias = "tuple[Fraction, Fraction]"
"""Distance from the wall's left edge, height above the floor line; mm."""

TAKEN: Final = Fraction(1, 64)
"""Paper may reach to the next multiple of this, in mm, beyond a height on a slope."""


def is_taken_up(said: Fraction, height: Fraction) -> bool:
    """Return True when the top of paper is said to be at a height of wall, or the next 1/64 mm above it."""
    return said in (height, ceil(height / TAKEN) * TAKEN)


def is_taken_down(said: Fraction, height: Fraction) -> bool:
    """Return True when the foot of paper is said to be at a height of wall, or the next 1/64 mm below it."""
    return said in (height, floor(height / TAKEN) * TAKEN)


@dataclass(frozen=True, slots=True)
class Edges:
    """A line from the left edge of a wall to its right one.

    Attributes
    ----------
    points
        The points that it was measured by, left to right; those at one place make a step.
    edges
        Ends of each straight edge between them, left to right; steps are left out, for they have no width.

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

    def crossings(self, height: Fraction) -> Iterator[Fraction]:
        """Yield where the line passes a height within an edge."""
        for (left, low), (right, high) in self.edges:
            if min(low, high) < height < max(low, high):
                yield left + (right - left) * (height - low) / (high - low)


def _clipped(edge: tuple[Point, Point], left: Fraction, right: Fraction) -> tuple[Fraction, ...]:
    start, end = max(left, edge[0][0]), min(right, edge[1][0])
    return (_height(edge, start), _height(edge, end)) if start < end else ()


def _height(edge: tuple[Point, Point], along: Fraction) -> Fraction:
    (left, low), (right, high) = edge
    return low if low == high else low + (high - low) * (along - left) / (right - left)
