"""Several rooms in one paper: what a mirrored room takes, the three ways of sharing rolls, and their judge."""

from __future__ import annotations

import json
from collections import Counter
from copy import deepcopy
from fractions import Fraction
from functools import cache
from itertools import chain, combinations, pairwise, product
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING, Any, Final

import pytest
from hypothesis import given
from msgspec.structs import replace
from typer.testing import CliRunner

from brute_force import least_value, steps_per_mm
from cutplan.check import PlanUnreadable, check_text
from cutplan.check.contract_rules.rooms_served import is_mirror_image
from cutplan.check.stated.echo import with_units
from cutplan.check.stated.fields import Table
from cutplan.check.survey.surveyed import SurveyReader
from cutplan.cli import load
from cutplan.cli.app import app
from cutplan.contract.length_to_order import length_to_order
from cutplan.contract.read_contract import mirrored_scenario, read_contract
from cutplan.contract.room_lists import room_lists, room_scenario
from cutplan.contract.rooms import SharingWay
from cutplan.contract.sharing import deal_turns
from cutplan.contract.ways import ContractPlanner
from cutplan.errors import NoPlanError
from cutplan.faults import ScenarioError
from cutplan.job.job import Job
from cutplan.parts.read_parts import read_scenario
from cutplan.render.documents.contract_document import contract_document
from cutplan.room.finding import RoomError
from cutplan.scenario.read import parse_scenario
from cutplan.scenario.survey.survey_written import survey_tables
from cutplan.scenario.write import plain, toml_document
from cutplan.setting_out import FinishAt, FinishOver, Puts, set_out
from cutplan.setting_out.mirrored import mirrored_room, set_out_mirrored
from cutplan.solve import solve
from cutplan.solve.clock import Clock
from small_rooms import closed, opening, paper, start, wall, whole
from surveyed_rooms import Survey, surveys

if TYPE_CHECKING:
    from collections.abc import Callable

    from typer.testing import Result

GUEST_HOUSE = Path("scenarios/guest-house/contract.toml")

# A run of 1200 mm in a third-drop, begun with a whole strip at its left: three strips of 400.
WALL = """units = "mm"
[paper]
roll_length = "10 m"
roll_width = 400
match = "{match}"
offset_direction = "down"
motif_from_left = 100
[[wall]]
name = "wall"
width = 1200
height = 2400
[[wall.opening]]
kind = "door"
left = 800
width = 400
height = 2000
[start]
at = {at}
puts = "{puts}"
motif_drop = 100
way = "{way}"
"""


def planner_of(path: Path, seconds: float = 20) -> ContractPlanner:
    """Return the planner of a contract file."""
    return ContractPlanner(read_contract(str(path)), Clock(seconds))


def run(*words: str) -> Result:
    """Return what a command did."""
    load(words)
    return CliRunner().invoke(app, words)


def write(folder: Path, rooms: dict[str, str], contract: str) -> Path:
    """Write the files of rooms and of their contract, and return the contract's."""
    for name, text in rooms.items():
        (folder / name).write_text(text, encoding="utf-8")
    path = folder / "contract.toml"
    path.write_text(contract, encoding="utf-8")
    return path


# Mirrored rooms.


def test_print_of_a_mirrored_room_is_not_mirrored() -> None:
    """The strip on the right sits a third of the repeat lower in both; in a mirrored print it would sit higher."""
    room = parse_scenario(WALL.format(match="60 cm/third", at=0, puts="joint", way="right"), "room.toml")
    assert room.setting_out is not None

    mirrored = set_out_mirrored(room.setting_out)

    # From the start rightwards 100, 300, 500; mirrored, from the start leftwards, 100, 500, 300 (−200 is 400 once 600
    # is added, and 100 − 200 is 500).
    assert [column.first_motif for column in room.setting_out.columns] == [100, 300, 500]
    assert [column.first_motif for column in reversed(mirrored.columns)] == [100, 500, 300]


def test_motif_stays_as_far_from_the_left_edge_of_a_mirrored_rooms_strip() -> None:
    """The motif, 100 mm from the strip's left, goes on the point: the strip lies from 500 to 900, not 300 to 700."""
    room = parse_scenario(WALL.format(match="60 cm", at=600, puts="motif", way="right then left"), "room.toml")
    assert room.setting_out is not None

    first = set_out_mirrored(room.setting_out).column(0).panels[0]

    assert [first.left, first.right] == [500, 900]


def test_walls_openings_way_and_start_are_mirrored() -> None:
    """A door 800 to 1200 from the left of 1200 stands 0 to 400 from it; hanging goes left from the right end."""
    room = parse_scenario(WALL.format(match="60 cm", at=0, puts="joint", way="right"), "room.toml")
    assert room.setting_out is not None

    mirrored = set_out_mirrored(room.setting_out)

    door = mirrored.room.walls[0].openings[0]
    assert [door.left, door.right] == [0, 400]
    assert mirrored.start.at == 1200
    assert mirrored.way.value == "left"


@pytest.mark.parametrize(
    ("motif", "told"), [('"165 cm"', "1650 mm"), ('"20 cm above the door"', "20 cm above the door")]
)
def test_height_is_told_of_the_mirrored_room_as_of_the_surveyed_one(tmp_path: Path, motif: str, told: str) -> None:
    """The judge compares what is told: of another height the mirrored room is not the surveyed one."""
    text = WALL.format(match="60 cm/third", at=0, puts="joint", way="right").replace("drop = 100", f"at = {motif}")
    path = write(tmp_path, {"room.toml": text}, '[[rooms]]\nfile = "room.toml"\ncount = 2\nmirrored = 1\n')
    document = json.loads(run("contract", str(path), "--json").stdout)
    (mirrored,) = [plan["scenario"] for plan in document["plans"] if plan["part"] == "one room mirrored"]

    assert mirrored["start"]["motif_at"] == told
    assert check_text(json.dumps(document)).holds
    mirrored["start"]["motif_at"] = "155 cm"
    assert "mirrored" in {violation.rule for violation in check_text(json.dumps(document)).violations}


def test_finish_and_slopes_are_mirrored() -> None:
    """A joint 300 from the left of the third of four walls falls 700 from the left of the second; a stair falls."""
    stair = wall(1500, opening(200, 900, 600, 2000), foot=[(0, 0), (1500, 600)])
    room = closed(wall(1000), stair, wall(1000), wall(1500))
    begun = start(500, Puts.MIDDLE)

    at, over = (
        set_out_mirrored(set_out(room, paper(), begun, finish=finish))
        for finish in (FinishAt(2, Fraction(300)), FinishOver(1, 0))
    )
    assert (at.finish, over.finish) == (FinishAt(1, Fraction(700)), FinishOver(2, 0))
    assert [whole(*point) for point in at.room.walls[2].foot.points] == [(0, 600), (1500, 0)]
    assert at.room.walls[0].foot == room.walls[3].foot


