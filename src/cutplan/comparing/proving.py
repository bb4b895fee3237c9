"""The proved number of rolls for one set of drops after another, each helped by those before it.

Neighbouring placements differ little. Where every roll is sealed, adding the same distance to every first motif changes
no answer, so drops that are alike up to that share one. Otherwise the plan of a neighbour is tried as it is, and
the neighbour's prices bound the new value exactly, whatever they were found for: often that settles it without a linear
programme.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil
from typing import TYPE_CHECKING, Final, TypeAlias

from cutplan.buying.by_length import shortest_order
from cutplan.comparing.remembering import Pieces
from cutplan.errors import NoPlanError
from cutplan.job.job import Job
from cutplan.plan.proof import TooFewRollsError
from cutplan.solve import plan_by
from cutplan.solve.clock import Clock
from cutplan.solve.instance import scale
from cutplan.solve.roll.choice import rolls_of
from cutplan.solve.search.certificate import SCALE, certificates_by_rule, certify, filling_prices, nothing_proved
from cutplan.solve.search.outcome import Known, say_nothing, unknown
from cutplan.solve.shortage import optimise_or_refuse, refuse_long_drops
from cutplan.solve.write_up import roll_layouts, rolls_in

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cutplan.comparing.remembering import Name, Remembered
    from cutplan.job.drops import Drop
    from cutplan.lengths import Length
    from cutplan.paper.stock import Lot, Paper
    from cutplan.solve.instance import ScaledJob
    from cutplan.solve.search.outcome import Outcome

Alike: TypeAlias = "tuple[tuple[Length, Length, int], ...] | tuple[Drop, ...]"
"""What drops with the same answer have in common: length, place in the print and number of each sort."""

REMEMBERED: Final = 4
"""Plans remembered, the last used first."""


@dataclass(frozen=True, slots=True)
class Proved:
    """What is known of a set of drops.

    Attributes
    ----------
    value
        Rolls opened, or bought in whole packets, or their cost where rolls differ in price, of the best plan found; the
        length to order, in mm, of a paper that is cut to order.
    rolls
        Rolls opened by that plan, or bought in whole packets; 1 for an order.
    bound
        No plan has a smaller value.

    """

    value: Fraction
    rolls: int
    bound: Fraction

    @property
    def is_proved(self) -> bool:
        """True when no plan is better."""
        return self.value == self.bound


class Prover:
    """Proves the value of jobs that differ in their drops only.

    Parameters
    ----------
    paper, lots
        What every job is cut from.
    time_limit
        Seconds for each job that nothing known settles.

    """

    def __init__(self, paper: Paper, lots: tuple[Lot, ...], time_limit: float = 10.0) -> None:
        self.paper = paper
        self.lots = lots
        self.time_limit = time_limit
        self._is_sealed = all(stretch.first_motif is None for lot in lots for stretch in lot.stretches)
        self._answers: dict[Alike, Proved] = {}
        self._refused: dict[Alike, TooFewRollsError] = {}
        self._remembered: list[Remembered] = []

    def prove(self, drops: Sequence[Drop], names: Sequence[Name]) -> Proved:
        """Return the fewest rolls, or the least cost, for drops that are one piece each.

        Parameters
        ----------
        drops
            In hanging order.
        names
            What each of them is called; no two alike.

        Raises
        ------
        NoPlanError
            When a drop is longer than any roll, or the rolls in hand are too few.

        """
        job = Job(self.paper, self.lots, tuple(drops))
        alike = self._alike(job)
        if alike in self._answers:
            return self._answers[alike]
        if alike in self._refused:
            raise self._refused[alike]
        try:
            if self.paper.sale.unit is not None and not job.rolls:
                proved = self._ordered(job)
            elif self._is_plain(job):
                refuse_long_drops(job)
                proved = self._prove(job, dict(zip((drop.label for drop in drops), names, strict=True)))
            else:
                proved = self._prove_with_offcuts(job, names)
        except TooFewRollsError as short:
            if short.is_proved:
                self._refused[alike] = short
            raise
        proved = self._in_packets(proved)
        if proved.is_proved:
            self._answers[alike] = proved
        return proved

    def _ordered(self, job: Job) -> Proved:
        """Return how much to order, without what falls out of drops."""
        whole = replace(job, drops=tuple(replace(drop, cut_outs=()) for drop in job.drops))
        order = shortest_order(whole, self.time_limit)
        return Proved(order.length, 1, order.least)

    def _in_packets(self, proved: Proved) -> Proved:
        """Return what is proved in whole packets, where rolls are counted and bought as needed."""
        sale = self.paper.sale
        if sale.packet == 1 or any(lot.count is not None for lot in self.lots if not lot.is_offcut):
            return proved
        value, bound = (Fraction(sale.bought(ceil(number))) for number in (proved.value, proved.bound))
        return Proved(value, sale.bought(proved.rolls), bound)

    def _alike(self, job: Job) -> Alike:
        """Return what all drops with the same answer have in common.

        Where every roll is sealed, places in the print are counted from a drop of the rarest sort.
        """
        drops = job.drops
        if not self._is_plain(job):
            return drops
        pattern = self.paper.pattern
        kinds = Counter((drop.cut_length, pattern.within_repeat(drop.motif_below_cut)) for drop in drops)
        if not self._is_sealed:
            return tuple(sorted((length, phase, count) for (length, phase), count in kinds.items()))
        sorts = Counter((length, count) for (length, _), count in kinds.items())
        rarest = min(sorts, key=lambda sort: (sorts[sort], sort))
        bases = [phase for (length, phase), count in kinds.items() if (length, count) == rarest]
        return min(
            tuple(sorted((length, pattern.within_repeat(phase - base), n) for (length, phase), n in kinds.items()))
            for base in bases
        )

    def _is_plain(self, job: Job) -> bool:
        """Return True when all paper comes off whole rolls, so that only lengths and places in the print matter."""
        return not job.offcuts and not job.must_share_batches

    def _prove_with_offcuts(self, job: Job, names: Sequence[Name]) -> Proved:
        """Return what is known of drops some of which may come from offcuts, or of walls of one batch each.

        Most cut-outs save no roll: then the answer without them, which is soon known, meets a bound with them.
        """
        plain = tuple(replace(drop, cut_outs=()) for drop in job.drops)
        if plain != job.drops:
            try:
                without = self.prove(plain, names)
            except NoPlanError:
                without = None
            if without is not None and not job.must_share_batches and self._is_bounded(job, without):
                return without
        plan = plan_by(Clock(self.time_limit), job)
        return Proved(plan.value, plan.rolls_needed, plan.proof.bound)

    def _is_bounded(self, job: Job, without: Proved) -> bool:
        """Return True when prices prove that cut-outs save nothing."""
        scaled = scale(job, certain=True)
        rolls = rolls_of(scaled.instance)
        bounds = (certificate.whole_bound for certificate in certificates_by_rule(scaled.instance, rolls))
        return any(bound * scaled.money >= without.value for bound in bounds)

    def _prove(self, job: Job, names: dict[str, Name]) -> Proved:
        scaled = scale(job, certain=True)
        pieces = Pieces(scaled, names)
        outcome = self._outcome(job, scaled, pieces)
        if outcome.layouts is None:
            raise NoPlanError(f"no plan was found before this: {outcome.stopped}")
        self._remembered.insert(0, pieces.remember(outcome.layouts, outcome.certificate))
        del self._remembered[REMEMBERED:]
        rolls = rolls_in(job, roll_layouts(job, scaled, outcome.layouts))
        return Proved(outcome.value * scaled.money, rolls, outcome.bound * scaled.money)

    def _outcome(self, job: Job, scaled: ScaledJob, pieces: Pieces) -> Outcome:
        clock = Clock(self.time_limit)
        outcome = unknown(scaled.instance)
        self._try_remembered(outcome, pieces)
        if outcome.is_proved:
            return outcome
        known = None if outcome.layouts is None else Known(outcome.layouts)
        return optimise_or_refuse(job, scaled, known, clock, say_nothing)

    def _try_remembered(self, outcome: Outcome, pieces: Pieces) -> None:
        """Offer what is left of each plan, and prove by its prices, until value and bound meet."""
        instance = pieces.instance
        rolls = rolls_of(instance)
        for remembered in self._remembered:
            outcome.offer(pieces.reuse(remembered))
            prices = filling_prices(instance, nothing_proved(instance))
            prices[:] = pieces.prices(remembered)
            outcome.prove(certify(instance, prices, rolls.worth(prices).by_type, SCALE))
            if outcome.is_proved:
                self._remembered.remove(remembered)
                return
