"""Drops that must be of a certain batch, and offcuts that come to be there as the hanging goes on."""

from __future__ import annotations

from random import Random
from typing import TYPE_CHECKING

import pytest

from cutplan.check import check_text
from cutplan.errors import NoPlanError
from cutplan.faults import ScenarioError
from cutplan.render.documents.plan_document import plan_document, plan_text
from cutplan.scenario.read import Scenario, parse_scenario
from cutplan.solve import solve
from cutplan.solve.ordering import order_cuts

if TYPE_CHECKING:
    from cutplan.plan.plan import Plan

HEAD = """
    units = "mm"
    paper = { roll_length = 5000, roll_width = 530, match = "free" }
"""


def planned(scenario: Scenario) -> Plan:
    """Return the plan of a scenario, its order chosen, after the judge has passed it."""
    plan = order_cuts(solve(scenario.job))
    report = check_text(plan_text(plan_document(plan, scenario)))

    assert [violation.line() for violation in report.violations] == []
    return plan


def cut_from(plan: Plan) -> dict[str, str | None]:
    """Return for each drop the batch of the paper that it is cut from."""
    return {cut.drop: plan.job.lot(layout.lot).batch for layout in plan.layouts for cut in layout.cuts}


def test_wall_that_must_be_of_a_batch_is_papered_from_it_though_another_would_cost_less() -> None:
    """Two drops of 2400 mm fit on a roll of either batch; the third, on the south wall, must be of 22."""
    text = """
        roll = [{ label = "A", batch = "11" }, { label = "B", batch = "22" }, { label = "C", batch = "22" }]
        drop = [
            { label = "1", height = 2300, wall = "north" },
            { label = "2", height = 2300, wall = "south", batch = "22" },
            { label = "3", height = 2300, wall = "south" },
        ]
    """
    plan = planned(parse_scenario(HEAD + text, "walls.toml"))

    assert plan.batches is not None
    assert plan.batches.of_walls["south"] == "22"
    assert cut_from(plan)["3"] == "22"


def test_walls_that_all_must_be_of_a_batch_are_still_said_to_be() -> None:
    """Nothing is left to choose, and the plan says which wall is of which batch all the same."""
    text = """
        roll = [{ label = "A", batch = "11" }, { label = "B", batch = "22" }]
        drop = [
            { label = "1", height = 2300, wall = "north", batch = "22" },
            { label = "2", height = 2300, wall = "south", batch = "11" },
        ]
    """
    plan = planned(parse_scenario(HEAD + text, "walls.toml"))

    assert plan.batches is not None
    assert plan.batches.of_walls == {"north": "22", "south": "11"}


def test_batch_of_which_no_roll_is_left_gives_what_its_offcuts_hold_and_no_more() -> None:
    """A wall begun in batch 11, of which only an offcut is left: it serves that wall, and no other."""
    text = """
        roll = [{{ label = "B", batch = "22" }}]
        offcut = [{{ label = "K", length = 2500, batch = "11" }}]
        drop = [
            {{ label = "1", height = {}, wall = "north", batch = "11" }},
            {{ label = "2", height = 2300, wall = "south" }},
        ]
    """
    plan = planned(parse_scenario(HEAD + text.format(2300), "walls.toml"))
    assert cut_from(plan) == {"1": "11", "2": "22"}

    with pytest.raises(NoPlanError, match="there is no roll of batch 11 to cut it from"):
        solve(parse_scenario(HEAD + text.format(2600), "walls.toml").job)


def test_two_batches_on_one_wall_are_refused() -> None:
    """The scenario says which drop asks for another batch than the wall's first."""
    text = """
        roll = [{ label = "A", batch = "11" }]
        drop = [
            { label = "1", height = 2300, wall = "north", batch = "11" },
            { label = "2", height = 2300, wall = "north", batch = "22" },
        ]
    """
    with pytest.raises(ScenarioError, match='another than that of a drop on the same wall, "11"'):
        parse_scenario(HEAD + text, "walls.toml")


