"""Closing joints worked out by hand, and where the trade would put them."""

from __future__ import annotations

from fractions import Fraction

import pytest

from cutplan.room.finding import RoomError
from cutplan.room.walls import Corner, CornerKind, Room
from cutplan.setting_out import FinishAt, FinishOver, Puts, Way, sensible_finishes, set_out
from small_rooms import closed, opening, paper, run, shown, start, wall, whole


def test_closing_joint_in_a_corner() -> None:
    """Four walls of 1000 hung both ways from 250 close in the corner opposite: 60 comes twice, 200 too low.

    To the right: 0 covers 250..750 of wall 0; 1 turns at 250 into wall 1, to 230; 2 to 730; 3 turns at 270 into
    wall 2, to 210; 4 to 710; 5 is trimmed in the corner at 290 of its width. To the left: -1 turns at 250 into
    wall 3, back to 770; -2 to 270; -3 is trimmed in the same corner, 270 of it left, from 230 of its width.
    So the print meets 290 with 230: 60 comes twice. In a third-drop of 200 on 600, column 5 hangs at
    (100 + 1000) mod 600 = 500 and column -3 at (100 - 600) mod 600 = 100: 400 higher, or 200 lower.
    """
    room = closed(wall(1000), wall(1000), wall(1000), wall(1000))
    setting_out = set_out(room, paper(200), start(250), finish=FinishAt(2, Fraction(1000)))

    assert shown(setting_out)[5] == [(2, 710, 1000, 0, 290)]
    assert shown(setting_out)[-3] == [(3, 0, 270, 230, 500)]
    closing = setting_out.closing
    assert closing is not None
    assert whole(closing.joint.left_column, closing.joint.right_column) == (5, -3)
    assert whole(closing.joint.wall, closing.joint.at, closing.joint.to_corner) == (3, 0, 0)
    assert whole(closing.sideways, closing.height) == (-60, 200)


def test_room_hung_one_way_closes_at_the_first_strip_s_own_edge() -> None:
    """Hung to the right only, a room of 4 x 900 with joints in all corners' laps ends where it began.

    0 covers 0..500 of wall 0; 1 turns at 400 to 80 on wall 1; 2 to 580; 3 turns at 320 to 160 on wall 2; 4 to 660;
    5 turns at 240 to 240 on wall 3; 6 to 740; 7 is trimmed in the corner at 160. It meets the left edge of 0: the
    print jumps from 160 to 0, so 160 comes twice. On a straight match nothing is out in height.
    """
    room = closed(wall(900), wall(900), wall(900), wall(900))
    setting_out = set_out(room, paper(), start(0), Way.RIGHT)

    assert [column.number for column in setting_out.columns] == list(range(8))
    assert shown(setting_out)[7] == [(3, 740, 900, 0, 160)]
    closing = setting_out.closing
    assert closing is not None
    assert whole(closing.joint.left_column, closing.joint.right_column, closing.joint.wall, closing.joint.at) == (
        7,
        0,
        0,
        0,
    )
    assert whole(closing.sideways, closing.height) == (-160, 0)


def test_room_that_happens_to_close_in_print() -> None:
    """With true corners and a whole number of strips the last print meets the first: nothing is out.

    2000 round is four strips; on a half-drop the fifth would hang like the first.
    """
    room = closed(*[wall(500)] * 4, corner=Corner.usual(CornerKind.EXTERNAL, is_true=True))
    closing = set_out(room, paper(300), start(0), Way.RIGHT).closing

    assert closing is not None
    assert whole(closing.sideways, closing.height) == (0, 0)


def test_free_match_has_nothing_out_at_the_closing_joint() -> None:
    """Without a print there is nothing to be out."""
    room = closed(*[wall(900)] * 4)
    closing = set_out(room, paper(repeat=0), start(0), Way.RIGHT).closing

    assert closing is not None
    assert whole(closing.sideways, closing.height) == (0, 0)


def test_finish_over_a_door_falls_on_the_joint_nearest_its_middle() -> None:
    """Over a door the strips hung first are kept whole, so one strip closes the room.

    As in the corner case, joints of the way to the right fall on wall 2 at 210 and 710. Of a door from 300 to 900
    there, 710 is the one joint above it, 110 from its middle.
    """
    room = closed(wall(1000), wall(1000), wall(1000, opening(300, 900, 0, 2000)), wall(1000))
    setting_out = set_out(room, paper(), start(250), finish=FinishOver(2, 0))

    closing = setting_out.closing
    assert closing is not None
    assert whole(closing.joint.wall, closing.joint.at, closing.joint.left_column) == (2, 710, 4)
    assert shown(setting_out)[4] == [(2, 210, 710, 0, 500)]


