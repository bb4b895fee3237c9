"""A contract room by room: every figure of the page from the file, and each room worked from its own record."""

from __future__ import annotations

import json
import re
import shutil
from functools import cache
from math import ceil
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING, Any

import pytest
from msgspec.structs import replace
from typer.testing import CliRunner

from brute_force import least_value
from cutplan.check import check_plan, check_text
from cutplan.cli.all_commands import app
from cutplan.contract.read_contract import read_contract
from cutplan.contract.rooms import SharingWay
from cutplan.contract.ways import ContractPlanner
from cutplan.scenario.read import parse_scenario
from cutplan.solve.clock import Clock

if TYPE_CHECKING:
    from collections.abc import Callable

    from typer.testing import Result

    from cutplan.job.drops import Drop

GUEST_HOUSE = Path("scenarios/guest-house/contract.toml")


def run(*words: object, answers: str | None = None) -> Result:
    """Return what a command did, with answers on its standard input."""
    arguments = [str(word) for word in words]
    return CliRunner().invoke(app, arguments, input=answers)


@cache
def _outputs() -> tuple[str, dict[str, Any]]:
    page = run("contract", GUEST_HOUSE, "--way", "in order").stdout
    return page, json.loads(run("contract", GUEST_HOUSE, "--json").stdout)


def table_below(page: str, head: str) -> list[list[str]]:
    """Return the rows of the first table of a page below some words, with what is wrapped in a cell put together."""
    lines = iter(page[page.index(head) :].splitlines())
    ruler = next(line for line in lines if re.fullmatch(r"-+(  -+)+", line))
    columns = [match.span() for match in re.finditer("-+", ruler)]
    rows: list[list[str]] = []
    for line in lines:
        if not line.strip():
            break
        cells = [line[begin:end].strip() for begin, end in columns]
        if cells[0]:
            rows.append(cells)
        else:
            rows[-1] = [f"{before} {more}".strip() for before, more in zip(rows[-1], cells, strict=True)]
    return rows


def test_figures_of_the_page_are_those_of_the_file() -> None:
    """Rolls, bound, spare and cost of each way; what one takes more than another; spare is 5 % of the rolls, up."""
    page, document = _outputs()
    price = document["plans"][0]["scenario"]["paper"]["price"]
    for way, row in zip(document["ways"], table_below(page, "way "), strict=True):
        buy = ceil(way["rolls_needed"] * 1.05)
        proved = "proved" if way["rolls_needed"] == way["lower_bound"] else "not proved the fewest"
        figures = [way["rolls_needed"], way["lower_bound"], proved, buy, f"{buy * price:.2f}"]
        assert row == [way["way"], *map(str, figures)]
        assert way["rolls_to_buy"] == buy
    rolls = {way["way"]: way["rolls_needed"] for way in document["ways"]}
    assert f"apart takes {rolls['apart'] - rolls['pooled']} rolls more than pooled." in page
    rooms = sum(kind["count"] for kind in document["contract"]["rooms"])
    assert page.startswith(f"{rooms} rooms in Reed bed, straw: ")


def test_lists_for_rooms_and_rolls_are_those_of_the_file() -> None:
    """Which rolls and parts go to each room, how each roll is cut, and which are cut for more than one room."""
    page, document = _outputs()
    way = next(way for way in document["ways"] if way["way"] == "in order")
    of_roll: dict[str, list[str]] = {}
    for room in way["rooms"]:
        for part in room["rolls"]:
            of_roll.setdefault(part["roll"], []).append(room["room"])
    listed = dict(table_below(page, "Rooms, in order"))
    assert list(listed) == [room["room"] for room in way["rooms"]]
    for room in way["rooms"]:
        told = []
        for part in room["rolls"]:
            shared = "" if len(of_roll[part["roll"]]) == 1 else "part of "
            told.append(f"{shared}{part['roll']}: {', '.join(part['drops'])}")
        assert listed[room["room"]] == "; ".join(told)
    goes_on = dict(table_below(page, "cut for more than one room:"))
    assert goes_on == {roll: "; ".join(rooms) for roll, rooms in of_roll.items() if len(rooms) > 1}
    pooled = next(plan for plan in document["plans"] if plan["part"] == "in order")
    cuts = [", ".join(cut["drop"].partition(" (")[0] for cut in roll["cuts"]) for roll in pooled["rolls"]]
    assert sorted(cell for _, cell in table_below(page, "Rolls, in order")) == sorted(cuts)


