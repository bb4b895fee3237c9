"""What is added to a document that holds: the judge refuses it, or says that it does not know of it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Final

import pytest
from typer.testing import CliRunner

from cutplan.check import PlanUnreadable, check_text
from cutplan.cli.all_commands import app

OLD: Final = Path(__file__).parent / "old_plans"
ROOM: Final = """\
units = "mm"
[paper]
roll_length = 2600
roll_width = 530
match = "free"
[[wall]]
name = "north"
width = 900
height = 2400
[start]
wall = "north"
at = 200
puts = "joint"
"""


def kept(name: str) -> dict[str, Any]:
    """Return a plan of an earlier version."""
    document: dict[str, Any] = json.loads((OLD / f"{name}.json").read_text(encoding="utf-8"))
    return document


@pytest.fixture(scope="module")
def contract(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return the document of a contract of one room and its mirror image."""
    folder = tmp_path_factory.mktemp("contract")
    (folder / "room.toml").write_text(ROOM, encoding="utf-8")
    (folder / "contract.toml").write_text('[[rooms]]\nfile = "room.toml"\ncount = 2\nmirrored = 1\n', encoding="utf-8")
    return CliRunner().invoke(app, ["contract", str(folder / "contract.toml"), "--json"]).stdout


def unknown(document: dict[str, Any]) -> list[str]:
    """Return what is said not to be known."""
    report = check_text(json.dumps(document))
    assert report.holds
    head = "what this judge does not know of: "
    return [claim.removeprefix(head) for claim in report.trusted if claim.startswith(head)]


def broken(document: dict[str, Any]) -> set[str]:
    """Return the rules that are broken."""
    return {violation.rule for violation in check_text(json.dumps(document)).violations}


def test_a_key_of_nobody_is_named_wherever_it_stands(contract: str) -> None:
    """In a contract, its ways and its plans; in parts, shopping and scenarios."""
    of_rooms, of_parts = json.loads(contract), kept("frame-round-a-window")
    assert unknown(of_rooms) == unknown(of_parts) == []
    for place in (of_rooms, of_rooms["ways"][0], of_rooms["plans"][0]["proof"], of_rooms["contract"]["rooms"][0]):
        place["weather"] = "dry"
    for place in (of_parts["parts"][0], of_parts["scenario"]["wall"][0], of_parts["plans"][0]["rolls"][0]):
        place["weather"] = "dry"

    assert unknown(of_rooms) == ["contract.rooms.weather, plans.proof.weather, ways.weather, weather"]
    assert unknown(of_parts) == ["parts.weather, plans.rolls.weather, scenario.wall.weather"]


def test_what_is_not_read_of_a_thing_of_its_kind_is_named() -> None:
    """A setting out of listed drops, strips of a band, another start beside the one that counts, a wall's height."""
    listed, parts = kept("reuse-two-rolls"), kept("frame-round-a-window")
    listed["setting_out"] = {"pieces": []}
    band = next(part for part in parts["parts"] if part["kind"] == "band")
    band["strips"] = [{"drop": "1"}]
    wall = parts["scenario"]["wall"][0]
    wall["top"] = [[0, wall["height"]], [wall["width"], wall["height"]]]

    assert unknown(listed) == ["setting_out"]
    assert unknown(parts) == ["parts.strips, scenario.wall.height"]


@pytest.mark.parametrize(
    ("told", "fault"),
    [({"right": 1_000_000}, "right"), ({"left": 300, "right": 300}, "right")],
    ids=["beyond the paper", "no width"],
)
def test_a_listed_drop_is_within_the_strip(told: dict[str, Any], fault: str) -> None:
    """What the planner refuses to read, a plan of it cannot answer."""
    plan = kept("reuse-two-rolls")
    plan["scenario"]["drop"][0].update(told)

    with pytest.raises(PlanUnreadable, match=fault):
        check_text(json.dumps(plan))


@pytest.mark.parametrize("is_turned", [True, False])
def test_a_listed_drop_of_paper_that_is_not_reversed_says_nothing_of_turning(*, is_turned: bool) -> None:
    """The planner refuses to read it."""
    plan = kept("reuse-two-rolls")
    plan["scenario"]["drop"][0]["turned"] = is_turned

    assert broken(plan) == {"turned"}


@pytest.mark.parametrize("key", ["order_step", "order_least"])
def test_no_length_is_ordered_in_steps_of_nothing(key: str) -> None:
    """A step or a least order of 0 is no offer."""
    plan = kept("reuse-two-rolls")
    plan["scenario"]["paper"].update({"sold_by": "m", key: 0})

    with pytest.raises(PlanUnreadable, match=f"{key}.*more than 0"):
        check_text(json.dumps(plan))


def test_keys_of_a_record_and_of_the_file_beside_it_are_known() -> None:
    """Nothing of a record of an earlier version is unknown; what is added beside it is named."""
    text = (OLD / "old-work.record.jsonl").read_text(encoding="utf-8")
    end = {"entries": 0, "sum": "0" * 16, "weather": "dry"}

    assert not any("not know" in claim for claim in check_text(text).trusted)
    told = check_text(text, json.dumps(end)).trusted
    assert "what this judge does not know of: the file beside the record.weather" in told


