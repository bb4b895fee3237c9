"""What to look at and to heed at the table, each sentence written once, for text and sheet alike."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from cutplan.job.drops import Drop
from cutplan.lengths import UNITS, show
from cutplan.paper.stock import Paper
from cutplan.render.words.batch_words import UNTOLD
from cutplan.render.words.names import PLAIN, Script, listed_with_and, roll_named, rolls_named
from cutplan.render.words.sheet_words import LAY_OUT
from cutplan.table.steps import Sequence

AIR: Final = "Hang at over 10 and under 30 °C, under 65 % relative humidity (NF DTU 59.4)."
FAULTS: Final = "Before the first cut, look the first roll over for faults."
THREE_LENGTHS: Final = "Hang three lengths, then stop and look them over before you hang on."
KNIFE: Final = "Cut away from the hand that holds; keep blades and paste from children."
REVERSED: Final = (
    "The label says to reverse: turn every second length end for end. Its arrow points down, to the end that comes "
    "off the roll last, which is its top; all pieces of one column turn alike."
)


STRAIGHTEDGE: Final = 6 * UNITS["ft"]
"""Dry trimming is straight only for the length of the straightedge — US installer."""


def edges_heeded(paper: Paper, drops: Iterable[Drop], units: str) -> Iterator[str]:
    """Yield what to heed where the paper is wider as sold than as it hangs: selvedge, and laps to be cut through."""
    edges, hung = paper.edges, paper.wet_width
    if edges.has_selvedge:
        width = "" if paper.roll_width is None else f" to {show(paper.roll_width + edges.overlap, units)}"
        yield (
            f"The paper has a selvedge: note any run number printed on it, then trim each length{width}, face up, with "
            "a new blade, the straightedge held down on what is kept."
        )
        longest = max(drop.cut_length for drop in drops)
        if longest > STRAIGHTEDGE:
            yield (
                f"The longest length is {show(longest, units)}: a straightedge of {show(STRAIGHTEDGE, units)} must be "
                "moved along it, in line with the cut before."
            )
    if edges.overlap:
        beyond = show(edges.overlap / 2, units)
        apart = "" if hung is None else f" Joints stand {show(hung, units)} apart, and edges lie {beyond} beyond them."
        yield (
            f"Neighbours share {show(edges.overlap, units)} of the print: lap each strip so far over the one before, "
            "the print met, and cut both through the middle of the lap while wet, with a new blade, and something "
            f"beneath it to spare the wall.{apart}"
        )


def rolls_with_nothing_to_spare(sequence: Sequence, script: Script = PLAIN) -> str:
    """Return which rolls have nothing to spare; empty where none has."""
    tight = [rolls_named(left, script) for left in sequence.left if left.needs_full_length]
    if not tight:
        return ""
    need = "needs its" if len(tight) == 1 else "need their"
    return (
        f"{listed_with_and(tight)} {need} full length: a roll may be sold up to 1.5 % short (EN 233), and then this "
        "plan does not fit. Measure the length before the first cut."
    )


def batch_numbers(sequence: Sequence, script: Script = PLAIN) -> str:
    """Return what to see to about the batches of the rolls; or about the sheets of a numbered set."""
    if sequence.plan.job.paper.sheets is not None:
        return LAY_OUT
    is_shared_out = sequence.plan.batches is not None
    known = [left for left in sequence.left if left.lot.batch is not None or is_shared_out]
    held: dict[str, list[str]] = {}
    for left in known:
        held.setdefault(left.lot.batch or UNTOLD, []).append(rolls_named(left, script))
    if len(held) < 2:  # noqa: PLR2004 - shades can differ between two
        lot = known[0].lot if known else None
        if lot is not None and lot.batch is not None and (is_shared_out or all(left.lot.is_offcut for left in known)):
            offcut = "" if is_shared_out else f", as {roll_named(lot.label, lot, script)} does"
            return f"See that every roll bears batch number {script.label(lot.batch)}{offcut}."
        return "See that every roll bears the same batch number."
    listed = "; ".join(f"{script.label(batch)}: {listed_with_and(rolls)}" for batch, rolls in held.items())
    if is_shared_out:
        return f"See that every roll bears the batch number that its steps name ({listed})."
    return (
        f"The rolls are of {len(held)} batches ({listed}), which can differ in shade: hang them where the eye cannot "
        "compare, never on one wall."
    )
