from __future__ import annotations

from typing import Final

from cutplan.render.pages.layout_of_page import WIDTH
from cutplan.render.pages.walls_page import walls_section
from cutplan.scenario.read import parse_scenario

SURVEY: Final = """\
units = "mm"

[paper]
roll_length = "10.05 m"
roll_width = 500
match = "64/32 cm"

[[wall]]
name = "window wall"
width = 1400
height = 2400

[[wall.opening]]
kind = "window"
left = 500
width = 500
foot = 900
height = 1100

[[wall]]
name = "side wall"
width = 900
height = 2400

[start]
wall = "window wall"
at = 500
puts = "joint"
motif_drop = 100
"""


def section_of(survey: str, units: str = "mm") -> str:
    """Return the section of a survey's page."""
    setting_out = parse_scenario(survey, "survey.toml").setting_out
    assert setting_out is not None
    return walls_section(setting_out, units)


def test_drops_stand_in_hanging_order_with_their_places() -> None:
    """From a joint at 500 mm: the window's two pieces, the strip round the corner, the rest, then the left.

    Strips are 500 mm wide. The one that reaches the corner at 1400 mm has 100 mm to go round it: 20 mm are turned
    [practice], and what is slit off begins in the corner again, 80 mm wide.
    """
    expected = """\
Where the drops hang
====================

Hang drop 1 first, on window wall, to a plumb line for its left edge 500 mm from
the left of that wall. Go on to the right, then from drop 1 to the left.
What is slit off at a corner is hung to a plumb line of its own.

drop    column    what          wall              from its left
------  --------  ------------  -----------  ------------------
1       0         over window   window wall   500 mm to 1000 mm
2       0         under window  window wall   500 mm to 1000 mm
3       1         full          window wall  1000 mm to 1400 mm
                  slit off      side wall         0 mm to 80 mm
4       2         full          side wall       80 mm to 580 mm
5       3         full          side wall      580 mm to 900 mm
6       −1        full          window wall      0 mm to 500 mm"""

    assert section_of(SURVEY) == expected


def test_one_way_round_is_said_so() -> None:
    """Begun at the left edge and hung to the right only, nothing comes back to the start."""
    page = section_of(SURVEY.replace("at = 500", "at = 0") + 'way = "right"\n')

    assert "for its left edge 0 mm from\nthe left of that wall. Go on to the right.\n" in page


def test_no_line_is_wider_than_a_page() -> None:
    """In feet and inches too."""
    assert max(len(line) for line in section_of(SURVEY, "in").splitlines()) <= WIDTH
