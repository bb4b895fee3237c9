"""What comes away from the pieces of a room: the planner and the judge find the same, each by its own arithmetic."""

from __future__ import annotations

import json
from fractions import Fraction
from typing import Any

from hypothesis import given, settings
from msgspec.structs import replace

from cutplan.check import check_plan
from cutplan.check.stated.echo import read_wanted
from cutplan.check.stated.fields import Table
from cutplan.check.wall_rules.on_the_wall import read_wall, with_drops
from cutplan.job.drops import CutOut, drops_of
from cutplan.plan.proof import Status
from cutplan.render.documents.plan_document import plan_document, plan_text
from cutplan.scenario.read import parse_scenario
from cutplan.solve import solve
from cutplan.solve.ordering import order_cuts
from hung_plans import TRIMS, document_of_survey
from surveyed_rooms import Survey, surveys
from test_check_wall_rooms import set_out_or_pass

ROOM = """\
units = "mm"
[paper]
roll_length = 5300
roll_width = 500
match = "100 mm"
[trim]
top = 0
bottom = 0
[start]
wall = "one"
at = 0
puts = "joint"
motif_drop = 0
[[wall]]
name = "one"
width = 2300
height = 2400
[[wall.opening]]
kind = "window"
name = "window"
left = 250
width = 1250
foot = 800
height = 1200
"""
"""Columns from 0 to 2300: beside the window, two over and under it, one beside it whole, and 300 mm at the end."""


def mm(number: int) -> Fraction:
    """Return whole millimetres as a length."""
    return Fraction(number)


@given(surveys())
@settings(max_examples=50, deadline=None)
def test_judge_and_planner_agree_on_what_comes_away(survey: Survey) -> None:
    """Widths, cut-outs at openings and what is left beside narrow pieces, with their print and their labels."""
    setting_out = set_out_or_pass(survey)
    document = json.loads(json.dumps(document_of_survey(survey, setting_out, [None])))
    table = Table("", document, [])
    scenario = table.table("scenario")
    assert scenario is not None
    wanted = read_wanted(scenario)
    wall = read_wall(table, scenario, wanted)
    assert wall is not None

    judged = with_drops(wanted, wall).drops.values()

    planned = drops_of(setting_out, *TRIMS, counts_cut_outs=True)
    assert [(drop.label, drop.left, drop.right, [_facts(cut) for cut in drop.cut_outs]) for drop in judged] == [
        (drop.label, drop.left, drop.right, [_facts(cut) for cut in drop.cut_outs]) for drop in planned
    ]


def _facts(cut_out: Any) -> tuple[object, ...]:  # noqa: ANN401 - the planner's or the judge's, which share no class
    return cut_out.label, cut_out.length, cut_out.first_motif, cut_out.left, cut_out.right


def test_a_room_counts_on_what_falls_out_at_openings_and_on_what_is_left_beside_narrow_pieces() -> None:
    """The window takes 250 to 500 of the first strip; of the last, 300 mm hang and 200 are left, trims and all."""
    drops = {drop.label: drop for drop in parse_scenario(ROOM, "room.toml").job.drops}

    assert drops["1"].cut_outs == (CutOut("cut-out of 1", mm(1200), mm(0), mm(250), mm(500)),)
    assert (drops["1"].left, drops["1"].right) == (None, None)
    last = drops["7"]
    assert (last.left, last.right) == (mm(0), mm(300))
    assert last.cut_outs == (CutOut("right of 7", mm(2400), mm(0), mm(300), mm(500)),)


def test_cut_outs_at_reveals_are_not_counted_on() -> None:
    """Their edges are turned in. The patches of the head, 200 long, are slit from the strip like any narrow piece."""
    drops = parse_scenario(ROOM + "reveal = 100\n", "room.toml").job.drops

    assert [cut_out.label for drop in drops for cut_out in drop.cut_outs] == [
        "left of patch of 1",
        "right of 7",
    ]


def test_a_plan_of_a_room_with_cut_outs_holds_and_none_of_its_pieces_is_narrower_than_it_needs() -> None:
    """Planned with cut-outs it needs no more rolls than without, and the judge has nothing to object to."""
    scenario = parse_scenario(ROOM, "room.toml")
    bare = replace(scenario.job, drops=tuple(replace(drop, cut_outs=()) for drop in scenario.job.drops))

    plan = solve(scenario.job)

    document = json.loads(plan_text(plan_document(order_cuts(plan), scenario)))
    assert check_plan(document).violations == ()
    assert plan.status is Status.OPTIMAL
    assert plan.rolls_needed <= solve(bare).rolls_needed
