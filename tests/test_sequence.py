from __future__ import annotations

from fractions import Fraction

from msgspec.structs import replace

from cutplan.job.drops import CutOut
from cutplan.paper.pattern import FREE, Pattern
from cutplan.paper.stock import Lot, Stretch
from cutplan.plan.plan import Cut, RollLayout
from cutplan.table.sequence import sequence_of
from cutplan.table.steps import CheckMatch, CutDrop, CutOff, NextStretch, OpenRoll, Rest
from hand_plans import HALF_DROP, ROLL, SEALED, drop, free_match_wall, half_drop_wall, job, packed


def mm(number: int) -> Fraction:
    """Return a place on a roll."""
    return Fraction(number)


def test_steps_of_a_half_drop_wall() -> None:
    """Lead-in by the print, drop, match loss, drop; the other roll in between; numbered without gaps."""
    sequence = sequence_of(half_drop_wall())

    # Motifs below the cut top: 50 + 95 = 145 and 50 + 415 = 465. Loss: 4 × 640 - 2500 = 60.
    length, loss, odd, even = Fraction(2500), Fraction(60), Fraction(145), Fraction(465)
    assert sequence.steps == (
        OpenRoll(1, "roll-1", "roll-1", 1, SEALED[0], None),
        CutOff(2, "roll-1", None, odd, is_lead_in=True),
        CutDrop(3, "roll-1", "1", "1", length, odd),
        OpenRoll(4, "roll-2", "roll-2", 1, SEALED[0], None),
        CutOff(5, "roll-2", None, even, is_lead_in=True),
        CutDrop(6, "roll-2", "2", "2", length, even),
        CheckMatch(7, "roll-2", left="1", right="2"),
        CutOff(8, "roll-1", loss, odd, is_lead_in=False),
        CutDrop(9, "roll-1", "3", "3", length, odd),
        CutOff(10, "roll-2", loss, even, is_lead_in=False),
        CutDrop(11, "roll-2", "4", "4", length, even),
    )


def test_steps_of_a_free_match_have_no_motif_and_nothing_is_cut_off() -> None:
    """Nothing is lost before or between drops of a free match, and there is no match to check."""
    wall = free_match_wall()
    steps = sequence_of(wall).steps

    assert steps == (
        OpenRoll(1, "A", "A", 1, wall.job.lots[0], None),
        CutDrop(2, "A", "1", "1", Fraction(2500), None),
        CutDrop(3, "A", "2 over door", "2 over door", Fraction(500), None),
        CutDrop(4, "A", "3", "3", Fraction(2500), None),
    )


def test_lead_in_of_a_measured_roll_is_a_length() -> None:
    """A motif at 130 and wanted 145 below the cut: the next, at 770, leaves 625 mm to cut off."""
    lots = (Lot("A", ROLL, Fraction(130)),)
    steps = sequence_of(packed(job([drop("1", 2400, 95)], lots=lots), [("A", 1, "1")])).steps

    assert steps[0] == OpenRoll(1, "A", "A", 1, lots[0], Fraction(130))
    assert steps[1] == CutOff(2, "A", Fraction(625), Fraction(145), is_lead_in=True)


def test_no_step_where_nothing_is_cut_off() -> None:
    """A drop of four whole repeats loses nothing to the next, nor does a roll that begins where it should."""
    # 2460 + 100 = 4 × 640; motif at 145 where 50 + 95 = 145 is wanted.
    lots = (Lot("A", ROLL, Fraction(145)),)
    drops = [drop("1", 2460, 95), drop("2", 2460, 95)]
    steps = sequence_of(packed(job(drops, lots=lots), [("A", 1, "12")])).steps

    assert [type(step) for step in steps] == [OpenRoll, CutDrop, CutDrop]


def test_motif_below_the_cut_end_is_within_the_repeat() -> None:
    """A first motif of 600 below 50 mm of trim shows another 10 mm below the cut end: 650 - 640."""
    steps = sequence_of(packed(job([drop("1", 2400, 600)]), [("roll", 1, "1")])).steps

    assert steps[1] == CutOff(2, "roll-1", None, Fraction(10), is_lead_in=True)


