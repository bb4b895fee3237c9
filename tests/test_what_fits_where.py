"""The judge on what is cut from where: lengths that just fit, batches, and drops as what is given up makes them."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from msgspec.structs import replace

from cutplan.check.roll_rules.steps_given_up import (
    ListedStep,
    _is_near,
    _lie_on,
    _Said,
    figures_rule,
    hung_lower,
    named_in,
    turned,
    with_trims,
)
from cutplan.check.roll_rules.what_fits_where import (
    CutOut,
    StockLot,
    WantedDrop,
    with_cut_outs,
    with_foreign_told,
)
from cutplan.check.stated.document import FORMAT, read_plan
from cutplan.check.stated.echo import Wanted
from cutplan.check.stated.fields import Table
from cutplan.check.stated.match import Match
from cutplan.check.stated.sold import Sold

REPEAT = Fraction(600)
STRIP = Fraction(530)


def wanted(strip: Fraction | None) -> Wanted:
    """Return a job in a repeat of 600 mm, without drops and rolls of its own."""
    match = Match(REPEAT, Fraction(0))
    return Wanted(match, {}, {}, is_survey=False, is_reversed=False, sold=Sold(1, 1), strip=strip, first_sheet=None)


def drop(height: int, **more: Any) -> WantedDrop:  # noqa: ANN401 - any of its fields
    """Return a drop whose cut length is 100 mm more than its height, and its datum 50 mm below the cut top."""
    return WantedDrop("1", Fraction(height), Fraction(0), Fraction(50), Fraction(50), 1, **more)


def kept(length: int, motif: int | None = None, **more: Any) -> StockLot:  # noqa: ANN401 - any of its fields
    """Return an offcut of the strip's width."""
    return StockLot(
        "kept", Fraction(length), None if motif is None else Fraction(motif), 1, None, is_offcut=True, **more
    )


@pytest.mark.parametrize(
    ("offcut", "at_best"),
    [
        (kept(1200), False),  # a repeat may be lost before the print lies right
        (kept(600), True),
        (kept(600, motif=50), False),
        (kept(630, motif=80), False),
    ],
)
def test_offcut_holds_what_is_as_long_as_it_and_no_millimetre_more(offcut: StockLot, at_best: bool) -> None:  # noqa: FBT001 - a case
    """600 mm are cut for a height of 500 mm."""
    assert offcut.can_hold(drop(500), REPEAT, at_best=at_best)
    assert not offcut.can_hold(drop(501), REPEAT, at_best=at_best)


def test_unmeasured_offcut_holds_what_is_shorter_by_a_repeat_unless_the_best_case_is_asked_for() -> None:
    """That asks for it by name."""
    assert not kept(1199).can_hold(drop(500), REPEAT)


@pytest.mark.parametrize(
    ("paper", "batch", "may"),
    [
        (kept(900, cut_from="2"), "1", True),
        (kept(900, cut_from="2", batch="1"), "1", True),
        (kept(900, cut_from="2", batch="1"), None, True),
        (kept(900, cut_from="2", batch="1"), "2", False),
        (kept(900, batch="1"), "1", True),
        (kept(900, batch="1"), None, True),
        (kept(900, batch="1"), "2", False),
        (kept(900, batch="1", is_foreign=True), None, False),
        (kept(900, batch="1", is_foreign=True), "1", True),
    ],
)
def test_paper_gives_drops_of_its_batch_and_of_any_unless_no_roll_is_of_it(
    paper: StockLot, batch: str | None, *, may: bool
) -> None:
    """What falls out of a drop whose batch is not told may be of any."""
    assert paper.may_give(drop(500, batch=batch)) is may


def test_only_a_cut_out_must_hang_the_way_of_its_drop() -> None:
    """Off a roll, or an offcut kept, a drop is turned as it likes."""
    assert kept(900).may_give(drop(500, is_turned=True))
    assert not kept(900, cut_from="2", is_turned=False).may_give(drop(500, is_turned=True))


def test_offcut_is_foreign_where_every_roll_tells_its_batch_and_none_is_of_its() -> None:
    """A roll that tells none may be of it."""
    roll = StockLot("A", Fraction(5000), None, 1, None, batch="1")
    offcut = kept(900, batch="2")

    def is_foreign(*rolls: StockLot) -> bool:
        return with_foreign_told({lot.label: lot for lot in (*rolls, offcut)})["kept"].is_foreign

    assert is_foreign(roll)
    assert not is_foreign(roll, StockLot("B", Fraction(5000), None, 1, None))
    assert not is_foreign()
    assert not offcut.is_foreign


def test_what_falls_out_of_a_drop_is_of_its_batch() -> None:
    """And of any where the drop is."""
    window = CutOut("window", Fraction(900), Fraction(0), Fraction(0), STRIP)

    assert with_cut_outs({}, {"1": drop(2000, batch="2", cut_outs=(window,))}, STRIP)["window"].batch == "2"
    assert with_cut_outs({}, {"1": drop(2000, cut_outs=(window,))}, STRIP)["window"].batch == ""


