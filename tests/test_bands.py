"""Bands: a wall parted by height, each part in a paper of its own; what is planned, and what the judge refuses."""

from __future__ import annotations

import json
from copy import deepcopy
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from cutplan.check import PlanUnreadable, check_text
from cutplan.faults import ScenarioError
from cutplan.parts.clipping import clipped, held_within
from cutplan.parts.part import PartKind
from cutplan.parts.rails import Line
from cutplan.parts.read_parts import parse_job, read_job, read_scenario
from cutplan.progress.record_beside import record_path, scenario_beside
from cutplan.render.documents.plan_document import plan_document
from cutplan.room.profile import Profile
from cutplan.room.walls import Opening, OpeningKind, Wall
from cutplan.scenario.read import Scenario, plain_document
from cutplan.scenario.toml_file import parse_toml
from cutplan.solve import make_plan
from parted_rooms import parted_room
from parts_planned import job_of, planned
from program import run

if TYPE_CHECKING:
    from collections.abc import Callable


WALL = """units = "mm"
[trim]
top = 50
bottom = 50
[[wall]]
name = "wall"
width = 1500
height = 2400
[[wall.opening]]
kind = "window"
left = 500
width = 500
foot = 700
height = 900
[[rail]]
name = "rail"
foot = 800
height = 50
[start]
at = 0
puts = "joint"
way = "right"
motif_drop = 0
[[band]]
name = "filling"
above = "rail"
[band.paper]
roll_length = "10 m"
roll_width = 500
match = "300"
[[band]]
name = "dado"
below = "rail"
[band.paper]
roll_length = "6 m"
roll_width = 500
match = "200"
[band.start]
at = 0
puts = "joint"
way = "right"
motif_drop = 150
"""
"""A wall 1500 wide, three strips of 500, parted by a rail from 800 to 850. Its window begins under the rail.

  2400 ┌────────┬────────┬────────┐
       │ filling, 1550 high       │
  1600 │        ┌────────┐        │
       │        │ window │        │
   850 ├────────│        │────────┤ rail, 50 high
   800 ├────────│        │────────┤
   700 │        └────────┘        │
       │  dado, 800 high          │
     0 └────────┴────────┴────────┘
       0       500      1000     1500
"""

STAIR = """units = "mm"
[[wall]]
name = "stair"
width = 2000
height = 3600
foot = [[0, 0], [1000, 0], [2000, 750]]
[[rail]]
name = "rail"
foot = "900 mm above the foot"
height = 40
[start]
at = 0
puts = "joint"
way = "right"
motif_drop = 100
[[band]]
name = "wall"
above = "rail"
bare = true
[[band]]
name = "dado"
below = "rail"
[band.paper]
roll_length = "10 m"
roll_width = 500
match = "400"
"""
"""A stair wall of four strips of 500; its foot is level for 1000 and then rises by 750. The dado rises with it.

             ╱ 1650
           ╱
  900 ───╱          the top of the dado, 900 above the foot
          strip 3: from 0 to 1275, strip 4: from 375 to 1650
    0 ────╱ 1000
"""

FRIEZE = """units = "mm"
[[wall]]
name = "hearth wall"
width = 1500
height = 2400
[[wall.opening]]
kind = "fireplace"
name = "hearth"
left = 500
width = 500
height = 1100
[[rail]]
name = "picture rail"
foot = 2000
height = 40
[start]
at = 0
puts = "joint"
way = "right"
motif_drop = 60
[[band]]
name = "frieze"
above = "picture rail"
[band.paper]
roll_length = 2060
roll_width = 500
match = "320"
[[band]]
name = "filling"
below = "picture rail"
[band.paper]
roll_length = "10 m"
roll_width = 500
match = "600/300"
"""
"""A wall 1500 wide with a picture rail over its hearth: a frieze 360 high above it, and a filling 2000 high under it.

  2400 ┌────────┬────────┬────────┐
       │ frieze │ frieze │ frieze │  360 high, all along: the hearth does not reach it
  2040 ├────────┼────────┼────────┤
  2000 ├────────┼────────┼────────┤  picture rail, 40 high
       │        │  900   │        │
  1100 │  2000  ┌────────┐  2000  │  filling
       │        │ hearth │        │
     0 └────────┘        └────────┘
       0       500      1000     1500
"""


