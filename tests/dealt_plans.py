"""Plans of random jobs whose drops are dealt to rolls in any order."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING

from hypothesis import strategies as st

from cutplan.paper.pattern import FREE, Pattern
from cutplan.paper.stock import Lot
from hand_plans import drop, job, packed

if TYPE_CHECKING:
    from cutplan.plan.plan import Plan


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    """Draw up to 12 drops in a few kinds, dealt to sealed rolls, and perhaps a measured one, in any order."""
    repeat = draw(st.sampled_from([Fraction(0), Fraction(640), Fraction(640, 3)]))
    pattern = Pattern(repeat, repeat / 2) if repeat else FREE
    kinds = draw(st.lists(st.tuples(st.integers(100, 2400), st.integers(0, 213)), min_size=1, max_size=4))
    picks = draw(st.lists(st.sampled_from(kinds), min_size=1, max_size=12))
    drops = [drop(str(number), height, motif) for number, (height, motif) in enumerate(picks)]
    lots = (
        Lot("roll", Fraction(100_000), count=None),
        Lot("A", Fraction(100_000), pattern.within_repeat(Fraction(130))),
    )
    dealt = draw(st.permutations([piece.label for piece in drops]))
    ends = sorted(draw(st.sets(st.integers(1, len(dealt)), max_size=4)) | {0, len(dealt)})
    rolls = [("roll", 1, dealt[first:last]) for first, last in pairwise(ends)]
    if draw(st.booleans()):
        rolls[0] = ("A", 1, rolls[0][2])
    return packed(job(drops, pattern, lots), rolls)
