"""What is cut from each sheet of a numbered set: its head and foot, and the outer sheets' sides."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from cutplan.lengths import ZERO, Length
from cutplan.plan.plan import Plan, RollLayout


class SheetCut(Struct, frozen=True):
    """What of a sheet does not hang, trims included."""

    sheet: int
    """Its number."""
    roll: str
    """What is written on it."""
    length: Length
    """Its own, from its top edge, or from where an earlier plan cut it to, down to its foot."""
    head: Length
    foot: Length
    """Above the highest finished top of what is cut from it, and below the lowest finished foot."""
    left: Length
    right: Length
    """To the left and to the right of all that hangs of it, dry; of the right 0 where the sheet's width is not told."""

    @property
    def hung(self) -> Length:
        """From the highest finished top down to the lowest finished foot: what there is to cover on the wall."""
        return self.length - self.head - self.foot


def sheet_cuts(plan: Plan) -> tuple[SheetCut, ...]:
    """Return what is cut from the sheets of a plan, in their order from left to right; nothing for paper in rolls."""
    return tuple(sorted(_cuts(plan), key=lambda cut: (cut.sheet, cut.roll)))


def _cuts(plan: Plan) -> Iterator[SheetCut]:
    for layout in plan.layouts:
        lot = plan.job.lot(layout.lot)
        if lot.sheet is not None and not lot.is_offcut:
            yield SheetCut(lot.sheet, lot.roll_label(layout.first_number), lot.length, *_off(plan, layout))


def _off(plan: Plan, layout: RollLayout) -> tuple[Length, Length, Length, Length]:
    job, strip = plan.job, plan.job.paper.roll_width
    drops = [job.drop(cut.drop) for cut in layout.cuts]
    head = layout.cuts[0].start + drops[0].trim_top
    foot = job.lot(layout.lot).length - layout.end + drops[-1].trim_bottom
    left = min(ZERO if drop.left is None else drop.left + drop.reach_left for drop in drops)
    rights = (ZERO if drop.right is None or strip is None else strip + drop.reach_right - drop.right for drop in drops)
    return head, foot, left, min(rights)
