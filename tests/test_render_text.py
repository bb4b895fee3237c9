from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

import pytest
from msgspec.structs import replace

from cutplan.paper.pattern import FREE
from cutplan.paper.stock import Lot
from cutplan.plan.plan import AtBest, Plan
from cutplan.plan.proof import Proof
from cutplan.render.pages.layout_of_page import WIDTH
from cutplan.render.pages.plan_page import plan_page
from cutplan.render.words.answer_words import answer, money
from cutplan.render.words.step_words import StepWords
from cutplan.table.sequence import sequence_of
from cutplan.table.steps import CutDrop, NextStretch, OpenRoll
from hand_plans import ROLL, drop, free_match_wall, half_drop_wall, job, packed

if TYPE_CHECKING:
    from cutplan.table.steps import Step

OFFCUT: Final = Lot("B", Fraction(900), Fraction(95), left=Fraction(0), right=Fraction(300), is_offcut=True)


def mm(number: int) -> Fraction:
    """Return whole millimetres as a length."""
    return Fraction(number)


def page_of(plan: Plan, *notes: str, units: str = "mm") -> str:
    """Return the page of a plan."""
    return plan_page(sequence_of(plan), notes, units)


def test_page_of_a_half_drop_wall() -> None:
    """The whole page, as the decorator reads it; every figure is worked out in hand_plans and test_sequence."""
    page = page_of(half_drop_wall(), "'64/32 cm' is a half-drop")

    assert (
        page
        == """\
2 rolls are certain to be enough, however the sealed rolls begin; at best 1
roll.
Proved by prices that anyone can check (see --json): no plan needs fewer.
To learn what your rolls need, open them, measure first_motif on each, write it
into the scenario and plan again.

Notes
  - '64/32 cm' is a half-drop

Rolls of Heron, slate
=====================

roll    drops in order      used at most    slack
------  ----------------  --------------  -------
roll-1  1, 3                     5700 mm  4350 mm
roll-2  2, 4                     5700 mm  4350 mm

Cutting sequence
================

Hang at over 10 and under 30 °C, under 65 % relative humidity (NF DTU 59.4).
Before the first cut, look the first roll over for faults.
See that every roll bears the same batch number.
The top of a piece is the end that comes off the roll first; the arrow points to
it.
The motif is the point of the print that first_motif was measured to: take the
first one below the end of the roll or the top of the piece.

Roll-1
   1  Open roll-1 (10050 mm).
   2  Cut its end back (by less than 640 mm) to leave the motif 145 mm below it.
   3  Cut drop 1: 2500 mm, motif 145 mm below its top. Write "1 ↑" on its back.

Roll-2
   4  Open roll-2 (10050 mm).
   5  Cut its end back (by less than 640 mm) to leave the motif 465 mm below it.
   6  Cut drop 2: 2500 mm, motif 465 mm below its top. Write "2 ↑" on its back.
   7  Check: lay drop 2 to the right of drop 1, tops level. The print must meet
      all down the joint; if not, cut no further.

Roll-1 again
   8  Cut off 60 mm, to leave the motif 145 mm below the new end.
   9  Cut drop 3: 2500 mm, motif 145 mm below its top. Write "3 ↑" on its back.
      Write "end of roll-1 ↑" on what is left of the roll, and lay it aside.

Roll-2 again
  10  Cut off 60 mm, to leave the motif 465 mm below the new end.
  11  Cut drop 4: 2500 mm, motif 465 mm below its top. Write "4 ↑" on its back.
      Write "end of roll-2 ↑" on what is left of the roll, and lay it aside.

What is left
============

roll      at least    first motif below its cut end
------  ----------  -------------------------------
roll-1     4350 mm                           205 mm
roll-2     4350 mm                           525 mm

Label each piece worth keeping: length, width, top end and first motif.
Hang three lengths, then stop and look them over before you hang on.
Cut away from the hand that holds; keep blades and paste from children.

Keep
====

  - end of roll-1: at least 4350 mm, motif 205 mm below its top; would serve as
    drop 1, or 3 others, for repair.
  - end of roll-2: at least 4350 mm, motif 525 mm below its top; would serve as
    drop 1, or 3 others, for repair.

Bin
===

4 lead-ins and match losses.
"""
    )