@pytest.mark.parametrize(
    ("way", "room"), [("in order", "suite-2"), ("pooled", "bedroom-mirrored-3"), ("apart", "landing-1")]
)
def test_a_room_is_recorded_planned_again_and_made_a_sheet_of(tmp_path: Path, way: str, room: str) -> None:
    """From the contract to the last answer: begun, cut, a drop spoiled, a roll bought, planned again, judged."""
    assert run("contract", GUEST_HOUSE, "--way", way, "--rooms", tmp_path, "-o", tmp_path / "page").exit_code == 0
    file = tmp_path / f"{room}.toml"
    judged = check_text(run("plan", file, "--json").stdout)
    assert judged.holds
    assert "in all" not in run("plan", file).stdout, "a part of a roll costs no whole one"

    assert run("begin", file).exit_code == 0
    assert run("done", file, "1-3").exit_code == 0
    assert run("spoiled", file, "1", "--why", "torn").exit_code == 0
    bought = run("bought", file, "1")
    again = run("replan", file)
    sheet = run("sheet", file, "-o", tmp_path / "sheet.html")
    record = check_text((tmp_path / f"{room}.record.jsonl").read_text(encoding="utf-8"))

    assert (bought.exit_code, again.exit_code, sheet.exit_code) == (0, 0, 0), bought.output + again.output
    assert again.stdout.startswith("Yes")
    assert "<html" in (tmp_path / "sheet.html").read_text(encoding="utf-8")
    assert record.holds


def test_rooms_are_worked_one_after_another(tmp_path: Path) -> None:
    """Two bedrooms, one mirrored, and a suite: ten steps of the first, a drop spoiled, planned again, then the next.

    Parts of rolls are pieces: no length of one is doubted, and none is said to be sold short.
    """
    for name in ("bedroom", "suite"):
        shutil.copy(GUEST_HOUSE.parent / f"{name}.toml", tmp_path)
    entries = '[[rooms]]\nfile = "bedroom.toml"\ncount = 2\nmirrored = 1\n[[rooms]]\nfile = "suite.toml"\ncount = 1\n'
    (tmp_path / "contract.toml").write_text(entries, encoding="utf-8")
    (rooms := tmp_path / "rooms").mkdir()
    page = run("contract", tmp_path / "contract.toml", "--way", "in order", "--rooms", rooms)
    assert page.exit_code == 0, page.output
    names = ["bedroom-1", "bedroom-mirrored-1", "suite-1"]
    assert sorted(path.stem for path in rooms.glob("*.toml")) == names
    first, second, _ = (rooms / f"{name}.toml" for name in names)
    for name in names:
        shown = run("plan", rooms / f"{name}.toml").stdout
        assert "part" in shown
        assert "Is this so?" not in shown
        short = [line for line in shown.splitlines() if "full length" in line]
        assert not [line for line in short if "part" in line]

    assert run("begin", first).exit_code == 0
    assert "Done: 10 steps" in run("done", first, "1-10").stdout
    assert "Spoiled: drop 3 (torn)." in run("spoiled", first, "3", "--why", "torn").stdout
    refused = run("replan", first)
    assert refused.exit_code == 3
    assert "1 roll more is needed" in " ".join(refused.output.split())
    assert run("bought", first, "1").exit_code == 0
    assert run("replan", first).stdout.startswith("Yes")
    assert run("sheet", first, "-o", tmp_path / "sheet.html").exit_code == 0
    assert run("begin", second).exit_code == 0
    assert "Done: 3 steps" in run("done", second, "1-3").stdout
    for room in (first, second):
        assert check_text(room.with_suffix(".record.jsonl").read_text(encoding="utf-8")).holds


def test_new_begins_a_contract_of_surveyed_rooms(tmp_path: Path) -> None:
    """The answers of the guest house: 5 per cent, 24 bedrooms of which 12 mirrored, 9 suites and 3 landings."""
    folder = tmp_path / "guest-house"
    shutil.copytree(GUEST_HOUSE.parent, folder)
    (folder / "contract.toml").unlink()
    rooms = [word for name in ("bedroom", "suite", "landing") for word in ("--room", folder / f"{name}.toml")]
    answers = "5\n24\n12\n9\n0\n3\n0\n"
    done = run("new", folder / "contract.toml", *rooms, answers=answers)
    begun, known = (read_contract(str(path)) for path in (folder / "contract.toml", GUEST_HOUSE))

    assert done.exit_code == 0, done.output
    assert "plan it with: cutplan contract" in done.stderr
    assert begun.spare == known.spare
    assert [(kind.name, kind.count, kind.scenario.job) for kind in begun.kinds] == [
        (kind.name, kind.count, kind.scenario.job) for kind in known.kinds
    ]