def faults_of(text: str) -> list[str]:
    """Return the faults of a job that cannot be read."""
    with pytest.raises(ScenarioError) as caught:
        parse_job(text, "room.toml")
    return [fault.what for fault in caught.value.faults]


def test_each_band_is_an_ordinary_job_of_its_own_heights() -> None:
    """The filling hangs from 2400 to 850, the dado from 800 to 0, each from its own level line in its own paper."""
    filling, dado = job_of(WALL).parts

    assert (filling.name, filling.kind, filling.scenario.source) == ("filling", PartKind.BAND, "room.toml/filling")
    # Left and right of the window a whole strip; over it 2400 - 1600, and nothing under it, for it begins in the dado.
    assert [drop.height for drop in filling.scenario.job.drops] == [1550, 800, 1550]
    # Under the window up to its foot.
    assert [drop.height for drop in dado.scenario.job.drops] == [800, 700, 800]
    # The dado's level line is its top at the start, 800; under the window the print is 100 further on: 150 - 100.
    assert [drop.first_motif for drop in dado.scenario.job.drops] == [150, 50, 150]
    assert dado.scenario.setting_out is not None
    assert dado.scenario.setting_out.level_line == 800


def test_rolls_of_a_band_by_hand() -> None:
    """The dado: cuts of 900, 800 and 900 at motifs 200 apart end 2800 from the first, so one roll of 6 m is enough."""
    plans = json.loads(planned(WALL))["plans"]

    assert [(plan["part"], plan["rolls_needed"], plan["status"]) for plan in plans] == [
        ("filling", 1, "optimal"),  # 1650 + 900 + 1650 and less than two repeats of 300 between, of 10 m less 300
        ("dado", 1, "optimal"),
    ]
    assert check_text(planned(WALL)).holds


def test_a_frieze_runs_over_the_hearth_and_the_filling_under_it_is_cut_out() -> None:
    """The frieze counts from 2400, the filling from 2000: over the hearth it is 900 high, and half a repeat lower."""
    frieze, filling = job_of(FRIEZE).parts

    assert [[drop.height, drop.first_motif] for drop in frieze.scenario.job.drops] == [[360, 60]] * 3
    measured = [[drop.height, drop.first_motif] for drop in filling.scenario.job.drops]
    assert measured == [[2000, 60], [900, 360], [2000, 60]]
    # As the hearth stands in the filling alone, it is a mark on the frieze's wall, and nothing is cut out there.
    assert frieze.scenario.setting_out is not None
    assert [thing.name for thing in frieze.scenario.setting_out.room.walls[0].fittings] == ["hearth"]


@pytest.mark.parametrize(("length", "rolls"), [(2060, 1), (2059, 2)])
def test_rolls_of_a_frieze_by_hand(length: int, rolls: int) -> None:
    """Cuts of 460 begin alike, every 640 of a repeat of 320: three take 640 + 640 + 460, and 320 for the lead-in."""
    text = FRIEZE.replace("2060", str(length))
    plans = json.loads(planned(text))["plans"]

    assert [(plan["part"], plan["rolls_needed"], plan["status"]) for plan in plans] == [
        ("frieze", rolls, "optimal"),
        ("filling", 1, "optimal"),  # 2100 + 1000 + 2100, and less than three repeats of 600 between and before, of 10 m
    ]
    assert check_text(planned(text)).holds


def test_a_dado_rises_with_the_stair() -> None:
    """Each strip is cut to the longest edge in its width: 900, 900, then 900 and what the stair rises in 500, 375.

    The rail is 900 above the foot, and the paper under it hangs plumb, its foot cut to the stair::

                                  ╱│ 1650
                     rail   1275 ╱ │
         900 ───────────────────╱  │
             │      │      │   │ 4 │
             │  1   │  2   │ 3 │  ╱  750
             │      │      │   │ ╱
           0 └──────┴──────┴───╱      375 where 3 and 4 meet
             0     500   1000 1500 2000
    """
    (dado,) = job_of(STAIR).parts

    assert [drop.height for drop in dado.scenario.job.drops] == [900, 900, 1275, 1275]
    # The print counts from the level line at 900: tops at 900, 900, 1275, 1650 lie 0, 0, 375 and 750 above it.
    assert [drop.first_motif for drop in dado.scenario.job.drops] == [100, 100, (100 + 375) % 400, (100 + 750) % 400]
    assert check_text(planned(STAIR)).holds


