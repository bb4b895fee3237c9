"""How many rolls are certain to be enough, cut one after another as they come, however they begin."""

from __future__ import annotations

from collections.abc import Callable
from math import ceil

from msgspec import Struct

from cutplan.buying.need import Need
from cutplan.errors import NoPlanError
from cutplan.plan.plan import Plan
from cutplan.solve import plan_by, solve
from cutplan.solve.clock import Clock, go_on
from cutplan.solve.search.strategy import optimise_grouped
from cutplan.solve.shortage import refuse_long_drops


class Figure(Struct, frozen=True):
    """A number of rolls to buy: so many are proved enough, and fewer than ``least`` are proved not to be."""

    enough: int
    least: int

    @property
    def is_exact(self) -> bool:
        """True when one fewer is proved too few."""
        return self.enough == self.least


class Certain(Struct, frozen=True):
    """What is certain, and what the same rolls could do at best."""

    figure: Figure
    """Rolls to buy, to be certain."""
    at_best: Figure
    """Rolls to buy if every sealed roll began where its layout wants: a bound, not a promise."""
    plan: Plan
    """The plan that buys ``figure.enough`` rolls, and of such plans opens the fewest, with both proofs."""


def certain(need: Need, seconds: float, progress: Callable[[str], None] | None = None) -> Certain:
    """Return how many rolls to buy so that the drops are certain to be cut from them.

    NoPlanError when a drop is longer than a roll of this size is sure to give, and than any in hand.
    """
    plan = solve(need.whole, time_limit=seconds, progress=progress)
    go_on(plan.stopped)
    bought, best = plan.job.bought_in, plan.at_best
    figure = Figure(bought(plan.value), bought(plan.proof.bound))
    return Certain(figure, Figure(bought(best.value), bought(best.proof.bound)) if best else figure, plan)


def certain_figure(need: Need, clock: Clock) -> Figure:
    """Return the same figure alone, in less time; NoPlanError as :func:`certain`."""
    job = need.to_buy
    if job.must_share_batches:
        plan = plan_by(clock, job)
        go_on(plan.stopped)
        return Figure(int(plan.value), ceil(plan.proof.bound))
    refuse_long_drops(job)
    outcome = optimise_grouped(need.scaled.instance, None, clock, lambda _: None)
    go_on(outcome.stopped)
    if outcome.layouts is None:
        raise NoPlanError("the rolls in hand are too few, and some drop is too long for those to be bought")
    return Figure(outcome.value, outcome.bound)
