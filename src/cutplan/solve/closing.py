"""Closing the gap between a first plan and its bound: the linear programme, plans made from it, and the search."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.solve.bound import relax
from cutplan.solve.certificate import filling_prices
from cutplan.solve.clock import TIME_LIMIT, TimeIsUp
from cutplan.solve.greedy import fill_with_corrections
from cutplan.solve.rounding import dive, round_and_fill
from cutplan.solve.search import search

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cutplan.solve.clock import Clock
    from cutplan.solve.rolls import Rolls
    from cutplan.solve.strategy import Outcome

PASSES = 12
"""How often rolls are filled anew with corrected prices before the dearer stages."""


def close_gap(outcome: Outcome, rolls: Rolls, clock: Clock) -> Iterator[None]:
    """Take one stage after another, each dearer than the last, yielding after each step; a plan must be known."""
    instance = outcome.instance
    relaxation = relax(instance, rolls, outcome.layouts or {}, clock, good_enough=outcome.value)
    outcome.prove(relaxation.certificate)
    yield
    for layouts in round_and_fill(instance, rolls, relaxation):
        outcome.offer(layouts)
        yield
    prices = filling_prices(instance, relaxation.certificate)
    for layouts in fill_with_corrections(instance, rolls, prices, PASSES):
        outcome.offer(layouts)
        yield
    outcome.offer(dive(instance, rolls, relaxation, clock))
    yield
    answer = search(instance, rolls, outcome.certificate, outcome.value - 1, clock)
    outcome.offer(answer.layouts)
    if not answer.is_decided:
        clock.check()
        raise TimeIsUp(TIME_LIMIT)
    outcome.bound, outcome.by_search = outcome.value, True
    yield