def test_finish_over_a_door_takes_a_joint_that_is_free_of_the_first_strip() -> None:
    """Round 3900 with true corners, joints to the right of 1250 fall every 500: the last at 350 and 850 of wall 0.

    The first strip covers 750..1250. Of a door from 320 to 1000 the middle is at 660, nearer to 850; but that joint
    would lie under the first strip, so the room closes at 350.
    """
    walls = (wall(2000, opening(320, 1000, 0, 2000)), wall(700), wall(600), wall(600))
    room = closed(*walls, corner=Corner.usual(CornerKind.EXTERNAL, is_true=True))
    closing = set_out(room, paper(), start(1000, Puts.MIDDLE), finish=FinishOver(0, 0)).closing

    assert closing is not None
    assert whole(closing.joint.wall, closing.joint.at) == (0, 350)


DOOR = opening(200, 900, 0, 2000)
WINDOW = opening(200, 1200, 900, 2050, kind="window")


def test_finish_is_by_default_where_the_closing_joint_shows_least() -> None:
    """Off the focal wall a door shows 400 of the joint, over it; a window 350 over it and 900 under it.

    The door of the focal wall is not offered. After the openings come the internal corners off the focal wall: the
    one nearest to a door first, which is the corner at the left of wall 2, 200 from its door.
    """
    room = closed(wall(2000, DOOR), wall(2000, WINDOW), wall(2000, DOOR), wall(2000))

    assert sensible_finishes(room, focal_wall=0) == (
        FinishOver(2, 0),
        FinishOver(1, 0),
        FinishAt(1, Fraction(2000)),
        FinishAt(2, Fraction(2000)),
    )
    closing = set_out(room, paper(), start(1000, Puts.MIDDLE)).closing
    assert closing is not None
    assert closing.joint.wall == 2
    assert 200 <= closing.joint.at <= 900


def test_finish_is_by_default_in_the_corner_behind_the_door_when_only_the_focal_wall_has_one() -> None:
    """With its only door on the focal wall, a room closes in a corner; those of the focal wall come last.

    None of the corners off the focal wall has a door beside it, so the first of them is taken.
    """
    room = closed(wall(2000, DOOR), wall(2000), wall(2000), wall(2000))
    closing = set_out(room, paper(), start(1000, Puts.MIDDLE)).closing

    assert closing is not None
    assert whole(closing.joint.wall, closing.joint.at) == (2, 0)


BY_CORNER = opening(700, 950, 900, 2050, kind="window")


def test_closing_joint_goes_in_the_internal_corner_behind_the_door_and_not_where_walls_stand_out() -> None:
    """Of the corners off the focal wall one stands out; of the others the one 100 from the door comes first.

    A window 50 from another corner hides nothing. A room with external corners only offers those, left to right where
    no door is near.
    """
    walls = (wall(3000), wall(2000), wall(1000, BY_CORNER), wall(2500), wall(4000, DOOR))
    inward, outward = Corner.usual(CornerKind.INTERNAL), Corner.usual(CornerKind.EXTERNAL)
    room = Room(walls, (inward, outward, inward, inward, inward), closes=True)
    column = closed(wall(900), wall(900), wall(900), wall(900), corner=outward)

    assert [finish for finish in sensible_finishes(room, 0) if isinstance(finish, FinishAt)] == [
        FinishAt(3, Fraction(2500)),
        FinishAt(2, Fraction(1000)),
    ]
    assert sensible_finishes(column, 0) == (FinishAt(1, Fraction(900)), FinishAt(2, Fraction(900)))


def test_room_may_close_at_either_edge_of_its_first_strip_but_not_under_it() -> None:
    """A first strip from 750 to 1250 leaves both its edges free; 1 mm further in is under it."""
    room = closed(wall(2000), wall(2000), wall(2000), wall(2000))

    for edge, under in ((750, 751), (1250, 1249)):
        closing = set_out(room, paper(), start(1000, Puts.MIDDLE), finish=FinishAt(0, Fraction(edge))).closing
        assert closing is not None
        assert whole(closing.joint.wall, closing.joint.at) == (0, edge)
        with pytest.raises(RoomError, match="lies under the first strip"):
            set_out(room, paper(), start(1000, Puts.MIDDLE), finish=FinishAt(0, Fraction(under)))


