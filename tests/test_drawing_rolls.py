"""Pictures of rolls and of the table, measured against plans made by hand."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

import pytest
from msgspec.structs import replace

from cutplan.paper.pattern import FREE
from cutplan.paper.stock import Lot, Stretch
from cutplan.render.drawing.picture import stacked
from cutplan.render.drawing.roll_picture import roll_pictures
from cutplan.render.drawing.table_picture import table_pictures
from cutplan.table.sequence import sequence_of
from hand_plans import HALF_DROP, ROLL, drop, free_match_wall, half_drop_wall, job, packed
from pictures import SVG, boxes, drawn, texts

if TYPE_CHECKING:
    from cutplan.plan.plan import Plan
    from cutplan.render.drawing.picture import Picture

PER_MM: Final = 546 / 10050
"""Scale of a roll of 10.05 m: it is drawn 546 units long."""


def rolls_of(plan: Plan, units: str = "mm") -> tuple[Picture, ...]:
    """Return the pictures of a plan's rolls."""
    return roll_pictures(sequence_of(plan), units)


def test_drops_lie_to_scale_along_their_roll() -> None:
    """1 and 3 are 2500 mm long; 1 begins after the worst lead-in of 640, and 3 follows 60 mm after it."""
    first, _ = rolls_of(half_drop_wall())

    drawn_from_to = {
        (left / PER_MM, right / PER_MM) for left, top, right, _ in boxes(first) if top == 0 and right < 500
    }
    assert any(
        left == pytest.approx(640, abs=1) and right == pytest.approx(3140, abs=1) for left, right in drawn_from_to
    )
    assert any(
        left == pytest.approx(3200, abs=1) and right == pytest.approx(5700, abs=1) for left, right in drawn_from_to
    )


def test_lead_in_and_match_loss_are_hatched() -> None:
    """Hatched are the worst lead-in, 0 to 640, and the loss between the drops, 3140 to 3200."""
    first, _ = rolls_of(half_drop_wall())

    hatched = [path for path in drawn(first).iter(f"{SVG}path") if path.get("fill", "").startswith("url(")]
    assert len(hatched) == 2


def test_roll_names_its_drops_their_lengths_and_what_is_left() -> None:
    """Two drops of 2500 mm, and 4350 mm left: 10 050 less 5700."""
    first, _ = rolls_of(half_drop_wall())

    assert texts(first) == ["1", "3", "2500", "2500", "left 4350 mm"]
    assert first.title == "roll-1"


def test_roll_in_feet_and_inches_rounds_cuts_up_and_the_rest_down() -> None:
    """2500 mm are 98.43 in, cut as 98 7/16; 4350 mm are 171.26 in, of which 171 1/4 are sure to be there."""
    first, _ = rolls_of(half_drop_wall(), "in")

    assert texts(first) == ["1", "3", "8′ 2 7/16″", "8′ 2 7/16″", "left 14 ft 3 1/4 in"]


def test_notches_stand_where_the_print_is() -> None:
    """On a sealed roll the first drop places the print: its motif lies 145 below its cut top, at 785, and every 640."""
    first, _ = rolls_of(half_drop_wall())

    notches = [path.get("d", "") for path in drawn(first).iter(f"{SVG}path") if path.get("stroke-width") == "2.2"]
    starts = [float(step.split()[0]) / PER_MM for step in notches[0].split("M")[1:]]
    # 785 less 640 is 145: the first of sixteen datums on 10 050 mm, each notched at both edges.
    assert sorted(set(starts))[:3] == [pytest.approx(mm, abs=1) for mm in (145, 785, 1425)]
    assert len(starts) == 2 * 16


def test_free_match_has_no_notches() -> None:
    """There is no print to find."""
    (only,) = rolls_of(free_match_wall())

    assert not [path for path in drawn(only).iter(f"{SVG}path") if path.get("stroke-width") == "2.2"]


