"""The checker accepts plans that are right and names each fault that is planted in them, with its amount."""

from __future__ import annotations

import ast
import json
import sys
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import cutplan.check
from cutplan.check import PlanUnreadable, Report, Violation, check_plan, check_text, report_lines
from plan_documents import (
    changed,
    cost_plan,
    cut,
    free_plan_in_inches,
    measured_plan,
    sealed_plan,
    third_drop_plan,
)

if TYPE_CHECKING:
    from collections.abc import Callable

    from plan_documents import Document

PLANS = [measured_plan, sealed_plan, third_drop_plan, free_plan_in_inches, cost_plan]


def violations(document: Document) -> list[str]:
    """Return the violations of a plan document as lines."""
    return [violation.line() for violation in check_plan(document).violations]


def test_checker_imports_only_the_standard_library_records_and_itself() -> None:
    """Nothing of the planner is shared, so that no fault can pass both."""
    folder = Path(cutplan.check.__file__).parent
    imported: set[str] = set()
    for module in folder.glob("*.py"):
        for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                imported |= {alias.name for alias in node.names}
            elif isinstance(node, ast.ImportFrom):
                assert node.level == 0, "a relative import would hide where it leads"
                imported.add(node.module or "")

    foreign = {
        name
        for name in imported
        if name.split(".")[0] not in sys.stdlib_module_names and not name.startswith("cutplan.check.")
    }
    assert "cutplan.check.report" in imported  # the search above does find imports
    assert foreign == {"msgspec", "msgspec.structs"}


@pytest.mark.parametrize("plan", PLANS)
def test_right_plan_is_accepted(plan: Callable[[], Document]) -> None:
    """Each plan laid out by hand (see its docstring for the arithmetic) breaks no rule."""
    assert violations(plan()) == []


@pytest.mark.parametrize("plan", PLANS)
def test_text_is_judged_like_the_document(plan: Callable[[], Document]) -> None:
    """Reading the JSON text gives the same report as the parsed document."""
    assert check_text(json.dumps(plan())) == check_plan(plan())


def test_facts_name_what_was_verified() -> None:
    """The report of a right plan says what was checked, and what of it remains a claim."""
    lines = report_lines(check_plan(sealed_plan()))

    assert lines == [
        "NOT PROVED HERE: that at best 2 rolls do is the word of the planner, who lists no cuts of them",
        "checked: 8 pieces of 1 drop cut as often as wanted, from 3 rolls",
        "checked: every cut has its length and its place in the print, inside its roll and clear of the others",
        "checked: proof: bound of 3 rolls proved by prices",
        "checked: at_best_proof: bound of 2 rolls proved by prices",
        "checked: optimal: 3 rolls needed, which is the bound that is proved",
        "the plan holds",
    ]


def test_violation_is_a_value_with_its_amount() -> None:
    """A drop 5 mm out of the print is named with rule, roll and the 5 mm."""
    moved = changed(measured_plan(), "rolls", 1, "cuts", 0, to=cut("2", 305, 2805))

    first = check_plan(moved).violations[0]

    assert first == Violation("place", "roll B", "drop 2 starts 5 mm from the nearest legal place", Fraction(5))


def test_faults_are_counted_in_the_last_line() -> None:
    """A plan with one fault is refused in one line, and its sound proof is still reported."""
    lines = report_lines(check_plan(changed(measured_plan(), "rolls_needed", to=3)))

    assert lines == [
        "wrong: rolls_needed says 3, the rolls listed are 2",
        "checked: proof: bound of 2 rolls proved by prices",
        "the plan does not hold: 1 fault",
    ]


