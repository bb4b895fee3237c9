"""The whole answer to «how many rolls?», put together."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Final

from msgspec import Struct, field
from msgspec.structs import replace

from cutplan.buying.certain import Certain, Figure
from cutplan.buying.need import Need, Size, sizes_to_buy, ways_to_buy
from cutplan.buying.odds import DRAWS, Odds, odds
from cutplan.buying.opened_first import OpenedFirst
from cutplan.buying.reckoning import Reckoning, keeping, reckon
from cutplan.buying.recommendation import Recommendation, recommend
from cutplan.buying.returning import Returning, returning
from cutplan.buying.savings import LongerRoll, Saving, SmallerTrim, longer_roll, smaller_trim
from cutplan.buying.short_rolls import ShortRolls, TightRoll, tight_rolls
from cutplan.buying.sizes import Mixture, SizeChoice, cheapest, mixture
from cutplan.buying.spoiled_drop import SpoilingCost, cost_of_spoiling
from cutplan.buying.thumb_rules import ThumbRule, thumb_rules
from cutplan.errors import NoPlanError
from cutplan.job.job import Job
from cutplan.paper.stock import SHORT_ROLL
from cutplan.plan.order import CuttingHabit, refuse_unknown_walls
from cutplan.plan.plan import Plan
from cutplan.solve import in_order, make_plan
from cutplan.solve.clock import Clock
from cutplan.table.sequence import sequence_of
from cutplan.wording import unlike_all

SPARE: Final = "spare"
"""Label of the drop kept for repair."""


class Wishes(Struct, frozen=True):
    """What the user asks besides."""

    draws: int = DRAWS
    """How many times to draw rolls for the odds."""
    tolerance: Fraction = SHORT_ROLL
    """By how much of its length a roll may be short; 0 when every roll is known to be as long as marked."""
    wants_spare: bool = False
    """True when one full drop of the longest is to be kept for repair."""
    other_sizes: tuple[Size, ...] = ()
    """Sizes on offer besides the paper's own."""
    seconds: float = 10.0
    """When to stop looking for better figures."""
    cutting: CuttingHabit = field(default_factory=CuttingHabit)
    """How the cuts are to be ordered."""


class RollsToBuy(Struct, frozen=True):
    """How many rolls to buy, and all that was found out on the way."""

    found: Reckoning
    """What is known of the paper's own size, for the job with the spare drop if one is wanted."""
    wishes: Wishes
    plan: Plan
    """The one plan that is spoken of: of the rolls in hand and those bought to be certain, its order chosen."""
    odds: tuple[Odds, ...]
    """The chances below what is certain when opened and measured first."""
    tight: tuple[TightRoll, ...]
    """Rolls of the plan that hang on less slack than a roll may be short."""
    trim: SmallerTrim | None
    longer: LongerRoll | None
    """What would save a roll; None where there is nothing to say."""
    spoiled: SpoilingCost
    sizes: tuple[SizeChoice, ...]
    mixed: Mixture | None
    """The choice among sizes; empty and None when only one is offered."""
    rules: tuple[ThumbRule, ...]
    recommendation: Recommendation
    """What to buy of the paper's own size."""
    otherwise: Reckoning | None = None
    """What is known when no batch in hand can be had any more; None when the rolls may be of any batch."""
    returning: Returning | None = None
    """What could be returned; None unless the rolls in hand are enough."""
    further_savings: tuple[Saving, ...] = ()
    """Changes to the room itself that would save a roll."""

    @property
    def need(self) -> Need:
        """The drops, and what is to be bought."""
        return self.found.need

    @property
    def sure(self) -> Certain:
        """What is certain, cut as the rolls come."""
        return self.found.sure

    @property
    def opened(self) -> OpenedFirst:
        """What is certain when all rolls are opened and measured first."""
        return self.found.opened

    @property
    def cheapest_mixture(self) -> Mixture | None:
        """The cheapest mixture of sizes, where it is cheaper than any size alone; else None."""
        best = cheapest(self.sizes, self.mixed)
        return best if isinstance(best, Mixture) else None

    @property
    def cheapest_size(self) -> SizeChoice | None:
        """The cheapest size alone; None where a mixture is cheaper, and where that is not known."""
        best = cheapest(self.sizes, self.mixed)
        return best if isinstance(best, SizeChoice) else None

    @property
    def is_own_size_advised(self) -> bool:
        """True unless another size, or a mixture, is known to be cheaper."""
        return cheapest(self.sizes, self.mixed) in (None, *self.sizes[:1])

    @property
    def short(self) -> ShortRolls | None:
        """The figures for rolls as short as they may be."""
        return self.found.short


def how_many_rolls(job: Job, wishes: Wishes | None = None, progress: Callable[[str], None] | None = None) -> RollsToBuy:
    """Return how many rolls to buy for ``job``, of its paper's own length and price.

    Raises
    ------
    NoPlanError
        When a drop is longer than a roll is sure to give.
    WallsUnknownError
        When the cutting is to follow walls and some drop has none.
    SureOnly
        When it was interrupted, and what is certain is known.

    """
    wishes = wishes or Wishes()
    if wishes.wants_spare:
        job = with_spare(job)
    refuse_unknown_walls(wishes.cutting.follow, job.drops)
    size, *others = sizes_to_buy(job)
    wishes = replace(wishes, other_sizes=(*others, *wishes.other_sizes))
    clock = Clock(wishes.seconds)
    found, otherwise = _reckoned(job, size, wishes, clock, progress)
    with keeping(found.need, found.sure):
        return replace(_answer(job, found, wishes, clock, progress), otherwise=otherwise)


