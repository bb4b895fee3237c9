"""What of a room is to be lined: walls in groups that one length may cross, a little short of whatever ends them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import accumulate
from typing import NamedTuple

from msgspec import Struct

from cutplan.check.lining_rules.stated_lining import StatedLining
from cutplan.check.stated.fields import NOTHING
from cutplan.check.survey.surveyed import Wall
from cutplan.check.survey.wall_line import Box


class ToLine(NamedTuple):
    """As much of a wall, counted from 0, as is to be lined; ``group`` tells what one length may cross together."""

    wall: int
    left: Fraction
    right: Fraction
    foot: Fraction
    top: Fraction
    group: int


class LinedRoom(Struct, frozen=True):
    """A room, and whether it closes."""

    walls: Sequence[Wall]
    closes: bool

    @property
    def lefts(self) -> tuple[Fraction, ...]:
        """Where each wall begins along the run, and where the run ends."""
        return tuple(accumulate((wall.width for wall in self.walls), initial=NOTHING))

    def is_internal(self, wall: int) -> bool:
        """Return True when a wall's left edge lies in an internal corner, or at an end of the run."""
        if not wall and not self.closes:
            return True
        return self.walls[wall - 1].corner.is_internal

    def to_line(self, lining: StatedLining) -> list[ToLine]:
        """Return what of each wall is to be lined: short of corners unless a length is carried round them."""
        short = lining.short
        if lining.patches:
            return [
                ToLine(
                    patch.wall,
                    max(patch.left, short),
                    min(patch.right, self.walls[patch.wall].width - short),
                    patch.foot,
                    patch.top,
                    number,
                )
                for number, patch in enumerate(lining.patches)
            ]
        begins = [wall for wall in range(len(self.walls)) if self._begins(wall, lining)] or [0]
        found = []
        for number, wall in enumerate(self.walls):
            left = short if number in begins else NOTHING
            right = wall.width - (short if (number + 1) % len(self.walls) in begins else 0)
            group = max((begin for begin in begins if begin <= number), default=begins[-1])
            found.append(ToLine(number, left, right, NOTHING, wall.top.span(NOTHING, wall.width)[1], group))
        return found

    def _begins(self, wall: int, lining: StatedLining) -> bool:
        """Return True when lengths begin at a wall's left edge: in an internal corner, unless they are to go round."""
        if not wall and not self.closes:
            return True
        return self.is_internal(wall) and not (lining.is_horizontal and lining.goes_round)

    def from_to(self, one: Fraction, other: Fraction, nearer_than: Fraction) -> Fraction | None:
        """Return how far right of a place of the run another lies that is so near, with no internal corner between."""
        *lefts, length = self.lefts
        turns = [lefts[wall] for wall in range(len(lefts)) if self.is_internal(wall)]
        turns += [] if self.closes else [length]
        for round_ in (-length, NOTHING, length) if self.closes else (NOTHING,):
            by = other + round_ - one
            if abs(by) < nearer_than:
                low, high = min(one, one + by), max(one, one + by)
                is_round = any(low < turn + by_ < high for turn in turns for by_ in (-length, NOTHING, length))
                return None if is_round else by
        return None


def openings_near(wall: Wall, short: Fraction) -> Iterator[Box]:
    """Yield what openings take of a wall, with as much on every side as the lining stops short of them."""
    for left, right, foot, head in (thing.box for thing in wall.openings):
        yield left - short, right + short, foot - short, head + short