def test_straight_match_takes_the_same_drops_mirrored_and_a_third_drop_others() -> None:
    """Only an offset that is not half the repeat makes a mirrored room another job."""
    kinds = {}
    for match in ("60 cm", "60/30 cm", "60 cm/third"):
        room = parse_scenario(WALL.format(match=match, at=0, puts="joint", way="right"), "room.toml")
        other = mirrored_scenario(room).job
        kinds[match] = [sorted(map(job.kind_of, (drop.label for drop in job.drops))) for job in (room.job, other)]

    assert kinds["60 cm"][0] == kinds["60 cm"][1]
    assert kinds["60/30 cm"][0] == kinds["60/30 cm"][1]
    assert kinds["60 cm/third"][0] != kinds["60 cm/third"][1]


@given(surveys())
def test_room_mirrored_twice_is_the_room_again(survey: Survey) -> None:
    """Corners, slopes, steps, openings and fittings come back as they were; so does its setting out."""
    assert mirrored_room(mirrored_room(survey.room)) == survey.room
    try:
        setting_out = set_out(survey.room, survey.paper, survey.start, survey.way, survey.finish)
        again = set_out_mirrored(set_out_mirrored(setting_out))
    except RoomError:
        return

    assert again == setting_out


@pytest.mark.parametrize("path", sorted(Path("scenarios").glob("*.toml")), ids=lambda path: path.stem)
def test_survey_is_written_and_read_again_unchanged(path: Path) -> None:
    """Every surveyed room of the examples, written out as tables, is set out the same."""
    if "[lining]" in path.read_text(encoding="utf-8"):
        pytest.skip("it is a job of several parts")
    scenario = read_scenario(path)
    if scenario.setting_out is None:
        pytest.skip("it lists drops")
    survey = plain(survey_tables(scenario.setting_out))
    assert isinstance(survey, dict)

    again = parse_scenario(toml_document({**scenario.document, "finish": None, **survey} | survey), "again.toml")

    assert again.setting_out is not None
    assert again.setting_out.room == scenario.setting_out.room
    assert again.job == scenario.job


# Three ways.


def test_hotel_by_the_bolt_takes_220_pooled_and_240_apart(tmp_path: Path) -> None:
    """120 rooms of 55 yd from bolts of 30 yd: 6600 ÷ 30 = 220; one room at a time 2 bolts each [derived].

    Eleven drops of 5 yd to a room, six to a bolt. In order is as good, for a free match is cut in any order.
    """
    room = """
[paper]
roll_length = "30 yd"
match = "free"
[trim]
top = "0 mm"
bottom = "0 mm"
[[drop]]
label = "wall"
height = "5 yd"
count = 11
"""
    planner = planner_of(write(tmp_path, {"room.toml": room}, '[[rooms]]\nfile = "room.toml"\ncount = 120\n'))

    found = {way: planner.way(way) for way in SharingWay}

    assert {way: (each.rolls, each.bound) for way, each in found.items()} == {
        SharingWay.POOLED: (220, 220),
        SharingWay.IN_ORDER: (220, 220),
        SharingWay.APART: (240, 240),
    }


BY_THE_YARD = """
[paper]
roll_length = "30 yd"
match = "free"
sold_by = "yd"
price = 20
price_per = "yd"
[trim]
top = "0 mm"
bottom = "0 mm"
[[drop]]
label = "wall"
height = "5 yd"
count = {drops}
"""


def test_hotel_by_the_yard_is_told_the_length_to_order(tmp_path: Path) -> None:
    """120 rooms of 55 yd are 6600 yd in every way [derived]: apart each orders its own 55, and no bolt is left over.

    219 whole bolts of 30 yd, 6570 yd, do not do, so that no order goes below 6571; 5 % more than 6600 are 6930.
    """
    contract = '[contract]\nspare = 5\n[[rooms]]\nfile = "room.toml"\ncount = 120\n'
    path = write(tmp_path, {"room.toml": BY_THE_YARD.format(drops=11)}, contract)
    text = run("contract", str(path), "--json").stdout
    ways = {way["way"]: way["to_order"] for way in json.loads(text)["ways"]}
    yard = Fraction("914.4")

    lengths = {
        name: [Fraction(str(way[key])) / yard for key in ("length", "lower_bound")] for name, way in ways.items()
    }
    assert lengths == {"pooled": [6600, 6571], "in order": [6600, 6571], "apart": [6600, 6600]}
    assert {Fraction(way["with_spare"]["cost"]) for way in ways.values()} == {6930 * 20}
    assert check_text(text).holds
    page = run("contract", str(path)).stdout
    assert all("6930 yd" in line for line in page.splitlines() if line.startswith(("pooled ", "in order ", "apart ")))
    assert max(map(len, page.splitlines())) <= 80


@pytest.mark.parametrize(
    ("path", "to"),
    [
        (("ways", 0, "to_order", "length"), "6034955"),
        (("ways", 0, "to_order", "lower_bound"), "6035040"),
        (("ways", 0, "to_order", "cost"), "1"),
        (("ways", 1, "to_order", "with_spare", "length"), "6035040"),
        (("ways", 2, "to_order", "length"), "6034125.6"),
        (("contract", "rooms", 0, "to_order", "length"), "51206.4"),
        (("contract", "rooms", 0, "to_order", "needed"), "1"),
        (("contract", "paper", "order_step"), "30 yd"),
        (("contract", "paper", "roll_length"), "31 yd"),
    ],
)
def test_length_to_order_is_worked_out_again(tmp_path: Path, path: tuple[str | int, ...], to: str) -> None:
    """A yard more or less, another price, or another step of orders is refused."""
    contract = '[contract]\nspare = 5\n[[rooms]]\nfile = "room.toml"\ncount = 120\n'
    file = write(tmp_path, {"room.toml": BY_THE_YARD.format(drops=11)}, contract)
    document = json.loads(run("contract", str(file), "--json").stdout)
    _at(*path, to=to)(document)

    assert {violation.rule for violation in check_text(json.dumps(document)).violations} & {"to order", "paper"}


def test_a_way_in_which_no_roll_is_cut_is_refused(tmp_path: Path) -> None:
    """There is no roll then of which anything could be left out of the order."""
    path = write(tmp_path, {"room.toml": BY_THE_YARD.format(drops=5)}, '[[rooms]]\nfile = "room.toml"\ncount = 2\n')
    document = json.loads(run("contract", str(path), "--json").stdout)
    for part in document["plans"]:
        part["rolls"] = []

    assert not check_text(json.dumps(document)).holds