def test_page_of_a_free_match_has_no_word_of_motifs() -> None:
    """Nothing to match: no motif, no lead-in, no check of the match; exact figures, for the roll is in hand."""
    page = page_of(free_match_wall())

    assert (
        page
        == """\
1 part of a roll is enough.
Proved: no plan needs fewer, each part of a roll counted as one.

Rolls of Heron, slate
=====================

roll    drops in order        used    slack
------  -----------------  -------  -------
A       1, 2 over door, 3  5500 mm   100 mm

Cutting sequence
================

Hang at over 10 and under 30 °C, under 65 % relative humidity (NF DTU 59.4).
Before the first cut, look the first roll over for faults.
See that every roll bears the same batch number.
The top of a piece is the end that comes off the roll first; the arrow points to
it.

Roll A
  1  Open roll A (5600 mm, batch 2207).
  2  Cut drop 1: 2500 mm. Write "1 ↑" on its back.
  3  Cut drop 2 over door: 500 mm. Write "2 over door ↑" on its back.
  4  Cut drop 3: 2500 mm. Write "3 ↑" on its back.

What is left
============

roll      length
------  --------
A         100 mm

Label each piece worth keeping: length, width and top end.
Hang three lengths, then stop and look them over before you hang on.
Cut away from the hand that holds; keep blades and paste from children.

Keep
====

Nothing that is left could be any drop again.

Bin
===

end of A (100 mm).
"""
    )


@pytest.mark.parametrize("units", ["mm", "cm", "m", "in"])
def test_no_line_is_wider_than_a_page(units: str) -> None:
    """80 columns hold every line, long labels and inches too."""
    drops = [
        drop("chimney breast, left return", 2400, 95, count=30),
        drop("over the landing window", 1300, 415, count=6),
    ]
    rolls = [("roll", 8, ["chimney breast, left return"] * 3), ("roll", 1, ["over the landing window"] * 4)]
    rolls += [("roll", 1, [drops[1].label] * 2 + [drops[0].label] * 2), ("roll", 2, [drops[0].label] * 2)]
    page = page_of(packed(job(drops), rolls), "a note that is long enough to be wrapped " * 4, units=units)

    assert max(len(line) for line in page.splitlines()) <= WIDTH


def test_rolls_cut_alike_are_told_once() -> None:
    """A contract says how many rolls to cut like this, and lists one of them."""
    page = page_of(packed(job([drop("full", 2400, 95, count=111)]), [("roll", 37, ["full"] * 3)]))

    assert "roll-1 to roll-37  3 × full" in page
    assert "Roll-1 to roll-37: 37 rolls, each cut like this\n  1  Open each roll (10050 mm).\n" in page
    assert page.count("Cut drop full") == 3


def test_alike_pieces_that_follow_one_another_are_listed_together() -> None:
    """Three of five on one roll are (1 to 3 of 5); the other two, cut from the next, (4 to 5 of 5)."""
    plan = packed(job([drop("full", 2400, 95, count=5)]), [("roll", 1, ["full"] * 3), ("roll", 1, ["full"] * 2)])
    page = page_of(plan)

    assert "roll-1  full (1 to 3 of 5)" in page
    assert "roll-2  full (4 to 5 of 5)" in page
    assert 'Cut drop full (3 of 5): 2500 mm, motif 145 mm below its top. Write\n      "full (3 of 5) ↑"' in page


def test_measured_roll_tells_where_its_motif_is_to_be_checked() -> None:
    """A wrong figure shows before the first cut, when the roll is opened."""
    lots = (Lot("A", ROLL, Fraction(130), batch="2207"),)
    page = page_of(packed(job([drop("1", 2400, 95)], lots=lots), [("A", 1, "1")]))

    assert "  1  Open roll A (10050 mm, batch 2207) and check: motif 130 mm below its end.\n" in page
    assert "  2  Cut off 625 mm, to leave the motif 145 mm below the new end.\n" in page