def test_more_mirrored_than_there_are_is_not_taken(tmp_path: Path) -> None:
    """Three landings, four of them mirrored: nothing is written."""
    room = GUEST_HOUSE.parent / "landing.toml"
    done = run("new", tmp_path / "contract.toml", "--room", room, answers="0\n3\n4\n")

    assert done.exit_code == 2
    assert "there are 3 of them in all" in done.stderr
    assert not (tmp_path / "contract.toml").exists()


# One batch to a wall.

TWO_WALLS = """\
units = "mm"
[paper]
roll_length = 1000
match = "free"
[trim]
top = 0
bottom = 0
"""
BY_WALL = """\
[contract]
ways = ["pooled", "in order"]
one_batch_to = "{to}"
[[rooms]]
file = "room.toml"
count = {rooms}
[[roll]]
label = "A"
count = {a}
batch = "17"
[[roll]]
label = "B"
count = {b}
batch = "18"
"""


def drops_on(walls: dict[str, list[int]]) -> str:
    """Return a room that lists drops of these heights on its walls."""
    return TWO_WALLS + "".join(
        f'[[drop]]\nlabel = "{wall} {number}"\nheight = {height}\nwall = "{wall}"\n'
        for wall, heights in walls.items()
        for number, height in enumerate(heights, 1)
    )


def contract_of(folder: Path, room: str, contract: str) -> Path:
    """Write a contract of one kind of room, and return its file."""
    (folder / "room.toml").write_text(room, encoding="utf-8")
    path = folder / "contract.toml"
    path.write_text(contract, encoding="utf-8")
    return path


def test_wall_takes_one_batch_where_a_room_may_have_two(tmp_path: Path) -> None:
    """Two rooms of two walls of two drops, three drops to a roll: one roll of A does a wall, two of B three walls.

    Of one batch to a room A would do for none, and B for one.
    """
    room = drops_on({"left": [300, 300], "right": [300, 300]})
    path = contract_of(tmp_path, room, BY_WALL.format(to="wall", rooms=2, a=1, b=2))
    text = run("contract", path, "--json").stdout
    document = json.loads(text)
    pooled = document["ways"][0]

    assert (pooled["rolls_needed"], pooled["lower_bound"]) == (3, 3)
    assert [(each["room"], each["wall"], each["lot"]) for each in pooled["rooms"]] == [
        ("room 1", "left", "A"),
        ("room 1", "right", "B"),
        ("room 2", "left", "B"),
        ("room 2", "right", "B"),
    ]
    assert check_text(text).holds
    assert "pooled: 4 walls from 3 rolls, which is the bound" in check_text(text).facts
    by_room = run("contract", contract_of(tmp_path, room, BY_WALL.format(to="room", rooms=2, a=1, b=2)))
    assert (by_room.exit_code, "do for 1 of 2 rooms" in by_room.stderr) == (3, True)


def test_judge_refuses_a_wall_of_two_batches_and_a_drop_of_another_wall(tmp_path: Path) -> None:
    """A wall whose lot is told wrongly, and two walls that change a drop, are refused; so are walls not asked for."""
    room = drops_on({"left": [300, 300], "right": [300, 300]})
    path = contract_of(tmp_path, room, BY_WALL.format(to="wall", rooms=2, a=1, b=2))
    text = run("contract", path, "--json").stdout

    def found(plant: Callable[[dict[str, Any], list[dict[str, Any]]], None]) -> str:
        document = json.loads(text)
        plant(document, document["ways"][0]["rooms"])
        return " ".join(violation.line() for violation in check_text(json.dumps(document)).violations)

    def swap(_: dict[str, Any], walls: list[dict[str, Any]]) -> None:
        one, other = walls[0]["rolls"][0]["drops"], walls[1]["rolls"][0]["drops"]
        one[0], other[0] = other[0], one[0]

    def to_other_lot(_: dict[str, Any], walls: list[dict[str, Any]]) -> None:
        walls[0]["lot"] = "B"

    def by_room(document: dict[str, Any], _: list[dict[str, Any]]) -> None:
        document["contract"]["one_batch_to"] = "room"

    assert "room 1, left gets drop right 1 1 time, not 0" in found(swap)
    assert "which is none of lot B" in found(to_other_lot)
    assert "a room takes one" in found(by_room)


