"""Equal strips: grasscloth and the like, each wall divided evenly, trimmed on both edges, its rolls proved."""

from __future__ import annotations

import json
from fractions import Fraction
from functools import cache
from pathlib import Path
from re import sub
from typing import TYPE_CHECKING, Any, Final

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from cutplan.check import check_plan
from cutplan.cli.all_commands import app
from cutplan.contract.read_contract import mirrored_scenario
from cutplan.faults import ScenarioError
from cutplan.parts.read_parts import read_scenario
from cutplan.plan.order import CuttingHabit
from cutplan.progress.entries import Spoiled
from cutplan.progress.still_enough import still_enough
from cutplan.render.documents.plan_document import plan_document, plan_text
from cutplan.render.drawing.wall_picture import wall_pictures
from cutplan.render.pages.plan_page import plan_page
from cutplan.render.sheet.job_sheet import job_sheet
from cutplan.scenario.read import Scenario, parse_scenario
from cutplan.solve import make_plan
from cutplan.table.sequence import sequence_of
from cutplan.table.steps import CutDrop
from program import run
from small_work import begun, done

if TYPE_CHECKING:
    from cutplan.plan.plan import Plan

GRASSCLOTH: Final = Path(__file__).parents[1] / "scenarios" / "grasscloth.toml"


def walls(*widths: object, roll: object = 914, trim: object = 0, growth: str = "0", more: str = "") -> str:
    """Return a scenario of walls 2400 high, hung in equal strips of goods in rolls of 7.32 m."""
    head = f"""\
units = "mm"
[paper]
roll_length = "7.32 m"
roll_width = {roll}
wet_growth = {growth}
match = "free"
[equal_strips]
edge_trim = {trim}
"""
    named = (f'[[wall]]\nname = "{number}"\nwidth = {width}\nheight = 2400\n' for number, width in enumerate(widths, 1))
    return head + "".join(named) + more


def planned(text: str) -> tuple[Scenario, Plan]:
    """Return a scenario and its plan, which the judge has passed."""
    scenario = parse_scenario(text, "study.toml")
    plan = make_plan(scenario.job, CuttingHabit())
    report = check_plan(plan_document(plan, scenario))
    assert [violation.line() for violation in report.violations] == []
    return scenario, plan


def strips(scenario: Scenario) -> list[list[tuple[Fraction, Fraction, Fraction]]]:
    """Return, wall by wall, where each strip begins, its width, and what comes off its left edge."""
    assert scenario.setting_out is not None
    panels = [panel for column in scenario.setting_out.columns for panel in column.panels]
    return [
        [(panel.left, panel.right - panel.left, panel.paper_left) for panel in panels if panel.wall == wall]
        for wall in range(len(scenario.setting_out.room.walls))
    ]


@cache
def _document() -> str:
    scenario = read_scenario(GRASSCLOTH)
    return plan_text(plan_document(make_plan(scenario.job, CuttingHabit()), scenario))


def document() -> dict[str, Any]:
    """Return the plan file of the grasscloth among the scenarios."""
    return json.loads(_document())  # type: ignore[no-any-return]


# How wide, and how many


@pytest.mark.parametrize(
    ("width", "count", "each"), [(189, 6, Fraction(63, 2)), (222, 7, Fraction(222, 7))], ids=["189 in", "222 in"]
)
def test_strips_of_a_yard_on_published_walls(width: int, count: int, each: Fraction) -> None:
    """A wall of 189 in takes 6 strips of 31 1/2 in of goods 36 in wide; one of 222 in, 7 of 31.7 (a US installer)."""
    scenario, _ = planned(walls(f'"{width} in"', roll='"36 in"'))
    (found,) = strips(scenario)
    assert len(found) == count
    assert {wide / Fraction(254, 10) for _, wide, _ in found} == {each}


def test_both_edges_crushed_on_the_roll_narrow_the_goods() -> None:
    """About 1 1/2 in a side leave 33 in of 36 (a US paperhanger): seven strips reach 231 in, 232 want eight."""
    for width, count in ((231, 7), (232, 8)):
        (found,) = strips(planned(walls(f'"{width} in"', roll='"36 in"', trim='"1 1/2 in"'))[0])
        assert len(found) == count


