"""Columns worked out by hand: where each strip falls, over corners, and how the print steps."""

from __future__ import annotations

from fractions import Fraction

import pytest
from msgspec.structs import replace

from cutplan.paper.stock import SheetSet
from cutplan.room.finding import RoomError
from cutplan.room.walls import Corner, CornerKind
from cutplan.setting_out import Puts, Way, set_out
from cutplan.setting_out.start import start_findings
from small_rooms import paper, pieces, run, shown, start, wall, whole


def test_half_drop_to_the_left_of_the_start() -> None:
    """Columns to the left of the start carry the offset backwards: on a half-drop, alternately all the same.

        0     500   1000   1500   2000      repeat 600, half-drop 300
        |  -2  |  -1  |   0  |   1  |
        | 100  | 400  | 100  | 400  |       first motif below the ceiling
                      ^ joint on the start

    Column -1: 100 - 300 = -200, one repeat on: 400. Column -2: 100 - 600 = -500, one repeat on: 100.
    """
    setting_out = set_out(run(wall(2000)), paper(300), start(1000))

    assert shown(setting_out) == {
        -2: [(0, 0, 500, 0, 500)],
        -1: [(0, 500, 1000, 0, 500)],
        0: [(0, 1000, 1500, 0, 500)],
        1: [(0, 1500, 2000, 0, 500)],
    }
    assert pieces(setting_out) == [
        (0, "full", 2400, 100),
        (1, "full", 2400, 400),
        (-1, "full", 2400, 400),
        (-2, "full", 2400, 100),
    ]


@pytest.mark.parametrize(
    ("offset", "first_motifs"),
    [
        # A third of 600 lower to the right: 100, 300, 500 and round again; to the left 500, 300, 100.
        (200, {-3: 100, -2: 300, -1: 500, 0: 100, 1: 300, 2: 500}),
        # A third higher to the right, which is two thirds lower: the same the other way about.
        (400, {-3: 100, -2: 500, -1: 300, 0: 100, 1: 500, 2: 300}),
    ],
)
def test_third_drop_both_ways(offset: int, first_motifs: dict[int, int]) -> None:
    """On a third-drop the columns right of the start run through the thirds one way, those left the other.

    0     500   1000   1500   2000   2500   3000     repeat 600
    |  -3  |  -2  |  -1  |   0  |   1  |   2  |
                         ^ joint on the start
    """
    setting_out = set_out(run(wall(3000)), paper(offset), start(1500))

    assert {column.number: column.first_motif for column in setting_out.columns} == first_motifs


def test_third_of_a_repeat_that_does_not_divide_stays_exact() -> None:
    """After thirty columns of a third of 640 mm the print is back where it was, to the last fraction."""
    setting_out = set_out(run(wall(15_500)), paper(Fraction(640, 3), repeat=640), start(0))

    motifs = [column.first_motif for column in setting_out.columns[:4]]
    assert motifs == [Fraction(100), Fraction(940, 3), Fraction(1580, 3), Fraction(100)]
    assert setting_out.column(30).first_motif == 100


def test_internal_corner_going_right() -> None:
    """The strip is slit 20 past the corner, the rest hung into it: joints beyond come 20 sooner.

        wall A, 1200                 | wall B, 1000
        0     500   1000        1200 | 0    280     780   1000
        |   0  |   1  |  2: 0..200   | 220..500 |  3  | 4: 0..220
                                  turn 200..220, lapped

    Carried round uncut, the joint on wall B would stand at 1000 + 500 - 1200 = 300; the turn takes 20 of it.
    """
    setting_out = set_out(run(wall(1200), wall(1000)), paper(300), start(0))

    assert shown(setting_out) == {
        0: [(0, 0, 500, 0, 500)],
        1: [(0, 500, 1000, 0, 500)],
        2: [(0, 1000, 1200, 0, 200), (1, 0, 280, 220, 500)],
        3: [(1, 280, 780, 0, 500)],
        4: [(1, 780, 1000, 0, 220)],
    }
    (turn,) = setting_out.column(2).turns
    assert whole(turn.corner, turn.paper_left, turn.paper_right, turn.slit, turn.lap) == (0, 200, 220, 220, 20)
    # One length serves both parts, and the corner splits no number: columns 2 and 4 hang alike.
    assert [motif for _, _, _, motif in pieces(setting_out)] == [100, 400, 100, 400, 100]