def test_a_level_line_of_a_band_may_be_the_rooms() -> None:
    """A level line that a band is given stands for its own: 150 below 600 is 350 below the dado's top at 800."""
    (_, dado) = job_of(WALL.replace('name = "dado"', 'name = "dado"\nlevel_line = 600')).parts

    assert dado.scenario.job.drops[0].first_motif == (150 + 200) % 200


def test_a_frieze_under_a_slope_keeps_its_height() -> None:
    """A frieze 300 below a top that falls from 2700 to 2100 is a parallelogram: 300 and what the top falls in 500."""
    slope = WALL.replace("height = 2400", "top = [[0, 2700], [1500, 2100]]", 1)
    frieze = slope.replace("foot = 800", 'foot = "300 mm below top"').replace("height = 50", "height = 0")

    assert [drop.height for drop in job_of(frieze).parts[0].scenario.job.drops] == [500, 500, 500]
    assert check_text(planned(frieze)).holds


def test_a_line_lies_on_the_wall_where_it_would_leave_it() -> None:
    """A level line of 900 follows a foot that rises above it: 900 until 1200 along, half of a rise of 1800."""
    wall = Wall(
        "stair",
        Fraction(2400),
        Profile.at_height(Fraction(3000)),
        Profile(((Fraction(0), Fraction(0)), (Fraction(2400), Fraction(1800)))),
    )

    points = held_within(wall, Profile.at_height(Fraction(900))).points

    assert [[along, height] for along, height in points] == [[0, 900], [1200, 900], [2400, 1800]]
    assert held_within(wall, Profile.at_height(Fraction(4000))).level == 3000


def test_a_wall_on_which_a_band_does_not_lie_is_all_opening() -> None:
    """Above a rail at 900 nothing is left of a wall 800 high; the run goes on round its corners."""
    low = Wall("low", Fraction(1000), Profile.at_height(Fraction(800)), Profile.at_height(Fraction(0)))

    (nothing,) = clipped(low, Line(Fraction(900)).on(low), low.top).openings

    assert [nothing.left, nothing.width, nothing.foot, nothing.height] == [0, 1000, 0, 800]


def test_an_opening_elsewhere_is_kept_as_a_mark() -> None:
    """A start may go by the middle of a window that lies wholly above the band."""
    window = Opening("window", OpeningKind.WINDOW, Fraction(200), Fraction(400), Fraction(900), Fraction(800))
    wall = Wall("wall", Fraction(1000), Profile.at_height(Fraction(2400)), Profile.at_height(Fraction(0)), (window,))

    dado = clipped(wall, wall.foot, Profile.at_height(Fraction(800)))

    assert dado.openings == ()
    assert [(fitting.name, fitting.is_beside(dado)) for fitting in dado.fittings] == [("window", True)]


@pytest.mark.parametrize(
    ("written", "instead", "said"),
    [
        ('below = "rail"', 'above = "rail"', "lies where"),
        ('below = "rail"', "", "not next to one another"),
        ('below = "rail"', 'below = "rial"', "there is no rail"),
        ('name = "dado"', 'name = "filling"', "is used by an earlier entry"),
        ('name = "dado"', 'name = "a/b"', "has a stroke in it"),
        ("foot = 800", 'foot = "3 m below top"', "nothing is left to paper"),
        ("foot = 800", 'foot = "10 mm above top"', "nothing hangs above the top"),
        ("[[rail]]", '[[rail]]\nname = "upper"\nfoot = 820\n[[rail]]', "rails do not cross"),
        ('match = "200"', 'match = "200 ells"', "cannot read"),
        ("[trim]", '[paper]\nroll_length = "10 m"\n[trim]', "each band has its own"),
        ('below = "rail"', 'below = "rail"\nbare = true', "belongs to a band that is papered"),
    ],
)
def test_what_is_wrong_with_bands_is_said_where_it_stands(written: str, instead: str, said: str) -> None:
    """Every fault of a band names its key."""
    text = WALL.replace(written, instead)
    assert any(said in what for what in faults_of(text)), faults_of(text)


def test_a_band_that_is_left_out_must_be_said_to_be_bare() -> None:
    """A stretch of wall that no band names is a slip, for nobody would paper it."""
    without = WALL.partition('[[band]]\nname = "dado"')[0]

    assert faults_of(without) == [
        'there is none below "rail"; add a [[band]] there, with bare = true where it is not papered'
    ]


