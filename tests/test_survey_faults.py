"""Bad surveys: every fault, whole, at the key where it is to be mended."""

from __future__ import annotations

import pytest

from cutplan.faults import ScenarioError
from cutplan.scenario.read import parse_scenario
from test_survey import FITTED, PAPER, ROOM, START, WALL, faults_of, on_wall

DOOR = ("[[wall.opening]]", 'kind = "door"', "left = 300", "width = 800", "height = 2000")
WINDOW = ("[[wall.opening]]", 'kind = "window"', "left = 900", "width = 600", "foot = 900", "height = 900")


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        (
            on_wall(
                *DOOR, "[[wall.opening]]", 'kind = "window"', "left = 900", "width = 600", "foot = 900", "height = 900"
            ),
            (
                'wall["fire wall"].opening[2].left: overlaps door by 200 mm across and 900 mm in height; '
                "measure both again"
            ),
        ),
        (
            on_wall(*DOOR).replace("left = 300", "left = 2500"),
            (
                'wall["fire wall"].opening[1].width: ends 3300 mm from the left of a wall 3000 mm wide; '
                "measure its left and width again"
            ),
        ),
        (
            on_wall(*DOOR).replace("height = 2000", "height = 2500"),
            (
                'wall["fire wall"].opening[1].height: reaches 2500 mm above the floor line, '
                "higher than the wall's top of 2400 mm there"
            ),
        ),
        (
            PAPER + WALL + START.replace("at = 1000", "at = 3500"),
            "start.at: is off the wall: 3500 mm from the left of fire wall, which is 3000 mm wide",
        ),
        (
            ROOM + '[finish]\nwall = "east"\nat = 2100\n',
            "finish.at: is off the wall: 2100 mm from the left of east, which is 2000 mm wide",
        ),
        (
            ROOM + '[finish]\nwall = "west"\nat = 100\n',
            'finish.wall: there is no wall "west"; did you mean "east"?',
        ),
        (
            ROOM + '[finish]\nover = "window"\n',
            'finish.over: no opening is called "window"; there is "door"',
        ),
        (
            ROOM + '[finish]\nwall = "north"\nat = 1200\n',
            (
                "finish.at: lies under the first strip, which reaches 0 mm to the left of the start and 500 mm to its "
                "right; move it"
            ),
        ),
        (
            ROOM + '[finish]\nover = "door"\nat = 1200\n',
            'finish.over: give one of at and over, such as over = "door"',
        ),
        (
            PAPER + WALL + START + '[finish]\nat = "left corner"\n',
            (
                "finish: the run does not close, so it has no closing joint; leave it out, or set closes = true under "
                "[room]"
            ),
        ),
        (
            PAPER + WALL.replace("2400", "-2400") + START,
            'wall["fire wall"].height: must be more than 0, not -2400; a length is measured forwards',
        ),
        (
            on_wall("foot = 2500"),
            (
                'wall["fire wall"].height: lies at 2400 mm, below the foot of 2500 mm, at 0 mm from the left; '
                "the top must lie above the foot"
            ),
        ),
        (
            PAPER + "[room]\ncloses = true\n" + WALL + START,
            "room.closes: one wall cannot close on itself; add the others, or leave closes out",
        ),
        (
            PAPER + WALL.replace("height = 2400", "top = [[0, 2400], [2900, 2500]]") + START,
            'wall["fire wall"].top: must run from 0 to the wall\'s width of 3000 mm, not from 0 mm to 2900 mm',
        ),
        (
            PAPER + WALL.replace("height = 2400", "top = [2400, 2500]") + START,
            (
                'wall["fire wall"].top: must be a height or a list of points, but one is 2400; '
                "write top = [[0, 2400], [1500, 2900]]: along the wall, height"
            ),
        ),
        (
            PAPER + WALL.replace("height = 2400", 'top = [[0, "high"], [3000, 2500]]') + START,
            (
                "wall[\"fire wall\"].top: cannot read 'high' as a length; "
                'write for example "2.4 m", "2400 mm" or "7 ft 10 1/2 in"'
            ),
        ),
        (
            PAPER + WALL.replace("height = 2400", "top = []") + START,
            'wall["fire wall"].top: has no points; write top = [[0, 2400], [1500, 2900]]: along the wall, height',
        ),
        (
            on_wall("top = 2400"),
            'wall["fire wall"].height: belongs to a level top; give height or top, not both',
        ),
        (
            on_wall('corner = "internal"'),
            (
                'wall["fire wall"].corner: the run ends at the right of the last wall, so it has no corner there; '
                "leave it out, or set closes = true under [room]"
            ),
        ),
        (
            ROOM.replace('name = "north"', 'name = "north"\nlap = 30'),
            'wall["north"].lap: must be from 0 to the turn of 20 mm, not 30 mm',
        ),
        (
            ROOM.replace('name = "north"', 'name = "north"\ntrue_corner = true'),
            (
                'wall["north"].true_corner: paper is never carried round an internal corner; '
                "leave true out, or mend the kind"
            ),
        ),
        (
            ROOM.replace('"south"', '"north"'),
            'wall["north"].name: "north" is used by an earlier entry too; give each its own',
        ),
        (
            on_wall(*DOOR, *DOOR).replace("left = 300", "left = 1700", 1),
            'wall["fire wall"].opening[2].name: "door" is an earlier entry of this wall too; name them apart',
        ),
        (
            on_wall("[[wall.opening]]", 'kind = "window"', "left = 300", "width = 800", "height = 1200"),
            'wall["fire wall"].opening[1].foot: is missing; add for example foot = "50 mm"',
        ),
        (
            on_wall(*DOOR).replace('"door"', '"doorway"'),
            (
                'wall["fire wall"].opening[1].kind: must be "door", "window", "fireplace", "unit", "alcove" or '
                '"opening", not "doorway"; did you mean "door"?'
            ),
        ),
        (
            on_wall("[[wall.fitting]]", 'kind = "light"', "left = 3100"),
            (
                'wall["fire wall"].fitting[1].left: ends 3100 mm from the left of a wall 3000 mm wide; '
                "measure its left and width again"
            ),
        ),
        (
            PAPER + WALL + FITTED + START.replace("at = 1000", 'middle_of = "fire"'),
            'start.middle_of: nothing on "fire wall" is called "fire"; did you mean "fireplace"?',
        ),
        (
            PAPER + WALL + FITTED + START.replace("at = 1000", 'between = ["left window"]'),
            'start.between: must be two names, such as between = ["left window", "right window"]',
        ),
        (
            PAPER + WALL + START.replace("at = 1000\n", ""),
            'start.at: give one of at, middle_of and between; for example at = "middle"',
        ),
        (
            PAPER + WALL + START + 'middle_of = "door"\n',
            'start.middle_of: give one of at, middle_of and between, not at and middle_of; for example at = "middle"',
        ),
        (
            PAPER + WALL + START.replace("motif_drop = 100", "motif_drop = 700"),
            ("start.motif_drop: must be less than the repeat of 600 mm, not 700; the first motif is then at 100 mm"),
        ),
        (
            PAPER + WALL + START.replace("joint", "motif"),
            (
                "paper.motif_from_left: is needed to put the motif on the start; "
                "measure it, or put a joint or the middle there"
            ),
        ),
        (
            PAPER + "motif_from_left = 600\n" + WALL + START.replace("joint", "motif"),
            "paper.motif_from_left: must lie within the strip's width of 500 mm, not at 600 mm; measure it again",
        ),
        (
            PAPER.replace("roll_width = 500\n", "") + WALL + START,
            "paper.roll_width: is needed to set out a room; it is printed on the label, or measure the strip across",
        ),
        (
            PAPER + "wet_growth = 15\n" + WALL + START,
            "paper.wet_growth: must be a number of per cent from 0 to 10, not 15; write for example wet_growth = 1.5",
        ),
        (
            PAPER + "wet_growth = nan\n" + WALL + START,
            "paper.wet_growth: must be a number of per cent from 0 to 10, not NaN; write for example wet_growth = 1.5",
        ),
        (
            PAPER + WALL + START + 'way = "right"\n',
            "start.way: leaves 1000 mm bare on the left of the start; go both ways, or start at that end of the run",
        ),
        (
            PAPER + WALL + START.replace("at = 1000", "at = 3000"),
            "start.at: leaves the first strip no wall to hang on; put a joint there and go the other way, or move it",
        ),
        (
            PAPER + WALL.replace("width = 3000", 'width = "9000 m"') + START,
            "wall: are 9000000 mm long in all, more than 1000 strips of 500 mm; is the unit right?",
        ),
        (
            ROOM.replace('wall = "north"\n', ""),
            'start.wall: is missing; add for example wall = "…"',
        ),
        (
            PAPER + WALL,
            (
                "start: is missing; add a [start] table; its keys are wall, at, middle_of, between, puts, motif_drop, "
                "motif_at, way"
            ),
        ),
        (
            PAPER + START,
            (
                "wall: is missing; add a [[wall]] for each; its keys are name, width, height, top, foot, corner, turn, "
                "lap, true_corner, opening, fitting"
            ),
        ),
        (
            PAPER.replace("[paper]", "wall = []\n[paper]") + START,
            "wall: is an empty list; add a [[wall]] for each wall, left to right",
        ),
        (
            on_wall("[[wall.opening]]", 'kind = "alcove"', "left = 0", "width = 3000", "foot = 0", "height = 2400"),
            "wall: nothing is left to paper: openings take up all of it; measure them again",
        ),
        (
            PAPER + WALL + START + '[[drop]]\nlabel = "1"\nheight = 2400\nfirst_motif = 0\n',
            "drop: stands beside a room survey, from which the drops follow; keep the one or the other",
        ),
    ],
)
def test_fault_of_a_survey_is_told_at_its_key(text: str, fault: str) -> None:
    """One thing wrong gives one fault, with its key path, the rule, the value and the remedy."""
    (found,) = faults_of(text)

    assert found == fault


