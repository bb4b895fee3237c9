"""Where an offcut in the hand fits, in words; lengths are rounded so that nobody finds less than they were told."""

from __future__ import annotations

from collections.abc import Sequence as Rows
from typing import Final

from cutplan.job.offcut_in_hand import Fit, Miss
from cutplan.lengths import Rounding, show
from cutplan.paper.stock import Lot
from cutplan.plan.plan import Plan
from cutplan.render.pages.layout_of_page import paragraphs, table, wrapped
from cutplan.render.words.answer_words import money, rolls_and_parts
from cutplan.render.words.names import drops_named
from cutplan.too_few import BatchUse
from cutplan.wording import counted

_UNMEASURED: Final = (
    "Its first motif is not measured, so a whole repeat is taken to come off its top first; "
    "measure it, and it may fit more."
)

_MOST_MISSES: Final = 8
"""Misses shown: who looks further has the wrong offcut in the hand."""


def fitting_page(
    offcut: Lot, fits: Rows[Fit], misses: Rows[Miss], uses: Rows[BatchUse] | None, units: str = "mm"
) -> str:
    """Return the page: what the offcut is, where it fits, and which use saves most; or by how much it misses.

    ``uses`` are what it saves, for each batch that it may be of; None when it fits nowhere.
    """
    if uses is None:
        missed = _missed(misses, units) if misses else ""
        return paragraphs(wrapped(f"{_named(offcut, units)} fits nowhere."), missed)
    rows = [
        (
            fit.drop.label,
            show(fit.drop.cut_length, units, Rounding.UP),
            show(fit.lead_in, units),
            show(fit.spare, units, Rounding.DOWN),
        )
        for fit in fits
    ]
    heads = ("drop", "length to cut", "cut off its top first", "spare below")
    return paragraphs(
        wrapped(f"{_named(offcut, units)} fits {counted(len(fits), 'drop')}."),
        table(heads, rows),
        *([] if offcut.first_motif is not None else [wrapped(_UNMEASURED)]),
        *(wrapped(_of_batch(use, fits, is_only=len(uses) == 1)) for use in uses),
    )


def _named(offcut: Lot, units: str) -> str:
    facts = [*([] if offcut.sheet is None else [f"of sheet {offcut.sheet}"]), show(offcut.length, units)]
    if offcut.first_motif is not None:
        facts.append(f"first motif {show(offcut.first_motif, units)} below its top")
    if offcut.left is not None and offcut.right is not None:
        facts.append(f"{show(offcut.left, units)} to {show(offcut.right, units)} across the strip")
    return f"An offcut ({', '.join(facts)})"


def _of_batch(use: BatchUse, fits: Rows[Fit], *, is_only: bool) -> str:
    if use.is_foreign:
        return f"No roll is of batch {use.paper.batch}, so nothing may be cut from it: it would show on the wall."
    said = _best_use(use, fits)
    of_batch = "of the rolls without a batch" if use.paper.batch is None else f"of batch {use.paper.batch}"
    return said if is_only else f"If it is {of_batch}: {said[0].lower()}{said[1:]}"


def _best_use(use: BatchUse, fits: Rows[Fit]) -> str:
    without, having = use.without, use.having
    cut = (
        []
        if having is None
        else [cut.drop for layout in having.layouts if layout.lot == use.paper.label for cut in layout.cuts]
    )
    drops = drops_named(cut) if cut else ""
    if having is None or use.bare_having:
        few = "The rolls in hand are too few, with it and without"
        bare, left = (counted(sum(each.values()), "piece") for each in (use.bare_without, use.bare_having))
        taken = f"; it serves as {drops}" if drops else ""
        return f"{few}: {bare} bare without it, {left} with it{taken}." if having else f"{few}."
    if without is None or use.bare_without:
        return f"It makes the rolls in hand enough, as {drops}: without it they are too few."
    proved = "" if without.gap == having.gap == 0 else " (not proved: the search was stopped)"
    if drops and having.value < without.value:
        what = f"{_taken(without)} without it, {_taken(having)} with it"
        return f"It saves most as {drops}: {what}{proved}."
    return (
        f"It saves no roll, whatever is cut from it: {_taken(without)} with it and without{proved}. "
        f"As drop {fits[0].drop.label}, the longest, it spares the most paper."
    )


def _taken(plan: Plan) -> str:
    rolls = rolls_and_parts(plan)
    return f"{rolls} ({money(plan.value)} in all)" if plan.job.counts_cost else rolls


def _missed(misses: Rows[Miss], units: str) -> str:
    rows = [(miss.drop.label, "; ".join(_reasons(miss, units))) for miss in misses[:_MOST_MISSES]]
    lines = table(("drop", "why not"), rows, wrapped=1)
    more = len(misses) - len(rows)
    others = f"Nor any of the {more} others" if more > 1 else "Nor the other"
    return f"{lines}\n\n{wrapped(f'{others}, which it misses by more.')}" if more else lines


def _reasons(miss: Miss, units: str) -> list[str]:
    reasons = []
    if miss.too_short:
        reasons.append(f"too short by {show(miss.too_short, units, Rounding.UP)}")
    if miss.by_print:
        off, short = show(miss.lead_in, units), show(miss.by_print, units, Rounding.UP)
        reasons.append(f"print in the wrong place: {off} must come off its top first, and then it is {short} too short")
    for side, missing in (("left", miss.left), ("right", miss.right)):
        if missing:
            reasons.append(f"wrong side: {show(missing, units, Rounding.UP)} of the strip's {side} is missing")
    return reasons
