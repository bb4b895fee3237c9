"""Offcuts, cut-outs, flaws, bolts in pieces and rolls that come off foot first, against exhaustive search."""

from __future__ import annotations

import random
from fractions import Fraction
from itertools import permutations
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from cutplan.errors import NoPlanError
from cutplan.job.drops import CutOut, Drop
from cutplan.job.job import Job
from cutplan.job.print_along import cannot_stand
from cutplan.paper.pattern import FREE, Pattern
from cutplan.paper.stock import Lot, Paper, Stretch
from cutplan.plan.plan import cut_from
from cutplan.plan.proof import Status
from cutplan.solve import solve

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cutplan.plan.plan import Plan

REPEAT = 8
"""A short repeat in whole millimetres, so that every place of a drop can be tried."""

WIDTH = 20
"""Width of the strip."""


def mm(number: int | None) -> Fraction | None:
    """Return whole millimetres as a length."""
    return None if number is None else Fraction(number)


def length(number: int) -> Fraction:
    """Return whole millimetres as a length."""
    return Fraction(number)


def random_job(seed: int, *, free: bool) -> Job:
    """Return a small job with every sort of special stock, its numbers whole."""
    chance = random.Random(seed)  # noqa: S311 - repeatable, nothing secret
    repeat = 0 if free else REPEAT
    drops = tuple(random_drop(chance, str(number), repeat) for number in range(1, chance.randint(3, 6)))
    lots = [random_roll(chance, f"roll {number}", repeat) for number in range(1, chance.randint(2, 4))]
    if chance.random() < 0.5:
        left, right = sorted(chance.sample(range(WIDTH + 1), 2))
        first = None if free else length(chance.randrange(REPEAT))
        lots.append(
            Lot("kept", length(chance.randint(6, 20)), first, left=length(left), right=length(right), is_offcut=True)
        )
    paper = Paper("trial", Pattern(length(repeat), Fraction(0)), length(40), length(WIDTH))
    return Job(paper, tuple(lots), drops)


def random_drop(chance: random.Random, label: str, repeat: int) -> Drop:
    """Return a drop with trims of 1 mm, often narrow or with a cut-out."""
    left = right = None
    if chance.random() < 0.4:
        left, right = sorted(chance.sample(range(WIDTH + 1), 2))
    height = chance.randint(3, 18)
    cut_outs: tuple[CutOut, ...] = ()
    if chance.random() < 0.5:
        edges = sorted(chance.sample(range(WIDTH + 1), 2))
        first = chance.randrange(repeat) if repeat else 0
        cut_outs = (
            CutOut(
                f"cut-out of {label}", length(max(3, height - 2)), length(first), length(edges[0]), length(edges[1])
            ),
        )
    first_motif = chance.randrange(repeat) if repeat else 0
    return Drop(
        label,
        length(height),
        length(first_motif),
        Fraction(1),
        Fraction(1),
        left=mm(left),
        right=mm(right),
        cut_outs=cut_outs,
    )


def random_roll(chance: random.Random, label: str, repeat: int) -> Lot:
    """Return a roll that is measured, sealed, flawed, in pieces, or foot first."""
    size = chance.randint(24, 44)
    start = chance.randrange(repeat) if repeat else 0
    roll = Lot(label, length(size), length(start), is_foot_first=chance.random() < 0.3)
    sort = chance.choice(["whole", "sealed", "flawed", "pieces"])
    if sort == "sealed":
        return replace(roll, first_motif=None, is_foot_first=False)
    if sort == "flawed":
        flaw = chance.randint(5, size - 6)
        beyond = flaw + chance.randint(1, 3)
        after = (start - beyond) % repeat if repeat else 0
        parts = (
            Stretch(Fraction(0), length(flaw), length(start)),
            Stretch(length(beyond), length(size - beyond), length(after)),
        )
        return replace(roll, parts=parts)
    if sort == "pieces":
        joint = chance.randint(6, size - 6)
        second = chance.choice([None, chance.randrange(repeat) if repeat else 0])
        parts = (
            Stretch(Fraction(0), length(joint), length(start)),
            Stretch(length(joint), length(size - joint), mm(second)),
        )
        return replace(roll, parts=parts)
    return roll


# The exhaustive search, with arithmetic of its own


