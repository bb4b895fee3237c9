"""A room's tables on the plan's page: what the drops measure, and where the joints fall."""

from __future__ import annotations

import re
from pathlib import Path

from cutplan.render.pages.walls_page import joints_section, lengths_section, walls_section
from cutplan.scenario.read import Scenario, parse_scenario
from cutplan.setting_out import notices_of
from sheets import customer_page_from, sheet_from

DOOR_WALL = """\
units = "mm"

[paper]
roll_length = "10.05 m"
roll_width = 500
match = "600/300"

[[wall]]
name = "door wall"
width = 2000
height = 2400

[[wall.opening]]
kind = "door"
left = 700
width = 800
height = 2000

[start]
at = 500
puts = "joint"
motif_drop = 100
"""
"""The example of docs/setting-out.md, worked out there."""


def scenario(text: str = DOOR_WALL) -> Scenario:
    """Return a scenario of a room."""
    return parse_scenario(text, "door.toml")


def joints(text: str, units: str = "mm") -> str:
    """Return the section on the joints of a room."""
    setting_out = scenario(text).setting_out
    assert setting_out is not None
    return joints_section(setting_out, units)


def test_drops_alike_stand_on_one_line() -> None:
    """Drops 1 and 3 hang alike; trims of 50 and 50 make 2500 and 500 of 2400 and 400."""
    assert lengths_section(scenario().job.drops) == (
        "What the drops measure\n"
        "======================\n"
        "\n"
        "The first motif is measured down from the finished top.\n"
        "\n"
        "drops      height    cut length    first motif\n"
        "-------  --------  ------------  -------------\n"
        "1, 3      2400 mm       2500 mm         100 mm\n"
        "2          400 mm        500 mm         400 mm\n"
        "4         2400 mm       2500 mm         400 mm"
    )


def test_free_match_has_no_motif_to_find() -> None:
    """Its table has no place for one."""
    free = scenario(DOOR_WALL.replace("600/300", "free").replace("motif_drop = 100\n", ""))
    shown = lengths_section(free.job.drops, is_free=True)

    assert "motif" not in shown
    assert "drops      height    cut length\n" in shown


def test_lengths_to_cut_are_never_shown_too_short() -> None:
    """2500.4 mm is cut at 2501 mm."""
    taller = scenario(DOOR_WALL.replace("height = 2400", "height = 2400.4"))

    assert "2401 mm       2501 mm" in lengths_section(taller.job.drops)


def test_joints_stand_left_to_right_with_their_distances() -> None:
    """At 500, 200 from the door; at 1000, 300 from it; at 1500 on its side. The wall's ends are no corners."""
    assert joints(DOOR_WALL) == (
        "Joints\n"
        "======\n"
        "\n"
        "A joint less than 50 mm from an opening or a corner is marked with an\n"
        "exclamation mark.\n"
        "The narrowest strip shows 500 mm.\n"
        "\n"
        "columns    wall         from its left    to opening    to corner\n"
        "---------  ---------  ---------------  ------------  -----------\n"
        "−1 and 0   door wall           500 mm        200 mm            -\n"
        "0 and 1    door wall          1000 mm        300 mm            -\n"
        "1 and 2    door wall          1500 mm        0 mm !            -"
    )


def test_joints_clear_of_everything_are_said_to_be() -> None:
    """With the door 60 further on, at 760 to 1560, the nearest joint is 60 from its side."""
    assert "No joint is less than 50 mm from an opening or a corner." in joints(
        DOOR_WALL.replace("left = 700", "left = 760")
    )


def test_wall_with_nothing_on_it_has_nothing_to_keep_clear_of() -> None:
    """A bare feature wall has neither openings nor corners."""
    bare = DOOR_WALL[: DOOR_WALL.index("[[wall.opening]]")] + DOOR_WALL[DOOR_WALL.index("[start]") :]

    assert "There is no opening and no corner to keep clear of." in joints(bare)


def test_closing_joint_is_named() -> None:
    """The last joint of a whole room stands last: column 7 meets column -6 there."""
    walls = "".join(f'[[wall]]\nname = "{name}"\nwidth = 2000\nheight = 2400\n\n' for name in ("b", "c", "d"))
    closed = DOOR_WALL.replace("[start]\n", f'{walls}[room]\ncloses = true\n\n[start]\nwall = "door wall"\n')

    assert joints(closed).splitlines()[-1].split("  ")[0].endswith(", closing")


def test_one_strip_has_no_joint() -> None:
    """A wall of one strip's width has no section on joints."""
    narrow = DOOR_WALL[: DOOR_WALL.index("[[wall.opening]]")].replace("width = 2000", "width = 500")
    start = '[start]\nat = 0\nputs = "joint"\nmotif_drop = 100\nway = "right"\n'

    assert joints(narrow + start) == ""


def test_columns_left_of_the_start_have_one_minus_sign_everywhere() -> None:
    """The parlour's columns go from −10 on; no page, list, notice or picture of them has a hyphen for a minus."""
    text = Path("scenarios/parlour.toml").read_text(encoding="utf-8")
    setting_out = scenario(text).setting_out
    assert setting_out is not None
    said = [joints_section(setting_out, "mm"), walls_section(setting_out, "mm"), customer_page_from(text)]
    said += [notice.what.read() for notice in notices_of(setting_out)] + [sheet_from(text, has_listing=True).page]

    assert all("−" in page for page in (said[0], said[1], said[-1]))
    assert [re.findall(r"(?:col\S*|columns?|and|,) -\d|\n-\d| -\d+  ", page) for page in said] == [[]] * len(said)