def test_what_one_piece_of_all_rooms_must_give_is_not_judged(tmp_path: Path) -> None:
    """That is told, and worked out again, of one room by itself."""
    path = write(tmp_path, {"room.toml": BY_THE_YARD.format(drops=5)}, '[[rooms]]\nfile = "room.toml"\ncount = 2\n')
    document = json.loads(run("contract", str(path), "--json").stdout)
    document["ways"][0]["to_order"]["with_spare"]["needed"] = "0"
    report = check_text(json.dumps(document))

    assert report.holds
    assert "what this judge does not know of: ways.to_order.with_spare.needed" in report.trusted


def test_room_that_uses_what_falls_out_orders_less(tmp_path: Path) -> None:
    """Of 10.40 m for four drops of 2.60, a strip 100 wide comes from the 500 at the door: 7.80 m, on trust."""
    door = "".join(f'[[drop]]\nlabel = "{n}"\nheight = 2500\n' for n in "12")
    door += '[[drop]]\nlabel = "door"\nheight = 2500\n[[drop.cut_outs]]\nfrom_top = 0\nlength = 2500\nleft = 30\n'
    door += '[[drop]]\nlabel = "end"\nheight = 2400\nright = 300\nleft = 200\n'
    paper = 'roll_length = "25 m"\nroll_width = 530\nmatch = "free"\nsold_by = "m"\norder_step = 100\n'
    contract = '[[rooms]]\nfile = "room.toml"\ncount = 2\n'
    path = write(tmp_path, {"room.toml": f'units = "mm"\n[paper]\n{paper}{door}'}, contract)
    document = json.loads(run("contract", str(path), "--json").stdout)
    (room,) = document["contract"]["rooms"]

    assert room["to_order"]["length"] == "7800"
    report = check_text(json.dumps(document))
    assert report.holds
    assert "what one room orders by itself, in several pieces or beside what falls out" in report.trusted
    room["to_order"]["length"] = room["to_order"]["lower_bound"] = "10400"
    assert not check_text(json.dumps(document)).holds


def test_what_one_piece_must_give_is_told(tmp_path: Path) -> None:
    """Nothing falls out, and five drops come off one bolt: the proof is what one piece must give."""
    path = write(tmp_path, {"room.toml": BY_THE_YARD.format(drops=5)}, '[[rooms]]\nfile = "room.toml"\ncount = 2\n')
    document = json.loads(run("contract", str(path), "--json").stdout)
    del document["contract"]["rooms"][0]["to_order"]["needed"]
    (line,) = [violation.line() for violation in check_text(json.dumps(document)).violations]

    assert "one piece does, and what it must give is not told" in line


def test_roll_that_is_cut_least_is_ordered_no_longer_than_it_is_needed(tmp_path: Path) -> None:
    """Two rooms of seven drops of 5 yd, six to a bolt: two whole bolts and 10 yd of the third."""
    path = write(tmp_path, {"room.toml": BY_THE_YARD.format(drops=7)}, '[[rooms]]\nfile = "room.toml"\ncount = 2\n')
    planner = planner_of(path)
    found = planner.way(SharingWay.POOLED)
    order = length_to_order(planner, found)

    assert order is not None
    assert (order.length, order.least) == (70 * Fraction("914.4"), 61 * Fraction("914.4"))


def drops_text(pattern: str, roll: int, drops: list[tuple[int, int]]) -> str:
    """Return a room that lists drops of a height and a first motif, without trims."""
    head = f'units = "mm"\n[paper]\nroll_length = {roll}\nmatch = "{pattern}"\n[trim]\ntop = 0\nbottom = 0\n'
    motif = pattern != "free"
    return head + "".join(
        f'[[drop]]\nlabel = "{label}"\nheight = {height}\n' + (f"first_motif = {first}\n" if motif else "")
        for label, (height, first) in enumerate(drops, 1)
    )


def least_in_order(job: Job, room_of: list[int]) -> int:
    """Return the fewest rolls on which no piece lies before one of an earlier room, by trying every roll's pieces.

    ``job`` has one piece to a drop. Room after room, the pieces of each may lie in any order.
    """
    lot = job.lots[0]
    steps, full = steps_per_mm(job), (1 << len(job.drops)) - 1
    repeat, span = int(job.paper.pattern.repeat * steps), int((lot.length - job.paper.pattern.repeat) * steps)
    sizes = [(int(drop.cut_length * steps), int(drop.motif_below_cut * steps)) for drop in job.drops]
    sets: set[int] = set()

    def lay(taken: int, room: int, end: int, motif: int | None) -> None:
        for piece, (length, datum) in enumerate(sizes):
            if taken >> piece & 1 or room_of[piece] < room:
                continue
            start = end if motif is None or not repeat else end + (motif - datum - end) % repeat
            if start + length <= span:
                sets.add(taken | 1 << piece)
                lay(taken | 1 << piece, room_of[piece], start + length, start + datum)

    lay(0, 0, 0, None)
    reached, rolls = {0}, 0
    while full not in reached:
        rolls += 1
        reached = {have | more for have in reached for more in sets}
    return rolls


@pytest.mark.parametrize("seed", range(24))
def test_each_way_agrees_with_every_arrangement_of_small_rooms(tmp_path: Path, seed: int) -> None:
    """Rooms of two or three drops: in each way the rolls are the fewest that there are."""
    random = Random(seed)  # noqa: S311 - repeatable, nothing secret
    pattern = random.choice(["free", "100 mm", "60 mm"])
    roll = random.randrange(500, 900, 10)
    texts = {}
    for name in ("a", "b"):
        pieces = [(random.randrange(100, 400, 10), random.randrange(0, 60, 10)) for _ in range(random.randint(2, 3))]
        texts[f"{name}.toml"] = drops_text(pattern, roll, pieces)
    counts = {"a": random.randint(1, 2), "b": 1}
    entries = "".join(f'[[rooms]]\nfile = "{name}.toml"\ncount = {count}\n' for name, count in counts.items())
    planner = planner_of(write(tmp_path, texts, entries))
    jobs = {name: read_scenario(tmp_path / f"{name}.toml").job for name in counts}
    rooms = [jobs[name] for name, count in counts.items() for _ in range(count)]
    drops = [replace(drop, label=f"{number}/{drop.label}") for number, job in enumerate(rooms) for drop in job.drops]
    room_of = [number for number, job in enumerate(rooms) for _ in job.drops]
    whole = Job(rooms[0].paper, rooms[0].lots, tuple(drops))

    found = {way: planner.way(way) for way in SharingWay}

    assert found[SharingWay.POOLED].rolls == found[SharingWay.POOLED].bound == least_value(whole)
    assert (
        found[SharingWay.APART].rolls
        == found[SharingWay.APART].bound
        == sum(int(least_value(job) or 0) for job in rooms)
    )
    assert found[SharingWay.IN_ORDER].bound == found[SharingWay.IN_ORDER].rolls == least_in_order(whole, room_of)
    assert check_text(json.dumps(contract_document(planner, found.values()))).holds
    if pattern == "free":
        assert found[SharingWay.IN_ORDER].rolls == found[SharingWay.POOLED].rolls


