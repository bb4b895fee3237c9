"""What to look at and to heed at the table, each sentence written once, for text and sheet alike."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cutplan.render.words.names import PLAIN, listed_with_and, roll_named, rolls_named

if TYPE_CHECKING:
    from cutplan.render.words.names import Script
    from cutplan.table.steps import Sequence

AIR: Final = "Hang at over 10 and under 30 °C, under 65 % relative humidity (NF DTU 59.4)."
FAULTS: Final = "Before the first cut, look the first roll over for faults."
THREE_LENGTHS: Final = "Hang three lengths, then stop and look them over before you hang on."
KNIFE: Final = "Cut away from the hand that holds; keep blades and paste from children."
REVERSED: Final = (
    "The label says to reverse: turn every second length end for end. Its arrow points down, to the end that comes "
    "off the roll last, which is its top; all pieces of one column turn alike."
)


def short_rolls(sequence: Sequence, script: Script = PLAIN) -> str:
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
    """Return what to see to about the batches of the rolls."""
    known = [left for left in sequence.left if left.lot.batch is not None]
    held: dict[str, list[str]] = {}
    for left in known:
        held.setdefault(left.lot.batch or "", []).append(rolls_named(left, script))
    if len(held) < 2:  # noqa: PLR2004 - shades can differ between two
        if known and all(left.lot.is_offcut for left in known):
            lot = known[0].lot
            offcut = roll_named(lot.label, lot, script)
            return f"See that every roll bears batch number {script.label(lot.batch or '')}, as {offcut} does."
        if known and sequence.plan.batches is not None:
            return f"See that every roll bears batch number {script.label(known[0].lot.batch or '')}."
        return "See that every roll bears the same batch number."
    listed = "; ".join(f"{script.label(batch)}: {listed_with_and(rolls)}" for batch, rolls in held.items())
    if sequence.plan.batches is not None:
        return f"See that every roll bears the batch number that its steps name ({listed})."
    return (
        f"The rolls are of {len(held)} batches ({listed}), which can differ in shade: hang them where the eye cannot "
        "compare, never on one wall."
    )