def test_internal_corner_going_left() -> None:
    """Going left the turn is taken from the strip's left side, and the rest keeps its left edge.

    wall A, 1000                      | wall B, 1200
    0     220     720            1000 | 0        200     700    1200
    | -4   |  -3   | -2: 0..280       | 300..500  |  -1   |   0   |
                         lapped, turn 280..300                    ^ joint on the start, hung leftwards
    """
    setting_out = set_out(run(wall(1000), wall(1200)), paper(300), start(1200, wall=1), Way.LEFT)

    assert shown(setting_out) == {
        -4: [(0, 0, 220, 280, 500)],
        -3: [(0, 220, 720, 0, 500)],
        -2: [(0, 720, 1000, 0, 280), (1, 0, 200, 300, 500)],
        -1: [(1, 200, 700, 0, 500)],
        0: [(1, 700, 1200, 0, 500)],
    }
    (turn,) = setting_out.column(-2).turns
    assert whole(turn.paper_left, turn.paper_right, turn.slit, turn.lap) == (280, 300, 280, 20)


def test_external_corner_is_turned_and_the_rest_butts_against_the_turn() -> None:
    """Round an external corner 40 is turned and shows; the rest, plumbed anew, butts against it.

        wall A, 1200              | wall B, 1000
           1000              1200 | 0    40       300     800
             |  2: 0..200         | ..240 | 240..500 |  3  |

    No print is lost, so the joint stands where a strip carried round would put it: 1000 + 500 - 1200.
    """
    setting_out = set_out(run(wall(1200), wall(1000), corner=Corner.usual(CornerKind.EXTERNAL)), paper(300), start(0))

    assert shown(setting_out)[2] == [(0, 1000, 1200, 0, 200), (1, 0, 40, 200, 240), (1, 40, 300, 240, 500)]
    assert setting_out.column(2).part_widths == {0: 240, 1: 260}
    (turn,) = setting_out.column(2).turns
    assert whole(turn.slit, turn.lap) == (240, 0)


def test_true_external_corner_is_passed_uncut() -> None:
    """Round a true corner the strip goes on in one part, with no turn."""
    corner = Corner.usual(CornerKind.EXTERNAL, is_true=True)
    setting_out = set_out(run(wall(1200), wall(1000), corner=corner), paper(300), start(0))

    assert shown(setting_out)[2] == [(0, 1000, 1200, 0, 200), (1, 0, 300, 200, 500)]
    assert setting_out.column(2).part_widths == {0: 500}
    assert setting_out.column(2).turns == ()


def test_external_corner_lapped() -> None:
    """A rest hung over 30 of a turn of 40 leaves 10 of the turn in sight, and loses 30 of print."""
    corner = Corner.usual(CornerKind.EXTERNAL, Fraction(40), lap=Fraction(30))
    setting_out = set_out(run(wall(1200), wall(1000), corner=corner), paper(300), start(0))

    # The rest is slit at 240 and 260 wide: from 10 to 270 on wall B.
    assert shown(setting_out)[2] == [(0, 1000, 1200, 0, 200), (1, 0, 10, 200, 210), (1, 10, 270, 240, 500)]


def test_narrow_side_of_a_chimney_breast_has_one_strip_with_two_corners_in_it() -> None:
    """A side narrower than what is left of the strip is crossed by it: turned 20 in, then 30 out.

        alcove, 800            | side, 150 | front of the breast
        0     500          800 | 0     150 | 0   30      530
        |  0   | 1: 0..300     | 320..470  | ..500 |   2   |

    At the second corner only 500 - 470 = 30 is left to turn, less than the usual 40, and nothing to slit off.
    """
    walls = (wall(800), wall(150), wall(1000))
    room = replace(run(*walls), corners=(Corner.usual(CornerKind.INTERNAL), Corner.usual(CornerKind.EXTERNAL)))

    setting_out = set_out(room, paper(300), start(0))

    assert shown(setting_out)[1] == [(0, 500, 800, 0, 300), (1, 0, 150, 320, 470), (2, 0, 30, 470, 500)]
    assert shown(setting_out)[2] == [(2, 30, 530, 0, 500)]
    assert setting_out.column(1).part_widths == {0: 300, 1: 180}
    assert [whole(turn.corner, turn.slit, turn.lap) for turn in setting_out.column(1).turns] == [
        (0, 320, 20),
        (1, 500, 0),
    ]
    assert [piece.column for piece in setting_out.pieces] == [0, 1, 2, 3]


