"""Which sheets of a numbered set to order: those that hang, but for those in hand; no sheet stands in for another."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from cutplan.paper.stock import Lot

if TYPE_CHECKING:
    from cutplan.job.job import Job


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
