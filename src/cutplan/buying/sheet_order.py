"""Which sheets of a numbered set to order: those that hang, but for those in hand; no sheet stands in for another."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from cutplan.paper.stock import Lot
from cutplan.solve import make_plan

if TYPE_CHECKING:
    from collections.abc import Callable
    from fractions import Fraction

    from cutplan.job.job import Job
    from cutplan.plan.order import CuttingHabit
    from cutplan.plan.plan import Plan


@dataclass(frozen=True, slots=True)
class SheetOrder:
    """Sheets to order.

    Attributes
    ----------
    plan
        Of all that hangs, those to be ordered among it.
    order
        Their numbers, from left to right.
    cost
        What they cost together; None when not told.

    """

    plan: Plan
    order: tuple[int, ...]
    cost: Fraction | None


def sheet_order(
    job: Job,
    habit: CuttingHabit,
    *,
    are_in_hand: bool,
    time_limit: float = 10.0,
    progress: Callable[[str], None] | None = None,
) -> SheetOrder:
    """Return which sheets to order; ``are_in_hand`` tells that the job's own are there already.

    Raises
    ------
    NoPlanError
        When the set has too few sheets, or they do not reach: by how much.

    """
    sheets, held = job.paper.sheets, {lot.sheet for lot in job.rolls if are_in_hand}
    wanted = sorted({drop.sheet for drop in job.drops if drop.sheet is not None} - held)
    count, motif = (0, None) if sheets is None else (sheets.count, sheets.first_motif)
    there = {lot.sheet for lot in job.rolls}
    new = tuple(
        Lot(f"sheet {number} to order", job.paper.roll_length, motif, price=job.paper.price, sheet=number)
        for number in wanted
        if number not in there and number <= count
    )
    plan = make_plan(replace(job, lots=(*job.lots, *new)), habit, time_limit=time_limit, progress=progress)
    price = job.paper.price
    return SheetOrder(plan, tuple(wanted), None if price is None else price * len(wanted))
