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
from cutplan.solve.clock import Clock, TimeIsUp
from cutplan.solve.instance import scale
from cutplan.solve.roll.choice import rolls_of
from cutplan.solve.search.certificate import certificates_by_rule, proved_by
from cutplan.solve.search.outcome import Known, say_nothing, unknown
from cutplan.solve.shortage import optimise_or_refuse, refuse_long_drops
from cutplan.solve.write_up import roll_layouts, rolls_in

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cutplan.comparing.remembering import Name, Remembered
    from cutplan.job.drops import Drop
    from cutplan.lengths import Length
    from cutplan.paper.stock import Lot, Paper
    from cutplan.solve.instance import ScaledJob
    from cutplan.solve.search.certificate import Certificate
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
        self._answers: dict[Alike, Proved | TooFewRollsError] = {}
        self._remembered: list[Remembered] = []
        self._with_cut_outs: list[Remembered] = []

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
        answer = self._answers.get(alike)
        if isinstance(answer, Proved):
            return answer
        if answer is not None:
            raise answer
        try:
            if self.paper.sale.unit is not None and not job.rolls:
                proved = self._ordered(job)
            elif self._is_plain(job):
                refuse_long_drops(job)
                proved = self._prove(job, names)
            else:
                proved = self._prove_with_offcuts(job, names)
        except TooFewRollsError as short:
            if short.is_proved:
                self._answers[alike] = short
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
        rolls = int(self._bought(Fraction(proved.rolls)))
        return Proved(self._bought(proved.value), rolls, self._bought(proved.bound))

    def _bought(self, number: Fraction) -> Fraction:
        """Return a number of rolls in whole packets; as it is where rolls are not bought as needed."""
        sale = self.paper.sale
        if sale.packet == 1 or any(lot.count is not None for lot in self.lots if not lot.is_offcut):
            return number
        return Fraction(sale.bought(ceil(number)))

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
            if without is not None and not job.must_share_batches and self._save_nothing(job, names, without):
                return without
        plan = plan_by(Clock(self.time_limit), job)
        return Proved(plan.value, plan.rolls_needed, plan.proof.bound)

    def _save_nothing(self, job: Job, names: Sequence[Name], without: Proved) -> bool:
        """Return True when prices prove that cut-outs save nothing."""
        scaled = scale(job, certain=True)
        pieces = Pieces(scaled, _named(job, names))
        least = ceil(without.value / scaled.money)
        for certificate in self._bounds(pieces, least):
            if self._bought(certificate.whole_bound * scaled.money) >= without.value:
                return True
        return False

    def _bounds(self, pieces: Pieces, enough: int) -> Iterator[Certificate]:
        """Yield what prices prove of a job with cut-outs: its neighbours', those of a rule, and the best of all."""
        rolls = rolls_of(pieces.instance)
        for remembered in tuple(self._with_cut_outs):
            yield proved_by(pieces.instance, rolls, pieces.prices(remembered))
        yield from certificates_by_rule(pieces.instance, rolls)
        from cutplan.solve.search.bound import relax  # noqa: PLC0415 - most starts need no linear programme

        layouts = next(filter(None, map(pieces.reuse, self._remembered)), None)
        if layouts is None:
            return
        try:
            best = relax(pieces.instance, rolls, layouts, Clock(self.time_limit), good_enough=enough).certificate
        except TimeIsUp:
            return
        self._with_cut_outs.insert(0, pieces.remember({}, best))
        del self._with_cut_outs[REMEMBERED:]
        yield best

    def _prove(self, job: Job, names: Sequence[Name]) -> Proved:
        scaled = scale(job, certain=True)
        pieces = Pieces(scaled, _named(job, names))
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
        rolls = rolls_of(pieces.instance)
        for remembered in self._remembered:
            outcome.offer(pieces.reuse(remembered))
            outcome.prove(proved_by(pieces.instance, rolls, pieces.prices(remembered)))
            if outcome.is_proved:
                self._remembered.remove(remembered)
                return


def _named(job: Job, names: Sequence[Name]) -> dict[str, Name]:
    return dict(zip((drop.label for drop in job.drops), names, strict=True))
