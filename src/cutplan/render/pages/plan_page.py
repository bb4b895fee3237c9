"""The plan as a page of plain text, 80 columns wide, to read on a screen or print and take to the table.

Lengths are rounded here and nowhere before, each once and from its exact value.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from cutplan.lengths import Rounding, show
from cutplan.render.pages.layout_of_page import NO_BREAK, listed_with_and, section, table, wrapped, wrapped_lines
from cutplan.render.pages.left_over_page import keeping_sections
from cutplan.render.words.answer_words import answer, money
from cutplan.render.words.batch_words import batches_section
from cutplan.render.words.lay_aside_words import aside_sentences
from cutplan.render.words.order_words import order_in_words
from cutplan.render.words.readings import left_over, to_cut
from cutplan.table.lay_aside import asides_of
from cutplan.table.left_over import leavings_of
from cutplan.table.sequence import CheckMatch, CutDrop, CutOff, NextStretch, OpenRoll

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from collections.abc import Sequence as Rows

    from cutplan.paper.stock import Lot
    from cutplan.plan.plan import RollLayout
    from cutplan.setting_out import SettingOut
    from cutplan.table.sequence import LeftOver, Rest, Sequence, Step
    from cutplan.table.timetable import Pace

__all__ = ["answer", "money", "plan_page", "plan_sections", "worded"]

_LONGEST_UNBROKEN: Final = 20
"""Items of a list up to this long are not broken at the end of a line."""


def plan_page(
    sequence: Sequence,
    notes: Iterable[str] = (),
    units: str = "mm",
    setting_out: SettingOut | None = None,
    pace: Pace | None = None,
) -> str:
    """Return the whole page: from the answer and the sequence to what is worth keeping and what is not.

    Parameters
    ----------
    sequence
        The sequence of the plan to print.
    notes
        What the reader of the scenario should know about how it was read.
    units
        ``mm``, ``cm``, ``m``, or ``in`` for feet and inches, as the user's tape reads.
    setting_out
        The room set out, where the drops follow from a survey; None for a plain list of drops.
    pace
        How fast the work goes, for a timetable; None for none.

    """
    parts = [
        wrapped_lines(answer(sequence.plan)),
        _notes(notes),
        batches_section(sequence.plan, setting_out, units),
        *plan_sections(sequence, units),
        "" if pace is None else _timetable(sequence, pace),
        *([] if setting_out is None else room_sections(sequence, setting_out, units)),
        keeping_sections(leavings_of(sequence.plan), units),
    ]
    return "\n\n".join(part for part in parts if part) + "\n"


def _timetable(sequence: Sequence, pace: Pace) -> str:
    from cutplan.render.pages.timetable_page import timetable_section  # noqa: PLC0415 - likewise
    from cutplan.table.timetable import timetable_of  # noqa: PLC0415 - for a scenario with a pace only

    timetable = timetable_of(sequence, pace)
    return "" if timetable is None else timetable_section(timetable)


def room_sections(sequence: Sequence, setting_out: SettingOut, units: str) -> list[str]:
    """Return the parts of the page on a surveyed room: where the drops hang, what they measure, the joints."""
    from cutplan.render.pages.setting_out_page import joints_section, lengths_section  # noqa: PLC0415 - for rooms only
    from cutplan.render.pages.walls_page import walls_section  # noqa: PLC0415 - for rooms only

    job = sequence.plan.job
    return [
        walls_section(setting_out, units),
        lengths_section(job.drops, units, is_free=job.paper.pattern.is_free),
        joints_section(setting_out, units),
    ]


def plan_sections(sequence: Sequence, units: str = "mm") -> list[str]:
    """Return the parts of the page below the answer: the rolls, the sequence, what is left."""
    return [
        section(_rolls_title(sequence), *_rolls(sequence, units)),
        section("Cutting sequence", *_order(sequence), _before(sequence), *_steps(sequence, units)),
        section("What is left", *_left(sequence, units)),
    ]


# What is to be known


def _notes(notes: Iterable[str]) -> str:
    lines = [wrapped(note, "  - ", "    ") for note in notes]
    return "\n".join(["Notes", *lines]) if lines else ""


# The rolls


def _rolls_title(sequence: Sequence) -> str:
    return f"Rolls of {sequence.plan.job.paper.name}"


def _rolls(sequence: Sequence, units: str) -> list[str]:
    """Return the table of rolls, and a warning where a short roll would not do."""
    used = "used at most" if _has_unknown_starts(sequence) else "used"
    rows = [
        (
            _rolls_named(left),
            _drops_listed(layout, pieces),
            show(left.lot.length - left.slack, units, Rounding.UP),
            show(left.slack, units, Rounding.DOWN),
        )
        for layout, pieces, left in zip(sequence.plan.layouts, sequence.pieces, sequence.left, strict=True)
    ]
    rolls = table(("roll", "drops in order", used, "slack"), rows, wrapped=1)
    tight = [_rolls_named(left) for left in sequence.left if left.needs_full_length]
    return [rolls, wrapped(_no_room_for_short(tight))] if tight else [rolls]


def _drops_listed(layout: RollLayout, pieces: Rows[str]) -> str:
    """Return the drops of a roll in order, several alike together: ``3 × 12``, ``door (2 to 4 of 9)``."""
    runs: list[_Run] = []
    for cut, piece in zip(layout.cuts, pieces, strict=True):
        number = piece.removeprefix(cut.drop)
        if runs and runs[-1].goes_on(cut.drop, number):
            runs[-1].numbers.append(number)
        else:
            runs.append(_Run(cut.drop, [number]))
    items = [run.listed() for run in runs]
    return ("; " if any("," in item for item in items) else ", ").join(items)


@dataclass(frozen=True, slots=True)
class _Run:
    """Cuts of one drop that follow one another; ``numbers`` are `` (2 of 9)``, `` (3 of 9)``, or empty."""

    drop: str
    numbers: list[str]

    def goes_on(self, drop: str, number: str) -> bool:
        last = self.numbers[-1]
        return drop == self.drop and _follows(number, last)

    def listed(self) -> str:
        first, last = self.numbers[0], self.numbers[-1]
        if len(self.numbers) == 1:
            item = f"{self.drop}{first}"
        elif first == last:
            item = f"{len(self.numbers)} × {self.drop}"
        else:
            item = f"{self.drop} ({_which(first)} to {last.removeprefix(' (')}"
        return item.replace(" ", NO_BREAK) if len(item) < _LONGEST_UNBROKEN else item


def _follows(number: str, last: str) -> bool:
    return number == last if not number or not last else _which(number) == _which(last) + 1


def _which(number: str) -> int:
    return int(number.removeprefix(" (").split(" ")[0])


def _no_room_for_short(rolls: list[str]) -> str:
    need = "needs its" if len(rolls) == 1 else "need their"
    return (
        f"{listed_with_and(rolls)} {need} full length: a roll may be sold up to 1.5 % short (EN 233), and then "
        "this plan does not fit. Measure the length before the first cut."
    )


def _has_unknown_starts(sequence: Sequence) -> bool:
    return any(left.is_at_least for left in sequence.left)


def _rolls_named(rolls: LeftOver | OpenRoll) -> str:
    return rolls.roll if rolls.count == 1 else f"{rolls.roll} to {rolls.last_roll}"


# The sequence


def _order(sequence: Sequence) -> list[str]:
    order = sequence.plan.order
    return [] if order is None else [wrapped(order_in_words(order))]


def _before(sequence: Sequence) -> str:
    """Return the habits that cost nothing before the first cut, and the words that the steps use."""
    lines = [
        "Hang at over 10 and under 30 °C, under 65 % relative humidity (NF DTU 59.4).",
        "Before the first cut, look the first roll over for faults.",
        _batches(sequence),
    ]
    lines.append("The top of a piece is the end that comes off the roll first; the arrow points to it.")
    if sequence.plan.job.paper.is_reversed:
        lines.append(
            "The label says to reverse: turn every second length end for end. Its arrow points down, to the end "
            "that comes off the roll last, which is its top; all pieces of one column turn alike."
        )
    if any(left.lot.is_foot_first for left in sequence.left):
        lines.append("Where a roll comes off foot first, its foot comes first: the steps say so.")
    if not sequence.plan.job.paper.pattern.is_free:
        lines.append(
            "The motif is the point of the print that first_motif was measured to: take the first one below "
            "the end of the roll or the top of the piece."
        )
    return wrapped_lines(lines)


def _batches(sequence: Sequence) -> str:
    rolls: dict[str, list[str]] = {}
    for step in sequence.steps:
        if isinstance(step, OpenRoll) and step.lot.batch is not None:
            rolls.setdefault(step.lot.batch, []).append(_rolls_named(step))
    if len(rolls) < 2:  # noqa: PLR2004 - shades can differ between two
        known = [step.lot for step in sequence.steps if isinstance(step, OpenRoll) and step.lot.batch is not None]
        if known and all(lot.is_offcut for lot in known):
            offcut = _roll_named(known[0].label, known[0])
            return f"See that every roll bears batch number {known[0].batch}, as {offcut} does."
        return "See that every roll bears the same batch number."
    listed = "; ".join(f"{batch}: {listed_with_and(held)}" for batch, held in rolls.items())
    if sequence.plan.batches is not None:
        return f"See that every roll bears the batch number that its steps name ({listed})."
    return (
        f"The rolls are of {len(rolls)} batches ({listed}), which can differ in shade: hang them where the eye "
        "cannot compare, never on one wall."
    )


def _steps(sequence: Sequence, units: str) -> list[str]:
    """Return the steps, in blocks of consecutive steps on one roll."""
    digits = len(str(sequence.steps[-1].number))
    words_for = words_of(sequence, units)
    blocks: list[str] = []
    seen: set[str] = set()
    now = None
    lots = {step.roll: step.lot for step in sequence.steps if isinstance(step, OpenRoll)}
    for step in sequence.steps:
        if step.roll != now:
            now = step.roll
            blocks.append(_heading(step, lots[now], is_again=now in seen))
            seen.add(now)
        blocks[-1] += "\n" + wrapped(words_for(step), f"  {step.number:>{digits}}  ", " " * (digits + 4))
    return blocks


def _heading(step: Step, lot: Lot, *, is_again: bool) -> str:
    if isinstance(step, OpenRoll) and step.count > 1:
        return f"{_capital(_rolls_named(step))}: {step.count} rolls, each cut like this"
    return _capital(_roll_named(step.roll, lot)) + (" again" if is_again else "")


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]


def _roll_named(label: str, lot: Lot) -> str:
    kind = "offcut" if lot.is_offcut else "roll"
    return label if lot.cut_from is not None or label.lower().startswith(kind) else f"{kind} {label}"


def words_of(sequence: Sequence, units: str) -> Callable[[Step], str]:
    """Return how the steps of a sequence are put in words, with what is then to be laid aside."""
    repeat = show(sequence.plan.job.paper.pattern.repeat, units, Rounding.UP)
    asides = asides_of(sequence)
    return lambda step: f"{worded(step, units, repeat)} {aside_sentences(asides.get(step.number, ()), units)}".rstrip()


def worded(step: Step, units: str, repeat: str) -> str:
    """Return a step in words; ``repeat`` is the repeat as shown, for a lead-in that only the print can tell."""
    if isinstance(step, OpenRoll):
        return _opening(step, units)
    if isinstance(step, NextStretch):
        return _going_on(step, units)
    if isinstance(step, CutOff):
        return _cutting_off(step, units, repeat)
    if isinstance(step, CheckMatch):
        lay = f"lay drop {step.right} to the right of drop {step.left}"
        if step.left == step.right:
            lay = f"lay two drops {step.left} side by side"
        return f"Check: {lay}, tops level. The print must meet all down the joint; if not, cut no further."
    return _cutting(step, units)


def _opening(step: OpenRoll, units: str) -> str:
    lot = step.lot
    facts = [show(step.length, units)]
    if step.is_open:
        facts = [f"at least {show(step.length, units, Rounding.DOWN)}"]
    if lot.batch is not None:
        facts.append(f"batch {lot.batch}")
    if lot.left is not None and lot.right is not None:
        facts.append(f"from {show(lot.left, units)} to {show(lot.right, units)} of the strip's width")
    name = "each roll" if step.count > 1 else _roll_named(step.roll, lot)
    take = f"Take up {name} again" if step.is_open else f"Take {name}" if lot.is_offcut else f"Open {name}"
    if lot.cut_from is not None:
        take = f"When drop {lot.cut_from} hangs and is trimmed, take up {name}"
    opening = f"{take} ({', '.join(facts)})"
    if step.first_motif is not None:
        way = "from" if lot.is_foot_first else "below"
        opening += f" and check: {_motif(step.first_motif, units, 'its end', way)}"
    return f"{opening}. It comes off foot first." if lot.is_foot_first else f"{opening}."


def _going_on(step: NextStretch, units: str) -> str:
    rest = "what is left" if step.length is None else f"the {left_over(step.length, units)} left"
    if step.flaw:
        return f"Cut off {rest} before the flaw, and the flaw with it ({show(step.flaw, units)})."
    if step.length == 0:
        return f"Take up piece {step.stretch} of the roll."
    return f"Lay aside {rest} of this piece and take up piece {step.stretch} of the roll."


def _cutting(step: CutDrop, units: str) -> str:
    motif = ""
    if step.motif_below is not None:
        motif = f", {_motif(step.motif_below, units, 'its top')}"
        if step.is_foot_first:
            motif = f", {_motif(step.motif_below, units, 'its foot', 'from')}, which comes first"
    mark = f'"{step.piece} {"↓" if step.is_turned else "↑"}"'.replace(" ", NO_BREAK)
    turned = ": it hangs turned end for end" if step.is_turned else ""
    return f"Cut drop {step.piece}: {to_cut(step.length, units)}{motif}. Write {mark} on its back{turned}."


def _cutting_off(step: CutOff, units: str, repeat: str) -> str:
    if step.motif_below is None:
        return f"Cut off {_cut_off(step.length or Fraction(0), units)}."
    if step.length is None:
        return f"Cut its end back (by less than {repeat}) to leave the {_motif(step.motif_below, units, 'it')}."
    motif = _motif(step.motif_below, units, "the new end")
    return f"Cut off {_cut_off(step.length, units)}, to leave the {motif}."


def _cut_off(length: Fraction, units: str) -> str:
    """Return a length to be cut off; one that a tape cannot tell from nothing is said to be small."""
    reading = show(length, units)
    if reading != show(Fraction(0), units):
        return reading
    return "less than 1/16 in" if units in {"in", "ft", "yd"} else "less than 1 mm"


def _motif(below: Fraction, units: str, place: str, way: str = "below") -> str:
    return f"motif {show(below, units)} {way} {place}" if below else f"motif exactly at {place}"


# What is left


def _left(sequence: Sequence, units: str) -> list[str]:
    is_free = sequence.plan.job.paper.pattern.is_free
    length = "at least" if _has_unknown_starts(sequence) else "length"
    heads = ("roll", length) if is_free else ("roll", length, "first motif below its cut end")
    rows = [
        (
            _rest_named(left, rest),
            show(rest.length, units, Rounding.DOWN),
            *(() if is_free else ("unknown" if rest.first_motif is None else show(rest.first_motif, units),)),
        )
        for left in sequence.left
        for rest in left.rests
        if rest.length or len(left.rests) == 1
    ]
    label = "length, width and top end" if is_free else "length, width, top end and first motif"
    lines = (
        f"Label each piece worth keeping: {label}.",
        "Hang three lengths, then stop and look them over before you hang on.",
        "Cut away from the hand that holds; keep blades and paste from children.",
    )
    return [table(heads, rows), "\n".join(lines)]


def _rest_named(left: LeftOver, rest: Rest) -> str:
    name = _rolls_named(left)
    if len(left.rests) > 1:
        name += f", stretch {rest.stretch}"
    return f"{name} (foot first)" if left.lot.is_foot_first else name
