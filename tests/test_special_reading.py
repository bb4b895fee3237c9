"""Reading flaws, bolts in pieces, foot-first rolls, offcuts and cut-outs; and every fault of theirs, located."""

from __future__ import annotations

from fractions import Fraction

import pytest

from cutplan.faults import ScenarioError
from cutplan.job.drops import CutOut
from cutplan.paper.stock import Lot, Stretch
from cutplan.scenario.read import parse_scenario

PAPER = 'units = "mm"\n[paper]\nroll_length = 10000\nroll_width = 530\nmatch = "64 cm"\n'
DROP = '[[drop]]\nlabel = "1"\nheight = 2400\nfirst_motif = 95\n'
ROLL = '[[roll]]\nlabel = "A"\nfirst_motif = 130\n'
BARE_ROLL = '[[roll]]\nlabel = "A"\n'
OFFCUT = '[[offcut]]\nlabel = "K"\nlength = 900\nfirst_motif = 20\n'


def mm(number: int) -> Fraction:
    """Return whole millimetres as a length."""
    return Fraction(number)


def lot_of(text: str, label: str) -> Lot:
    """Return one roll or offcut of a scenario with this text below its paper."""
    return parse_scenario(PAPER + text + DROP, "job.toml").job.lot(label)


def one_fault(text: str) -> str:
    """Return the one fault of a scenario with this text below its paper, from its key on."""
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(PAPER + text, "job.toml")
    fault, count = str(caught.value).splitlines()

    assert count == "1 fault in job.toml; nothing was planned"
    return fault.removeprefix("job.toml:").split(" ", 1)[1]


def test_flaws_leave_stretches_whose_print_goes_on() -> None:
    """Datums at 130 and every 640: the first beyond a flaw that ends at 5000 is at 5250, so 250 below."""
    roll = lot_of(ROLL + "flaws = [{from = 4900, to = 5000}]\n", "A")

    assert roll.parts == (Stretch(mm(0), mm(4900), mm(130)), Stretch(mm(5000), mm(5000), mm(250)))


def test_pieces_of_a_bolt_follow_one_another_each_with_its_own_print() -> None:
    """A piece without first_motif is sealed; the roll is as long as its pieces."""
    roll = lot_of(BARE_ROLL + "pieces = [{length = 4000, first_motif = 10}, {length = 5500}]\n", "A")

    assert roll.parts == (Stretch(mm(0), mm(4000), mm(10)), Stretch(mm(4000), mm(5500), None))
    assert (roll.length, roll.first_motif, roll.is_sealed) == (mm(9500), mm(10), True)


def test_a_roll_may_come_off_foot_first() -> None:
    """Said by one key."""
    assert lot_of(ROLL + "foot_first = true\n", "A").is_foot_first


def test_offcuts_are_stock_beside_rolls_bought_as_needed() -> None:
    """Left out, right is the strip's own edge."""
    job = parse_scenario(PAPER + OFFCUT + 'left = 100\nbatch = "7"\n' + DROP, "job.toml").job

    assert job.lots == (
        Lot("roll", mm(10000), count=None),
        Lot("K", mm(900), mm(20), batch="7", left=mm(100), right=mm(530), is_offcut=True),
    )


def test_an_offcut_of_the_full_width_has_no_edges_of_its_own() -> None:
    """From 0 to the strip's width, or nothing said: the same paper."""
    assert lot_of(OFFCUT + "left = 0\nright = 530\n", "K") == lot_of(OFFCUT, "K")