def test_a_fault_of_a_bands_paper_stands_at_its_line() -> None:
    """The paper of a band is read as any paper, and its faults are found where the band has it."""
    with pytest.raises(ScenarioError) as caught:
        parse_job(WALL.replace('match = "200"', 'match = "free"'), "room.toml")

    (fault,) = caught.value.faults
    assert (fault.where, fault.line) == (
        'band["dado"].start.motif_drop',
        1 + WALL[: WALL.index("motif_drop = 150")].count("\n"),
    )


def test_one_paper_stays_as_simple_as_it_was(tmp_path: Path) -> None:
    """A file without parts is read as a scenario by the same door."""
    file = tmp_path / "room.toml"
    file.write_text(
        'units = "mm"\n[paper]\nroll_length = "10 m"\nmatch = "free"\n[[drop]]\nlabel = "1"\nheight = 2400\n'
    )

    assert isinstance(read_job(file), Scenario)
    assert read_scenario(file).source == str(file)


def test_a_part_goes_by_its_file_and_name(tmp_path: Path) -> None:
    """Commands take ``room.toml/dado``; a job without a part named says which there are."""
    file = tmp_path / "room.toml"
    file.write_text(WALL)

    assert read_scenario(f"{file}/dado").source == f"{file}/dado"
    with pytest.raises(ScenarioError, match=f"name one of them: {file}/filling, {file}/dado"):
        read_scenario(file)
    with pytest.raises(ScenarioError, match='its parts are "filling", "dado"'):
        read_scenario(f"{file}/frieze")


def _paper(document: dict[str, object]) -> None:
    document["plans"][1]["scenario"]["paper"]["name"] = "another"  # type: ignore[index]


def _wall(document: dict[str, object]) -> None:
    document["scenario"]["rail"][0]["foot"] = 790  # type: ignore[index]


def _rail(document: dict[str, object]) -> None:
    document["scenario"]["rail"][0]["height"] = 60  # type: ignore[index]


def _reveal(document: dict[str, object]) -> None:
    document["scenario"]["wall"][0]["opening"][0]["reveal"] = 100  # type: ignore[index]


def _window(document: dict[str, object]) -> None:
    document["scenario"]["wall"][0]["opening"][0]["left"] = 490  # type: ignore[index]


def _beyond(document: dict[str, object]) -> None:
    panel = document["plans"][0]["setting_out"]["columns"][-1]["panels"][-1]  # type: ignore[index]
    panel["to"] = str(Fraction(panel["to"]) + 1)


def _no_plan(document: dict[str, object]) -> None:
    del document["plans"][1], document["parts"][1]  # type: ignore[index]


def _bare(document: dict[str, object]) -> None:
    document["scenario"]["band"][1]["bare"] = True  # type: ignore[index]


def _twice(document: dict[str, object]) -> None:
    bands = document["scenario"]["band"]  # type: ignore[index]
    bands.append({**bands[0], "name": "another"})


def _forgotten(document: dict[str, object]) -> None:
    del document["scenario"]["band"][1]  # type: ignore[index]


def _crossed(document: dict[str, object]) -> None:
    document["scenario"]["rail"].append({"name": "low", "foot": 840, "height": 20})  # type: ignore[index]


def _trim(document: dict[str, object]) -> None:
    document["scenario"]["trim"]["top"] = 40  # type: ignore[index]


def _corner(document: dict[str, object]) -> None:
    document["scenario"]["wall"][0]["width"] = 1499  # type: ignore[index]


def _level(document: dict[str, object]) -> None:
    document["scenario"]["band"][1]["level_line"] = 700  # type: ignore[index]


def _turned(document: dict[str, object]) -> None:
    document["parts"].reverse()  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("plant", "said"),
    [
        (_turned, "not told as they hang"),
        (_level, "another level line"),
        (_paper, "paper of its plan is not what"),
        (_wall, "10 mm off"),
        (_rail, "10 mm off"),
        (_reveal, "another reveal"),
        (_window, "off at 490 mm"),
        (_beyond, "hang over the edge"),
        (_no_plan, "has no plan"),
        (_bare, "is bare, and planned"),
        (_twice, "is covered by filling and another"),
        (_forgotten, "is no band's"),
        (_crossed, "into 'rail'"),
        (_trim, "trim of its plan"),
        (_corner, "another wall"),
    ],
)
def test_the_judge_refuses_a_fault_in_each_rule_of_bands(plant: Callable[[dict[str, object]], None], said: str) -> None:
    """Every stretch is one band's once, and each plan is for its own heights, in its own paper."""
    document = deepcopy(json.loads(planned(WALL)))
    plant(document)

    report = check_text(json.dumps(document))

    assert any(said in broken.line() for broken in report.violations), report.violations


