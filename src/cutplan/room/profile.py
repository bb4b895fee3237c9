"""Profiles: the line along the top or the foot of a wall, level, sloping or stepped."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from fractions import Fraction
from functools import cached_property
from math import ceil, floor
from operator import itemgetter
from typing import Final

from msgspec import Struct

from cutplan.lengths import ZERO, Length

SLOPE_STEP: Final = Fraction(1, 64)
"""Between two measured points of a slope a height is taken to 1/64 mm: up for the top of paper, down for its foot.

How long paper is cut is a decision, and a height reckoned along a slope carries the wall's width in its denominator;
those of a few walls together are more than any solver holds. The print is reckoned from the height that is taken, so it
stays exact.
"""

_along = itemgetter(0)


class Profile(Struct, frozen=True, dict=True):
    """The top or the foot of a wall, as a line of points joined by straight edges."""

    points: tuple[tuple[Length, Length], ...]
    """(distance from the wall's left edge, height above the floor line), left to right. Two points at the same distance
    make a step. A single point stands for a level line."""

    @cached_property
    def level(self) -> Length | None:
        """The one height of a level profile; None for any other."""
        first = self.points[0][1]
        return first if all(height == first for _, height in self.points) else None

    @classmethod
    def at_height(cls, height: Length) -> Profile:
        """Return a level profile."""
        return cls(((ZERO, height),))

    @property
    def alongs(self) -> tuple[Length, ...]:
        """Where the line may bend or step, from the wall's left edge."""
        return tuple(along for along, _ in self.points)

    def just_right_of(self, along: Length) -> Length:
        """Return the height at ``along``; at a step, that of its right side."""
        if self.level is not None:
            return self.level
        last = max(bisect_right(self.points, along, key=_along) - 1, 0)
        return self._between(last, last + 1, along)

    def just_left_of(self, along: Length) -> Length:
        """Return the height at ``along``; at a step, that of its left side."""
        if self.level is not None:
            return self.level
        first = bisect_left(self.points, along, key=_along)
        return self._between(first - 1, first, along)

    def _between(self, before: int, after: int, along: Length) -> Length:
        if before < 0:
            return self.points[0][1]
        if after >= len(self.points):
            return self.points[-1][1]
        (left, low), (right, high) = self.points[before], self.points[after]
        return low + (high - low) * (along - left) / (right - left)

    def highest(self, left: Length, right: Length) -> Length:
        """Return the greatest height between ``left`` and ``right``, up to but not over a step at either."""
        return self.level if self.level is not None else max(self._within(left, right))

    def lowest(self, left: Length, right: Length) -> Length:
        """Return the least height between ``left`` and ``right``, up to but not over a step at either."""
        return self.level if self.level is not None else min(self._within(left, right))

    def taken_up(self, height: Length) -> Length:
        """Return a height on this line as the top of paper: as measured, or the next :data:`SLOPE_STEP` above."""
        return height if self._is_measured(height) else ceil(height / SLOPE_STEP) * SLOPE_STEP

    def taken_down(self, height: Length) -> Length:
        """Return a height on this line as the foot of paper: as measured, or the next :data:`SLOPE_STEP` below."""
        return height if self._is_measured(height) else floor(height / SLOPE_STEP) * SLOPE_STEP

    def _is_measured(self, height: Length) -> bool:
        return any(height == measured for _, measured in self.points)

    def _within(self, left: Length, right: Length) -> Iterator[Length]:
        yield self.just_right_of(left)
        yield self.just_left_of(right)
        first, beyond = bisect_right(self.points, left, key=_along), bisect_left(self.points, right, key=_along)
        yield from (height for _, height in self.points[first:beyond])
