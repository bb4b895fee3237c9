"""The rolls of a plan that waste the most, filled anew together, a few at a time, as long as that saves one.

A job of a thousand pieces is too large for the search that closes gaps; thirty of its pieces are a room.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import chain
from typing import TYPE_CHECKING, Final

from msgspec.structs import replace

from cutplan.solve.clock import Clock
from cutplan.solve.instance import Instance
from cutplan.solve.layout import Layout
from cutplan.solve.search.certificate import paper_taken
from cutplan.solve.search.greedy import Layouts, both_plans
from cutplan.solve.search.outcome import Outcome, say_nothing, unknown

if TYPE_CHECKING:
    from cutplan.solve.search.purchase import Optimise

LEAST_KINDS: Final = 60
"""Of no more kinds than this a plan is made anew as soon as one is mended."""

TOGETHER: Final = (6, 9, 12, 16, 24)
"""So many rolls are filled anew together."""

SHARE: Final = 0.2
"""Of the time left, each such try may take so much."""


def refill(outcome: Outcome, clock: Clock, optimise: Optimise) -> None:
    """Save rolls in the plan of ``outcome`` by filling the most wasteful ones anew; not of special stock or prices."""
    instance, number = outcome.instance, 0
    if instance.has_several_prices or any(roll.holds is not None for roll in instance.roll_types):
        return
    while outcome.layouts is not None and not outcome.is_settled and number < len(TOGETHER):
        rolls = _most_wasteful(instance, outcome.layouts)
        anew, kept = rolls[: TOGETHER[number]], Counter(rolls[TOGETHER[number] :])
        before = outcome.value
        outcome.offer(both_plans(_filled_anew(instance, anew, clock.share(SHARE), optimise), kept))
        number = 0 if outcome.value < before else number + 1


def _most_wasteful(instance: Instance, layouts: Layouts) -> list[Layout]:
    """Return every roll, that first of which the least paper is taken."""
    taken = paper_taken(instance)
    rolls = chain.from_iterable([layout] * times for layout, times in layouts.items())
    return sorted(rolls, key=lambda roll: sum(taken[kind] for kind in roll.kinds))


def _filled_anew(instance: Instance, rolls: Sequence[Layout], clock: Clock, optimise: Optimise) -> Layouts:
    """Return a plan for the drops on ``rolls``, with a roll fewer if one is found."""
    demand = Counter(chain.from_iterable(roll.kinds for roll in rolls))
    opened = Counter(roll.roll_type for roll in rolls)
    kinds = sorted(demand)
    place = {kind: number for number, kind in enumerate(kinds)}
    small = replace(
        instance,
        kinds=tuple(replace(instance.kinds[kind], demand=demand[kind]) for kind in kinds),
        roll_types=tuple(replace(roll, supply=opened[number]) for number, roll in enumerate(instance.roll_types)),
    )
    outcome = unknown(small)
    outcome.offer(Counter(Layout(roll.roll_type, tuple(place[kind] for kind in roll.kinds)) for roll in rolls))
    outcome.goal = outcome.value - 1
    optimise(outcome, clock, say_nothing, None)
    found = outcome.layouts or {}
    return {Layout(roll.roll_type, tuple(kinds[kind] for kind in roll.kinds)): times for roll, times in found.items()}
