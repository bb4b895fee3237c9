"""Pieces worked out by hand: over, under and beside openings, on stairs and under slopes."""

from __future__ import annotations

from fractions import Fraction

from cutplan.job.drops import Drop, drops_of
from cutplan.setting_out import Side, set_out
from small_rooms import opening, paper, pieces, run, start, wall, whole


def test_column_across_the_edge_of_a_door_and_one_flush_with_it() -> None:
    """A column across the door's edge is a full drop cut out to shape; one flush inside it hangs over it only.

        2400 +------+------+------+------+     door from 700 to 1500, 2000 high
             |      |      |  2   |      |     joints every 500
        2000 |      |  +---+------+      |
             |   0  |1 |    door  |  3   |
           0 +------+--+          +------+
             0     500 700 1000  1500   2000

    Cut out of column 1: 200 to 500 across, 2000 long from 400 below the ceiling: (100 - 400) mod 600 = 300.
    """
    setting_out = set_out(run(wall(2000, opening(700, 1500, 0, 2000))), paper(), start(0))

    assert pieces(setting_out) == [
        (0, "full", 2400, 100),
        (1, "full", 2400, 100),
        (2, "over", 400, 100),
        (3, "full", 2400, 100),
    ]
    assert setting_out.pieces[2].openings == ("door",)
    (cut_out,) = setting_out.cut_outs
    assert cut_out.opening == "door"
    assert whole(cut_out.piece, cut_out.paper_left, cut_out.paper_right) == (2, 200, 500)
    assert whole(cut_out.top, cut_out.length, cut_out.first_motif) == (2000, 2000, 300)


def test_window_with_a_reveal() -> None:
    """Over a window the paper is longer by the reveal; under it the print counts on from the level line.

        2400 +------+------+------+------+     window from 400 to 1500, sill 900, head 2100,
             |      | 400  | 400  |      |     reveal 100 deep
        2100 |   +--+------+------+      |
             | 0 |    window      |   3  |
         900 |   +--+------+------+      |
             |      | 900  | 900  |      |
             0      500   1000   1500   2000

    Over: 2400 - 2100 + 100. Under, 1500 below the ceiling: (100 - 1500) mod 600 = 400. Column 0 reaches 100 into
    the window, just enough to turn in to the left side of the reveal, so nothing falls out of it, and the head
    stays bare for those 100. On the right a joint lies on the window's side: nothing can be turned in.
    """
    window = opening(400, 1500, 900, 2100, reveal=100, kind="window")
    setting_out = set_out(run(wall(2000, window)), paper(), start(0))

    assert pieces(setting_out) == [
        (0, "full", 2400, 100),
        (1, "over", 400, 100),
        (1, "under", 900, 400),
        (2, "over", 400, 100),
        (2, "under", 900, 400),
        (3, "full", 2400, 100),
    ]
    assert [piece.turned_under for piece in setting_out.pieces] == [0, 100, 0, 100, 0, 0]
    assert setting_out.cut_outs == ()
    left, right = setting_out.reveals
    assert (left.side, left.column, right.side, right.column) == (Side.LEFT, 0, Side.RIGHT, None)
    assert whole(left.turned_in, left.patch_width, right.turned_in, right.patch_width) == (100, 100, 0, 0)


def test_what_is_turned_in_to_a_reveal_does_not_fall_out() -> None:
    """Of 300 that a column reaches into a window, a reveal of 100 keeps 100: the cut-out is 200 wide."""
    window = opening(700, 2000, 900, 2100, reveal=100, kind="window")
    setting_out = set_out(run(wall(2000, window)), paper(), start(0))

    (cut_out,) = setting_out.cut_outs
    assert whole(cut_out.paper_left, cut_out.paper_right, cut_out.length) == (300, 500, 1200)


def test_strip_astride_a_narrow_window_is_turned_in_on_both_sides() -> None:
    """A window of 160 within one strip, with a reveal of 60: 60 is turned in on each side and 40 falls out."""
    window = opening(200, 360, 900, 2100, reveal=60, kind="window")
    setting_out = set_out(run(wall(500, window)), paper(), start(0))

    (cut_out,) = setting_out.cut_outs
    assert whole(cut_out.paper_left, cut_out.paper_right) == (260, 300)
    # One patch as wide as the window is left at its head, counted once.
    assert [whole(side.turned_in, side.patch_width) for side in setting_out.reveals] == [(60, 160), (60, 0)]


def test_piece_over_a_fireplace_reaches_down_to_its_shelf() -> None:
    """Over a fireplace with its shelf at 1150 the piece is 2400 - 1150 high; nothing hangs under it."""
    fireplace = opening(500, 1000, 0, 1150, kind="fireplace")

    assert pieces(set_out(run(wall(1500, fireplace)), paper(), start(0)))[1:2] == [(1, "over", 1250, 100)]
    assert len(set_out(run(wall(1500, fireplace)), paper(), start(0)).pieces) == 3


def test_pieces_between_openings_that_stand_one_above_the_other() -> None:
    """A fanlight 100 above a door leaves a piece over it and one between them.

    Between, its top 300 below the ceiling: (100 - 300) mod 600 = 400.
    """
    door, fanlight = opening(0, 500, 0, 2000), opening(0, 500, 2100, 2300, kind="window", name="fanlight")
    setting_out = set_out(run(wall(500, door, fanlight)), paper(), start(0))

    assert pieces(setting_out) == [(0, "over", 100, 100), (0, "between", 100, 400)]
    assert [piece.openings for piece in setting_out.pieces] == [("fanlight",), ("door", "fanlight")]


