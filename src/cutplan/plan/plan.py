"""A plan: how each roll is cut, how many rolls that takes, and what proves that fewer cannot do."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from math import ceil
from typing import Final

from msgspec import Struct

from cutplan.job.job import Job
from cutplan.lengths import Length
from cutplan.plan.order import CuttingOrder
from cutplan.plan.proof import BatchChoice, Proof, Status

TIME_LIMIT: Final = "time limit"
INTERRUPTED: Final = "interrupted"
TOO_MANY: Final = "too many different drops"
"""Why a search was stopped before its proof."""


class Cut(Struct, frozen=True):
    """One drop on a roll, at ``[start, end]`` from the roll's outer end, trims included.

    ``drop`` is the drop's label. On a sealed roll positions allow for the worst lead-in: the first cut
    starts at one repeat, and only distances between cuts are exact.
    """

    drop: str
    start: Length
    end: Length


class RollLayout(Struct, frozen=True):
    """How one roll, or ``count`` rolls of one lot alike, is cut (the «cutting pattern» of the literature)."""

    lot: str
    """Label of the lot that the rolls come from."""
    first_number: int
    """Number within the lot of the first of these rolls, counted from 1."""
    count: int
    """How many rolls are cut like this."""
    cuts: tuple[Cut, ...]
    """In order along the roll, from its outer end; at least one."""

    @property
    def end(self) -> Length:
        """Where the last cut ends, from the outer end (after the worst lead-in, on a sealed roll)."""
        return self.cuts[-1].end


def cut_from(layouts: Iterable[RollLayout]) -> tuple[tuple[str, str], ...]:
    """Return the labels of each drop and of each lot that it is cut from."""
    return tuple(dict.fromkeys((cut.drop, layout.lot) for layout in layouts for cut in layout.cuts))


def value_of_layouts(job: Job, layouts: Iterable[RollLayout]) -> Fraction:
    """Return what the rolls of these layouts add up to."""
    return sum((layout.count * job.value_of(job.lot(layout.lot)) for layout in layouts), Fraction(0))


class AtBest(Struct, frozen=True):
    """The figure if every sealed roll happened to begin where its layout wants: a bound, not a promise.

    ``layouts`` are those of such a plan, kept where it is better than the certain one, or cuts from cut-outs.
    """

    value: Fraction
    rolls: int
    proof: Proof
    layouts: tuple[RollLayout, ...] = ()

    @property
    def status(self) -> Status:
        """What is known of it."""
        return Status.of(self.value, self.proof.bound)


class WithoutOffcuts(Struct, frozen=True):
    """What the same drops need when nothing is cut from offcuts."""

    plan: Plan | None
    """None when no plan is known: the rolls are then too few, if ``is_proved``."""
    is_proved: bool
    """True when no plan without offcuts is better; else so much is enough and less may be."""


class Plan(Struct, frozen=True):
    """A job's rolls laid out, with the bound that says how good that is."""

    job: Job
    """What the plan is for."""
    layouts: tuple[RollLayout, ...]
    """Every roll opened, in the order in which they are taken."""
    proof: Proof
    """The lower bound on ``value``, with its certificate."""
    at_best: AtBest | None = None
    """None when no roll is sealed: the plan is then exact."""
    stopped: str | None = None
    """Why the solver stopped before a proof: :data:`TIME_LIMIT`, :data:`INTERRUPTED` or :data:`TOO_MANY`; None when it
    did not."""
    order: CuttingOrder | None = None
    """In which order the cuts are made; None when nobody has settled it."""
    batches: BatchChoice | None = None
    """From which batch each wall is papered; None where the rolls are of one batch, or walls are not told."""
    without_offcuts: WithoutOffcuts | None = None
    """What the job needs without offcuts; None when the plan cuts from none."""

    @property
    def lot_of(self) -> dict[str, str]:
        """The label of the lot that each drop is cut from; of one of them, where pieces alike come from several."""
        return dict(cut_from(self.layouts))

    @property
    def uses_offcuts(self) -> bool:
        """True when something is cut from an offcut or a cut-out."""
        return any(self.job.lot(layout.lot).is_offcut for layout in self.layouts)

    @property
    def uses_cut_outs(self) -> bool:
        """True when something is cut from what falls out of a drop."""
        return any(self.job.lot(layout.lot).cut_from is not None for layout in self.layouts)

    @property
    def was_interrupted(self) -> bool:
        """True when the user stopped the search."""
        return self.stopped == INTERRUPTED

    @property
    def rolls_needed(self) -> int:
        """Rolls opened: certain to be enough however sealed rolls begin."""
        return sum(layout.count for layout in self.layouts if not self.job.lot(layout.lot).is_offcut)

    @property
    def parts_needed(self) -> int:
        """Of the rolls opened, those that are a part of a roll only."""
        opened = ((self.job.lot(layout.lot), layout.count) for layout in self.layouts)
        return sum(count for lot, count in opened if not lot.is_offcut and self.job.paper.is_part(lot.length))

    @property
    def rolls_to_buy(self) -> int:
        """Rolls opened of those that are bought as needed."""
        return sum(layout.count for layout in self.layouts if self.job.lot(layout.lot).count is None)

    @property
    def is_bought_as_sold(self) -> bool:
        """True when rolls are bought for it that are sold in packets, or counted in singles."""
        sale = self.job.paper.sale
        return sale.unit is None and not sale.is_plain and self.rolls_to_buy > 0

    @property
    def value(self) -> Fraction:
        """What is minimised: rolls opened, or their cost where prices differ; see :meth:`Job.value_of`."""
        return value_of_layouts(self.job, self.layouts)

    @property
    def status(self) -> Status:
        """What is known of it: ``OPTIMAL`` only when ``value`` equals ``proof.bound``."""
        return Status.of(self.value, self.proof.bound) if self.layouts else Status.UNKNOWN

    @property
    def lower_bound(self) -> int:
        """Fewest rolls that any plan with a value of at least ``proof.bound`` can open."""
        return self.rolls_at_least(self.value, self.proof)

    def rolls_at_least(self, value: Fraction, proof: Proof) -> int:
        """Return the fewest rolls that a plan of this job can open by a proof of its value.

        Where rolls are bought beside rolls in hand: that one can open which buys no more than a plan of this ``value``.
        """
        job = self.job
        if job.buys_beside_hand and job.bought_in(proof.bound) == job.bought_in(value):
            return job.opened_in(proof.bound)
        dearest = max((self.job.value_of(lot) for lot in self.job.rolls), default=0)
        return ceil(proof.bound / dearest) if dearest else 0

    @property
    def gap(self) -> Fraction:
        """Value less bound: 0 when the plan is proved optimal."""
        return self.value - self.proof.bound

    def slack(self, layout: RollLayout) -> Length:
        """Return by how much a roll of ``layout`` could be short, at the worst lead-in, and still do."""
        return self.job.lot(layout.lot).length - layout.end
