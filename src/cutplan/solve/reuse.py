"""What offcuts save: the same job without them, and without what falls out of its own drops.

A cut-out is reused only where that saves something: it comes off a pasted drop, in the middle of the work. Offcuts that
were kept lie there dry, and are used wherever they fit.

The solver takes every cut-out to be as wide as it can be, and of any batch that its drop may be of. It is narrower when
its drop is cut from an offcut that is itself too narrow, and of the batch of the paper that its drop comes from. A plan
that needs the missing part, or another batch, cannot be cut. Every plan that can be cut then lacks one of a few pairs
of a drop and its lot; each is barred in turn, and the jobs that follow are solved likewise, those of the least bound
first, until none is left that could be better than the best plan found (branch and bound: Land and Doig, Econometrica
28 (1960) 497–520).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from heapq import heappop, heappush
from itertools import count
from typing import TYPE_CHECKING, Protocol, TypeVar

from msgspec.structs import replace

from cutplan.errors import NoPlanError
from cutplan.job.job import Job
from cutplan.job.print_along import cannot_stand, serves
from cutplan.plan.plan import TIME_LIMIT, AtBest, Plan, WithoutOffcuts, cut_from
from cutplan.plan.proof import Proof, Status, TooFewRollsError
from cutplan.solve.clock import Clock

if TYPE_CHECKING:

    class PlanOf(Protocol):
        """Plans a job, cut-outs taken to be as wide as they can be."""

        def __call__(self, job: Job, *, wants_best: bool) -> Plan:
            """Return the plan; what is possible at best only if it is wanted."""


_Found = TypeVar("_Found", Plan, AtBest)


def settle_reuse(job: Job, plan: Plan, clock: Clock, plan_of: PlanOf) -> Plan:
    """Return a plan whose cut-outs are all there, or without any if that is as good; and what offcuts save.

    ``plan`` takes cut-outs to be as wide as they can be, as ``plan_of`` does, which works by the ``clock``.

    Raises
    ------
    NoPlanError
        When the rolls are too few, because cut-outs are narrower than they could be.

    """
    plan = as_it_falls(job, plan, clock, plan_of)
    if plan.at_best is not None and job.has_cut_outs:
        certain = replace(plan.at_best, value=plan.value, rolls=plan.rolls_needed, layouts=plan.layouts)
        best = _that_can_be_cut(job, plan.at_best, certain, clock, lambda other: _at_best(other, plan_of))
        plan = replace(plan, at_best=best)
    if not plan.uses_offcuts:
        return plan
    lots = tuple(lot for lot in job.lots if not lot.is_offcut)
    without = _planned(replace(_without_cut_outs(job), lots=lots), plan_of)
    if without is None:
        return replace(plan, without_offcuts=WithoutOffcuts(None, is_proved=clock.left > 0))
    is_proved = without.status is Status.OPTIMAL or without.value == plan.proof.bound
    return replace(plan, without_offcuts=WithoutOffcuts(without, is_proved))


def as_it_falls(job: Job, plan: Plan, clock: Clock, plan_of: PlanOf) -> Plan:
    """Return the plan of :func:`settle_reuse`, without what the offcuts save and what is possible at best."""
    if not plan.uses_cut_outs:
        return plan
    plain = _planned(_without_cut_outs(job), plan_of)
    if plain is None or plain.value > plan.value:
        found = _that_can_be_cut(job, plan, plain, clock, lambda other: plan_of(other, wants_best=False))
        plan = laid_out_as(found, plan, found.proof)
    if plain is not None and plain.value == plan.value:
        plan = laid_out_as(plain, plan, plan.proof)
    return plan


def _that_can_be_cut(
    job: Job, first: _Found, known: _Found | None, clock: Clock, solve: Callable[[Job], _Found]
) -> _Found:
    """Return the best plan whose cut-outs are wide enough, with its bound; ``known`` is such a plan, if there is one.

    ``first`` is what ``solve`` says of the ``job`` itself.
    """
    best = known
    numbers = count()
    waiting: list[tuple[Fraction, int, Job, _Found]] = [(first.proof.bound, next(numbers), job, first)]
    while waiting and (best is None or waiting[0][0] < best.value) and clock.left > 0:
        bound, _, asked, found = heappop(waiting)
        pairs = cannot_stand(job, cut_from(found.layouts))
        if not pairs:
            best = found if best is None or found.value < best.value else best
            if found.value > bound:
                heappush(waiting, (bound, next(numbers), asked, found))
                break
            continue
        for barred in _ways_out(job, pairs):
            narrower = replace(asked, barred=asked.barred | barred)
            try:
                again = solve(narrower)
            except NoPlanError:
                continue
            heappush(waiting, (max(bound, again.proof.bound), next(numbers), narrower, again))
    if best is None:
        best = _without_any(job, solve, is_out_of_time=bool(waiting))
    bound = min([best.value, *(item[0] for item in waiting)])
    proof = first.proof if bound == first.proof.bound else replace(first.proof, bound=bound, by_search=True)
    return replace(best, proof=proof)


def _without_any(job: Job, solve: Callable[[Job], _Found], *, is_out_of_time: bool) -> _Found:
    """Return a plan that cuts from no cut-out; without one, say what is short, or that time was."""
    try:
        found = solve(_without_cut_outs(job))
    except TooFewRollsError as short:
        # Its prices prove what is short without cut-outs; with them it is the search that proves it.
        if is_out_of_time:
            raise TooFewRollsError(f"no plan was found before this: {TIME_LIMIT}", is_proved=False) from None
        why = f"what falls out of drops is too narrow to make the rolls enough; without it {short.why}"
        raise TooFewRollsError(why, short.not_cut) from None
    if not is_out_of_time:
        raise AssertionError("a plan without cut-outs was possible after all")
    return found


def _ways_out(job: Job, pairs: tuple[tuple[str, str], ...]) -> Iterator[frozenset[tuple[str, str]]]:
    """Yield sets of pairs to bar, so that every plan that can be cut has none of one of the sets.

    Either one of the drops on the way is cut from something else; or they are cut as they are, and then nothing wider
    than the paper at the end, and of no other batch, comes from the cut-outs of the first of them.
    """
    for pair in pairs[1:]:
        yield frozenset({pair})
    source, paper = pairs[1][0], job.lot(pairs[-1][1])
    cut_outs = [lot.label for lot in job.offcuts if lot.cut_from == source]
    others = (drop.label for drop in job.drops if not serves(paper, drop))
    yield frozenset((label, cut_out) for label in others for cut_out in cut_outs)


def _at_best(job: Job, plan_of: PlanOf) -> AtBest:
    best = plan_of(job, wants_best=True).at_best
    if best is None:
        raise NoPlanError("no roll is sealed")
    return best


def laid_out_as(other: Plan, plan: Plan, proof: Proof) -> Plan:
    """Return ``plan`` laid out as another of the same job with fewer pairs of drop and lot allowed, and its proof."""
    batches = plan.batches
    if batches is not None and other.batches is not None:
        by_search = batches.by_search or proof.bound > plan.proof.bound
        batches = replace(batches, of_walls=other.batches.of_walls, changes=other.batches.changes, by_search=by_search)
    drops = tuple(replace(drop, batch=like.batch) for drop, like in zip(plan.job.drops, other.job.drops, strict=True))
    return replace(
        plan,
        job=replace(plan.job, drops=drops),
        layouts=other.layouts,
        batches=batches,
        proof=proof,
        stopped=None if other.value == proof.bound else plan.stopped or TIME_LIMIT,
    )


def _without_cut_outs(job: Job) -> Job:
    return replace(job, drops=tuple(replace(drop, cut_outs=()) for drop in job.drops))


def _planned(job: Job, plan_of: PlanOf) -> Plan | None:
    """Return the plan of a job; None when its rolls are too few."""
    try:
        return plan_of(job, wants_best=False)
    except NoPlanError:
        return None