# Each entry: what is planted where, and every violation that it must give.
PLANTED: list[tuple[str, Document, list[str]]] = [
    (
        "a cut 5 mm below its place",
        changed(measured_plan(), "rolls", 1, "cuts", 0, to=cut("2", 305, 2805)),
        [
            "roll B: drop 2 starts 5 mm from the nearest legal place",
            # 5600 − 2805 = 2795 mm are left, not 2800
            "roll B: left_mm says 2800 mm, which is 5 mm from the exact 2795 mm",
            "roll B: slack_mm says 2800 mm, which is 5 mm from the exact 2795 mm",
        ],
    ),
    (
        "a cut above its place: 590 is 10 above 600, although 290 below 300",
        changed(measured_plan(), "rolls", 0, "cuts", to=[cut("1", 590, 3090), cut("1", 3600, 6100)]),
        [
            "roll A: drop 1 starts 10 mm from the nearest legal place",
            "roll A: drop 1 ends 500 mm beyond the end of the roll",  # 6100 − 5600
            "roll A: left_mm says 100 mm, which is 600 mm from the exact −500 mm",
            "roll A: slack_mm says 100 mm, which is 600 mm from the exact −500 mm",
        ],
    ),
    (
        "a cut before the outer end, in step with the print",
        changed(measured_plan(), "rolls", 0, "cuts", 0, to=cut("1 (1 of 2)", -600, 1900)),
        ["roll A: drop 1 (1 of 2) starts 600 mm before the beginning of the roll"],
    ),
    (
        "two cuts that share 100 mm: drop 1 may start at 2400, but the drop before ends at 2500",
        changed(measured_plan(), "rolls", 0, "cuts", 1, to=cut("1 (2 of 2)", 2400, 4900)),
        [
            "roll A: drops 1 (1 of 2) and 1 (2 of 2) overlap by 100 mm",
            "roll A: left_mm says 100 mm, which is 600 mm from the exact 700 mm",
            "roll A: slack_mm says 100 mm, which is 600 mm from the exact 700 mm",
        ],
    ),
    (
        "cuts listed backwards",
        changed(measured_plan(), "rolls", 0, "cuts", to=[cut("1 (2 of 2)", 3000, 5500), cut("1 (1 of 2)", 0, 2500)]),
        ["roll A: drop 1 (2 of 2) is listed before drop 1 (1 of 2), but starts 3000 mm behind it"],
    ),
    (
        "a cut 12 mm short",
        changed(measured_plan(), "rolls", 0, "cuts", 0, to=cut("1 (1 of 2)", 0, 2488)),
        ["roll A: drop 1 (1 of 2) is cut 12 mm too short: trims and height are 2500 mm"],
    ),
    (
        "a cut half a millimetre long",
        changed(measured_plan(), "rolls", 0, "cuts", 0, to=cut("1 (1 of 2)", 0, "5001/2", shown=(0, 2500.5))),
        ["roll A: drop 1 (1 of 2) is cut 0.5 mm too long: trims and height are 2500 mm"],
    ),
    (
        "a drop left out",
        changed(measured_plan(), "rolls", 1, "cuts", to=[]),
        ["roll B: nothing is cut from it", "drop 2: cut 0 times, wanted 1"],
    ),
    (
        "a drop cut twice",
        changed(measured_plan(), "scenario", "drop", 0, "count", to=1),
        [
            "drop 1: cut 2 times, wanted 1",
            "roll A: there is no piece 1 (1 of 2): 1 of drop 1 wanted",
            "roll A: there is no piece 1 (2 of 2): 1 of drop 1 wanted",
            # 2 drops at 1/2 prove 1 roll only
            "proof: the prices prove 1 roll, the bound claimed is 2 rolls",
        ],
    ),
    (
        "one piece numbered twice",
        changed(measured_plan(), "rolls", 0, "cuts", 1, "drop", to="1 (1 of 2)"),
        ["roll A: piece 1 (1 of 2) is cut more than once"],
    ),
    (
        "a piece written in another way",
        changed(measured_plan(), "rolls", 0, "cuts", 1, "drop", to="1 (second)"),
        ["roll A: piece '1 (second)' should be written like '1 (1 of 2)'"],
    ),
    (
        "a drop that nobody wants",
        changed(measured_plan(), "rolls", 1, "cuts", 0, "drop", to="7"),
        ["roll B: drop 7 is not in the scenario", "drop 2: cut 0 times, wanted 1"],
    ),
    (
        "a roll that nobody has",
        changed(measured_plan(), "rolls", 1, "lot", to="C"),
        ["roll B: lot 'C' is not in the stock"],
    ),
    (
        "a roll opened twice",
        changed(measured_plan(), "rolls", 1, to={**measured_plan()["rolls"][1], "roll": "A", "lot": "A"}),
        ["lot A: 2 rolls cut, 1 in stock", "roll A: 1 roll of this entry listed again in another"],
    ),
    (
        "a roll called like one of several, although it is alone",
        changed(measured_plan(), "rolls", 1, "roll", to="B-1"),
        ["roll B-1: rolls of lot B are called B"],
    ),
    (
        "a short roll's length",
        changed(measured_plan(), "rolls", 0, "length_mm", to=5610),
        ["roll A: length_mm says 5610 mm, which is 10 mm from the exact 5600 mm"],
    ),
    (
        "another start of the print",
        changed(measured_plan(), "rolls", 0, "first_motif_mm", to=131),
        ["roll A: first_motif_mm says 131 mm, which is 1 mm from the exact 130 mm"],
    ),
    (
        "a measured roll called sealed",
        changed(changed(measured_plan(), "rolls", 0, "sealed", to=True), "rolls", 0, "first_motif_mm", to=None),
        [
            "roll A: the scenario's roll is measured, the plan says otherwise",
            "roll A: first_motif_mm must be null for a sealed roll, and for no other",
        ],
    ),
    (
        "a float beside the exact place that is not it",
        changed(third_drop_plan(), "rolls", 0, "cuts", 1, "from_mm", to=2346.5),
        # 7040/3 − 2346.5 = 1/6
        ["roll A: drop 2: from_mm says 2346.5 mm, which is 1/6 mm from the exact 2346 2/3 mm"],
    ),
    (
        "a third of the repeat rounded to whole millimetres: 2347 − 7040/3 = 1/3 mm",
        changed(third_drop_plan(), "rolls", 0, "cuts", 1, to=cut("2", 2347, 4447)),
        [
            "roll A: drop 2 starts 1/3 mm from the nearest legal place",
            "roll A: left_mm says 553.3333333333334 mm, which is 0.3333333333334 mm from the exact 553 mm",
            "roll A: slack_mm says 553.3333333333334 mm, which is 0.3333333333334 mm from the exact 553 mm",
        ],
    ),
    (
        "a sealed roll cut from its very end, where the lead-in may be",
        changed(sealed_plan(), "rolls", 1, "cuts", to=[cut("1", 620, 3120), cut("1", 3180, 5680)]),
        [
            "roll roll-3: drop 1 starts 20 mm before the worst lead-in of 640 mm",
            "roll roll-3: left_mm says 4500 mm, which is 20 mm from the exact 4520 mm",
            "roll roll-3: slack_mm says 4500 mm, which is 20 mm from the exact 4520 mm",
        ],
    ),
    (
        "cuts of a sealed roll out of step with one another",
        changed(sealed_plan(), "rolls", 1, "cuts", 1, to=cut("1", 3190, 5690)),
        [
            "roll roll-3: drop 1 starts 10 mm from the nearest place in step with drop 1",
            "roll roll-3: left_mm says 4500 mm, which is 10 mm from the exact 4510 mm",
            "roll roll-3: slack_mm says 4500 mm, which is 10 mm from the exact 4510 mm",
        ],
    ),
    (
        "a sealed roll that is only long enough at best: 640 + 3·2560 + 2500 = 10 820 mm",
        changed(
            sealed_plan(),
            "rolls",
            to=[
                {"roll": f"roll-{number}", "cuts": [cut("1", 640 + k * 2560, 3140 + k * 2560) for k in range(4)]}
                for number in (1, 2)
            ],
        ),
        [
            "roll roll-1: drop 1 ends 620 mm beyond the end of the roll",
            "roll roll-2: drop 1 ends 620 mm beyond the end of the roll",
            "rolls_needed says 3, the rolls listed are 2",
            "cost says 252, the rolls listed cost 168",
            "rolls_needed: 2 rolls is below the bound of 3 rolls",
        ],
    ),
    (
        "alike rolls whose numbers run into the next entry",
        changed(sealed_plan(), "rolls", 1, "roll", to="roll-2"),
        ["roll roll-1: 1 roll of this entry listed again in another"],
    ),
    (
        "an entry that stands for three rolls instead of two",
        changed(sealed_plan(), "rolls", 0, "count", to=3),
        [
            "roll roll-1: 1 roll of this entry listed again in another",
            "drop 1: cut 11 times, wanted 8",  # 3·3 + 2
            "rolls_needed says 3, the rolls listed are 4",
            "cost says 252, the rolls listed cost 336",
            "status says optimal, but 4 rolls is above the bound of 3 rolls",
        ],
    ),
    (
        "more rolls of a lot than there are",
        changed(cost_plan(), "scenario", "roll", 1, "count", to=1),
        ["roll S-1: rolls of lot S are called S"],
    ),
    (
        "a number beyond the lot's count",
        changed(cost_plan(), "rolls", 1, "roll", to="S-3"),
        ["roll S-3: there is no roll number 3 in lot S, which has 2 rolls"],
    ),
    (
        "cost as the objective of rolls that cost the same",
        changed(measured_plan(), "objective", to="cost"),
        ["objective says cost, but no two rolls differ in price"],
    ),
    (
        "rolls as the objective although they differ in price",
        changed(cost_plan(), "objective", to="rolls"),
        ["objective says rolls, but rolls differ in price"],
    ),
    (
        "a cost that is not the rolls'",
        changed(cost_plan(), "cost", to="79.50"),
        ["cost says 79.5, the rolls listed cost 80"],
    ),
    (
        "no cost where cost counts",
        changed(cost_plan(), "cost", to=None),
        ["rolls differ in price, but the plan gives no cost"],
    ),
    (
        "a cost of rolls without price",
        changed(measured_plan(), "cost", to="100"),
        ["cost says 100, but not every roll has a price"],
    ),
    (
        "a lower bound that is not the proof's",
        changed(measured_plan(), "lower_bound", to=3),
        ["lower_bound says 3, its proof's bound comes to 2 rolls"],
    ),
    (
        "a lower bound of cost that is not the proof's",
        changed(cost_plan(), "cost_lower_bound", to="70"),
        ["cost_lower_bound says 70, its proof's bound comes to 80"],
    ),
    (
        "a bound of cost where rolls are counted",
        changed(measured_plan(), "cost_lower_bound", to="2"),
        ["cost_lower_bound says 2, but rolls are counted, not cost"],
    ),
    (
        "a bound without any proof",
        changed(measured_plan(), "proof", to=None),
        [
            "lower_bound says 2, but no proof is given",
            "status says optimal, but 2 rolls is above the bound of 0 rolls",
        ],
    ),
    (
        "a proof by nothing",
        changed(changed(measured_plan(), "proof", "by", to="none"), "proof", "prices", to=None),
        ["proof: nothing proves the bound of 2 rolls"],
    ),
    (
        "an unproved plan called optimal",
        changed(changed(measured_plan(), "proof", "bound", to="1"), "lower_bound", to=1),
        ["status says optimal, but 2 rolls is above the bound of 1 roll"],
    ),
    (
        "an infeasible plan with rolls",
        changed(measured_plan(), "status", to="infeasible"),
        ["status says infeasible, but rolls are listed"],
    ),
    (
        "a best case worse than what is certain",
        changed(changed(sealed_plan(), "at_best", to=4), "at_best_status", to="feasible"),
        ["at best 4 rolls is more than the 3 rolls that are certain"],
    ),
    (
        "a best case below its bound",
        changed(sealed_plan(), "at_best", to=1),
        ["at_best: 1 roll is below the bound of 2 rolls"],
    ),
    (
        "a best case of measured rolls",
        changed(measured_plan(), "at_best", to=2),
        ["at best 2 rolls, but no roll is sealed: the plan is exact"],
    ),
    (
        "a best case called optimal that has no figure",
        changed(sealed_plan(), "at_best", to=None),
        ["at_best_status says optimal, but there is no figure"],
    ),
]