def test_motif_at_the_end_itself() -> None:
    """Under 50 mm of trim, a first motif of 590 lies a repeat below the cut: there is one at the cut end."""
    page = page_of(packed(job([drop("1", 2400, 590)]), [("roll", 1, "1")]))

    assert "  2  Cut its end back (by less than 640 mm) to leave the motif exactly at it.\n" in page
    assert "  3  Cut drop 1: 2500 mm, motif exactly at its top." in page


def test_loss_too_small_for_a_tape() -> None:
    """A third of a millimetre is cut off with the knife, not measured."""
    # 2559 2/3 + 1/3 = 4 × 640.
    drops = [drop("1", Fraction("2459") + Fraction(2, 3), 95), drop("2", 2400, 95)]
    page = page_of(packed(job(drops), [("roll", 1, "12")]))

    assert "  4  Cut off less than 1 mm, to leave the motif 145 mm below the new end." in page


def test_readings_are_rounded_once_each() -> None:
    """Thirds: 145 + 213 1/3 reads 358 and 145 + 426 2/3 reads 572, not 358 + 213 = 571."""
    third = replace(half_drop_wall().job.paper.pattern, offset=Fraction(640, 3))
    drops = [drop("2", 2400, 95 + Fraction(640, 3)), drop("3", 2400, 95 + Fraction(1280, 3))]
    page = page_of(packed(job(drops, third), [("roll", 1, "23")]))

    assert "Cut drop 2: 2500 mm, motif 358 mm below its top." in page
    assert "Cut drop 3: 2500 mm, motif 572 mm below its top." in page


def test_roll_without_room_for_a_short_one_is_named() -> None:
    """EN 233 clause 5.2.2 lets a roll be 1.5 % short: 50 mm of slack on 5550 mm are less than 83.25 mm."""
    lots = (Lot("A", Fraction(5550), Fraction(0)),)
    wall = free_match_wall()
    page = page_of(packed(job(wall.job.drops, FREE, lots), [("A", 1, ["1", "2 over door", "3"])]))

    assert (
        "A needs its full length: a roll may be sold up to 1.5 % short (EN 233), and then\n"
        "this plan does not fit. Measure the length before the first cut.\n"
    ) in page


def test_mixed_batches_are_named_with_their_rolls() -> None:
    """Trade: a different run may be used only where the eye cannot compare, never within one wall."""
    lots = (
        Lot("A", ROLL, Fraction(145), batch="2207"),
        Lot("B", ROLL, Fraction(145), batch="2191"),
    )
    page = page_of(packed(job([drop("1", 2400, 95), drop("2", 2400, 95)], lots=lots), [("A", 1, "1"), ("B", 1, "2")]))

    assert (
        "The rolls are of 2 batches (2207: A; 2191: B), which can differ in shade: hang\n"
        "them where the eye cannot compare, never on one wall.\n"
    ) in page


def bound_of(value: int) -> Proof:
    """Return a bound without prices."""
    return Proof(Fraction(value), None, by_search=False)


@pytest.mark.parametrize(
    ("figures", "first"),
    [
        (
            {"at_best": AtBest(Fraction(2), 2, bound_of(2))},
            "2 rolls are certain to be enough, however the sealed rolls begin; even at best no fewer will do.",
        ),
        (
            {"at_best": AtBest(Fraction(2), 2, bound_of(1))},
            (
                "2 rolls are certain to be enough, however the sealed rolls begin; "
                "at best 2 rolls, or even less (not proved; never under 1)."
            ),
        ),
        ({"at_best": None}, "2 rolls are enough."),
    ],
)
def test_answer_tells_certain_from_at_best(figures: dict[str, AtBest | None], first: str) -> None:
    """Certain and at best are two figures, and what is not proved of either is said."""
    at_best = figures["at_best"]

    assert answer(replace(half_drop_wall(), at_best=at_best))[0] == first


def test_answer_says_what_proves_it() -> None:
    """Prices that anyone can check, or a search that nobody repeats."""
    searched = replace(half_drop_wall(), proof=Proof(Fraction(2), None, by_search=True))

    assert answer(searched)[1] == "Proved by an exhaustive search: no plan needs fewer."


def test_answer_says_what_is_not_proved_and_why() -> None:
    """A plan that stopped on time gives its bound and does not call itself the least."""
    stopped = replace(half_drop_wall(), proof=bound_of(1), stopped="time limit", at_best=None)

    assert answer(stopped) == [
        "2 rolls are enough.",
        "Best found 2, lower bound 1: not proved to be the least (time limit). The plan itself holds.",
    ]


