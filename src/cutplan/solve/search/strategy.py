"""The one strategy: a first plan, a bound, better plans from the bound, and a search when a gap stays open."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import islice
from typing import TYPE_CHECKING, Final

from cutplan.solve.clock import Clock, TimeIsUp
from cutplan.solve.instance import Instance
from cutplan.solve.layout import Layout
from cutplan.solve.roll.choice import filler_of, rolls_of
from cutplan.solve.roll.fullest import filled_rolls, would_be_full
from cutplan.solve.roll.one_piece import in_one_order
from cutplan.solve.search.certificate import SCALE, Certificate, certificates_by_rule, proved_by
from cutplan.solve.search.greedy import Layouts, both_plans, fill_rolls
from cutplan.solve.search.grouping import Grouping, group
from cutplan.solve.search.haste import certificates_at_once, fill_at_once
from cutplan.solve.search.outcome import Known, Outcome, unknown
from cutplan.solve.search.refilling import LEAST_KINDS, refill

if TYPE_CHECKING:
    from cutplan.solve.roll.holding import Filler, Rolls


FOR_GROUPS: Final = 0.95
"""The part of the time for kinds planned by groups: what they leave over is cut from more rolls, some filled anew."""

IN_BOTH_WAYS: Final = 2
"""So many fillings, one in each way, are made before full rolls are looked for that all go together."""


def optimise(outcome: Outcome, clock: Clock, report: Callable[[Outcome], None], rolls: Rolls | None = None) -> None:
    """Improve ``outcome`` until it is settled or the clock has run out: ``stopped`` then says why.

    A first plan, if there is one, is made however little time is left. ``rolls`` are those of an instance that
    differs in values and supply only, if they are known.
    """
    if outcome.is_settled:
        return
    try:
        for _ in _stages(outcome, rolls, clock):
            report(outcome)
            if outcome.is_settled:
                return
            clock.check()
    except TimeIsUp as end:
        # The last step may have settled it before time was up.
        settle_in_haste(outcome, end.reason)


def settle_in_haste(outcome: Outcome, reason: str) -> None:
    """Add what can be had at once to an ``outcome`` whose time is up for this ``reason``."""
    if outcome.layouts is None:
        outcome.offer(fill_at_once(outcome.instance))
    if outcome.certificate.bound == 0:
        for certificate in certificates_at_once(outcome.instance):
            outcome.prove(certificate)
    outcome.stopped = None if outcome.is_settled else reason


def _stages(outcome: Outcome, rolls: Rolls | None, clock: Clock) -> Iterator[None]:
    """Take one stage after another, each dearer than the last, yielding after each step."""
    instance, known = outcome.instance, dict[Layout, None]()
    if not instance.repeat:
        yield from _whole_rolls_filled(outcome, known, clock)
    filler = rolls or filler_of(instance, clock)
    if outcome.layouts is None:
        outcome.offer(_first_plan(instance, filler))
        yield
    if outcome.layouts is None:
        return
    for certificate in certificates_by_rule(instance, filler):
        outcome.prove(certificate)
        yield
    from cutplan.solve.search.closing import close_gap  # noqa: PLC0415 - most rooms need no linear programme

    yield from close_gap(outcome, rolls or rolls_of(instance, clock), known, clock, optimise)


def _whole_rolls_filled(outcome: Outcome, known: dict[Layout, None], clock: Clock) -> Iterator[None]:
    """Settle most jobs of a free match by lengths alone, without arrays; ``known`` are the layouts of all tries."""
    instance = outcome.instance
    for certificate in certificates_at_once(instance):
        outcome.prove(certificate)
    fillings = filled_rolls(instance, outcome.bound, clock)
    yield from _offered(outcome, islice(fillings, IN_BOTH_WAYS), known)
    if would_be_full(instance, outcome.bound):
        from cutplan.solve.search.likely_rolls import likely_plans  # noqa: PLC0415 - hardly a room leaves nothing over

        rolls = outcome.bound // instance.roll_types[0].value
        yield from _offered(outcome, likely_plans(instance, rolls, clock), known)
    yield from _offered(outcome, fillings, known)


def _offered(outcome: Outcome, plans: Iterable[Layouts], known: dict[Layout, None]) -> Iterator[None]:
    for layouts in plans:
        outcome.offer(layouts)
        known.update(dict.fromkeys(layouts))
        yield


def _first_plan(instance: Instance, rolls: Filler) -> Layouts | None:
    """Fill rolls by length: a drop is worth the paper it takes, and a little more the longer it is.

    Without the little more, short drops fill the first rolls and long ones fit badly on the last.
    """
    longest = max(kind.length for kind in instance.kinds)
    prices = [kind.length * (4 * longest + kind.length) * SCALE // (5 * longest**2) + 1 for kind in instance.kinds]
    demands = [kind.demand for kind in instance.kinds]
    supply = [roll.supply for roll in instance.roll_types]
    return fill_rolls(instance, rolls, prices, demands, supply)


def optimise_grouped(
    instance: Instance, known: Known | None, clock: Clock, report: Callable[[Outcome], None]
) -> Outcome:
    """Return the outcome of ``instance``, planned by groups of kinds and, if need be, kind by kind."""
    fine = unknown(instance)
    if known is None and (layouts := in_one_order(instance, is_tight=True)):
        known = Known(layouts)
    if known is not None:
        fine.offer(known.layouts)
    try:
        _by_groups(fine, known, clock, report)
    except TimeIsUp as end:
        settle_in_haste(fine, end.reason)
        return fine
    if not fine.is_proved:
        optimise(fine, clock, report)
    return fine


def _by_groups(fine: Outcome, known: Known | None, clock: Clock, report: Callable[[Outcome], None]) -> None:
    """Improve ``fine`` by what is found for groups of kinds."""
    grouping = group(fine.instance, clock)
    coarse = unknown(grouping.grouped)
    if known is not None:
        coarse.offer(grouping.gather(known.layouts))
        if known.certificate is not None:
            coarse.prove(_transferred(grouping, known.certificate, clock))
    optimise(coarse, clock.share(FOR_GROUPS), report)
    fine.prove(grouping.prices_of_full(coarse.certificate))
    fine.bound, fine.by_search = coarse.bound, coarse.by_search
    if coarse.layouts is not None:
        fine.offer(grouping.expand(coarse.layouts))
    if coarse.layouts is not None and fine.layouts is None and len(fine.instance.kinds) > LEAST_KINDS:
        fine.offer(with_rolls_for_rest(grouping, coarse.layouts))
        refill(fine, clock, optimise)


def with_rolls_for_rest(grouping: Grouping, layouts: Layouts) -> Layouts | None:
    """Return a plan for groups in the full kinds, with more rolls for last drops that are not short enough."""
    full = grouping.full
    expanded, left = grouping.expand_in_part(layouts)
    supply = [roll.supply for roll in full.roll_types]
    for layout, times in expanded.items():
        stock = supply[layout.roll_type]
        supply[layout.roll_type] = None if stock is None else stock - times
    rest = fill_at_once(full.with_demands(left, supply))
    return None if rest is None else both_plans(expanded, rest)


def _transferred(grouping: Grouping, certificate: Certificate, clock: Clock) -> Certificate:
    """Return what the prices of another instance of the same kinds prove of this one."""
    prices = [
        max(certificate.prices[kind] for kind in kinds) * SCALE // certificate.scale for kinds in grouping.members
    ]
    return proved_by(grouping.grouped, filler_of(grouping.grouped, clock), prices)