@pytest.mark.parametrize(
    ("document", "expected"),
    [(document, expected) for _, document, expected in PLANTED],
    ids=[name for name, _, _ in PLANTED],
)
def test_planted_fault_is_named(document: Document, expected: list[str]) -> None:
    """Every fault planted in a right plan is found, and nothing else is."""
    assert violations(document) == expected


def test_place_given_as_a_float_alone_stands_for_the_simplest_fraction() -> None:
    """2346.6666666666665 is read as 7040/3 mm where no exact text stands beside it."""
    document = third_drop_plan()
    for entry in document["rolls"][0]["cuts"]:
        del entry["from"], entry["to"]

    assert violations(document) == []


def test_plan_with_the_agreed_keys_alone_is_judged() -> None:
    """Lots are told by roll labels; figures that a plan does not claim are not missed."""
    document = changed(measured_plan(), "rolls", 0, "cuts", 1, to=cut("1 (2 of 2)", 3060, 5560))
    for key in ("objective", "cost", "at_best", "stopped", "notes"):
        del document[key]
    for roll in document["rolls"]:
        for key in ("lot", "count", "left_mm", "slack_mm"):
            del roll[key]

    assert violations(document) == ["roll A: drop 1 (2 of 2) starts 60 mm from the nearest legal place"]