def test_thirds_of_a_repeat_stay_exact() -> None:
    """Match loss between the first two columns of a third-drop: (145 - 2500 - 145 - 640/3) mod 640."""
    third = Pattern(Fraction(640), Fraction(640, 3))
    drops = [drop("1", 2400, 95), drop("2", 2400, 95 + Fraction(640, 3))]
    steps = sequence_of(packed(job(drops, third), [("roll", 1, "12")])).steps

    # -2500 - 213 1/3 + 5 × 640 = 486 2/3
    assert steps[3] == CutOff(4, "roll-1", Fraction(1460, 3), 145 + Fraction(640, 3), is_lead_in=False)


def test_pieces_alike_are_numbered_as_they_are_cut() -> None:
    """Three pieces of one drop on two rolls are 1, 2 and 3 of 3 in the order of cutting."""
    plan = packed(job([drop("full", 2400, 95, count=3)]), [("roll", 1, ["full"] * 2), ("roll", 1, ["full"])])

    assert sequence_of(plan).pieces == (("full (1 of 3)", "full (2 of 3)"), ("full (3 of 3)",))


def test_rolls_cut_alike_are_one_set_of_steps() -> None:
    """37 rolls of three drops take one opening and three cuts, with the plain label on every back."""
    plan = packed(job([drop("full", 2460, 95, count=111)]), [("roll", 37, ["full"] * 3)])
    sequence = sequence_of(plan)

    assert sequence.steps[0] == OpenRoll(1, "roll-1", "roll-37", 37, SEALED[0], None)
    assert sequence.pieces == (("full", "full", "full"),)
    assert sum(isinstance(step, CutDrop) for step in sequence.steps) == 3


def test_match_is_checked_on_the_first_two_drops_whose_prints_meet() -> None:
    """Two columns apart in a half-drop the prints are level and do not meet: the check waits for column 2."""
    drops = [drop("1", 2400, 95), drop("3", 2400, 95), drop("2", 2400, 415)]
    steps = sequence_of(packed(job(drops), [("roll", 1, "132")])).steps

    assert [step for step in steps if isinstance(step, CheckMatch)] == [CheckMatch(8, "roll-1", "1", "2")]
    assert isinstance(steps[6], CutDrop)


def test_check_of_a_third_drop_says_which_drop_lies_to_the_left() -> None:
    """Where the print steps down to the right by 640/3, the drop with the lower print lies to the right."""
    third = Pattern(Fraction(640), Fraction(640, 3))
    drops = [drop("2", 2400, 95 + Fraction(640, 3)), drop("1", 2400, 95)]
    steps = sequence_of(packed(job(drops, third), [("roll", 1, "21")])).steps

    assert CheckMatch(6, "roll-1", left="1", right="2") in steps


def test_what_is_left_of_a_sealed_roll_is_at_least_that_much() -> None:
    """Two drops and a loss after the worst lead-in: 10050 - 640 - 2 × 2500 - 60 = 4350 mm are certain."""
    left = sequence_of(half_drop_wall()).left[0]

    assert left.roll == "roll-1"
    assert left.is_at_least
    assert left.rests[0].length == left.slack == 4350


def test_first_motif_of_what_is_left() -> None:
    """A drop of 2500 with its motif 145 below its top leaves the next (145 - 2500) mod 640 = 205 below it."""
    assert sequence_of(half_drop_wall()).left[0].rests[0].first_motif == 205


def test_roll_that_a_short_one_could_not_replace_is_marked() -> None:
    """EN 233 clause 5.2.2 allows 1.5 %: of 5600 mm that is 84 mm, and 100 mm of slack cover it."""
    left = sequence_of(free_match_wall()).left[0]
    assert left.slack == 100
    assert not left.needs_full_length

    # Slack of 83 mm on the same roll is less than 84 mm.
    lots = (Lot("A", Fraction(5600), Fraction(0)),)
    plan = packed(job([drop("1", 5417)], FREE, lots), [("A", 1, "1")])
    tight = sequence_of(plan).left[0]
    assert tight.slack == 83
    assert tight.needs_full_length


