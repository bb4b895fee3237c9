"""Linings as parts of a job: read, planned, judged on the wall; a fault planted in each rule is refused."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING, Any

import pytest
from msgspec.structs import replace
from typer.testing import CliRunner

import cutplan
from brute_force import least_value, least_with_rests
from cutplan.check import check_text
from cutplan.cli import load
from cutplan.cli.app import app
from cutplan.comparing.comparison import compare
from cutplan.comparing.placements import focus_of
from cutplan.errors import NoPlanError
from cutplan.faults import ScenarioError
from cutplan.parts.part import Part, PartedJob, PartKind
from cutplan.parts.read_parts import parse_job, read_job
from cutplan.plan.order import CuttingHabit
from cutplan.render.documents.parts_document import PLANS, parts_text
from cutplan.render.documents.plan_document import plan_document
from cutplan.render.drawing.lining_picture import lining_pictures
from cutplan.render.pages.comparing_page import comparison_page
from cutplan.render.sheet.job_sheet import job_sheet
from cutplan.solve import make_plan
from cutplan.table.sequence import sequence_of
from test_bands import WALL as BANDS

if TYPE_CHECKING:
    from collections.abc import Callable

ROOM = """units = "mm"
[paper]
roll_length = "10.05 m"
roll_width = 530
match = "free"
[lining]
roll_length = "10.05 m"
roll_width = 560
{lining}
[room]
closes = {closes}
{walls}
[start]
wall = "w0"
at = {start}
puts = "joint"
"""
WALL = """[[wall]]
name = "w{number}"
width = {width}
height = {height}
{more}
"""
WINDOW = """[[wall.opening]]
kind = "window"
left = {left}
width = {width}
foot = 900
height = {height}
reveal = {reveal}
"""
SCENARIOS = Path(__file__).parents[1] / "scenarios"


def room(
    *widths: int, lining: str = "", start: int = 0, more: str = "", closes: bool = False, height: int = 2400
) -> PartedJob:
    """Return a lined run of walls; ``more`` belongs to the first of them."""
    walls = "".join(
        WALL.format(number=number, width=width, height=height, more="" if number else more)
        for number, width in enumerate(widths)
    )
    text = ROOM.format(lining=lining, closes=str(closes).lower(), walls=walls, start=start)
    job = parse_job(text, "room.toml")
    assert isinstance(job, PartedJob)
    return job


def lining_of(job: PartedJob) -> Part:
    """Return the lining of a job."""
    part = job.part("lining")
    assert part is not None
    return part


def planned(job: PartedJob) -> dict[str, Any]:
    """Return the document of a job's plans, judged to hold."""
    plans = [(part, make_plan(part.scenario.job, CuttingHabit())) for part in job.parts]
    text = parts_text(job, PLANS, [(part, plan_document(plan, part.scenario)) for part, plan in plans])
    assert check_text(text).violations == ()
    document: dict[str, Any] = json.loads(text)
    return document


@cache
def lined_room() -> str:
    """Return the plans of the lined room among the scenarios, as JSON."""
    job = read_job(SCENARIOS / "parts" / "lined-room.toml")
    assert isinstance(job, PartedJob)
    return json.dumps(planned(job))


def test_lining_hangs_before_the_paper_and_what_keeps_damp_back_before_both() -> None:
    """The parts of a job stand in the order in which they hang."""
    job = read_job(SCENARIOS / "parts" / "lined-room.toml")

    assert isinstance(job, PartedJob)
    assert [part.name for part in job.parts] == ["damp-lining", "lining", "paper"]
    assert [part.kind for part in job.parts] == [PartKind.LINING, PartKind.LINING, PartKind.BAND]


def test_lining_of_the_lined_room_is_proved() -> None:
    """Every part of it has as many rolls as its bound."""
    for plan in json.loads(lined_room())["plans"]:
        assert plan["rolls_needed"] == plan["lower_bound"]
        assert plan["status"] == "optimal"