# A sealed roll of 430 with a repeat of 100 gives 330 for certain. The second room's 120 comes first, and 150 from its
# top the print is right for the first room's 160, to 310. The other way round the 120 begins at 250, and ends at 370.
SHORT_IN_ORDER = {
    "a.toml": drops_text("100 mm", 430, [(160, 50)]),
    "b.toml": drops_text("100 mm", 430, [(120, 0)]),
}


def in_order_of(folder: Path) -> dict[str, Any]:
    """Return the document of a contract whose rooms take more in order than pooled, and its way in order."""
    entries = '[contract]\nways = ["pooled", "in order"]\n[[rooms]]\nfile = "a.toml"\n[[rooms]]\nfile = "b.toml"\n'
    return json.loads(run("contract", str(write(folder, SHORT_IN_ORDER, entries)), "--json").stdout)  # type: ignore[no-any-return]


def test_what_order_costs_is_proved_by_prices_of_pieces_in_their_turns(tmp_path: Path) -> None:
    """Pooled one roll does, in order two: no roll holds the pieces turn after turn, and the judge works that out."""
    document = in_order_of(tmp_path)
    pooled, way = document["ways"]

    assert (pooled["rolls_needed"], way["rolls_needed"], way["status"]) == (1, 2, "optimal")
    assert way["bound_in_turns"]["by"] == "prices"
    assert check_text(json.dumps(document)).holds


@pytest.mark.parametrize(
    ("plant", "rule"),
    [
        (lambda turns: turns.update(scale=turns["scale"] - 1), "prices"),
        (lambda turns: turns["turns"][1]["prices"].clear(), "bound"),
        (lambda turns: turns.update(turns=[{"rooms": 2, "prices": turns["turns"][0]["prices"]}]), "bound"),
        (lambda turns: turns["turns"].append({"rooms": 1, "prices": {}}), "prices"),
        (lambda turns: turns["turns"][0]["prices"].update(ghost=0), "prices"),
    ],
    ids=["a roll holds more", "a turn is free", "one turn of both", "a room more", "a piece of nobody"],
)
def test_prices_that_do_not_prove_what_order_costs_are_refused(
    tmp_path: Path, plant: Callable[[dict[str, Any]], None], rule: str
) -> None:
    """Prices that a roll beats, and prices by which the pieces are worth one roll only."""
    document = in_order_of(tmp_path)
    plant(document["ways"][1]["bound_in_turns"])

    assert rule in {violation.rule for violation in check_text(json.dumps(document)).violations}


def test_pieces_that_the_plan_of_the_bound_does_not_cut_prove_nothing_in_turns(tmp_path: Path) -> None:
    """Of the second room's piece nobody has worked out what a roll holds, whatever it is priced at, under no label."""
    document = in_order_of(tmp_path)
    way = document["ways"][1]
    scenario = next(plan["scenario"] for plan in document["plans"] if plan["part"] == way["bound_part"])
    scenario["drop"] = scenario["drop"][:1]
    scale = way["bound_in_turns"]["scale"]
    way["bound_in_turns"]["turns"] = [{"rooms": 1, "prices": {}}, {"rooms": 1, "prices": {"": 2 * scale}}]

    told = [broken.message for broken in check_text(json.dumps(document)).violations if broken.where == "in order"]

    assert "a lower bound of 2 rolls is claimed, 1 proved" in told


def test_pieces_of_a_turn_are_dealt_from_the_fronts_of_rolls() -> None:
    """Ten rooms alike of 8 a, 10 b, 9 c, one d, one e; of "d d a a a" the two d go to two rooms, and no a to the first.

    Taken as they come, whole rolls first, a room is left with an a to take that lies behind b on every roll.
    """
    rolls = ["eaaa"] * 10 + ["baa"] * 17 + ["bbb"] * 27 + ["ccc"] * 30 + ["ddaaa"] * 5 + ["b"] * 2 + ["a"]
    asked = Counter({"a": 8, "b": 10, "c": 9, "d": 1, "e": 1})

    dealt = deal_turns(map(tuple, rolls), "roll", [(10, asked)])

    assert all(roll.rooms == sorted(roll.rooms) for roll in dealt)
    given = Counter((share.room, share.label) for roll in dealt for share in roll.shares)
    assert given == {(room, label): count for room in range(10) for label, count in asked.items()}


def test_rooms_of_many_kinds_one_after_another_take_no_more_rolls_than_pooled(tmp_path: Path) -> None:
    """69 rooms of three kinds: by itself each is rounded up to whole rolls, together they are once."""
    motifs = {"a": (2480, 20), "b": (2530, 140), "c": (2680, 410)}
    texts = {
        f"{name}.toml": drops_text("540 mm", 10050, [(height, first)] * 7 + [(900, first + 40)])
        for name, (height, first) in motifs.items()
    }
    entries = "".join(f'[[rooms]]\nfile = "{name}.toml"\ncount = {22 + n}\n' for n, name in enumerate(motifs))
    planner = planner_of(write(tmp_path, texts, entries))
    found = planner.way(SharingWay.IN_ORDER)
    document = contract_document(planner, [found])

    assert found.rolls == found.bound == planner.way(SharingWay.POOLED).rolls
    assert check_text(json.dumps(document)).holds


def test_spare_rolls_are_a_share_rounded_up() -> None:
    """5 % of 126 rolls are 6.3, so 7 more are bought: 133; of 144, 7.2, so 8: 152."""
    document = guest_house()

    assert [(way["way"], way["rolls_needed"], way["rolls_to_buy"]) for way in document["ways"]] == [
        ("pooled", 126, 133),
        ("in order", 126, 133),
        ("apart", 144, 152),
    ]


def test_pooled_rooms_never_take_more_than_rooms_apart_whatever_the_time_limit() -> None:
    """Where there is no time to pool them well, the rooms' own rolls are pooled."""
    planner = planner_of(GUEST_HOUSE, 1e-9)

    assert planner.way(SharingWay.POOLED).rolls <= planner.way(SharingWay.APART).rolls
    assert planner.way(SharingWay.POOLED).bound <= planner.way(SharingWay.POOLED).rolls


# Batches.


BATCHES = """
[[rooms]]
file = "room.toml"
count = 4
[[roll]]
label = "A"
count = {a}
batch = "17"
[[roll]]
label = "B"
count = {b}
batch = "18"
"""


