"""Batches read, planned, written and judged from end to end; planted faults."""

from __future__ import annotations

import json
import re
from itertools import cycle
from typing import TYPE_CHECKING, Any

import pytest
from typer.testing import CliRunner

from cutplan.check import check_plan, check_text
from cutplan.check.report import PlanUnreadable
from cutplan.cli.all_commands import app
from cutplan.errors import NoPlanError
from cutplan.render.documents.plan_document import plan_document, plan_text
from cutplan.scenario.read import parse_scenario
from cutplan.solve import solve
from cutplan.solve.ordering import order_cuts
from special_scenarios import special_scenario

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

WALLS = """\
units = "mm"
[paper]
roll_length = 1000
match = "free"
[trim]
top = 0
bottom = 0
[[roll]]
label = "A"
count = 3
batch = 2207
[[roll]]
label = "B"
count = 3
batch = 2208
[[drop]]
label = "north"
height = 400
count = 4
wall = "north"
[[drop]]
label = "east"
height = 500
count = 3
wall = "east"
"""
"""North takes 2 rolls at two drops each, east 2 at two each; a batch has 3 rolls, and without batches 4 would do."""


def planned(text: str = WALLS) -> dict[str, Any]:
    """Return the plan document of a scenario, once the judge has found it right."""
    scenario = parse_scenario(text, "walls.toml")
    document: dict[str, Any] = json.loads(plan_text(plan_document(order_cuts(solve(scenario.job)), scenario)))
    assert check_plan(document).violations == ()
    return document


def lines(document: dict[str, Any]) -> list[str]:
    """Return the violations of a plan document as lines."""
    return [violation.line() for violation in check_plan(document).violations]


def test_two_walls_are_shared_out_between_two_batches() -> None:
    """Neither batch is enough for both walls, so each wall gets one, the first wall the first batch."""
    document = planned()

    assert document["rolls_needed"] == 4
    assert document["batches"]["walls"] == {"north": "2207", "east": "2208"}
    assert document["batches"]["rolls"] == {"2207": 2, "2208": 2}
    assert document["batches"]["changes"] == [{"left": "north", "right": "east", "corner": "internal"}]


def test_the_judge_says_what_it_verified_of_batches() -> None:
    """Each of the four choices of two batches for two walls is bounded by prices, or shown impossible."""
    facts = check_plan(planned()).facts

    assert "every wall is papered from one batch: 'north' 2207, 'east' 2208" in facts
    assert "for each of the 4 choices of batches prices prove 4 rolls or more, or too few rolls" in facts


def swap(document: dict[str, Any]) -> None:
    """Say that the walls are of each other's batch."""
    document["batches"]["walls"] = {"north": "2208", "east": "2207"}


def forget(document: dict[str, Any]) -> None:
    """Say nothing of batches."""
    del document["batches"]


def miscount(document: dict[str, Any]) -> None:
    """Count a roll of the second batch too few."""
    document["batches"]["rolls"]["2208"] = 1


def overrate(document: dict[str, Any]) -> None:
    """Make one drop worth more than a roll at the first certificate."""
    certificate = document["batches"]["certificates"][0]
    certificate["drops"]["north"] = 10 * certificate["scale"]


def prove_nothing(document: dict[str, Any]) -> None:
    """Drop the certificates."""
    document["batches"]["certificates"] = []


@pytest.mark.parametrize(
    ("plant", "expected"),
    [
        (swap, "roll A-1: drop north (1 of 4) is cut from batch 2207, and 'north' is of 2208"),
        (forget, "rolls are of 2 batches, and nothing says which wall is of which"),
        (miscount, "batch 2208: 1 roll counted, 2 rolls listed"),
        (overrate, "batches.certificates[1]: drops worth"),
        (prove_nothing, "proof: prices prove only 0 rolls for 'north' from 2207, 'east' from 2207"),
    ],
)
def test_a_planted_fault_in_batches_is_named(plant: Callable[[dict[str, Any]], None], expected: str) -> None:
    """Each change makes the plan wrong in one way, and the judge says which."""
    document = planned()

    plant(document)

    assert any(line.startswith(expected) for line in lines(document))


def test_what_proves_the_batches_is_prices_or_a_search() -> None:
    """A third word is no plan at all, rather than a search."""
    document = planned()
    document["batches"]["by"] = "walls"

    with pytest.raises(PlanUnreadable, match=r"batches\.by: must be one of prices, search"):
        check_text(json.dumps(document))


def test_a_drop_without_a_wall_beside_others_with_one_is_a_fault() -> None:
    """Of batches 2207 and 2208 a wall takes one, and of the east drop nobody can then say which it may be of."""
    document = planned()
    del document["scenario"]["drop"][1]["wall"]

    assert "drop east: its wall is not told, so nobody can say which batch it may be of" in lines(document)


def test_rolls_of_a_batch_and_rolls_not_told_are_two_batches() -> None:
    """A plan that says nothing of batches is refused, though only the batch of A is told."""
    document = planned(WALLS.replace("batch = 2208\n", ""))
    del document["batches"]

    assert any("rolls are of 2 batches, and nothing says which wall is of which" in line for line in lines(document))


