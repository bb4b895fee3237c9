"""Where drops come to lie when they are cut from a roll in a given order, each as early as the print lets it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.paper.stock import Stretch
from cutplan.plan.plan import Cut
from cutplan.progress.roll_now import lot_of_stretches

if TYPE_CHECKING:
    from collections.abc import Iterable
    from fractions import Fraction

    from cutplan.job.drops import Drop
    from cutplan.job.job import Job
    from cutplan.lengths import Length
    from cutplan.paper.stock import Lot


def kind_of(job: Job, label: str) -> tuple[Length, Length]:
    """Return what makes drops alike: cut length, and first motif below the cut top within the repeat."""
    drop = job.drop(label)
    return drop.cut_length, job.paper.pattern.within_repeat(drop.motif_below_cut)


def motif_along(job: Job, lot: Lot, drop: Drop) -> Length:
    """Return how far along a roll the first motif lies from the end of ``drop`` that comes off first."""
    below = drop.cut_length - drop.motif_below_cut if lot.is_foot_first else drop.motif_below_cut
    return job.paper.pattern.within_repeat(below)


def place_along(job: Job, lot: Lot, drops: Iterable[str]) -> tuple[Cut, ...] | None:
    """Return the cuts of a roll from which ``drops`` are cut in this order; None when they do not all fit.

    On a sealed roll the first starts after the worst lead-in.
    """
    cuts: list[Cut] = []
    ahead = list(lot.stretches)
    stretch = ahead.pop(0)
    last: Cut | None = None
    for label in drops:
        drop = job.drop(label)
        while (start := _start(job, lot, stretch, drop, last)) is None and ahead:
            stretch, last = ahead.pop(0), None
        if start is None:
            return None
        last = Cut(label, start, start + drop.cut_length)
        cuts.append(last)
    return tuple(cuts)


def _start(job: Job, lot: Lot, stretch: Stretch, drop: Drop, last: Cut | None) -> Length | None:
    """Return where ``drop`` starts on a stretch, behind ``last`` if that is cut from it; None when it does not fit."""
    pattern = job.paper.pattern
    wanted = motif_along(job, lot, drop)
    if last is not None:
        start = last.end + pattern.within_repeat(_motif_behind(job, lot, last) - wanted)
    elif stretch.first_motif is None:
        start = stretch.start + pattern.repeat
    else:
        start = stretch.start + pattern.within_repeat(stretch.first_motif - wanted)
    return start if start + drop.cut_length <= stretch.start + stretch.length else None


def _motif_behind(job: Job, lot: Lot, cut: Cut) -> Length:
    """Return how far behind a cut the next motif lies."""
    drop = job.drop(cut.drop)
    return job.paper.pattern.within_repeat(motif_along(job, lot, drop) - drop.cut_length)


def rest_after(job: Job, lot: Lot, drops: tuple[str, ...], price: Fraction | None) -> Lot | None:
    """Return what is certain to be left of a roll after ``drops`` are cut from it, as a roll; None for nothing."""
    cuts = place_along(job, lot, drops) or ()
    if not cuts:
        return lot_of_stretches(lot, list(lot.stretches), label=lot.label, price=price)
    end = cuts[-1].end
    stretches = []
    for stretch in lot.stretches:
        beyond = stretch.start + stretch.length - end
        if stretch.start >= end:
            stretches.append(stretch)
        elif beyond > 0:
            stretches.append(Stretch(end, beyond, _motif_behind(job, lot, cuts[-1])))
    return lot_of_stretches(lot, stretches, label=lot.label, price=price) if stretches else None