def test_cut_outs_take_their_print_from_the_drop() -> None:
    """First motif 95 below the top: the next one, at 735, is 635 below a cut-out's edge at 100."""
    text = DROP + "left = 300\ncut_outs = [{from_top = 100, length = 2000, left = 350}, {from_top = 0, length = 50}]\n"
    (drop,) = parse_scenario(PAPER + text, "job.toml").job.drops

    assert (drop.left, drop.right) == (mm(300), mm(530))
    assert drop.cut_outs == (
        CutOut("cut-out 1 of 1", mm(2000), mm(635), mm(350), mm(530)),
        CutOut("cut-out 2 of 1", mm(50), mm(95), mm(0), mm(530)),
    )


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        (ROLL + "flaws = [{from = 9000, to = 10020}]\n" + DROP, ('roll["A"].flaws[1].to: lies 20 mm beyond the end '
         "of the roll, which is 10000 mm long; measure the flaw from the outer end again")),
        (ROLL + "flaws = [{from = 900, to = 800}]\n" + DROP, ('roll["A"].flaws[1].to: must lie beyond from, which is '
         "900 mm, not at 800 mm; measure both from the roll's outer end")),
        (ROLL + "flaws = [{from = 0, to = 800}]\n" + DROP, ('roll["A"].flaws[1].from: is the end of the roll: cut the '
         "flaw off, measure the roll again, and leave it out")),
        (ROLL + "flaws = [{from = 700, to = 800}, {from = 500, to = 710}]\n" + DROP, ('roll["A"].flaws[1].from: lies '
         "within the flaw before it, which ends at 710 mm; write them as one flaw")),
        (BARE_ROLL + "flaws = [{from = 700, to = 800}]\n" + DROP, ('roll["A"].flaws: need a measured roll: open it and '
         "give its first_motif")),
        (ROLL + "count = 2\nflaws = [{from = 700, to = 800}]\n" + DROP, ('roll["A"].flaws: are of one roll, and count '
         "says 2; give that roll a [[roll]] of its own")),
        (BARE_ROLL + "pieces = [{length = 6000}, {length = 4030}]\n" + DROP, ('roll["A"].pieces: are 10030 mm '
         "together, 30 mm more than the roll's length of 10000 mm; measure them again, or give the roll's length")),
        (ROLL + "pieces = [{length = 6000}]\n" + DROP, ('roll["A"].first_motif: stands beside pieces; give each piece '
         "its own first_motif, and leave it out here")),
        (BARE_ROLL + "pieces = []\n" + DROP, ('roll["A"].pieces: is an empty list; leave it out for a roll that is '
         "one piece")),
        (BARE_ROLL + "pieces = [{length = 6000, first_motif = 640}]\n" + DROP, ('roll["A"].pieces[1].first_motif: must '
         "be less than the repeat of 640 mm, not 640; the first motif is then at 0 mm")),
        (ROLL + "pieces = [{length = 6000}]\nflaws = [{from = 1, to = 2}]\n" + DROP, ('roll["A"].flaws: stand beside '
         "pieces; leave the flaws out of the pieces' lengths, as pieces of their own")),
        (ROLL + 'foot_first = "yes"\n' + DROP, 'roll["A"].foot_first: must be true or false without quotes, not "yes"'),
        (OFFCUT + "right = 540\n" + DROP, ('offcut["K"].right: lies 10 mm beyond the strip, which is 530 mm wide; '
         "measure from the strip's left edge")),
        (OFFCUT + "left = 300\nright = 200\n" + DROP, ('offcut["K"].right: must lie to the right of left, which is '
         "300 mm, not at 200 mm; measure both from the strip's left edge")),
        (OFFCUT + "left = 530\n" + DROP, ('offcut["K"].left: must lie to the right of left, which is '
         "530 mm, not at 530 mm; measure both from the strip's left edge")),
        (OFFCUT.replace("20", "700") + DROP, ('offcut["K"].first_motif: must be less than the repeat of 640 mm, not '
         "700; the first motif is then at 60 mm")),
        (ROLL + OFFCUT.replace("K", "A") + DROP, ('offcut["A"].label: "A" is used by an earlier entry too; give each '
         "its own")),
        ('[[roll]]\nlabel = "A"\ncount = 3\n' + OFFCUT.replace("K", "A-2") + DROP, ('offcut["A-2"].label: "A-2" is '
         'also number 2 of the 3 rolls "A"; call it something else')),
        (OFFCUT.replace("K", "cut-out of 1") + DROP + "cut_outs = [{from_top = 9, length = 9}]\n",
         ('offcut["cut-out of 1"].label: "cut-out of 1" is what a cut-out of this job will be called; call it '
         "otherwise")),
        (DROP + "cut_outs = [{from_top = 500, length = 2000}]\n", ('drop["1"].cut_outs[1].length: reaches 100 mm below '
         "the drop's finished foot; measure from its finished top")),
        (DROP + "count = 2\ncut_outs = [{from_top = 9, length = 9}]\n", ('drop["1"].cut_outs: are of one drop, and '
         "count says 2; give that drop an entry of its own")),
        (DROP + "right = 531\n", ('drop["1"].right: lies 1 mm beyond the strip, which is 530 mm wide; '
         "measure from the strip's left edge")),
    ],
    ids=lambda text: text[-60:],
)  # fmt: skip
def test_a_fault_of_special_stock_is_reported_once_with_its_key_and_its_remedy(text: str, fault: str) -> None:
    """Each broken rule gives one message and draws no others after it."""
    assert one_fault(text) == fault


def test_without_the_strips_width_both_edges_must_be_given() -> None:
    """Nobody can say how far an offcut reaches when only its left edge is known and not how wide the strip is."""
    text = PAPER.replace("roll_width = 530\n", "") + OFFCUT + "left = 300\n" + DROP

    with pytest.raises(ScenarioError) as caught:
        parse_scenario(text, "job.toml")

    assert 'offcut["K"].right: is missing; add it, or the roll_width under [paper]' in str(caught.value)
