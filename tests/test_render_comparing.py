"""The page and the JSON of a comparison: its figures, its words, and the lines that put a choice into the scenario."""

from __future__ import annotations

import json
import re
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

import pytest
from msgspec.structs import replace
from typer.testing import CliRunner

from cutplan.cli.all_commands import app
from cutplan.comparing.comparison import Comparison, compare
from cutplan.comparing.figures import figures_of
from cutplan.comparing.placements import focus_of
from cutplan.comparing.proving import Proved
from cutplan.parts.read_parts import read_scenario
from cutplan.render.documents.comparing_document import comparison_document
from cutplan.render.pages.comparing_page import comparison_page
from cutplan.render.pages.layout_of_page import WIDTH
from cutplan.render.words.start_lines import start_lines
from cutplan.scenario.read import Scenario, parse_scenario
from cutplan.setting_out import FinishAt, FinishOver, Puts, Start, Way

if TYPE_CHECKING:
    from cutplan.setting_out import SettingOut

SCENARIOS: Final = Path(__file__).parent.parent / "scenarios"
ROOMS: Final = ["alcove-feature-wall", "loft", "parlour", "stairwell"]

WALL: Final = """\
units = "mm"

[paper]
roll_length = "10.05 m"
roll_width = 500
match = "60 cm"
motif_from_left = 200
motif_above = 100
motif_below = 150

[[wall]]
name = "alcove wall"
width = 3200
height = 2400

[[wall.opening]]
kind = "alcove"
left = 1000
width = 900
foot = 700
height = 1300

[start]
at = 1450
puts = "motif"
motif_drop = 120
"""
"""The alcove's middle is at 1000 + 900 / 2 = 1450."""

MEASURED: Final = "".join(f'[[roll]]\nlabel = "{motif}"\nfirst_motif = {motif}\n' for motif in (0, 200, 400, 500))
"""Four rolls that begin at different places of the print."""


def room_of(scenario: Scenario) -> SettingOut:
    """Return the room that a scenario surveys."""
    assert scenario.setting_out is not None
    return scenario.setting_out


def compared(scenario: Scenario) -> Comparison:
    """Return the comparison for a scenario."""
    setting_out = room_of(scenario)
    return compare(setting_out, scenario.job, focus_of(setting_out))


@cache
def comparison_of(name: str) -> Comparison:
    """Return the comparison for a room of the scenarios, made once."""
    return compared(read_scenario(SCENARIOS / f"{name}.toml"))


def page(text: str, units: str = "mm") -> str:
    """Return the page of a scenario's text."""
    return comparison_page(compared(parse_scenario(text, "wall.toml")), (), units, "mm")


def test_page_of_a_wall_word_for_word() -> None:
    """A motif at 1450 that stands 200 from the strip's left puts joints at 1250, 750, 250 and so on to 2750.

    So 250 is left at the left end and 450 at the right; the joint at 1750 is 150 from the alcove's right side at 1900.
    With a strip's middle at 1600 joints stand at 1350, 850, 350, and 2850 at the other end: 350 is left at both,
    and one stands on 1850, 50 from the alcove.
    """
    expected = """\
Places for the start
====================

Starts are measured from the left of alcove wall.

no    start                           rolls    narrowest    joint to     cut at
                                                   strip     opening    the top
----  ----------------------------  -------  -----------  ----------  ---------
1     the motif at 1450 mm (yours)        3       250 mm      150 mm          0
2     a strip's middle at 1600 mm         3       350 mm       50 mm          0

Against yours:
  2: nothing on the focal point; the narrowest strip 100 mm wider; the nearest
     joint 100 mm nearer to an opening.
"""

    assert expected in page(WALL)


def test_page_says_what_was_tried_and_that_it_is_proved() -> None:
    """The first lines are the answer."""
    first = " ".join(page(WALL).partition("\n\n")[0].split())

    # Middles every 10 mm from 250 left of the point to 250 right of it; motif, joint; and a joint in the left corner.
    assert first.startswith("54 placements worked out; 2 are worth choosing from: ")
    assert "Your own placement takes 3 rolls and is among them." in first
    assert "Every number of rolls is proved: no plan needs fewer." in first


def test_page_says_that_height_costs_no_paper_of_sealed_rolls() -> None:
    """The vertical question is answered below the places."""
    words = " ".join(page(WALL).partition("How high the print hangs")[2].split())

    assert "Now no motif is cut." in words
    assert "The motif is whole at the top of the focal length from 100 mm to 450 mm." in words
    assert "Nothing is cut in any column from 100 mm to 450 mm." in words
    # The middle of the motif is 25 below its datum: 275 + 25 and 575 + 25 are whole repeats from the middle at 1200.
    assert "Top and bottom balance in every column at 275 mm and at 575 mm" in words
    assert "275 mm keeps the motif whole at the top of the focal length." in words
    assert "Your rolls are sealed, so the height costs no paper: it takes the same rolls at every height." in words


def test_page_says_what_each_height_takes_of_measured_rolls() -> None:
    """With a first motif in every roll the heights are tried one by one."""
    words = " ".join(page(WALL + MEASURED).split())

    assert (
        "Your rolls are measured, or cut for another part too, so the height can cost paper. Tried every 10 " in words
    )
    assert "mm, the rolls needed: " in words