def test_all_faults_of_a_survey_are_told_at_once() -> None:
    """Faults of the paper, of two openings and of the start come together, in the order of the file, with places."""
    text = on_wall(*DOOR, *DOOR).replace("left = 300", "left = 2900", 1).replace("roll_width = 500", "roll_width = 0")
    text = text.replace("left = 300", "left = -5").replace('puts = "joint"', 'puts = "seam"')

    with pytest.raises(ScenarioError) as caught:
        parse_scenario(text, "job.toml")

    assert str(caught.value).splitlines() == [
        "job.toml:4:1: paper.roll_width: must be more than 0, not 0; a length is measured forwards",
        (
            'job.toml:13:1: wall["fire wall"].opening[1].width: ends 3700 mm from the left of a wall 3000 mm wide; '
            "measure its left and width again"
        ),
        (
            'job.toml:17:1: wall["fire wall"].opening[2].left: cannot be less than 0, not -5; '
            "a length is measured forwards"
        ),
        'job.toml:22:1: start.puts: must be "motif", "joint" or "middle", not "seam"',
        "4 faults in job.toml; nothing was planned",
    ]


def test_faults_are_told_in_the_survey_s_own_units() -> None:
    """A survey in inches is corrected in feet and inches."""
    text = (
        'units = "in"\n[paper]\nroll_length = "11 yd"\nroll_width = 21\nmatch = "free"\n'
        '[[wall]]\nname = "wall"\nwidth = 100\nheight = 96\n'
        '[[wall.opening]]\nkind = "door"\nleft = 80\nwidth = 30\nheight = 80\n'
        '[start]\nat = 0\nputs = "joint"\n'
    )

    assert faults_of(text) == [
        (
            'wall["wall"].opening[1].width: ends 9 ft 2 in from the left of a wall 8 ft 4 in wide; '
            "measure its left and width again"
        )
    ]


