"""Answers of `replan` that were false, each by its fact, as typed at the table."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Final

import pytest
from typer.testing import CliRunner

from cutplan.cli.all_commands import app
from cutplan.progress.plan_in_use import PLAN
from cutplan.progress.record import read_record

DOOR_AND_WINDOW: Final = """
units = "mm"
paper = { roll_length = "10.05 m", roll_width = 530, match = "64/32 cm" }
wall = [{ name = "hall", width = 4240, height = 2450, opening = [
    { kind = "door", left = 700, width = 900, height = 2000 },
    { kind = "window", left = 2500, width = 1000, foot = 900, height = 1200 },
] }]
start = { at = 0, puts = "joint", motif_drop = 100 }
"""
"""One wall from as many rolls as it takes: two, which are cut up when all is cut."""

NARROW: Final = """
units = "mm"
paper = { roll_length = "10.05 m", roll_width = 530, match = "free" }
roll = [{ label = "A" }, { label = "B" }]
offcut = [{ label = "strip", length = 7600, left = 0, right = 300 }]
drop = [
    { label = "n", height = 2400, left = 0, right = 300 }, { label = "1", height = 2400 },
    { label = "2", height = 2400 }, { label = "3", height = 2400 }, { label = "4", height = 2400 },
    { label = "m", height = 2400, left = 0, right = 300 },
]
"""
"""An offcut 300 mm wide and long enough for three drops; only two of the six are so narrow."""

TWO_BATCHES: Final = """
units = "mm"
paper = {{ roll_length = "10.05 m", match = "free" }}
roll = [{{ label = "X", batch = "11" }}, {{ label = "Y", length = "{}", batch = "22" }}]
drop = [
    {{ label = "1", height = 2400, wall = "north" }}, {{ label = "2", height = 2400, wall = "north" }},
    {{ label = "3", height = 2400, wall = "north" }}, {{ label = "4", height = 2400, wall = "south" }},
    {{ label = "5", height = 2400, wall = "south" }}, {{ label = "6", height = 2400, wall = "south" }},
]
"""
"""Four drops of 2500 mm come from a roll of 10.05 m, six from one of 15.05 m."""

FOOT_FIRST: Final = """
units = "mm"
paper = { roll_length = "10.05 m", match = "64/0 cm" }
roll = [
    { label = "A", first_motif = 100, foot_first = true }, { label = "B", first_motif = 100 },
    { label = "C", first_motif = 20, flaws = [{ from = 4000, to = 4100 }] },
]
offcut = [{ label = "kept", length = 1200, first_motif = 7 }]
drop = [{ label = "1", height = 2400, first_motif = 50, count = 5 }]
"""

CUT_OUT: Final = """
units = "mm"
paper = {{ roll_length = 5300, roll_width = 530, match = "free" }}
roll = [{{ label = "A" }}{} ]
drop = [
    {{ label = "1", height = 2400 }},
    {{ label = "3", height = 2400, cut_outs = [{{ from_top = 300, length = 1900, right = 300 }}] }},
    {{ label = "7", height = 1500, left = 0, right = 300 }},
]
"""
"""One roll gives drops 1 and 3 of 2500 mm; drop 7 of 1600 mm comes from what falls out of drop 3."""


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Work in a folder of its own."""
    monkeypatch.chdir(tmp_path)


def given(text: str) -> None:
    """Write the scenario."""
    Path("job.toml").write_text(text, encoding="utf-8")


def said(command: str, *arguments: str) -> str:
    """Return what a command says, warnings and refusals included, with its line breaks taken out."""
    return " ".join(CliRunner().invoke(app, [command, "job.toml", *arguments]).output.split())


def replanned() -> dict[str, Any]:
    """Return the new plan's document, after `cutplan check` has passed it."""
    result = CliRunner().invoke(app, ["replan", "job.toml", "--json"])
    Path("plan.json").write_text(result.stdout, encoding="utf-8")
    assert CliRunner().invoke(app, ["check", "plan.json"]).exit_code == 0
    document: dict[str, Any] = json.loads(result.stdout)
    return document


def cut_from(document: dict[str, Any]) -> dict[str, list[str]]:
    """Return the drops cut from each roll."""
    return {roll["roll"]: [cut["drop"] for cut in roll["cuts"]] for roll in document["rolls"]}


def test_cut_outs_and_leftovers_are_no_unopened_rolls() -> None:
    """Both rolls are cut up when drop 1 is spoiled: a further roll is needed, and none is in hand."""
    given(DOOR_AND_WINDOW)
    said("done", "1-21")
    said("spoiled", "1", "--why", "torn")

    assert said("replan", "--only-answer").startswith("No, there is not enough paper: 1 roll more is needed (proved")


def test_drop_of_full_width_is_not_cut_from_a_narrow_offcut() -> None:
    """Drop 1 is spoiled: it comes from a roll again, though the narrow offcut is long enough."""
    given(NARROW)
    said("done", "1-4")
    said("spoiled", "1", "--why", "torn")
    cut = cut_from(replanned())

    assert set(cut.pop("strip", [])) <= {"m"}
    assert sorted(drop for drops in cut.values() for drop in drops if drop != "m") == ["1", "2", "3", "4"]


