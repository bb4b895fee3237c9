"""Batches on the page: which walls, where they change, what turns a corner; and what the answer rests on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.render.pages.plan_page import plan_page
from cutplan.render.sheet.paper_words import first_checks
from cutplan.render.words.answer_words import answer
from cutplan.render.words.batch_words import batch_lines, batches_section
from cutplan.scenario.read import parse_scenario
from cutplan.solve import solve
from cutplan.table.sequence import sequence_of
from test_batches import walls

if TYPE_CHECKING:
    from cutplan.plan.plan import Plan

ROOM = """\
units = "mm"
[paper]
roll_length = "10 m"
roll_width = 500
match = "free"
[[roll]]
label = "A"
length = "8 m"
batch = 2207
[[roll]]
label = "B"
length = "8 m"
batch = 2208
[[wall]]
name = "north"
width = 1200
height = 2400
[[wall]]
name = "east"
width = 1200
height = 2400
[start]
wall = "north"
at = 0
puts = "joint"
"""
"""Strips 0 and 1 hang on north; strip 2 has 200 mm there, 20 turned, and 280 go on east from 0. Two more follow."""


def planned(text: str) -> Plan:
    """Return the plan of a scenario."""
    return solve(parse_scenario(text, "room.toml").job)


def test_the_page_says_which_walls_are_of_which_batch() -> None:
    """Three strips of 2500 mm on each roll of 8 m: the strip that turns the corner is of the batch of north."""
    scenario = parse_scenario(ROOM, "room.toml")
    plan = solve(scenario.job)

    section = batches_section(plan, scenario.setting_out, "mm")

    assert section == (
        "Batches\n=======\n\n"
        "batch    walls      rolls\n-------  -------  -------\n2207     north          1\n2208     east           1\n\n"
        "Two batches can differ in shade, so each wall is papered from one of them.\n"
        "The batch changes from north to east in their internal corner.\n"
        "Drop 3 is of north's batch, and 280 mm of it hang on east, round the corner."
    )


def test_wall_on_which_no_drop_begins_has_no_batch_of_its_own() -> None:
    """Strip 2 has 200 mm on north and 20 turned; of its last 280, 250 cover a side, 20 are turned, 10 go on."""
    side = '[[wall]]\nname = "side"\nwidth = 250\nheight = 2400\n[[wall]]\nname = "east"'
    scenario = parse_scenario(ROOM.replace('[[wall]]\nname = "east"', side), "room.toml")
    plan = solve(scenario.job)

    assert list(batch_lines(plan, scenario.setting_out, "mm")) == [
        "Two batches can differ in shade, so each wall is papered from one of them.",
        "No drop begins on side: what is turned onto it is of the batch that it comes from.",
        "Drop 3 is of north's batch, and 10 mm of it hang on east, round the corner.",
    ]


def test_the_steps_are_said_to_name_the_batch() -> None:
    """Which rolls bear which number is said before the first cut; where walls are shared out nothing is warned of."""
    page = plan_page(sequence_of(planned(ROOM)))

    said = "See that every roll bears the batch number that its steps name (2207: A; 2208: B)."
    assert said in " ".join(page.split())
    assert "cannot compare" not in page


def test_the_answer_says_that_every_choice_is_proved() -> None:
    """Mixed, three rolls would do; with one batch for each wall it takes four, whichever is chosen."""
    plan = solve(walls("AABB", ("north", 400, 3), ("east", 400, 3)))

    by_prices = "Proved for every choice of one batch for each wall, by prices that anyone can check (see --json)"
    assert answer(plan) == ["4 rolls are enough.", f"{by_prices}: no plan needs fewer."]


def test_without_walls_two_batches_are_warned_of() -> None:
    """A list of drops that does not tell walls keeps the warning, and has no section on batches."""
    text = ROOM[: ROOM.index("[[wall]]")] + '[[drop]]\nlabel = "1"\nheight = 2400\ncount = 6\n'
    plan = planned(text)

    assert batches_section(plan, None, "mm") is None
    assert "The rolls are of 2 batches (2207: A; 2208: B)" in plan_page(sequence_of(plan))


def test_the_sheet_says_what_each_batch_is_for() -> None:
    """Before the first cut whoever opens the rolls reads which walls they are for."""
    scenario = parse_scenario(ROOM, "room.toml")
    checks = list(first_checks(sequence_of(solve(scenario.job)), scenario.setting_out, "mm"))

    assert "Batch 2207 (1 roll) is for north." in checks
    assert "Batch 2208 (1 roll) is for east." in checks