@pytest.mark.parametrize(
    ("band", "wall", "kind", "change"),
    [
        (0, 0, "fitting", "left out"),
        (0, 0, "fitting", "doubled"),
        (0, 0, "fitting", "renamed"),
        (1, 1, "opening", "doubled"),
        (2, 3, "opening", "doubled"),
        (2, 3, "opening", "renamed"),
    ],
)
def test_what_stands_on_a_band_s_wall_is_what_stands_on_the_whole_wall(
    band: int, wall: int, kind: str, change: str
) -> None:
    """The hearth lies in the dado, and stands in the frieze as a mark; the door goes through all but the frieze."""
    document = json.loads(run("plan", "scenarios/parts/dado-room.toml", "--json").stdout)
    held = document["plans"][band]["scenario"]["wall"][wall]
    (thing,) = held[kind]
    held[kind] = {"left out": [], "doubled": [thing, thing], "renamed": [{**thing, "name": "hatch"}]}[change]

    broken = check_text(json.dumps(document)).violations

    assert {(each.rule, each.where.split("'")[3]) for each in broken if each.rule == "bands"} == {
        ("bands", document["scenario"]["wall"][wall]["name"])
    }


def test_the_scenario_of_a_dado_room_is_planned_and_judged(tmp_path: Path) -> None:
    """Three bands of one room, from the frieze down, by the commands plan, buy and check."""
    file, plans = "scenarios/parts/dado-room.toml", str(tmp_path / "plans.json")

    page = run("plan", file)
    written = run("plan", file, "--json", "-o", plans)
    judged = run("check", plans)
    wall = tmp_path / "wall.toml"
    wall.write_text(WALL)
    bought = run("buy", str(wall), "--draws", "100")

    assert [page.exit_code, written.exit_code, judged.exit_code, bought.exit_code] == [0, 0, 0, 0]
    assert page.stdout.startswith("In the order in which they hang: frieze, filling and dado.")
    assert "filling: Buy " in bought.stdout
    assert judged.stdout.endswith("the job holds\n")
    assert max(map(len, page.stdout.splitlines())) <= 80


def test_the_whole_scenario_is_echoed_as_written() -> None:
    """What the judge goes by is the file itself."""
    assert json.loads(planned(WALL))["scenario"] == plain_document(parse_toml(WALL, "room.toml"))


def test_a_part_keeps_a_record_of_its_own(tmp_path: Path) -> None:
    """The record of ``room.toml/dado`` lies beside the file, under the names of both."""
    file = tmp_path / "room.toml"
    file.write_text(WALL)

    assert record_path(f"{file}/dado") == tmp_path / "room.dado.record.jsonl"
    assert scenario_beside(tmp_path / "room.dado.record.jsonl") == f"{file}/dado"
    begun = run("done", f"{file}/dado", "1")
    assert (begun.exit_code, (tmp_path / "room.dado.record.jsonl").is_file()) == (0, True)
    assert run("status", f"{file}/dado").exit_code == 0


RAKED = [seed for seed in range(16, 200) if 'above foot"\nlet_in = false' in parted_room(seed)]
"""Rooms with a border along the foot of their walls."""


@pytest.mark.parametrize("seed", [*range(16), *RAKED[:7]])
def test_parts_of_random_rooms_are_judged_to_hold(seed: int) -> None:
    """Whatever slopes, stairs, rails and borders a room has, planner and judge part its walls alike."""
    try:
        text = planned(parted_room(seed))
    except ScenarioError:
        pytest.skip("a border that this room has no place for")

    report = check_text(text)

    assert report.holds, report.violations


def test_paper_turned_under_a_reveal_reaches_as_deep_from_a_foot_on_a_slope() -> None:
    """Where a foot rises past a window's reveal the piece over it ends up to 1/64 mm lower, and reaches as deep.

    Beside the window, at 2427, the foot is 745 + 2226 × 1049 ÷ 3553 = 1402.2; the head less the reveal is 1361.
    """
    text = """units = "mm"
[paper]
roll_length = "10 m"
roll_width = 400
match = "free"
[[wall]]
name = "stair"
width = 3754
height = 4061
foot = [[0, 745], [201, 745], [3754, 1794]]
[[wall.opening]]
kind = "window"
left = 1962
width = 465
foot = 1200
height = 251
reveal = 90
[start]
at = 2300
puts = "joint"
"""
    scenario = parse_job(text, "stair.toml")
    assert isinstance(scenario, Scenario)
    plan = make_plan(scenario.job, scenario.cutting)

    report = check_text(json.dumps(plan_document(plan, scenario)))

    assert report.holds, report.violations


