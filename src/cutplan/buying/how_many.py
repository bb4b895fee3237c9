"""The whole answer to «how many rolls?», put together."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Final

from cutplan.buying.certain import certain
from cutplan.buying.need import Need, Size
from cutplan.buying.odds import DRAWS, odds
from cutplan.buying.opened_first import opened_first, oracle_for
from cutplan.buying.recommendation import recommend
from cutplan.buying.savings import longer_roll, smaller_trim, spoiled
from cutplan.buying.short_rolls import short_rolls
from cutplan.buying.sizes import choices, mixture
from cutplan.buying.thumb_rules import thumb_rules
from cutplan.errors import NoPlanError
from cutplan.solve.clock import Clock
from cutplan.table.steps import SHORT_ROLL

if TYPE_CHECKING:
    from collections.abc import Callable
    from fractions import Fraction

    from cutplan.buying.certain import Certain
    from cutplan.buying.odds import Odds
    from cutplan.buying.opened_first import OpenedFirst
    from cutplan.buying.recommendation import Recommendation
    from cutplan.buying.savings import LongerRoll, Saving, SmallerTrim, Spoiled
    from cutplan.buying.short_rolls import ShortRolls
    from cutplan.buying.sizes import Mixture, SizeChoice
    from cutplan.buying.thumb_rules import ThumbRule
    from cutplan.job.job import Job

SPARE: Final = "spare"
"""Label of the drop kept for repair."""


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the user asks besides.

    Attributes
    ----------
    draws
        How many times to draw rolls for the odds.
    tolerance
        By how much of its length a roll may be short; 0 when every roll is known to be as long as marked.
    wants_spare
        True when one full drop of the longest is to be kept for repair.
    other_sizes
        Sizes on offer besides the paper's own.
    seconds
        When to stop looking for better figures.

    """

    draws: int = DRAWS
    tolerance: Fraction = SHORT_ROLL
    wants_spare: bool = False
    other_sizes: tuple[Size, ...] = ()
    seconds: float = 10.0


@dataclass(frozen=True, slots=True)
class Answer:
    """How many rolls to buy, and all that was found out on the way.

    Attributes
    ----------
    need
        The job, with the spare drop if one is wanted, and the paper's own size.
    wishes
        What was asked.
    sure, opened, odds
        Certain, certain when opened and measured first, and the chances below that.
    short
        For rolls as short as they may be; None when the tolerance is 0 or a drop would be too long for them.
    trim, longer, spoiled
        What would save a roll and what a spoiled drop costs; None where there is nothing to say.
    further_savings
        Changes to the room itself that would save a roll.
    sizes, mixed
        The choice among sizes; empty and None when only one is offered.
    rules
        Rules of thumb and their answers.
    recommendation
        What to buy of the paper's own size.

    """

    need: Need
    wishes: Wishes
    sure: Certain
    opened: OpenedFirst
    odds: tuple[Odds, ...]
    short: ShortRolls | None
    trim: SmallerTrim | None
    longer: LongerRoll | None
    spoiled: Spoiled
    sizes: tuple[SizeChoice, ...]
    mixed: Mixture | None
    rules: tuple[ThumbRule, ...]
    recommendation: Recommendation
    further_savings: tuple[Saving, ...] = field(default=())


def how_many_rolls(job: Job, wishes: Wishes | None = None, progress: Callable[[str], None] | None = None) -> Answer:
    """Return how many rolls to buy for ``job``, of its paper's own length and price.

    Raises
    ------
    NoPlanError
        When a drop is longer than a roll is sure to give.

    """
    wishes = wishes or Wishes()
    if wishes.wants_spare:
        job = with_spare(job)
    need = Need(job, Size(job.paper.roll_length, job.paper.price))
    clock = Clock(wishes.seconds)
    tell = progress or (lambda _: None)
    sure = certain(need, wishes.seconds / 2, progress)
    tell("every combination of starts")
    oracle = oracle_for(need, sure)
    opened = opened_first(need, sure, oracle, Clock(clock.left / 2))
    below = range(sure.at_best.least, opened.figure.enough)
    chances = (
        ()
        if oracle is None
        else odds(oracle, below, sealed_in_hand=need.sealed_in_hand, draws=wishes.draws, clock=clock, progress=tell)
    )
    tell("short rolls, and what would save one")
    # What is left is quick; it is given time even when the clock has run out.
    clock = Clock(max(clock.left, wishes.seconds / 4))
    short = _short(need, sure, wishes, clock)
    sizes = (need.size, *wishes.other_sizes)
    several = len(sizes) > 1
    return Answer(
        need=need,
        wishes=wishes,
        sure=sure,
        opened=opened,
        odds=chances,
        short=short,
        trim=smaller_trim(need, sure, clock) if sure.figure.enough else None,
        longer=longer_roll(need, clock) if sure.figure.enough else None,
        spoiled=spoiled(need, sure, clock),
        sizes=choices(job, sizes, wishes.tolerance, clock) if several else (),
        mixed=mixture(job, sizes, wishes.tolerance, clock) if several else None,
        rules=thumb_rules(job, need.size.length),
        recommendation=recommend(need.size, sure, opened, chances, short),
    )


def with_spare(job: Job) -> Job:
    """Return the job with one more of its longest drop, to be kept for repair."""
    longest = max(job.drops, key=lambda drop: drop.cut_length)
    label = SPARE
    while any(drop.label == label for drop in job.drops):
        label = f"{label} drop"
    return replace(job, drops=(*job.drops, replace(longest, label=label, count=1, cut_outs=())))


def _short(need: Need, sure: Certain, wishes: Wishes, clock: Clock) -> ShortRolls | None:
    if not wishes.tolerance:
        return None
    try:
        return short_rolls(need, sure.plan, wishes.tolerance, clock)
    except NoPlanError:
        return None
