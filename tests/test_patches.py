"""Patches of reveals' heads: pieces of their own, with their place in the print, planned, found and judged."""

from __future__ import annotations

import json
from copy import deepcopy
from fractions import Fraction
from typing import Any

import pytest

from cutplan.check import check_plan
from cutplan.render.documents.plan_document import document_of, plan_text
from cutplan.scenario.read import parse_scenario
from cutplan.setting_out import set_out
from cutplan.solve import make_plan
from cutplan.table.sequence import sequence_of
from small_rooms import opening, paper, run, start, wall, whole

ROOM = """
units = "mm"
[paper]
roll_length = 6700
roll_width = 500
match = "free"
[[roll]]
label = "A"
[[wall]]
name = "wall"
width = 1500
height = 2400
[[wall.opening]]
kind = "window"
left = 250
width = 1000
foot = 900
height = 1200
reveal = 100
[start]
at = 0
puts = "joint"
"""
PRINTED = ROOM.replace('"free"', '"60 cm"').replace("6700", "10050") + "motif_drop = 100\n"


def planned(text: str) -> dict[str, Any]:
    """Return the plan of a scenario as its document."""
    scenario = parse_scenario(text, "room.toml")
    plan = make_plan(scenario.job, scenario.cutting)
    document: dict[str, Any] = json.loads(plan_text(document_of(sequence_of(plan), scenario)))
    return document


def test_patch_goes_on_with_the_print_that_hangs_beside_it_under_the_head() -> None:
    """Column 0 reaches 100 into a window from 400, its head at 2100; datums hang at 2300 and 1700, so 400 below it."""
    window = opening(400, 1500, 900, 2100, reveal=100, kind="window")
    (patch,) = set_out(run(wall(2000, window)), paper(), start(0)).patches

    assert (patch.label, patch.column, patch.openings) == ("patch of 1", 0, ("window",))
    assert whole(patch.paper_left, patch.paper_right, patch.top, patch.height, patch.first_motif) == (
        (400, 500, 2100, 100, 400)
    )


@pytest.mark.parametrize(("head", "patches"), [(2100, 1), (2400, 0)])
def test_reveal_without_wall_over_its_head_takes_no_patch(head: int, patches: int) -> None:
    """A window that reaches the ceiling at 2400 has no head to paper."""
    window = opening(400, 1500, 900, head, reveal=100, kind="window")

    assert len(set_out(run(wall(2000, window)), paper(), start(0)).patches) == patches


def test_both_patches_of_a_window_come_out_of_one_strip_where_the_print_allows_it() -> None:
    """The left one needs 250 to 500 of the strip, the right one 0 to 250, each 100 + 50 + 50 long.

    Two whole lengths of 2500, 500 over the window and 1000 under it, and 200 for the patches are 6700: all of the roll.
    """
    document = planned(ROOM)

    cut_from = {cut["drop"]: roll["roll"] for roll in document["rolls"] for cut in roll["cuts"]}
    assert document["rolls_needed"] == 1
    assert (cut_from["patch of 1"], cut_from["patch of 4"]) == ("A", "left of patch of 1")
    assert [violation.line() for violation in check_plan(document).violations] == []


def wrong(document: dict[str, Any]) -> list[str]:
    """Return what the judge says is wrong with the patches of a plan."""
    lines = [violation.line() for violation in check_plan(document).violations]
    return [line for line in lines if "patch of" in line or "head of" in line]


def test_judge_wants_each_patch_and_no_other() -> None:
    """Left out, the head is bare; named in another column, or of another depth, it is not what is needed there."""
    document = planned(PRINTED)
    patches = document["setting_out"]["patches"]
    without, elsewhere, deeper = deepcopy(document), deepcopy(document), deepcopy(document)
    del without["setting_out"]["patches"][0]
    elsewhere["setting_out"]["patches"][0]["column"] = 1
    deeper["setting_out"]["patches"][0]["foot"] = "1990"

    assert [patch["drop"] for patch in patches] == ["patch of 1", "patch of 4"]
    assert wrong(document) == []
    assert "column 0: leaves the head of 'window' bare from 250 mm to 500 mm along 'wall'" in wrong(without)
    assert "piece patch of 1: covers nothing that is bare at the head of a reveal" in wrong(elsewhere)
    assert "piece patch of 1: its foot is said to be 1990 mm; by the survey it is 2000 mm" in wrong(deeper)


def test_patches_are_told_as_they_hang() -> None:
    """Told from the last to the first, they are not in hanging order."""
    document = planned(ROOM)
    assert len(document["setting_out"]["patches"]) > 1
    document["setting_out"]["patches"].reverse()

    assert any("not told as they hang" in broken.message for broken in check_plan(document).violations)


def test_judge_compares_the_print_of_a_patch_with_that_of_its_column() -> None:
    """Said to have its motif 10 lower, and cut where it was, the patch is out against its column."""
    document = planned(PRINTED)
    patch = document["setting_out"]["patches"][0]
    patch["first_motif"] = str(Fraction(patch["first_motif"]) + 10)
    for roll in document["rolls"]:
        for cut in roll["cuts"]:
            if cut["drop"] == patch["drop"]:
                for key in ("from", "to"):
                    cut[key] = str(Fraction(cut[key]) - 10)
                    cut[f"{key}_mm"] -= 10

    assert any(line.startswith("piece patch of 1: its print is 10 mm out against piece 1") for line in wrong(document))


def test_plan_of_an_earlier_version_without_patches_holds() -> None:
    """Nothing was said of patches then, so none is wanted; without reveals a plan lists no patches at all."""
    bare = planned(PRINTED.replace("reveal = 100", "reveal = 0"))

    assert bare["setting_out"]["patches"] == []
    del bare["setting_out"]["patches"]
    assert check_plan(bare).violations == ()


@pytest.mark.parametrize(
    ("left", "right", "patches"),
    [(400, 1500, 0), (300, 500, 0), (300, 450, 1), (450, 1500, 1), (400, 500, 0)],
)
def test_fanlight_that_leaves_no_head_takes_no_patch(left: int, right: int, patches: int) -> None:
    """Column 0 reaches from 400 to 500 under a head at 2100; only a fanlight over all of that leaves no head there."""
    window = opening(400, 1500, 900, 2100, reveal=100, kind="window")
    fanlight = opening(left, right, 2100, 2300, kind="window", name="fanlight")
    setting_out = set_out(run(wall(2000, window, fanlight)), paper(), start(0))

    assert len([patch for patch in setting_out.patches if patch.column == 0]) == patches


def test_narrow_reveal_gives_each_side_what_the_strip_has() -> None:
    """150 wide and 100 deep: one strip astride turns in 75 at either side; one that begins there turns in 100."""
    for left, turned in ((100, [75, 75]), (0, [0, 100])):
        window = opening(500 + left, 650 + left, 900, 2100, reveal=100, kind="window")
        sides = set_out(run(wall(2000, window)), paper(), start(0)).reveals
        assert [side.turned_in for side in sides] == turned


def test_cut_out_reaches_to_the_side_of_a_reveal_on_which_a_joint_lies() -> None:
    """From 600 to 1000 of a window with a reveal of 100, the strip that ends at 1000 turns in on the left only."""
    window = opening(600, 1000, 900, 2100, reveal=100, kind="window")
    (cut_out,) = set_out(run(wall(2000, window)), paper(), start(0)).cut_outs

    assert whole(cut_out.paper_left, cut_out.paper_right) == (200, 500)