class Laying:
    """Tries every legal place for drops on one lot, one drop after another."""

    def __init__(self, job: Job, lot: Lot, drops: Sequence[Drop]) -> None:
        self.repeat = int(job.paper.pattern.repeat)
        self.is_foot_first = lot.is_foot_first
        self.drops = drops
        self.stretches = [
            (
                int(part.start),
                int(part.start + part.length),
                None if part.first_motif is None else int(part.first_motif),
            )
            for part in lot.stretches
        ]

    def fits(self) -> bool:
        """Return True when all the drops can be laid."""
        return self.lay(0, 0, self.stretches[0][0], None)

    def lay(self, index: int, stretch: int, place: int, datum: int | None) -> bool:
        """Return True when the drops from ``index`` on can be laid from ``place`` of a stretch on."""
        if index == len(self.drops):
            return True
        if self.lay_here(index, stretch, place, datum):
            return True
        following = stretch + 1
        return following < len(self.stretches) and self.lay(index, following, self.stretches[following][0], None)

    def lay_here(self, index: int, stretch: int, place: int, datum: int | None) -> bool:
        """Return True when the drops from ``index`` on can be laid, the first of them on this stretch."""
        drop = self.drops[index]
        size = int(drop.cut_length)
        motif = int(drop.trim_top + drop.first_motif)
        motif = size - motif if self.is_foot_first else motif
        begin, end, known = self.stretches[stretch]
        if datum is None and known is None:
            start = begin + self.repeat
            return start + size <= end and self.lay(index + 1, stretch, start + size, start + motif)
        here = begin + (known or 0) if datum is None else datum
        return any(
            self.lay(index + 1, stretch, start + size, here)
            for start in range(place, end - size + 1)
            if not self.repeat or (start + motif - here) % self.repeat == 0
        )


def fits(job: Job, lot: Lot, drops: Sequence[Drop]) -> bool:
    """Return True when these drops, in this order, can be laid on the lot: every legal place is tried."""
    return Laying(job, lot, drops).fits()


def wide_enough(lot: Lot, drop: Drop) -> bool:
    """Return True when the lot has the part of the strip that the drop needs."""
    left = Fraction(0) if drop.left is None else drop.left
    right = Fraction(WIDTH) if drop.right is None else drop.right
    return (Fraction(0) if lot.left is None else lot.left) <= left and right <= (
        Fraction(WIDTH) if lot.right is None else lot.right
    )


def least_value(job: Job, batch_of: Sequence[str] | None = None) -> Fraction | None:
    """Return the fewest rolls, or the least they cost, over every share-out of the drops; None when none will do.

    ``batch_of`` is the batch that each drop must be cut from, where that is settled.
    """
    return ShareOut(job).least(batch_of)