def test_heights_of_measured_rolls_are_those_of_plans_of_their_own() -> None:
    """Each height's figure is what a scenario with that motif_drop needs."""
    found = compared(parse_scenario(WALL + MEASURED, "wall.toml")).by_height

    assert [at.placement.start.motif_drop for at in found] == [Fraction(drop) for drop in range(0, 600, 10)]
    for at in found[::13]:
        moved = WALL.replace("motif_drop = 120", f"motif_drop = {at.placement.start.motif_drop}") + MEASURED
        own = compared(parse_scenario(moved, "wall.toml")).own
        assert own.proved == at.proved


def test_third_drop_has_no_balance() -> None:
    """Three classes hang at three heights, and the page says that nothing can be done about it."""
    text = WALL.replace('match = "60 cm"', 'match = "60 cm/third"\noffset_direction = "down"')

    assert "No height balances top and bottom in every column: in 3 classes the print hangs" in page(text)
    assert re.search(r"^ +1, 4, −2 …  +\d+ to \d+ mm", page(text), re.MULTILINE)


def test_own_placement_that_is_beaten_is_shown_with_what_beats_it() -> None:
    """A strip's middle 30 off the alcove's centre leaves 230; with the motif on the centre 250 is left.

    Joints at 1480 ± 250 and so on stand at 230 from the left, and at 1730, 170 from the alcove: clear, as 150 is.
    """
    text = WALL.replace("at = 1450", "at = 1480").replace('puts = "motif"', 'puts = "middle"')
    scenario = parse_scenario(text, "wall.toml")
    setting_out = room_of(scenario)
    around = replace(focus_of(setting_out), at=Fraction(1450))
    found = compare(setting_out, scenario.job, around)
    words = comparison_page(found)

    assert found.own not in found.front
    assert "Your own placement takes 3 rolls; number 1 is as good in every respect and better" in " ".join(
        words.split()
    )
    assert "-     a strip's middle at 1480 mm        3       230 mm      170 mm          0\n      (yours)" in words


@pytest.mark.parametrize("name", ROOMS)
def test_lines_of_each_choice_give_what_the_page_promises(name: str) -> None:
    """Put into the scenario in place of its own start and finish, they are set out to the same figures."""
    scenario = read_scenario(SCENARIOS / f"{name}.toml")
    setting_out = room_of(scenario)
    found = comparison_of(name)
    text = (SCENARIOS / f"{name}.toml").read_text(encoding="utf-8").partition("\n[start]")[0]

    assert found.front
    for choice in (found.own, *found.front):
        lines = start_lines(setting_out.room, choice.placement, setting_out.way, scenario.units)
        again = parse_scenario("\n".join([text, *lines]), "again.toml")
        assert figures_of(choice.placement, room_of(again), choice.proved) == choice


def test_lines_name_corners_middles_and_exact_fractions() -> None:
    """Words where the scenario has words; thirds as fractions with their unit."""
    room = room_of(read_scenario(SCENARIOS / "parlour.toml")).room
    corner = Start(2, Fraction(670), Puts.MIDDLE, Fraction(640, 3))
    own = compared(parse_scenario(WALL, "wall.toml")).own.placement
    at_corner = replace(own, start=corner, finish=FinishAt(5, Fraction(0)))
    over = replace(own, finish=FinishOver(7, 0))

    assert start_lines(room, at_corner, Way.LEFT_THEN_RIGHT, "mm") == [
        "[start]",
        'wall = "chimney breast"',
        'at = "middle"',
        'puts = "middle"',
        'motif_drop = "213 1/3 mm"',
        'way = "left then right"',
        "",
        "[finish]",
        'wall = "window wall"',
        'at = "left corner"',
    ]
    assert start_lines(room, over, Way.LEFT_THEN_RIGHT, "mm")[-2:] == ['wall = "door wall"', 'over = "door"']


@pytest.mark.parametrize("name", ROOMS)
def test_no_line_is_wider_than_the_page(name: str) -> None:
    """Tables too keep to 80 columns, in millimetres and in feet and inches."""
    scenario = read_scenario(SCENARIOS / f"{name}.toml")
    found = comparison_of(name)

    for units in ("mm", "in"):
        page_of_it = comparison_page(found, scenario.notes, units, scenario.units)
        assert max(map(len, page_of_it.splitlines())) <= WIDTH


def test_cost_is_compared_where_rolls_differ_in_price() -> None:
    """The heading says cost, and amounts have two decimals."""
    rolls = '[[roll]]\nlabel = "A"\nprice = 50\ncount = 4\n[[roll]]\nlabel = "B"\nprice = 40\nlength = "6 m"\n'
    words = page(WALL + rolls)

    assert re.search(r"^no +start +cost ", words, re.MULTILINE)
    assert "Your own placement takes rolls for 140.00 and is among them." in words
    assert "Every number of rolls is proved: no plan costs less." in words


