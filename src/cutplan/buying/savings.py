"""What would save a roll, each with its proved figure."""

from __future__ import annotations

from fractions import Fraction
from math import ceil
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from cutplan.buying.certain import Figure, certain_figure
from cutplan.buying.need import Need
from cutplan.job.drops import Drop
from cutplan.lengths import UNITS, Length
from cutplan.paper.pattern import Pattern
from cutplan.solve.clock import Clock
from cutplan.wording import Wording

LEAST_TRIM: Final[Length] = 2 * UNITS["in"]
"""Top and bottom together: published totals run from 2–3 in to 6 in (*Interior Decorating*). Less is not advised."""

FINEST: Final = Fraction(1)
"""A trim is cut to the millimetre."""


class Saving(Struct, frozen=True):
    """A change that saves a roll or more, as the end of "… would save", and the rolls to buy then."""

    what: Wording
    figure: Figure


class SmallerTrim(Struct, frozen=True):
    """The largest trim that needs a roll less, the rolls to buy with it, and the drops so trimmed.

    ``is_largest`` where a millimetre more is proved to need the roll again.
    """

    top: Length
    bottom: Length
    is_largest: bool
    figure: Figure
    drops: tuple[Drop, ...] = ()


class LongerRoll(Struct, frozen=True):
    """The same paper in rolls of twice the length: the length of one, and how many of them to buy."""

    length: Length
    figure: Figure


def smaller_trim(need: Need, target: int, clock: Clock) -> SmallerTrim | None:
    """Return the largest trim, shared out as it is, that does with ``target`` rolls; None when none of 2 in does.

    Less trim never needs more rolls, since a drop can be cut out of a longer one; so halving finds the largest. The
    figure is certain as the plan's is, for rolls cut as they come.
    """
    before = max(map(_trim_of, need.job.drops))
    if before <= LEAST_TRIM:
        return None
    trim = Fraction(ceil(LEAST_TRIM))
    figure = certain_figure(_with_trim(need, trim), clock)
    if figure.enough > target:
        return None
    is_largest = True
    while before - trim > FINEST:
        middle = Fraction((trim + before) // 2)
        tried = certain_figure(_with_trim(need, middle), clock)
        if tried.enough <= target:
            trim, figure = middle, tried
        else:
            before = middle
            is_largest = is_largest and tried.least > target
    drops = _with_trim(need, trim).job.drops
    drop = max(drops, key=_trim_of)
    return SmallerTrim(drop.trim_top, drop.trim_bottom, is_largest, figure, drops)


def _trim_of(drop: Drop) -> Length:
    return drop.trim_top + drop.trim_bottom


def _with_trim(need: Need, trim: Length) -> Need:
    """Return the need with no more than so much trim, top and bottom together, on any drop."""
    return need.with_drops(tuple(_trimmed(drop, trim, need.job.paper.pattern) for drop in need.job.drops))


def _trimmed(drop: Drop, trim: Length, pattern: Pattern) -> Drop:
    """Return a drop with so much trim in all, shared out as before, in whole millimetres at the top.

    What is slit off beside it is as long as it is cut, and so is shorter too.
    """
    if _trim_of(drop) <= trim:
        return drop
    top = Fraction(round(trim * drop.trim_top / _trim_of(drop)))
    top = min(max(top, trim - drop.trim_bottom), drop.trim_top)  # neither end ever longer than before
    less = replace(drop, trim_top=top, trim_bottom=trim - top)
    lower = drop.trim_top - top
    cut_outs = (
        replace(each, length=less.cut_length, first_motif=pattern.within_repeat(each.first_motif - lower))
        if each.length == drop.cut_length
        else each
        for each in drop.cut_outs
    )
    return replace(less, cut_outs=tuple(cut_outs))


def longer_roll(need: Need, clock: Clock) -> LongerRoll:
    """Return how many rolls of twice the length are certain to be enough."""
    length = 2 * need.size.length
    return LongerRoll(length, certain_figure(need.with_length(length), clock))
