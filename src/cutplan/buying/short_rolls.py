"""What happens when every roll is as short as it may legally be.

EN 233 clause 5.2.2 lets an ordinary roll be 1.5 % shorter than marked: 10.05 m may be 9.899 m. That goes for sealed
rolls in hand as well; a roll in hand that is measured is as long as it is written down.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from msgspec import Struct

from cutplan.buying.certain import Figure, certain
from cutplan.buying.need import Need
from cutplan.buying.opened_first import opened_first, oracle_for
from cutplan.lengths import Length
from cutplan.plan.plan import Plan
from cutplan.solve.clock import Clock


class TightRoll(Struct, frozen=True):
    """A roll of the plan that would not do if it were as short as it may be.

    It may be short by its ``slack``, and the shortest would lack so much for its layout. Of several cut alike ``roll``
    has the label of the last one too.
    """

    roll: str
    slack: Length
    lacking: Length


class ShortRolls(Struct, frozen=True):
    """The answer for rolls as short as they may be."""

    tolerance: Fraction
    """By how much of its length a roll may be short."""
    length: Length
    """Of a roll that is so short, of the size to be bought."""
    figure: Figure
    opened: Figure
    """Rolls to buy to be certain all the same, cut as they come, and opened and measured first."""
    plan: Plan
    """The plan for ``figure.enough`` such rolls."""


def short_rolls(need: Need, tolerance: Fraction, clock: Clock) -> ShortRolls:
    """Return what rolls short by ``tolerance`` of their length mean for ``need``.

    NoPlanError when some drop is too long for a roll so short.
    """
    short = need.shortened(tolerance)
    sure = certain(short, clock.left / 2)
    opened = opened_first(short, sure, oracle_for(short, sure), clock)
    return ShortRolls(tolerance, short.size.length, sure.figure, opened.figure, sure.plan)


def tight_rolls(plan: Plan, tolerance: Fraction) -> Iterator[TightRoll]:
    """Yield the rolls of a plan that hang on less slack than they may be short."""
    for layout in plan.layouts:
        lot = plan.job.lot(layout.lot)
        slack, shortage = plan.slack(layout), tolerance * lot.length
        if lot.is_as_sold and slack < shortage:
            yield TightRoll(lot.roll_labels(layout.first_number, layout.count), slack, shortage - slack)
