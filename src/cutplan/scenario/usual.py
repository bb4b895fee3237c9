"""What lengths usually are, by their kind: a figure outside is more often a wrong unit than a wide roll.

The only place that says so. A scenario's figures outside are read as they stand and doubted at the head of its plan;
the survey by questions doubts them where they are answered.
"""

from __future__ import annotations

from typing import Final, NamedTuple

from cutplan.lengths import UNITS, Length, show

_M: Final = UNITS["m"]
_MM: Final = UNITS["mm"]
_METRIC: Final = ("mm", "cm", "m")
_IMPERIAL: Final = ("in", "ft", "yd")


class Usual(NamedTuple):
    """From what to what lengths of one kind usually are; ``of`` ends «is unusual for»."""

    of: str
    least: Length
    most: Length

    def doubt(self, length: Length, units: str) -> str | None:
        """Return a question about a length outside, with what it would be in another unit; None for a usual one.

        >>> ROLL_WIDTH.doubt(5300 * UNITS["mm"], "cm")
        '5300 mm is unusual for the width of a roll; 530 mm?'

        """
        if self.least <= length <= self.most:
            return None
        number = length / UNITS[units]
        family = _IMPERIAL if units in _IMPERIAL else _METRIC
        meant = next((unit for unit in family if self.least <= number * UNITS[unit] <= self.most), None)
        asked = f"; {show(number * UNITS[meant], meant)}?" if meant else "; is the unit right?"
        shown = show(length, units if family is _IMPERIAL else "mm")
        return f"{shown} is unusual for {self.of}{asked}"


ROLL_LENGTH: Final = Usual("the length of a roll", 2 * _M, 60 * _M)
"""From a short part roll to a contract roll of 50 yd [practice]."""
SINGLE: Final = Usual("a single, where roll_length is that of the whole roll", 4 * _M, 12 * _M)
"""From an American single of 13 1/2 ft to one of lining paper [practice]."""
ROLL_WIDTH: Final = Usual("the width of a roll", 300 * _MM, 1600 * _MM)
"""From an old narrow paper to a heavy vinyl of 1.50 m [practice]."""
SELVEDGE: Final = Usual("a selvedge", 0 * _MM, 60 * _MM)
OVERLAP: Final = Usual("a lap to be cut through", 10 * _MM, 100 * _MM)
"""Neighbours of a wide untrimmed paper share about 10 mm — UK decorator; laps are over 1/2 in — home-repair guide."""
BORDER_WIDTH: Final = Usual("the width of a border", 32 * _MM, 500 * _MM)
"""EN 233 clause 5.2.4."""
REPEAT: Final = Usual("a repeat", 10 * _MM, 3 * _M)
TRIM: Final = Usual("a trim", 0 * _MM, 300 * _MM)
WALL_WIDTH: Final = Usual("the width of a wall", 20 * _MM, 40 * _M)
HEIGHT: Final = Usual("a height to be papered", 50 * _MM, 10 * _M)
ALONG_WALLS: Final = Usual("a length along the walls", 10 * _MM, 60 * _M)
WALL_HEIGHT: Final = Usual("the height of a wall", 300 * _MM, 12 * _M)
OPENING: Final = Usual("a side of an opening", 100 * _MM, 8 * _M)
MOTIF: Final = Usual("a distance on one strip", 0 * _MM, 3 * _M)