class ShareOut:
    """Tries every lot for every drop, in hanging order, so that what a drop falls out of is settled before it."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.lots = list(job.lots) + [
            Lot(
                f"{cut_out.label} {number}",
                cut_out.length,
                cut_out.first_motif,
                left=cut_out.left,
                right=cut_out.right,
                is_offcut=True,
                cut_from=str(number),
            )
            for number, drop in enumerate(job.drops)
            for cut_out in drop.cut_outs
        ]
        self.held = [
            {0, *(mask for mask in range(1, 1 << len(job.drops)) if can_hold(job, lot, mask))} for lot in self.lots
        ]

    def least(self, batch_of: Sequence[str] | None = None) -> Fraction | None:
        """Return the least value; None when the drops cannot be shared out."""
        self.batch_of = batch_of
        self.best: Fraction | None = None
        self._go_on([0] * len(self.lots), [], Fraction(0))
        return self.best

    def _go_on(self, masks: list[int], papers: list[Lot], value: Fraction) -> None:
        """Try every lot for the next drop; ``papers`` are those of the drops before it, as wide as they truly are."""
        number = len(papers)
        if self.best is not None and value >= self.best:
            return
        if number == len(self.job.drops):
            self.best = value
            return
        for index, lot in enumerate(self.lots):
            paper = lot if lot.cut_from is None else self._fallen(lot, papers)
            if paper is None or masks[index] | 1 << number not in self.held[index]:
                continue
            if not wide_enough(paper, self.job.drops[number]):
                continue
            if self.batch_of is not None and (paper.batch or "") != self.batch_of[number]:
                continue
            is_opened = not lot.is_offcut and not masks[index]
            masks[index] |= 1 << number
            cost = (Fraction(1) if lot.price is None else lot.price) if is_opened else Fraction(0)
            self._go_on(masks, [*papers, paper], value + cost)
            masks[index] &= ~(1 << number)

    def _fallen(self, lot: Lot, papers: list[Lot]) -> Lot | None:
        """Return a cut-out as it is once its drop is cut from its paper; None while that is not cut."""
        source = int(lot.cut_from or 0)
        if source >= len(papers):
            return None
        paper = papers[source]
        left = max(lot.left or Fraction(0), paper.left or Fraction(0))
        right = min(Fraction(WIDTH) if side is None else side for side in (lot.right, paper.right))
        return replace(lot, left=left, right=right, batch=paper.batch)


def can_hold(job: Job, lot: Lot, mask: int) -> bool:
    """Return True when the lot can hold the drops of the mask in some order."""
    numbers = [number for number in range(len(job.drops)) if mask >> number & 1]
    drops = [job.drops[number] for number in numbers]
    if sum(int(drop.cut_length) for drop in drops) > lot.length:
        return False
    if lot.cut_from is not None and any(number <= int(lot.cut_from) for number in numbers):
        return False
    if not all(wide_enough(lot, drop) for drop in drops):
        return False
    return any(fits(job, lot, order) for order in permutations(drops))


def solved(job: Job) -> Plan | None:
    """Return the plan, or None when there is none."""
    try:
        return solve(job)
    except NoPlanError:
        return None


@pytest.mark.parametrize("free", [False, True])
@pytest.mark.parametrize("seed", [*range(120), 20362])
def test_special_stock_matches_exhaustive_search(seed: int, free: bool) -> None:  # noqa: FBT001 - parametrized
    """Flaws, pieces, foot-first rolls, kept offcuts and cut-outs: the fewest rolls are those of trying everything."""
    job = random_job(seed, free=free)
    expected = least_value(job)

    plan = solved(job)

    assert (None if plan is None else plan.rolls_needed) == expected
    if plan is not None:
        assert plan.status is Status.OPTIMAL


@pytest.mark.parametrize("free", [False, True])
@pytest.mark.parametrize("seed", [*range(60), 1171, 3264])
def test_special_stock_at_many_prices_matches_exhaustive_search(seed: int, free: bool) -> None:  # noqa: FBT001 - parametrized
    """The same with every roll at a price of its own, to the penny: the least cost is that of trying everything."""
    chance = random.Random(seed)  # noqa: S311 - repeatable, nothing secret
    job = random_job(seed, free=free)
    lots = (lot if lot.is_offcut else replace(lot, price=Fraction(chance.randint(2000, 9000), 100)) for lot in job.lots)
    job = replace(job, lots=tuple(lots))
    expected = least_value(job)

    plan = solved(job)

    assert (None if plan is None else cost_of(plan)) == expected
    if plan is not None:
        assert plan.status is Status.OPTIMAL


def narrow_job(seed: int, *, free: bool) -> Job:
    """Return a small job of narrow drops, each with what is slit off beside it, and one or two narrow offcuts."""
    chance = random.Random(seed)  # noqa: S311 - repeatable, nothing secret
    repeat = 0 if free else REPEAT
    drops = tuple(narrow_drop(chance, str(number), repeat) for number in range(1, chance.randint(4, 6)))
    lots = [
        Lot(f"roll {number}", length(chance.randint(12, 24)), None if chance.random() < 0.4 else length(0))
        for number in range(1, chance.randint(2, 4))
    ]
    for number in range(chance.randint(1, 2)):
        left, right = chance.choice([(0, 14), (0, 8), (6, 20), (12, 20), (0, 10), (6, 14)])
        first = chance.randrange(repeat) if repeat else 0
        kept = Lot(f"kept {number}", length(chance.randint(6, 24)), length(first), is_offcut=True)
        lots.append(replace(kept, left=length(left), right=length(right)))
    paper = Paper("trial", Pattern(length(repeat), Fraction(0)), length(40), length(WIDTH))
    return Job(paper, tuple(lots), drops)


def narrow_drop(chance: random.Random, label: str, repeat: int) -> Drop:
    """Return a drop with trims of 1 mm, and what is slit off to its left and to its right."""
    left, right = chance.choice([0, 0, 6, 12]), chance.choice([8, 14, 20, 20])
    left, right = (left, right) if left < right else (0, 8)
    height, motif = chance.randint(3, 10), chance.choice([0, 0, 3]) if repeat else 0
    below = length((motif + 1) % repeat if repeat else 0)
    beside = [("left", length(0), length(left)), ("right", length(right), length(WIDTH))]
    cut_outs = tuple(
        CutOut(f"{side} of {label}", length(height + 2), below, start, end)
        for side, start, end in beside
        if start < end
    )
    drop = Drop(label, length(height), length(motif), Fraction(1), Fraction(1), cut_outs=cut_outs)
    return drop if not cut_outs else replace(drop, left=length(left), right=length(right))


@pytest.mark.parametrize("free", [False, True])
@pytest.mark.parametrize("seed", [*range(40), 1200])
def test_narrow_offcuts_make_narrower_cut_outs(seed: int, free: bool) -> None:  # noqa: FBT001 - parametrized
    """What is slit off beside a piece is as wide as the paper that the piece is cut from, and no plan needs more."""
    job = narrow_job(seed, free=free)
    expected = least_value(job)

    plan = solved(job)

    assert (None if plan is None else plan.rolls_needed) == expected
    if plan is not None:
        assert plan.status is Status.OPTIMAL
        assert not cannot_stand(job, cut_from(plan.layouts))


def cost_of(plan: Plan) -> Fraction:
    """Return what the rolls opened cost."""
    opened = [plan.job.lot(layout.lot) for layout in plan.layouts for _ in range(layout.count)]
    return sum((lot.price or Fraction(0) for lot in opened), Fraction(0))


def test_offcut_like_a_roll_for_nothing_is_still_no_roll() -> None:
    """A is open already and costs nothing, K is an offcut as long: with B two are rolls, at best as certainly."""
    lots = (
        Lot("A", length(1000), batch="A", price=Fraction(0)),
        Lot("B", length(1000), batch="B", price=Fraction(5)),
        Lot("K", length(1000), Fraction(0), batch="A", is_offcut=True),
    )
    alike = Drop("1", length(900), Fraction(0), Fraction(0), Fraction(0), count=2, batch="A")
    job = Job(Paper("trial", FREE, length(1000)), lots, (alike, replace(alike, label="2", count=1, batch="B")))

    plan = solve(job)

    assert plan.rolls_needed == 2
    assert plan.at_best is not None
    assert plan.at_best.rolls == 2
