"""The best case and the job without offcuts, judged by the rolls that the plan file lists of them."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, Final

import pytest

from cutplan.check import PlanUnreadable, check_plan
from cutplan.plan.order import CuttingHabit
from cutplan.render.documents.plan_document import plan_document, plan_text
from cutplan.scenario.read import parse_scenario
from cutplan.solve import make_plan

if TYPE_CHECKING:
    from collections.abc import Callable

    Document = dict[str, Any]

SEALED: Final = """\
units = "mm"
[paper]
roll_length = 5100
match = "64 cm"
[[drop]]
label = "1"
height = 2400
first_motif = 95
count = 3
wall = "north"
[[drop]]
label = "2"
height = 2400
first_motif = 95
wall = "east"
"""
"""Two drops span 2560 + 2500 = 5060 mm: a sealed roll is sure of 5100 − 640 mm, and has them."""

OFFCUT: Final = """
[[offcut]]
label = "K"
length = 3140
"""
"""2500 mm and a repeat: a drop comes off it wherever its print begins."""

OF_BATCHES: Final = """
[[roll]]
label = "A"
count = 4
batch = "1"
[[roll]]
label = "B"
count = 4
batch = "2"
"""


def file_of(text: str) -> Document:
    """Return the plan file of a scenario."""
    scenario = parse_scenario(text, "here")
    plan = make_plan(scenario.job, CuttingHabit())
    document: Document = json.loads(plan_text(plan_document(plan, scenario)))
    return document


def is_refused(document: Document) -> bool:
    """Return True when the judge finds a fault, or nothing that it could judge."""
    try:
        return not check_plan(document).holds
    except PlanUnreadable:
        return True


def test_best_case_takes_a_drop_from_an_offcut_that_holds_it_only_if_its_print_lies_right() -> None:
    """Of three drops one is as long as the offcut: two come off a roll at best, and certain are three rolls."""
    document = file_of((SEALED + OFFCUT).replace("3140", "2500").replace("count = 3", "count = 2"))

    assert (document["rolls_needed"], document["lower_bound"]) == (3, 3)
    assert (document["at_best"], document["at_best_lower_bound"]) == (1, 1)
    assert "K" in {roll["roll"] for roll in document["at_best_rolls"]}
    assert check_plan(document).holds


def test_best_case_is_judged_by_its_rolls() -> None:
    """Four rolls are certain, and two do if both begin where that suits: nothing of it is taken on trust."""
    document = file_of(SEALED)
    report = check_plan(document)

    assert (document["rolls_needed"], document["at_best"]) == (4, 2)
    assert "at best 2 rolls, as the best case is cut" in report.facts
    assert (report.holds, report.searched, report.trusted) == (True, (), ())


def test_best_case_without_its_rolls_is_named_before_all_else() -> None:
    """A file of an earlier version lists none."""
    document = file_of(SEALED)
    del document["at_best_rolls"]

    report = check_plan(document)

    assert report.holds
    assert report.searched == ("that at best 2 rolls do is the word of the planner, who lists no cuts of them",)


def one_roll_less(document: Document) -> None:
    """Cut all from one roll fewer."""
    document["at_best_rolls"].pop()


def beyond_the_end(document: Document) -> None:
    """Move every cut of a roll so far that the last ends beyond its end, all in the print."""
    for cut in document["at_best_rolls"][0]["cuts"]:
        cut.update({key: str(int(cut[key]) + 640) for key in ("from", "to")})


def out_of_print(document: Document) -> None:
    """Move the second cut of a roll by a millimetre."""
    cut = document["at_best_rolls"][0]["cuts"][1]
    cut.update({key: str(int(cut[key]) + 1) for key in ("from", "to")})


def another_figure(document: Document) -> None:
    """Say one roll more than are listed."""
    document["at_best"] += 1


@pytest.mark.parametrize("forge", [one_roll_less, beyond_the_end, out_of_print, another_figure])
def test_best_case_that_cannot_be_cut_is_refused(forge: Callable[[Document], None]) -> None:
    """Rolls of the best case keep every rule but the lead-in."""
    document = file_of(SEALED)
    forge(document)

    assert is_refused(document)


def test_wall_is_of_one_batch_in_the_best_case_too() -> None:
    """North's three drops and east's one each take a roll or two of one batch; one cut from the other is refused."""
    document = file_of(SEALED + OF_BATCHES)
    assert check_plan(document).holds
    rolls = document["at_best_rolls"]
    others = {roll["lot"] for roll in rolls}
    two = next(roll for roll in rolls if len(roll["cuts"]) == 2)
    two["lot"], two["roll"] = ("B", "B-4") if two["lot"] == "A" else ("A", "A-4")

    broken = [violation for violation in check_plan(document).violations if violation.rule == "batches"]

    assert others <= {"A", "B"}
    assert broken


def test_job_without_offcuts_is_judged_by_its_plan() -> None:
    """A drop comes off the offcut; without it a fourth roll is needed."""
    document = file_of(SEALED + OFFCUT)
    without = document["without_offcuts"]

    assert (document["rolls_needed"], without["rolls_needed"], without["proved"]) == (3, 4, True)
    assert "without offcuts 4 rolls are needed, by a plan of its own" in check_plan(document).facts


def fewer_without(document: Document) -> None:
    """Say a roll less than the plan without offcuts takes."""
    document["without_offcuts"]["rolls_needed"] -= 1


def a_cut_left_out(document: Document) -> None:
    """Leave a roll out of the plan without offcuts."""
    document["without_offcuts"]["plan"]["rolls"].pop()


def from_the_offcut(document: Document) -> None:
    """Cut from the offcut in the plan without any."""
    document["without_offcuts"]["plan"]["rolls"] = document["rolls"]


def not_proved(document: Document) -> None:
    """Take away the prices that prove it."""
    document["without_offcuts"]["plan"]["proof"] = {"by": "none", "bound": "0", "prices": None}


@pytest.mark.parametrize("forge", [fewer_without, a_cut_left_out, from_the_offcut, not_proved])
def test_job_without_offcuts_that_cannot_be_cut_so_is_refused(forge: Callable[[Document], None]) -> None:
    """Its figure, its rolls and its proof are those of a plan."""
    document = file_of(SEALED + OFFCUT)
    forge(document)

    assert is_refused(document)


def test_job_without_offcuts_and_without_a_plan_is_named_before_all_else() -> None:
    """A file of an earlier version has none."""
    document = file_of(SEALED + OFFCUT)
    del document["without_offcuts"]["plan"]

    assert check_plan(document).searched == (
        "that without offcuts 4 rolls are needed is the word of the planner, who lists no plan of it",
    )
