"""The proved number of rolls for one set of drops after another, each helped by those before it.

Neighbouring placements differ little. Where every roll is sealed, adding the same distance to every first motif changes
no answer, so drops that are alike up to that share one. Otherwise the plan of a neighbour is tried as it is, and
the neighbour's prices bound the new value exactly, whatever they were found for: often that settles it without a linear
programme.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from contextlib import suppress
from fractions import Fraction
from math import ceil, gcd, lcm
from typing import Final, TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from cutplan.buying.by_length import shortened, shortest_order
from cutplan.comparing.remembering import Name, Pieces, Remembered, Tariff
from cutplan.errors import NoPlanError
from cutplan.job.bought_beside import are_bought_beside, in_hand_for_nothing
from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.job.print_along import cannot_stand
from cutplan.paper.stock import Lot, Paper
from cutplan.plan.plan import cut_from
from cutplan.plan.proof import TooFewRollsError
from cutplan.solve import plan_by
from cutplan.solve.clock import Clock
from cutplan.solve.instance import Instance, ScaledJob, scale
from cutplan.solve.search.certificate import SCALE, Certificate
from cutplan.solve.search.outcome import Known, Outcome, say_nothing, unknown
from cutplan.solve.shortage import optimise_or_refuse, refuse_long_drops
from cutplan.solve.write_up import roll_layouts, rolls_in

Alike: TypeAlias = "tuple[int, tuple[tuple[int, int, int], ...]] | tuple[Drop, ...]"
"""What drops with the same answer have in common: length, place in the print and number of each sort.

