"""What each batch can do for the walls that it is given: answers from the solver, and bounds for walls not asked yet.

Every answer leaves a certificate behind, whose prices hold for the paper of that batch whatever it is cut into. So it
bounds what any other walls would need of the batch, and most choices of walls are ruled out without being solved.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from fractions import Fraction
from functools import partial
from math import ceil, gcd, inf, lcm
from typing import TYPE_CHECKING, Final, TypeAlias

from msgspec import Struct, field
from msgspec.structs import replace

from cutplan.job.job import Job
from cutplan.plan.plan import TIME_LIMIT, RollLayout
from cutplan.plan.proof import BatchPrices, Prices
from cutplan.solve.clock import Clock, TimeIsUp
from cutplan.solve.instance import Instance, ScaledJob, scale
from cutplan.solve.roll.choice import rolls_of
from cutplan.solve.search.certificate import SCALE, certificates_by_rule, certify
from cutplan.solve.search.outcome import Known, Outcome, say_nothing
from cutplan.solve.search.strategy import optimise_grouped
from cutplan.solve.shortage import short_of, why_too_long, with_rolls_to_buy
from cutplan.solve.write_up import prices_of, roll_layouts

if TYPE_CHECKING:
    from cutplan.solve.roll.holding import Rolls

Amount: TypeAlias = "Fraction | float"
"""A value of rolls, exact; :data:`NEVER` where the rolls are too few."""

NEVER: Final = inf

Walls: TypeAlias = int
"""A set of walls: bit k stands for wall k."""


class WallsOfOneBatch(Struct, frozen=True):
    """What the solver says of some walls papered from one batch."""

    value: Amount
    """Of the best plan found; :data:`NEVER` when there is none."""
    layouts: tuple[RollLayout, ...] = ()
    """That plan."""
    stopped: str | None = None
    """Why the solver stopped before a proof; None when it did not."""


class _Ready(Struct, frozen=True):
    """A certificate, added up: what the drops of each wall are worth, and what must be taken off in any case.

    Every value of the rolls that it is about is a multiple of ``step``.
    """

    listed: BatchPrices
    of_wall: tuple[int, ...]
    fixed: int
    step: Fraction
    _bounds: dict[tuple[Walls, bool], Amount] = field(default_factory=dict)

    def bound(self, walls: Walls, *, is_least: bool) -> Amount:
        """Return what it proves for ``walls``; with ``is_least``, what it proves for them and whatever is added.

        A wall out of which more falls than its drops are worth lessens what is proved.
        """
        key = walls, is_least
        if key not in self._bounds:
            self._bounds[key] = self._reckoned(walls, is_least=is_least)
        return self._bounds[key]

    def _reckoned(self, walls: Walls, *, is_least: bool) -> Amount:
        worths = ((worth, walls >> wall & 1) for wall, worth in enumerate(self.of_wall))
        total = sum(worth if is_in else min(worth, 0) * is_least for worth, is_in in worths) - self.fixed
        if total <= 0:
            return Fraction(0)
        if self.listed.is_shortage:
            return NEVER
        exact = Fraction(total, self.listed.prices.scale)
        return ceil(exact / self.step) * self.step if self.step else exact


class Shares:
    """What each batch of a job can do, every drop of which has a wall.

    Layouts fit however sealed rolls begin where they are to be ``certain``; else every roll begins where they want.
    """

    def __init__(self, job: Job, clock: Clock, *, certain: bool) -> None:
        self.job = job
        self.clock = clock
        self.certain = certain
        self.batches = job.batches
        """The batches of the job's paper."""
        self.walls = tuple(dict.fromkeys(drop.wall or "" for drop in job.drops))
        """Names of the walls, in the order in which they are first hung."""
        settled = job.settled_batches
        every = range(len(self.batches))
        self.allowed = tuple(
            (self.batches.index(settled[wall]),) if wall in settled else tuple(every) for wall in self.walls
        )
        """For each wall, the batches by number from which it may be papered."""
        self.doubts: str | None = None
        """Why some walls may be thought beyond a batch without proof; None when there are none."""
        self._steps = [_step(job, batch) for batch in self.batches]
        self._ready: list[list[_Ready]] = [[] for _ in self.batches]
        self._parts: dict[tuple[int, Walls], Job] = {}
        self._wholes: dict[int, tuple[ScaledJob, Rolls]] = {}
        self._answers: dict[tuple[int, Walls], WallsOfOneBatch] = {}
        self._proved: dict[tuple[int, Walls], Amount] = {}
        self._bounds: dict[tuple[int, Walls, bool], tuple[Amount, int]] = {}
        with suppress(TimeIsUp):
            for batch in range(len(self.batches)):
                self._add_rules(batch)

    @property
    def every_wall(self) -> Walls:
        """All walls."""
        return (1 << len(self.walls)) - 1

    # Bounds

    def learn(self, prices: Prices | None) -> None:
        """Take in prices that hold for the whole job, and so for each batch."""
        if prices is not None:
            for batch in range(len(self.batches)):
                self._add(batch, prices, is_shortage=False)

    def bound(self, batch: int, walls: Walls) -> Amount:
        """Return a value below which these walls cannot be papered from the batch."""
        return max(self.bound_by_prices(batch, walls), self._proved.get((batch, walls), Fraction(0)))

    def bound_by_prices(self, batch: int, walls: Walls, *, is_least: bool = False) -> Amount:
        """Return what certificates alone prove; with ``is_least``, of these walls and whatever is added to them."""
        key = (batch, walls, is_least)
        ready = self._ready[batch]
        known, asked = self._bounds.get(key, (Fraction(0), 0))
        if walls and asked < len(ready):
            known = max(known, *(further.bound(walls, is_least=is_least) for further in ready[asked:]))
            self._bounds[key] = known, len(ready)
        return known

    def proved(self, batch: int, walls: Walls) -> list[Amount]:
        """Return what each certificate of a batch proves for ``walls``; nothing for no walls."""
        return [ready.bound(walls, is_least=False) for ready in self._ready[batch]] if walls else []

    def certificate(self, batch: int, number: int) -> BatchPrices:
        """Return a certificate of a batch by its number."""
        return self._ready[batch][number].listed

    # Answers

    def is_answered(self, batch: int, walls: Walls) -> bool:
        """Return True when the solver has been asked already."""
        return not walls or (batch, walls) in self._answers

    def answer(self, batch: int, walls: Walls) -> WallsOfOneBatch:
        """Return what the solver says of ``walls`` papered from a batch."""
        if not walls:
            return WallsOfOneBatch(Fraction(0))
        key = (batch, walls)
        if key not in self._answers:
            self._answers[key] = self._solve(batch, walls)
        return self._answers[key]

    def missing(self, batch: int, walls: Walls) -> tuple[Outcome, ScaledJob, Job]:
        """Return how few further rolls of a batch would do for ``walls``, and in what numbers that is said."""
        job = self.part(batch, walls)
        scaled = scale(job, certain=self.certain)
        return with_rolls_to_buy(job, scaled, self.clock), scaled, job

    def part(self, batch: int, walls: Walls) -> Job:
        """Return the job of papering ``walls`` from a batch."""
        known = self._parts.get((batch, walls))
        if known is None:
            named = {name for number, name in enumerate(self.walls) if walls >> number & 1}
            drops = tuple(drop for drop in self.job.drops if drop.wall in named)
            lots = tuple(
                replace(lot, after=self._before(lot.after, named))
                for lot in self.job.lots
                if (lot.batch or "") == self.batches[batch]
            )
            known = self._parts[batch, walls] = replace(
                self.job, lots=lots, drops=drops, is_priced=self.job.counts_cost
            )
        return known

    def _before(self, after: str | None, walls: set[str]) -> str | None:
        """Return the last drop on some walls that hangs no later than the drop ``after``; None for none."""
        if after is None:
            return None
        until = next(place for place, drop in enumerate(self.job.drops) if drop.label == after)
        return next((drop.label for drop in self.job.drops[until::-1] if drop.wall in walls), None)

    def _solve(self, batch: int, walls: Walls) -> WallsOfOneBatch:
        job = self.part(batch, walls)
        is_beyond = partial(why_too_long, job) if self.certain else lambda drop: not job.lots_for(drop)
        too_long = list(filter(is_beyond, job.drops))
        if too_long:
            self._learn(batch, walls, Prices({drop.label: 1 for drop in too_long}, {}, 1), is_shortage=True)
            return WallsOfOneBatch(NEVER)
        scaled = scale(job, certain=self.certain)
        outcome = optimise_grouped(scaled.instance, None, self.clock, say_nothing)
        if outcome.layouts is None:
            short = with_rolls_to_buy(job, scaled, self.clock)
            if short_of(scaled, short) or short.layouts is None:
                self._learn(batch, walls, prices_of(scaled, short.certificate), is_shortage=True)
                if short.bound:
                    self._proved[batch, walls] = NEVER
                else:
                    self.doubts = short.stopped or TIME_LIMIT
                return WallsOfOneBatch(NEVER, stopped=short.stopped)
            outcome = optimise_grouped(scaled.instance, Known(short.layouts), self.clock, say_nothing)
        self._learn(batch, walls, prices_of(scaled, outcome.certificate), is_shortage=False)
        self._proved[batch, walls] = outcome.bound * scaled.money
        layouts = roll_layouts(job, scaled, outcome.layouts or {})
        return WallsOfOneBatch(outcome.value * scaled.money, layouts, outcome.stopped)

    # What is learnt

    def _learn(self, batch: int, walls: Walls, prices: Prices | None, *, is_shortage: bool) -> None:
        """Keep what was learnt of some walls; what falls out on the others may hold their drops, and has its premium.

        Without one the prices would prove too much of all these walls together.
        """
        named = {name for number, name in enumerate(self.walls) if walls >> number & 1}
        if prices is not None and any(drop.cut_outs and drop.wall not in named for drop in self.job.drops):
            try:
                worth = self._worth_of_cut_outs(batch, prices.drops)
            except TimeIsUp:
                return
            prices = replace(prices, premiums=worth | dict(prices.premiums))
        self._add(batch, prices, is_shortage=is_shortage)

    def _worth_of_cut_outs(self, batch: int, prices: Mapping[str, int]) -> dict[str, int]:
        """Return the most that drops at these prices can be worth together on each cut-out of any wall."""
        if batch not in self._wholes:
            whole = scale(self.part(batch, self.every_wall), certain=self.certain)
            self._wholes[batch] = whole, rolls_of(whole.instance, self.clock)
        whole, rolls = self._wholes[batch]
        of_kind = [max(prices.get(drop, 0) for drop in drops) for drops in whole.drops_of]
        worth = rolls.worth(of_kind).by_type
        sources = {lot.label for lot in self.job.offcuts if lot.cut_from is not None}
        return {
            label: most
            for labels, most in zip(whole.lots_of, worth, strict=True)
            for label in labels
            if most and label in sources
        }

    def _add(self, batch: int, prices: Prices | None, *, is_shortage: bool) -> None:
        """Keep a certificate; premiums of other batches' paper are left out."""
        if prices is None:
            return
        whole = self.part(batch, self.every_wall)
        counts = {lot.label: lot.count or 0 for lot in whole.all_lots}
        sources = {lot.label: lot.cut_from for lot in whole.offcuts if lot.cut_from is not None}
        premiums = {label: premium for label, premium in prices.premiums.items() if label in counts}
        of_wall = dict.fromkeys(self.walls, 0)
        for drop in self.job.drops:
            of_wall[drop.wall or ""] += drop.count * prices.drops.get(drop.label, 0)
        for label, source in sources.items():
            of_wall[self.job.drop(source).wall or ""] -= premiums.get(label, 0)
        fixed = sum(counts[label] * premium for label, premium in premiums.items() if label not in sources)
        listed = BatchPrices(self.batches[batch], Prices(prices.drops, premiums, prices.scale), is_shortage)
        ready = _Ready(listed, tuple(of_wall.values()), fixed, self._steps[batch])
        self._ready[batch].append(ready)

    def _add_rules(self, batch: int) -> None:
        """Start from what rules of thumb prove in time, both of the number of rolls and of its not being enough."""
        part = self.part(batch, self.every_wall)
        scaled = scale(part, certain=self.certain)
        if not scaled.instance.roll_types:
            return
        rolls = rolls_of(scaled.instance, self.clock)
        for_nothing = _at_each(scaled.instance, 0)
        costs_nothing = not any(roll.value for roll in scaled.instance.roll_types)
        priced = _at_each(scaled.instance, 1) if costs_nothing else scaled.instance
        for certificate in certificates_by_rule(priced, rolls):
            if not costs_nothing:
                self._add(batch, prices_of(scaled, certificate), is_shortage=False)
            prices = certificate.prices
            if all(roll.supply is not None for roll in for_nothing.roll_types):
                shortage = certify(for_nothing, prices, rolls.worth(prices).by_type, SCALE)
                self._add(batch, prices_of(scaled, shortage), is_shortage=True)


def _at_each(instance: Instance, value: int) -> Instance:
    """Return an instance in which every roll, and every offcut, has this value."""
    return replace(instance, roll_types=tuple(replace(roll, value=value) for roll in instance.roll_types))


def _step(job: Job, batch: str) -> Fraction:
    """Return the largest amount of which every value of rolls of a batch is a multiple."""
    values = [job.value_of(lot) for lot in job.rolls if (lot.batch or "") == batch]
    below = lcm(*(value.denominator for value in values))
    return Fraction(gcd(*(int(value * below) for value in values)), below)
