"""Borders along slopes and stairs: lengths along the slope, ends that meet, print that goes on, and their judge."""

from __future__ import annotations

import json
from copy import deepcopy
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import pytest

from cutplan.check import PlanUnreadable, check_text
from parts_planned import job_of, planned
from program import run
from test_bands import faults_of

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from cutplan.room.profile import Profile
    from cutplan.room.walls import Room

# A hall and a stair whose foot rises by 900 over 1200, three to four, so that the slope is 1500 long; a border 90 wide
# runs 900 above the foot. Where it bends by an angle of which the tangent of the half is a third, it is mitred: its far
# edge is 90 ÷ 3 = 30 longer or shorter than the near one.
#
#                            1700    2000
#                             ┌───4───      1800 above the floor, 300 long
#                          ╱╱
#                     3 ╱╱                  1500 long
#       1   │   2    ╱╱
#    ───────┼───────┘                        900 above the floor, 1000 and 500 long
#         corner   500
STAIR = """units = "mm"
[paper]
roll_length = "10 m"
roll_width = 500
match = "free"
[[wall]]
name = "hall"
width = 1000
height = 3600
[[wall]]
name = "stair"
width = 2000
height = 3600
foot = [[0, 0], [500, 0], [1700, 900], [2000, 900]]
[start]
wall = "hall"
at = 500
puts = "joint"
[[border]]
name = "dado border"
foot = "900 mm above foot"
[border.paper]
name = "Rope"
roll_length = "5 m"
roll_width = 90
match = "450"
"""

# A gable 2400 wide that rises from 2000 to 2900 over its first 1200 and falls again: a border 90 wide along its top.
GABLE = """units = "mm"
[paper]
roll_length = "10 m"
roll_width = 500
match = "free"
[[wall]]
name = "gable"
width = 2400
top = [[0, 2000], [1200, 2900], [2400, 2000]]
[start]
at = 600
puts = "joint"
[[border]]
name = "crown"
top = "0 mm below top"
[border.paper]
name = "Rope"
roll_length = "5 m"
roll_width = 90
match = "450"
"""


def strips(text: str) -> list[tuple[object, object]]:
    """Return the lengths and first motifs of the strips of a job's border."""
    return [(drop.height, drop.first_motif) for drop in job_of(text).parts[-1].scenario.job.drops]


def leans(text: str) -> list[tuple[float, ...]]:
    """Return how both ends of each strip are said to lean."""
    told: Any = job_of(text).parts[-1].told["strips"]
    return [tuple(float(Fraction(lean)) for lean in strip["leans"]) for strip in told]


def test_a_border_rises_with_the_stair_and_is_mitred_where_the_rake_changes() -> None:
    """Level 1000 and 500; up the slope 1500 and 30 at its head; level again 300 and 30 at the mitre.

    Where it begins to climb its upper edge is the inner one, 30 shorter; at the head it is the outer, 30 longer.
    """
    assert leans(STAIR) == [(0, 0), (0, -30), (30, 30), (-30, 0)]
    assert [length for length, _ in strips(STAIR)] == [1000, 500, 1530, 330]
    assert check_text(planned(STAIR)).holds


def test_the_print_goes_on_along_the_middles_of_strips_that_rise() -> None:
    """A motif at 500 of the hall; the middles of the strips are 1000, 500 - 15, 1500 and 300 + 15 long.

    The middle of a mitred end lies 15 within the strip's longer edge, and the motif so much further from its end.
    """
    middles = [0, 1000, 1485, 2985]
    within = [0, 0, 15, 15]

    assert [motif for _, motif in strips(STAIR)] == [
        (500 - middle + end) % 450 for middle, end in zip(middles, within, strict=True)
    ]


def test_a_border_along_a_sloping_top_is_measured_along_its_upper_edge() -> None:
    """Each side is 1500 long at the ceiling, and plumb in the corners: 90 × 900 ÷ 1200 = 67.5 further down the slope.

    Under the ridge the mitre is plumb too, and the lower edge ends 67.5 sooner than the upper.
    """
    assert leans(GABLE) == [(-67.5, -67.5), (67.5, 67.5)]
    # The lower edge begins further down the wall, beyond the upper one's end: 67.5 more.
    assert [length for length, _ in strips(GABLE)] == [1567.5, 1567.5]
    assert check_text(planned(GABLE)).holds


def test_a_slope_longer_than_a_roll_is_sure_to_give_is_parted_square() -> None:
    """Off rolls of 1.5 m, a repeat and both ends less: two strips, cut square where they meet on the slope."""
    short = STAIR.replace('roll_length = "5 m"', 'roll_length = "1.7 m"')

    ends = leans(short)
    assert len(ends) > 4
    assert any(one[1] == other[0] == 0 for one, other in pairwise(ends[2:]))
    assert check_text(planned(short)).holds