def test_wall_of_unusual_height_is_noted() -> None:
    """A height of 2.4 read as millimetres is no fault, but is asked about."""
    notes = parse_scenario(PAPER + WALL.replace("2400", "24") + START, "job.toml").notes

    assert notes == ('wall["fire wall"].height: 24 mm is unusual for the height of a wall; is the unit right?',)


def test_width_too_small_for_what_is_on_a_wall_is_blamed_itself() -> None:
    """A wall 3000 wide that is written as 300 has a door and a window to 1500 on it: only its width is wrong."""
    text = on_wall(*DOOR[:-1], "height = 800", *WINDOW).replace("width = 3000", "width = 300", 1).replace("900", "1200")

    (fault,) = faults_of(text)
    assert fault == (
        'wall["fire wall"].width: is 300 mm, but most of what is on the wall ends further right, up to 1800 mm from '
        "its left; measure it again"
    )


def test_what_stands_beyond_its_wall_is_told_though_its_height_cannot_be_read() -> None:
    """The window's foot is a word; that it ends at 3300 mm of a wall of 3000 mm is as false, and is told with it."""
    window = on_wall(*WINDOW).replace("left = 900", "left = 2700").replace("foot = 900", 'foot = "high"')
    assert [fault.partition(":")[0] for fault in faults_of(window)] == [
        'wall["fire wall"].opening[1].width',
        'wall["fire wall"].opening[1].foot',
    ]


def test_start_off_a_wall_is_told_though_what_stands_on_the_wall_is_at_fault() -> None:
    """Nothing on a wall moves its ends: 3500 mm is off a wall of 3000 mm, whatever its door's height."""
    text = on_wall(*DOOR).replace("height = 2000", 'height = "tall"').replace("at = 1000", "at = 3500")
    assert [fault.partition(":")[0] for fault in faults_of(text)] == ['wall["fire wall"].opening[1].height', "start.at"]
