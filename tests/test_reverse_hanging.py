"""Every second length turned end for end: as a label prints it, told wherever it matters, and judged."""

from __future__ import annotations

import json
import re
from functools import cache
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from typer.testing import CliRunner

from cutplan.check import check_plan, check_text
from cutplan.check.stated.match import says_reverse as judge_says_reverse
from cutplan.cli.all_commands import app
from cutplan.faults import ScenarioError
from cutplan.paper.match_label import says_reverse
from cutplan.plan.order import CuttingHabit
from cutplan.progress.entries import Spoiled
from cutplan.progress.still_enough import still_enough
from cutplan.render.documents.plan_document import plan_document, plan_text
from cutplan.render.drawing.roll_picture import roll_pictures
from cutplan.render.drawing.wall_picture import wall_pictures
from cutplan.render.sheet.job_sheet import job_sheet
from cutplan.scenario.read import Scenario, parse_scenario
from cutplan.solve import make_plan
from cutplan.table.sequence import sequence_of
from cutplan.table.steps import CutDrop
from page_client import Visitor
from small_work import begun, done
from test_asking import NO_ROLLS, ONE_WALL, USUAL_TRIMS, Talk

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

ROOM = """\
units = "mm"

[paper]
name = "Rush matting, oat"
roll_length = "10.05 m"
roll_width = 500
match = "reverse every other length"

[[wall]]
name = "door wall"
width = 2600
height = 2400

[[wall.opening]]
kind = "window"
left = 900
width = 900
foot = 900
height = 1100

[start]
at = 0
puts = "joint"
way = "right"
"""

LABEL = "reverse every other length"
ROLLS_ALIKE = re.compile(r"<(path|polyline|polygon|line)[^>]*>(</(path|polyline|polygon|line)>)?")
"""What is drawn by lines: arrows, among others."""

LIST = """\
units = "mm"
[paper]
roll_length = "10.05 m"
match = "free, reverse alternate lengths"
"""


def listed(*counts: int) -> Scenario:
    """Return a list of drops 2400 high, so many alike of each."""
    drops = (f'[[drop]]\nlabel = "{n}"\nheight = 2400\ncount = {count}\n' for n, count in enumerate(counts, 1))
    return parse_scenario(LIST + "".join(drops), "list.toml")


@cache
def _document(text: str) -> str:
    scenario = parse_scenario(text, "room.toml")
    return plan_text(plan_document(make_plan(scenario.job, CuttingHabit()), scenario))


def document(text: str = ROOM) -> dict[str, Any]:
    """Return the plan of a scenario, as its file has it."""
    return json.loads(_document(text))  # type: ignore[no-any-return]


