"""Special stock (flaws, pieces, foot first, offcuts, cut-outs) read, planned, written and judged; planted faults."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest

from cutplan.check import check_plan, check_text
from cutplan.plan.proof import Status
from cutplan.render.documents.plan_document import plan_document, plan_text
from cutplan.render.pages.plan_page import plan_page
from cutplan.scenario.read import parse_scenario
from cutplan.solve.ordering import order_cuts
from cutplan.table.sequence import sequence_of
from special_scenarios import special_scenario
from test_special_stock import least_value, solved

if TYPE_CHECKING:
    from collections.abc import Callable


@pytest.mark.parametrize("free", [False, True])
@pytest.mark.parametrize("seed", range(100))
def test_what_is_planned_from_special_stock_is_the_least_and_passes_the_judge(
    seed: int,
    free: bool,  # noqa: FBT001 - parametrized
) -> None:
    """From the text to the judgement: as many rolls as trying everything finds, and nothing to object to."""
    scenario = parse_scenario(special_scenario(seed, free=free), "special.toml")
    expected = least_value(scenario.job)

    plan = solved(scenario.job)

    assert (None if plan is None else plan.rolls_needed) == expected
    if plan is not None:
        report = check_text(plan_text(plan_document(order_cuts(plan), scenario)))
        assert report.violations == ()
        assert plan.status is Status.OPTIMAL


def test_a_cut_out_as_wide_as_the_strip_serves_a_drop_of_full_width() -> None:
    """Where neither edge of a cut-out is told it has the full width: drop 2 comes from it, and one roll is enough."""
    # 400 − 300 leaves 100 of the roll, too little for the 150 of drop 2; 200 fall out of drop 1, motif 20 below.
    fallen = "cut_outs = [{ from_top = 100, length = 200 }]\n"
    text = PAPER + SHORT + WIDE + fallen + '[[drop]]\nlabel = "2"\nheight = 150\nfirst_motif = 70\n'
    scenario = parse_scenario(text, "full width.toml")

    plan = solved(scenario.job)

    assert plan is not None
    assert (plan.rolls_needed, plan.status) == (1, Status.OPTIMAL)
    assert [layout.lot for layout in plan.layouts] == ["A", "cut-out of 1"]
    assert check_text(plan_text(plan_document(order_cuts(plan), scenario))).violations == ()


# Planted faults: the plans below are right as they stand.

PAPER = """\
units = "mm"
[paper]
roll_length = 1000
roll_width = 530
match = "100 mm"
[trim]
top = 0
bottom = 0
"""
SHORT = '[[roll]]\nlabel = "A"\nlength = 400\nfirst_motif = 20\n'
"""A roll that holds drop 1 alone, so that only the cut-out saves a second."""
WIDE = '[[drop]]\nlabel = "1"\nheight = 300\nfirst_motif = 20\n'
OVER = '[[drop]]\nlabel = "2"\nheight = 150\nfirst_motif = 70\nleft = 400\nright = 530\n'


def planned(text: str) -> dict[str, Any]:
    """Return the plan document of a scenario, as its JSON says it, once the judge has found it right."""
    scenario = parse_scenario(PAPER + text, "special.toml")
    plan = solved(scenario.job)
    assert plan is not None
    document: dict[str, Any] = json.loads(plan_text(plan_document(order_cuts(plan), scenario)))
    assert check_plan(document).violations == ()
    return document


def lines(document: dict[str, Any]) -> list[str]:
    """Return the violations of a plan document as lines."""
    return [violation.line() for violation in check_plan(document).violations]


FLAWED = '[[roll]]\nlabel = "A"\nfirst_motif = 20\nflaws = [{from = 340, to = 360}]\n'
PIECES = '[[roll]]\nlabel = "A"\npieces = [{length = 350, first_motif = 20}, {length = 600, first_motif = 50}]\n'
FOOT_FIRST = '[[roll]]\nlabel = "A"\nfirst_motif = 80\nfoot_first = true\n'
PLAIN = '[[roll]]\nlabel = "A"\nfirst_motif = 20\n'
KEPT = '[[offcut]]\nlabel = "kept"\nlength = 160\nfirst_motif = 70\nleft = 380\nright = 530\n'
CUT_OUT = "cut_outs = [{from_top = 50, length = 200, left = 390}]\n"


def change_scenario(entry: str, **values: object) -> Callable[[dict[str, Any]], None]:
    """Return a planting that changes keys in the first ``[[entry]]`` of the scenario."""

    def plant(document: dict[str, Any]) -> None:
        document["scenario"][entry][0].update(values)

    return plant


def swap_drops(document: dict[str, Any]) -> None:
    """Let the second drop be hung first."""
    document["scenario"]["drop"].reverse()


def cut_over_first(document: dict[str, Any]) -> None:
    """Let the piece from the cut-out be cut before the drop that it falls out of."""
    document["order"]["cuts"].reverse()


def narrow_cut_out(document: dict[str, Any]) -> None:
    """Let the cut-out begin 5 mm further right than the piece needs."""
    document["scenario"]["drop"][0]["cut_outs"][0]["left"] = 405


def test_the_plans_with_planted_faults_use_what_they_are_about() -> None:
    """Cut-out and offcut each hold the piece over the door, and count as no roll."""
    for text, offcut in ((SHORT + WIDE + CUT_OUT + OVER, "cut-out of 1"), (PLAIN + KEPT + WIDE + OVER, "kept")):
        document = planned(text)

        assert document["rolls_needed"] == 1
        assert [(roll["lot"], [cut["drop"] for cut in roll["cuts"]]) for roll in document["rolls"]] == [
            ("A", ["1"]),
            (offcut, ["2"]),
        ]


@pytest.mark.parametrize(
    ("text", "plant", "expected"),
    [
        (FLAWED + WIDE + OVER, change_scenario("roll", flaws=[{"from": 290, "to": 360}]),
         "roll A: drop 1 ends 10 mm beyond the end of stretch 1 of the roll"),
        (PIECES + WIDE + OVER, change_scenario("roll", pieces=[{"length": 350, "first_motif": 20},
                                                               {"length": 600, "first_motif": 45}]),
         "roll A: drop 2 starts 5 mm from the nearest legal place"),
        (FOOT_FIRST + WIDE + OVER, change_scenario("roll", foot_first=False),
         "roll A: drop 1 starts 40 mm from the nearest legal place"),
        (PLAIN + KEPT + WIDE + OVER, change_scenario("offcut", left=410),
         "roll kept: drop 2 needs 10 mm of the strip's width that is not there"),
        (PLAIN + KEPT + WIDE + OVER, change_scenario("offcut", first_motif=60),
         "roll kept: drop 2 starts 10 mm from the nearest legal place"),
        (PLAIN + KEPT + WIDE + OVER, change_scenario("offcut", length=140),
         "roll kept: drop 2 ends 10 mm beyond the end of the roll"),
        (SHORT + WIDE + CUT_OUT + OVER, swap_drops,
         "roll cut-out of 1: drop 2 is hung before drop 1, which it is to fall out of"),
        (SHORT + WIDE + CUT_OUT + OVER, cut_over_first,
         "roll cut-out of 1: drop 2 is cut before drop 1, which it is to fall out of"),
        (SHORT + WIDE + CUT_OUT + OVER, narrow_cut_out,
         "roll cut-out of 1: drop 2 needs 5 mm of the strip's width that is not there"),
    ],
)  # fmt: skip
def test_a_planted_fault_is_named_with_its_amount(
    text: str, plant: Callable[[dict[str, Any]], None], expected: str
) -> None:
    """Each change makes the plan wrong in one way, and the judge says which and by how much."""
    document = planned(text)

    plant(document)

    assert expected in lines(document)


def test_an_offcut_is_not_counted_as_a_roll() -> None:
    """A plan that counts the offcut among its rolls is found out."""
    document = planned(PLAIN + KEPT + WIDE + OVER)

    document["rolls_needed"] = 2

    assert "rolls_needed says 2, the rolls listed are 1" in lines(document)


def test_prices_that_overrate_an_offcut_are_not_fair() -> None:
    """Without a premium nothing that fits the offcut may have a price: here drop 2 for half a roll would."""
    document = planned(PLAIN + KEPT + WIDE + OVER)

    document["proof"]["prices"] = {"scale": 2, "drops": {"1": 2, "2": 1}, "premiums": {"A": 1}}

    assert "proof: drops worth 1 can lie together on a roll of lot kept, the prices allow 0" in lines(document)


def test_a_cut_out_is_there_only_when_its_drop_can_hang() -> None:
    """Drop 2 falls out of drop 1, which hangs after drop 0: it cannot be cut before drop 0 is."""
    roll = SHORT.replace("400", "700")  # drops 0 and 1 take it up
    document = planned(roll + WIDE.replace('"1"', '"0"') + WIDE + CUT_OUT + OVER)
    assert document["order"]["cuts"] == ["0", "1", "2"]

    document["order"]["cuts"] = ["1", "2", "0"]

    assert "roll cut-out of 1: drop 2 is cut before drop 0, and until that hangs drop 1 cannot" in lines(document)


OTHER = KEPT + "batch = 1999\n"
"""The offcut is of another batch than the roll, which then must give the piece over the door too."""


def test_an_offcut_of_another_batch_than_every_roll_is_left_alone() -> None:
    """Its shade would show; the reader says so, and the judge would not have it used either."""
    text = PLAIN + "batch = 2207\n" + OTHER + WIDE + OVER
    scenario = parse_scenario(PAPER + text, "special.toml")
    said = 'offcut["kept"].batch: no roll is of batch 1999, so nothing is cut from this offcut'
    assert said in scenario.notes
    assert [roll["lot"] for roll in planned(text)["rolls"]] == ["A"]

    used = planned(text.replace("1999", "2207"))
    used["scenario"]["offcut"][0]["batch"] = "1999"

    assert [roll["lot"] for roll in used["rolls"]] == ["A", "kept"]
    assert "roll kept: is of batch 1999, and no roll is" in lines(used)


def test_rolls_to_be_bought_must_match_the_offcut_in_hand() -> None:
    """Nobody has told the batch of the roll, so the offcut is used, and the page says which number to look for."""
    scenario = parse_scenario(PAPER + PLAIN + OTHER + WIDE + OVER, "special.toml")
    plan = solved(scenario.job)
    assert plan is not None

    assert "See that every roll bears batch number 1999, as offcut kept does." in plan_page(sequence_of(plan))
