"""The order of cutting, optimised once the number of rolls is settled.

Among all ways to lay out the drops on the same rolls, that one is sought whose cutting follows the hanging most
closely: with no more than so many rolls open at once, the fewest drops lie cut and waiting at any moment and, with
as few, the furthest is cut least far ahead.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from msgspec.structs import replace

from cutplan.plan.order import USUAL_OPEN_ROLLS, CuttingOrder, Follow
from cutplan.plan.plan import Plan
from cutplan.plan.waiting import pieces_in_order, turns_of, waiting
from cutplan.solve.clock import UNHURRIED, Clock
from cutplan.solve.search.outcome import say_nothing
from cutplan.table.hanging_order import Walk, walk

__all__ = ["EFFORT", "MOST_PIECES", "order_cuts"]

EFFORT: Final = 870_000
"""Cuts tried, and what takes as long, before the best order so far of a usual room is taken: half a second or less."""

MOST_PIECES: Final = 300
"""Jobs of more pieces than this are no room: their layouts are cut many times over, and keep their order."""


def order_cuts(
    plan: Plan,
    *,
    follow: Follow = Follow.DROPS,
    open_rolls: int = USUAL_OPEN_ROLLS,
    effort: int = EFFORT,
    clock: Clock = UNHURRIED,
    tell: Callable[[str], None] = say_nothing,
) -> Plan:
    """Return a plan that opens the same rolls, with the best order of cutting found for it.

    The value, the proof and the status stay as they are. Drops may be laid out otherwise, since many ways to cut
    the same rolls are equally good until the order decides. The same plan gives the same order on every run.

    Parameters
    ----------
    plan
        What to cut from what. A job of more than :data:`MOST_PIECES` pieces keeps its layouts and has no order.
    follow
        What the cutting keeps pace with. With :attr:`Follow.NOTHING` one roll is cut after another.
    open_rolls
        No more rolls than this are open at once, 1 or more.
    effort
        Cuts to try, about, before the best order so far is taken; in proportion more where pieces are many.
    clock
        When it ends the best order so far is taken, and the plan says that it was stopped.
    tell
        Told, in a few words, how far the search is.

    """
    if open_rolls < 1:
        raise ValueError(f"at least 1 roll must be open to cut from it, not {open_rolls}")
    if plan.job.drop_count > MOST_PIECES or not plan.layouts:
        return plan
    walked = walk(_one_by_one(plan))
    if follow is Follow.NOTHING:
        walked = replace(walked, plan=_cut_outs_last(walked.plan))
    order = _as_it_comes(walked, follow, 1 if follow is Follow.NOTHING else open_rolls)
    if order.is_proved:
        return replace(walked.plan, order=order)
    from cutplan.solve.ordering.improving import improved  # noqa: PLC0415 - late: a plan in order needs no search

    return improved(walked.plan, order, effort, clock, tell)


def _one_by_one(plan: Plan) -> Plan:
    """Return the plan with rolls that are cut alike told apart: in a room each comes at its own time."""
    layouts = (
        replace(layout, first_number=layout.first_number + roll, count=1)
        for layout in plan.layouts
        for roll in range(layout.count)
    )
    return replace(plan, layouts=tuple(layouts))


def _cut_outs_last(plan: Plan) -> Plan:
    """Return the plan with what is cut from cut-outs at its end: nothing hangs before all else is cut."""
    layouts = sorted(plan.layouts, key=lambda layout: plan.job.lot(layout.lot).waits_for is not None)
    return replace(plan, layouts=tuple(layouts))


def _as_it_comes(walked: Walk, follow: Follow, open_rolls: int) -> CuttingOrder:
    """Return an order that takes no search."""
    moves = walked.moves
    if open_rolls == 1:
        moves = tuple(index for index, layout in enumerate(walked.plan.layouts) for _ in layout.cuts)
    found = waiting(pieces_in_order(walked.plan, moves), turns_of(walked.plan.job, follow))
    return CuttingOrder(follow, open_rolls, moves, found.most, found.furthest, 0, 0)
