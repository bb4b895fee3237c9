"""What offcuts save: the same job without them, and without what falls out of its own drops.

A cut-out is reused only where that saves something: it comes off a pasted drop, in the middle of the work. Offcuts that
were kept lie there dry, and are used wherever they fit.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from cutplan.errors import NoPlanError
from cutplan.plan.plan import WithoutOffcuts
from cutplan.plan.proof import Status

if TYPE_CHECKING:
    from collections.abc import Callable

    from cutplan.job.job import Job
    from cutplan.plan.plan import Plan
    from cutplan.solve.clock import Clock


def settle_reuse(job: Job, plan: Plan, clock: Clock, plan_of: Callable[[Job], Plan]) -> Plan:
    """Return the plan without cut-outs if that is as good, and with what the job needs without offcuts at all.

    ``plan_of`` plans a job by the ``clock``, without regard to what would be possible at best.
    """
    if plan.uses_cut_outs:
        plain = _planned(_without_cut_outs(job), plan_of)
        if plain is not None and plain.value == plan.value:
            plan = _laid_out_as(plain, plan)
    if not plan.uses_offcuts:
        return plan
    lots = tuple(lot for lot in job.lots if not lot.is_offcut)
    without = _planned(replace(_without_cut_outs(job), lots=lots), plan_of)
    if without is None:
        return replace(plan, without_offcuts=WithoutOffcuts(None, None, is_proved=clock.left > 0))
    is_proved = without.status is Status.OPTIMAL or without.value == plan.proof.bound
    return replace(plan, without_offcuts=WithoutOffcuts(without.value, without.rolls_needed, is_proved))


def _laid_out_as(plain: Plan, plan: Plan) -> Plan:
    """Return ``plan``, with its proof, laid out as a plan that is as good and does without its cut-outs."""
    batches = plan.batches
    if batches is not None and plain.batches is not None:
        batches = replace(batches, of_walls=plain.batches.of_walls, changes=plain.batches.changes)
    drops = tuple(replace(drop, batch=other.batch) for drop, other in zip(plan.job.drops, plain.job.drops, strict=True))
    return replace(plan, job=replace(plan.job, drops=drops), layouts=plain.layouts, batches=batches)


def _without_cut_outs(job: Job) -> Job:
    return replace(job, drops=tuple(replace(drop, cut_outs=()) for drop in job.drops))


def _planned(job: Job, plan_of: Callable[[Job], Plan]) -> Plan | None:
    """Return the plan of a job; None when its rolls are too few."""
    try:
        return plan_of(job)
    except NoPlanError:
        return None