def test_room_is_papered_from_one_batch(tmp_path: Path) -> None:
    """Four rooms of two drops, three drops to a roll: two rolls of A do for three rooms, one of B for the fourth."""
    room = {"room.toml": drops_text("free", 1000, [(300, 0), (300, 0)])}

    found = planner_of(write(tmp_path, room, BATCHES.format(a=2, b=2))).way(SharingWay.POOLED)

    assert [(section.lot.label, section.rooms) for section in found.sections] == [("A", 3), ("B", 1)]
    assert (found.rolls, found.bound, found.status.value) == (3, 3, "optimal")


def test_too_few_rolls_say_for_how_many_rooms_they_do(tmp_path: Path) -> None:
    """One roll of one batch holds three of eight drops: one room and a half."""
    room = {"room.toml": drops_text("free", 1000, [(300, 0), (300, 0)])}
    contract = '[[rooms]]\nfile = "room.toml"\ncount = 4\n[[roll]]\nlabel = "A"\n'

    with pytest.raises(NoPlanError, match=r"the 1 roll listed do for 1 of 4 rooms; 2 more rolls of one batch would do"):
        planner_of(write(tmp_path, room, contract)).way(SharingWay.POOLED)


# Lists, and rooms as scenarios.


@pytest.mark.parametrize("way", list(SharingWay))
def test_every_room_written_out_can_be_hung_from_the_rolls_that_it_has(way: SharingWay) -> None:
    """A room's scenario is planned like any other; its stretches of a roll do not reach into those of others."""
    planner = planner_of(GUEST_HOUSE)
    used: dict[str, Fraction] = {}
    for listed in list(room_lists(planner, planner.way(way))):
        for part in listed.parts:
            used[part.roll] = used.get(part.roll, Fraction(0)) + part.paper.length
        if listed.room.endswith(" 2"):
            scenario = parse_scenario(room_scenario(planner, listed), listed.room)
            plan = solve(scenario.job)

            assert plan.rolls_needed <= sum(lot.count or 0 for lot in scenario.job.rolls)
    assert all(length <= 10050 for length in used.values())


def test_rooms_are_written_and_planned_by_their_command(tmp_path: Path) -> None:
    """36 files, none written over; each says which room it is."""
    first = run(
        "contract", str(GUEST_HOUSE), "--way", "in order", "--rooms", str(tmp_path), "-o", str(tmp_path / "page")
    )
    again = run("contract", str(GUEST_HOUSE), "--rooms", str(tmp_path), "-o", str(tmp_path / "page2"))

    assert (first.exit_code, len(list(tmp_path.glob("*.toml")))) == (0, 36)
    assert (tmp_path / "suite-9.toml").read_text(encoding="utf-8").startswith("# suite 9\n")
    assert again.exit_code == 2 or again.exception is not None
    assert run("plan", str(tmp_path / "landing-1.toml")).exit_code == 0


# The judge.


@cache
def _guest_house_text() -> str:
    planner = planner_of(GUEST_HOUSE)
    return json.dumps(contract_document(planner, [planner.way(way) for way in SharingWay]))


def guest_house() -> dict:  # type: ignore[type-arg]
    """Return the contract of the example as JSON, fresh."""
    return json.loads(_guest_house_text())  # type: ignore[no-any-return]


def test_judge_finds_the_contract_in_order() -> None:
    """Every plan in it, every room's drops, every cut, the order and the bounds."""
    report = check_text(_guest_house_text())

    assert report.violations == ()
    assert "in order: 36 rooms from 126 rolls, which is the bound" in report.facts


def _swap_drops(document: dict) -> None:  # type: ignore[type-arg]
    rolls = document["ways"][0]["rooms"][0]["rolls"]
    one, other = rolls[0], rolls[3]
    one["drops"][0], other["drops"][0] = other["drops"][0], one["drops"][0]


def _leave_out(document: dict) -> None:  # type: ignore[type-arg]
    document["ways"][0]["rooms"][2]["rolls"].pop()


def _twice(document: dict) -> None:  # type: ignore[type-arg]
    rooms = document["ways"][0]["rooms"]
    rooms[1]["rolls"] = deepcopy(rooms[0]["rolls"])


def _no_such_cut(document: dict) -> None:  # type: ignore[type-arg]
    document["ways"][0]["rooms"][0]["rolls"][0]["cuts"][0] = 9


def _room_gone(document: dict) -> None:  # type: ignore[type-arg]
    document["ways"][2]["rooms"].pop()


def _backwards(document: dict) -> None:  # type: ignore[type-arg]
    document["ways"][1]["rooms"].reverse()


def _bound_too_high(document: dict) -> None:  # type: ignore[type-arg]
    document["ways"][2] |= {"lower_bound": 145, "rolls_needed": 145}


def _fewer_rolls(document: dict) -> None:  # type: ignore[type-arg]
    document["ways"][0] |= {"rolls_needed": 125, "lower_bound": 125}


def _status(document: dict) -> None:  # type: ignore[type-arg]
    document["ways"][0]["status"] = "feasible"


def _spare(document: dict) -> None:  # type: ignore[type-arg]
    document["ways"][0]["rolls_to_buy"] -= 1


def _cost(document: dict) -> None:  # type: ignore[type-arg]
    document["ways"][0]["cost"] = "1"


def _one_room_more(document: dict) -> None:  # type: ignore[type-arg]
    document["contract"]["rooms"][0]["count"] += 1


def _print_mirrored(document: dict) -> None:  # type: ignore[type-arg]
    part = next(plan for plan in document["plans"] if plan["part"] == "one bedroom mirrored")
    part["scenario"]["paper"]["offset_direction"] = "up"


def _not_mirrored(document: dict) -> None:  # type: ignore[type-arg]
    document["contract"]["rooms"][1]["surveyed"] = next(
        plan["scenario"] for plan in document["plans"] if plan["part"] == "one bedroom mirrored"
    )


def _other_lot(document: dict) -> None:  # type: ignore[type-arg]
    document["ways"][0]["rooms"][0]["lot"] = "B"


def _at(*path: str | int, to: object) -> Callable[[dict], None]:  # type: ignore[type-arg]
    """Return what plants a value at a place."""

    def plant(document: dict) -> None:  # type: ignore[type-arg]
        place = document
        for key in path[:-1]:
            place = place[key]
        place[path[-1]] = to

    plant.__name__ = f"{path} to {to}"
    return plant


def _way_twice(document: dict) -> None:  # type: ignore[type-arg]
    document["ways"].append(document["ways"][0])


def _lot_twice(document: dict) -> None:  # type: ignore[type-arg]
    document["contract"]["batches"] *= 2


def _door_twice(document: dict) -> None:  # type: ignore[type-arg]
    document["plans"][1]["scenario"]["wall"][0]["opening"] *= 2


def _rooms_turned(document: dict) -> None:  # type: ignore[type-arg]
    document["contract"]["rooms"].reverse()


