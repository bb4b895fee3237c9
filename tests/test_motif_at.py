"""``motif_at``: the print hung by what the customer points at, judged on the wall by the checker's own reading."""

from __future__ import annotations

import json
import re
from fractions import Fraction
from typing import TYPE_CHECKING, Final

import pytest
from msgspec.structs import replace

from cutplan.check import check_text
from cutplan.comparing.comparison import compare
from cutplan.comparing.placements import focus_of, placements_of
from cutplan.contract.read_contract import mirrored_scenario
from cutplan.faults import ScenarioError
from cutplan.parts.part import PartedJob
from cutplan.parts.read_parts import read_job
from cutplan.render.documents.plan_document import plan_document, plan_text
from cutplan.render.pages.comparing_page import comparison_page
from cutplan.render.sheet.customer_page import customer_sheet
from cutplan.render.words.start_lines import start_lines
from cutplan.scenario.read import Scenario, parse_scenario
from cutplan.setting_out import set_out
from cutplan.setting_out.start import hung_at
from cutplan.solve import solve

if TYPE_CHECKING:
    from pathlib import Path

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


# It is told the same way wherever it is told.

SHAPES: Final = {
    "sloping ceiling": "top = [[0, 2400], [3200, 2733]]",
    "stair": "top = [[0, 2400], [3200, 2600]]\nfoot = [[0, 0], [1600, 0], [3200, 600]]",
    "level": "height = 2400",
}
TOLD: Final = [("1650", 1650, "1650 mm above the floor"), ('"20 cm above bed head"', 1300, "bed head (1300 mm above")]


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize(("motif_at", "height"), [told[:2] for told in TOLD])
def test_every_start_that_is_compared_keeps_the_height(shape: str, motif_at: str, height: int) -> None:
    """Wherever hanging starts a motif of the first strip is as high, and the lines to choose it say that again."""
    scenario = room(f"motif_at = {motif_at}", top=SHAPES[shape])
    found = scenario.setting_out
    assert found is not None
    for placement in placements_of(found, focus_of(found), step=Fraction(200)):
        if placement.start.at == 3200:  # Nothing is left to the right of a joint in that corner.
            continue
        moved = set_out(found.room, found.paper, placement.start, found.way)
        assert (moved.level_line - placement.start.motif_drop - height) % 640 == 0
        lines = "\n".join(start_lines(found.room, placement, found.way, "mm"))
        assert f"motif_at = {motif_at}" in lines
        again = parse_scenario(
            re.sub(r" *\[start\](.|\n)*", lines, ROOM).format(match="64/32 cm", top=SHAPES[shape]), "again"
        ).setting_out
        assert again is not None
        assert again.start == moved.start


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize(("motif_at", "height", "said"), TOLD)
def test_customer_and_comparison_are_told_the_height_that_was_pointed_at(
    shape: str, motif_at: str, height: int, said: str
) -> None:
    """Both say it as it was told, with the height above the floor; the mirrored room's page says the same."""
    scenario = room(f"motif_at = {motif_at}", top=SHAPES[shape])
    assert scenario.setting_out is not None
    comparison = compare(
        scenario.setting_out, scenario.job, focus_of(scenario.setting_out), step=Fraction(10), asks_heights=True
    )
    page = comparison_page(comparison, (), "mm", "mm")
    assert said in " ".join(page.split())
    for each in (scenario, mirrored_scenario(scenario)):
        assert each.setting_out is not None
        shown = set_out_as_told(each)
        assert said in shown
        drop = re.search(r"the first, (\d+) mm below the level line", shown)
        assert drop is not None
        assert abs(int(drop[1]) - (each.setting_out.level_line - height) % 640) <= Fraction(1, 2)


def set_out_as_told(scenario: Scenario) -> str:
    """Return the customer's page as plain text."""
    assert scenario.setting_out is not None
    page = customer_sheet(scenario, scenario.setting_out, "mm", None)
    return " ".join(re.sub(r"<[^>]+>", "", page).split())


def test_band_hangs_by_the_height_above_the_floor_too(tmp_path: Path) -> None:
    """The dado's top lies at 1000: a motif at 600 is 400 below it, though the wall is 2400 high."""
    text = ROOM.format(match="64/32 cm", top="height = 2400", motif="motif_drop = 0").replace("    ", "")
    paper, walls = text.partition("\n[[wall]]")[::2]
    units, paper = paper.strip().splitlines()
    bands = '[[rail]]\nname = "rail"\nfoot = 1000\n[[band]]\nname = "dado"\nbelow = "rail"\n'
    bands += f'{paper}\n[band.start]\nat = 0\nputs = "joint"\nmotif_at = 600\n'
    bands += '[[band]]\nname = "field"\nabove = "rail"\nbare = true\n'
    path = tmp_path / "bands.toml"
    path.write_text(f"{units}\n{bands}[[wall]]{walls.partition('[start]')[0]}")
    job = read_job(str(path))
    assert isinstance(job, PartedJob)
    (dado,) = (part.scenario for part in job.parts)
    assert dado.setting_out is not None
    assert dado.setting_out.start.motif_drop == 400
    assert "600 mm above the floor" in set_out_as_told(dado)


@pytest.mark.parametrize("wall", [-1, 1])
def test_start_on_a_wall_that_is_not_there_is_left_as_it_is(wall: int) -> None:
    """Nothing is worked out of it here: whoever sets the room out refuses it."""
    found = room('motif_at = "165 cm"').setting_out
    assert found is not None
    start = replace(found.start, wall=wall)
    assert hung_at(found.room, found.paper, start) is start
