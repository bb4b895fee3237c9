"""Readings of a tape: which way each is rounded, and that following them never loses the match."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import Struct

from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.lengths import read_length
from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Lot, Paper
from cutplan.render.sheet.step_cards import cards_of
from cutplan.render.words.readings import between, left_over, on_tape, place, tape_of, to_cut
from cutplan.table.sequence import sequence_of
from cutplan.table.steps import CutDrop, CutOff
from hand_plans import packed
from strategies import PARTS, lengths

if TYPE_CHECKING:
    from cutplan.lengths import Length
    from cutplan.plan.plan import Plan

INCH: Final = Fraction(127, 5)
STEP: Final = {"mm": Fraction(1), "cm": Fraction(1), "in": INCH / 16}
"""The finest mark of each tape: 1 mm, 0.1 cm, 1/16 in."""


@given(lengths, st.sampled_from(["mm", "cm", "in"]))
def test_what_is_cut_is_rounded_up_and_what_is_left_is_rounded_down(length: Length, units: str) -> None:
    """Each by less than the finest mark of the tape; read back, a reading is the same again."""
    cut, left, near = (read_length(reading(length, units)) for reading in (to_cut, left_over, place))

    assert 0 <= cut - length < STEP[units]
    assert 0 <= length - left < STEP[units]
    assert abs(near - length) <= STEP[units] / 2
    assert to_cut(cut, units) == to_cut(length, units)


def test_tape_itself_bears_no_units() -> None:
    """A metric tape shows figures; on one of feet and inches their signs tell them apart."""
    assert on_tape(Fraction(1830), "mm") == "1830"
    assert on_tape(Fraction(1830), "cm") == "183.0"
    assert on_tape(12 * INCH, "in") == "1′"
    assert (tape_of("mm"), tape_of("in"), tape_of("ft")) == ("mm", "feet and inches", "feet and inches")


def test_ranges_name_a_metric_unit_once() -> None:
    """Feet and inches are named in both readings, for they differ."""
    assert between(Fraction(0), Fraction(272), "mm") == "0 to 272 mm"
    assert between(30 * INCH, 48 * INCH, "in") == "2 ft 6 in to 4 ft"


class Hung(Struct, frozen=True):
    """A piece as cut by the tape and hung by the print: how much hangs over at its top and at its foot."""

    over_top: Length
    over_foot: Length
    cuts_before: int
    """Cuts since the print was last looked for."""


def follow(plan: Plan, units: str) -> list[Hung]:
    """Return the pieces of a plan of one measured roll, cut by the readings of its cards and by nothing else.

    Every cut that takes off a lead-in or a match loss is found by the print: the reading says how far the motif lies
    below the new end. Every other cut is made where the last one ended. The drop is then measured from that end, and
    on the wall its motif is hung to its exact place.
    """
    sequence = sequence_of(plan)
    pattern = plan.job.paper.pattern
    lot = plan.job.lots[0]
    assert lot.first_motif is not None
    end = exact_end = Fraction(0)
    since = 0
    hung = []
    rolls = cards_of(sequence, units).values()
    cards = sorted((card for roll in rolls for card in roll.cards), key=lambda card: card.number)
    for step, card in zip(sequence.steps, cards, strict=True):
        if isinstance(step, CutOff):
            exact_end += step.length or Fraction(0)
            # The motif that the step means lies here; the knife is set so far above it as the tape reads.
            motif = exact_end + (step.motif_below or Fraction(0))
            assert pattern.within_repeat(motif - lot.first_motif) == 0
            end = motif - read_length(place(step.motif_below or Fraction(0), units))
            since = 0
        elif isinstance(step, CutDrop):
            drop = plan.job.drop(step.drop)
            cut = end + read_length(card.figure)
            top = exact_end + drop.trim_top  # where the finished top must lie for the print to be right
            hung.append(Hung(top - end, cut - top - drop.height, since))
            end, exact_end = cut, exact_end + drop.cut_length
            since += 1
    return hung


@st.composite
def cut_rolls(draw: st.DrawFn) -> Plan:
    """Return drops packed on one measured roll; some take whole repeats, so that nothing is lost between them."""
    repeat = draw(
        st.one_of(st.integers(200, 900).map(Fraction), st.integers(8 * 16, 36 * 16).map(lambda n: n * INCH / 16))
    )
    pattern = Pattern(repeat, repeat * draw(st.sampled_from(PARTS)))
    trim = Fraction(50)
    drops = []
    for number in range(draw(st.integers(1, 6))):
        whole = draw(st.booleans())
        height = 4 * repeat - 2 * trim if whole else Fraction(draw(st.integers(600, 8000)), 3)
        motif = pattern.first_motif(draw(st.integers(0, 3)), Fraction(draw(st.integers(0, 700)), 7) % repeat)
        drops.append(Drop(str(number + 1), height, motif, trim, trim))
    lot = Lot("A", Fraction(60_000), pattern.within_repeat(Fraction(draw(st.integers(0, 899)))))
    job = Job(Paper("invented", pattern, lot.length), (lot,), tuple(drops))
    return packed(job, [("A", 1, [drop.label for drop in drops])])


@given(cut_rolls(), st.sampled_from(["mm", "cm", "in"]))
@settings(max_examples=80)
def test_following_the_readings_never_loses_the_match(plan: Plan, units: str) -> None:
    """Hung by its print, every piece covers its place: rounding takes from the trim only, and hands nothing on.

    At the top at most half a mark is missing for the reading of the print, and a mark for each cut since the print was
    last looked for; at the foot at most half a mark. 50 mm of trim hold thirty such marks.
    """
    mark = STEP[units]
    for piece in follow(plan, units):
        assert piece.over_top >= 50 - mark / 2 - piece.cuts_before * mark
        assert piece.over_foot >= 50 - mark / 2
        assert piece.over_top > 0


def test_pieces_without_loss_between_them_are_followed_too() -> None:
    """Three drops of 48 in of a 12 in repeat, cut one after another without loss: the print is looked for once."""
    pattern = Pattern(12 * INCH, Fraction(0))
    drops = tuple(Drop(str(number), 44 * INCH, Fraction(0), 2 * INCH, 2 * INCH) for number in (1, 2, 3))
    job = Job(Paper("invented", pattern, 400 * INCH), (Lot("A", 400 * INCH, 3 * INCH),), drops)

    assert [piece.cuts_before for piece in follow(packed(job, [("A", 1, "123")]), "in")] == [0, 1, 2]


@pytest.mark.parametrize(("units", "cut"), [("mm", "2001 mm"), ("cm", "200.1 cm"), ("in", "6 ft 6 13/16 in")])
def test_card_shows_the_cut_rounded_up(units: str, cut: str) -> None:
    """2000 1/3 mm: 2001 on a tape of millimetres, 78.753 in and so 6 ft 6 13/16 in."""
    pattern = Pattern(Fraction(640), Fraction(0))
    drop = Drop("1", Fraction(5701, 3), Fraction(0), Fraction(50), Fraction(50))
    job = Job(Paper("invented", pattern, Fraction(10_050)), (Lot("A", Fraction(10_050), Fraction(50)),), (drop,))

    assert cards_of(sequence_of(packed(job, [("A", 1, "1")])), units)["A"].cards[-1].figure == cut