def test_column_that_spans_two_openings_of_different_height() -> None:
    """Between a door and a window that touch, what is wall on either side of the meeting needs paper.

    Over both, down to the lower head, 2400 - 2000; under the window only the strip's right 300 is needed.
    Its top 1500 below the ceiling: (100 - 1500) mod 600 = 400. Beside the window's head 100 x 300 falls out.
    """
    door, window = opening(0, 200, 0, 2000), opening(200, 500, 900, 2100, kind="window")
    setting_out = set_out(run(wall(500, door, window)), paper(), start(0))

    assert pieces(setting_out) == [(0, "over", 400, 100), (0, "under", 900, 400)]
    over, under = setting_out.pieces
    assert over.openings == ("door", "window")
    assert whole(over.paper_left, over.paper_right) == (0, 500)
    assert under.openings == ("window",)
    assert whole(under.paper_left, under.paper_right) == (200, 500)
    (cut_out,) = setting_out.cut_outs
    assert whole(cut_out.paper_left, cut_out.paper_right, cut_out.top, cut_out.length) == (200, 500, 2100, 100)


def test_column_inside_an_opening_of_full_height_keeps_its_number() -> None:
    """An archway from floor to ceiling takes no paper, but the strips beyond it are numbered as if it did."""
    arch = opening(500, 1000, 0, 2400, kind="opening")
    setting_out = set_out(run(wall(1500, arch)), paper(300), start(0))

    assert pieces(setting_out) == [(0, "full", 2400, 100), (2, "full", 2400, 100)]
    assert [piece.label for piece in setting_out.pieces] == ["1", "2"]


def test_stairs_need_the_longest_edge_within_each_width() -> None:
    """Beside rising stairs each length reaches down to the lowest of the skirting within its width.

        5000 +------+------+------+       repeat 600, half-drop 300
             |  0   |  1   |  2   |
        1000 |      |      |    _/ 1000
         500 |      |    _/+       500
           0 +------+---'          0
             0     500   1000   1500

    The foot rises from 0 at 500 to 1000 at 1500. The print still hangs from the ceiling.
    """
    stair = wall(1500, top=5000, foot=[(0, 0), (500, 0), (1500, 1000)])

    assert pieces(set_out(run(stair), paper(300), start(0))) == [
        (0, "full", 5000, 100),
        (1, "full", 5000, 400),
        (2, "full", 4500, 100),
    ]


def test_slope_needs_the_highest_edge_within_each_width() -> None:
    """Under a slope each length reaches up to the highest of it within its width, and counts from the level line.

        2200 +      .------+------+       the top rises from 1200 at 0 to 2200 at 1000
             |    .'|  -1  |   0  |
        1700 |  .'  |      |      |
        1200 |.' -2 |      |      |
             0     500   1000   1500
                           ^ joint on the start

    Column -2: its top at 1700 is 500 below the level line: (100 - 500) mod 600 = 200.
    """
    gable = wall(1500, top=[(0, 1200), (1000, 2200), (1500, 2200)])

    assert pieces(set_out(run(gable), paper(), start(1000))) == [
        (0, "full", 2200, 100),
        (-1, "full", 2200, 100),
        (-2, "full", 1700, 200),
    ]


def test_level_line_above_the_ceiling() -> None:
    """A level line 80 above the ceiling at the start hangs the print 80 higher on the wall: 100 - 80 = 20."""
    setting_out = set_out(run(wall(500), level_line=2480), paper(), start(0))

    assert setting_out.level_line == 2480
    assert pieces(setting_out) == [(0, "full", 2400, 20)]


def test_step_in_the_ceiling_at_a_joint_counts_for_one_column_only() -> None:
    """Beyond a step down of 300 at the joint, the next column is 2100 high: (100 - 300) mod 600 = 400."""
    stepped = wall(1000, top=[(0, 2400), (500, 2400), (500, 2100), (1000, 2100)])

    assert pieces(set_out(run(stepped), paper(), start(0))) == [(0, "full", 2400, 100), (1, "full", 2100, 400)]


def test_one_length_serves_both_sides_of_a_corner() -> None:
    """A strip over the corner from a wall 2400 high to one 2700 high, with its foot at 300, is 2700 long.

    Its top lies 300 above the level line: (100 + 300) mod 600 = 400.
    """
    room = run(wall(300), wall(300, top=2700, foot=300))

    assert pieces(set_out(room, paper(), start(0)))[0] == (0, "full", 2700, 400)


def test_drops_follow_the_pieces() -> None:
    """Each piece is one drop, in hanging order, labelled with its number, with trims, its wall and its column."""
    setting_out = set_out(run(wall(1000, opening(500, 1000, 0, 2000))), paper(300), start(0))

    trim = Fraction(50)
    assert drops_of(setting_out, trim, trim) == (
        Drop("1", Fraction(2400), Fraction(100), trim, trim, wall="wall", column=0),
        Drop("2", Fraction(400), Fraction(400), trim, trim, wall="wall", column=1),
    )