def test_a_timetable_without_an_order_is_refused() -> None:
    """Nobody can follow it."""
    plan = kept("batches-and-pace")
    del plan["order"]

    assert "timetable" in broken(plan)


def test_a_length_turned_on_rolls_cut_alike_is_refused_where_none_hangs_turned() -> None:
    """However many rolls there are."""
    plan = kept("reuse-two-rolls")
    plan["rolls"][0]["cuts"][0]["turned"] = True

    assert broken(plan) == {"turned"}


@pytest.mark.parametrize(("key", "value"), [("leans", ["30", "30"]), ("rise", "5")])
def test_a_strip_round_an_opening_neither_leans_nor_rises(key: str, value: object) -> None:
    """That is told of strips along slopes."""
    document = kept("frame-round-a-window")
    strip = next(part for part in document["parts"] if part["kind"] == "border")["strips"][0]
    (strip if key == "leans" else strip["stretches"][0])[key] = value

    assert "borders" in broken(document)


def test_a_length_to_buy_of_paper_in_rolls_is_refused() -> None:
    """The shopping list tells it of paper that is cut to order only."""
    document = kept("lined-wall")
    document["shopping"]["rolls"][0]["length"] = "9000"

    assert "shopping" in broken(document)


def test_the_surveyed_room_of_a_mirrored_one_is_in_the_same_paper_and_cut_alike(contract: str) -> None:
    """Whatever else is written of it."""
    for change in ({"trim": {"top": 0}}, {"cutting": {"open_rolls": 9}}):
        document = json.loads(contract)
        mirrored = next(room for room in document["contract"]["rooms"] if room["mirrored"])
        mirrored["surveyed"] |= change
        assert broken(document) == {"mirrored"}
    document = json.loads(contract)
    next(room for room in document["contract"]["rooms"] if room["mirrored"])["surveyed"]["paper"]["foil"] = True
    assert broken(document) == {"paper"}


@pytest.mark.parametrize("place", ["a fitting", "one way", "a line that turns back"])
def test_the_surveyed_room_of_a_mirrored_one_has_what_is_on_its_walls(contract: str, place: str) -> None:
    """Fittings, which way strips go, and lines from left to right."""
    document = json.loads(contract)
    surveyed = next(room for room in document["contract"]["rooms"] if room["mirrored"])["surveyed"]
    wall = surveyed["wall"][0]
    if place == "a fitting":
        wall["fitting"] = [{"kind": "switch", "left": 500, "width": 86, "foot": 1200, "height": 86}]
    elif place == "one way":
        surveyed["start"]["way"] = "right"
    else:
        wall["foot"] = [[0, 10], [900, 0], [0, 10]]
        with pytest.raises(PlanUnreadable, match="foot"):
            check_text(json.dumps(document))
        return

    assert broken(document) == {"mirrored"}


def test_a_plan_of_no_room_is_refused(contract: str) -> None:
    """It answers nothing that was asked."""
    document = json.loads(contract)
    document["plans"].append({**document["plans"][0], "part": "ghost"})

    assert broken(document) == {"rooms"}


@pytest.mark.parametrize("path", [("ways", 0), ("ways", 2), ("contract", "rooms", 0)])
def test_a_length_to_order_of_paper_in_rolls_is_refused(contract: str, path: tuple[str | int, ...]) -> None:
    """Nobody sells it so."""
    document = place = json.loads(contract)
    for key in path:
        place = place[key]
    place["to_order"] = {"length": "10400", "lower_bound": "10400"}

    assert broken(document) == {"to order"}


@pytest.mark.parametrize(
    ("key", "value"), [("rooms", {"roll": "roll-1", "cuts": [1], "drops": ["1"]}), ("parts", "pooled")]
)
def test_rooms_by_themselves_share_no_roll(contract: str, key: str, value: object) -> None:
    """What one is cut from stands in its own plan."""
    document = json.loads(contract)
    apart = next(way for way in document["ways"] if way["way"] == "apart")
    (apart["rooms"][0]["rolls"] if key == "rooms" else apart["parts"]).append(value)

    assert broken(document) == {"served"}


def test_objects_and_lists_that_say_nothing_are_read() -> None:
    """Widths without a width, and a part that is said to be of no bands."""
    plan, parts = kept("reuse-two-rolls"), kept("frame-round-a-window")
    plan["widths"] = {}
    parts["parts"][0]["bands"] = []

    assert unknown(plan) == unknown(parts) == []


def test_days_that_are_no_objects_are_unreadable() -> None:
    """Whatever a list holds is read before it is said to hold."""
    document = {**kept("lined-wall"), "days": ["ghost"]}

    with pytest.raises(PlanUnreadable, match="days"):
        check_text(json.dumps(document))