@pytest.mark.parametrize(
    ("plant", "told"),
    [
        (_at("contract", "one_batch_to", to="walls"), "must be one of room, wall"),
        (_at("contract", "rooms", 1, "mirrored", to=False), "is false, and the room that is mirrored is there"),
        (_lot_twice, "rolls of roll are listed twice"),
        *((_at("contract", key, to=None), f"{key}: must not be null") for key in ("batches", "paper", "one_batch_to")),
        (_way_twice, "one of them is listed twice"),
        *((_at("ways", 1, key, to=None), rf"ways\[2\].{key}: is missing") for key in ("way", "status", "rolls_to_buy")),
    ],
)
def test_contract_that_contradicts_itself_is_not_read(plant: Callable[[dict], None], told: str) -> None:  # type: ignore[type-arg]
    """A word that says nothing, a mirrored room that is none, rolls told twice, a way with two answers or none."""
    document = guest_house()
    plant(document)

    with pytest.raises(PlanUnreadable, match=told):
        check_text(json.dumps(document))


@pytest.mark.parametrize(("key", "entry"), [("cuts", [1]), ("cuts", "1"), ("cuts", True), ("drops", [1]), ("drops", 1)])
def test_cuts_of_a_room_that_are_no_numbers_are_not_read(key: str, entry: object) -> None:
    """Or the drops that they are for no labels: the judge says so, whatever stands there."""
    document = guest_house()
    given = document["ways"][0]["rooms"][0]["rolls"][0]
    given[key] = [entry] * len(given[key])

    with pytest.raises(PlanUnreadable, match="must be a list of numbers, and drops one of as many labels"):
        check_text(json.dumps(document))


@pytest.mark.parametrize(
    ("plant", "rule"),
    [
        (_swap_drops, "served"),
        (_leave_out, "served"),
        (_twice, "cuts"),
        (_no_such_cut, "served"),
        (_room_gone, "rooms"),
        (_backwards, "in order"),
        (_bound_too_high, "bound"),
        (_fewer_rolls, "rolls"),
        (_status, "status"),
        (_spare, "spare"),
        (_cost, "cost"),
        (_one_room_more, "rooms"),
        (_print_mirrored, "paper"),
        (_not_mirrored, "mirrored"),
        (_other_lot, "batch"),
        (_at("plans", 1, "scenario", "wall", 0, "corner", to="external"), "mirrored"),
        (_at("plans", 1, "scenario", "room", "textured", to=True), "mirrored"),
        (_door_twice, "mirrored"),
        (_at("plans", 1, "scenario", "wall", 0, "foot", to=[[0, 0], [2100, 5]]), "mirrored"),
        (_at("plans", 1, "scenario", "wall", 0, "top", to=[[0, 2480], [1, 2480], [9, 2400], [2100, 2480]]), "mirrored"),
        (_at("plans", 1, "scenario", "room", "level_line", to=2470), "mirrored"),
        (_at("plans", 1, "scenario", "finish", to={"wall": "door wall", "at": 0}), "mirrored"),
        (_at("contract", "rooms", 1, "surveyed", "paper", "roll_length", to="15 m"), "paper"),
        (_at("contract", "rooms", 1, "surveyed", "paper", "offset_direction", to="up"), "paper"),
        (_at("plans", 0, "scenario", "paper", "name", to="Reed bed, slate"), "paper"),
        (_at("plans", 2, "scenario", "paper", "name", to="Reed bed, slate"), "paper"),
        (_at("plans", 4, "scenario", "paper", "name", to="Reed bed, slate"), "paper"),
        (_at("plans", 6, "scenario", "paper", "roll_width", to=531), "paper"),
        (_at("plans", 4, "scenario", "paper", "selvedge", to=10), "paper"),
        (_at("plans", 6, "scenario", "roll", to=[{"label": "roll", "length": 5000, "count": 400}]), "paper"),
        (_at("plans", 4, "scenario", "roll", to=[{"label": "roll", "first_motif": 0, "count": 400}]), "paper"),
        (_at("plans", 4, "scenario", "offcut", to=[{"label": "kept", "length": 2600, "first_motif": 0}]), "paper"),
        (_at("contract", "batches", 0, "roll", to="B"), "batch"),
        (_at("contract", "batches", 0, "batch", to=1), "batch"),
        (_at("contract", "batches", to=[]), "batch"),
        (_at("ways", 2, "rooms", 3, "lot", to="B"), "batch"),
        (_rooms_turned, "in order"),
    ],
)
def test_planted_fault_in_a_contract_is_refused(plant: Callable[[dict], None], rule: str) -> None:  # type: ignore[type-arg]
    """Each rule of the judge is broken once, and says so."""
    document = guest_house()
    plant(document)

    assert rule in {violation.rule for violation in check_text(json.dumps(document)).violations}


@pytest.mark.parametrize(
    ("surveyed", "mirrored", "is_mirror"),
    [
        ({"wall": "door wall", "at": 100}, {"wall": "door wall", "at": 2000}, True),
        ({"wall": "door wall", "at": 100}, {"wall": "door wall", "at": 100}, False),
        ({"wall": "door wall", "at": 100}, {"wall": "bed wall", "at": 2000}, False),
        ({"wall": "door wall", "over": "door"}, {"wall": "door wall", "over": "door"}, True),
        ({"wall": "door wall", "over": "door"}, {"wall": "door wall", "at": 530}, False),
    ],
)
def test_mirrored_room_closes_where_the_surveyed_one_does(
    surveyed: dict[str, object],
    mirrored: dict[str, object],
    is_mirror: bool,  # noqa: FBT001 - a case
) -> None:
    """As far from the right of the same wall, or over the same door."""
    document = guest_house()
    document["contract"]["rooms"][1]["surveyed"]["finish"] = surveyed
    document["plans"][1]["scenario"]["finish"] = mirrored

    assert ("mirrored" in {violation.rule for violation in check_text(json.dumps(document)).violations}) != is_mirror


def test_room_takes_of_the_lot_that_its_rolls_are_of_whatever_another_is_called(tmp_path: Path) -> None:
    """A lot may be called as a roll of another lot is: a room that is cut from that roll does not take of it."""
    document = in_order_of(tmp_path)
    document["contract"]["batches"].append({"roll": "roll-1", "count": 1, "batch": "other"})
    listed = document["ways"][0]["rooms"][0]
    taken = {each["roll"] for each in listed["rolls"]}
    listed["lot"] = "roll-1"

    assert taken == {"roll-1"}
    assert {violation.rule for violation in check_text(json.dumps(document)).violations} == {"batch"}


@pytest.mark.parametrize("name", ["alcove-feature-wall", "loft", "mural", "parlour", "stairwell"])
def test_judge_knows_the_mirror_image_of_a_room_of_any_kind(name: str) -> None:
    """With slopes and stairs, round a room, and with the start told as a height above the floor."""
    scenario = read_scenario(GUEST_HOUSE.parent.parent / f"{name}.toml")
    documents = (each.document for each in (scenario, mirrored_scenario(scenario)))
    one, other = (
        SurveyReader(with_units(Table("", json.loads(json.dumps(document, default=str)), [])), is_free=False).survey()
        for document in documents
    )

    assert one is not None
    assert other is not None
    assert is_mirror_image(one, other)
    assert not is_mirror_image(one, replace(other, walls=other.walls[1:]))