def test_an_opening_that_takes_all_of_a_rising_border_interrupts_it_plumb() -> None:
    """A window from 900 to 1200 along the stair, 800 to 2200 high; beside it the ends lean 90 × 3 ÷ 4."""
    window = '[[wall.opening]]\nkind = "window"\nleft = 900\nwidth = 300\nfoot = 800\nheight = 1400\n[start]'
    text = STAIR.replace("[start]", window, 1)

    assert leans(text) == [(0, 0), (0, -30), (30, 67.5), (67.5, 30), (-30, 0)]
    # 400 and 500 along the wall are 500 and 625 along the slope.
    assert [length for length, _ in strips(text)] == [1000, 500, 500 + 67.5, 625 + 30, 330]
    assert check_text(planned(text)).holds


def test_a_rising_border_of_a_closed_room_says_by_how_much_it_closes_out_of_step() -> None:
    """Down a ramp and up again: the middles of hall, stair, hall and stair are what goes round, less whole repeats."""
    down = STAIR[STAIR.index("[[wall]]") : STAIR.index("[start]")].replace('"hall"', '"back"')
    down = down.replace('"stair"', '"ramp"').replace(
        "[[0, 0], [500, 0], [1700, 900], [2000, 900]]", "[[0, 900], [300, 900], [1500, 0], [2000, 0]]"
    )
    down = down.replace("width = 1000\nheight = 3600", "width = 1000\nheight = 3600\nfoot = 900")
    text = STAIR.replace("[[wall]]", "[room]\ncloses = true\n[[wall]]", 1).replace("[start]", f"{down}[start]", 1)
    told: Any = job_of(text).parts[-1].told["closes"]

    # 1000 + 485 + 1500 + 315 twice is 6600: 15 repeats less 150.
    assert (told["out_by"], told["hidden"]) == ("150", False)
    assert check_text(planned(text)).holds


@pytest.mark.parametrize(
    ("written", "instead", "said"),
    [
        (
            '"900 mm above foot"',
            '"900 mm above foot"\nlet_in = true',
            'add [[band]] above = "dado border", and one below',
        ),
        ('"900 mm above foot"', '"2650 mm above foot"', "reaches beyond what is papered"),
        ("5 m", "0.6 m", "cut to so steep a slope"),
        ("[500, 0], [1700, 900]", "[500, 0], [500, 900], [1700, 900]", "which a border cannot climb"),
    ],
)
def test_what_cannot_hang_along_a_slope_is_said(written: str, instead: str, said: str) -> None:
    """Let in, off the wall, or up a step."""
    assert any(said in fault for fault in faults_of(STAIR.replace(written, instead)))


# Let in, the border parts the stair as a rail does: the drops over it stop at its upper edge, those under it at the
# line. The upper edge is plumb 90 ÷ 0.8 = 112.5 over the slope, and bends where the mitres end: 30 before 500 and 1700.
_PAPER = STAIR[STAIR.index("[paper]") : STAIR.index("[[wall]]")]
LET_IN = STAIR.replace(_PAPER, "").replace('"900 mm above foot"', '"900 mm above foot"\nlet_in = true') + "".join(
    f'[[band]]\nname = "{name}"\n{place} = "dado border"\n{_PAPER.replace("[paper]", "[band.paper]")}'
    for name, place in (("over", "above"), ("under", "below"))
)


def heights_of(line: Profile) -> list[tuple[float, float]]:
    """Return the points of a line along a wall."""
    return [(float(along), float(height)) for along, height in line.points]


def _room_of(text: str, band: str) -> Room:
    (found,) = (found for part in job_of(text).single_bands for name, found in part.set_out if name == band)
    return found.room


def test_a_border_let_in_along_a_stair_parts_the_wall_as_a_rail_does() -> None:
    """Over it hang 3600 - 990 in the hall; under it 900; both in one paper, so that they share its rolls."""
    over, under = _room_of(LET_IN, "over").walls, _room_of(LET_IN, "under").walls

    assert over[0].foot.level == 990
    assert heights_of(over[1].foot) == [(0, 990), (470, 990), (1670, 1890), (2000, 1890)]
    assert heights_of(under[1].top) == [(0, 900), (500, 900), (1700, 1800), (2000, 1800)]
    assert [part.name for part in job_of(LET_IN).parts] == ["over and under", "dado border"]
    assert strips(LET_IN) == strips(STAIR)
    assert check_text(planned(LET_IN)).holds


def test_a_border_let_in_under_a_sloping_ceiling_leaves_the_one_paper_below_it() -> None:
    """Nothing is over it, so no band needs a name: plumb it takes 90 ÷ 0.8 = 112.5 of the wall, under the ridge too."""
    text = GABLE.replace('"0 mm below top"', '"0 mm below top"\nlet_in = true')

    assert heights_of(_room_of(text, "paper").walls[0].top) == [(0, 1887.5), (1200, 2787.5), (2400, 1887.5)]
    assert check_text(planned(text)).holds
    hung_under = json.loads(planned(GABLE))
    hung_under["scenario"] = json.loads(planned(text))["scenario"]
    said = [broken.line() for broken in check_text(json.dumps(hung_under)).violations]
    assert any("a stretch of wall that is 112.5 mm off" in line for line in said), said