@settings(max_examples=40)
@given(
    widths=st.lists(st.integers(300, 6000), min_size=1, max_size=3),
    roll=st.integers(500, 1000),
    trim=st.integers(0, 60),
    growth=st.sampled_from(["0", "1.5"]),
)
def test_equal_strips_against_every_number_of_them(widths: list[int], roll: int, trim: int, growth: str) -> None:
    """Every number of strips from one up is tried by hand: the first for which the trimmed, wet goods are wide enough.

    Each wall by itself; strips side by side from corner to corner; what is left of the goods comes off both edges
    alike, no less than was told. With trims of 50 a strip is 2500, and 7320 gives two of them.
    """
    scenario, plan = planned(walls(*widths, roll=roll, trim=trim, growth=growth))
    wet = 1 + Fraction(growth) / 100
    total = 0
    for width, found in zip(widths, strips(scenario), strict=True):
        count = next(number for number in range(1, 100) if Fraction(width, number) <= (roll - 2 * trim) * wet)
        each = Fraction(width, count)
        assert [left for left, _, _ in found] == [number * each for number in range(count)]
        assert {wide for _, wide, _ in found} == {each}
        assert {off for _, _, off in found} == {(roll * wet - each) / 2}
        assert all(off >= trim * wet for _, _, off in found)
        total += count
    assert plan.rolls_needed == plan.lower_bound == -(-total // 2)


def test_openings_are_cut_as_usual_and_nothing_turns_the_corner() -> None:
    """Two walls that meet: 6 and 3 strips; the window from 1500 to 3300 leaves strips 2 and 3 above it and below it."""
    scenario, plan = planned(GRASSCLOTH.read_text())
    assert scenario.setting_out is not None
    first, second = strips(scenario)
    assert [wide for _, wide, _ in first] == [Fraction(800)] * 6
    assert [wide for _, wide, _ in second] == [Fraction(2500, 3)] * 3
    assert not any(column.turns for column in scenario.setting_out.columns)
    assert [joint.at for joint in scenario.setting_out.joints if joint.wall == 1] == [
        Fraction(2500, 3),
        Fraction(5000, 3),
    ]
    kinds = [(piece.column, piece.kind.value) for piece in scenario.setting_out.pieces if piece.kind.value != "full"]
    assert kinds == [(2, "over"), (2, "under"), (3, "over"), (3, "under")]
    assert (plan.rolls_needed, plan.lower_bound) == (3, 3)  # 7 x 2400, 2 x 350 and 2 x 1000 of 7320 each


def test_a_room_that_closes_has_no_closing_joint() -> None:
    """Each wall ends in its corners."""
    scenario, _ = planned(walls(3000, 2000, 3000, 2000, more="[room]\ncloses = true\n"))
    assert scenario.setting_out is not None
    assert scenario.setting_out.closing is None


# What cannot be


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("edge_trim = 0\n", "", "equal_strips.edge_trim: is missing: the least that comes off each edge"),
        ("edge_trim = 0", "edge_trim = 457", "equal_strips.edge_trim: leaves nothing of the paper's width of 914 mm"),
        ('"free"', '"64 cm"', "equal_strips: are for goods without a match"),
        ("roll_width = 914\n", "", "paper.roll_width: is needed to set out a room"),
        ("height = 2400\n", "height = 2400\n[start]\nat = 0\n", "start: is not to be chosen: each wall is set out by"),
        ("edge_trim", "edge_trims", "equal_strips.edge_trims: unknown key"),
    ],
)
def test_a_fault_is_told_where_it_stands(old: str, new: str, fault: str) -> None:
    """Its line, its key and its remedy, as everywhere."""
    text = walls(3000)
    assert old in text
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(text.replace(old, new), "study.toml")
    assert fault in str(caught.value)


def moved(plan: dict[str, Any], column: int, **to: str) -> list[str]:
    """Return what the judge says when a column's panel and its piece's are changed alike."""
    for entry in (*plan["setting_out"]["columns"], *plan["setting_out"]["pieces"]):
        if entry["column"] == column:
            entry["panels"][0].update(to)
            entry.update({key: value for key, value in to.items() if key in entry})
    return [violation.line() for violation in check_plan(plan).violations]


def test_a_strip_that_is_not_the_middle_of_its_paper_is_refused() -> None:
    """Strip 1 of 800 with 50 off its left and 64 off its right, where 57 must come off either."""
    lines = moved(document(), 1, paper_from="50", paper_to="850")
    assert (
        "wall 'window wall': the strip at 800 mm is not trimmed alike: 50 mm off its left and 64 mm off its right"
        in lines
    )


def test_strips_that_are_not_equal_are_refused() -> None:
    """The joint between strips 0 and 1 at 810 instead of 800."""
    plan = document()
    moved(plan, 0, to="810", paper_from="52", paper_to="862")
    lines = moved(plan, 1, **{"from": "810", "paper_from": "62", "paper_to": "852"})
    assert "wall 'window wall': the strip at 0 mm is 810 mm wide; each must be 800 mm" in lines
    assert "wall 'window wall': the strip at 810 mm is 790 mm wide; each must be 800 mm" in lines


def test_more_strips_than_the_width_takes_are_refused() -> None:
    """The same plan judged as of goods 1000 wide, of which five strips of 960 would do with 20 off each edge."""
    plan = document()
    plan["scenario"]["paper"]["roll_width"] = 1000
    plan["scenario"]["equal_strips"]["edge_trim"] = 20
    lines = [violation.line() for violation in check_plan(plan).violations]
    assert "wall 'window wall': has 6 strips; its width takes 5" in lines


# At the table, on the pages