@pytest.mark.parametrize("seed", range(7))
def test_lining_of_random_rooms_holds_on_the_wall(seed: int) -> None:
    """Walls, window, corners, way, start and allowances at random: the judge finds every bit of wall lined once."""
    chance = Random(f"{seed} lined")  # noqa: S311 - repeatable, nothing secret
    widths = [chance.randrange(900, 4500, 10) for _ in range(chance.randint(3, 4))]
    left, wide = chance.randrange(60, 300, 5), chance.randrange(300, 500, 5)
    window = WINDOW.format(
        left=left, width=wide, height=chance.choice([700, 1100]), reveal=chance.choice([0, 120, 700])
    )
    asked = chance.choice(
        ['way = "vertical"', 'corners = "round"', 'at_openings = "broken"', 'at_openings = "run on"', ""]
    )
    asked += f"\nstop_short = {chance.choice([0, 2, 3])}\nend = {chance.choice([0, 25])}"
    corner = chance.choice(["", 'corner = "external"'])
    job = room(*widths, lining=asked, start=chance.randrange(0, 900, 10), more=f"{corner}\n{window}", closes=True)

    document = planned(job)
    assert all(plan["rolls_needed"] == plan["lower_bound"] for plan in document["plans"])


@pytest.mark.parametrize("seed", range(8))
def test_lining_of_small_walls_takes_as_few_rolls_as_trying_all_would(seed: int) -> None:
    """Two whole courses on three walls are six lengths: every set of them on every roll is tried."""
    chance = Random(f"{seed} small wall")  # noqa: S311 - repeatable, nothing secret
    widths = [chance.randrange(1800, 6000, 10) for _ in range(3)]
    lining = lining_of(room(*widths, height=1120, lining="stop_short = 0")).scenario.job

    assert lining.drop_count == 6
    assert make_plan(lining, CuttingHabit()).rolls_needed == least_value(lining)


@pytest.mark.parametrize("seed", range(10))
def test_lining_with_ripped_lengths_takes_as_few_rolls_as_trying_every_rest_would(seed: int) -> None:
    """A course and a ripped one on two or three walls, a window in the first: all rests serve all lengths in turn."""
    chance = Random(f"{seed} ripped")  # noqa: S311 - repeatable, nothing secret
    widths = [chance.randrange(1500, 5000, 10) for _ in range(chance.choice([2, 3]))]
    deep = chance.choice([90, 150, 240, 330, 470])
    window = "[[wall.opening]]\nkind = 'window'\nleft = 400\nwidth = 600\nfoot = 250\nheight = 200\n"
    asked = f"stop_short = 0\nend = 0\nat_openings = '{chance.choice(['broken', 'run on'])}'"
    job = room(*widths, height=560 + deep, lining=asked, more=window if len(widths) < 3 else "")
    lining = lining_of(job).scenario.job

    assert make_plan(lining, CuttingHabit()).rolls_needed == least_with_rests(lining)
    planned(job)


def test_clash_is_named_in_the_notes_with_its_place() -> None:
    """560 under 530 on 10 m: some joints must come near, and each is named by its distance from the wall's left."""
    part = lining_of(room(10_000, lining='way = "vertical"'))

    assert part.lining is not None
    assert len(part.scenario.notes) == len(part.lining.clashes) > 0
    assert f"{part.lining.clashes[0].at} mm from the left of w0" in part.scenario.notes[0]


def test_lining_may_be_in_hand() -> None:
    """Rolls listed below the lining are used, one shorter than those on sale among them; others are refused."""
    rolls = '[[lining.roll]]\nlabel = "A"\ncount = 2\n[[lining.roll]]\nlabel = "end"\nlength = 3100'
    document = planned(room(3000, lining=rolls))

    assert _plan(document)["rolls_needed"] == 2
    document["scenario"]["lining"]["roll"][0]["count"] = 1
    assert [broken.rule for broken in check_text(json.dumps(document)).violations] == ["lining"]


def test_faults_of_a_lining_are_told_at_their_keys() -> None:
    """Courses and strips have keys of their own; a part of a wall lies on one; damp needs its own adhesive."""
    with pytest.raises(ScenarioError) as raised:
        room(3000, lining='way = "vertical"\ncorners = "round"\ndries = 999\npart = [{ wall = "attic" }]')

    said = "\n".join(raised.value.lines())
    assert "lining.corners" in said
    assert "lining.dries" in said
    assert 'there is no wall "attic"; the walls are "w0"' in said


# Planted faults. Each changes a document that holds.


def _told(document: dict[str, Any], name: str = "lining") -> dict[str, Any]:
    told: dict[str, Any] = next(part for part in document["parts"] if part["part"] == name)
    return told


def _plan(document: dict[str, Any], name: str = "lining") -> dict[str, Any]:
    plan: dict[str, Any] = next(plan for plan in document["plans"] if plan["part"] == name)
    return plan