Lengths are told in parts of a millimetre, how many of which make one stands first.
"""

REMEMBERED: Final = 4
"""Plans remembered, and tariffs, the last used first."""


class Proved(Struct, frozen=True):
    """What is known of a set of drops."""

    value: Fraction
    """Rolls opened, or bought in whole packets or beside rolls in hand, or their cost where rolls differ in price, of
    the best plan found; the length to order, in mm, of a paper that is cut to order."""
    rolls: int
    """Rolls opened by that plan, or bought likewise; 1 for an order."""
    bound: Fraction
    """No plan has a smaller value."""

    @property
    def is_proved(self) -> bool:
        """True when no plan is better."""
        return self.value == self.bound


class Prover:
    """Proves the value of jobs that differ in their drops only.

    ``time_limit`` is in seconds, for each job that nothing known settles.
    """

    def __init__(self, paper: Paper, lots: tuple[Lot, ...], time_limit: float = 10.0) -> None:
        self.paper = paper
        self.counts_bought = are_bought_beside(lots)
        self.lots = in_hand_for_nothing(lots) if self.counts_bought else lots
        self.time_limit = time_limit
        self.is_sealed = all(stretch.first_motif is None for lot in lots for stretch in lot.stretches)
        self._answers: dict[Alike, Proved | TooFewRollsError] = {}
        self._plain: list[Remembered] = []
        self._with_offcuts: list[Remembered] = []
        self._tariffs: list[Tariff] = []
        self._outcomes: dict[tuple[Fraction, Instance], Outcome] = {}
        """Of jobs with offcuts, by the unit: places differ in what falls out, seldom in what could be cut from it."""

    def prove(self, drops: Sequence[Drop], names: Sequence[Name]) -> Proved:
        """Return the fewest rolls, or the least cost, for drops that are one piece each, no two of one name.

        NoPlanError when a drop is longer than any roll, or the rolls in hand are too few.
        """
        job = Job(self.paper, self.lots, tuple(drops))
        is_ordered = self.paper.sale.unit is not None and not job.rolls
        alike = self._alike_in_print(job) if self._is_plain(job) else job.drops
        answer = self._answers.get(alike)
        if isinstance(answer, Proved):
            return answer
        if answer is not None:
            raise answer
        try:
            proved = self._ordered(job) if is_ordered else self._prove_in_turn(job, names)
        except TooFewRollsError as short:
            if short.is_proved:
                self._answers[alike] = short
            raise
        if self.counts_bought:
            proved = replace(proved, rolls=int(proved.value))
        proved = self._in_packets(proved)
        if proved.is_proved:
            self._answers[alike] = proved
        return proved

    def _ordered(self, job: Job) -> Proved:
        """Return how much to order, first without what falls out of drops: that seldom saves a step."""
        whole = replace(job, drops=tuple(replace(drop, cut_outs=()) for drop in job.drops))
        order = shortest_order(whole, self.time_limit)
        if job.has_cut_outs:
            order = shortened(job, order, self.time_limit)
        return Proved(order.length, 1, order.least)

    def _in_packets(self, proved: Proved) -> Proved:
        """Return what is proved in whole packets, where rolls are counted and bought as needed."""
        rolls = int(self._bought(Fraction(proved.rolls)))
        return Proved(self._bought(proved.value), rolls, self._bought(proved.bound))

    def _bought(self, number: Fraction) -> Fraction:
        """Return a number of rolls in whole packets; as it is where rolls are not bought as needed."""
        sale = self.paper.sale
        is_in_hand = any(lot.count is not None for lot in self.lots if not lot.is_offcut)
        if sale.packet == 1 or (is_in_hand and not self.counts_bought):
            return number
        return Fraction(sale.bought(ceil(number)))

    def _alike_in_print(self, job: Job) -> Alike:
        """Return what all drops with the same answer have in common, without what falls out of them, from whole rolls.

        Where every roll is sealed, places in the print are counted from a drop of the rarest sort.
        """
        sizes = [job.kind_of(drop.label) for drop in job.drops]
        repeat = self.paper.pattern.repeat
        parts = lcm(repeat.denominator, *(length.denominator for size in sizes for length in size))
        whole = repeat.numerator * (parts // repeat.denominator) or 1
        kinds = Counter(
            (long.numerator * (parts // long.denominator), phase.numerator * (parts // phase.denominator))
            for phase, long in sizes
        )
        bases = [0]
        if self.is_sealed:
            sorts = Counter((length, count) for (length, _), count in kinds.items())
            rarest = min(sorts, key=lambda sort: (sorts[sort], sort))
            bases = [phase for (length, phase), count in kinds.items() if (length, count) == rarest]
        found = min(
            sorted((length, (phase - base) % whole, count) for (length, phase), count in kinds.items())
            for base in bases
        )
        common = gcd(parts, *(number for length, phase, _ in found for number in (length, phase)))
        return parts // common, tuple((length // common, phase // common, count) for length, phase, count in found)

    def _is_plain(self, job: Job) -> bool:
        """Return True when all paper comes off whole rolls, so that only lengths and places in the print matter."""
        return not job.offcuts and not job.must_share_batches

    def _prove_in_turn(self, job: Job, names: Sequence[Name]) -> Proved:
        """Return what is known of drops, without what falls out of them first.

        Most cut-outs save no roll: then the answer without them, which is soon known, meets a bound with them.
        """
        if not job.must_share_batches:
            without = self._prove_without_cut_outs(job, names) if job.has_cut_outs else None
            refuse_long_drops(job)
            proved = self._prove(job, names, without)
            if proved is not None:
                return proved
        plan = plan_by(Clock(self.time_limit), job)
        return Proved(plan.value, plan.rolls_needed, plan.proof.bound)

    def _prove_without_cut_outs(self, job: Job, names: Sequence[Name]) -> Proved | None:
        """Return what is known of drops as if nothing fell out of them; None where the rolls are too few for that."""
        are_whole = not any(lot.is_offcut for lot in self.lots)
        known = self._answers.get(self._alike_in_print(job)) if are_whole else None
        if known is None:
            plain = tuple(replace(drop, cut_outs=()) if drop.cut_outs else drop for drop in job.drops)
            with suppress(NoPlanError):
                return self.prove(plain, names)
        return known if isinstance(known, Proved) else None

    def _prove(self, job: Job, names: Sequence[Name], without: Proved | None = None) -> Proved | None:
        """Return what is known of drops; ``without`` is what is known of them without their cut-outs.

        None for a plan that needs a cut-out wider than its drop is cut.
        """
        scaled = scale(job, certain=True)

        def saves_nothing(bound: int) -> bool:
            return without is not None and self._bought(bound * scaled.money) >= without.value

        known = self._outcomes.get((scaled.unit, scaled.instance))
        if known is not None and (saves_nothing(known.bound) or known.is_proved):
            return without if saves_nothing(known.bound) else self._stated(job, scaled, known)
        pieces, like = Pieces(job, scaled, names), self._like(job)
        outcome = self._outcome(job, scaled, pieces, saves_nothing)
        is_enough = saves_nothing(outcome.bound)
        proved = without if is_enough else self._stated(job, scaled, outcome)
        if proved is None:
            return None
        if outcome.certificate.bound or not is_enough:
            layouts = {} if is_enough else outcome.layouts or {}
            self._keep(like, pieces.remember(layouts, self._prices(pieces, outcome.certificate, like)))
        if job.offcuts:
            self._outcomes[scaled.unit, scaled.instance] = outcome
        return proved

    def _stated(self, job: Job, scaled: ScaledJob, outcome: Outcome) -> Proved | None:
        """Return what a plan comes to; None for one that needs a cut-out wider than its drop is cut."""
        if outcome.layouts is None:
            raise NoPlanError(f"no plan was found before this: {outcome.stopped}")
        rolls = sum(outcome.layouts.values())
        if job.offcuts:
            written = roll_layouts(job, scaled, outcome.layouts)
            if cannot_stand(job, cut_from(written)):
                return None
            rolls = rolls_in(job, written)
        return Proved(outcome.value * scaled.money, rolls, outcome.bound * scaled.money)

    def _prices(self, pieces: Pieces, certificate: Certificate, like: list[Remembered]) -> list[int]:
        """Return a certificate's prices; where a tariff proved the bound, those of the plan last used."""
        if not certificate.bound and like:
            return pieces.prices(like[0])
        return [price * SCALE // certificate.scale for price in certificate.prices]

    def _like(self, job: Job) -> list[Remembered]:
        """Return the plans of jobs that have offcuts as this one has, or like it have none."""
        return self._plain if self._is_plain(job) else self._with_offcuts

    def _outcome(self, job: Job, scaled: ScaledJob, pieces: Pieces, is_enough: Callable[[int], bool]) -> Outcome:
        """Return what is known of a job: by its neighbours, by a bound that is enough, or solved."""
        clock = Clock(self.time_limit)
        outcome = unknown(scaled.instance)
        remembered = self._like(job)
        if remembered is not self._plain:
            self._prove_by_tariffs(outcome, pieces, lambda: is_enough(outcome.bound))
        self._try_remembered(outcome, pieces, remembered, is_enough)
        if outcome.is_proved or is_enough(outcome.bound):
            return outcome
        if remembered is not self._plain:
            for plain in self._plain[:1]:
                outcome.offer(pieces.reuse(plain))
        known = None if outcome.layouts is None else Known(outcome.layouts)
        solved = optimise_or_refuse(job, scaled, clock, say_nothing, known)
        solved.bound = max(solved.bound, outcome.bound)
        if remembered is self._plain:
            self._learn_tariff(
                pieces, self._prices(pieces, solved.certificate, []), lambda bound: bound >= solved.bound
            )
        return solved

    def _try_remembered(
        self, outcome: Outcome, pieces: Pieces, remembered: list[Remembered], is_enough: Callable[[int], bool]
    ) -> None:
        """Offer what is left of each plan, and prove by its prices, until value and bound meet, or that is enough."""

        def is_settled() -> bool:
            return outcome.is_proved or is_enough(outcome.bound)

        for before in tuple(remembered):
            if before.rolls and not is_enough(outcome.bound):
                outcome.offer(pieces.reuse(before))
            self._prove_by_tariffs(outcome, pieces, is_settled)
            if not is_settled():
                self._prove_by_prices(outcome, pieces, pieces.prices(before), is_settled)
            if is_settled():
                self._keep(remembered, before)
                return

    def _prove_by_tariffs(self, outcome: Outcome, pieces: Pieces, is_settled: Callable[[], bool]) -> None:
        """Take the best bound of the tariffs that are known, until one is enough."""
        for tariff in tuple(self._tariffs):
            if is_settled():
                return
            bound = tariff.bound(pieces)
            if bound > outcome.bound:
                outcome.bound = bound
                self._tariffs.remove(tariff)
                self._tariffs.insert(0, tariff)

    def _prove_by_prices(
        self, outcome: Outcome, pieces: Pieces, prices: Sequence[int], is_settled: Callable[[], bool]
    ) -> None:
        """Prove what the prices of another placement can: of pieces a little smaller, if that is enough."""

        def settles(bound: int) -> bool:
            outcome.bound = max(outcome.bound, bound)
            return is_settled()

        if not self._learn_tariff(pieces, prices, settles):
            outcome.prove(pieces.proved_by(prices))

    def _learn_tariff(self, pieces: Pieces, prices: Sequence[int], is_worth_it: Callable[[int], bool]) -> bool:
        """Keep the prices as they hold for pieces a little smaller if the bound that they prove is worth it."""
        found = pieces.tariff_of(prices)
        if found is None or not is_worth_it(found[0]):
            return False
        self._tariffs = [found[1], *self._tariffs][:REMEMBERED]
        return True

    def _keep(self, remembered: list[Remembered], plan: Remembered) -> None:
        """Remember a plan as the last used; one of the same rolls is forgotten."""
        remembered[:] = [plan, *(other for other in remembered if other.rolls != plan.rolls)][:REMEMBERED]
