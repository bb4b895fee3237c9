"""The straight stretches of a line along a wall, and how long they are along the slope."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import isqrt
from typing import NamedTuple

from cutplan.check.survey.wall_line import TAKEN, Edges


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