@pytest.mark.parametrize("let_in", ["", "\nlet_in = true"], ids=["over the paper", "let in"])
def test_a_border_has_stretches_as_long_as_its_mitres(let_in: str) -> None:
    """A ridge 40 wide leaves no lower edge: either mitre takes 30 of it."""
    ridge = "[1200, 2900], [1240, 2900], [2400, 2030]]"
    text = GABLE.replace("[1200, 2900], [2400, 2000]]", ridge).replace('below top"', f'below top"{let_in}')

    assert any("shorter than its mitres" in fault for fault in faults_of(text))


def test_a_rising_border_is_drawn_and_told(tmp_path: Path) -> None:
    """The strip over the stair is a parallelogram in the picture, and the page says how its ends are cut."""
    file = tmp_path / "stair.toml"
    file.write_text(STAIR, encoding="utf-8")

    assert run("draw", str(file)).exit_code == 0
    page = " ".join(run("plan", f"{file}/dado border").stdout.split())
    assert "along a slope a strip is as long as its longer edge" in page
    rising = (
        "stair from 500 mm to 1700 mm, rising 900 mm; cut aslant by 30 mm where it begins and aslant by 30 mm where"
    )
    assert f"strip 3: {rising} it ends" in page
    assert "cut square where it begins and aslant by 30 mm where it ends" in page


# The judge


def _strip(document: Any, number: int) -> dict[str, Any]:  # noqa: ANN401 - JSON
    return document["parts"][-1]["strips"][number]  # type: ignore[no-any-return]


def _drop(document: Any, number: int) -> dict[str, Any]:  # noqa: ANN401
    return document["plans"][-1]["scenario"]["drop"][number]  # type: ignore[no-any-return]


def _lower(document: Any) -> None:  # noqa: ANN401
    on = _strip(document, 2)["stretches"][0]
    on["foot"], on["head"] = "890", "980"


def _flatter(document: Any) -> None:  # noqa: ANN401
    _strip(document, 2)["stretches"][0]["rise"] = "890"


def _thinner(document: Any) -> None:  # noqa: ANN401
    _strip(document, 2)["stretches"][0]["head"] = "980"


def _gap(document: Any) -> None:  # noqa: ANN401
    _strip(document, 1)["stretches"][0]["right"] = "490"


def _bend(document: Any) -> None:  # noqa: ANN401
    _strip(document, 1)["stretches"][0]["right"] = "600"


def _plumb(document: Any) -> None:  # noqa: ANN401
    _strip(document, 2)["leans"][0] = "67.5"


def _shorter(document: Any) -> None:  # noqa: ANN401
    _drop(document, 2)["height"] = "1520 mm"


def _print(document: Any) -> None:  # noqa: ANN401
    _drop(document, 2)["first_motif"] = "0 mm"


def _motif(document: Any) -> None:  # noqa: ANN401
    for number in range(4):
        drop = _drop(document, number)
        drop["first_motif"] = f"{(int(drop['first_motif'].split()[0]) + 10) % 450} mm"


def _twice(document: Any) -> None:  # noqa: ANN401
    _strip(document, 1)["stretches"][0]["wall"] = "hall"


@pytest.mark.parametrize(
    ("plant", "said"),
    [
        (_lower, "10 mm off the line"),
        (_flatter, "10 mm off the line"),
        (_thinner, "not as wide as the border"),
        (_gap, "leaves bare 'stair' from 490 mm"),
        (_bend, "change of rake"),
        (_plumb, "must lean 30 mm"),
        (_shorter, "10 mm off the length"),
        (_print, "out of step between strips 2 and 3"),
        (_motif, "off the place where it was to lie"),
        (_twice, "covers 'hall' twice"),
    ],
)
def test_the_judge_refuses_a_fault_in_each_rule_of_borders_along_slopes(
    plant: Callable[[Any], None], said: str
) -> None:
    """Strips lie on their line, are as long as the slope, meet at their ends, and the print goes on."""
    document = deepcopy(json.loads(planned(STAIR)))
    plant(document)

    report = check_text(json.dumps(document))

    assert any(said in broken.line() for broken in report.violations), report.violations


@pytest.mark.parametrize("leans", [["0"], ["0", "0", "30"], ["0", "slant"]])
def test_leans_that_are_not_those_of_two_ends_are_not_read(leans: list[str]) -> None:
    """One, three, and a word: nobody could say what the second end of the strip is."""
    document = deepcopy(json.loads(planned(STAIR)))
    _strip(document, 2)["leans"] = leans

    with pytest.raises(PlanUnreadable, match="leans: must be two numbers, one for each end"):
        check_text(json.dumps(document))