@pytest.mark.parametrize("at", range(0, 2700, 90))
def test_wherever_a_room_with_true_corners_closes_the_print_is_out_sideways_by_the_same(at: int) -> None:
    """Round 2650 five strips of 500 leave 150 of print that comes too soon, over corners or not."""
    true = Corner.usual(CornerKind.EXTERNAL, is_true=True)
    widths = (700, 600, 800, 550)
    room = Room(tuple(map(wall, widths)), (true,) * 4, closes=True)
    number = next(number for number in range(4) if at < sum(widths[: number + 1]) or number == 3)
    point = FinishAt(number, Fraction(min(at - sum(widths[:number]), widths[number])))

    for begun in (start(50), start(300, Puts.MIDDLE)):
        try:
            closing = set_out(room, paper(200), begun, finish=point).closing
        except RoomError:
            continue
        assert closing is not None
        assert closing.sideways == -150
        assert closing.height == -400 + 600


def test_finish_under_a_strip_that_begins_at_the_start_tells_how_far_it_reaches_to_each_side() -> None:
    """A strip on the right of a joint reaches 500 to the right of the start and nothing to its left."""
    room = closed(wall(2000), wall(2000), wall(2000), wall(2000))

    reaches = "reaches 0 mm to the left of the start and 500 mm to its right"
    with pytest.raises(RoomError, match=reaches):
        set_out(room, paper(), start(1000), finish=FinishAt(0, Fraction(1400)))


def test_room_as_far_round_as_a_strip_is_wide_takes_one_strip() -> None:
    """A post of four sides of 125 is covered by one strip of 500."""
    post = closed(wall(125), wall(125), wall(125), wall(125), corner=Corner.usual(CornerKind.EXTERNAL, is_true=True))

    assert len(set_out(post, paper(), start(0), Way.RIGHT).columns) == 1


def test_finish_over_an_opening_without_a_joint_falls_on_its_middle() -> None:
    """A door of 200 between the joints of both ways is closed at its middle, and both strips are trimmed there.

    Rightwards from 250 joints fall on wall 2 at 210 and 710; leftwards from 250, on wall 3 at 770 and 270, and, after
    a turn at 230 of the strip, on wall 2 at 750 and 250. A door from 400 to 600 has none of them.
    """
    room = closed(wall(1000), wall(1000), wall(1000, opening(400, 600, 0, 2000)), wall(1000))
    closing = set_out(room, paper(), start(250), finish=FinishOver(2, 0)).closing

    assert closing is not None
    assert whole(closing.joint.wall, closing.joint.at) == (2, 500)


@pytest.mark.parametrize(
    ("way", "finish", "message"),
    [
        (
            Way.RIGHT_THEN_LEFT,
            FinishAt(1, Fraction(2500)),
            "finish.at: is off the wall: 2500 mm from the left of wall, which is 2000 mm wide",
        ),
        (Way.RIGHT_THEN_LEFT, FinishAt(7, Fraction(0)), "finish.wall: is not a wall of this room"),
        (Way.RIGHT_THEN_LEFT, FinishAt(4, Fraction(0)), "finish.wall: is not a wall of this room"),
        (Way.RIGHT_THEN_LEFT, FinishAt(-1, Fraction(0)), "finish.wall: is not a wall of this room"),
        (Way.RIGHT_THEN_LEFT, FinishOver(0, 0), "finish.over: is not an opening of that wall"),
        (
            Way.RIGHT_THEN_LEFT,
            FinishAt(0, Fraction(1100)),
            (
                "finish.at: lies under the first strip, which reaches 250 mm to the left of the start and "
                "250 mm to its right; move it"
            ),
        ),
        (
            Way.RIGHT,
            FinishAt(1, Fraction(0)),
            "finish: is the first strip's own edge when hanging goes one way only; leave it out, or go both ways",
        ),
    ],
)
def test_finish_that_cannot_be_is_refused(way: Way, finish: FinishAt | FinishOver, message: str) -> None:
    """A finish must lie on the run, clear of the first strip, and only where two ways meet."""
    room = closed(wall(2000), wall(2000), wall(2000), wall(2000))

    with pytest.raises(RoomError) as caught:
        set_out(room, paper(), start(1000, Puts.MIDDLE), way, finish)

    assert str(caught.value) == message


def test_finish_of_a_run_that_does_not_close_is_refused() -> None:
    """A run with two ends has no closing joint."""
    with pytest.raises(RoomError) as caught:
        set_out(run(wall(2000), wall(2000)), paper(), start(0), finish=FinishAt(1, Fraction(0)))

    assert str(caught.value) == "finish: belongs to a room that closes; leave it out, or set closes = true"


def test_room_smaller_than_a_strip_is_refused() -> None:
    """A pillar of 400 round cannot be closed by one strip of 500."""
    with pytest.raises(RoomError) as caught:
        set_out(closed(*[wall(100)] * 4), paper(), start(0, Puts.MIDDLE))

    assert str(caught.value) == "wall: are 400 mm round, less than one strip of 500 mm; check their widths"
