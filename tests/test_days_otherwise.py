"""Days that go otherwise than planned: old records, corrected surveys, the job found by itself, random entries."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any, Final

import pytest
from typer.testing import CliRunner

from cutplan.check import check_text
from cutplan.cli.all_commands import app
from random_days import random_day

OLD: Final = Path(__file__).parent / "old_plans"
ROOM: Final = """
units = "mm"
[paper]
name = "Burdock, chalk"
roll_length = 10050
roll_width = 500
match = "60 cm"
[[roll]]
label = "A"
first_motif = 0
[[roll]]
label = "B"
first_motif = 0
[[wall]]
name = "north"
width = 2000
height = 2300
[[wall.opening]]
kind = "door"
left = 1100
width = 400
height = 1900
[start]
wall = "north"
at = 0
puts = "joint"
motif_drop = 0
"""
"""Four strips of 500 mm; the third and part of no other stands over the door."""


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Work in a folder of its own."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(*arguments: str, status: int = 0) -> str:
    """Run cutplan, which must end with this status, and return what it prints, errors included."""
    result = CliRunner().invoke(app, list(arguments))
    assert result.exit_code == status, result.output
    return result.output


def state() -> dict[str, Any]:
    """Return where the work stands, of the one job in the folder."""
    read = json.loads(CliRunner().invoke(app, ["status", "--json"]).stdout)
    assert isinstance(read, dict)
    return read


def test_record_of_an_earlier_version_still_opens_and_goes_on(folder: Path) -> None:
    """Kept as version 0.1 wrote it, before a record had its end beside it: cut, hung, spoiled, undone, planned anew."""
    for name in ("old-work.toml", "old-work.record.jsonl"):
        shutil.copy(OLD / name, folder / name)
    before = state()
    run("hung", status=2)
    run("done")
    after = state()

    assert (before["plan"], before["hung"], before["wanted_again"]) == (2, ["1"], {})
    assert after["steps_done"] == [before["next_step"]]
    assert check_text((folder / "old-work.record.jsonl").read_text(encoding="utf-8")).violations == ()


def test_the_job_under_way_is_found_and_said(folder: Path) -> None:
    """With a second one under way, and neither hung to the end, the name is asked for."""
    (folder / "room.toml").write_text(ROOM, encoding="utf-8")
    (folder / "attic.toml").write_text(ROOM, encoding="utf-8")

    assert "no job is under way in this folder: name the scenario first" in run("done", status=2)
    run("done", "room.toml")
    assert "cutplan: job: room.toml\n" in run("done")
    run("done", "attic.toml")
    assert "several jobs are under way here (attic.toml, room.toml)" in run("done", status=2)


def test_nothing_recorded_is_nothing_to_undo(folder: Path) -> None:
    """``done 2 2`` and ``done 0`` record nothing, so the message does not send to undo."""
    (folder / "room.toml").write_text(ROOM, encoding="utf-8")
    run("done", "room.toml")

    assert "step 2 is given twice, so nothing was recorded" in run("done", "2", "2", status=2)
    assert "there is no step 0" in run("done", "0", status=2)
    assert "step 2 is to be done 1 time, not 2, so nothing was recorded" in run("done", "--times", "2", status=2)
    assert state()["steps_done"] == [1]


def begin_and_hang_one(folder: Path) -> None:
    """Cut and hang drop 1 of the room: five entries, the plan's among them."""
    (folder / "room.toml").write_text(ROOM, encoding="utf-8")
    run("done", "room.toml")
    while not state()["on_table"]:
        run("done")
    run("hung")


def test_wall_that_proves_taller_keeps_what_hangs(folder: Path) -> None:
    """Drop 1 hangs, drop 2 is cut 2400 mm; at 2380 mm the wall needs 2430 at least, so 2 is a rest and wanted again."""
    begin_and_hang_one(folder)
    while not state()["on_table"]:
        run("done")
    (folder / "room.toml").write_text(ROOM.replace("height = 2300", "height = 2380"), encoding="utf-8")
    assert "cutplan corrected room.toml" in run("status", status=2)
    said = run("corrected")
    now = state()

    assert "Drop 1 hangs and is 30 mm too short: if it cannot stay, spoiled." in said
    assert (now["hung"], now["on_table"], now["version"]) == (["1"], [], 2)
    assert now["rolls"][-1]["roll"] == "rest 1 of 2"
    run("replan")
    assert check_text((folder / "room.record.jsonl").read_text(encoding="utf-8")).violations == ()