def test_bound_may_not_rest_on_pieces_that_a_cut_out_could_hold(tmp_path: Path) -> None:
    """A door's cut-out of 2 m holds the short drop, so only the long ones are sure to need rolls."""
    room = """units = "mm"
[paper]
roll_length = 5000
roll_width = 500
match = "free"
[trim]
top = 0
bottom = 0
[[drop]]
label = "door"
height = 2500
[[drop.cut_outs]]
from_top = 400
length = 2100
left = 0
right = 400
[[drop]]
label = "short"
height = 2000
left = 0
right = 300
[[drop]]
label = "wall"
height = 2500
"""
    planner = planner_of(write(tmp_path, {"room.toml": room}, '[[rooms]]\nfile = "room.toml"\ncount = 3\n'))
    ways = [planner.way(way) for way in SharingWay]
    document = contract_document(planner, ways)

    assert [(each.rolls, each.bound) for each in ways] == [(3, 3), (3, 3), (3, 3)]
    assert check_text(json.dumps(document)).holds
    bound = next(plan for plan in document["plans"] if plan["part"] == "bound")  # type: ignore[attr-defined]
    assert [drop["label"] for drop in bound["scenario"]["drop"]] == ["room/door"]  # the door's and the wall's are alike


SHORT_PIECES: Final = """units = "mm"
[paper]
roll_length = 5000
roll_width = 500
match = "free"
[trim]
top = 0
bottom = 0
[[drop]]
label = "door"
height = {door}
[[drop.cut_outs]]
from_top = 400
length = {fallen}
left = 0
right = 400
"""


def room_with_a_door(door: int, fallen: int, narrow: list[int], wide: list[int]) -> str:
    """Return a room with something falling out of its door's drop, then narrow pieces, then pieces of full width."""
    text = SHORT_PIECES.format(door=door, fallen=fallen)
    text += "".join(
        f'[[drop]]\nlabel = "n{n}"\nheight = {high}\nleft = 0\nright = 300\n' for n, high in enumerate(narrow)
    )
    return text + "".join(f'[[drop]]\nlabel = "w{n}"\nheight = {high}\n' for n, high in enumerate(wide))


def test_cut_outs_that_save_nothing_in_one_room_save_a_roll_where_rooms_share(tmp_path: Path) -> None:
    """A door of 2.5 m and a narrow piece of 2 m take one roll of 5 m; two such rooms one too, by what falls out."""
    rooms = {"room.toml": room_with_a_door(2500, 2100, [2000], [])}
    planner = planner_of(write(tmp_path, rooms, '[[rooms]]\nfile = "room.toml"\ncount = 2\n'))
    ways = [planner.way(way) for way in SharingWay]

    assert [(each.way.value, each.rolls, each.bound) for each in ways] == [
        ("pooled", 1, 1),
        ("in order", 1, 1),
        ("apart", 2, 2),
    ]
    assert check_text(json.dumps(contract_document(planner, ways))).holds


ROOM_WITH_A_NARROW_PIECE: Final = """units = "mm"
[paper]
roll_length = "6 m"
roll_width = 400
match = "30 cm"
[[drop]]
label = "door"
height = 1300
first_motif = 0
[[drop.cut_outs]]
from_top = 0
length = 1300
left = 0
right = 300
[[drop]]
label = "narrow"
height = 400
left = 0
right = 200
first_motif = 50
"""


def test_room_cut_for_the_others_sake_is_proved_as_any_plan_of_it(tmp_path: Path) -> None:
    """Its narrow piece comes from the door's paper; prices at which no roll may hold one prove nothing of the room."""
    rooms = {"room.toml": ROOM_WITH_A_NARROW_PIECE}
    planner = planner_of(write(tmp_path, rooms, '[[rooms]]\nfile = "room.toml"\ncount = 3\n'))
    ways = [planner.way(way) for way in SharingWay]

    assert planner.own[0].lot_of["narrow"] != "roll"
    assert check_text(json.dumps(contract_document(planner, ways))).holds


def least_with_cut_outs(rooms: list[Job]) -> int:
    """Return the fewest rolls by trying, in every room, every set of narrow pieces that what falls out could hold."""
    choices = []
    for number, job in enumerate(rooms):
        (fallen,) = job.drops[0].cut_outs
        narrow = [drop for drop in job.drops if drop.left is not None]
        sets = [some for size in range(len(narrow) + 1) for some in combinations(narrow, size)]
        fitting = [some for some in sets if sum(drop.cut_length for drop in some) <= fallen.length]
        choices.append(
            [
                [replace(d, label=f"{number}/{d.label}", cut_outs=()) for d in job.drops if d not in some]
                for some in fitting
            ]
        )
    return min(
        int(least_value(replace(rooms[0], drops=tuple(chain.from_iterable(choice)))) or 0)
        for choice in product(*choices)
    )


@pytest.mark.parametrize("seed", range(12))
def test_what_falls_out_of_drops_is_counted_in_the_bound_of_small_contracts(tmp_path: Path, seed: int) -> None:
    """Against trying everything: no bound is above the fewest rolls, and pooled rooms take no more than those."""
    random = Random(seed)  # noqa: S311 - repeatable, nothing secret
    texts = {
        f"{name}.toml": room_with_a_door(
            random.randrange(2000, 2600, 100),
            random.randrange(800, 2000, 100),
            [random.randrange(500, 1900, 100) for _ in range(random.randint(1, 2))],
            [random.randrange(1000, 2600, 100) for _ in range(random.randint(0, 1))],
        )
        for name in "ab"
    }
    planner = planner_of(write(tmp_path, texts, '[[rooms]]\nfile = "a.toml"\n[[rooms]]\nfile = "b.toml"\n'))
    least = least_with_cut_outs([read_scenario(tmp_path / f"{name}.toml").job for name in "ab"])
    pooled = planner.way(SharingWay.POOLED)

    assert pooled.rolls == pooled.bound == least
    assert check_text(json.dumps(contract_document(planner, [planner.way(way) for way in SharingWay]))).holds


END_STRIPS: Final = """units = "mm"
[paper]
name = "Reed"
roll_length = "10.05 m"
roll_width = 530
match = "54 cm/third"
offset_direction = "down"
packet = 2
[[wall]]
name = "wall"
width = {width}
height = 2400
[start]
wall = "wall"
at = {at}
puts = "joint"
motif_drop = 60
"""


