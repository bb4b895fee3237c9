"""Whether a free match can be cut without any waste: where rolls of the value proved would all have to be full.

What a full roll may hold can often be listed, and an integer programme that cuts each drop exactly once decides, much
sooner than one that cuts it at least once. Where the list is too long, rolls are filled as full as can be round the
longest drop left; the first of them are full, and the drops that are left after those are decided together.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from typing import TYPE_CHECKING, Final

from cutplan.solve.clock import Clock
from cutplan.solve.instance import Instance
from cutplan.solve.layout import Layout
from cutplan.solve.roll.fullest import DropsLeft, is_plain
from cutplan.solve.search.greedy import Layouts, both_plans, take
from cutplan.solve.search.outcome import Outcome

if TYPE_CHECKING:
    from cutplan.solve.search.programme import ProgrammeSolved

MOST_LISTED: Final = 4_000
"""With more ways to fill a roll than this nothing is decided."""

LEFT: Final = 130
"""So many drops, or a few less, are decided together after rolls are filled one by one."""

FOR_ALL: Final = 0.5
"""Of the time left, a programme for all drops may take so much …"""

FOR_LAST: Final = 0.1
"""… and each one for the last drops so much."""

ORDERS: Final = 4
"""In so many orders rolls are filled one by one."""


def decide_full_rolls(outcome: Outcome, clock: Clock) -> None:
    """Settle ``outcome``, or raise its bound, where all rolls would be full and what they may hold can be listed."""
    instance, bound = outcome.instance, outcome.bound
    if not _would_be_full(instance, bound):
        return
    answer = decided(instance, bound // instance.roll_types[0].value, clock, FOR_ALL)
    if answer is not None:
        outcome.offer(answer.layouts)
        if answer.is_decided and answer.layouts is None:
            outcome.bound, outcome.by_search = bound + 1, True


def decide_last_rolls(outcome: Outcome, clock: Clock) -> Iterator[None]:
    """Where all rolls would be full, offer plans whose first rolls are filled one by one; yield after each."""
    number_of_drops = sum(kind.demand for kind in outcome.instance.kinds)
    if number_of_drops > LEFT and _would_be_full(outcome.instance, outcome.bound):
        for number in range(ORDERS):
            outcome.offer(_last_decided(outcome.instance, outcome.bound, number, clock))
            yield


def _would_be_full(instance: Instance, value: int) -> bool:
    """Return True when a plan of this value leaves nothing over of any roll, all of one length."""
    if not is_plain(instance) or len(instance.roll_types) > 1:
        return False
    (roll,) = instance.roll_types
    return value * roll.length == roll.value * sum(kind.length * kind.demand for kind in instance.kinds)


def _last_decided(instance: Instance, value: int, number: int, clock: Clock) -> Layouts | None:
    """Return a plan of this value whose first rolls are filled in the order of this number, if there is one."""
    (roll,) = instance.roll_types
    rolls = value // roll.value
    drops = DropsLeft(instance, number, rolls)
    full: Layouts = {}
    remaining, supply = [kind.demand for kind in instance.kinds], [roll.supply]
    while sum(remaining) > LEFT:
        clock.check()
        counts = drops.round_longest(roll.length)
        if sum(drops.lengths[place] * count for place, count in counts.items()) < roll.length:
            return None
        drops.take(roll.length, counts, 1)
        kinds = tuple(drops.order[place] for place, count in counts.items() for _ in range(count))
        take(full, Layout(0, kinds), remaining, supply, 1)
    answer = decided(instance.with_demands(remaining, supply), rolls - sum(full.values()), clock, FOR_LAST)
    return None if answer is None or answer.layouts is None else both_plans(full, answer.layouts)


def decided(instance: Instance, rolls: int, clock: Clock, part: float) -> ProgrammeSolved | None:
    """Return whether so many ``rolls`` hold all drops, and how; None where a roll can be filled in too many ways.

    ``part`` of the time left is for the programme.
    """
    (roll,) = instance.roll_types
    waste = rolls * roll.length - sum(kind.length * kind.demand for kind in instance.kinds)
    filling = DropsLeft(instance, 0, rolls).all_filling(roll.length, waste, clock)
    listed = list(islice(filling, MOST_LISTED + 1))
    if len(listed) > MOST_LISTED:
        return None
    from cutplan.solve.search.cover import Cover, without_smaller  # noqa: PLC0415 - most jobs need no programme

    kept = without_smaller({tuple(sorted(kinds)): kinds for kinds in listed})
    layouts = [Layout(0, kinds) for kinds in kept]
    cover = Cover(instance, layouts, rolls * roll.value, any_will_do=True, exactly=not waste)
    return cover.decide(clock.share(part))
