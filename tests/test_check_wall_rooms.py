"""The checker accepts, on the wall, every room that the planner sets out."""

from __future__ import annotations

from contextlib import suppress
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Final

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from counted_work import calls_counted
from cutplan.check import check_plan, check_text
from cutplan.job.drops import drops_of
from cutplan.render.documents.plan_document import plan_text
from cutplan.room.finding import RoomError
from cutplan.setting_out import set_out
from hung_plans import TRIMS, document_of_survey, document_of_text
from surveyed_rooms import surveys

if TYPE_CHECKING:
    from cutplan.setting_out import SettingOut
    from surveyed_rooms import Survey

SCENARIOS: Final = Path(__file__).parent.parent / "scenarios"
ROOMS: Final = [path for path in sorted(SCENARIOS.glob("*.toml")) if "[[wall]]" in path.read_text(encoding="utf-8")]


def set_out_or_pass(survey: Survey) -> SettingOut:
    """Return the setting out of a survey, passing over those that are refused or leave nothing to paper."""
    found = None
    with suppress(RoomError):
        found = set_out(survey.room, survey.paper, survey.start, survey.way, survey.finish)
    assume(found is not None)
    assert found is not None
    assume(drops_of(found, *TRIMS))
    return found


first_motifs = st.lists(st.one_of(st.none(), st.integers(0, 900).map(Fraction)), min_size=1, max_size=4)


@given(surveys(), first_motifs)
def test_every_room_is_accepted_on_the_wall(survey: Survey, motifs: list[Fraction | None]) -> None:
    """Whatever its walls, corners, openings, start and rolls, a room set out by the planner breaks no rule."""
    document = document_of_survey(survey, set_out_or_pass(survey), motifs)

    assert [violation.line() for violation in check_plan(document).violations] == []


@pytest.mark.parametrize("path", ROOMS, ids=lambda path: path.stem)
def test_every_surveyed_scenario_is_accepted_on_the_wall(path: Path) -> None:
    """Each room that comes with the package breaks no rule, judged from the JSON text as people pass it on."""
    report = check_text(plan_text(document_of_text(path.read_text(encoding="utf-8"))))

    assert [violation.line() for violation in report.violations] == []
    assert report.facts[0].endswith(" cover every bit that is no opening once")


def test_facts_say_what_was_compared_on_the_wall() -> None:
    """The parlour: 31 columns have 30 joints between them; two of its 8 corners have a lap of 0, being external.

    The closing joint is said to be out by what is found on the wall: see the planner's own tests for its numbers.
    """
    text = (SCENARIOS / "parlour.toml").read_text(encoding="utf-8")

    assert check_plan(document_of_text(text)).facts[:6] == (
        "31 columns tile 8 walls from end to end, and 33 pieces cover every bit that is no opening once",
        "the print meets left and right of 30 joints, and over and under every opening",
        "the print hangs from the level line as the start says",
        "2 more pieces for the ends of reveals' heads, where strips are turned in",
        "at 6 corners as much print is lost as the turn covers, and nowhere else",
        "the closing joint is out by 41.2 mm sideways and −203 1/3 mm in height",
    )


CORNERED = """
units = "mm"
[paper]
roll_length = "10.05 m"
roll_width = 500
match = "60/30 cm"
[[wall]]
name = "left"
width = 1000
height = 2400
[[wall]]
name = "right"
width = 480
height = 2400
[start]
wall = "left"
at = 0
puts = "joint"
motif_drop = 100
"""


@pytest.mark.parametrize(("paper_from", "wrong"), [("20", []), ("0", []), ("10", ["joint"])])
def test_joint_in_a_corner_may_lose_the_lap_or_nothing(paper_from: str, wrong: list[str]) -> None:
    """Column 2 begins in the corner at 1000 and is turned back by 20; plans of earlier versions turn nothing there."""
    document = document_of_text(CORNERED)
    for panels in (document["setting_out"]["columns"][2]["panels"], document["setting_out"]["pieces"][2]["panels"]):
        assert (panels[0]["from"], panels[0]["paper_from"]) == ("0", "20")
        panels[0] |= {"paper_from": paper_from, "paper_to": str(int(paper_from) + 480)}

    assert [violation.rule for violation in check_plan(document).violations] == wrong


@pytest.mark.parametrize("first_motif", ["", "first_motif = 70\n"])
def test_room_hangs_from_rolls_that_come_off_foot_first_as_from_others(first_motif: str) -> None:
    """Be their print measured or not; the rest is bought, head first."""
    rolls = f'[[roll]]\nlabel = "A"\nfoot_first = true\n{first_motif}[[wall]]'
    match = 'match = "60/20 cm"\noffset_direction = "down"'
    room = CORNERED.replace('match = "60/30 cm"', match).replace("[[wall]]", rolls, 1)

    assert check_plan(document_of_text(room)).violations == ()


def test_judging_a_room_of_forty_columns_takes_little_work() -> None:
    """Forty columns of 500 mm on two walls with windows: 661 168 calls, a fifth of a second."""
    openings = "".join(
        f"""
        [[wall.opening]]
        kind = "window"
        name = "window {left}"
        left = {left}
        width = 1200
        foot = 900
        height = 1200
        reveal = 100
        """
        for left in range(700, 9000, 2000)
    )
    wall = f"width = 10_000\nheight = 2400\n{openings}"
    room = f"""
        units = "mm"
        paper = {{ roll_length = 10_050, roll_width = 500, match = "640/213.3 mm", offset_direction = "down" }}
        start = {{ wall = "one", at = "middle", puts = "joint", motif_drop = 100 }}
        [[wall]]
        name = "one"
        {wall}
        [[wall]]
        name = "two"
        {wall}
        """
    text = plan_text(document_of_text(room))

    with calls_counted() as calls:
        report = check_text(text)
        assert calls() < 1_000_000

    assert report.holds
    assert report.facts[0].startswith("41 columns tile 2 walls")  # 20 000 / 500, and 20 lost in the corner


def test_paper_beyond_the_end_of_its_wall_is_a_fault_and_no_traceback() -> None:
    """A wall said to be 3 mm wide, in digits of another script, under a plan for one of 1000."""
    document = document_of_text(CORNERED)
    document["scenario"]["wall"][0]["width"] = "\N{ARABIC-INDIC DIGIT THREE}"

    assert check_plan(document).violations
