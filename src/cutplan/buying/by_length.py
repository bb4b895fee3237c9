"""How much to order of a paper that is cut to order off a long roll: the shortest length that is certain.

What is ordered comes in as few pieces as the shop's rolls allow: whole rolls, then the rest in one. Each piece may
begin anywhere in its repeat. A longer order is never worse, so halving finds the shortest; where all drops come off one
piece nothing is searched, for :func:`~cutplan.solve.roll.one_piece.one_piece` knows it.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from math import ceil

from msgspec import Struct
from msgspec.structs import replace

from cutplan.errors import NoPlanError
from cutplan.job.bought_beside import in_hand_for_nothing
from cutplan.job.job import Job
from cutplan.lengths import ZERO, Length
from cutplan.paper.stock import Lot, Paper
from cutplan.plan.plan import Plan
from cutplan.plan.proof import TooFewRollsError
from cutplan.solve import plan_by
from cutplan.solve.clock import Clock
from cutplan.solve.instance import scale
from cutplan.solve.roll.one_piece import in_one_order, one_piece
from cutplan.wording import unlike_all


class Order(Struct, frozen=True):
    """A length to order."""

    length: Length
    """Certain to be enough, however the pieces begin; 0 when nothing need be ordered."""
    least: Length
    """No order shorter than this is certain."""
    needed: Length | None = None
    """What the drops take up of one piece, the worst lead-in with it, to the last millimetre and less; None where they
    come off several pieces, rolls in hand or offcuts."""

    def cost(self, paper: Paper) -> Fraction | None:
        """Return what it costs; None without a price."""
        return None if paper.price is None else paper.price * self.length / paper.roll_length

    @property
    def is_proved(self) -> bool:
        """True when no shorter order is certain."""
        return self.length == self.least


def pieces_ordered(job: Job, length: Length) -> tuple[Lot, ...]:
    """Return what is ordered as it comes: whole rolls, then the rest; called unlike anything in hand.

    Of each there are as many as lie side by side.
    """
    across = job.paper.sale.packet
    whole, rest = divmod(length, job.paper.roll_length)
    label = unlike_all("piece", (lot.label for lot in (*job.lots, *job.offcuts)))
    lots = [Lot(label, job.paper.roll_length, count=int(whole) * across)] if whole else []
    return (*lots, Lot(f"{label} of the rest" if whole else label, rest, count=across)) if rest else tuple(lots)


def with_ordered(job: Job, length: Length) -> Job:
    """Return the job with what is ordered in hand, beside the rolls and offcuts that are there."""
    in_hand = (replace(lot, price=None) for lot in job.lots if lot.count is not None)
    return replace(job, lots=(*pieces_ordered(job, length), *in_hand))


def shortest_order(job: Job, seconds: float) -> Order:
    """Return the shortest order of the job's paper, beside rolls and offcuts in hand, that is certain to be enough.

    NoPlanError when a drop is longer than a roll of the shop is sure to give.
    """
    sale, longest, clock = job.paper.sale, job.paper.roll_length, Clock(seconds)
    across = sale.packet
    in_hand = bool(job.offcuts) or any(lot.count for lot in job.rolls)
    needed = one_piece_needed(job)
    one_piece_does = sale.orderable(needed) <= longest and all(drop.batch is None for drop in job.drops)
    if one_piece_does and not in_hand and across == 1:
        return Order(sale.orderable(needed), sale.orderable(needed), needed)
    is_enough = in_hand and fits(with_ordered(job, ZERO), clock)
    if is_enough:
        return Order(ZERO, ZERO)
    too_few, enough = -sale.step, sale.orderable(needed)
    if not one_piece_does:
        plan = plan_of(_in_whole_rolls(job), clock)
        if plan is None:
            raise NoPlanError("how much to order was not found in time")
        # So many whole rolls are too few, and so many enough.
        too_few = (ceil(plan.proof.bound / across) - 1) * longest
        enough = sale.packets(int(plan.value)) * longest
    found = _halved(
        lambda steps: fits(with_ordered(job, sale.least + steps * sale.step), clock),
        sale.least,
        sale.step,
        (max(int((too_few - sale.least) // sale.step), -1), ceil(max(enough - sale.least, ZERO) / sale.step)),
    )
    return found if is_enough is False else replace(found, least=ZERO)


def shortened(job: Job, order: Order, seconds: float) -> Order:
    """Return the shortest order of a job where ``order`` is that without what falls out of its drops.

    Mostly not even a step less does: asked first, that is all that is asked.
    """
    sale = job.paper.sale
    less = order.length - sale.step if order.length > sale.least else ZERO
    if order.length and fits(with_ordered(job, less), Clock(seconds)) is False:
        return replace(order, least=order.length)
    return shortest_order(job, seconds)


def one_piece_needed(job: Job) -> Length:
    """Return what all drops take up of one piece that begins anywhere, their lead-in with them."""
    scaled = scale(replace(job, lots=(Lot("piece", job.paper.roll_length),)), certain=True)
    return one_piece(scaled.instance).span * scaled.unit + job.paper.pattern.repeat


def _in_whole_rolls(job: Job) -> Job:
    """Return the job whose least value is the number of whole rolls of the shop to be bought beside what is in hand."""
    (whole,) = pieces_ordered(job, job.paper.roll_length)
    in_hand = (lot for lot in job.lots if lot.count is not None)
    return replace(job, lots=in_hand_for_nothing((*in_hand, replace(whole, count=None))))


def _halved(is_enough: Callable[[int], bool | None], least: Length, step: Length, between: tuple[int, int]) -> Order:
    """Return the shortest order between so many steps, which are too few, and so many, which are enough.

    What is not found out is taken for too few when looking for the order, and for enough when looking for its bound.
    """
    too_few, enough = between
    below = too_few
    while enough - below > 1:
        middle = (below + enough) // 2
        verdict = is_enough(middle)
        below, enough = (below, middle) if verdict else (middle, enough)
        too_few = middle if verdict is False else too_few
    doubtful = enough
    while doubtful - too_few > 1:
        middle = (too_few + doubtful) // 2
        too_few, doubtful = (middle, doubtful) if is_enough(middle) is False else (too_few, middle)
    return Order(least + enough * step, least + (too_few + 1) * step)


def fits(job: Job, clock: Clock) -> bool | None:
    """Return True when all drops are certain to come off the paper in hand; None when that was not found out."""
    if not job.must_share_batches and in_one_order(scale(job, certain=True).instance, is_tight=False):
        return True
    try:
        return bool(plan_of(job, clock))
    except TooFewRollsError as short:
        return False if short.is_proved else None


def plan_of(job: Job, clock: Clock) -> Plan | None:
    """Return the plan of a job; None when none was found in time, and :class:`TooFewRollsError` where there is none."""
    plan = plan_by(clock, job)
    return plan if plan.layouts else None


def cost_of_a_cut(job: Job) -> Length:
    """Return what is lost at most where paper is cut in two: the drop that would lie there, and a lead-in more."""
    return max(drop.cut_length for drop in job.drops) + job.paper.pattern.repeat


def order_in_two(job: Job, one: Order, seconds: float) -> Order | None:
    """Return the shortest order that is certain in two pieces too, wherever it is cut in two; None where one was not.

    No more than :func:`cost_of_a_cut` is lost, so that one piece, and so much more, is enough.
    """
    if one.needed is None or job.paper.sale.packet > 1:
        return None
    sale, clock = job.paper.sale, Clock(seconds)
    most = sale.orderable(one.needed + cost_of_a_cut(job))
    steps = int((most - one.length) / sale.step)

    def survives(steps: int) -> bool | None:
        return _survives(job, one.length + steps * sale.step, clock)

    return _halved(survives, one.length, sale.step, (-1, steps))


def _survives(job: Job, length: Length, clock: Clock) -> bool | None:
    """Return True when an order that comes in two pieces does, wherever it was cut; None when that was not found out.

    One plan does for every cut that takes no more than its slack, so the cut moves on by that. What is less than the
    unit of all lengths in either piece is of no use, so one unit is left out and only whole units are tried.
    """
    unit = scale(replace(job, lots=(Lot("piece", length),)), certain=True).unit
    cut = ZERO
    while 2 * cut <= length - unit:
        if not clock.left:
            return None
        pieces = (("piece", cut), ("other piece", length - unit - cut))
        lots = tuple(Lot(label, piece) for label, piece in pieces if piece)
        if not lots:
            return False
        try:
            plan = plan_of(replace(job, lots=lots), clock)
        except TooFewRollsError as short:
            return False if short.is_proved else None
        if plan is None:
            return None
        used = {layout.lot: layout.end for layout in plan.layouts}
        cut = length - used.get("other piece", ZERO)
    return True
