"""An offcut in the hand: which drops it could be, with how much to spare, and by how much it misses the others."""

from __future__ import annotations

from msgspec import Struct

from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.job.print_along import could_hold, is_of_its_sheet, lead_in, spare_length
from cutplan.lengths import ZERO, Length
from cutplan.paper.stock import Lot
from cutplan.wording import unlike_all


class Fit(Struct, frozen=True):
    """A drop that can be cut from the offcut."""

    drop: Drop

    lead_in: Length
    """What is cut off the offcut's top first, so that the print is right."""
    spare: Length
    """What is left below the drop."""


class Miss(Struct, frozen=True):
    """A drop that cannot be cut from the offcut, and why; each amount is 0 where that is not the reason."""

    drop: Drop

    too_short: Length
    """What the offcut is shorter than the drop is cut, wherever the print lies."""
    by_print: Length
    """What it is too short by only because the print begins in the wrong place: long enough by itself, but not below
    ``lead_in``."""
    lead_in: Length
    """What would have to come off its top for the print to be right."""
    left: Length
    right: Length
    """What is missing of the strip's width on its left and on its right."""

    @property
    def amount(self) -> Length:
        """All that is missing, by which misses are compared."""
        return self.too_short + self.by_print + self.left + self.right


def name_in_hand(job: Job) -> str:
    """Return what the offcut is called: like no paper of the job."""
    cut_outs = (cut_out.label for drop in job.drops for cut_out in drop.cut_outs)
    return unlike_all("in the hand", (*(lot.label for lot in job.lots), *cut_outs), before="the one ")


def fits_of(job: Job, offcut: Lot) -> tuple[Fit, ...]:
    """Return the drops that ``offcut`` could hold, the longest first: it saves the most fresh paper."""
    pattern = job.paper.pattern
    fits = [
        Fit(drop, lead_in(pattern, offcut, drop), spare_length(pattern, offcut, drop))
        for drop in job.drops
        if could_hold(pattern, offcut, drop)
    ]
    return tuple(sorted(fits, key=lambda fit: -fit.drop.cut_length))


def misses_of(job: Job, offcut: Lot) -> tuple[Miss, ...]:
    """Return the drops that ``offcut`` could not hold, the nearest miss first; of its own sheet, if it is of one."""
    alike = [drop for drop in job.drops if is_of_its_sheet(offcut, drop)]
    missed = [drop for drop in alike if not could_hold(job.paper.pattern, offcut, drop)]
    return tuple(sorted((_miss(job, offcut, drop) for drop in missed), key=lambda miss: miss.amount))


def _miss(job: Job, offcut: Lot, drop: Drop) -> Miss:
    pattern, strip = job.paper.pattern, job.paper.roll_width
    too_short = max(drop.cut_length - offcut.length, ZERO)
    by_print = ZERO if too_short else max(-spare_length(pattern, offcut, drop), ZERO)
    left = max((offcut.left or ZERO) - (drop.left or ZERO), ZERO)
    needed = strip if drop.right is None else drop.right
    right = ZERO if offcut.right is None or needed is None else max(needed - offcut.right, ZERO)
    return Miss(drop, too_short, by_print, lead_in(pattern, offcut, drop), left, right)