def test_flaw_is_crossed_out() -> None:
    """A roll with a flaw from 3000 to 3100 shows it as a box with a cross."""
    parts = (Stretch(Fraction(0), Fraction(3000), Fraction(0)), Stretch(Fraction(3100), Fraction(3000), Fraction(0)))
    flawed = Lot("A", Fraction(6100), Fraction(0), parts=parts)
    plan = packed(job([drop("1", 2400)], FREE, (flawed,)), [("A", 1, ["1"])])
    (only,) = rolls_of(plan)

    per_mm = 546 / 6100
    assert any(
        left == pytest.approx(3000 * per_mm, abs=0.1) and right == pytest.approx(3100 * per_mm, abs=0.1)
        for left, _, right, _ in boxes(only)
    )


def test_words_of_a_roll_list_its_drops_in_order() -> None:
    """Who cannot see the picture hears the same."""
    first, _ = rolls_of(half_drop_wall())

    assert first.description == ("From its outer end: drop 1, 2500 mm; drop 3, 2500 mm; 4350 mm left at its inner end.")


def test_drops_too_narrow_for_their_names_are_named_above_the_roll() -> None:
    """60 and 80 mm are 3 and 4 units long, and no letter is; without a loss between them they are named together."""
    short = [drop(label, height - 100, 0) for label, height in (("2", 160), ("3", 180), ("4", 160))]
    plan = packed(job([drop("1", 2400, 0), *short], FREE), [("roll", 1, ["1", "2", "3", "4"])])
    (only,) = rolls_of(plan)

    assert texts(only)[0] == "1"
    assert texts(only)[-1] == "2, 3, 4"


def test_every_length_of_the_table_plan_has_its_roll() -> None:
    """One of 60 mm is drawn 30 units high, as high as its number may be: none takes the place of its roll's name."""
    plan = packed(job([drop("1", 2400, 0), drop("2", 60, 0)], FREE), [("roll", 1, ["1", "2"])])
    (only,) = table_pictures(sequence_of(plan))

    assert texts(only).count("roll-1") == 2


def test_long_labels_are_shortened_and_stay_within_their_drop() -> None:
    """A label of 200 signs ends in an ellipsis; its drop is 2500 mm long, 136 units."""
    label = "wide " * 40
    plan = packed(job([drop(label.strip(), 2400, 95)]), [("roll", 1, [label.strip()])])
    (only,) = rolls_of(plan)

    shown = texts(only)[0]
    assert shown.startswith("wide")
    assert shown.endswith("…")


def test_table_shows_lengths_in_the_order_of_cutting() -> None:
    """Cut in hanging order: 1 from the first roll, 2 from the second, then 3 and 4."""
    (only,) = table_pictures(sequence_of(half_drop_wall()))

    assert texts(only) == ["1.", "1", "roll-1", "2.", "2", "roll-2", "3.", "3", "roll-1", "4.", "4", "roll-2"]


def test_table_says_how_many_rolls_are_cut_alike() -> None:
    """37 rolls with one drop each are one length on the table, ×37."""
    plan = packed(job([drop("1", 9000, 95, 37)], HALF_DROP), [("roll", 37, ["1"])])
    (only,) = table_pictures(sequence_of(plan))

    assert texts(only)[0] == "1. ×37"


def test_stacked_pictures_stand_one_below_another() -> None:
    """Two rolls and a gap: the second begins where the first ends, 16 units on."""
    pictures = rolls_of(half_drop_wall())
    text = stacked(pictures)

    second = f'y="{pictures[0].bounds.height + 16:.1f}"'
    assert text.count("<svg") == 3
    assert second in text


def test_offcut_has_two_cut_ends() -> None:
    """It is no roll, so no core is drawn: no curve."""
    offcut = Lot("left over", Fraction(2600), Fraction(0), is_offcut=True)
    plan = packed(
        job([drop("1", 2400), drop("2", 2400)], FREE, (Lot("A", ROLL), offcut)),
        [("left over", 1, ["1"]), ("A", 1, ["2"])],
    )
    pictures = {picture.title: picture for picture in rolls_of(replace(plan))}

    assert "C" in pictures["A"].svg().split("</desc>")[1]
    assert not [path for path in drawn(pictures["left over"]).iter(f"{SVG}path") if "C" in path.get("d", "")]
