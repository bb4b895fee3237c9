"""Sequences followed on paper that does not know the plan: whoever does as told gets every drop, its print right.

The rolls here are continuous prints with a beginning that nobody measured where the scenario says so. The steps are
followed to the letter; nothing else of the plan is looked at.
"""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from random import Random
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import Struct, field
from msgspec.structs import replace

from cutplan.errors import NoPlanError
from cutplan.plan.order import Follow
from cutplan.solve import solve
from cutplan.solve.ordering import order_cuts
from cutplan.table.sequence import sequence_of
from cutplan.table.steps import CutDrop, CutOff, NextStretch, OpenRoll
from dealt_plans import plans
from test_special_stock import random_job

if TYPE_CHECKING:
    from cutplan.job.job import Job
    from cutplan.lengths import Length
    from cutplan.paper.stock import Lot
    from cutplan.plan.plan import Plan
    from cutplan.table.steps import Step


class PaperRoll(Struct):
    """A roll on the table: where its end is now, and where the print really lies on each of its stretches."""

    lot: Lot
    motifs: list[Length]
    end: Length = field(default=Fraction(0))
    stretch: int = 0

    def to_next_motif(self, repeat: Length) -> Length:
        """Return how far the first motif lies below the present end."""
        return (self.motifs[self.stretch] - self.end) % repeat

    @property
    def inner_end(self) -> Length:
        """Where the present stretch ends."""
        stretch = self.lot.stretches[self.stretch]
        return stretch.start + stretch.length


class Decorator:
    """Follows steps one at a time on rolls whose unmeasured beginnings are anywhere."""

    def __init__(self, wanted: Job, chance: Random) -> None:
        self.job = wanted
        self.repeat = wanted.paper.pattern.repeat
        self.chance = chance
        self.rolls: dict[str, PaperRoll] = {}
        self.cut: Counter[str] = Counter()

    def follow(self, step: Step) -> None:
        """Do what a step says, and check that it can be done."""
        if isinstance(step, OpenRoll):
            self.open(step)
        elif isinstance(step, NextStretch):
            self.go_on(step)
        elif isinstance(step, CutOff):
            self.cut_off(step)
        elif isinstance(step, CutDrop):
            self.cut_drop(step)

    def open(self, step: OpenRoll) -> None:
        """Take up a roll; a cut-out's drop must hang already, and so all before it must be cut."""
        labels = [wanted.label for wanted in self.job.drops]
        source = step.lot.cut_from
        before = [] if source is None else labels[: labels.index(source) + 1]
        assert all(self.cut[label] == self.job.drop(label).count for label in before)
        assert step.roll not in self.rolls
        motifs = [self.motif_on(part.start, part.first_motif) for part in step.lot.stretches]
        self.rolls[step.roll] = PaperRoll(step.lot, motifs)

    def motif_on(self, start: Length, first_motif: Length | None) -> Length:
        """Return where a stretch has a motif: as measured, or anywhere."""
        if first_motif is None:
            first_motif = self.repeat * self.chance.randrange(64) / 64
        return start + first_motif

    def go_on(self, step: NextStretch) -> None:
        """Leave a stretch."""
        roll = self.rolls[step.roll]
        assert step.length is None or roll.end + step.length == roll.inner_end
        left_at = roll.inner_end
        roll.stretch += 1
        assert roll.stretch + 1 == step.stretch
        roll.end = roll.lot.stretches[roll.stretch].start
        assert step.flaw == roll.end - left_at

    def cut_off(self, step: CutOff) -> None:
        """Cut by the print; where a length is told as well, the print must agree with it."""
        roll = self.rolls[step.roll]
        if step.motif_below is None:
            assert step.length is not None
            roll.end += step.length
            return
        by_print = (roll.to_next_motif(self.repeat) - step.motif_below) % self.repeat
        assert step.length is None or step.length % self.repeat == by_print
        roll.end += by_print if step.length is None else step.length

    def cut_drop(self, step: CutDrop) -> None:
        """Cut a drop; its length and the print below its end must be what the wall wants."""
        roll, wanted = self.rolls[step.roll], self.job.drop(step.drop)
        assert step.length == wanted.height + wanted.trim_top + wanted.trim_bottom
        if self.repeat:
            below = roll.to_next_motif(self.repeat)
            assert below == step.motif_below
            # From the finished top down, whichever end came off first.
            from_top = step.length - below if step.is_foot_first else below
            assert (from_top - wanted.trim_top - wanted.first_motif) % self.repeat == 0
        roll.end += step.length
        assert roll.end <= roll.inner_end
        self.cut[step.drop] += 1


def followed(plan: Plan, chance: Random) -> Decorator:
    """Return a decorator who has followed the sequence of a plan, and cut exactly what was wanted."""
    decorator = Decorator(plan.job, chance)
    sequence = sequence_of(plan)
    assert [step.number for step in sequence.steps] == list(range(1, len(sequence.steps) + 1))
    for step in sequence.steps:
        decorator.follow(step)
    assert decorator.cut == {piece.label: piece.count for piece in plan.job.drops}
    for left in sequence.left:
        roll = decorator.rolls[left.roll]
        last = left.rests[roll.stretch]
        really = roll.inner_end - roll.end
        assert really == last.length or (left.is_at_least and really > last.length)
        if last.first_motif is not None:
            assert last.first_motif == roll.to_next_motif(decorator.repeat)
    return decorator


@settings(max_examples=50, deadline=None)
@given(plans(), st.integers(0, 1000))
def test_following_the_steps_gives_every_drop(plan: Plan, seed: int) -> None:
    """On sealed and measured rolls, in any layout, wherever sealed rolls really begin."""
    followed(plan, Random(seed))  # noqa: S311 - repeatable, nothing secret


def on_two_walls(wanted: Job) -> Job:
    """Return the job with its first three drops on one wall and the others on the next."""
    walls = ["north"] * 3 + ["east"] * len(wanted.drops)
    return replace(
        wanted, drops=tuple(replace(piece, wall=wall) for piece, wall in zip(wanted.drops, walls, strict=False))
    )


@pytest.mark.parametrize("follow", [None, *Follow])
@pytest.mark.parametrize("seed", range(60))
def test_following_the_steps_on_special_stock(seed: int, follow: Follow | None) -> None:
    """Offcuts, cut-outs, flaws, bolts in pieces and rolls foot first, put in order in every way, or in none."""
    wanted = on_two_walls(random_job(seed, free=seed % 4 == 0))
    try:
        plan = solve(wanted)
    except NoPlanError:
        pytest.skip("no plan for this job")
    if follow is not None:
        plan = order_cuts(plan, follow=follow)
    decorator = followed(plan, Random(seed))  # noqa: S311 - repeatable, nothing secret

    assert len(decorator.rolls) == len(plan.layouts)
