"""From the solver's numbers back to a plan in the job's own words."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from functools import cache

from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.paper.stock import Lot
from cutplan.plan.plan import Cut, RollLayout
from cutplan.plan.proof import Prices, Proof
from cutplan.solve.instance import ScaledJob
from cutplan.solve.layout import places_of
from cutplan.solve.search.certificate import Certificate
from cutplan.solve.search.greedy import Layouts
from cutplan.solve.search.grouping import hand_out, split
from cutplan.solve.search.outcome import Outcome


def roll_layouts(job: Job, scaled: ScaledJob, layouts: Layouts) -> tuple[RollLayout, ...]:
    """Return how each roll is cut, with the drops of each kind and the rolls of each lot in the order listed."""
    drops_of, lots_of = _places(scaled.drops_of, job.drops), _places(scaled.lots_of, job.all_lots)
    drops_left = [drop.count for drop in job.drops]
    rolls = sum(layouts.values())
    lots_left = [rolls if lot.count is None else lot.count for lot in job.all_lots]
    opened = [0] * len(job.all_lots)
    unit = scaled.unit
    length_of = cache(lambda units: Fraction(units * unit.numerator, unit.denominator))
    written = []
    for layout, times in sorted(layouts.items(), key=lambda item: (min(item[0].kinds), item[0].kinds)):
        handed = [hand_out(lots_of[layout.roll_type], lots_left, times)]
        handed += [hand_out(drops_of[kind], drops_left, times) for kind in layout.kinds]
        starts = [place.start for place in places_of(scaled.instance, layout) or ()]
        ends = [start + scaled.instance.kinds[kind].length for start, kind in zip(starts, layout.kinds, strict=True)]
        between = [(length_of(start), length_of(end)) for start, end in zip(starts, ends, strict=True)]
        for (lot, *drops), count in split([runs for runs in handed if runs is not None]):
            cuts = tuple(Cut(job.drops[drop].label, *place) for drop, place in zip(drops, between, strict=True))
            written.append(RollLayout(job.all_lots[lot].label, opened[lot] + 1, count, cuts))
            opened[lot] += count
    return tuple(written)


def _places(labels: Iterable[Iterable[str]], of: Iterable[Drop | Lot]) -> list[list[int]]:
    """Return where those of each kind or type stand among all."""
    place_of = {one.label: place for place, one in enumerate(of)}
    return [[place_of[label] for label in alike] for alike in labels]


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
        label: worth
        for price, labels in zip(certificate.prices, scaled.drops_of, strict=True)
        if (worth := price * scaled.money.numerator)
        for label in labels
    }
    premiums = {
        label: premium * scaled.money.numerator
        for premium, labels in zip(certificate.premiums, scaled.lots_of, strict=False)
        for label in labels
        if premium
    }
    return Prices(drops, premiums, certificate.scale * scaled.money.denominator) if drops else None
