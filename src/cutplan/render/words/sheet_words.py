"""What is said of numbered sheets and of equal strips, each sentence written once, for text, sheet and shop alike."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby
from typing import Final

from cutplan.lengths import show
from cutplan.paper.stock import Paper
from cutplan.plan.plan import Plan
from cutplan.plan.sheet_cuts import SheetCut, sheet_cuts
from cutplan.render.words.names import capital, listed_with_and
from cutplan.setting_out import SettingOut
from cutplan.wording import counted, in_runs

LAY_OUT: Final = (
    "Lay all sheets out in their order and look at them before the first is cut: no sheet stands in for another, and "
    "once one hangs, none goes back."
)


AS_DYED: Final = (
    "Take the rolls in the order of their numbers, so that like stands by like: shades differ, and every joint shows."
)


def strips_of_walls(setting_out: SettingOut, units: str, *, with_trim: bool = False) -> Iterator[str]:
    """Yield into how many equal strips each wall is divided, and what comes off their edges."""
    wet = 1 + setting_out.paper.wet_growth
    for number, wall in enumerate(setting_out.room.walls):
        panels = [panel for column in setting_out.columns for panel in column.panels if panel.wall == number]
        wide, off = show(wall.width / len(panels), units), show(panels[0].paper_left / wet, units)
        trim = f"; {off} come off each edge" if with_trim else ""
        yield f"{wall.name}: {counted(len(panels), 'strip')} of {wide}{trim}."


def equal_lines(setting_out: SettingOut, units: str) -> Iterator[str]:
    """Yield how each wall is divided and trimmed; nothing but for equal strips."""
    if setting_out.paper.edge_trim is not None:
        yield from strips_of_walls(setting_out, units, with_trim=True)


def sheets_named(numbers: Iterable[int]) -> str:
    """Return what sheets are called: ``sheet 3``, ``sheets 2 to 7``, ``sheets 1 to 3 and 5``."""
    labels = [str(number) for number in sorted(set(numbers))]
    return f"{'sheet' if len(labels) == 1 else 'sheets'} {listed_with_and(in_runs(labels))}"


def sheets_needed(plan: Plan) -> str:
    """Return which sheets a plan takes; empty for paper in rolls."""
    sheets = plan.job.paper.sheets
    if sheets is None:
        return ""
    numbers = {plan.job.lot(layout.lot).sheet or 0 for layout in plan.layouts}
    are = "is" if len(numbers) == 1 else "are"
    share = "all of the set" if len(numbers) == sheets.count else f"{len(numbers)} of the set of {sheets.count}"
    return f"{capital(sheets_named(numbers))} {are} needed, {share}"


def set_words(paper: Paper, units: str) -> str:
    """Return what a set of sheets is: how many, and their size."""
    count = 0 if paper.sheets is None else paper.sheets.count
    wide = "" if paper.width_as_sold is None else f" by {show(paper.width_as_sold, units)}"
    return f"{counted(count, 'numbered sheet')}, {show(paper.roll_length, units)}{wide} each"


SPOILED: Final = (
    "A sheet that is spoiled must be had again by itself, and no other serves: keep the number of the order, for the "
    "shade of a reprint may differ."
)


def sheet_lines(plan: Plan, units: str) -> Iterator[str]:
    """Yield what is cut from the sheets, those alike together."""
    cuts = sheet_cuts(plan)

    def ends(cut: SheetCut) -> tuple[object, ...]:
        return cut.length, cut.head, cut.foot

    for _, alike in groupby(cuts, key=ends):
        same = list(alike)
        size = f"{show(same[0].length, units)} long, hung {show(same[0].hung, units)} high"
        off = f"{show(same[0].head, units)} come off the head and {show(same[0].foot, units)} off the foot"
        yield f"{capital(sheets_named(cut.sheet for cut in same))}, {size}: {off}, trims included."
    for cut in cuts:
        for side, beyond in (("left", cut.left), ("right", cut.right)):
            if beyond:
                yield f"{show(beyond, units)} come off the {side} of sheet {cut.sheet}."