def test_wall_narrower_than_a_strip() -> None:
    """A strip centred on a pier 300 wide is turned and slit at both its corners, and hung in three parts.

    wall A, 600          | pier, 300 | wall C, 600
    0  20     520    600 | 0     300 | 0    80     580 600
    |-2|  -1   | 0..80   | 100..400  | 420..500 | 1  | 2|
                    turns 80..100   400..420, both lapped
    """
    room = run(wall(600), wall(300), wall(600))
    setting_out = set_out(room, paper(), start(150, Puts.MIDDLE, wall=1))

    assert shown(setting_out) == {
        -2: [(0, 0, 20, 480, 500)],
        -1: [(0, 20, 520, 0, 500)],
        0: [(0, 520, 600, 0, 80), (1, 0, 300, 100, 400), (2, 0, 80, 420, 500)],
        1: [(2, 80, 580, 0, 500)],
        2: [(2, 580, 600, 0, 20)],
    }
    assert setting_out.column(0).part_widths == {-1: 80, 0: 300, 1: 80}


def test_rest_narrower_than_the_turn_is_all_turned() -> None:
    """With 15 left at the corner, all of it is turned and covered, and the next strip begins in the corner."""
    setting_out = set_out(run(wall(985), wall(800)), paper(), start(0))

    # Column 1 hangs from 500 to 985: 485 of it, and 15 to turn where 20 would be usual.
    assert shown(setting_out)[1] == [(0, 500, 985, 0, 485)]
    assert shown(setting_out)[2] == [(1, 0, 500, 0, 500)]
    (turn,) = setting_out.column(1).turns
    assert whole(turn.paper_left, turn.paper_right, turn.slit, turn.lap) == (485, 500, 500, 15)
    assert whole(setting_out.pieces[1].paper_left, setting_out.pieces[1].paper_right) == (0, 500)


@pytest.mark.parametrize(
    "corner", [Corner.usual(CornerKind.EXTERNAL), Corner.usual(CornerKind.INTERNAL, lap=Fraction(0))]
)
def test_joint_in_a_corner_without_a_lap_needs_no_turn(corner: Corner) -> None:
    """A strip that ends in the corner is not turned: the next begins there."""
    setting_out = set_out(run(wall(1000), wall(500), corner=corner), paper(), start(0))

    assert shown(setting_out) == {0: [(0, 0, 500, 0, 500)], 1: [(0, 500, 1000, 0, 500)], 2: [(1, 0, 500, 0, 500)]}
    assert all(not column.turns for column in setting_out.columns)
    assert [whole(joint.wall, joint.at, joint.to_corner) for joint in setting_out.joints] == [(0, 500, 500), (1, 0, 0)]


def test_strip_that_begins_in_the_corner_is_turned_back_round_it() -> None:
    """Column 1 ends in the corner at 1000: the first 20 of column 2 are turned back, and 480 cover the wall beyond.

    The piece needs all of its strip, the turn as well.
    """
    setting_out = set_out(run(wall(1000), wall(480)), paper(), start(0))

    assert shown(setting_out)[2] == [(1, 0, 480, 20, 500)]
    (turn,) = setting_out.column(2).turns
    assert whole(turn.paper_left, turn.paper_right, turn.slit, turn.lap) == (0, 20, 0, 20)
    assert whole(setting_out.pieces[-1].paper_left, setting_out.pieces[-1].paper_right) == (0, 500)


