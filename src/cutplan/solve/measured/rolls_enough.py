"""Whether given rolls are enough, asked many times for the same drops.

One answer serves many: a plan found for some rolls serves all rolls that its layouts fit, or can be mended by moving
a few drops; prices that prove some rolls too few prove it of all rolls worth no more. Only what neither decides
goes to the solver.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from cutplan.solve.clock import Clock, TimeIsUp, go_on
from cutplan.solve.instance import Instance, RollType
from cutplan.solve.measured.known_plans import Drops, Exchange, KnownPlan, hand_out_rolls
from cutplan.solve.measured.starts import RollStart
from cutplan.solve.roll.choice import rolls_of
from cutplan.solve.roll.paper_needed import PaperNeeded
from cutplan.solve.search.greedy import Layouts
from cutplan.solve.search.outcome import Outcome
from cutplan.solve.search.strategy import optimise_grouped

LAST_RESORT: Final = 100
"""Value of a roll beyond those asked about, in rolls: a plan that takes one is dearer than any that does not."""

PLANS_TRIED: Final = 40
"""How many known plans, those last of use first, are tried for new rolls."""

PLANS_MENDED: Final = 6
"""How many of them, the nearest first, are mended at most."""


class Refutation(Struct, frozen=True):
    """Prices at which some rolls are worth less than the drops wanted."""

    wanted: int
    """What the drops are worth together, less what the rolls in hand can be worth."""
    worth: tuple[int, ...]
    """The most that a roll of each start can be worth."""

    def holds_for(self, rolls: Sequence[int]) -> bool:
        """Return True when rolls of these starts are too few."""
        worth = self.worth
        return sum([worth[start] for start in rolls]) < self.wanted


class Enough:
    """Says whether rolls that begin in given ways are enough for the drops of an instance."""

    def __init__(self, instance: Instance, length: int, starts: Sequence[RollStart]) -> None:
        self.instance = instance
        """The drops, of a print that repeats. Its roll types are paper in hand besides: all of limited number, of value
        0."""
        self.length = length
        """Of the rolls that may be bought, longer than any drop by a repeat or more."""
        self.starts = tuple(starts)
        """How the rolls asked about may begin, of whatever length. They are asked about by the indices of these."""
        self.plans: list[KnownPlan] = []
        self.solved = 0
        """How often the solver was needed."""
        self._refutations: list[Refutation] = []
        self._known: dict[tuple[int, ...], bool] = {}
        self._fits: dict[Drops, int] = {}
        self._paper = PaperNeeded(instance)
        self._usable = [start.usable for start in self.starts]
        every = (start.roll(instance, 1) for start in self.starts)
        self._of_every_start = rolls_of(replace(instance, roll_types=(*instance.roll_types, *every)))
        self._lengths = [kind.length for kind in instance.kinds]
        self._refute(self._lengths)

    def decide(self, rolls: Sequence[int], clock: Clock) -> bool | None:
        """Return whether rolls of these starts are enough; None when time is up before that is known."""
        asked = tuple(sorted(rolls))
        known = self._known.get(asked)
        if known is None:
            known = self._recall(asked)
            if known is None:
                known = self._solve(asked, clock)
            if known is not None:
                self._known[asked] = known
        return known

    def _recall(self, rolls: Sequence[int]) -> bool | None:
        """Return what known refutations and plans say, the last of use first."""
        for number, refutation in enumerate(self._refutations):
            if refutation.holds_for(rolls):
                self._refutations.insert(0, self._refutations.pop(number))
                return False
        near = []
        for number, plan in enumerate(self.plans[:PLANS_TRIED]):
            layout_on = hand_out_rolls(plan.fits, rolls)
            unserved = len(plan.rolls) - sum(layout >= 0 for layout in layout_on)
            if not unserved:
                self.plans.insert(0, self.plans.pop(number))
                return True
            if len(plan.rolls) <= len(rolls):
                near.append((unserved, number, layout_on))
        near.sort(key=lambda item: item[:2])
        mended = (self._mend(self.plans[number], layout_on, rolls) for _, number, layout_on in near[:PLANS_MENDED])
        return True if any(mended) else None

    # Mending

    def _mend(self, plan: KnownPlan, layout_on: list[int], rolls: Sequence[int]) -> bool:
        """Try to give every layout of ``plan`` a roll by moving drops from layout to layout; keep the plan made so."""
        drops = list(plan.rolls)
        layout_on = list(layout_on)
        for layout in sorted(set(range(len(drops))) - set(layout_on)):
            if not self._place(layout, drops, layout_on, rolls):
                return False
        self._remember(drops)
        return True

    def _place(self, layout: int, drops: list[Drops], layout_on: list[int], rolls: Sequence[int]) -> bool:
        """Give ``layout`` a free roll, its drops and those of another layout shared out anew if need be."""
        for roll in [roll for roll, on_it in enumerate(layout_on) if on_it < 0]:
            for partner, other in enumerate(layout_on):
                if other < 0:
                    continue
                exchange = Exchange(drops[layout], drops[other], self._lengths)
                for this, that in exchange.ways(self._usable[rolls[roll]], self._usable[rolls[partner]]):
                    if self._goes_on(this, rolls[roll]) and self._goes_on(that, rolls[partner]):
                        drops[layout], drops[other] = this, that
                        layout_on[roll] = layout
                        return True
        return False

    def _goes_on(self, drops: Drops, start: int) -> bool:
        return self._paper.after(self.starts[start].place, drops) <= self._usable[start]

    def _remember(self, rolls: Iterable[Drops]) -> None:
        """Keep a plan; the layouts that fit the fewest starts come first, since they have the least choice."""
        ordered = sorted((drops for drops in rolls if drops), key=lambda drops: self.fit(drops).bit_count())
        self.plans.insert(0, KnownPlan(tuple(ordered), tuple(self.fit(drops) for drops in ordered)))

    def fit(self, drops: Drops) -> int:
        """Return a bit for each start from which ``drops`` can be cut."""
        known = self._fits.get(drops)
        if known is None:
            known = sum(1 << start for start in range(len(self.starts)) if self._goes_on(drops, start))
            self._fits[drops] = known
        return known

    # Solving

    def _solve(self, rolls: tuple[int, ...], clock: Clock) -> bool | None:
        self.solved += 1
        counts = Counter(rolls)
        types = [self.starts[start].roll(self.instance, count) for start, count in counts.items()]
        extra = RollType(self.length, None, None, LAST_RESORT)
        asked = replace(self.instance, roll_types=(*self.instance.roll_types, *types, extra))
        until_decided = _UntilDecided(len(rolls), clock)
        outcome = optimise_grouped(asked, None, until_decided, until_decided.watch)
        go_on(outcome.stopped)
        self._refute(outcome.certificate.prices)
        if outcome.layouts is not None and outcome.value <= len(rolls):
            self._keep(outcome.layouts)
            return True
        return False if outcome.bound > len(rolls) else None

    def _keep(self, layouts: Layouts) -> None:
        """Remember a plan that needs no extra roll."""
        in_hand = len(self.instance.roll_types)
        self._remember(
            tuple(sorted(layout.kinds))
            for layout, times in layouts.items()
            if layout.roll_type >= in_hand
            for _ in range(times)
        )

    def _refute(self, prices: Sequence[int]) -> None:
        """Keep what ``prices`` of the kinds prove of every start."""
        worth = [int(most) for most in self._of_every_start.worth(prices).by_type]
        in_hand = self.instance.roll_types
        wanted = sum(price * kind.demand for price, kind in zip(prices, self.instance.kinds, strict=True))
        wanted -= sum(most * (roll.supply or 0) for most, roll in zip(worth, in_hand, strict=False))
        if wanted > 0:
            self._refutations.insert(0, Refutation(wanted, tuple(worth[len(in_hand) :])))


class _UntilDecided(Clock):
    """A clock that also ends as soon as more rolls are proved to be needed than were asked about."""

    def __init__(self, rolls: int, whole: Clock) -> None:
        super().__init__(whole.left)
        self.rolls = rolls
        self.whole = whole
        self.is_decided = False

    @property
    def left(self) -> float:
        """Seconds left, never below 0."""
        return 0.0 if self.is_decided else self.whole.left

    def check(self) -> None:
        """Raise TimeIsUp when nothing more need, or can, be found out."""
        if self.is_decided:
            raise TimeIsUp("decided")
        self.whole.check()

    def watch(self, outcome: Outcome) -> None:
        """Look at what is known so far."""
        self.is_decided = outcome.bound > self.rolls
