"""What to buy, in one line, with what stands behind it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from cutplan.buying.need import Size
from cutplan.buying.odds import Odds
from cutplan.buying.reckoning import Reckoning
from cutplan.job.job import Job
from cutplan.paper.stock import Lot

LIKELY: Final = 0.5
"""So many rolls are expected to be enough whose odds are better than even."""


class Recommendation(Struct, frozen=True):
    """What to buy of one size."""

    size: Size
    buy: int
    """Rolls to buy, in whole packets: certain even if every roll is as short as it may be."""
    must_measure: bool
    """True when they are certain only if all that are needed are measured before the first cut."""
    open_first: int
    """Of these, how many are likely to be enough when measured first; the rest stay sealed until they are needed."""
    chance: Fraction
    """The chance that those are enough; 1 when it is certain."""
    of_batches: tuple[tuple[str, int], ...] = ()
    """How many of them are of each batch of the rolls in hand; empty when they may be of any one batch."""

    @property
    def returned(self) -> int:
        """Rolls expected to go back unopened, in whole packets."""
        return self.buy - self.size.bought(self.open_first)

    @property
    def cost(self) -> Fraction | None:
        """What the rolls cost; None when the price is not known."""
        return self.size.cost(self.buy)

    @property
    def refund(self) -> Fraction | None:
        """What comes back for those returned."""
        return self.size.cost(self.returned)


def recommend(found: Reckoning, odds: Sequence[Odds]) -> Recommendation:
    """Return what to buy: enough in any case, with as few rolls as measuring first allows, and what may come back.

    Rolls are opened one after another until they are enough; none is cut before that, so that nothing is lost by it.
    """
    likely = [chance for chance in odds if chance.chance > LIKELY]
    open_first, chance = (likely[0].rolls, likely[0].chance) if likely else (found.opened.figure.enough, Fraction(1))
    of_batches = _of_batches(found)
    buy = sum(rolls for _, rolls in of_batches) or found.need.size.bought(found.buy)
    must_measure = buy < found.as_they_come
    return Recommendation(found.need.size, buy, must_measure, open_first, chance, of_batches)


def _of_batches(found: Reckoning) -> tuple[tuple[str, int], ...]:
    """Return how many rolls to buy of each batch, in whole packets: of one all, of several as the plan takes them."""
    batches, bought = found.need.batches, found.need.size.bought
    if not found.buy:
        return ()
    if len(batches) == 1:
        return ((batches[0], bought(found.buy)),)
    taken = Counter({lot.batch: 0 for lot in found.need.new})
    for layout in found.plan.layouts:
        if any(layout.lot == lot.label for lot in found.need.new):
            taken[found.plan.job.lot(layout.lot).batch] += layout.count
    return tuple((batch, bought(taken[batch])) for batch in batches if taken[batch])


def sheets_to_order(job: Job, *, are_in_hand: bool) -> tuple[int, ...]:
    """Return the numbers of the sheets to order, left to right; ``are_in_hand`` tells that the job's own are there."""
    held = {lot.sheet for lot in job.rolls if are_in_hand}
    return tuple(sorted({drop.sheet for drop in job.drops if drop.sheet is not None} - held))


def with_sheets(job: Job, numbers: tuple[int, ...]) -> Job:
    """Return the job with those of these sheets that the set has and the job has not."""
    paper, there = job.paper, {lot.sheet for lot in job.rolls}
    sheets = paper.sheets
    return job if sheets is None else replace(job, lots=(*job.lots, *(
        Lot(f"sheet {number} to order", paper.roll_length, sheets.first_motif, price=paper.price, sheet=number)
        for number in numbers
        if number not in there and number <= sheets.count
    )))  # fmt: skip