def rooms_with_end_strips(folder: Path) -> dict[str, Any]:
    """Return the document of four rooms of 3.00 and 2.50 m, one of each mirrored, in a third-drop by the packet."""
    rooms = {
        "a.toml": END_STRIPS.format(width=3000, at=1500),
        "b.toml": END_STRIPS.format(width=2500, at=300),
    }
    entries = "".join(f'[[rooms]]\nfile = "{name}"\ncount = 2\nmirrored = 1\n' for name in rooms)
    document: dict[str, Any] = json.loads(run("contract", str(write(folder, rooms, entries)), "--json").stdout)
    return document


def test_rooms_with_narrow_end_strips_are_proved(tmp_path: Path) -> None:
    """What is slit off an end strip could hold that of another room, and serves its own alone: no gap remains."""
    document = rooms_with_end_strips(tmp_path)
    pooled = document["ways"][0]

    assert {way["status"] for way in document["ways"]} == {"optimal"}
    assert pooled["bound_together"]["by"] == "prices"
    assert check_text(json.dumps(document)).holds


@pytest.mark.parametrize(
    "plant",
    [
        lambda proof: proof.update(bound=str(int(proof["bound"]) + 1)),
        lambda proof: proof["prices"].update(scale=proof["prices"]["scale"] // 2),
        lambda proof: proof["prices"]["drops"].clear(),
        lambda proof: proof["prices"]["drops"].update({next(iter(proof["prices"]["drops"])): 10**9}),
    ],
    ids=["bound", "scale", "none", "dear"],
)
def test_prices_that_do_not_prove_the_bound_of_all_rooms_are_refused(
    tmp_path: Path, plant: Callable[[dict[str, Any]], None]
) -> None:
    """A bound too high, and prices that are unfair or prove less."""
    document = rooms_with_end_strips(tmp_path)
    plant(document["ways"][0]["bound_together"])

    assert not check_text(json.dumps(document)).holds


def test_rooms_apart_have_no_bound_of_all_rooms_together(tmp_path: Path) -> None:
    """The prices of the pooled way, told again for rooms that share nothing: nobody looks at them there."""
    document = rooms_with_end_strips(tmp_path)
    pooled, _, apart = document["ways"]
    apart["bound_together"] = pooled["bound_together"]

    with pytest.raises(PlanUnreadable, match="bound_together: bounds rooms that share rolls, and nothing else"):
        check_text(json.dumps(document))


# Input, and the other commands.


@pytest.mark.parametrize(
    ("contract", "told"),
    [
        ("[contract]\nspare = 5\n", "rooms: is missing"),
        ('[[rooms]]\nfile = "gone.toml"\n', "rooms[1].file: "),
        ('[[rooms]]\nname = "x"\nfile = "list.toml"\nmirrored = 1\n', 'rooms["x"].mirrored: '),
        ('[[rooms]]\nname = "x"\nfile = "list.toml"\nmirrored = 2\n', "is 2 of 1"),
        ('[[rooms]]\nfile = "list.toml"\n[[rooms]]\nfile = "list.toml"\n', "is used by an earlier entry too"),
        ('[[rooms]]\nfile = "list.toml"\n[[rooms]]\nfile = "other.toml"\n', "its paper differs from that of"),
        ('[[rooms]]\nfile = "rolls.toml"\n', "rolls belong to the contract"),
        ('[[rooms]]\nfile = "slit.toml"\n', "slit.toml is slit from goods with several lengths across"),
        ('[contract]\nways = ["mixed"]\n[[rooms]]\nfile = "list.toml"\n', "contract.ways: must be a list of"),
        ('[contract]\nspare = 500\n[[rooms]]\nfile = "list.toml"\n', "contract.spare: must be a number of per cent"),
        ('[[rooms]]\nfile = "list.toml"\n[[roll]]\nlabel = 1\n[[roll]]\nlabel = 2\n', "is that of an earlier entry"),
        ('[[room]]\nfile = "list.toml"\n', "room: unknown key; did you mean rooms?"),
    ],
)
def test_fault_in_a_contract_is_told_with_its_place(tmp_path: Path, contract: str, told: str) -> None:
    """Each says where, what, and how to mend it."""
    listed = drops_text("free", 1000, [(300, 0)])
    texts = {
        "list.toml": listed,
        "other.toml": drops_text("free", 1100, [(300, 0)]),
        "slit.toml": listed.replace("match", 'sold_by = "m"\norder_step = 100\nacross = 2\nmatch', 1),
        "rolls.toml": f'{listed}[[roll]]\nlabel = "A"\n',
    }

    with pytest.raises(ScenarioError) as raised:
        read_contract(str(write(tmp_path, texts, contract)))

    assert told in str(raised.value)


def test_faults_of_rolls_do_not_wait_for_the_rooms_to_be_mended(tmp_path: Path) -> None:
    """Where no room can be read: its own two faults, and those of the share to spare and of the rolls."""
    room = drops_text("free", 1000, [(300, 0)]).replace('match = "free"', 'match = "WRONG"\nprice = "WRONG"')
    contract = '[contract]\nspare = "WRONG"\n[[rooms]]\nfile = "room.toml"\n[[roll]]\nlabel = 1\ncount = "WRONG"\n'
    with pytest.raises(ScenarioError) as raised:
        read_contract(str(write(tmp_path, {"room.toml": room}, contract)))

    assert [fault.where for fault in raised.value.faults] == [
        "contract.spare",
        "rooms[1].file",
        "rooms[1].file",
        'roll["1"].count',
    ]


@pytest.mark.parametrize("command", ["plan", "buy", "compare", "sheet", "draw", "begin"])
def test_commands_for_one_room_say_that_a_contract_has_several(command: str) -> None:
    """They name the command that plans it and writes its rooms out."""
    with pytest.raises(ScenarioError, match="is a contract of several rooms: cutplan contract plans it"):
        read_scenario(GUEST_HOUSE)
    done = run(command, str(GUEST_HOUSE), *(["-o", "x.html"] if command in {"sheet", "draw"} else []))

    assert done.exit_code != 0


def test_page_tells_the_ways_and_their_difference_within_80_columns() -> None:
    """Apart takes 18 more than pooled, and both are proved."""
    done = run("contract", str(GUEST_HOUSE))

    assert done.exit_code == 0
    assert "apart takes 18 rolls more than pooled." in done.stdout
    assert max(map(len, done.stdout.splitlines())) <= 80


def test_cuts_along_a_roll_in_order_go_to_rooms_in_order() -> None:
    """Whoever cuts for a room never finds paper of a later room before it on the roll."""
    planner = planner_of(GUEST_HOUSE)

    for roll in planner.way(SharingWay.IN_ORDER).sections[0].rolls:
        assert all(one <= other for one, other in pairwise(roll.rooms))
        assert all(one.end <= other.start for one, other in pairwise(roll.cuts))
