"""The record where a bound is just met: rolls with flaws stretch by stretch, and what changed in a scenario."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

import pytest
from msgspec.structs import replace

from cutplan.paper.pattern import FREE, Pattern
from cutplan.paper.stock import Lot, Stretch
from cutplan.progress.corrected_survey import MOST_LISTED, changes
from cutplan.progress.joined import Joined, joined_from
from cutplan.progress.plan_in_use import StockLot
from cutplan.progress.roll_now import RollAtTable, roll_at_table
from cutplan.progress.state import NotPossibleError
from hand_plans import drop, job
from small_work import free_work

MM = Fraction
STRAIGHT: Final = Pattern(MM(600), MM(0))


def roll(first_motif: int | None = 100) -> RollAtTable:
    """Return a roll of 5000 that nobody has opened."""
    return roll_at_table("A", StockLot(Lot("A", MM(5000), None if first_motif is None else MM(first_motif)), "A"))


def twice_flawed() -> RollAtTable:
    """Return the roll with flaws from 1000 to 1050 and from 2000 to 2100."""
    return roll().flawed(STRAIGHT, MM(2000), MM(100)).flawed(STRAIGHT, MM(1000), MM(50))


# Rolls with flaws


def test_print_goes_on_through_flaws() -> None:
    """The motif 100 from the end: 950 further on, at 1050, the next is 250 beyond; at 2100 it is 400 beyond."""
    assert twice_flawed().ahead == (Stretch(MM(1050), MM(950), MM(250)), Stretch(MM(2100), MM(2900), MM(400)))


def test_next_stretch_is_the_one_behind_the_first_flaw() -> None:
    """It ends where the second flaw begins, at 2000, and the last stretch is still ahead."""
    beyond = twice_flawed().next_stretch()

    assert (beyond.left, beyond.until, beyond.first_motif) == (MM(950), MM(2000), MM(250))
    assert beyond.ahead == (Stretch(MM(2100), MM(2900), MM(400)),)


def test_flaw_up_to_the_end_leaves_no_stretch_beyond_it() -> None:
    """From 4000 to 5000, or to 4999."""
    assert roll().flawed(STRAIGHT, MM(4000), MM(1000)).ahead == ()
    assert [stretch.length for stretch in roll().flawed(STRAIGHT, MM(4000), MM(999)).ahead] == [1]


@pytest.mark.parametrize("motif", [250, 7])
def test_stretches_of_which_the_print_does_not_go_on_are_pieces_end_to_end(motif: int) -> None:
    """A flaw of 50, through which the print goes on, is paper between two stretches; else they are two pieces."""
    flawed = twice_flawed()
    first, last = flawed.ahead
    lot = replace(flawed, ahead=(replace(first, first_motif=MM(motif)), last)).as_lot(STRAIGHT, None)

    assert lot is not None
    assert [stretch.start for stretch in lot.stretches] == ([0, 1050, 2100] if motif == 250 else [0, 1000, 1950])


def test_flaw_of_plain_paper_lies_between_two_stretches() -> None:
    """Without a print nothing has to go on; what is left of one millimetre is a stretch too."""
    flawed = roll(None).flawed(FREE, MM(1000), MM(50))
    lots = [flawed.as_lot(FREE, None), flawed.cut_off(FREE, MM(999)).as_lot(FREE, None)]

    starts = [[stretch.start for stretch in lot.stretches] for lot in lots if lot is not None]

    assert starts == [[0, 1050], [0, 51]]


def test_motif_measured_tells_nothing_of_a_piece_that_begins_where_this_one_ends() -> None:
    """Nor of what lies behind a flaw of that piece: the print of each is its own."""
    pieces = Stretch(MM(1000), MM(500), MM(9)), Stretch(MM(1600), MM(900), MM(11))
    bolt = replace(twice_flawed(), ahead=pieces)

    assert bolt.measured(STRAIGHT, MM(1000), MM(33)).ahead == pieces


# What changed in a scenario


def test_what_changed_is_told_entry_by_entry() -> None:
    """Entries are found by their labels, or names, or else by their places from 1."""
    before: dict[str, object] = {
        "units": "mm",
        "room": {"closes": True},
        "wall": [{"width": 3000}, {"width": 2000}],
        "drop": [{"label": "1", "height": 2400}, {"label": "2", "height": 2000}],
        "trim": {"top": 50, "bottom": 40},
    }
    now: dict[str, object] = {
        "units": "mm",
        "room": True,
        "wall": [{"width": 3000}, {"width": 2001}],
        "drop": [{"label": "2", "height": 2000}, {"label": "1", "height": 2410}],
        "cutting": {"open_rolls": 1},
    }

    assert changes(before, now) == [
        "room: was {closes = true}, is now true",
        'wall["2"].width: was 2000, is now 2001',
        'drop["1"].height: was 2400, is now 2410',
        "drop: the entries are in another order",
        "trim: was {top = 50, bottom = 40}, and is gone",
        "cutting: is new: {open_rolls = 1}",
    ]


def test_another_entry_is_no_other_order() -> None:
    """One drop is gone, and one is new."""
    assert changes({"drop": [{"label": "1"}]}, {"drop": [{"label": "2"}]}) == [
        'drop["1"]: was {label = "1"}, and is gone',
        'drop["2"]: is new: {label = "2"}',
    ]


@pytest.mark.parametrize(("more", "last"), [(0, None), (1, "and 1 more"), (2, "and 2 more")])
def test_of_many_changes_so_many_are_listed_and_the_rest_counted(more: int, last: str | None) -> None:
    """Each number is one more than it was."""
    before = {str(number): number for number in range(MOST_LISTED + more)}
    told = changes(before, {key: number + 1 for key, number in before.items()})

    assert told[MOST_LISTED:] == ([] if last is None else [last])
    assert told[0] == "0: was 0, is now 1"


# A drop joined of two pieces


def joined(*rolls: Lot, pattern: Pattern = STRAIGHT, batch: str | None = None) -> Joined | None:
    """Return a drop of 2400, its motif 100 below its top and 150 below its cut end, joined of these rolls."""
    wanted = replace(drop("1", 2400, 0 if pattern.is_free else 100), batch=batch)
    return joined_from(job([wanted], pattern, rolls), {lot.label: () for lot in rolls}, wanted)


def end(label: str, length: int, first_motif: int | None) -> Lot:
    """Return what is left of a roll."""
    return Lot(label, MM(length), None if first_motif is None else MM(first_motif))


def test_longest_end_gives_the_upper_piece_as_low_as_it_reaches() -> None:
    """A: 50 off, then 50 + 1380 + 20. B: its piece begins 520 above a motif, 380 of B off, 2400 - 1380 + 50 are 1070.

    Where B is 1 mm short of that, it gives the upper piece: 150 off, 50 + 1229 + 20; A: 129 off, then 1221.
    """
    assert joined(end("A", 1500, 200), end("B", 1450, 300)) == Joined("1", "A", MM(1450), "B", MM(1070))
    assert joined(end("A", 1500, 200), end("B", 1449, 300)) == Joined("1", "B", MM(1299), "A", MM(1221))


def test_neither_part_is_shorter_than_300() -> None:
    """50 + 300 + 20 above the joint, with 349 off B and 2150 below; or, without a print, 2100 above and 300 + 50."""
    assert joined(end("A", 370, 150), end("B", 2499, 149)) == Joined("1", "A", MM(370), "B", MM(2150))
    assert joined(end("A", 369, 150), end("B", 2499, 149)) is None
    plain = end("A", 3000, None)
    assert joined(plain, end("B", 350, None), pattern=FREE) == Joined("1", "A", MM(2170), "B", MM(350))
    assert joined(plain, end("B", 349, None), pattern=FREE) is None


@pytest.mark.parametrize(
    "rolls",
    [
        (end("A", 5000, 200),),
        (end("A", 1500, 200), replace(end("B", 1450, 300), is_foot_first=True)),
        (end("A", 1500, 200), replace(end("B", 1450, 300), parts=(Stretch(MM(0), MM(1450), MM(300)),) * 2)),
        (end("A", 1500, 200), end("B", 5000, None)),
        (end("A", 1500, 200), replace(end("B", 1450, 300), batch="22")),
    ],
    ids=["one roll", "foot first", "of two stretches", "print not known", "of another batch"],
)
def test_what_is_no_second_end_for_a_joined_drop(rolls: tuple[Lot, ...]) -> None:
    """Both parts hang the same way up, each in one piece, of known print and of the batch of the wall."""
    told = [replace(lot, batch=lot.batch or "11") for lot in rolls]

    assert joined(*told, batch="11") is None


# How rolls are called


@pytest.mark.parametrize("name", ["A", "A-0", "A-4", "A-03", "A-٣", "A--1", "A-2-3", "B-1", "A-" + "9" * 5000])
def test_three_rolls_of_a_lot_are_called_by_their_numbers_and_nothing_else(name: str) -> None:
    """A-1, A-2 and A-3; a name of 5000 digits is none either."""
    state = free_work([drop("1", 2400)], (Lot("A", MM(5000), count=3),), [("A", 1, "1")])

    assert [state.roll(f"A-{number}").left for number in (1, 2, 3)] == [5000] * 3
    with pytest.raises(NotPossibleError, match=r"there is no roll 'A|there is no roll 'B"):
        state.roll(name)
