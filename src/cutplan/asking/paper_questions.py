"""Questions about the paper, its trims and the rolls in hand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from cutplan.asking.answers import (
    count_from,
    doubts,
    length_in,
    new_name,
    number,
    one_of,
    optional,
    optional_number,
    written,
    yes_or_no,
)
from cutplan.asking.interview import AnswerError
from cutplan.errors import PatternError
from cutplan.lengths import ZERO
from cutplan.paper.match_label import DIRECTIONS, read_match, says_reverse
from cutplan.paper.stock import Paper
from cutplan.scenario.toml_text import length_value, quoted
from cutplan.scenario.trim_table import USUAL_TRIM
from cutplan.scenario.usual import REPEAT, ROLL_LENGTH, ROLL_WIDTH, TRIM

if TYPE_CHECKING:
    from collections.abc import Callable

    from cutplan.asking.interview import Interview
    from cutplan.asking.notes import Notes
    from cutplan.lengths import Length
    from cutplan.paper.pattern import Pattern

IMPERIAL: Final = frozenset({"in", "ft"})
MOST_GROWTH: Final = 10


@dataclass(frozen=True, slots=True)
class Usual:
    """What a roll usually measures, as its label has it; the label of the paper at hand wins."""

    roll_length: str
    roll_width: str


METRIC_ROLL: Final = Usual("10.05 m", "530 mm")
"""The ordinary European roll [EN 233, derived]."""
IMPERIAL_ROLL: Final = Usual("33 ft", "20 1/2 in")
"""The ordinary American double roll [memory]."""


def ask_paper(interview: Interview, notes: Notes, units: str) -> Paper:
    """Return the paper as its label describes it."""
    usual = IMPERIAL_ROLL if units in IMPERIAL else METRIC_ROLL
    length = length_in(units)
    interview.section("The paper")
    notes.table("[paper]")
    name = interview.ask("What is the paper called?", "So that you know it again.", new_name(()), "wallpaper")
    notes.key("name", quoted(name.text))
    roll_length = interview.ask(
        "How long is a roll?", "As marked on its label.", length, usual.roll_length, doubts(ROLL_LENGTH, units)
    )
    notes.key("roll_length", written(roll_length.text), "as marked on the label")
    roll_width = interview.ask(
        "How wide is a roll?", "Between its two edges, dry.", length, usual.roll_width, doubts(ROLL_WIDTH, units)
    )
    notes.key("roll_width", written(roll_width.text), "between its edges, dry")
    pattern = _ask_pattern(interview, notes, units)
    why = "Of one roll, in your own currency; leave it empty if it does not matter."
    price = interview.ask("What does a roll cost?", why, optional_number, "")
    if price.text:
        notes.key("price", price.text, "of one roll")
    from_left, above, below = _ask_motif(interview, notes, units, pattern)
    growth = _ask_growth(interview, notes)
    why = "Foil conducts: it is trimmed short of sockets and switches."
    is_foil = interview.ask("Is it a foil paper (yes or no)?", why, yes_or_no, "no").value
    if is_foil:
        notes.key("foil", "true", "it conducts")
    return Paper(
        name.text,
        pattern,
        roll_length.value,
        roll_width.value,
        price.value,
        motif_from_left=from_left,
        motif_above=above,
        motif_below=below,
        wet_growth=growth,
        is_foil=is_foil,
    )


def _ask_pattern(interview: Interview, notes: Notes, units: str) -> Pattern:
    def parse(text: str) -> Pattern:
        try:
            return read_match(text, units, None).pattern
        except PatternError:
            return read_match(text, units, DIRECTIONS[0]).pattern  # One that needs its direction is asked for it next.

    why = 'Repeat and offset as the label prints them: "free", "64 cm", "64/32 cm", "64 cm/third".'
    label = interview.ask("What is the match?", why, parse, doubt=lambda pattern: _doubted(pattern, units))
    notes.key("match", quoted(label.text), "repeat and offset, as the label prints them")
    if label.value.is_free and not says_reverse(label.text):
        why = "It evens out the shade: every second length is hung the other way up."
        if interview.ask("Does the label say to reverse every other length?", why, yes_or_no, "no").value:
            notes.key("reverse", "true", "every second length hangs turned end for end")
    if not label.value.needs_direction:
        return label.value
    why = "Lay two lengths side by side and look: labels do not say it, and the two are different papers."
    question = "Does the print of the strip to the right sit lower (down) or higher (up)?"
    direction = interview.ask(question, why, one_of(DIRECTIONS))
    notes.key("offset_direction", quoted(direction.value), "the print of the strip to the right sits lower or higher")
    return read_match(label.text, units, direction.value).pattern


def _doubted(pattern: Pattern, units: str) -> str | None:
    return None if pattern.is_free else REPEAT.doubt(pattern.repeat, units)


def _ask_motif(
    interview: Interview, notes: Notes, units: str, pattern: Pattern
) -> tuple[Length | None, Length, Length]:
    if pattern.is_free:
        return None, ZERO, ZERO
    why = "From the left edge of a strip to the middle of its motif, to centre it; empty if you do not measure it."
    from_left = interview.ask("How far is the motif from the left?", why, optional(length_in(units, zero=True)), "")
    if from_left.value is None:
        return None, ZERO, ZERO
    notes.key("motif_from_left", written(from_left.text), "from the strip's left edge to the motif's middle")
    length = length_in(units, zero=True)
    why = "From its datum, the point that you measure motifs to, up to its top: to keep it whole below the ceiling."
    above = interview.ask("How far does the motif reach above its datum?", why, length, "0")
    notes.key("motif_above", written(above.text), "how far the motif reaches above its datum")
    why = "And down to its foot."
    below = interview.ask("How far does it reach below?", why, length, "0")
    notes.key("motif_below", written(below.text), "and below it")
    return from_left.value, above.value, below.value


def _ask_growth(interview: Interview, notes: Notes) -> Length:
    def parse(text: str) -> Length:
        growth = number(text.removesuffix("%").strip())
        if growth > MOST_GROWTH:
            raise AnswerError(f"must be from 0 to {MOST_GROWTH} per cent, not {text}")
        return growth / 100

    why = "Pasted paper widens by up to 1 or 2 per cent while it soaks; paper hung on a pasted wall by nothing."
    growth = interview.ask("By how many per cent does it grow in width when wet?", why, parse, "0")
    if growth.value:
        notes.key("wet_growth", growth.text.removesuffix("%").strip(), "per cent of its width, when pasted")
    return growth.value


def ask_trims(interview: Interview, notes: Notes, units: str) -> None:
    """Ask what is added at the top and the foot of each drop."""
    usual = length_value(USUAL_TRIM, units) if units not in IMPERIAL else "2 in"
    interview.section("Trims")
    notes.table("[trim]")
    why = "Added to each drop and cut off on the wall; more where the ceiling runs out of level."
    top = interview.ask("How much is trimmed at the top?", why, length_in(units, zero=True), usual, doubts(TRIM, units))
    notes.key("top", written(top.text), "added to each drop, cut off on the wall")
    why = "The same at the skirting."
    bottom = interview.ask("And at the bottom?", why, length_in(units, zero=True), usual, doubts(TRIM, units))
    notes.key("bottom", written(bottom.text))


def ask_rolls(interview: Interview, notes: Notes, units: str, paper: Paper) -> None:
    """Ask which rolls are in hand, if any."""
    interview.section("Rolls in hand")
    why = "With none, as many sealed rolls are planned as the room needs."
    count = interview.ask("How many rolls have you?", why, count_from(0), "0")
    labels: list[str] = []
    for index in range(count.value):
        notes.table("[[roll]]")
        why = "Written on the roll, so that the plan can name it."
        label = interview.ask("What is the roll called?", why, new_name(labels), _next_label(index))
        labels.append(label.text)
        notes.key("label", quoted(label.text))
        if not paper.pattern.is_free:
            why = "From its outer end down to the first motif datum; empty for a roll that is still sealed."
            first = interview.ask("Where is its first motif?", why, optional(_within(paper.pattern, units)), "")
            if first.value is not None:
                notes.key("first_motif", written(first.text), "from its outer end down")


def _next_label(index: int) -> str:
    return chr(ord("A") + index) if index < 26 else str(index + 1)  # noqa: PLR2004 - letters of the alphabet


def _within(pattern: Pattern, units: str) -> Callable[[str], Length]:
    def parse(text: str) -> Length:
        return within_repeat(pattern, length_in(units, zero=True)(text))

    return parse


def within_repeat(pattern: Pattern, length: Length) -> Length:
    """Return a distance down to a first motif; raise AnswerError for one of a repeat or more."""
    if length >= pattern.repeat:
        raise AnswerError("the first motif lies less than a repeat down; measure to the one nearest to the end")
    return length