def test_strip_hung_to_the_left_of_a_start_in_the_corner_is_turned_back_round_it() -> None:
    """The first strip begins in the corner; that on its left shows 0 to 480 and is turned back by the last 20."""
    setting_out = set_out(run(wall(480), wall(500)), paper(), start(0, wall=1))

    assert shown(setting_out) == {-1: [(0, 0, 480, 0, 480)], 0: [(1, 0, 500, 0, 500)]}
    (turn,) = setting_out.column(-1).turns
    assert whole(turn.paper_left, turn.paper_right, turn.slit, turn.lap) == (480, 500, 500, 20)
    assert whole(setting_out.pieces[-1].paper_left, setting_out.pieces[-1].paper_right) == (0, 500)


def test_motif_on_the_start_of_paper_that_grows() -> None:
    """Growing by 2 %, a strip of 500 lies 510 wide, its motif 204 from its left instead of 200.

    The motif on 1000 puts the left edge at 796 and the joint on its right at 1306.
    """
    wet = replace(paper(motif=200), wet_growth=Fraction(2, 100))
    setting_out = set_out(run(wall(2000)), wet, start(1000, Puts.MOTIF))

    assert shown(setting_out)[0] == [(0, 796, 1306, 0, 510)]


def test_joint_on_the_start_puts_the_first_strip_on_the_side_hung_first() -> None:
    """Hung to the left first, the first strip lies left of the joint on the start."""
    setting_out = set_out(run(wall(2000)), paper(300), start(1000), Way.LEFT_THEN_RIGHT)

    assert shown(setting_out)[0] == [(0, 500, 1000, 0, 500)]
    assert [piece.column for piece in setting_out.pieces] == [0, -1, 1, 2]


@pytest.mark.parametrize("number", [-1, 1])
def test_start_on_a_wall_that_is_not_there_is_refused(number: int) -> None:
    """A run of one wall has neither a second nor one before the first."""
    with pytest.raises(RoomError, match=r"start\.wall: is not a wall of this room"):
        set_out(run(wall(2000)), paper(), start(0, wall=number))


@pytest.mark.parametrize(("way", "side"), [(Way.RIGHT, "left"), (Way.LEFT, "right")])
def test_run_hung_one_way_from_its_middle_is_refused_for_what_stays_bare(way: Way, side: str) -> None:
    """From a strip on the middle of 2000, 750 stays bare on the side to which hanging does not go."""
    with pytest.raises(RoomError, match=f"leaves 750 mm bare on the {side} of the start"):
        set_out(run(wall(2000)), paper(), start(1000, Puts.MIDDLE), way)


def test_first_strip_astride_a_corner_is_whole_again_at_the_start() -> None:
    """100 from a true corner the middle of a strip lies on wall 1: 150 of it on wall 0, then 350 in one panel."""
    room = run(wall(1000), wall(1000), corner=Corner.usual(CornerKind.EXTERNAL, is_true=True))
    setting_out = set_out(room, paper(), start(100, Puts.MIDDLE, wall=1))

    assert shown(setting_out)[0] == [(0, 850, 1000, 0, 150), (1, 0, 350, 150, 500)]


def test_run_of_a_thousand_strips_is_set_out_and_a_longer_one_is_a_slip_of_the_unit() -> None:
    """500 m of strips of 500 mm are a thousand; 1 mm more is refused."""
    thousand, more = (list(start_findings(run(wall(width)), paper(), start(0))) for width in (500_000, 500_001))

    assert thousand == []
    assert [found.path for found in more] == [("wall",)]


@pytest.mark.parametrize(("from_left", "is_refused"), [("-1/2", True), ("0", False), ("500", False), ("1001/2", True)])
def test_motif_lies_within_the_strip(from_left: str, *, is_refused: bool) -> None:
    """Its middle may lie on either edge of a strip of 500, not half a millimetre beyond."""
    printed = replace(paper(), motif_from_left=Fraction(from_left))

    found = list(start_findings(run(wall(2000)), printed, start(1000, Puts.MOTIF)))
    assert bool(found) == is_refused


def test_sheets_are_counted_from_the_left_wherever_hanging_begins() -> None:
    """Begun in the middle of four, the two sheets on the left of the start are the first and the second."""
    setting_out = set_out(run(wall(2000)), replace(paper(repeat=0), sheets=SheetSet(4)), start(1000))

    assert [setting_out.sheet_of(column.number) for column in setting_out.columns] == [1, 2, 3, 4]
    assert setting_out.columns[0].number == -2
