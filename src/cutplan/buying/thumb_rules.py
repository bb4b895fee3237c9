"""The trade's rules of thumb, so that their answers can be set beside the proved one.

None of them knows the lead-in of a roll or which pieces lie together on one. Sources are named beside each figure.
"""

from __future__ import annotations

from fractions import Fraction
from math import ceil
from typing import Final

from msgspec import Struct

from cutplan.job.job import Job
from cutplan.lengths import Length

AREA_ALLOWANCE: Final = Fraction(15, 100)
"""Allowance for waste on the area: about 15 % — *Building Trades Pocketbook*."""

LARGE_PATTERN_ALLOWANCE: Final = Fraction(1, 4)
"""One roll in four is allowed for a large pattern — household manual."""

YARDAGE_ALLOWANCE: Final = Fraction(1, 10)
"""10 % on commercial yardage — Wallcoverings Association, "Estimating commercial"."""


class ThumbRule(Struct, frozen=True):
    """A rule of thumb by what it reckons with, and its answer."""

    name: str
    rolls: int


def thumb_rules(job: Job, roll_length: Length) -> tuple[ThumbRule, ...]:
    """Return what the usual rules say for the drops of a job, on rolls of ``roll_length``.

    A rule that counts whole lengths takes pieces of half the height and more for one each, and the shorter ones
    together by what they measure. One that a full drop is too long for is left out.
    """
    full = max(job.drops, key=lambda drop: drop.height)
    lengths = whole_lengths(job)
    repeat = job.paper.pattern.repeat
    rules = []
    if full.cut_length <= roll_length:
        per_roll = drops_per_roll(roll_length, full.cut_length)
        name = f"drops per roll ({lengths} whole lengths, {per_roll} a roll)"
        rules.append(ThumbRule(name, ceil(Fraction(lengths, per_roll))))
    in_repeats = whole_repeats(full.cut_length, repeat)
    if repeat and in_repeats <= roll_length:
        per_roll = drops_per_roll(roll_length, in_repeats)
        name = f"drops per roll, cut in whole repeats ({per_roll} a roll)"
        rules.append(ThumbRule(name, ceil(Fraction(lengths, per_roll))))
    # Every piece has the roll's width, so that areas are as heights are.
    height = sum((drop.height * drop.count for drop in job.drops), Fraction(0))
    rules.append(ThumbRule("area and 15 %", rolls_by_area(height, roll_length, AREA_ALLOWANCE)))
    if repeat:
        rolls = rolls_by_area(height, roll_length, LARGE_PATTERN_ALLOWANCE)
        rules.append(ThumbRule("area and 1 roll in 4, for a large pattern", rolls))
    return tuple(rules)


def whole_lengths(job: Job) -> int:
    """Return how many whole lengths of paper the drops of a job come to, short pieces joined."""
    full = max(drop.cut_length for drop in job.drops)
    tallest = max(drop.height for drop in job.drops)
    long = sum(drop.count for drop in job.drops if 2 * drop.height >= tallest)
    short = sum((drop.cut_length * drop.count for drop in job.drops if 2 * drop.height < tallest), Fraction(0))
    return long + ceil(short / full)


def drops_per_roll(roll_length: Length, cut_length: Length) -> int:
    """Return how many drops a roll gives, counted without the match.

    >>> from cutplan.lengths import UNITS
    >>> drops_per_roll(48 * UNITS["ft"], 9 * UNITS["ft"])
    5

    """
    return int(roll_length // cut_length)


def whole_repeats(cut_length: Length, repeat: Length) -> Length:
    """Return a cut length brought up to whole repeats; for a free match, as it is.

    >>> whole_repeats(Fraction(2500), Fraction(640))
    Fraction(2560, 1)

    """
    return ceil(cut_length / repeat) * repeat if repeat else cut_length


def rolls_by_area(wall: Fraction, roll: Fraction, allowance: Fraction = Fraction(0)) -> int:
    """Return how many rolls the area of the wall comes to, with an allowance for waste.

    ``wall`` and ``roll`` are both areas, or both lengths of the same width.

    >>> rolls_by_area(Fraction(540), Fraction(63))
    9

    """
    return ceil(wall * (1 + allowance) / roll)
