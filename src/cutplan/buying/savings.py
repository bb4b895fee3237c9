"""What would save a roll, each with its proved figure, and what a spoiled drop would cost."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil
from typing import TYPE_CHECKING, Final

from cutplan.buying.certain import Figure, certain_figure, figure_of
from cutplan.lengths import UNITS

if TYPE_CHECKING:
    from cutplan.buying.certain import Certain
    from cutplan.buying.need import Need
    from cutplan.job.drops import Drop
    from cutplan.lengths import Length
    from cutplan.plan.plan import Plan, RollLayout
    from cutplan.solve.clock import Clock
    from cutplan.solve.instance import Instance
    from cutplan.wording import Wording

LEAST_TRIM: Final[Length] = 2 * UNITS["in"]
"""Top and bottom together: published totals run from 2–3 in to 6 in (*Interior Decorating*). Less is not advised."""

FINEST: Final = Fraction(1)
"""A trim is cut to the millimetre."""


@dataclass(frozen=True, slots=True)
class Saving:
    """A change that saves a roll or more.

    Attributes
    ----------
    what
        The change, as the end of "… would save".
    figure
        Rolls to buy then.

    """

    what: Wording
    figure: Figure


@dataclass(frozen=True, slots=True)
class SmallerTrim:
    """The largest trim that needs a roll less.

    Attributes
    ----------
    top, bottom
        Of each drop.
    is_largest
        True when a millimetre more is proved to need the roll again.
    figure
        Rolls to buy with it.

    """

    top: Length
    bottom: Length
    is_largest: bool
    figure: Figure


@dataclass(frozen=True, slots=True)
class LongerRoll:
    """The same paper in rolls of twice the length.

    Attributes
    ----------
    length
        Of one.
    figure
        How many of them to buy.

    """

    length: Length
    figure: Figure


@dataclass(frozen=True, slots=True)
class Spoiled:
    """What it costs when one drop is spoiled and has to be cut again.

    Attributes
    ----------
    figure
        Rolls to buy that are certain to be enough whichever drop it is.
    dearest
        Labels of drops any one of which, spoiled, needs more rolls than the plan has; empty when none does.
    is_left_over
        True when any drop can be cut again from what the plan leaves over; otherwise the spare paper must be planned
        for before the first cut.

    """

    figure: Figure
    dearest: tuple[str, ...]
    is_left_over: bool


def smaller_trim(need: Need, sure: Certain, clock: Clock) -> SmallerTrim | None:
    """Return the largest trim, shared out as now, that needs a roll less; None when none of at least 2 in does.

    Less trim never needs more rolls, since a drop can be cut out of a longer one; so halving finds the largest. The
    figure is certain as the plan's is, for rolls cut as they come.
    """
    before = max(map(_trim_of, need.job.drops))
    if before <= LEAST_TRIM or not sure.figure.is_exact:
        return None
    target = sure.figure.enough - 1
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
    drop = max(_with_trim(need, trim).job.drops, key=_trim_of)
    return SmallerTrim(drop.trim_top, drop.trim_bottom, is_largest, figure)


def _trim_of(drop: Drop) -> Length:
    return drop.trim_top + drop.trim_bottom


def _with_trim(need: Need, trim: Length) -> Need:
    """Return the need with no more than so much trim, top and bottom together, on any drop."""
    return need.with_drops(tuple(_trimmed(drop, trim) for drop in need.job.drops))


def _trimmed(drop: Drop, trim: Length) -> Drop:
    """Return a drop with so much trim in all, shared out as before, in whole millimetres at the top."""
    if _trim_of(drop) <= trim:
        return drop
    top = Fraction(round(trim * drop.trim_top / _trim_of(drop)))
    return replace(drop, trim_top=top, trim_bottom=trim - top)


def longer_roll(need: Need, clock: Clock) -> LongerRoll:
    """Return how many rolls of twice the length are certain to be enough."""
    length = 2 * need.size.length
    return LongerRoll(length, certain_figure(need.with_length(length), clock))


def spoiled(need: Need, sure: Certain, clock: Clock) -> Spoiled:
    """Return what one spoiled drop costs, whichever it is.

    Of drops with the same place in the print only the longest is looked at: what does for it does for the others.
    """
    scaled = need.scaled
    longest: dict[int, int] = {}
    for index, kind in enumerate(scaled.instance.kinds):
        known = longest.get(kind.phase)
        if known is None or kind.length > scaled.instance.kinds[known].length:
            longest[kind.phase] = index
    worst = sure.figure
    dearest: list[str] = []
    is_left_over = True
    for index in sorted(longest.values()):
        label = scaled.drops_of[index][0]
        if any(_has_room(sure.plan, layout, need.to_buy.drop(label)) for layout in sure.plan.layouts):
            continue
        is_left_over = False
        if not clock.left:
            # Not looked at any more: a roll more is always enough for one drop.
            worst = Figure(max(worst.enough, sure.figure.enough + 1), worst.least)
            break
        figure = figure_of(_with_one_more(scaled.instance, index), clock)
        if figure.enough > sure.figure.enough:
            dearest.append(label)
        worst = Figure(max(worst.enough, figure.enough), max(worst.least, figure.least))
    return Spoiled(worst, tuple(dearest), is_left_over)


def _has_room(plan: Plan, layout: RollLayout, drop: Drop) -> bool:
    """Return True when ``drop`` can be cut from what such a roll is certain to have left."""
    lot = plan.job.lot(layout.lot)
    if lot.parts or lot.is_foot_first or lot.is_offcut:
        return False
    last = layout.cuts[-1]
    motif = last.start + plan.job.drop(last.drop).motif_below_cut
    start = last.end + plan.job.paper.pattern.within_repeat(motif - drop.motif_below_cut - last.end)
    return start + drop.cut_length <= lot.length


def _with_one_more(instance: Instance, kind: int) -> Instance:
    demands = [wanted.demand + (index == kind) for index, wanted in enumerate(instance.kinds)]
    return instance.with_demands(demands, [roll.supply for roll in instance.roll_types])
