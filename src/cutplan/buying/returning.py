"""Rolls in hand that the plan leaves sealed: what could be returned, and what returning one more would take."""

from __future__ import annotations

from contextlib import suppress
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from cutplan.buying.certain import certain, certain_figure
from cutplan.buying.need import Need, Size
from cutplan.buying.opened_first import opened_first, oracle_for
from cutplan.buying.savings import SmallerTrim, smaller_trim
from cutplan.errors import NoPlanError
from cutplan.job.job import Job
from cutplan.plan.plan import Plan
from cutplan.solve.clock import Clock
from cutplan.wording import Wording


class Returning(Struct, frozen=True):
    """What could be returned of the rolls in hand."""

    listed: int
    opened: int
    """Rolls in hand, and how many of them the plan opens."""
    unopened: tuple[str, ...]
    """Labels of the sealed rolls that it leaves as they are, in whole packets."""
    must_stay: int | None
    """How many of those are needed if every roll is as short as it may be; None when that was not asked, or a drop is
    too long for such rolls."""
    by_another_plan: bool | None
    """True when one more could be returned, and the rolls left are certain to be enough by another plan; None when that
    was not settled."""
    if_measured: bool
    """True when one more could be returned if all that are left are opened and measured before the first cut."""
    trim: SmallerTrim | None
    """The largest trim with which one more could be returned; None when none of at least 2 in does."""
    otherwise: tuple[Wording, ...] = ()
    """What else would let one more be returned, what shows least first."""


def one_fewer(job: Job, back: Returning) -> Job | None:
    """Return the job without what could be returned and one more roll, or packet; None where a plan spares that."""
    sealed = [lot for lot in job.rolls if lot.is_as_sold and lot.count is not None]
    kept = sum(lot.count or 0 for lot in sealed) - len(back.unopened)
    kept -= job.paper.sale.packet
    if back.by_another_plan is not False or kept < 0:
        return None
    others = tuple(lot for lot in job.lots if not lot.is_as_sold)
    fewer = (replace(sealed[0], count=kept),) if kept else ()
    return replace(job, lots=(*fewer, *others))


def returning(need: Need, plan: Plan, tolerance: Fraction, clock: Clock) -> Returning:
    """Return what could be returned of the rolls of ``need``, all of them in hand, which ``plan`` cuts."""
    taken = {
        lot.roll_label(number)
        for layout in plan.layouts
        for lot in (plan.job.lot(layout.lot),)
        for number in range(layout.first_number, layout.first_number + layout.count)
    }
    sealed = [lot for lot in need.in_hand if lot.is_as_sold]
    labels = [lot.roll_label(number) for lot in sealed for number in range(1, (lot.count or 0) + 1)]
    left = [label for label in labels if label not in taken]
    packet = need.size.sale.packet
    unopened = tuple(left[: len(left) // packet * packet])
    kept = len(labels) - len(unopened)
    no_more = Returning(need.rolls_in_hand, plan.rolls_needed, unopened, None, None, if_measured=False, trim=None)
    are_alike = len({(lot.length, lot.batch) for lot in sealed}) == 1
    # A change of batch would show, and which sealed rolls stay is then a matter of walls.
    if kept < packet or not are_alike or len(need.job.batches) > 1:
        return no_more
    return _with_one_fewer(need, no_more, kept, tolerance, clock)


def _with_one_fewer(need: Need, known: Returning, kept: int, tolerance: Fraction, clock: Clock) -> Returning:
    """Return the same with what is true of the sealed rolls, all alike, if they were still to be bought."""
    sealed = next(lot for lot in need.in_hand if lot.is_as_sold)
    others = (lot for lot in need.in_hand if not lot.is_as_sold)
    job = replace(need.job, lots=(replace(sealed, count=None), *others))
    sale = need.size.sale
    again = Need(job, Size(sealed.length, sale=sale), (sealed.batch,) if sealed.batch else ())
    sure = certain(again, clock.left / 2)
    must_stay = None
    with suppress(NoPlanError):
        short = certain_figure(again.shortened(tolerance), clock) if tolerance else None
        must_stay = None if short is None else sale.bought(max(short.enough - kept, 0))
    opened = opened_first(again, sure, oracle_for(again, sure), clock)
    one_less = kept - sale.packet
    fewer = sure.figure.enough <= one_less
    return replace(
        known,
        must_stay=None if must_stay is None else min(must_stay, len(known.unopened)),
        by_another_plan=fewer or (None if sure.figure.least <= one_less else False),
        if_measured=not fewer and opened.figure.enough <= one_less,
        trim=None if fewer else smaller_trim(again, one_less, clock),
    )