def test_wall_that_is_begun_keeps_its_batch() -> None:
    """Drops 1 to 3 on the north wall are of one batch; drop 3, cut again, is of it too, and the south wall of one."""
    given(TWO_BATCHES.format("15.05 m"))
    said("done", "1-4")
    said("spoiled", "3", "--why", "torn")
    document = replanned()
    batch_of = {roll["label"]: roll["batch"] for roll in document["scenario"]["roll"]}
    of_drop = {drop: batch_of[roll] for roll, drops in cut_from(document).items() for drop in drops}

    assert of_drop["3"] == "22"
    assert len({of_drop[drop] for drop in "456"}) == 1
    assert document["batches"]["walls"]["north"] == "22"


def test_what_is_short_names_the_batch_that_it_must_be_of() -> None:
    """Of batch 11, on which the north wall is begun, one drop is left; two are wanted again."""
    given(TWO_BATCHES.format("10.05 m"))
    said("done", "1-4")
    said("spoiled", "2", "--why", "torn")
    said("spoiled", "3", "--why", "torn")
    answer = said("replan")

    assert answer.startswith("No, there is not enough paper: 1 roll more is needed beyond the roll not opened yet")
    assert "1 roll more, of batch 11" in answer


def test_roll_of_another_batch_is_no_help_to_a_wall_that_is_begun() -> None:
    """The same, and a roll of batch 33 bought: the north wall still lacks paper of batch 11."""
    given(TWO_BATCHES.format("10.05 m"))
    said("done", "1-4")
    said("spoiled", "2", "--why", "torn")
    said("spoiled", "3", "--why", "torn")
    said("bought", "1", "--batch", "33")
    assert said("replan").startswith("No, there is not enough paper")

    said("bought", "1", "--batch", "11")
    assert replanned()["batches"]["walls"]["north"] == "11"


def test_plan_for_the_rest_echoes_foot_first_rolls_flaws_and_offcuts() -> None:
    """Its own plan passes the judge, who reads all of that in the scenario that the plan answers."""
    given(FOOT_FIRST)
    said("done", "1-3")
    said("spoiled", "1", "--why", "torn")
    scenario = replanned()["scenario"]

    assert [roll["label"] for roll in scenario["roll"] if roll.get("foot_first")] == ["A"]
    assert [roll["label"] for roll in scenario["roll"] if "flaws" in roll] == ["C"]
    assert [offcut["label"] for offcut in scenario["offcut"]] == ["kept"]


def steps_to(words: str) -> str:
    """Return, as `done` takes them, the steps of the plan up to the first that says ``words``."""
    plan = PLAN.read(read_record(Path("job.record.jsonl")).entries[0].facts)
    return f"1-{next(step.number for step in plan.steps if words in step.words)}"


def test_cut_out_of_a_drop_that_does_not_hang_yet_is_taken_when_it_does() -> None:
    """Drops 1 and 3 lie on the table, drop 7 comes from what will fall out of drop 3: the step says when."""
    given(CUT_OUT.format(""))
    said("begin")
    said("done", steps_to("Cut drop 3"))

    assert "When drop 3 hangs and is trimmed, take up cut-out of 3" in said("replan")


def test_cut_out_of_a_torn_drop_is_neither_offered_nor_cut_from() -> None:
    """Drop 3 is torn: no paper is left for it, drop 7 no longer comes from it, and a step that says so is refused."""
    given(CUT_OUT.format(""))
    said("begin")
    said("done", steps_to("Cut drop 3"))
    warned = said("spoiled", "3", "--why", "torn")
    step = steps_to("take up cut-out of 3").removeprefix("1-")

    assert "Cut-out of 3 can no longer give drop 7." in warned
    assert said("done", step) == "cutplan: cut-out of 3 is not there: drop 3 was spoiled"
    assert said("replan").startswith("No, there is not enough paper: 1 roll more is needed")


def test_roll_that_is_not_in_hand_cannot_be_measured() -> None:
    """The plan takes two rolls: a seventh would turn a no into a yes."""
    given(DOOR_AND_WINDOW)
    said("done", "1-3")

    assert said("measured", "roll-7", "10 m").startswith("cutplan: roll-7 is not in hand; rolls not opened yet: ")


def test_new_plan_has_all_that_a_first_plan_has() -> None:
    """The order with its sentence and its limit of open rolls, the timetable, and what to keep."""
    given(DOOR_AND_WINDOW + 'cutting = { open_rolls = 1 }\npace = { pasted = "paper", soak = 8 }\n')
    said("done", "1-3")
    page = said("replan")

    assert "Cut as you hang, with no more than 1 roll open" in page
    assert "Timetable" in page
    assert "Keep ====" in page
    assert "Bin ===" in page
