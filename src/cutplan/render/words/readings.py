"""Readings: lengths as they are read off a tape at the table, each rounded once from its exact value.

What is cut is rounded up and what is left is rounded down, so that no piece comes out short and nothing is counted on
that is not there. Where the print must lie is rounded to the nearest mark: every cut is found by the print, so this
error, half a mark at most, lies in the trim and is never handed on to the next piece.
"""

from __future__ import annotations

from typing import Final

from cutplan.lengths import Length, Rounding, show
from cutplan.paper.stock import Lot

FEET: Final = frozenset({"in", "ft", "yd"})
TAPES: Final = {"mm": "mm", "cm": "cm", "m": "metres", "in": "feet and inches"}
"""What a reading without its unit is in."""


def to_cut(length: Length, units: str) -> str:
    """Return a length to be cut: no shorter than it must be.

    >>> from fractions import Fraction
    >>> to_cut(Fraction(640, 3), "mm"), to_cut(Fraction(2500), "in")
    ('214 mm', '8 ft 2 7/16 in')

    """
    return show(length, units, Rounding.UP)


def left_over(length: Length, units: str) -> str:
    """Return a length that is left: no longer than it is sure to be."""
    return show(length, units, Rounding.DOWN)


def place(length: Length, units: str) -> str:
    """Return a distance to a mark: to the print, or along a wall."""
    return show(length, units)


def on_tape(length: Length, units: str, rounding: Rounding = Rounding.NEAREST) -> str:
    """Return a distance as it stands on the tape itself: without its unit, feet and inches by their signs.

    >>> from fractions import Fraction
    >>> on_tape(Fraction(1830), "mm"), on_tape(Fraction("2501.9"), "in")
    ('1830', '8′ 2 1/2″')

    """
    reading = show(length, units, rounding)
    if units in FEET:
        return reading.replace(" ft", "′").replace(" in", "″")
    return reading.rpartition(" ")[0]


def between(start: Length, end: Length, units: str) -> str:
    """Return from where to where: ``0 to 272 mm``, ``2 ft 6 in to 4 ft``."""
    first, last = place(start, units), place(end, units)
    if units not in FEET:
        first = first.rpartition(" ")[0]
    return f"{first} to {last}"


def across(paper: Lot, units: str) -> list[str]:
    """Return which part of the strip's width paper has, if not all of it."""
    if paper.left is None or paper.right is None:
        return []
    return [f"from {show(paper.left, units)} to {show(paper.right, units)} of the strip's width"]


def tape_of(units: str) -> str:
    """Return what the readings of :func:`on_tape` are in."""
    return TAPES["in" if units in FEET else units]
