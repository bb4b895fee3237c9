"""Whether a free match can be cut without any waste: where rolls of the value proved would all have to be full.

What a full roll may hold can often be listed, and an integer programme that cuts each drop exactly once decides, much
sooner than one that cuts it at least once.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cutplan.solve.clock import Clock
from cutplan.solve.instance import Instance
from cutplan.solve.layout import Layout
from cutplan.solve.roll.fullest import listed, would_be_full
from cutplan.solve.search.cover import Cover, without_smaller
from cutplan.solve.search.outcome import Outcome

if TYPE_CHECKING:
    from cutplan.solve.search.programme import ProgrammeSolved

FOR_ALL: Final = 0.5
"""Of the time left, a programme for all drops may take so much."""


def decide_full_rolls(outcome: Outcome, clock: Clock) -> None:
    """Settle ``outcome``, or raise its bound, where all rolls would be full and what they may hold can be listed."""
    instance, bound = outcome.instance, outcome.bound
    if not would_be_full(instance, bound):
        return
    answer = decided(instance, bound // instance.roll_types[0].value, clock, FOR_ALL)
    if answer is not None:
        outcome.offer(answer.layouts)
        if answer.is_decided and answer.layouts is None:
            outcome.bound, outcome.by_search = bound + 1, True


def decided(instance: Instance, rolls: int, clock: Clock, part: float) -> ProgrammeSolved | None:
    """Return whether so many ``rolls`` hold all drops, and how; None where a roll can be filled in too many ways.

    ``part`` of the time left is for the programme.
    """
    (roll,) = instance.roll_types
    waste = rolls * roll.length - sum(kind.length * kind.demand for kind in instance.kinds)
    choices = listed(instance, rolls, waste, clock)
    if choices is None:
        return None
    kept = without_smaller({tuple(sorted(kinds)): kinds for kinds in choices})
    layouts = [Layout(0, kinds) for kinds in kept]
    cover = Cover(instance, layouts, rolls * roll.value, any_will_do=True, exactly=not waste)
    return cover.decide(clock.share(part))