moves = st.fractions(-3000, 3000, max_denominator=48).filter(bool)


@given(st.sampled_from(PLANS), st.data(), moves)
@settings(max_examples=50, deadline=None)
def test_no_cut_can_be_lengthened_or_shortened(
    plan: Callable[[], Document], data: st.DataObject, move: Fraction
) -> None:
    """However little the end of any one cut is moved, the plan is refused for its length by that amount."""
    document = plan()
    roll = data.draw(st.sampled_from(document["rolls"]))
    one = data.draw(st.sampled_from(roll["cuts"]))
    end = Fraction(one["to"]) + move
    one |= {"to": str(end), "to_mm": float(end)}

    amounts = [violation.amount for violation in check_plan(document).violations if violation.rule == "length"]

    assert amounts == [abs(move)]


@given(st.sampled_from([measured_plan, third_drop_plan]), st.data(), moves)
@settings(max_examples=50, deadline=None)
def test_no_cut_of_a_measured_roll_can_be_moved_out_of_the_print(
    plan: Callable[[], Document], data: st.DataObject, move: Fraction
) -> None:
    """A cut moved by other than whole repeats is refused by its distance from the nearest of them."""
    document = plan()
    repeat = Fraction(600) if plan is measured_plan else Fraction(640)
    roll = data.draw(st.sampled_from(document["rolls"]))
    one = data.draw(st.sampled_from(roll["cuts"]))
    for key in ("from", "to"):
        moved = Fraction(one[key]) + move
        one |= {key: str(moved), f"{key}_mm": float(moved)}

    amounts = [violation.amount for violation in check_plan(document).violations if violation.rule == "place"]

    away = abs(move - round(move / repeat) * repeat)
    assert amounts == ([away] if away else [])


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "not JSON: line 1, column 1: Expecting value"),
        ('{"format":\n "cutplan-plan/1"', "not JSON: line 2, column 18: Expecting ',' delimiter"),
        ("[1, 2]", "not a plan: the document must be one JSON object"),
        ('{"format": 1, "status": "optimal", "status": "feasible"}',
         "not JSON that can be judged: the key 'status' stands twice in one object"),
        ('{"rolls_needed": NaN}', "not JSON that can be judged: NaN is not a number"),
    ],
)  # fmt: skip
def test_text_that_is_no_plan_is_refused(text: str, message: str) -> None:
    """Broken JSON is refused with its place; twin keys and NaN, which JSON readers let pass, with the reason."""
    with pytest.raises(PlanUnreadable) as refused:
        check_text(text)

    assert str(refused.value) == message


