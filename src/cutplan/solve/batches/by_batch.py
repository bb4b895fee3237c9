"""One batch for each wall: the choice that needs the fewest rolls, proved over every choice.

Two batches can differ in shade, so a wall is papered from one of them and the batch changes at corners only. Of choices
that cost the same, that is taken which changes least often at an external corner, then least often at all.

The cheapest choice by the bounds known so far is looked at first. The solver is asked about the walls of each batch in
it, and its answer leaves better bounds behind. When the cheapest choice is known in full, no other can be better (a
decomposition after Benders, Numerische Mathematik 4 (1962) 238–252, with the choice as its master).
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from functools import partial

from msgspec import Struct
from msgspec.structs import replace

from cutplan.job.job import Job
from cutplan.plan.plan import TIME_LIMIT, AtBest, Plan, RollLayout
from cutplan.plan.proof import BatchChoice, BatchPrices, Proof, TooFewRollsError
from cutplan.solve.batches.batch_choice import MOST_TRIED, Choice, Chooser, neighbours_of
from cutplan.solve.batches.batch_shares import NEVER, Amount, Shares, Walls
from cutplan.solve.batches.batch_shortage import why_none
from cutplan.solve.clock import SHARE_FOR_CERTAIN, Clock, TimeIsUp
from cutplan.solve.instance import scale
from cutplan.solve.shortage import optimise_or_refuse
from cutplan.solve.write_up import proof_of, rolls_in


class Found(Struct):
    """The best choice, its layouts, and what is proved."""

    choice: Choice | None = None
    """None while none is known that can be cut."""
    value: Amount = NEVER
    """Of its plan."""
    layouts: tuple[RollLayout, ...] = ()

    bound: Amount = Fraction(0)
    """No choice has a plan of a smaller value."""
    stopped: str | None = None
    """Why the search ended before that was the value."""


def choose(shares: Shares, chooser: Chooser, least: Fraction, report: Callable[[str], None]) -> Found:
    """Return the best choice; ``least`` is a bound known of every one."""
    found = Found(bound=least)
    while True:
        choice = chooser.cheapest(partial(_bound, shares), shares.clock)
        if choice is None:
            return _given_up(shares, found, least)
        found.bound = max(least, choice.bound)
        if found.bound == NEVER:
            return _with_doubts(shares, found, least)
        unasked = [batch for batch, walls in enumerate(choice.walls) if not shares.is_answered(batch, walls)]
        if not unasked:
            _offer(shares, choice, found)
            return _with_doubts(shares, found, least)
        shares.answer(unasked[0], choice.walls[unasked[0]])
        if len(unasked) == 1:
            _offer(shares, choice, found)
            if found.choice is not None:
                report(f"{sum(layout.count for layout in found.layouts)} rolls of {shares.job.paper.name} by wall")


def _bound(shares: Shares, batch: int, walls: Walls, *, is_least: bool) -> Amount:
    if is_least:
        return shares.bound_by_prices(batch, walls, is_least=True)
    if shares.is_answered(batch, walls) and shares.answer(batch, walls).value == NEVER:
        return NEVER
    return shares.bound(batch, walls)


def _with_doubts(shares: Shares, found: Found, least: Fraction) -> Found:
    """Take back the bound where walls were taken to be beyond a batch only because time was up."""
    if shares.doubts:
        found.bound = least
        found.stopped = found.stopped or shares.doubts
    return found


def _offer(shares: Shares, choice: Choice, found: Found) -> None:
    """Keep a choice that is known in full, when it is better, or as good and less often changes the batch."""
    answers = [shares.answer(batch, walls) for batch, walls in enumerate(choice.walls)]
    value: Amount = sum((answer.value for answer in answers), Fraction(0))
    if value == NEVER or (
        found.choice is not None and (value, *choice.key[1:]) >= (found.value, *found.choice.key[1:])
    ):
        return
    found.choice, found.value = choice, value
    found.layouts = tuple(layout for answer in answers for layout in answer.layouts)
    found.stopped = next((answer.stopped for answer in answers if answer.stopped), None)


def _given_up(shares: Shares, found: Found, least: Fraction) -> Found:
    """Return what is known when time is up, or there are too many choices: at worst, some choice that can be cut."""
    if found.choice is None:
        walls = _some_choice(shares)
        if walls is not None:
            _offer(shares, Choice(walls, (NEVER, 0, 0)), found)
    try:
        shares.clock.check()
    except TimeIsUp as end:
        found.stopped = found.stopped or end.reason
    found.stopped = found.stopped or TIME_LIMIT
    return _with_doubts(shares, found, least)


def _some_choice(shares: Shares) -> tuple[Walls, ...] | None:
    """Return the walls of each batch, each wall of the batch before it, or another, that has enough; None for none."""
    for first in range(len(shares.batches)):
        batch = first
        walls = [0] * len(shares.batches)
        for wall, allowed in enumerate(shares.allowed):
            held = {other: walls[other] | 1 << wall for other in sorted(allowed, key=batch.__ne__)}
            enough = next((other for other in held if shares.answer(other, held[other]).value != NEVER), None)
            if enough is None:
                break
            batch, walls[enough] = enough, held[enough]
        else:
            return tuple(walls)
    return None


# The plan


def plan_by_batch(job: Job, clock: Clock, tell: Callable[[str], None], *, wants_best: bool) -> Plan:
    """Return a plan in which each wall is papered from one batch; what is possible at best only if it is wanted.

    Raises
    ------
    TooFewRollsError
        When the rolls are too few: of every batch for some wall, or however the walls are shared out.

    """
    mostly = clock.share(SHARE_FOR_CERTAIN) if wants_best else clock
    solving = _Solving(job, mostly, tell, certain=True)
    found = solving.found
    if found.choice is None:
        if found.stopped is not None:
            why = f"no plan with one batch for each wall was found before this: {found.stopped}"
            raise TooFewRollsError(why, is_proved=False)
        raise TooFewRollsError(why_none(solving.shares, solving.chooser))
    chosen = _names(solving.shares, found.choice)
    return Plan(
        job=replace(job, drops=tuple(replace(drop, batch=chosen[drop.wall or ""]) for drop in job.drops)),
        layouts=found.layouts,
        proof=solving.proof,
        at_best=best_by_batch(job, clock, tell, found) if wants_best else None,
        stopped=found.stopped,
        batches=BatchChoice(
            chosen,
            tuple(pair for pair in neighbours_of(job) if chosen.get(pair.left) != chosen.get(pair.right)),
            *_certificates(solving.shares, solving.chooser, solving.bound),
        ),
    )


class _Solving:
    """The job without regard to batches, for its bound and its prices, and then with regard to them."""

    def __init__(self, job: Job, clock: Clock, tell: Callable[[str], None], *, certain: bool) -> None:
        scaled = scale(job, certain=certain)
        outcome = optimise_or_refuse(job, scaled, clock, tell)
        self.relaxed: Proof = proof_of(scaled, outcome)
        self.shares = Shares(job, clock, certain=certain)
        self.shares.learn(self.relaxed.prices)
        self.chooser = Chooser(self.shares.walls, len(self.shares.batches), self.shares.allowed, neighbours_of(job))
        self.found = choose(self.shares, self.chooser, self.relaxed.bound, tell)

    @property
    def bound(self) -> Fraction:
        """No plan, whatever batch each wall is of, has a smaller value."""
        return Fraction(self.found.bound)

    @property
    def proof(self) -> Proof:
        """The prices of the job without regard to batches, with the bound over every choice."""
        relaxed = self.relaxed
        return replace(relaxed, bound=self.bound, by_search=self.bound > relaxed.bound or relaxed.by_search)


def best_by_batch(job: Job, clock: Clock, tell: Callable[[str], None], certain: Found | None = None) -> AtBest:
    """Return what is possible at best; ``certain``, the plan found, is possible however the rolls begin."""
    certain = certain or Found()
    solving = _Solving(job, clock, tell, certain=False)
    found = solving.found
    if found.value > certain.value:
        found.value, found.layouts = certain.value, certain.layouts
    return AtBest(
        value=Fraction(found.value),
        rolls=rolls_in(job, found.layouts),
        proof=solving.proof,
        layouts=found.layouts if job.has_cut_outs or found.value < certain.value else (),
    )


def _names(shares: Shares, choice: Choice) -> dict[str, str]:
    """Return the batch of each wall by name."""
    of_wall = {}
    for number, name in enumerate(shares.walls):
        batch = next(batch for batch, walls in enumerate(choice.walls) if walls >> number & 1)
        of_wall[name] = shares.batches[batch]
    return of_wall


# The proof over every choice


def _certificates(shares: Shares, chooser: Chooser, bound: Fraction) -> tuple[tuple[BatchPrices, ...], bool]:
    """Return certificates that prove ``bound`` of every choice, few of them; and whether some choice needs a search."""
    if len(shares.batches) ** len(shares.walls) > MOST_TRIED:
        return (), True
    kept: list[list[int]] = [[] for _ in shares.batches]
    by_search = False
    for walls in chooser.every():
        if not shares.clock.left:
            return (), True
        proved = [shares.proved(batch, held) for batch, held in enumerate(walls)]
        if _sum_of_kept(proved, kept) >= bound:
            continue
        for of_batch, numbers in zip(proved, kept, strict=True):
            best = max(range(len(of_batch)), key=of_batch.__getitem__, default=None)
            if best is not None and of_batch[best] and best not in numbers:
                numbers.append(best)
        by_search |= _sum_of_kept(proved, kept) < bound
    listed = (shares.certificate(batch, number) for batch, numbers in enumerate(kept) for number in numbers)
    return tuple(listed), by_search


def _sum_of_kept(proved: list[list[Amount]], kept: list[list[int]]) -> Amount:
    """Return what the kept certificates prove together, from what every certificate of each batch proves."""
    best = (
        max((of_batch[number] for number in numbers if of_batch), default=Fraction(0))
        for of_batch, numbers in zip(proved, kept, strict=True)
    )
    return sum(best, Fraction(0))
