"""A better order of cutting, looked for: first one in which no drop waits, then the next best."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from msgspec.structs import replace

from cutplan.job.print_along import cannot_stand
from cutplan.plan.order import CuttingOrder
from cutplan.plan.plan import Plan, cut_from
from cutplan.plan.waiting import Waiting
from cutplan.solve.clock import Clock, TimeIsUp
from cutplan.solve.ordering.as_hung import as_hung
from cutplan.solve.ordering.back_to_plan import rolls_as_cut
from cutplan.solve.ordering.by_contents import least_waiting
from cutplan.solve.ordering.given import CuttingTable, is_too_large
from cutplan.solve.ordering.limits import Best, Searches, tighten
from cutplan.solve.ordering.task import Task, task_of

_NONE_WAITS: Final = Waiting(0, 0)


def improved(plan: Plan, order: CuttingOrder, effort: int, clock: Clock, tell: Callable[[str], None]) -> Plan:
    """Return the best order found by search, or ``order`` with what was learnt of it."""
    task = task_of(plan, order.follow)
    if is_too_large(task):
        return replace(plan, order=order)
    best = Best(Waiting(order.most_waiting, order.furthest_ahead))
    try:
        searches = _searches(task, order.open_rolls, best, clock)
        if searches is not None:
            tighten(searches, best, effort, tell)
    except TimeIsUp as end:
        best.stopped = end.reason
    found = replace(order, most_waiting_bound=best.most_bound, furthest_ahead_bound=best.furthest_bound)
    layouts = () if best.moves is None else rolls_as_cut(task, best.moves)
    # What falls out of a piece that is cut from an offcut itself may be too narrow in the new places: keep the old.
    if best.moves is not None and not cannot_stand(plan.job, cut_from(layouts)):
        plan = replace(plan, layouts=layouts)
        found = replace(
            found,
            most_waiting=best.waiting.most,
            furthest_ahead=best.waiting.furthest,
            moves=tuple(move.roll for move in best.moves),
        )
    return replace(plan, order=found, stopped=best.stopped or plan.stopped)


def _searches(task: Task, open_rolls: int, best: Best, clock: Clock) -> Searches | None:
    """Return where to search for the next best order; None where every drop is found to be cut as it hangs.

    An order that fits short rolls is better yet.
    """
    short = CuttingTable(task.with_short_rolls(), open_rolls, clock)
    on_short = as_hung(short)
    if on_short.moves is not None:
        best.offer(on_short.moves, _NONE_WAITS, 0)
        return None
    table = CuttingTable(task, open_rolls, clock)
    on_full = as_hung(table)
    if on_full.moves is not None:
        best.offer(on_full.moves, _NONE_WAITS, 0)
    elif on_full.is_decided:
        best.most_bound = 1
    if on_full.moves is not None and on_short.is_decided:
        return None
    best.most_bound = max(best.most_bound, least_waiting(table, best.waiting.most))
    from cutplan.solve.ordering.layered_search import Search  # noqa: PLC0415 - late: most rooms are cut as they hang

    easier = table.with_best_rolls()
    return Searches(Search(table), None if easier is None else Search(easier), Search(short))