def test_part_of_a_picture_reaches_no_further_than_it_unless_that_is_told() -> None:
    """Only the pieces of a room do."""
    assert not any(drop(2000).reach)


# Drops as what is given up makes them.


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("2", ["2"]),
        ("1 to 2", ["1", "2"]),
        ("1 to 3", ["1", "2", "3"]),
        ("3, 1 to 2", ["3", "1", "2"]),
        ("2 to 2", None),
        ("3 to 1", None),
        ("2 to 4", None),
    ],
)
def test_run_of_drops_goes_from_a_lower_number_to_a_higher(text: str, named: list[str] | None) -> None:
    """And all of it is there."""
    assert named_in(text, {label: drop(2000) for label in ("1", "2", "3")}) == named


WINDOW = CutOut("window", Fraction(900), Fraction(250), Fraction(100), Fraction(530))
"""What falls out of a drop, from 100 mm to its right edge."""
SLIT_OFF = CutOut("slit off", Fraction(2100), Fraction(50), Fraction(400), Fraction(530))
"""What is slit off beside a drop of 2000 mm, as long as it is cut."""


def test_print_that_hangs_lower_takes_what_falls_out_with_it() -> None:
    """200 mm lower in a repeat of 600 mm: from 0 to 200 mm, and from 250 to 450 mm."""
    lower = hung_lower(drop(2000, cut_outs=(WINDOW,)), Fraction(200), wanted(STRIP))

    assert lower.first_motif == 200
    assert lower.cut_outs[0].first_motif == 450


def test_less_trim_shortens_what_is_slit_off_beside_a_drop_and_nothing_else() -> None:
    """30 mm less at the top bring its first motif from 50 to 20 mm; a window stays as it is."""
    shorter = with_trims(drop(2000, cut_outs=(WINDOW, SLIT_OFF)), Fraction(20), Fraction(40), wanted(STRIP))

    assert shorter.cut_length == 2060
    assert shorter.cut_outs == (
        WINDOW,
        CutOut("slit off", Fraction(2060), Fraction(20), Fraction(400), Fraction(530)),
    )


def test_drop_head_down_shows_its_other_side_and_so_does_what_falls_out_of_it() -> None:
    """The window lies 0 to 430 mm then; its motif, 250 mm below its head, lies 650 mm below the other end: 50 mm."""
    other = turned(drop(2000, left=Fraction(30), right=STRIP, cut_outs=(WINDOW,)), wanted(STRIP))

    assert other.left == 0
    assert other.right == 500
    assert other.first_motif == 2000 % 600
    assert other.cut_outs == (CutOut("window", Fraction(900), Fraction(50), Fraction(0), Fraction(430)),)


def test_drop_head_down_keeps_its_sides_where_nobody_knows_how_wide_the_strip_is() -> None:
    """Then nothing falls out of it either that could be told."""
    assert turned(drop(2000, left=Fraction(30), right=STRIP), wanted(None)).left == 30


@pytest.mark.parametrize(
    ("top", "foot", "is_less"), [(20, 50, True), (50, 20, True), (50, 50, True), (20, 60, False), (60, 20, False)]
)
def test_trims_given_up_are_less_at_one_end_and_more_at_neither(top: int, foot: int, *, is_less: bool) -> None:
    """Of 50 mm each."""
    old, made = drop(2000), with_trims(drop(2000), Fraction(top), Fraction(foot), wanted(STRIP))
    words = f"cut with a trim of {top} mm at the top and {foot} mm at the foot"
    step = ListedStep("trim", words, needed=0, least=0, other=0, plan=None, other_plan=None)
    said = _Said(step, replace(wanted(STRIP), drops={"1": old}), {"1": made}, None)

    assert (said.trimmed() == {"1": made}) is is_less


def test_length_in_words_is_one_that_is_less_than_a_millimetre_off() -> None:
    """A tape is read no closer; and what is no length is near none."""
    assert _is_near("1000.5 mm", Fraction(1000))
    assert not _is_near("1001 mm", Fraction(1000))
    assert not _is_near("soon", Fraction(0))


def test_pieces_on_their_side_lie_widest_first_so_many_side_by_side() -> None:
    """Two side by side, those of 300 and 200 mm on one length and that of 100 mm on another; or each on its own."""
    wide, narrow = Fraction(300), Fraction(100)

    assert _lie_on([narrow, wide, Fraction(200)], [narrow, wide], 2)
    assert _lie_on([narrow, wide], [narrow, wide], 1)
    assert not _lie_on([narrow, wide], [narrow, wide - 1], 1)
    assert not _lie_on([wide], [wide], 0)


def test_plan_of_a_step_without_a_proof_proves_no_bound() -> None:
    """So none may be told of it."""
    nothing = {"format": FORMAT, "status": "unknown", "rolls_needed": 0, "lower_bound": 0, "rolls": []}
    plan = read_plan(Table("", nothing, []))

    assert [*figures_rule(plan, wanted(STRIP), 0, 0)] == []
    assert [fault.message for fault in figures_rule(plan, wanted(STRIP), 0, 1)] == [
        "the bound is said to be 1, that of the plan is 0"
    ]