def test_answer_counts_money_where_rolls_differ_in_price() -> None:
    """A part of a roll at 15 and one at 62 cost 77."""
    lots = (
        Lot("A", Fraction(3000), Fraction(0), price=Fraction(62)),
        Lot("B", Fraction(3000), Fraction(0), price=Fraction(15)),
    )
    wanted = job([drop("1", 2400), drop("2", 2400)], FREE, lots)
    plan = packed(wanted, [("A", 1, "1"), ("B", 1, "2")], proof=Proof(Fraction(77), None, by_search=True))

    assert answer(plan) == [
        "2 parts of rolls costing 77.00 are enough.",
        "Proved by an exhaustive search: no plan costs less.",
    ]


def test_rolls_and_parts_of_rolls_are_told_apart() -> None:
    """A roll of 10.05 m may be sold 1.5 % short, as 9.90 m is not; what a whole roll costs is no price of a part."""
    lots = (Lot("A", Fraction(9900), price=Fraction(62)), Lot("B", Fraction(9890), price=Fraction(62)))
    wanted = job([drop("1", 2400), drop("2", 2400)], FREE, lots)

    def told(*rolls: str) -> str:
        layouts = [(label, 1, str(number)) for number, label in enumerate(rolls, 1)]
        return answer(packed(wanted, layouts, proof=Proof(Fraction(len(rolls)), None, by_search=True)))[0]

    assert told("A", "B") == "1 roll and 1 part of a roll are enough."
    assert told("A") == "1 roll (62.00 in all) is enough."
    assert told("B") == "1 part of a roll is enough."


@pytest.mark.parametrize(("amount", "text"), [("84", "84.00"), ("0.05", "0.05"), ("7.125", "7.13"), ("0", "0.00")])
def test_money_has_two_decimals(amount: str, text: str) -> None:
    """As prices are written; half a hundredth is rounded up."""
    assert money(Fraction(amount)) == text


@pytest.mark.parametrize(
    ("step", "words"),
    [
        (NextStretch(3, "A", 2, mm(500), mm(0)), "Lay aside the 500 mm left of this piece and take up piece 2 of"),
        (NextStretch(3, "A", 2, mm(0), mm(0)), "Take up piece 2 of the roll."),
        (NextStretch(3, "A", 2, mm(500), mm(40)), "Cut off the 500 mm left before the flaw, and the flaw with it"),
        (NextStretch(3, "A", 2, None, mm(40)), "Cut off what is left before the flaw, and the flaw with it (40 mm)."),
        (
            CutDrop(4, "A", "1", "1", mm(2500), mm(435), is_foot_first=True),
            "Cut drop 1: 2500 mm, motif 435 mm from its foot, which comes first. Write",
        ),
        (
            OpenRoll(1, "A", "A", 1, Lot("A", ROLL, mm(435), is_foot_first=True), mm(435)),
            "Open roll A (10050 mm) and check: motif 435 mm from its end. It comes off foot first.",
        ),
        (
            OpenRoll(1, "B", "B", 1, OFFCUT, mm(95)),
            "Take offcut B (900 mm, from 0 mm to 300 mm of the strip's width) and check: motif 95 mm below its end.",
        ),
        (
            OpenRoll(1, "cut-out of 9", "cut-out of 9", 1, replace(OFFCUT, label="cut-out of 9", cut_from="9"), None),
            (
                "When drop 9 hangs and is trimmed, take up cut-out of 9 (900 mm, from 0 mm to 300 mm of the strip's "
                "width)."
            ),
        ),
        (
            OpenRoll(1, "A", "A", 1, Lot("A", mm(4000)), mm(95), is_open=True),
            "Take up roll A again (at least 4000 mm) and check: motif 95 mm below its end.",
        ),
    ],
)
def test_words_of_a_step(step: Step, words: str) -> None:
    """Flaws, bolts in pieces, rolls that come off foot first, offcuts and cut-outs, rolls opened before."""
    assert StepWords("mm", "640 mm").of(step).sentence.startswith(words)