def test_opening_that_proves_wider_finds_cut_drops_by_their_place(folder: Path) -> None:
    """The door reaches into the fourth strip; of pieces cut, those of strips 1 to 4 keep their places."""
    begin_and_hang_one(folder)
    (folder / "room.toml").write_text(ROOM.replace("width = 400", "width = 700"), encoding="utf-8")
    run("corrected")
    run("replan")

    assert state()["hung"] == ["1"]
    assert check_text((folder / "room.record.jsonl").read_text(encoding="utf-8")).violations == ()


@pytest.mark.parametrize(("start", "hangs_now"), [("old", ["4"]), ("new", ["1"])])
def test_hanging_begun_elsewhere_asks_where_it_was_hung_from(folder: Path, start: str, hangs_now: list[str]) -> None:
    """Drop 1 hangs at the left of the wall, which from 1000 mm on is reached last, as drop 4; or at 1000 mm."""
    begin_and_hang_one(folder)
    (folder / "room.toml").write_text(ROOM.replace("at = 0", "at = 1000"), encoding="utf-8")

    assert "(--hung-from old) or from where it begins now (--hung-from new)" in run("corrected", status=2)
    run("corrected", "--hung-from", start)
    assert state()["hung"] == hangs_now
    run("replan")
    assert check_text((folder / "room.record.jsonl").read_text(encoding="utf-8")).violations == ()


def test_print_that_hangs_elsewhere_than_now_wanted_is_said(folder: Path) -> None:
    """Drop 1 hangs with the motif at the ceiling; corrected to 100 mm below it, drop 2 beside it will not meet it."""
    begin_and_hang_one(folder)
    (folder / "room.toml").write_text(ROOM.replace("motif_drop = 0", "motif_drop = 100"), encoding="utf-8")

    assert "Drop 1 hangs with its print elsewhere than now wanted" in run("corrected")


def test_sheet_after_a_correction_is_of_the_plan_that_is_in_use(folder: Path) -> None:
    """It was made for the room as it was; drops are still cut by it until the rest is planned anew."""
    begin_and_hang_one(folder)
    (folder / "room.toml").write_text(ROOM.replace("width = 400", "width = 410"), encoding="utf-8")
    run("corrected")
    run("sheet", "room.toml", "-o", "sheet.html")

    assert "Plan 1 of this job" in (folder / "sheet.html").read_text(encoding="utf-8")


@pytest.mark.parametrize(("command", "number"), [("begin", 1), ("replan", 6), ("corrected", 6)])
def test_plan_that_was_not_answered_is_made_once(folder: Path, command: str, number: int) -> None:
    """Killed between its entry and its answer, the same command given again says so; so does one with a number."""
    if command == "begin":
        (folder / "room.toml").write_text(ROOM, encoding="utf-8")
        before = ""
    else:
        begin_and_hang_one(folder)
        before = (folder / "room.record.end").read_text(encoding="utf-8")
    if command == "corrected":
        (folder / "room.toml").write_text(ROOM.replace("width = 400", "width = 410"), encoding="utf-8")
    run(command, "room.toml")
    if before:
        (folder / "room.record.end").write_text(before, encoding="utf-8")
        assert f"give the number of its entry: --entry {number + 1}" in run(command, "room.toml", status=2)
    run(command, "room.toml", "--entry", str(number), status=2)
    assert len((folder / "room.record.jsonl").read_text(encoding="utf-8").splitlines()) == number


def test_rolls_are_not_corrected_in_the_scenario(folder: Path) -> None:
    """What a roll proves to be is measured; the scenario is put back."""
    (folder / "room.toml").write_text(ROOM, encoding="utf-8")
    run("done", "room.toml")
    (folder / "room.toml").write_text(ROOM.replace("first_motif = 0", "first_motif = 10", 1), encoding="utf-8")

    assert "[roll] has changed, and paper is cut already" in run("corrected", status=2)


@pytest.mark.parametrize("first", range(0, 20, 10))
def test_random_days_are_true_to_the_judge_and_to_an_exhaustive_search(first: int) -> None:
    """Small jobs of special stock, batches and rooms; every kind of entry. ``benchmarks/days.py`` takes a thousand."""
    days = [(seed, random_day(seed)) for seed in range(first, first + 10)]

    assert [(seed, day.faults) for seed, day in days if day is not None and day.faults] == []


@pytest.mark.parametrize("seed", [580, 958, 3093])
def test_days_that_once_came_out_untrue(seed: int) -> None:
    """A flaw that the plan's echo lost; a spoil taken back after the drop was cut anew; a cut-out of a chosen batch."""
    day = random_day(seed)

    assert day is not None
    assert day.faults == []
