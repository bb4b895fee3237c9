"""A contract room by room: every figure of the page from the file, and each room worked from its own record."""

from __future__ import annotations

import json
import re
import shutil
from functools import cache
from math import ceil
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from typer.testing import CliRunner

from cutplan.check import check_text
from cutplan.cli.all_commands import app
from cutplan.contract.read_contract import read_contract

if TYPE_CHECKING:
    from typer.testing import Result

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