def _bare(document: dict[str, Any]) -> None:
    """End a length 10 short of where it must."""
    panel = _told(document)["lengths"][8]["panels"][0]
    panel["to"] = str(int(panel["to"]) - 10)


def _lapped(document: dict[str, Any]) -> None:
    """Hang a course 10 lower than it must, over the next."""
    for length in _told(document)["lengths"]:
        if length["course"] == 2:
            for panel in length["panels"]:
                panel["foot"] = str(int(panel["foot"]) - 10)


def _missing(document: dict[str, Any]) -> None:
    """Leave one length out of the walls."""
    del _told(document)["lengths"][4]


def _round_a_corner(document: dict[str, Any]) -> None:
    """Carry one length round an internal corner where lengths are broken."""
    lengths = _told(document)["lengths"]
    by_wall: dict[str, dict[str, Any]] = {
        length["panels"][0]["wall"]: length for length in lengths if length["course"] == 4 and "panels" in length
    }
    by_wall["east wall"]["panels"] += by_wall["door wall"]["panels"]


def _wider_than_the_roll(document: dict[str, Any]) -> None:
    """Buy lining 500 wide."""
    document["scenario"]["lining"]["roll_width"] = 500


def _shorter_roll(document: dict[str, Any]) -> None:
    """Buy the lining in single rolls that is planned from doubles."""
    document["scenario"]["lining"]["roll_length"] = "10.05 m"


def _more_allowance(document: dict[str, Any]) -> None:
    """Ask for lengths 40 longer at either end, where they are cut 25 longer."""
    document["scenario"]["lining"]["end"] = 40


def _bare_reveal(document: dict[str, Any]) -> None:
    """Make a reveal twice as deep as its pieces."""
    document["scenario"]["wall"][0]["opening"][0]["reveal"] = 300
    _plan(document, "paper")["scenario"]["wall"][0]["opening"][0]["reveal"] = 300


def _no_part(document: dict[str, Any]) -> None:
    """Ask for a lining that has no part."""
    document["parts"] = [part for part in document["parts"] if part["part"] != "damp-lining"]
    document["plans"] = [plan for plan in document["plans"] if plan["part"] != "damp-lining"]


def _ripped_from_itself(document: dict[str, Any]) -> None:
    """Say that 20 more is ripped off a length than is: part of the length itself."""
    drops = _plan(document)["scenario"]["drop"]
    drop = next(drop for drop in drops if "cut_outs" in drop)
    drop["cut_outs"][0]["left"] = "184 mm"


def _clash_that_is_none(document: dict[str, Any]) -> None:
    """Name a clash where there is none."""
    _told(document)["clashes"].append({"wall": "east wall", "at": "1000", "paper_at": "1010"})


def _higher_damp(document: dict[str, Any]) -> None:
    """Ask for damp to be kept back higher up than its lining reaches."""
    document["scenario"]["damp_lining"][0]["part"][0]["height"] = 1200


def _longer_stop(document: dict[str, Any]) -> None:
    """Ask for lining to the very corners and frames, where it stops 3 short."""
    document["scenario"]["lining"]["stop_short"] = 0


def _another_lining(document: dict[str, Any]) -> None:
    """Plan the lining in another than is asked for, of the same length and width."""
    _plan(document)["scenario"]["paper"]["name"] = "lining 1200"


def _rest_from_nowhere(document: dict[str, Any]) -> None:
    """Plan the lining with a rest that nobody has."""
    _plan(document)["scenario"]["offcut"] = [{"label": "rest", "length": "900 mm"}]


def _upside_down(document: dict[str, Any]) -> None:
    """Hang a length of the lining turned end for end, which nobody has asked for."""
    _plan(document)["scenario"]["drop"][0]["turned"] = True


def _in_packets(document: dict[str, Any]) -> None:
    """Plan the lining as sold in packets of two."""
    _plan(document)["scenario"]["paper"]["packet"] = 2


def _told_backwards(document: dict[str, Any]) -> None:
    """Tell the lengths from the last to the first."""
    _told(document)["lengths"].reverse()


def _another_wall(document: dict[str, Any]) -> None:
    """Cut a length for another wall than it hangs on."""
    drop = _plan(document)["scenario"]["drop"][0]
    drop["wall"] = "east wall" if drop["wall"] != "east wall" else "door wall"