def test_half_drop_has_no_handedness_in_its_check() -> None:
    """Lower and higher by half a repeat are the same print, so either drop may lie on the left [derived]."""
    assert HALF_DROP.first_motif(1, Fraction(95)) == HALF_DROP.first_motif(-1, Fraction(95)) == 415


def test_roll_with_a_flaw_is_cut_on_both_sides_of_it() -> None:
    """Flaw from 3000 to 3100 mm: 500 mm are left before it, and the print goes on beyond it."""
    # Motifs at 145, 785 … on the roll; beyond the flaw the next is at 3345 = 145 + 5 × 640, 245 below 3100.
    parts = (
        Stretch(Fraction(0), Fraction(3000), Fraction(145)),
        Stretch(Fraction(3100), ROLL - 3100, Fraction(245)),
    )
    lot = Lot("A", ROLL, Fraction(145), parts=parts)
    # 0 + 145 and 3200 + 145 are motifs.
    layout = RollLayout("A", 1, 1, (Cut("1", mm(0), mm(2500)), Cut("2", mm(3200), mm(5700))))
    plan = replace(
        half_drop_wall(), job=job([drop("1", 2400, 95), drop("2", 2400, 95)], lots=(lot,)), layouts=(layout,)
    )
    sequence = sequence_of(plan)

    assert sequence.steps == (
        OpenRoll(1, "A", "A", 1, lot, Fraction(145)),
        CutDrop(2, "A", "1", "1", Fraction(2500), Fraction(145)),
        NextStretch(3, "A", 2, Fraction(500), Fraction(100)),
        CutOff(4, "A", Fraction(100), Fraction(145), is_lead_in=True),
        CutDrop(5, "A", "2", "2", Fraction(2500), Fraction(145)),
    )
    # (145 - 2500) mod 640 = 205 below either cut.
    assert sequence.left[0].rests == (Rest(1, Fraction(500), Fraction(205)), Rest(2, Fraction(4350), Fraction(205)))


def test_roll_that_comes_off_foot_first() -> None:
    """A drop of 2500 with a motif 145 below its top has one (2500 - 145) mod 640 = 435 above its foot."""
    lot = Lot("A", ROLL, Fraction(435), is_foot_first=True)
    layout = RollLayout("A", 1, 1, (Cut("1", mm(0), mm(2500)),))
    plan = replace(half_drop_wall(), job=job([drop("1", 2400, 95)], lots=(lot,)), layouts=(layout,))
    sequence = sequence_of(plan)

    cut = CutDrop(2, "A", "1", "1", Fraction(2500), Fraction(435), is_foot_first=True)
    assert sequence.steps == (OpenRoll(1, "A", "A", 1, lot, Fraction(435)), cut)
    # Up the print from the top of drop 1: the next motif is a repeat above the one 145 below it, 640 - 145.
    assert sequence.left[0].rests == (Rest(1, Fraction(7550), Fraction(495)),)


def test_cut_out_is_taken_when_its_drop_has_been_cut() -> None:
    """Drop 2 comes out of what falls from drop 1 over the door, so no roll is opened for it."""
    out = CutOut("cut-out of 1", Fraction(1900), Fraction(145), Fraction(100), Fraction(480))
    first = replace(drop("1", 2400, 95), cut_outs=(out,))
    second = replace(drop("2", 300, 95), left=Fraction(100), right=Fraction(480))
    wanted = job([first, second])
    layouts = (
        RollLayout("cut-out of 1", 1, 1, (Cut("2", mm(0), mm(400)),)),
        RollLayout("roll", 1, 1, (Cut("1", mm(640), mm(3140)),)),
    )
    plan = replace(half_drop_wall(), job=wanted, layouts=layouts)
    sequence = sequence_of(plan)

    assert [step.drop for step in sequence.steps if isinstance(step, CutDrop)] == ["1", "2"]
    assert OpenRoll(4, out.label, out.label, 1, wanted.offcuts[0], Fraction(145)) in sequence.steps
    assert not sequence.left[1].needs_full_length
