"""The whole answer to «how much to order?», of a paper that is cut to order."""

from __future__ import annotations

from math import ceil

from msgspec import Struct

from cutplan.buying.by_length import Order, cost_of_a_cut, order_in_two, shortest_order
from cutplan.buying.how_many import Wishes, with_spare
from cutplan.buying.thumb_rules import YARDAGE_ALLOWANCE
from cutplan.job.job import Job
from cutplan.lengths import UNITS, ZERO, Length
from cutplan.solve.clock import Clock


class OrderAnswer(Struct, frozen=True):
    """How much to order, and what else was found out."""

    job: Job
    """What it is for, with the spare drop if one is wanted; its rolls are in hand."""
    order: Order
    """The shortest that is certain."""
    in_two: Order | None
    """The same if it comes in two pieces, wherever it is cut in two; None where it comes in several anyhow."""
    with_spare: Order
    """The same with one more of the longest drop."""
    rules: tuple[tuple[str, int], ...]
    """Rules of thumb, each with its answer in the unit in which the paper is sold."""

    @property
    def for_a_cut(self) -> Length:
        """What is enough for one piece more, wherever it is cut: the drop that would lie there, and a lead-in."""
        return cost_of_a_cut(self.job)


def how_much(job: Job, wishes: Wishes) -> OrderAnswer:
    """Return how much to order for a job, beside the rolls and offcuts that it has in hand.

    NoPlanError as :func:`~cutplan.buying.by_length.shortest_order`.
    """
    job = with_spare(job) if wishes.wants_spare else job
    clock = Clock(wishes.seconds)
    order = shortest_order(job, clock.left / 2)
    in_two = order_in_two(job, order, clock.left / 2)
    return OrderAnswer(job, order, in_two, shortest_order(with_spare(job), clock.left), tuple(_rules(job)))


def _rules(job: Job) -> list[tuple[str, int]]:
    unit = UNITS[job.paper.sale.unit or "m"] * job.paper.sale.packet
    end_to_end = sum((drop.cut_length * drop.count for drop in job.drops), ZERO)
    # Every piece has the roll's width, so that areas are as heights are.
    height = sum((drop.height * drop.count for drop in job.drops), ZERO)
    return [
        ("all drops end to end, trims and all", ceil(end_to_end / unit)),
        ("area", ceil(height / unit)),
        ("area and 10 %", ceil(height * (1 + YARDAGE_ALLOWANCE) / unit)),
    ]