def test_what_is_not_proved_is_told_with_both_figures() -> None:
    """A bound below the value is shown beside it, and no claim of proof is made."""
    found = compared(parse_scenario(WALL, "wall.toml"))
    unsure = replace(found.own, proved=Proved(Fraction(3), 3, Fraction(2)))
    words = comparison_page(replace(found, own=unsure, front=(unsure,)))

    assert " 2 to 3 " in words
    assert "Where two figures stand for the rolls, the lower is proved and the upper found." in words
    assert "Every number of rolls is proved" not in words


def test_heights_that_need_more_than_the_rolls_in_hand_are_told() -> None:
    """Runs of heights with the same answer are taken together."""
    found = compared(parse_scenario(WALL, "wall.toml"))
    two, own = Proved(Fraction(2), 2, Fraction(2)), found.own.placement
    by_height = tuple(
        replace(
            found.own,
            placement=replace(own, start=replace(own.start, motif_drop=Fraction(drop))),
            proved=two if drop < 30 else None,
        )
        for drop in range(0, 60, 10)
    )
    words = " ".join(comparison_page(replace(found, by_height=by_height)).split())

    assert "the rolls needed: 2 from 0 mm to 20 mm; more than are in hand from 30 mm to 50 mm." in words


def test_json_has_the_figures_of_the_page() -> None:
    """Exact lengths as text, rolls with their bound, and the lines of TOML."""
    scenario = parse_scenario(WALL, "wall.toml")
    document = json.loads(json.dumps(comparison_document(compared(scenario), scenario)))
    own = document["own"]

    assert document["format"] == "cutplan-compare/1"
    assert (document["tried"], document["refused"], document["all_proved"]) == (54, 1, True)
    assert own["start"] == {
        "wall": "alcove wall",
        "at_mm": "1450",
        "puts": "motif",
        "motif_drop_mm": "120",
        "way": "right then left",
    }
    assert (own["rolls"], own["lower_bound"], own["proved"]) == (3, 3, True)
    assert (own["narrowest_strip_mm"], own["nearest_joint_to_opening_mm"], own["columns_cut_at_top"]) == (
        "250",
        "150",
        0,
    )
    assert own["toml"].startswith('[start]\nwall = "alcove wall"\nat = 1450\n')
    assert document["heights"]["whole_at_top_mm"] == [["100", "450"]]
    assert document["heights"]["balanced_mm"] == ["275", "575"]
    assert document["heights"]["costs_paper"] is False
    assert document["scenario"] == scenario.document


# The command's options


def run(*arguments: str) -> tuple[int, str, str]:
    """Return the exit status, output and errors of ``cutplan compare`` on the third-drop room."""
    result = CliRunner().invoke(app, ["compare", str(SCENARIOS / "parlour.toml"), *arguments])
    return result.exit_code, result.stdout, result.stderr


def test_command_keeps_what_is_insisted_on() -> None:
    """With the motif on the fireplace and the finish kept, nothing is left to choose but what the scenario has."""
    status, output, _ = run("--around", "fireplace", "--centre", "motif", "--keep", "finish", "--json")
    document = json.loads(output)

    assert status == 0
    assert document["tried"] == 1
    assert [best["is_own"] for best in document["best"]] == [True]


def test_command_leaves_the_height_alone_when_asked() -> None:
    """Then nothing is said of other heights."""
    status, output, _ = run("--keep", "start", "--keep", "height")

    assert status == 0
    assert "How high the print hangs" not in output


def test_command_sweeps_as_finely_as_asked() -> None:
    """At 5 mm instead of 10, about twice as many places are tried."""
    finer = json.loads(run("--step", "5", "--keep", "finish", "--json")[1])
    usual = json.loads(run("--keep", "finish", "--json")[1])

    # The wet strip is 525.2 wide: 262 to either side, so 2 × 26 or 2 × 52 places, motif, joint, middle and two corners.
    assert (usual["step_mm"], usual["tried"] + usual["refused"]) == ("10", 2 * 26 + 5)
    assert (finer["step_mm"], finer["tried"] + finer["refused"]) == ("5", 2 * 52 + 5)


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("--around", "hearth"), "nothing in the room is called 'hearth'; "),
        (("--step", "25 mm"), "--step: must be from 1 mm to 10 mm, not '25 mm'"),
        (("--step", "wide"), "--step: cannot read 'wide' as a length; "),
        (
            ("--centre", "motif", "--keep", "start"),
            "--centre moves the start, and --keep start leaves it where it is; ask for one of them",
        ),
    ],
)
def test_command_refuses_what_cannot_be_asked(arguments: tuple[str, ...], told: str) -> None:
    """Wrong usage has exit status 2, one message and no traceback."""
    status, output, errors = run(*arguments)

    assert (status, output) == (2, "")
    assert errors.startswith(f"cutplan: {told}")


def test_command_writes_to_a_file(tmp_path: Path) -> None:
    """With -o nothing goes to standard output."""
    file = tmp_path / "compared.txt"
    status, output, errors = run("--keep", "start", "-o", str(file))

    assert (status, output, errors) == (0, "", f"cutplan: wrote {file}\n")
    assert file.read_text(encoding="utf-8").endswith("\n")
