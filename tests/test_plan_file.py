from __future__ import annotations

import json
from fractions import Fraction

import pytest
from msgspec.structs import replace

from cutplan.lengths import exact_number
from cutplan.paper.pattern import FREE
from cutplan.paper.stock import Lot
from cutplan.plan.proof import Proof
from cutplan.render.documents.plan_document import plan_document, plan_text
from hand_plans import drop, free_match_wall, half_drop_wall, job, packed, scenario_of


def test_document_of_a_half_drop_wall() -> None:
    """Every key of the plan format, for two sealed rolls proved by prices."""
    plan = half_drop_wall()
    document = plan_document(plan, scenario_of(plan, ("the label rounds",)))

    # On each roll: worst lead-in 640, drop 2500, loss 60, drop 2500; 10050 - 5700 = 4350 left.
    def roll(number: int, first: str, second: str) -> dict[str, object]:
        return {
            "roll": f"roll-{number}",
            "lot": "roll",
            "count": 1,
            "length_mm": 10050,
            "first_motif_mm": None,
            "sealed": True,
            "cuts": [
                {"drop": first, "from_mm": 640.0, "to_mm": 3140.0, "from": "640", "to": "3140"},
                {"drop": second, "from_mm": 3200.0, "to_mm": 5700.0, "from": "3200", "to": "5700"},
            ],
            "left_mm": 4350,
            "slack_mm": 4350,
        }

    prices = {"scale": 3, "drops": {"1": 1, "2": 1, "3": 1, "4": 1}, "premiums": {}}
    assert document == {
        "format": "cutplan-plan/1",
        "status": "optimal",
        "objective": "rolls",
        "rolls_needed": 2,
        "lower_bound": 2,
        "at_best": 1,
        "at_best_lower_bound": 1,
        "at_best_status": "optimal",
        "stopped": None,
        "proof": {"by": "prices", "bound": "2", "prices": prices},
        "at_best_proof": {"by": "none", "bound": "1", "prices": None},
        "rolls": [roll(1, "1", "3"), roll(2, "2", "4")],
        "notes": ["the label rounds"],
        "scenario": {"units": "mm"},
    }


def test_measured_rolls_have_no_figure_at_best() -> None:
    """Where no roll is sealed the plan is exact; its one priced roll is its cost."""
    plan = free_match_wall()
    document = plan_document(plan, scenario_of(plan))

    assert document["at_best"] is None
    assert "at_best_proof" not in document
    assert document["cost"] == "62.00"
    assert "cost_lower_bound" not in document


@pytest.mark.parametrize(("length", "cost"), [(10050, "62.00"), (9900, "62.00"), (5600, None)])
def test_part_of_a_roll_is_not_told_to_cost_a_whole_one(length: int, cost: str | None) -> None:
    """Only what is shorter than a roll may be sold, by 1.5 %, is a part: the price of the paper is not its own."""
    lots = (Lot("A", Fraction(length), Fraction(0), price=Fraction(62)),)
    made = job([drop("1", 2400)], FREE, lots)
    plan = packed(replace(made, paper=replace(made.paper, price=Fraction(62))), [("A", 1, "1")])

    assert plan_document(plan, scenario_of(plan)).get("cost") == cost


def test_cost_has_its_own_bound_where_rolls_differ_in_price() -> None:
    """A part roll at 15 and a roll at 62: the value is money, and at least two rolls are worth over 62."""
    lots = (
        Lot("A", Fraction(3000), Fraction(0), price=Fraction(62)),
        Lot("B", Fraction(3000), Fraction(0), price=Fraction(15)),
    )
    proof = Proof(Fraction(77), None, by_search=True)
    plan = packed(job([drop("1", 2400), drop("2", 2400)], FREE, lots), [("A", 1, "1"), ("B", 1, "2")], proof=proof)
    document = plan_document(plan, scenario_of(plan))

    assert (document["objective"], document["cost"], document["cost_lower_bound"]) == ("cost", "77.00", "77.00")
    assert (document["rolls_needed"], document["lower_bound"]) == (2, 2)
    assert document["proof"] == {"by": "search", "bound": "77", "prices": None}


def test_unproved_plan_says_why_it_stopped() -> None:
    """A plan stopped by time is feasible, and its bound is whole rolls however the fraction falls."""
    plan = replace(
        half_drop_wall(),
        proof=Proof(Fraction(4, 3), None, by_search=False),
        stopped="time limit",
    )
    document = plan_document(plan, scenario_of(plan))

    assert (document["status"], document["stopped"]) == ("feasible", "time limit")
    assert document["lower_bound"] == 2  # 4/3 rolls are two.


def test_thirds_are_exact_beside_their_floats() -> None:
    """A cut at 640/3 mm is 213.333… as a float, and a fraction as text."""
    lots = (Lot("A", Fraction(10050), 145 + Fraction(640, 3)),)
    plan = packed(job([drop("1", 2400, 95)], lots=lots), [("A", 1, "1")])
    cuts = json.loads(plan_text(plan_document(plan, scenario_of(plan))))["rolls"][0]["cuts"]

    assert cuts == [
        {"drop": "1", "from_mm": 640 / 3, "to_mm": 8140 / 3, "from": "640/3", "to": "8140/3"},
    ]


def test_alike_pieces_are_numbered_and_rolls_cut_alike_are_counted() -> None:
    """On single rolls a piece is 1 (n of 5); rolls cut alike carry the plain label and count for each."""
    plan = packed(job([drop("1", 2400, 95, count=5)]), [("roll", 2, "11"), ("roll", 1, "1")])
    rolls = json.loads(plan_text(plan_document(plan, scenario_of(plan))))["rolls"]

    listed = [(roll["roll"], roll["count"], [cut["drop"] for cut in roll["cuts"]]) for roll in rolls]
    assert sorted(listed) == [("roll-1", 1, ["1 (1 of 5)"]), ("roll-2", 2, ["1", "1"])]


@pytest.mark.parametrize(
    ("value", "text"),
    [("588", "588.00"), ("0.5", "0.50"), ("7.125", "7.125"), ("1/3", "1/3"), ("-2.5", "-2.50"), ("0", "0.00")],
)
def test_exact_number_never_rounds(value: str, text: str) -> None:
    """Money ends in two decimals unless it needs more; what no decimal holds stays a fraction."""
    assert exact_number(Fraction(value)) == text
    assert Fraction(text) == Fraction(value)
