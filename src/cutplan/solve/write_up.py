"""From the solver's numbers back to a plan in the job's own words."""

from __future__ import annotations

from collections.abc import Iterable

from cutplan.job.job import Job
from cutplan.plan.plan import Cut, RollLayout
from cutplan.plan.proof import Prices, Proof, Status
from cutplan.solve.instance import ScaledJob
from cutplan.solve.layout import places_of
from cutplan.solve.search.certificate import Certificate
from cutplan.solve.search.greedy import Layouts
from cutplan.solve.search.grouping import hand_out, split
from cutplan.solve.search.outcome import Outcome


def roll_layouts(job: Job, scaled: ScaledJob, layouts: Layouts) -> tuple[RollLayout, ...]:
    """Return how each roll is cut, with the drops of each kind and the rolls of each lot in the order listed."""
    drop_labels = [drop.label for drop in job.drops]
    drop_index = {label: index for index, label in enumerate(drop_labels)}
    drops_left = [drop.count for drop in job.drops]
    lot_index = {lot.label: index for index, lot in enumerate(job.all_lots)}
    rolls = sum(layouts.values())
    lots_left = [rolls if lot.count is None else lot.count for lot in job.all_lots]
    opened = [0] * len(job.all_lots)
    written = []
    for layout, times in sorted(layouts.items(), key=lambda item: (min(item[0].kinds), item[0].kinds)):
        handed = [hand_out([lot_index[name] for name in scaled.lots_of[layout.roll_type]], lots_left, times)]
        handed += [
            hand_out([drop_index[name] for name in scaled.drops_of[kind]], drops_left, times) for kind in layout.kinds
        ]
        starts = [place.start for place in places_of(scaled.instance, layout) or ()]
        ends = [start + scaled.instance.kinds[kind].length for start, kind in zip(starts, layout.kinds, strict=True)]
        between = [(start * scaled.unit, end * scaled.unit) for start, end in zip(starts, ends, strict=True)]
        for (lot, *drops), count in split([runs for runs in handed if runs is not None]):
            cuts = tuple(Cut(drop_labels[drop], *place) for drop, place in zip(drops, between, strict=True))
            written.append(RollLayout(job.all_lots[lot].label, opened[lot] + 1, count, cuts))
            opened[lot] += count
    return tuple(written)


def rolls_in(job: Job, layouts: Iterable[RollLayout]) -> int:
    """Return how many rolls are opened; offcuts are none, though one may be of the same type as a roll for nothing."""
    return sum(layout.count for layout in layouts if not job.lot(layout.lot).is_offcut)


def rolls_opened(job: Job, scaled: ScaledJob, layouts: Layouts) -> int:
    """Return how many rolls are opened by layouts that need not be written up."""
    return rolls_in(job, roll_layouts(job, scaled, layouts)) if job.offcuts else sum(layouts.values())


def proof_of(scaled: ScaledJob, outcome: Outcome) -> Proof:
    """Return the outcome's bound and its certificate, by labels of drops and lots."""
    return Proof(outcome.bound * scaled.money, prices_of(scaled, outcome.certificate), outcome.by_search)


def prices_of(scaled: ScaledJob, certificate: Certificate) -> Prices | None:
    """Return a certificate by labels of drops and lots; None when it proves nothing.

    The money unit of roll values becomes part of the scale, so that prices hold for values as the job states them.
    """
    drops = {
        label: price * scaled.money.numerator
        for price, labels in zip(certificate.prices, scaled.drops_of, strict=True)
        for label in labels
        if price
    }
    premiums = {
        label: premium * scaled.money.numerator
        for premium, labels in zip(certificate.premiums, scaled.lots_of, strict=False)
        for label in labels
        if premium
    }
    return Prices(drops, premiums, certificate.scale * scaled.money.denominator) if drops else None


def status_of(outcome: Outcome) -> Status:
    """Return what is known of the outcome's plan."""
    if outcome.layouts is None:
        return Status.UNKNOWN
    return Status.OPTIMAL if outcome.is_proved else Status.FEASIBLE