def _ripped(document: dict[str, Any]) -> list[dict[str, Any]]:
    """Return what is ripped off the first length that is narrower than the roll."""
    rests: list[dict[str, Any]] = next(
        drop["cut_outs"] for drop in _plan(document)["scenario"]["drop"] if "cut_outs" in drop
    )
    return rests


def _ripped_twice(document: dict[str, Any]) -> None:
    """Tell of what is ripped off a length twice, as if two pieces could be cut from it."""
    rests = _ripped(document)
    rests.append({**rests[0], "label": "more of it"})


def _ripped_away(document: dict[str, Any]) -> None:
    """Tell nothing of what is ripped off a length."""
    _ripped(document).clear()


def _ripped_and_renamed(document: dict[str, Any]) -> None:
    """Call what is ripped off a length by another name."""
    _ripped(document)[0]["label"] = "a rest"


@pytest.mark.parametrize(
    "plant",
    [
        _told_backwards, _another_wall, _ripped_twice, _ripped_away, _ripped_and_renamed,
        _bare, _lapped, _missing, _round_a_corner, _wider_than_the_roll, _shorter_roll, _more_allowance, _bare_reveal,
        _no_part, _ripped_from_itself, _clash_that_is_none, _higher_damp, _longer_stop, _another_lining,
        _rest_from_nowhere, _in_packets, _upside_down,
    ],
    ids=lambda plant: plant.__name__.strip("_"),
)  # fmt: skip
def test_planted_fault_is_refused(plant: Callable[[dict[str, Any]], None]) -> None:
    """A document that holds, with one fault in its lining, holds no longer."""
    document = json.loads(lined_room())
    plant(document)

    assert any(broken.rule == "lining" for broken in check_text(json.dumps(document)).violations)


def test_clash_that_is_not_named_is_refused() -> None:
    """Every joint near the paper's is named; one left out is refused, with its place."""
    document = planned(room(10_000, lining='way = "vertical"'))
    left_out = _told(document)["clashes"].pop()

    (broken,) = check_text(json.dumps(document)).violations
    assert broken.line() == (
        f"lining: joint at {left_out['at']} mm along the run: comes within "
        f"{abs(int(left_out['at']) - int(left_out['paper_at']))} mm of the paper's, and is not named"
    )


def test_length_broken_in_the_middle_of_a_wall_is_refused() -> None:
    """End joints lie at corners, at openings or where a roll ends: two halves of a course that fit one roll do not."""
    document = planned(room(3000))
    drops, told = _plan(document)["scenario"]["drop"], _told(document)["lengths"]
    whole = told[0]["panels"][0]
    drops[0]["height"] = "1500 mm"
    told[0]["panels"] = [{**whole, "to": "1503"}]
    drops.append({**drops[0], "label": "half", "height": "1494 mm"})
    told.append({**told[0], "drop": "half", "panels": [{**whole, "from": "1503"}]})

    said = [broken.line() for broken in check_text(json.dumps(document)).violations]
    assert any("where one length would have reached on" in line for line in said)


def test_picture_shows_every_length_and_the_papers_joints_over_them() -> None:
    """4 courses and a ripped one on 3 m, and the joints of 530 paper at 530, 1060 … 2650 dashed over them."""
    part = lining_of(room(3000))
    assert part.lining is not None
    (drawn,) = lining_pictures(part.lining)

    svg = drawn.picture.svg()
    assert [f"L{number}: 2994 mm" in svg for number in range(1, 6)] == [True] * 5
    assert "L5: 2994 mm, 154 mm wide" in svg
    assert svg.count('stroke-dasharray="7 5"') == 5


def test_clash_is_a_heavy_bar_in_the_picture() -> None:
    """Each joint that comes near the paper's is a filled bar between the two, however long the wall."""
    part = lining_of(room(10_000, lining='way = "vertical"'))
    assert part.lining is not None

    bars = sum(drawn.picture.svg().count('fill="#000"') for drawn in lining_pictures(part.lining))
    plain = sum(drawn.picture.svg().count('fill="#000"') for drawn in lining_pictures(replace(part.lining, clashes=())))
    assert bars - plain == len(part.lining.clashes)


def test_sheet_of_a_lining_has_its_pictures_and_how_lengths_meet() -> None:
    """The sheet of the part shows the courses as the picture of the walls does."""
    part = lining_of(room(3000))
    sequence = sequence_of(make_plan(part.scenario.job, CuttingHabit()))

    page = job_sheet(part.scenario, sequence)
    assert "L5: 2994 mm, 154 mm wide" in page
    assert "Butt the lengths and never lap them" in page


