"""Closing the gap between a first plan and its bound: the linear programme, plans made from it, and the search."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from cutplan.plan.plan import TIME_LIMIT
from cutplan.solve.clock import Clock, TimeIsUp
from cutplan.solve.layout import Layout
from cutplan.solve.search.bound import Relaxation, relax
from cutplan.solve.search.certificate import filling_prices
from cutplan.solve.search.diving import FIRST, LATER, meet_bound
from cutplan.solve.search.full_rolls import decide_full_rolls
from cutplan.solve.search.gap_search import GapSearch
from cutplan.solve.search.greedy import fill_with_corrections
from cutplan.solve.search.outcome import Outcome
from cutplan.solve.search.purchase import buy_cheapest
from cutplan.solve.search.rounding import round_and_fill, round_and_relax

if TYPE_CHECKING:
    from cutplan.solve.roll.holding import Rolls
    from cutplan.solve.search.purchase import Optimise

PASSES = 12
"""How often rolls are filled anew with corrected prices before the dearer stages."""

STEPS = 3
"""Up to this gap the search asks for the bound itself, then for one more; for wider ones only for something better."""


def close_gap(
    outcome: Outcome, rolls: Rolls, known: Iterable[Layout], clock: Clock, optimise: Optimise
) -> Iterator[None]:
    """Take one stage after another, each dearer than the last, yielding after each step; a plan must be known.

    ``known`` are layouts to begin with where the match is free; ``optimise`` answers whether the rolls of one purchase
    are enough.
    """
    decide_full_rolls(outcome, clock)
    yield
    yield from meet_bound(outcome, known, FIRST, clock)
    good_enough = outcome.value if outcome.goal is None else outcome.goal + 1
    relaxation = relax(
        outcome.instance,
        rolls,
        outcome.layouts or {},
        clock,
        good_enough=good_enough,
        start=outcome.certificate,
        prove=outcome.prove,
    )
    yield
    for layouts in round_and_fill(outcome.instance, rolls, relaxation):
        outcome.offer(layouts)
        yield
    yield from buy_cheapest(outcome, rolls, clock, optimise)
    target = _target(outcome)
    tightest = min((outcome.certificate, *outcome.hints), key=lambda prices: prices.waste_at(outcome.instance, target))
    search = GapSearch(outcome.instance, rolls, tightest)
    if not search.is_small(target):
        yield from _better_plans(outcome, rolls, relaxation, clock)
    while True:
        target = _target(outcome)
        if not outcome.instance.repeat and target == outcome.bound and not search.is_small(target):
            outcome.offer(search.of_few_layouts(target, clock))
            yield
            yield from meet_bound(outcome, relaxation.columns, LATER, clock)
        _decide(outcome, search, target, clock)
        yield


def _better_plans(outcome: Outcome, rolls: Rolls, relaxation: Relaxation, clock: Clock) -> Iterator[None]:
    prices = filling_prices(outcome.instance, relaxation.certificate)
    for layouts in fill_with_corrections(outcome.instance, rolls, prices, PASSES):
        outcome.offer(layouts)
        yield
    outcome.offer(round_and_relax(outcome.instance, rolls, relaxation, clock))
    yield


def _target(outcome: Outcome) -> int:
    """Return the value to ask for: the lower it is, the fewer layouts can have part in a plan of that value."""
    if outcome.goal is not None:
        return outcome.goal
    return outcome.bound if outcome.value - outcome.bound <= STEPS else outcome.value - 1


def _decide(outcome: Outcome, search: GapSearch, target: int, clock: Clock) -> None:
    """Find out by an integer programme whether a plan of the value asked for exists."""
    answer = search.plan_of(target, clock, is_bound=target == outcome.bound)
    outcome.offer(answer.layouts)
    if not answer.is_decided:
        clock.check()
        raise TimeIsUp(TIME_LIMIT)
    outcome.bound = outcome.value if answer.layouts is not None else target + 1
    outcome.by_search = True
