"""From a job to a plan with its proof. This folder alone knows solvers; none of their objects leaves it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from msgspec.structs import replace

from cutplan.errors import NoPlanError
from cutplan.job.job import Job
from cutplan.plan.order import CuttingHabit, refuse_unknown_walls
from cutplan.plan.plan import AtBest, Plan
from cutplan.solve.bought_first import best_bought_first, plan_bought_first
from cutplan.solve.clock import SHARE_FOR_CERTAIN, UNHURRIED, Clock
from cutplan.solve.instance import ScaledJob, scale
from cutplan.solve.ordering import order_cuts
from cutplan.solve.search.outcome import Known, Outcome, say_nothing
from cutplan.solve.search.strategy import optimise_grouped
from cutplan.solve.shortage import optimise_or_refuse, refuse_long_drops, told
from cutplan.solve.write_up import proof_of, roll_layouts, rolls_opened

__all__ = ["in_order", "make_plan", "plan_by", "solve"]

LEAST_FOR_ORDER = 0.25
"""Seconds for the order of cutting where the search for the fewest rolls took all the time."""


def solve(job: Job, *, time_limit: float = 10.0, progress: Callable[[str], None] | None = None) -> Plan:
    """Return a plan with the fewest rolls, or the least cost where rolls differ in price, and its proof.

    The plan is certain: it fits however sealed rolls begin. What the same rolls could do at best is proved
    beside it. The same job gives the same plan on every run that is not stopped: after ``time_limit`` seconds, or on
    Ctrl-C, the best plan so far is returned, with its gap. ``progress`` is told, in a few words, of better plans and
    bounds.

    Raises
    ------
    NoPlanError
        When a drop is longer than any roll, or the rolls are too few: by how much.

    """
    clock = Clock(time_limit)
    tell = progress or say_nothing
    with clock.stopped_by_ctrl_c():
        plan = _planned(job, clock=clock, tell=tell)
        if not (plan.uses_offcuts or (plan.at_best is not None and job.has_cut_outs)):
            return plan
        from cutplan.solve.reuse import settle_reuse  # noqa: PLC0415 - loaded where offcuts are used only

        tell("what the offcuts save")
        return settle_reuse(job, plan, clock, partial(_planned, clock=clock, tell=tell))


def make_plan(
    job: Job, habit: CuttingHabit, *, time_limit: float = 10.0, progress: Callable[[str], None] | None = None
) -> Plan:
    """Return the plan of a job, its cuts in the order that suits ``habit`` best: the one that is spoken of everywhere.

    Raises
    ------
    NoPlanError
        As :func:`solve`; and when no plan was found in time.
    WallsUnknownError
        When the cutting is to follow walls and some drop has none.

    """
    refuse_unknown_walls(habit.follow, job.drops)
    clock = Clock(time_limit)
    return in_order(solve(job, time_limit=time_limit, progress=progress), habit, progress, clock)


def in_order(
    found: Plan, habit: CuttingHabit, progress: Callable[[str], None] | None = None, clock: Clock = UNHURRIED
) -> Plan:
    """Return a plan that was just found, its cuts in the order that suits ``habit`` best.

    The order takes what is left on ``clock``, and a moment even when that has run out.

    Raises
    ------
    NoPlanError
        When nothing is laid out in it, because time was up.

    """
    if not found.layouts and found.was_interrupted:
        raise KeyboardInterrupt
    if not found.layouts:
        why = found.stopped or "the search ended"
        raise NoPlanError(f"no plan was found before this: {why}; allow it more with --time-limit")
    if found.was_interrupted:
        return found
    tell = progress or say_nothing
    tell("putting the cuts in order")
    at_least = Clock(max(clock.left, LEAST_FOR_ORDER))
    return order_cuts(found, follow=habit.follow, open_rolls=habit.open_rolls, clock=at_least, tell=tell)


def plan_by(clock: Clock, job: Job) -> Plan:
    """Return the plan of a job by a clock that runs already, without what would be possible at best.

    Raises
    ------
    NoPlanError
        As :func:`solve`.

    """
    planned = partial(_planned, clock=clock, tell=say_nothing)
    plan = planned(job, wants_best=False)
    if not plan.uses_cut_outs:
        return plan
    from cutplan.solve.reuse import as_it_falls  # noqa: PLC0415 - loaded where offcuts are used only

    return as_it_falls(job, plan, clock, planned)


def _planned(job: Job, *, wants_best: bool = True, clock: Clock, tell: Callable[[str], None]) -> Plan:
    """Return the plan of a job, cut-outs taken to be as wide as they can be; what is possible at best if wanted."""
    refuse_long_drops(job)
    wants_best = wants_best and job.has_sealed_rolls
    if job.buys_beside_hand:
        return _bought_first(job, clock, tell, wants_best=wants_best)
    if not job.must_share_batches:
        return _solved(job, clock, tell, wants_best=wants_best)
    from cutplan.solve.batches.by_batch import plan_by_batch  # noqa: PLC0415 - loaded for several batches only

    return plan_by_batch(job, clock, tell, wants_best=wants_best)


def _bought_first(job: Job, clock: Clock, tell: Callable[[str], None], *, wants_best: bool) -> Plan:
    mostly = clock.share(SHARE_FOR_CERTAIN) if wants_best else clock
    plan = plan_bought_first(
        job, mostly, lambda asked, until: _planned(asked, wants_best=False, clock=until, tell=tell)
    )
    if not wants_best:
        return plan
    return replace(plan, at_best=best_bought_first(plan, job, clock, partial(_best_planned, tell=tell)))


def _best_planned(job: Job, clock: Clock, *, tell: Callable[[str], None]) -> AtBest:
    """Return what is possible at best, with its layouts."""
    if not job.must_share_batches:
        scaled = scale(job, certain=False)
        return _best_of(job, scaled, optimise_or_refuse(job, scaled, clock, tell), is_better=True)
    from cutplan.solve.batches.by_batch import best_by_batch  # noqa: PLC0415 - loaded for several batches only

    return best_by_batch(job, clock, tell)


def _solved(job: Job, clock: Clock, tell: Callable[[str], None], *, wants_best: bool) -> Plan:
    scaled = scale(job, certain=True)
    best_differs = wants_best and not job.paper.pattern.is_free
    mostly = clock.share(SHARE_FOR_CERTAIN) if best_differs else clock
    outcome = optimise_or_refuse(job, scaled, mostly, tell)
    best = None
    if best_differs:
        best = _at_best(job, outcome, clock, tell)
    elif wants_best:
        best = _best_of(job, scaled, outcome)
    return Plan(
        job=job,
        layouts=roll_layouts(job, scaled, outcome.layouts or {}),
        proof=proof_of(scaled, outcome),
        at_best=best,
        stopped=outcome.stopped,
    )


def _at_best(job: Job, certain: Outcome, clock: Clock, tell: Callable[[str], None]) -> AtBest:
    """Return what the rolls could do if every sealed one began where its layout wants."""
    scaled = scale(job, certain=False)
    known = Known(certain.layouts or {}, certain.certificate)
    outcome = optimise_grouped(scaled.instance, known, clock, told(tell))
    return _best_of(job, scaled, outcome, is_better=outcome.value < certain.value)


def _best_of(job: Job, scaled: ScaledJob, outcome: Outcome, *, is_better: bool = False) -> AtBest:
    layouts = outcome.layouts or {}
    return AtBest(
        value=outcome.value * scaled.money,
        rolls=rolls_opened(job, scaled, layouts),
        proof=proof_of(scaled, outcome),
        layouts=roll_layouts(job, scaled, layouts) if is_better or job.has_cut_outs else (),
    )