def test_another_start_keeps_the_linings_joints_clear_and_saves_a_roll() -> None:
    """9.20 m in a quarter-drop: from 100 mm 19 strips and 7 rolls, one joint near; from the corner 18, 6 and none."""
    text = ROOM.format(
        lining='way = "vertical"\nclear = 30',
        closes="false",
        walls=WALL.format(number=0, width=9200, height=2450, more=""),
        start=100,
    ).replace('"free"', '"64/16 cm"\noffset_direction = "down"')
    job = parse_job(f"{text}motif_drop = 0\n", "room.toml")
    assert isinstance(job, PartedJob)
    paper = job.part("paper")
    assert paper is not None
    assert paper.scenario.setting_out is not None

    setting_out = paper.scenario.setting_out
    focus = focus_of(setting_out)
    found = compare(setting_out, paper.scenario.job, focus, linings=paper.scenario.under, asks_heights=False)
    (better,) = found.front
    assert found.own.proved is not None
    assert better.proved is not None
    assert found.own.proved.rolls == 7
    assert found.own.clashes == 1
    assert better.proved.rolls == 6
    assert better.clashes == 0
    assert "1 roll fewer" in comparison_page(found)
    assert "1 joint fewer near one of the lining's" in " ".join(comparison_page(found).split())


@pytest.mark.parametrize("asked", ['corners = "round"', 'way = "vertical"'])
def test_lining_of_the_whole_room_among_the_scenarios_is_proved_and_holds(asked: str) -> None:
    """The parlour, with chimney breast, reveal and growing paper: lined round its corners, and upright."""
    text = (SCENARIOS / "parlour.toml").read_text(encoding="utf-8")
    job = parse_job(f'{text}\n[lining]\nroll_length = "20.1 m"\nroll_width = 560\n{asked}\n', "parlour.toml")
    assert isinstance(job, PartedJob)

    plan = _plan(planned(job))
    assert plan["status"] == "optimal"
    assert plan["rolls_needed"] == plan["lower_bound"]


def test_work_on_a_lining_is_recorded_and_planned_again_like_any(tmp_path: Path) -> None:
    """A length is cut, one is spoiled and the rest planned anew, in a record of the part's own that holds."""
    copy = tmp_path / "room.toml"
    copy.write_text((SCENARIOS / "parts" / "lined-room.toml").read_text(encoding="utf-8"), encoding="utf-8")
    load(["done"])
    for command in (["done", f"{copy}/lining", "1-4"], ["spoiled", f"{copy}/lining", "L2"]):
        assert CliRunner().invoke(app, command).exit_code == 0

    record = tmp_path / "room.lining.record.jsonl"
    assert check_text(record.read_text(encoding="utf-8")).holds


def test_lining_lies_under_all_bands_and_keeps_clear_of_the_joints_of_each() -> None:
    """Filling and dado in strips of 500 over strips of 560: their joints at 500 and 1000 are kept clear of."""
    job = parse_job(f'{BANDS}\n[lining]\nroll_length = "20.1 m"\nroll_width = 560\nway = "vertical"\n', "room.toml")
    assert isinstance(job, PartedJob)
    part = lining_of(job)
    assert part.lining is not None

    assert {joint.place for joint in part.lining.paper} == {500, 1000}
    assert len(part.lining.paper) == 4
    assert part.lining.clashes == ()
    planned(job)


def test_customer_is_shown_places_judged_by_the_lining_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What ``cutplan compare`` shows of a lined wall, and what the customer's page does, is one comparison."""
    file, asked = tmp_path / "room.toml", []
    file.write_text(
        ROOM.format(lining='way = "vertical"', closes="false", start=0, walls=WALL.format(
            number=0, width=4000, height=2400, more="",
        )),
        encoding="utf-8",
    )  # fmt: skip

    def compared(*_: object, linings: object, **__: object) -> None:
        asked.append(linings)
        raise NoPlanError("stopped here")

    monkeypatch.setattr(cutplan, "compare", compared, raising=False)
    for words in (["compare"], ["sheet", "--customer"]):
        load(words)
        assert CliRunner().invoke(app, [*words, f"{file}/paper"]).exit_code == 3
    assert len(asked) == 2
    assert asked[0] == asked[1] != ()
