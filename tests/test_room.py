"""Profiles, walls and rooms: what their records say, and what they refuse."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from msgspec.structs import replace

from cutplan.room.finding import RoomError
from cutplan.room.profile import Profile
from cutplan.room.walls import Corner, CornerKind, Fitting, FittingKind, Opening, OpeningKind, Room, Wall
from small_rooms import closed, opening, profile, run, wall
from surveyed_rooms import walls_named

if TYPE_CHECKING:
    from collections.abc import Callable

STEPPED = profile([(0, 2400), (500, 2400), (500, 2100), (1000, 2300)])
"""Level to 500, a step down of 300 there, then rising by 200 over 500."""


def refusal(make: Callable[[], object]) -> str:
    """Return the message with which ``make`` is refused."""
    with pytest.raises(RoomError) as caught:
        make()
    return str(caught.value)


def test_step_has_a_height_on_either_side() -> None:
    """At a step the profile is read from the left or from the right."""
    assert STEPPED.just_left_of(Fraction(500)) == 2400
    assert STEPPED.just_right_of(Fraction(500)) == 2100


def test_slope_between_points_is_straight() -> None:
    """Half way from 2100 to 2300 the height is 2200, and a third of the way exactly 6500/3."""
    assert STEPPED.just_right_of(Fraction(750)) == 2200
    assert STEPPED.just_left_of(Fraction(2000, 3)) == Fraction(6500, 3)


def test_extremes_count_a_step_only_when_it_lies_inside() -> None:
    """From the step to 750 the highest is 2200, not the 2400 just before it; across the step it is 2400."""
    assert (STEPPED.highest(Fraction(500), Fraction(750)), STEPPED.lowest(Fraction(500), Fraction(750))) == (
        Fraction(2200),
        Fraction(2100),
    )
    assert STEPPED.highest(Fraction(400), Fraction(600)) == 2400
    assert STEPPED.lowest(Fraction(0), Fraction(500)) == 2400


def test_profile_of_equal_heights_is_level() -> None:
    """A line of points at one height is level; any other is not."""
    assert profile([(0, 2400), (700, 2400)]).level == 2400
    assert STEPPED.level is None


@given(walls_named("wall"))
def test_extremes_bound_the_profile_everywhere(surveyed: Wall) -> None:
    """No height anywhere inside lies above the highest or below the lowest."""
    third, half = surveyed.width / 3, surveyed.width / 2
    for line in (surveyed.top, surveyed.foot):
        for along in (third, (third + half) / 2, half):
            height = line.just_right_of(along)
            assert line.lowest(third, surveyed.width) <= height <= line.highest(third, surveyed.width)


def test_corners_turn_20_in_and_40_out_unless_told() -> None:
    """An internal corner turns 20 and laps it all; an external one turns 40 and butts against it."""
    assert Corner.usual(CornerKind.INTERNAL) == Corner(CornerKind.INTERNAL, Fraction(20), Fraction(20))
    assert Corner.usual(CornerKind.EXTERNAL) == Corner(CornerKind.EXTERNAL, Fraction(40), Fraction(0))


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: Corner.usual(CornerKind.INTERNAL, Fraction(-5)), "turn: cannot be less than 0, not −5 mm"),
        (
            lambda: Corner.usual(CornerKind.INTERNAL, Fraction(20), lap=Fraction(30)),
            "lap: must be from 0 to the turn of 20 mm, not 30 mm",
        ),
        (
            lambda: Corner(CornerKind.INTERNAL, Fraction(20), Fraction(20), is_true=True),
            "true: paper is never carried round an internal corner; leave true out, or mend the kind",
        ),
    ],
)
def test_corner_that_cannot_be_is_refused(make: Callable[[], object], message: str) -> None:
    """A turn is not negative, a lap no more than the turn, and no internal corner is true."""
    assert refusal(make) == message


def test_opening_tells_all_its_faults_at_once() -> None:
    """Every measure that cannot be is named in one error."""
    edges = (Fraction(-1), Fraction(0), Fraction(-2), Fraction(-3))

    assert refusal(lambda: Opening("door", OpeningKind.DOOR, *edges)) == (
        "left: cannot be less than 0, not −1 mm; foot: cannot be less than 0, not −2 mm; "
        "width: must be more than 0, not 0 mm; height: must be more than 0, not −3 mm"
    )


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: wall(0), "width: must be more than 0, not 0 mm"),
        (
            lambda: wall(1000, opening(300, 1200, 0, 2000)),
            "opening[1].width: ends 1200 mm from the left of a wall 1000 mm wide; measure its left and width again",
        ),
        (
            lambda: wall(1000, opening(300, 900, 0, 2500)),
            "opening[1].height: reaches 2500 mm above the floor line, higher than the wall's top of 2400 mm there",
        ),
        (
            # Up the slope the wall is 2000 high at the door's right side, 800 along: 1200 + 1000 * 8/10.
            lambda: wall(1000, opening(300, 800, 0, 2100), top=[(0, 1200), (1000, 2200)]),
            "opening[1].height: reaches 2100 mm above the floor line, higher than the wall's top of 2000 mm there",
        ),
        (
            lambda: wall(1000, opening(0, 400, 0, 900), top=4000, foot=900),
            "opening[1].height: reaches 900 mm above the floor line only, not above the wall's foot of 900 mm there",
        ),
        (
            lambda: wall(2000, opening(300, 900, 0, 2000), opening(800, 1500, 1800, 2200, name="hatch")),
            "opening[2].left: overlaps door by 100 mm across and 200 mm in height; measure both again",
        ),
        (
            lambda: wall(1000, top=2000, foot=2500),
            "top: lies at 2000 mm, below the foot of 2500 mm, at 0 mm from the left; the top must lie above the foot",
        ),
        (
            # The foot rises to meet the ceiling at 500 and passes it beyond.
            lambda: wall(1000, top=2000, foot=[(0, 1000), (1000, 3000)]),
            ("top: lies at 2000 mm, below the foot of 3000 mm, at 1000 mm from the left; "
            "the top must lie above the foot"),
        ),
        (lambda: wall(1000, top=0), "top: must lie above the foot, not at the same height of 0 mm"),
        (
            lambda: wall(1000, top=-5, foot=-9),
            "top: cannot lie below the floor line, at −5 mm; foot: cannot lie below the floor line, at −9 mm",
        ),
        (
            lambda: wall(1000, top=[(0, 2400), (900, 2500)]),
            "top: must run from 0 to the wall's width of 1000 mm, not from 0 mm to 900 mm",
        ),
        (
            lambda: wall(1000, top=[(0, 2400), (1200, 2500)]),
            ("top: has a point 1200 mm from the left of a wall 1000 mm wide; "
            "top: must run from 0 to the wall's width of 1000 mm, not from 0 mm to 1200 mm"),
        ),
        (
            lambda: wall(1000, top=[(0, 2400), (600, 2500), (300, 2500), (1000, 2400)]),
            "top: must have its points from left to right",
        ),
        (
            lambda: replace(wall(1000), fittings=(Fitting("socket", FittingKind.SOCKET, Fraction(1100)),)),
            "fitting[1].left: ends 1100 mm from the left of a wall 1000 mm wide; measure its left and width again",
        ),
    ],
)  # fmt: skip
def test_wall_that_cannot_be_is_refused(make: Callable[[], object], message: str) -> None:
    """A wall refuses what does not lie on it, what overlaps, and a top below its foot, and says where."""
    assert refusal(make) == message


def test_top_may_meet_the_foot_where_a_slope_ends() -> None:
    """A raking wall that runs down to the floor is a wall."""
    assert wall(1000, top=[(0, 1200), (1000, 0)]).top.lowest(Fraction(0), Fraction(1000)) == 0


def test_openings_may_stand_one_above_the_other() -> None:
    """A fanlight that begins where the door ends does not overlap it."""
    assert len(wall(1000, opening(0, 800, 0, 2000), opening(0, 800, 2000, 2300, name="fanlight")).openings) == 2


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: Room((), (), closes=False), "wall: a room needs at least one wall"),
        (
            lambda: closed(wall(1000)),
            "closes: one wall cannot close on itself; add the others, or leave closes out",
        ),
        (
            lambda: Room((wall(1000), wall(1000)), (), closes=False),
            "wall: a run has a corner after each wall, but after the last only if it closes",
        ),
        (lambda: run(wall(1000), level_line=-1), "level_line: cannot lie below the floor line, at −1 mm"),
    ],
)
def test_room_that_cannot_be_is_refused(make: Callable[[], object], message: str) -> None:
    """A room has walls, a corner between each two, and at least two of them if it closes."""
    assert refusal(make) == message


def test_corners_on_either_side_of_a_wall() -> None:
    """In a room the corner at the left of the first wall is the last; an open run has none there."""
    corner, other = Corner.usual(CornerKind.INTERNAL), Corner.usual(CornerKind.EXTERNAL)
    room = Room((wall(1000), wall(1000)), (corner, other), closes=True)

    assert (room.corner_left_of(0), room.corner_right_of(0), room.corner_right_of(1)) == (other, corner, other)
    open_run = run(wall(1000), wall(1000))
    assert (open_run.corner_left_of(0), open_run.corner_right_of(1)) == (None, None)


def test_level_profile_needs_one_point_only() -> None:
    """A height alone is a level line however wide the wall."""
    assert Profile.at_height(Fraction(2400)).highest(Fraction(0), Fraction(9000)) == 2400
