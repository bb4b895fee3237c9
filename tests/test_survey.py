"""Surveys: the tables of a room read into its setting out, and every fault at its key."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from cutplan.faults import ScenarioError
from cutplan.parts.read_parts import read_scenario
from cutplan.room.walls import Corner, CornerKind, Fitting, FittingKind, Opening, OpeningKind
from cutplan.scenario.read import Scenario, parse_scenario
from cutplan.setting_out import PieceKind, Puts, SettingOut, Start, Way
from cutplan.solve import solve
from small_rooms import profile, whole

FOLDER = Path(__file__).parent.parent / "scenarios"

PAPER = """\
units = "mm"
[paper]
roll_length = "10.05 m"
roll_width = 500
match = "600/300"
"""
WALL = """\
[[wall]]
name = "fire wall"
width = 3000
height = 2400
"""
START = """\
[start]
at = 1000
puts = "joint"
motif_drop = 100
"""
ROOM = (
    PAPER
    + """\
[room]
closes = true
[[wall]]
name = "north"
width = 3000
height = 2400
[[wall]]
name = "east"
width = 2000
height = 2400
[[wall.opening]]
kind = "door"
left = 300
width = 800
height = 2000
[[wall]]
name = "south"
width = 3000
height = 2400
[start]
wall = "north"
at = 1000
puts = "joint"
motif_drop = 100
"""
)


def surveyed(text: str) -> SettingOut:
    """Return the setting out of a scenario's text."""
    setting_out = parse_scenario(text, "job.toml").setting_out
    assert setting_out is not None
    return setting_out


def faults_of(text: str) -> list[str]:
    """Return the faults of ``text`` in the order of the file, without file, line and closing count."""
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(text, "job.toml")
    return [f"{fault.where}: {fault.what}" for fault in caught.value.faults]


def on_wall(*lines: str) -> str:
    """Return a scenario of one wall with more lines under it."""
    return PAPER + WALL + "".join(f"{line}\n" for line in lines) + START


def test_one_wall_and_a_start_are_enough() -> None:
    """A feature wall is paper, a wall and a start; its six columns become six drops in hanging order."""
    scenario = parse_scenario(PAPER + WALL + START, "job.toml")

    assert scenario.setting_out is not None
    assert [column.number for column in scenario.setting_out.columns] == [-2, -1, 0, 1, 2, 3]
    assert [drop.label for drop in scenario.job.drops] == ["1", "2", "3", "4", "5", "6"]
    # Columns 0, 1, 2, 3 and then -1, -2 on a half-drop of 300.
    assert whole(*(drop.first_motif for drop in scenario.job.drops)) == (100, 400, 100, 400, 400, 100)
    assert {whole(drop.height, drop.trim_top, drop.trim_bottom) for drop in scenario.job.drops} == {(2400, 50, 50)}


def test_every_key_of_a_wall_is_read() -> None:
    """A wall's lines, its corner, openings and fittings come out as they were written."""
    text = (
        PAPER
        + """\
[room]
level_line = 2500
built = 1932
textured = true
[[wall]]
name = "stair"
width = 1500
top = [[0, "2.6 m"], [700, 2600], [700, 2400], [1500, 2400]]
foot = [[0, 0], [1500, 300]]
corner = "external"
turn = 30
lap = 10
[[wall.opening]]
kind = "window"
name = "landing window"
left = 200
width = 400
foot = 1000
height = 900
reveal = 80
[[wall.opening]]
kind = "unit"
left = 800
width = 300
height = 1500
[[wall.fitting]]
kind = "light"
left = 1200
[[wall]]
name = "end"
width = 500
height = 2400
foot = 300
[start]
wall = "stair"
at = 0
puts = "middle"
motif_drop = 0
way = "left then right"
"""
    )
    setting_out = surveyed(text)
    room = setting_out.room
    stair, end = room.walls

    assert stair.top == profile([(0, 2600), (700, 2600), (700, 2400), (1500, 2400)])
    assert stair.foot == profile([(0, 0), (1500, 300)])
    assert (end.top.level, end.foot.level) == (Fraction(2400), Fraction(300))
    assert room.corners == (Corner(CornerKind.EXTERNAL, Fraction(30), Fraction(10)),)
    window, unit = stair.openings
    assert window == Opening("landing window", OpeningKind.WINDOW, *map(Fraction, (200, 400, 1000, 900, 80)))
    # A unit stands on the wall's foot: at its left side, 800 along, that is 800 / 1500 * 300.
    assert unit == Opening("unit", OpeningKind.UNIT, *map(Fraction, (800, 300, 160, 1500)))
    assert stair.fittings == (Fitting("light", FittingKind.LIGHT, Fraction(1200)),)
    assert (room.level_line, room.built, room.textured) == (Fraction(2500), 1932, True)
    assert setting_out.start == Start(0, Fraction(0), Puts.MIDDLE, Fraction(0))
    assert setting_out.way is Way.LEFT_THEN_RIGHT