def cuts(plan: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Yield the cuts of a plan."""
    return (cut for roll in plan["rolls"] for cut in roll["cuts"])


@pytest.mark.parametrize(
    ("label", "says"),
    [
        ("reverse every other length", True),
        ("Reverse Alternate Lengths", True),
        ("Free match, reverse every second strip", True),
        ("random; reversed", True),
        ("reverse", True),
        ("reverse 64 cm", False),
        ("free", False),
        ("64/32 cm", False),
    ],
)
def test_a_label_that_says_to_reverse_is_read_as_printed(label: str, says: bool) -> None:  # noqa: FBT001
    """Planner and judge read it each by itself, and alike."""
    assert says_reverse(label) is says
    assert judge_says_reverse({"match": label}) is says


def test_reverse_false_beside_such_a_label_is_refused() -> None:
    """The label is quoted on one line, and denied on another."""
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(ROOM.replace("\n\n[[wall]]", "\nreverse = false\n\n[[wall]]"), "room.toml")
    assert "room.toml:8:1: paper.reverse: is false, and the match says to reverse" in str(caught.value)


def test_turned_is_for_a_paper_that_says_to_reverse() -> None:
    """On any other paper nothing may be turned."""
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(
            'units = "mm"\n[paper]\nroll_length = "10 m"\nmatch = "free"\n'
            '[[drop]]\nlabel = "1"\nheight = 2400\nturned = true\n',
            "list.toml",
        )
    assert 'list.toml:8:1: drop["1"].turned: is for a paper whose label says to reverse' in str(caught.value)


def test_every_other_column_hangs_turned_with_all_its_pieces() -> None:
    """Columns 0 to 5 of 500 on 2600; a window from 900 to 1800 over column 2 leaves a piece above it and one below."""
    plan = document()
    columns = {piece["drop"]: piece["column"] for piece in plan["setting_out"]["pieces"]}
    assert len(columns) == 7  # six columns, one of them in two pieces
    assert {cut["drop"]: cut["turned"] for cut in cuts(plan)} == {drop: at % 2 == 1 for drop, at in columns.items()}
    assert check_plan(plan).holds


def test_columns_to_the_left_of_the_start_alternate_too() -> None:
    """From a joint at 1500 the columns run from -3 to 2; -3 and -1 hang turned as 1 does."""
    plan = document(ROOM.replace("at = 0", "at = 1500").replace('way = "right"', 'way = "right then left"'))
    columns = {piece["drop"]: piece["column"] for piece in plan["setting_out"]["pieces"]}
    assert {columns[cut["drop"]] for cut in cuts(plan) if cut["turned"]} == {-3, -1, 1}
    assert check_plan(plan).holds


@pytest.mark.parametrize("drop", ["1", "2"])
def test_a_strip_that_hangs_the_wrong_way_up_is_refused(drop: str) -> None:
    """One that must be turned and is not said to; one that must not, and is."""
    plan = document()
    for cut in cuts(plan):
        if cut["drop"] == drop:
            cut["turned"] = not cut["turned"]
    (line,) = [violation.line() for violation in check_plan(plan).violations]
    what = "is said to hang turned" if drop == "1" else "must hang turned end for end, and is not said to"
    assert line.endswith(f"drop {drop} {what}")


def test_a_plan_that_does_not_say_which_hang_turned_is_taken_on_trust() -> None:
    """Plan files of earlier versions did not; the judge says so."""
    plan = document()
    for cut in cuts(plan):
        del cut["turned"]
    report = check_plan(plan)
    assert report.holds
    assert "which lengths hang turned end for end: the plan does not say" in report.trusted


def test_nothing_turned_is_cut_from_what_falls_out_of_a_strip_that_is_not() -> None:
    """1000 x 300 fall out of drop 1, enough for drop 2 or 3 of 800 with trims; drop 3 hangs as drop 1 does, 2 not."""
    text = LIST.replace('length = "10.05 m"', 'length = "3.5 m"\nroll_width = 500')
    text += '[[drop]]\nlabel = "1"\nheight = 2400\ncut_outs = [{ from_top = 700, length = 1000, right = 300 }]\n'
    text += "".join(f'[[drop]]\nlabel = "{number}"\nheight = 800\nright = 300\n' for number in (2, 3))
    plan = document(text)
    assert parse_scenario(text, "list.toml").job.offcuts_for(parse_scenario(text, "list.toml").job.drop("2")) == ()
    assert {roll["roll"]: [cut["drop"] for cut in roll["cuts"]] for roll in plan["rolls"]}["cut-out of 1"] == ["3"]
    assert check_plan(plan).holds
    text = _document(text).replace('"drop": "2"', '"drop": "?"').replace('"drop": "3"', '"drop": "2"')
    lines = [violation.line() for violation in check_text(text.replace('"drop": "?"', '"drop": "3"')).violations]
    assert any("falls out of drop 1, which hangs the other way up than drop 2" in line for line in lines)


@given(st.lists(st.integers(1, 4), min_size=1, max_size=4))
def test_pieces_of_a_list_alternate(counts: list[int]) -> None:
    """Every second piece in the order of the list, whatever the counts; the judge agrees."""
    scenario = listed(*counts)
    plan = make_plan(scenario.job, CuttingHabit())
    steps = [step for step in sequence_of(plan).steps if isinstance(step, CutDrop)]
    assert check_plan(plan_document(plan, scenario)).holds
    if all(layout.count == 1 for layout in plan.layouts):
        labels = [drop.piece_label(number + 1) for drop in scenario.job.drops for number in range(drop.count)]
        assert {step.piece: step.is_turned for step in steps} == {
            label: place % 2 == 1 for place, label in enumerate(labels)
        }


def test_a_turned_strip_that_is_spoiled_is_turned_when_cut_again() -> None:
    """Drop 2 of three is the only one left to cut; by its place in the list of one it would not be turned."""
    scenario = listed(1, 1, 1)
    state = begun(make_plan(scenario.job, CuttingHabit()))
    state = done(state, *range(1, state.plan.last + 1)).after(Spoiled("2", "torn"))
    answer = still_enough(state, scenario)
    assert answer.plan is not None
    again = plan_document(answer.plan, answer.remains.scenario)
    assert [(cut["drop"], cut["turned"]) for cut in cuts(again)] == [("2", True)]
    assert check_text(plan_text(again)).holds
    for cut in cuts(again):
        cut["turned"] = False
    assert not check_plan(again).holds


def test_rooms_of_a_contract_that_share_rolls_are_judged_sound(tmp_path: Path) -> None:
    """Pieces alike of several rooms are told apart by no turn on their roll: that is told room by room."""
    (tmp_path / "a.toml").write_text(ROOM)
    (tmp_path / "contract.toml").write_text('[[rooms]]\nfile = "a.toml"\ncount = 3\nmirrored = 1\n')
    ran = CliRunner().invoke(app, ["contract", str(tmp_path / "contract.toml"), "--json"])
    assert check_text(ran.stdout).holds


def test_walls_rolls_and_sheet_mark_what_hangs_turned() -> None:
    """An arrow down beside the numbers of columns 1, 3 and 5 on the wall, and in what is written on their backs."""
    scenario = parse_scenario(ROOM, "room.toml")
    sequence = sequence_of(make_plan(scenario.job, CuttingHabit()))
    assert scenario.setting_out is not None
    (drawn,) = wall_pictures(scenario.setting_out)
    assert drawn.picture.svg().count(" ↓") == 3
    page = job_sheet(scenario, sequence, made=None)
    assert page.count("it hangs turned end for end") == 3
    plain = replace(scenario.setting_out, paper=replace(scenario.job.paper, is_reversed=False))
    assert "↓" not in wall_pictures(plain)[0].picture.svg()


# Every reader takes the label


def test_survey_by_questions_takes_the_label_and_asks_no_more_about_it() -> None:
    """A free match is asked whether the label says to reverse; where the label said it, nobody is asked."""
    paper = ["Rush matting", "10.05 m", "500", "", "", LABEL, "", "", "", ""]  # no price, growth, foil, equal strips
    walls = [*ONE_WALL, "north", "2600", "2400", "", "0", "0"]
    start = ["0", "joint", ""]
    written = Talk(["mm", *paper, *USUAL_TRIMS, *walls, *start, *NO_ROLLS]).scenario()

    assert f'match = "{LABEL}"' in written
    assert "reverse = " not in written
    drops = parse_scenario(written, "room.toml").job.drops
    assert [drop.is_turned for drop in drops] == [column % 2 == 1 for column in range(6)]


def test_page_takes_the_label_typed_and_refuses_it_of_a_print(tmp_path: Path) -> None:
    """In the field of the match; «reverse» beside a repeat is told at its key."""
    path = tmp_path / "room.toml"
    path.write_text(ROOM.replace("reverse every other length", "free"))
    visitor = Visitor(path)
    asked = {"path": ["paper", "match"], "value": LABEL, "was": "free"}
    assert visitor.post("/edit", asked).fields == {}
    assert visitor.desk.scenario().job.paper.is_reversed
    assert LABEL in visitor.get("/part/paper").text
    pictures = visitor.post("/start", {"rests": True}).fields["walls"]
    assert json.dumps(pictures, ensure_ascii=False).count(" ↓") == 3
    path.write_text(ROOM.replace('"reverse every other length"', '"64 cm"\nreverse = true'))
    assert "cannot be turned end for end" in visitor.get("/part/paper").text


def test_quantity_takes_the_label_and_writes_it(tmp_path: Path) -> None:
    """What is turned takes no other rolls than a free match; the scenario written reverses."""
    path = tmp_path / "room.toml"
    sizes = ["quantity", "--height", "2.4 m", "--around", "6 m", "--match"]
    free = CliRunner().invoke(app, [*sizes, "free"]).stdout
    ran = CliRunner().invoke(app, [*sizes, LABEL, "--scenario", str(path)])
    assert ran.exit_code == 0
    assert ran.stdout.splitlines()[0] == free.splitlines()[0]  # how many rolls
    assert parse_scenario(path.read_text(), "room.toml").job.paper.is_reversed


# Pictures of rolls, and the record


def test_roll_pictures_point_the_other_way_to_the_top_of_what_hangs_turned() -> None:
    """The tip of the arrow beside a number lies to the right of it, where the length of a roll comes off last."""
    scenario = parse_scenario(ROOM, "room.toml")
    sequence = sequence_of(make_plan(scenario.job, CuttingHabit()))
    plain = replace(scenario.job, paper=replace(scenario.job.paper, is_reversed=False))
    drops = tuple(replace(drop, is_turned=None) for drop in plain.drops)
    straight = sequence_of(make_plan(replace(plain, drops=drops), CuttingHabit()))
    turned = {step.piece for step in sequence.steps if isinstance(step, CutDrop) and step.is_turned}
    assert len(turned) == 3
    drawn = ["".join(picture.svg() for picture in roll_pictures(each)) for each in (sequence, straight)]
    assert drawn[0] != drawn[1]
    assert ROLLS_ALIKE.sub("", drawn[0]) == ROLLS_ALIKE.sub("", drawn[1])  # but for the arrows, all is as it was


def test_record_keeps_what_is_turned_through_spoiling_and_planning_again(tmp_path: Path) -> None:
    """By the commands: drop 2 hangs turned, is spoiled, and is cut again turned; the judge of the record agrees."""
    path = tmp_path / "room.toml"
    path.write_text(ROOM)

    def said(*words: str) -> str:
        ran = CliRunner().invoke(app, [words[0], str(path), *words[1:]])
        assert ran.exit_code == 0, ran.output
        return ran.stdout

    said("begin")
    said("done", "1-3")
    said("spoiled", "2")
    again = said("replan")
    assert re.search(r"Cut drop 2: .*\n? *Write \"2 ↓\"", again)
    assert check_text((tmp_path / "room.record.jsonl").read_text()).holds


TWO_ALIKE = """\
units = "mm"
[paper]
roll_length = 4000
roll_width = 530
match = "free"
[trim]
top = 0
bottom = 0
[[drop]]
label = "1"
height = 2000
cut_outs = [{from_top = 0, length = 1000}, {from_top = 1000, length = 1000}]
[[drop]]
label = "2"
height = 2000
[[drop]]
label = "3"
height = 900
count = 2
"""
"""What falls out of drop 1 holds both pieces of drop 3, of which the second would hang turned, and drop 1 does not."""


def test_pieces_alike_that_alternate_are_told_one_by_one_beside_cut_outs() -> None:
    """A cut-out serves what hangs as its drop does: each piece of a list then has an entry, and so a way to hang."""
    text = TWO_ALIKE.replace('"free"', '"reverse every other length"')
    with pytest.raises(ScenarioError, match=r'drop\["3"\].count: says 2, .* give each piece an entry of its own'):
        parse_scenario(text, "list.toml")

    one = 'label = "{}"\nheight = 900\n'
    apart = text.replace(one.format(3) + "count = 2\n", f"{one.format(3)}[[drop]]\n{one.format(4)}")
    assert make_plan(parse_scenario(apart, "list.toml").job, CuttingHabit()).rolls_needed == 2


def test_turned_piece_of_several_is_not_cut_from_what_falls_out_of_one_that_is_not() -> None:
    """The judge goes by the piece, the second of two alike, and not by the drop that both are of."""
    plan = json.loads(_document(TWO_ALIKE))
    plan["scenario"]["paper"]["match"] = "reverse every other length"
    for cut in cuts(plan):
        cut["turned"] = cut["drop"] in {"2", "3 (2 of 2)"}

    found = [fault.message for fault in check_plan(plan).violations]

    assert found == ["falls out of drop 1, which hangs the other way up than drop 3 (2 of 2)"]