def _answer(
    job: Job, found: Reckoning, wishes: Wishes, clock: Clock, progress: Callable[[str], None] | None
) -> RollsToBuy:
    """Return the answer that follows from what is certain; how likely fewer are, what would save, what is dear."""
    plan = _plan_of(found, wishes, clock, progress)
    tell = progress or (lambda _: None)
    oracle = found.oracle
    size = found.need.size
    fewest, most = size.bought(found.sure.at_best.least), size.bought(found.opened.figure.enough)
    below = range(fewest, most, size.sale.packet)
    chances = (
        ()
        if oracle is None
        else odds(oracle, below, unopened=found.need.unopened, draws=wishes.draws, clock=clock, progress=tell)
    )
    if found.need.has_paper_taken_for_certain:
        chances = tuple(replace(chance, is_at_least=True) for chance in chances)
    tell("what would save a roll")
    needed = found.sure.figure
    sizes = _choices(found, wishes, clock)
    return RollsToBuy(
        found=found,
        wishes=wishes,
        plan=plan,
        odds=chances,
        tight=tuple(tight_rolls(plan, wishes.tolerance)),
        trim=smaller_trim(found.need, size.bought(needed.enough) - size.sale.packet, clock)
        if needed.enough and needed.is_exact
        else None,
        longer=longer_roll(found.need, clock) if needed.enough else None,
        spoiled=_spoiled(found.need, plan, needed, clock),
        sizes=sizes,
        mixed=mixture(found.need, [choice.size for choice in sizes], wishes.tolerance, clock) if sizes else None,
        rules=thumb_rules(job, found.need.size.length),
        recommendation=recommend(found, chances),
        returning=None if needed.enough else returning(found.need, plan, wishes.tolerance, clock),
    )


def _spoiled(need: Need, plan: Plan, needed: Figure, clock: Clock) -> SpoilingCost:
    """Return what a spoiled drop costs; nothing where a packet holds a roll that the plan leaves sealed."""
    bought = need.size.bought(needed.enough)
    if bought > needed.enough and len(need.batches) <= 1:
        return SpoilingCost(Figure(bought, needed.least))
    return cost_of_spoiling(need, plan, needed, clock)


def with_spare(job: Job) -> Job:
    """Return the job with one more of its longest drop, to be kept for repair."""
    longest = max(job.drops, key=lambda drop: drop.cut_length)
    label = unlike_all(SPARE, (drop.label for drop in job.drops))
    return replace(job, drops=(*job.drops, replace(longest, label=label, count=1, cut_outs=())))


def _reckoned(
    job: Job, size: Size, wishes: Wishes, clock: Clock, progress: Callable[[str], None] | None
) -> tuple[Reckoning, Reckoning | None]:
    """Return what is known of the way to buy that takes the fewest rolls, and of the other where it takes more."""
    *joining, by_itself = ways_to_buy(job, size)
    if not joining:
        return reckon(by_itself, wishes.tolerance, clock, progress), None
    joined = reckon(joining[0], wishes.tolerance, clock.share(0.5), progress)
    try:
        with keeping(joining[0], joined.sure):
            other = reckon(by_itself, wishes.tolerance, clock, progress)
    except NoPlanError:
        # A wall that is begun wants more of its own batch.
        return joined, None
    if joined.buy and by_itself.has_rolls_in_hand and _rolls(other) <= _rolls(joined):
        return other, None
    return joined, other


def _rolls(found: Reckoning) -> tuple[int, int]:
    return found.buy, found.as_they_come


def _plan_of(found: Reckoning, wishes: Wishes, clock: Clock, progress: Callable[[str], None] | None) -> Plan:
    """Return the plan of the rolls in hand with those to be bought: what ``cutplan plan`` makes of them."""
    if found.need.job.counts_cost:
        job = found.need.as_priced(found.sure.plan)
        plan = make_plan(job, wishes.cutting, time_limit=clock.left / 2, progress=progress)
    else:
        plan = in_order(found.sure.plan, wishes.cutting, progress, clock.share(0.5))
    return sequence_of(plan).plan


def _choices(found: Reckoning, wishes: Wishes, clock: Clock) -> tuple[SizeChoice, ...]:
    """Return what each size on offer would take alone, the paper's own first; nothing when it is the only one."""
    if not wishes.other_sizes:
        return ()
    known = [found, *(_alone(replace(found.need, size=size), wishes, clock) for size in wishes.other_sizes)]
    # Rolls as short as they may be must be long enough for every drop.
    will_do = [each if each is not None and (each.short or not wishes.tolerance) else None for each in known]
    sizes = (found.need.size, *wishes.other_sizes)
    return tuple(SizeChoice(size, each) for size, each in zip(sizes, will_do, strict=True))


def _alone(need: Need, wishes: Wishes, clock: Clock) -> Reckoning | None:
    try:
        return reckon(need, wishes.tolerance, clock.share(0.5))
    except NoPlanError:
        return None