@pytest.mark.parametrize("seed", range(12))
def test_each_batch_takes_as_many_walls_as_it_has_paper_for(tmp_path: Path, seed: int) -> None:
    """Against trying everything: the longest run of walls for which the rolls of A do, then of B, in their order."""
    random = Random(seed)  # noqa: S311 - repeatable, nothing secret
    walls = {
        name: [random.randrange(200, 600, 20) for _ in range(random.randint(1, 2))]
        for name in ("left", "right", "back")[: random.randint(2, 3)]
    }
    text, rooms, a = drops_on(walls), random.randint(1, 2), random.randint(1, 2)
    path = contract_of(tmp_path, text, BY_WALL.format(to="wall", rooms=rooms, a=a, b=6))
    job = parse_scenario(text, "room").job
    runs = [
        [replace(drop, label=f"{number} {drop.label}") for drop in job.drops if drop.wall == wall]
        for number in range(rooms)
        for wall in walls
    ]

    def rolls(pieces: list[list[Drop]]) -> int:
        drops = tuple(drop for wall in pieces for drop in wall)
        return int(least_value(replace(job, drops=drops)) or 0) if drops else 0

    first = max(number for number in range(len(runs) + 1) if rolls(runs[:number]) <= a)
    found = ContractPlanner(read_contract(str(path)), Clock(20)).way(SharingWay.POOLED)

    assert [(section.lot.label, section.rooms) for section in found.sections] == [
        (lot, number) for lot, number in (("A", first), ("B", len(runs) - first)) if number
    ]
    assert found.rolls == rolls(runs[:first]) + rolls(runs[first:])


def test_room_of_two_batches_is_written_with_both_and_planned_wall_by_wall(tmp_path: Path) -> None:
    """Room 1: its left wall from a roll of batch 17, its right wall from a part of one of batch 18."""
    room = drops_on({"left": [300, 300], "right": [300, 300]})
    path = contract_of(tmp_path, room, BY_WALL.format(to="wall", rooms=2, a=1, b=2))
    assert run("contract", path, "--rooms", tmp_path, "-o", tmp_path / "page").exit_code == 0
    document = json.loads(run("plan", tmp_path / "room-1.toml", "--json").stdout)

    assert document["batches"]["walls"] == {"left": "17", "right": "18"}
    assert check_plan(document).holds


def test_way_for_which_the_rolls_are_too_few_does_not_hide_the_others(tmp_path: Path) -> None:
    """Three rooms of two drops, three drops to a roll: two rolls pooled, three apart, and two are there."""
    room = drops_on({"wall": [300, 300]})
    rooms = '[[rooms]]\nfile = "room.toml"\ncount = 3\n[[roll]]\nlabel = "A"\ncount = 2\n'
    path = contract_of(tmp_path, room, rooms)
    page, apart = run("contract", path), run("contract", path, "--way", "apart")

    assert (page.exit_code, apart.exit_code) == (0, 3)
    told = "- apart: the 2 rolls listed do for 2 of 3 rooms; 1 more roll of one batch would do."
    assert told in " ".join(page.stdout.split())
    assert table_below(page.stdout, "way ")[0][:3] == ["pooled", "2", "2"]


def test_contract_that_can_be_planned_in_no_way_says_why_for_each(tmp_path: Path) -> None:
    """Three rooms of two drops, three drops to a roll: two rolls pooled and in order, three apart, and one is there."""
    room = drops_on({"wall": [300, 300]})
    path = contract_of(tmp_path, room, '[[rooms]]\nfile = "room.toml"\ncount = 3\n[[roll]]\nlabel = "A"\n')
    found = run("contract", path)

    assert found.exit_code == 3
    assert found.stderr.splitlines() == [
        "cutplan: pooled: the 1 roll listed do for 1 of 3 rooms; 1 more roll of one batch would do",
        "cutplan: in order: the 1 roll listed do for 1 of 3 rooms; 1 more roll of one batch would do",
        "cutplan: apart: the 1 roll listed do for 1 of 3 rooms; 2 more rolls of one batch would do",
    ]