def test_deeply_nested_text_is_refused() -> None:
    """Brackets beyond any sense are an unreadable plan and no traceback."""
    with pytest.raises(PlanUnreadable, match=r"^not JSON that can be judged: "):
        check_text("[" * 100_000)


def test_every_fault_of_structure_is_reported_at_once() -> None:
    """One reading names all that is missing or of the wrong kind, by key path."""
    document = measured_plan()
    del document["status"], document["scenario"]["drop"][1]["label"], document["rolls"][0]["cuts"][1]["drop"]
    document |= {"format": "cutplan-plan/9", "rolls_needed": "two", "objective": "paper"}
    document["rolls"][0] |= {"count": 0, "sealed": "no"}
    document["rolls"][1]["cuts"] = ["2"]
    document["proof"]["prices"] |= {"scale": 0, "drops": {"1": -1, "2": 0.5}}
    document["scenario"]["paper"]["match"] = "tartan"
    document["scenario"]["drop"][0]["height"] = "2.4 parsecs"
    del document["scenario"]["paper"]["roll_length"]

    with pytest.raises(PlanUnreadable) as refused:
        check_plan(document)

    assert set(refused.value.faults) == {
        "format: must be 'cutplan-plan/1', not 'cutplan-plan/9'",
        "status: is missing",
        "objective: must be one of rolls, cost, rolls_to_buy, not 'paper'",
        "rolls_needed: must be a whole number of at least 0, not 'two'",
        "rolls[1].count: must be a whole number of at least 1, not 0",
        "rolls[1].sealed: must be true or false, not 'no'",
        "rolls[1].cuts[2].drop: is missing",
        "rolls[2].cuts[1]: must be an object, not '2'",
        "proof.prices.scale: must be a whole number of at least 1, not 0",
        "proof.prices.drops.1: must be a whole number of at least 0, not -1",
        "proof.prices.drops.2: must be a whole number of at least 0, not 0.5",
        "scenario.paper.match: cannot read 'tartan' as a length",
        "scenario.paper.roll_length: is missing",
        "scenario.drop[1].height: unknown unit 'parsecs'",
        "scenario.drop[2].label: is missing",
    }