def test_every_length_is_trimmed_on_both_edges_at_the_table() -> None:
    """57 off either edge on the window wall, 40 1/3 on the short wall, by knife and straightedge."""
    scenario, plan = planned(GRASSCLOTH.read_text())
    edges = {
        step.drop: (step.edges.left, step.edges.right) for step in sequence_of(plan).steps if isinstance(step, CutDrop)
    }
    wall = {drop.label: drop.wall for drop in scenario.job.drops}
    assert {label: found for label, found in edges.items() if wall[label] == "window wall"} == {
        label: (Fraction(57), Fraction(57)) for label in edges if wall[label] == "window wall"
    }
    assert {found for label, found in edges.items() if wall[label] == "short wall"} == {(Fraction(121, 3),) * 2}


def test_pages_and_pictures_tell_strips_joints_and_trim() -> None:
    """The same on the page and on the sheet; every joint on the tape under the wall, for paint behind it."""
    scenario = read_scenario(GRASSCLOTH)
    assert scenario.setting_out is not None
    sequence = sequence_of(make_plan(scenario.job, CuttingHabit()))
    page = " ".join(plan_page(sequence, (), "mm", scenario.setting_out).split())
    sheet = sub("<[^>]+>", "", job_sheet(scenario, sequence))
    for line in (
        "window wall: 6 strips of 800 mm; 57 mm come off each edge.",
        "short wall: 3 strips of 833 mm; 40 mm come off each edge.",
        "Take the rolls in the order of their numbers, so that like stands by like",
    ):
        assert line in page
        assert line in sheet
    assert "to a plumb line for its right edge 800 mm from the left of that wall." in page
    drawn = "".join(part.picture.svg() for part in wall_pictures(scenario.setting_out))
    assert all(f">{at}<" in drawn for at in (800, 1600, 2400, 3200, 4000, 833, 1667))


def test_every_figure_of_the_strips_follows_from_the_plan_file() -> None:
    """Widths from the walls alone, and what comes off from the goods' width: worked out here again."""
    plan = document()
    for column in plan["setting_out"]["columns"]:
        (panel,) = column["panels"]
        width = {"window wall": Fraction(4800, 6), "short wall": Fraction(2500, 3)}[panel["wall"]]
        off = (914 - width) / 2
        told = [Fraction(panel[key]) for key in ("from", "to", "paper_from", "paper_to")]
        number = column["column"] if panel["wall"] == "window wall" else column["column"] - 6
        assert told == [number * width, (number + 1) * width, off, 914 - off]


def test_a_spoiled_strip_is_trimmed_alike_when_cut_again() -> None:
    """Drop 1 is cut from a further roll, and 57 come off either edge as before."""
    scenario, plan = planned(GRASSCLOTH.read_text())
    state = begun(plan)
    state = done(state, *range(1, state.plan.last + 1)).after(Spoiled("1", "torn"))
    answer = still_enough(state, scenario)
    assert answer.plan is not None
    (cut,) = [step for step in sequence_of(answer.plan).steps if isinstance(step, CutDrop)]
    assert cut.drop == "1"
    assert cut.edges.left == cut.edges.right == 57
    assert check_plan(plan_document(answer.plan, answer.remains.scenario)).holds


def test_a_mirrored_room_is_hung_from_its_left_too() -> None:
    """Walls change places, and each is divided as before."""
    mirrored = mirrored_scenario(read_scenario(GRASSCLOTH))
    assert [len(found) for found in strips(mirrored)] == [3, 6]
    assert check_plan(plan_document(make_plan(mirrored.job, CuttingHabit()), mirrored)).holds


def test_too_few_rolls_are_told_and_judged(tmp_path: Path) -> None:
    """Two rolls of the three: what they cover, and nothing about another start."""
    path = tmp_path / "study.toml"
    path.write_text(GRASSCLOTH.read_text() + '[[roll]]\nlabel = "A"\ncount = 2\n')
    ran = CliRunner().invoke(app, ["plan", str(path), "--json"])
    assert ran.exit_code == 3
    found = json.loads(ran.stdout)
    assert found["status"] == "infeasible"
    assert check_plan(found).holds


@pytest.mark.parametrize("more", ["", '[lining]\nroll_length = "10.05 m"\nroll_width = 560\n'])
def test_nobody_is_sent_to_look_for_a_better_start(tmp_path: Path, more: str) -> None:
    """What would save a roll names no other start, be the wall lined or not: equal strips leave none to choose."""
    path = tmp_path / "room.toml"
    path.write_text(walls(3000) + more, encoding="utf-8")

    page = run("buy", path).stdout
    assert "What would save a roll" in page
    assert "Another start" not in page


@pytest.mark.parametrize(("command", "status"), [("buy", 0), ("compare", 2)])
def test_there_is_no_start_to_compare(command: str, status: int) -> None:
    """Comparing says so, and buying does not send one there."""
    ran = CliRunner().invoke(app, [command, str(GRASSCLOTH)])
    assert ran.exit_code == status
    assert "start" not in ran.output or "there is no start to compare" in ran.output
