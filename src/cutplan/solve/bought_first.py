"""The fewest rolls bought beside those in hand, and of such plans the fewest opened: two questions, two proofs.

The first takes rolls in hand to cost nothing. Its answer limits what is bought in the second, which counts every roll
opened. So each counts rolls of one price, where a bound may be rounded up; asked as one question, at a price at which a
roll bought outweighs all in hand, both together leave a gap that only a search could close.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from math import ceil
from typing import TYPE_CHECKING, Final, TypeVar

from msgspec.structs import replace

from cutplan.errors import NoPlanError
from cutplan.job.bought_beside import in_hand_for_nothing, when_bought
from cutplan.plan.plan import AtBest, Plan, value_of_layouts
from cutplan.plan.proof import Proof
from cutplan.solve.clock import Clock
from cutplan.solve.write_up import rolls_in

if TYPE_CHECKING:
    from cutplan.job.job import Job

SHARE_FOR_BUYING: Final = 0.6
"""Part of the time for how many are bought."""

_Answer = TypeVar("_Answer", Plan, AtBest)


def plan_bought_first(job: Job, clock: Clock, plan_of: Callable[[Job, Clock], Plan]) -> Plan:
    """Return the plan of a job whose rolls are bought beside others in hand, with both proofs.

    ``plan_of`` plans a job by a clock.

    Raises
    ------
    NoPlanError
        As ``plan_of``.

    """
    bought, opened = _asked(job, clock, plan_of)
    layouts = opened.layouts or bought.layouts
    value, proof = value_of_layouts(job, layouts), _both(job, bought, opened)
    batches = opened.batches
    if batches is not None and (opened is bought or opened.job.counts_cost):
        batches = replace(batches, certificates=(), by_search=True)
    return Plan(
        job=replace(opened.job, lots=job.lots, barred=job.barred),
        layouts=layouts,
        proof=proof,
        stopped=None if value == proof.bound else bought.stopped or opened.stopped,
        batches=batches,
    )


def best_bought_first(plan: Plan, job: Job, clock: Clock, best_of: Callable[[Job, Clock], AtBest]) -> AtBest:
    """Return what is possible at best of a job whose ``plan`` is certain; ``best_of`` says it of a job, by a clock."""
    bought, opened = _asked(job, clock, best_of)
    layouts = opened.layouts or bought.layouts
    value, proof = value_of_layouts(job, layouts), _both(job, bought, opened)
    is_better = bool(layouts) and value < plan.value
    if not is_better:
        value, layouts = plan.value, plan.layouts
    return AtBest(
        value=value,
        rolls=rolls_in(job, layouts),
        proof=proof,
        layouts=layouts if is_better or job.has_cut_outs else (),
    )


def _asked(job: Job, clock: Clock, answer_of: Callable[[Job, Clock], _Answer]) -> tuple[_Answer, _Answer]:
    """Return what is answered of how many are bought, and of how many are opened; the first again where time is up."""
    bought = answer_of(replace(job, lots=in_hand_for_nothing(job.lots)), clock.share(SHARE_FOR_BUYING))
    try:
        return bought, answer_of(_when_bought(job, int(bought.value)), clock)
    except NoPlanError:
        return bought, bought


def _when_bought(job: Job, rolls: int) -> Job:
    """Return a job in which so many rolls are bought: where none is, they stay, for their batch, and nothing is cut."""
    bought = [lot.label for lot in job.lots if lot.count is None and not rolls]
    barred = job.barred | {(drop.label, label) for drop in job.drops for label in bought}
    return replace(job, lots=when_bought(job.lots, rolls), barred=barred)


def _both(job: Job, bought: Plan | AtBest, opened: Plan | AtBest) -> Proof:
    """Return the proof of both numbers as one."""
    least = ceil(bought.proof.bound)
    known = Fraction(least * job.weight_of_bought)
    if opened is bought or sum(lot.count is None for lot in job.rolls) > 1:
        # Of several lots each costs what it weighs, and a search has added that up.
        more = Fraction(0) if opened is bought else opened.proof.bound
        return Proof(max(known, more), None, by_search=True, to_buy=bought.proof)
    further = ceil(opened.proof.bound) - least
    by_search = opened.proof.by_search or further < 0
    return Proof(known + max(further, 0), opened.proof.prices, by_search, to_buy=bought.proof)