def test_every_key_of_the_paper_is_read() -> None:
    """What the setting out needs of the paper stands beside what the label prints; growth in per cent."""
    paper = parse_scenario(
        PAPER
        + "motif_from_left = 120\nmotif_above = 80\nmotif_below = 90\nwet_growth = 1.5\nfoil = true\n"
        + WALL
        + START.replace("joint", "motif"),
        "job.toml",
    ).job.paper

    assert whole(paper.motif_from_left, paper.motif_above, paper.motif_below) == (120, 80, 90)
    assert paper.wet_growth == Fraction(15, 1000)
    assert paper.is_foil
    # 500 and 120, each grown by 1.5 %.
    assert (paper.wet_width, paper.wet_motif_from_left) == (Fraction(1015, 2), Fraction(609, 5))


FITTED = """\
[[wall.opening]]
kind = "window"
name = "left window"
left = 400
width = 100
foot = 900
height = 1200
[[wall.opening]]
kind = "window"
name = "right window"
left = 1900
width = 300
foot = 900
height = 1200
[[wall.opening]]
kind = "fireplace"
left = 800
width = 900
height = 1100
"""


@pytest.mark.parametrize(
    ("point", "at"),
    [
        ("at = 1250", 1250),
        ('at = "4 ft 2 in"', Fraction(1270)),
        ('at = "middle"', 1500),
        ('middle_of = "fireplace"', 1250),
        ('middle_of = "right window"', 2050),
        # Half way from the right edge of the left window, 500, to the left edge of the right one, 1900.
        ('between = ["right window", "left window"]', 1200),
    ],
)
def test_start_may_be_said_in_the_ways_one_finds_it(point: str, at: int | Fraction) -> None:
    """The start is a distance, the middle of the wall or of a thing on it, or the middle between two things."""
    setting_out = surveyed(PAPER + WALL + FITTED + START.replace("at = 1000", point))

    assert setting_out.start.at == at


@pytest.mark.parametrize(
    ("finish", "wall", "at"),
    [
        ('over = "door"', 1, None),
        ('wall = "east"\nover = "door"', 1, None),
        ('wall = "south"\nat = 700', 2, 700),
        ('wall = "south"\nat = "left corner"', 2, 0),
        # The right corner of «east» is the left corner of «south».
        ('wall = "east"\nat = "right corner"', 2, 0),
        ("", 1, None),
    ],
)
def test_finish_may_be_said_in_the_ways_one_finds_it(finish: str, wall: int, at: int | None) -> None:
    """The finish is over an opening, a distance, or a corner; left out, the door off the focal wall."""
    setting_out = surveyed(ROOM + (f"[finish]\n{finish}\n" if finish else ""))

    assert setting_out.closing is not None
    joint = setting_out.closing.joint
    assert joint.wall == wall
    if at is None:
        assert 300 <= joint.at <= 1100
    else:
        assert joint.at == at


@pytest.mark.parametrize(
    ("name", "columns", "kinds"),
    [
        # 4800 of wall in strips of 530 from 65 to 4835: ten, of which one lies wholly in the alcove.
        ("alcove-feature-wall", 10, {PieceKind.FULL: 9, PieceKind.OVER: 1, PieceKind.UNDER: 1}),
        # Rightwards 20 columns, leftwards 10; one over the fireplace, two at the window, one over the door.
        ("parlour", 31, {PieceKind.FULL: 27, PieceKind.OVER: 4, PieceKind.UNDER: 2}),
        # One strip lies wholly over the front door; none lies wholly in the landing window.
        ("stairwell", 12, {PieceKind.FULL: 11, PieceKind.OVER: 1}),
        # The strip centred on the loft's window is the only one wholly inside it.
        ("loft", 18, {PieceKind.FULL: 17, PieceKind.OVER: 1, PieceKind.UNDER: 1}),
    ],
)
def test_scenarios_of_rooms(name: str, columns: int, kinds: dict[PieceKind, int]) -> None:
    """Each room scenario is set out in so many columns and pieces, and a drop is cut for every piece."""
    scenario = read_scenario(FOLDER / f"{name}.toml")
    setting_out = scenario.setting_out

    assert setting_out is not None
    assert len(setting_out.columns) == columns
    found = [piece.kind for piece in setting_out.pieces]
    assert {kind: found.count(kind) for kind in kinds} == kinds
    assert len(found) == sum(kinds.values()) == scenario.job.drop_count - len(setting_out.patches)