def test_offcut_serves_only_drops_that_hang_after_the_one_that_it_waits_for() -> None:
    """Three drops, a roll for two of them, and an offcut for one: drop 1 is not after drop 1, drop 3 is."""
    text = """
        roll = [{{ label = "A" }}]
        offcut = [{{ label = "K", length = 2500, after = "{}" }}]
        drop = [
            {{ label = "1", height = 2300 }}, {{ label = "2", height = 2300 }}, {{ label = "3", height = 2300 }}
        ]
    """
    plan = planned(parse_scenario(HEAD + text.format(2), "after.toml"))
    assert {layout.lot: [cut.drop for cut in layout.cuts] for layout in plan.layouts}["K"] == ["3"]

    with pytest.raises(NoPlanError):
        solve(parse_scenario(HEAD + text.format(3), "after.toml").job)
    with pytest.raises(ScenarioError, match='there is no drop "4"'):
        parse_scenario(HEAD + text.format(4), "after.toml")


@pytest.mark.parametrize("seed", range(40))
def test_settled_batches_cost_what_trying_every_choice_finds(seed: int) -> None:
    """Up to three walls, two batches: each choice planned wall by wall with its drops settled, the least taken."""
    chance = Random(seed)  # noqa: S311 - repeatable, nothing secret
    walls = [chance.choice(["a", "b", "c"]) for _ in range(chance.randint(2, 5))]
    settled = {wall: chance.choice(["11", "22"]) for wall in "abc" if chance.random() < 0.4}
    rolls = [{"11": chance.randint(3000, 8000)}, {"22": chance.randint(3000, 8000)}]
    rolls += [{chance.choice(["11", "22"]): chance.randint(3000, 8000)} for _ in range(2)]
    heights = [chance.randint(1000, 2600) for _ in walls]

    def job_of(pins: dict[str, str]) -> Scenario:
        drops = "".join(
            f'[[drop]]\nlabel = "{number}"\nheight = {height}\nwall = "{wall}"\n'
            + (f'batch = "{pins[wall]}"\n' if wall in pins else "")
            for number, (wall, height) in enumerate(zip(walls, heights, strict=True), 1)
        )
        stock = "".join(
            f'[[roll]]\nlabel = "R{number}"\nlength = {length}\nbatch = "{batch}"\n'
            for number, roll in enumerate(rolls)
            for batch, length in roll.items()
        )
        return parse_scenario(HEAD + stock + drops, "random.toml")

    def value(pins: dict[str, str]) -> int | None:
        try:
            return planned(job_of(pins)).rolls_needed
        except NoPlanError:
            return None

    choices: list[dict[str, str]] = [settled]
    for wall in dict.fromkeys(walls):
        if wall not in settled:
            choices = [{**pins, wall: batch} for pins in choices for batch in ("11", "22")]
    found = [needed for pins in choices if (needed := value(pins)) is not None]

    assert value(settled) == min(found, default=None)


def test_what_falls_out_on_a_wall_whose_batch_is_open_serves_a_wall_that_must_be_of_one() -> None:
    """Roll A gives drops 1 and 2, 2400 mm each; drop 3, 100 mm wide, comes out of what is cut away beside drop 2."""
    text = """
        roll = [{ label = "A", batch = "11" }, { label = "B", batch = "22" }]
        [[drop]]
        label = "1"
        height = 2300
        wall = "south"
        [[drop]]
        label = "2"
        height = 2300
        wall = "south"
        left = 0
        right = 100
        cut_outs = [{ label = "right of 2", left = 100, right = 530, length = 2400 }]
        [[drop]]
        label = "3"
        height = 2300
        wall = "north"
        batch = "11"
        left = 430
        right = 530
    """
    plan = planned(parse_scenario(HEAD + text, "walls.toml"))

    assert plan.rolls_needed == 1
    assert plan.status.value == "optimal"
    assert cut_from(plan)["1"] == "11"
    assert (
        plan.job.lot(next(layout.lot for layout in plan.layouts for cut in layout.cuts if cut.drop == "3")).cut_from
        == "2"
    )
