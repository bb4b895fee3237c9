"""``motif_at``: the print hung by what the customer points at, judged on the wall by the checker's own reading."""

from __future__ import annotations

import json
from fractions import Fraction
from typing import Final

import pytest

from cutplan.check import check_text
from cutplan.errors import ScenarioError
from cutplan.render.documents.plan_document import plan_document, plan_text
from cutplan.scenario.read import Scenario, parse_scenario
from cutplan.solve import solve

ROOM: Final = """
    units = "mm"
    paper = {{name = "paper", roll_length = "10.05 m", roll_width = 530, match = "{match}"}}
    [[wall]]
    name = "bed wall"
    width = 3200
    {top}
    fitting = [{{kind = "fitting", name = "bed head", left = 700, width = 1800, height = 1100}}]
    opening = [{{kind = "window", name = "hatch", left = 2600, width = 400, foot = 900, height = 600}}]
    [start]
    at = "middle"
    puts = "joint"
    {motif}
    """


def room(motif: str, *, match: str = "64/32 cm", top: str = "height = 2400") -> Scenario:
    """Return a wall with a bed head 1100 mm high and a hatch from 900 to 1500 mm."""
    return parse_scenario(ROOM.format(motif=motif, match=match, top=top), "room")


@pytest.mark.parametrize(
    ("motif_at", "drop"),
    [
        ('"165 cm"', "110"),  # 2400 − 1650 = 750 mm below the ceiling; a repeat of 640 higher, 110
        ("1650", "110"),
        ('"165 cm above the floor"', "110"),
        ('"20 cm above bed head"', "460"),  # 1100 + 200 = 1300 mm up; 1100 down, less 640
        ('"4 in below the hatch"', "321.6"),  # 900 − 101.6 mm up: 1601.6 down, less 2 × 640
    ],
)
def test_motif_hangs_where_the_customer_points(motif_at: str, drop: str) -> None:
    """The first strip's first motif lies so far below the ceiling that another hangs at that very height."""
    scenario = room(f"motif_at = {motif_at}")

    assert scenario.setting_out is not None
    assert scenario.setting_out.start.motif_drop == Fraction(drop)
    document = plan_document(solve(scenario.job), scenario)
    assert check_text(plan_text(document)).violations == ()


def test_checker_refuses_a_print_hung_off_that_height() -> None:
    """The echo asks for 1650 mm; the plan was made for 1651."""
    document = json.loads(plan_text(plan_document(solve((made := room("motif_at = 1651")).job), made)))
    document["scenario"]["start"]["motif_at"] = 1650

    violations = [violation.message for violation in check_text(json.dumps(document)).violations]

    assert any("hangs 1 mm higher than the start says" in message for message in violations)


def test_height_is_exact_below_a_sloping_ceiling() -> None:
    """The level line is taken to 1/64 mm at the slope; the motif hangs at 1650 mm all the same."""
    scenario = room("motif_at = 1650", top="top = [[0, 2400], [3200, 2433]]")

    assert scenario.setting_out is not None
    start = scenario.setting_out.start
    assert (scenario.setting_out.level_line - start.motif_drop - 1650) % 640 == 0
    assert check_text(plan_text(plan_document(solve(scenario.job), scenario))).violations == ()


@pytest.mark.parametrize(
    ("motif", "match", "fault"),
    [
        ('motif_at = "20 cm above bed haed"', "64 cm", 'nothing is called "bed haed"; did you mean "bed head"?'),
        ('motif_at = "20 cm below the floor"', "64 cm", "nothing hangs below the floor line"),
        ('motif_at = "high up"', "64 cm", 'cannot read "high up" as a height'),
        ('motif_at = "2 m below hatch"', "64 cm", "lies below the floor line"),
        ("motif_at = 1650\nmotif_drop = 100", "64 cm", "and motif_drop say the same thing twice"),
        ("motif_at = 1650", "free", "a free match has no motif; leave motif_at out"),
    ],
)
def test_height_that_cannot_be_is_refused_at_its_key(motif: str, match: str, fault: str) -> None:
    """The fault names start.motif_at, and what to write."""
    with pytest.raises(ScenarioError) as refused:
        room(motif, match=match)

    said = "\n".join(refused.value.lines())
    assert "start.motif_at" in said
    assert fault in said