def test_survey_is_echoed_as_it_was_written() -> None:
    """The document of a survey holds its tables as plain values, for whoever checks the plan."""
    document = parse_scenario(ROOM + '[finish]\nover = "door"\n', "job.toml").document

    assert document["room"] == {"closes": True}
    assert document["finish"] == {"over": "door"}
    assert document["start"] == {"wall": "north", "at": 1000, "puts": "joint", "motif_drop": 100}


# Published rooms.

STUDENTS_ROOM = """\
units = "ft"
[paper]
roll_length = 48
roll_width = "18 in"
match = "free"
[trim]
top = "3.6 in"
bottom = "3.6 in"
[room]
closes = true
{walls}
[start]
wall = "1"
at = 0
puts = "joint"
way = "right"
"""


def net_wall(name: int, width: str) -> str:
    """Return a wall as the book counts it: what is left of it beside doors and windows, and no turns."""
    return f'[[wall]]\nname = "{name}"\nwidth = "{width}"\nheight = 9\nturn = 0\n'


def test_published_room_of_31_strips() -> None:
    """A room 16 × 15 ft, 9 ft high, less two doors and three windows: 46 ft net in strips of 18 in are 31.

    New Student's Reference Work (1914), "Papering"; it cuts 5 per double roll of 48 ft, with trim up to 7.2 in a
    strip, so 7 whole rolls. Two doors of 3½ ft are taken off one long wall and three windows of 3 ft off the other.
    """
    widths = ["9 ft", "15 ft", "7 ft", "15 ft"]
    walls = "".join(net_wall(number, width) for number, width in enumerate(widths, 1))
    scenario = parse_scenario(STUDENTS_ROOM.format(walls=walls), "job.toml")

    assert scenario.job.drop_count == 31
    assert solve(scenario.job).rolls_needed == 7


def test_published_room_as_it_stands_takes_more_than_its_net_strips() -> None:
    """Set out on the wall, the same room cuts more pieces than 31: the book's net count has no places.

    Its perimeter of 62 ft is 41⅓ strips, so 42 columns, or one more where the closing joint trims two. With doors and
    windows from floor to ceiling there would be fewer pieces; over doors of 7 ft and windows of 5 ft there are more.
    """
    door = '[[wall.opening]]\nkind = "door"\nname = "door {0}"\nleft = {1}\nwidth = 3.5\nheight = 7\n'
    window = '[[wall.opening]]\nkind = "window"\nname = "window {0}"\nleft = {1}\nwidth = 3\nfoot = 2.5\nheight = 5\n'
    walls = [
        net_wall(1, "16 ft") + door.format(1, 2) + door.format(2, 10),
        net_wall(2, "15 ft"),
        net_wall(3, "16 ft") + window.format(1, 1) + window.format(2, 6) + window.format(3, 12),
        net_wall(4, "15 ft"),
    ]
    setting_out = surveyed(STUDENTS_ROOM.format(walls="".join(walls)))

    assert len(setting_out.columns) == 42
    assert len(setting_out.pieces) > 31


def test_published_room_of_24_lengths() -> None:
    """486 in net, 8 ft high, in 21 in paper of 11½ yd: 24 lengths, 4 a roll, 6 rolls.

    The Handyman's Pocket Book, "Paperhanging"; trims of 3 and 4 in leave four lengths of 103 in on 414 in.
    """
    text = """\
units = "in"
[paper]
roll_length = "11 1/2 yd"
roll_width = 21
match = "free"
[trim]
top = 3
bottom = 4
[[wall]]
name = "round the room"
width = 486
height = 96
[start]
at = 0
puts = "joint"
"""
    scenario: Scenario = parse_scenario(text, "job.toml")

    assert scenario.job.drop_count == 24
    assert solve(scenario.job).rolls_needed == 6