def test_faults_of_walls_and_of_several_bands_are_told_at_once() -> None:
    """A wall without a height hides neither the frieze's width nor the filling's repeat, and no band another's."""
    text = (Path(__file__).parents[1] / "scenarios" / "parts" / "dado-room.toml").read_text(encoding="utf-8")
    papers = text.replace("roll_width = 530", "roll_width = []").replace(' cm"', ' ells"')
    both = papers.replace("height = 2700", "height = []", 1)

    for faulty in (papers, both):
        with pytest.raises(ScenarioError) as raised:
            parse_job(faulty, "dado-room.toml")
        told = {fault.line for fault in raised.value.faults}
        lines = faulty.split("\n")

        assert told == {number for number, line in enumerate(lines, 1) if "= []" in line or " ells" in line}


def test_faults_of_walls_linings_bands_borders_and_rails_are_told_at_once() -> None:
    """Nine faults in as many tables: none waits for the walls, or for another part, to be mended."""
    text = (Path(__file__).parents[1] / "scenarios" / "parts" / "stair-hall.toml").read_text(encoding="utf-8")
    text += """
[lining]
roll_length = "10 m"
roll_width = 560
price = "dear"
[lining.cutting]
open_rolls = "WRONG"
[[damp_lining]]
name = "pitch lining"
roll_length = "10 m"
roll_width = 500
adhesive = "pitch adhesive"
part = [{ wall = "door wall", height = "WRONG" }]
[[damp_lining.roll]]
label = "L"
count = "WRONG"
[[material]]
name = "paste"
use = "WRONG"
"""
    for right, wrong in (
        ("width = 1600", 'width = "WRONG"'),
        ("let_in = true", 'let_in = "WRONG"'),
        ('below = "dado rail"', 'below = "WRONG"'),
        ("[border.paper]", '[border.cutting]\nopen_rolls = "WRONG"\n[border.paper]'),
        ('price = "dear"', 'price = "WRONG"'),
    ):
        assert right in text
        text = text.replace(right, wrong, 1)
    with pytest.raises(ScenarioError) as raised:
        parse_job(text, "stair-hall.toml")
    lines = text.split("\n")

    told = {fault.line for fault in raised.value.faults}
    assert told == {number for number, line in enumerate(lines, 1) if "WRONG" in line}


def test_walls_that_come_first_need_not_be_every_parts() -> None:
    """The stair wall first: the border round the front door, which does not hang there, has none."""
    text = (Path(__file__).parents[1] / "scenarios" / "parts" / "stair-hall.toml").read_text(encoding="utf-8")
    text = text.replace('units = "mm"\n', 'units = "mm"\n[cutting]\nfirst_walls = ["stair wall"]\n', 1)
    job = job_of(text)

    first = {part.name: part.scenario.cutting.first_walls for part in job.parts}
    assert first == {"filling": ("stair wall",), "dado": ("stair wall",), "door border": ()}
    document = json.loads(planned(text))
    assert check_text(json.dumps(document)).holds
    *_, border = document["plans"]
    border["scenario"]["cutting"]["first_walls"] = ["landing wall"]
    assert not check_text(json.dumps(document)).holds


@pytest.mark.parametrize("planted", [{"cutting": {"first_walls": [{}]}}, {"room": {"textured": [[0, 1]]}}])
def test_the_judge_of_parts_reads_whatever_is_written(planted: dict[str, object]) -> None:
    """Walls that come first, and whether walls are textured, told in lists and tables: a fault, and no traceback."""
    text = (Path(__file__).parents[1] / "scenarios" / "parts" / "stair-hall.toml").read_text(encoding="utf-8")
    text = text.replace('units = "mm"\n', 'units = "mm"\n[cutting]\nfirst_walls = ["stair wall"]\n', 1)
    document = json.loads(planned(text))
    document["scenario"] |= planted
    found: tuple[object, ...]
    try:
        found = check_text(json.dumps(document)).violations
    except PlanUnreadable as error:
        found = error.faults
    assert found