@pytest.mark.parametrize(
    ("path", "value", "fault"),
    [
        (("scenario",), None, "scenario: is missing; without it there is nothing to judge by"),
        (("scenario", "drop"), [], "scenario: it wants no drop, or has no roll"),
        (("scenario", "paper"), None, "scenario.paper: is missing"),
        (("scenario", "units"), "cubits", "scenario.units: unknown unit 'cubits'"),
        (("scenario", "drop", 1, "label"), "1", "scenario.drop[2].label: '1' is used more than once"),
        (("scenario", "roll", 1, "label"), "A", "scenario.roll[2].label: 'A' is used more than once"),
        (("scenario", "drop", 1, "first_motif"), None, "scenario.drop[2].first_motif: is missing"),
        (("rolls",), {}, "rolls: must be a list"),
        (("proof",), {"prices": None}, "proof.by: is missing\nproof.bound: is missing"),
        (("proof", "by"), "luck", "proof.by: must be one of prices, batches, search, none, not 'luck'"),
        (("proof", "prices"), {"drops": {}}, "proof.prices.scale: is missing"),
        (("rolls", 0, "cuts", 0), {"drop": "1", "from_mm": 0}, "rolls[1].cuts[1].to_mm: is missing"),
        (("rolls", 0, "left_mm"), "much", "rolls[1].left_mm: must be a number, not 'much'"),
        (("rolls", 0, "left_mm"), "1/0", "rolls[1].left_mm: must be a number, not '1/0'"),
        (("rolls", 0, "left_mm"), 1e300, "rolls[1].left_mm: must be a number, not 1e+300"),
    ],
)  # fmt: skip
def test_fault_of_structure_is_named(path: tuple[str | int, ...], value: object, fault: str) -> None:
    """What leaves a plan without something to judge by is refused, with its key path."""
    with pytest.raises(PlanUnreadable) as refused:
        check_plan(changed(measured_plan(), *path, to=value))

    assert str(refused.value) == fault


json_values = st.recursive(
    st.none() | st.booleans() | st.integers(-5, 5) | st.floats() | st.text(max_size=6),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3),
    max_leaves=4,
)


def every_path(value: object) -> list[tuple[str | int, ...]]:
    """Return the path of every value in a document."""
    entries: list[tuple[str | int, Any]] = []
    if isinstance(value, dict):
        entries = list(value.items())
    elif isinstance(value, list):
        entries = list(enumerate(value))
    return [path for key, inner in entries for path in [(key,), *((key, *below) for below in every_path(inner))]]


@given(st.sampled_from(PLANS), st.data(), json_values)
@settings(max_examples=200, deadline=None)
def test_any_value_may_be_anything_without_a_traceback(
    plan: Callable[[], Document], data: st.DataObject, value: object
) -> None:
    """Whatever stands in place of any one value, the answer is a report or a plain refusal."""
    path = data.draw(st.sampled_from(every_path(plan())))
    document = changed(plan(), *path, to=value)

    try:
        report = check_plan(document)
    except PlanUnreadable as refused:
        assert refused.faults  # noqa: PT017 - either outcome is right, and each is looked at
    else:
        assert isinstance(report, Report)
        assert report_lines(report)[-1].startswith("the plan ")