def test_a_bound_by_batches_needs_the_batches() -> None:
    """A proof that rests on prices by batch falls with them: three rolls would do, but for one batch on each wall."""
    text = WALLS.replace("count = 3\nbatch", "count = 2\nbatch").replace("count = 4", "count = 3")
    document = planned(text.replace("height = 500", "height = 400"))
    assert document["rolls_needed"] == 4  # three drops of 400 mm take two rolls of one batch, on either wall
    assert document["proof"]["by"] == "batches"

    document["batches"]["by"] = "search"

    assert "proof: rests on prices by batch, and the plan gives none" in lines(document)


def by_batch(text: str) -> str:
    """Return a scenario with its rolls of batches A and B by turns, and its drops on three walls one after another."""
    batches, walls = cycle("AB"), cycle(["north", "east", "south"])
    entries = re.split(r"(?=\[\[)", text)
    added = {"[[roll]]": lambda: f'batch = "{next(batches)}"', "[[drop]]": lambda: f'wall = "{next(walls)}"'}
    added["[[offcut]]"] = lambda: 'batch = "A"'
    for place, entry in enumerate(entries):
        head, _, rest = entry.partition("\n")
        if head in added:
            entries[place] = f"{head}\n{added[head]()}\n{rest}"
    return "".join(entries)


@pytest.mark.parametrize("seed", range(100))
def test_what_is_planned_by_batch_passes_the_judge(seed: int) -> None:
    """From the text to the judgement, whatever the rolls are."""
    scenario = parse_scenario(by_batch(special_scenario(seed, free=seed % 2 == 0)), "batches.toml")
    try:
        plan = solve(scenario.job)
    except NoPlanError:
        pytest.skip("no plan for this job")

    report = check_text(plan_text(plan_document(order_cuts(plan), scenario)))

    assert report.violations == ()


CUT_OUT_OF_ANY_BATCH = """\
units = "mm"
[paper]
roll_length = 2000
roll_width = 530
match = "free"
[trim]
top = 0
bottom = 0
[[roll]]
label = "A"
batch = 2207
[[roll]]
label = "B"
batch = 2208
[[drop]]
label = "1"
height = 2000
cut_outs = [{from_top = 0, length = 1000}]
[[drop]]
label = "2"
height = 900
batch = 2207
"""
"""Drop 1 may be of any batch; drop 2, which is of 2207, fits only into what falls out of it, or onto another roll."""


@pytest.mark.parametrize(("length_of_a", "rolls"), [(2000, 1), (1500, 2)])
def test_piece_of_a_batch_is_cut_from_what_falls_out_of_a_drop_of_that_batch(length_of_a: int, rolls: int) -> None:
    """Where no wall is told, a drop of any batch is cut from the one that saves a roll, if that is long enough."""
    scenario = parse_scenario(CUT_OUT_OF_ANY_BATCH.replace('"A"', f'"A"\nlength = {length_of_a}'), "list.toml")
    plan = solve(scenario.job)

    text = plan_text(plan_document(order_cuts(plan), scenario))

    assert plan.rolls_needed == plan.proof.bound == rolls
    assert not check_text(text).violations


def test_what_falls_out_of_a_drop_is_of_the_batch_that_the_drop_is_cut_from() -> None:
    """Drop 1 cut from the other roll: what falls out of it is then no paper for drop 2."""
    scenario = parse_scenario(CUT_OUT_OF_ANY_BATCH, "list.toml")
    plan = json.loads(plan_text(plan_document(order_cuts(solve(scenario.job)), scenario)))
    next(roll for roll in plan["rolls"] if roll["roll"] == "A").update(roll="B", lot="B")

    found = [fault.message for fault in check_plan(plan).violations if fault.rule == "batches"]

    assert found == ["drop 2 must be of batch 2207, not 2208"]


def test_offcut_serves_once_rolls_of_its_batch_are_to_be_had(tmp_path: Path) -> None:
    """No roll is of the offcut's batch until, of what could be given up, rolls of every batch wanted are to be had."""
    head = CUT_OUT_OF_ANY_BATCH.partition("[trim]")[0]
    path = tmp_path / "few.toml"
    path.write_text(
        f'{head}[[roll]]\nlabel = "A"\nlength = 1070\nbatch = 2207\n'
        '[[offcut]]\nlabel = "kept"\nlength = 550\nbatch = 2209\n'
        '[[drop]]\nlabel = "1"\nheight = 450\ncount = 2\nbatch = 2207\n'
        '[[drop]]\nlabel = "2"\nheight = 1800\nbatch = 2209\n'
        '[[drop]]\nlabel = "3"\nheight = 450\n',
        encoding="utf-8",
    )

    text = CliRunner().invoke(app, ["plan", str(path), "--json"]).stdout

    assert any(roll["lot"] == "kept" for step in json.loads(text)["given_up"] for roll in step["plan"]["rolls"])
    assert not check_text(text).violations
