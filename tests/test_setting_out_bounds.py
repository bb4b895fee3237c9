"""Setting out where a bound is just met: joints on the side of an opening, prints half out, rooms seen in a mirror."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

import pytest
from msgspec.structs import replace

from cutplan.paper.sale import Edges
from cutplan.paper.stock import SheetSet
from cutplan.room.finding import RoomError
from cutplan.room.walls import Corner, CornerKind, Fitting, FittingKind
from cutplan.setting_out import (
    FinishAt,
    FinishOver,
    NoticeKind,
    Puts,
    Side,
    Way,
    notices_of,
    sensible_finishes,
    set_out,
)
from cutplan.setting_out.equal_strips import equal_columns
from cutplan.setting_out.mirrored import mirrored_room, set_out_mirrored
from cutplan.setting_out.motifs import CutMotif, Edge, MotifPlace, motif_places, motifs_cut
from cutplan.setting_out.start import centred_set
from cutplan.setting_out.strips import track_from
from small_rooms import closed, opening, paper, pieces, profile, run, start, wall, whole

TRUE: Final = Corner.usual(CornerKind.EXTERNAL, is_true=True)


def test_first_strip_round_both_corners_of_a_narrow_side_is_turned_at_each() -> None:
    """A side 150 wide left of the start: the first strip's left half goes round its two corners, and is turned twice.

    The strip covers 50 of the wall right of it, and all of the side.
    """
    walls = (wall(1000), wall(150), wall(800))
    room = replace(run(*walls), corners=(Corner.usual(CornerKind.EXTERNAL), Corner.usual(CornerKind.INTERNAL)))
    first = set_out(room, paper(300), replace(start(50, wall=2), puts=start(0).puts), Way.LEFT_THEN_RIGHT).column(0)

    assert {panel.wall for panel in first.panels} == {0, 1, 2}
    assert [turn.corner for turn in first.turns] == [0, 1]


def test_strip_flush_with_the_far_side_of_a_window_is_turned_in_at_the_near_one_only() -> None:
    """It reaches 160 across the window and ends at its right side: all of the 100 of the reveal can be turned in."""
    window = opening(340, 500, 900, 2100, reveal=100, kind="window")
    left, right = set_out(run(wall(1000, window)), paper(), start(0)).reveals

    assert (left.side, right.side) == (Side.LEFT, Side.RIGHT)
    assert whole(left.turned_in, right.turned_in) == (100, 0)


@pytest.mark.parametrize(("left", "right"), [(400, 500), (500, 600)])
def test_joint_on_the_side_of_a_door_is_over_it(left: int, right: int) -> None:
    """Of the joints there are, the closing one falls on that at 500, the side of the door, not on the door's middle."""
    room = closed(wall(1000), wall(1000), wall(1000, opening(left, right, 0, 2000)), wall(1000), corner=TRUE)
    setting_out = set_out(room, paper(), start(0), finish=FinishOver(2, 0))

    assert setting_out.closing is not None
    assert whole(setting_out.closing.joint.wall, setting_out.closing.joint.at) == (2, 500)


def test_joint_under_a_window_shows_down_to_the_foot_of_its_own_wall() -> None:
    """Beside a stair of 500 the window with its sill at 900 shows 400 of a joint, the other's sill at 600 all 600."""
    on_stair = wall(1000, opening(100, 900, 900, 2000, kind="window"), foot=500)
    on_floor = wall(1000, opening(100, 900, 600, 2000, kind="window"))
    first, second, *_ = sensible_finishes(closed(wall(1000), on_floor, wall(1000), on_stair), 0)

    assert (first, second) == (FinishOver(3, 0), FinishOver(1, 0))


def test_joint_over_the_higher_of_two_doors_shows_less() -> None:
    """Under a ceiling of 2400 it shows 300 over a door of 2100, and 500 over one of 1900."""
    low, high = (wall(1000, opening(100, 900, 0, head)) for head in (1900, 2100))
    first, second, *_ = sensible_finishes(closed(wall(1000), low, wall(1000), high), 0)

    assert (first, second) == (FinishOver(3, 0), FinishOver(1, 0))


@pytest.mark.parametrize(("offset", "lower"), [(250, 250), (300, 300), (350, -250)])
def test_print_half_a_repeat_out_at_the_closing_joint_sits_lower(offset: int, lower: int) -> None:
    """Round four walls of 500 the first strip is the fifth: 4 offsets less a repeat of 600 lower."""
    room = closed(*[wall(500)] * 4, corner=TRUE)
    shifted = Fraction(600 - offset, 4)
    closing = set_out(room, paper(shifted), start(0), Way.RIGHT).closing

    assert closing is not None
    assert closing.height == lower


@pytest.mark.parametrize(
    ("lower", "narrower", "out"),
    [
        ("1/2", "0", "sits 1 mm lower"),
        ("-3/4", "0", "sits 1 mm higher"),
        ("0", "3/4", "has 1 mm missing sideways"),
        ("0", "-1/2", "has 1 mm repeated sideways"),
        ("49/100", "49/100", "meets"),
    ],
)
def test_closing_print_half_a_millimetre_out_is_told(lower: str, narrower: str, out: str) -> None:
    """Round four walls the first strip is the fifth; the last wall is a hair short of a strip, or over."""
    last = replace(wall(500), width=500 - Fraction(narrower))
    room = closed(*[wall(500)] * 3, last, corner=TRUE)
    found = set_out(room, paper((600 - Fraction(lower)) / 4), start(0), Way.RIGHT)
    (told,) = (notice.what.read() for notice in notices_of(found) if notice.kind is NoticeKind.CLOSING)

    assert out in told


def test_start_a_hair_off_the_wall_is_refused() -> None:
    """Half a millimetre left of the wall's left edge."""
    with pytest.raises(RoomError, match="off the wall"):
        set_out(run(wall(1000)), paper(), replace(start(0), at=Fraction(-1, 2)))


def test_foot_that_rises_little_cuts_so_much_more_off_a_motif() -> None:
    """Its lowest point 20 above a foot at 900: 20 are cut off at the lower end of a foot 30 steep, 50 at the higher."""
    patterned = replace(paper(), motif_above=Fraction(100), motif_below=Fraction(100))

    assert list(motifs_cut(patterned, Fraction(900), Fraction(220), rise=Fraction(30))) == [
        CutMotif(Edge.FOOT, Fraction(50), Fraction(180), slopes=True)
    ]


# Mirrored


def test_mirrored_room_has_the_same_corner_between_the_same_walls() -> None:
    """Four walls and four kinds of corner: what stood right of a wall stands left of it."""
    walls = tuple(wall(width, name=str(width)) for width in (1000, 1100, 1200, 1300))
    corners = (
        Corner.usual(CornerKind.INTERNAL),
        Corner.usual(CornerKind.EXTERNAL),
        TRUE,
        Corner.usual(CornerKind.INTERNAL, turn=Fraction(30)),
    )
    room = replace(closed(*walls), corners=corners)
    mirrored = mirrored_room(room)

    assert [each.name for each in mirrored.walls] == ["1300", "1200", "1100", "1000"]
    for number in range(4):
        assert room.corner_right_of(number) == mirrored.corner_left_of(3 - number)
        assert room.corner_left_of(number) == mirrored.corner_right_of(3 - number)


def test_mirrored_wall_falls_the_other_way() -> None:
    """A ceiling that falls from 2400 to 2000 within the first 300 rises to the right in a mirror, 700 to 1000."""
    (falling,) = run(wall(1000, top=[(0, 2000), (300, 2400), (1000, 2400)], foot=[(0, 0), (1000, 50)])).walls
    (mirrored,) = mirrored_room(run(falling)).walls

    assert mirrored.top == profile([(0, 2400), (700, 2400), (1000, 2000)])
    assert mirrored.foot == profile([(0, 50), (1000, 0)])


@pytest.mark.parametrize("finish", [FinishAt(2, Fraction(900)), FinishOver(2, 0)])
def test_mirrored_room_closes_at_the_same_place(finish: FinishAt | FinishOver) -> None:
    """On the third wall of four, 900 from its left, or at a door's middle there: in a mirror as far from the right."""
    walls = (wall(1000), wall(1000), wall(1000, opening(700, 800, 0, 2000)), wall(1000))
    setting_out = set_out(closed(*walls), paper(), start(250), finish=finish)
    mirrored = set_out_mirrored(setting_out)

    assert setting_out.closing is not None
    assert mirrored.closing is not None
    assert setting_out.closing.joint.wall == 2
    assert (mirrored.closing.joint.wall, mirrored.closing.joint.at) == (1, 1000 - setting_out.closing.joint.at)


def test_level_room_differs_from_its_mirror_by_the_order_of_its_walls_only() -> None:
    """Walls without openings are their own mirrors."""
    room = run(wall(1000, name="A"), wall(1200, name="B"))

    assert mirrored_room(room).walls == room.walls[::-1]


@pytest.mark.parametrize("at", [100, 900])
def test_mirrored_start_is_on_the_same_wall(at: int) -> None:
    """On the second of three walls, as far from its right edge as before from its left, hung the other way first."""
    mirrored = set_out_mirrored(set_out(run(wall(800), wall(1000), wall(700), wall(600)), paper(), start(at, wall=1)))

    assert whole(mirrored.start.wall, mirrored.start.at) == (2, 1000 - at)


# Round the room


def test_closing_joint_at_the_start_is_a_whole_round_away() -> None:
    """Begun to the right and closed at the start itself: all is hung to the right."""
    setting_out = set_out(closed(*[wall(900)] * 4, corner=TRUE), paper(), start(0), finish=FinishAt(0, Fraction(0)))

    assert setting_out.columns[0].number == 0


def test_finish_over_an_opening_that_is_not_there_is_refused() -> None:
    """Openings are counted from 0."""
    room = closed(wall(1000), wall(1000), wall(1000, opening(400, 500, 0, 2000)), wall(1000))
    for number in (-1, 1):
        with pytest.raises(RoomError, match="is not an opening of that wall"):
            set_out(room, paper(), start(0), finish=FinishOver(2, number))


@pytest.mark.parametrize(
    ("door", "at"),
    [
        # Rightwards joints lie at 300 and 800 of the last wall: the last of them is over this door.
        ((720, 850), 800),
        # Leftwards at 400, where the round to the right has none over the door: the door's middle is 430.
        ((380, 480), 400),
        # Of those at 300 and 800 the nearer to the middle, at 545 1/2 or at 570.
        ((290, 801), 300),
        ((290, 850), 800),
    ],
)
def test_closing_joint_is_one_that_strips_make_over_a_door(door: tuple[int, int], at: int) -> None:
    """Four walls of 900 are hung from the first one's left: rightwards joints at 500, 1000, and so on to 3500."""
    room = closed(*[wall(900)] * 3, wall(900, opening(*door, 0, 2000)), corner=TRUE)
    setting_out = set_out(room, paper(), start(0), finish=FinishOver(3, 0))

    assert setting_out.closing is not None
    assert whole(setting_out.closing.joint.wall, setting_out.closing.joint.at) == (3, at)


def test_corner_nearest_a_door_is_offered_first() -> None:
    """A door 50 from a corner on its left hides it better than one 200 from its corner; the focal wall's come last."""
    far = wall(3000, opening(100, 1000, 0, 2000), opening(1900, 2800, 0, 2000, name="second"))
    near = wall(3000, opening(2050, 2950, 0, 2000))
    corners = [
        each
        for each in sensible_finishes(closed(wall(900), far, wall(900), near, wall(900)), 0)
        if isinstance(each, FinishAt)
    ]

    assert [finish.wall for finish in corners] == [3, 1, 2]


def test_joint_beyond_a_door_is_as_far_from_it_as_from_its_nearer_side() -> None:
    """A door from 900 to 970: the joint at 1000 is 30 beyond it."""
    joints = set_out(run(wall(1500, opening(900, 970, 0, 2000))), paper(), start(0)).joints

    assert [joint.to_opening for joint in joints] == [400, 30]


def test_left_corner_of_a_wall_further_on_is_turned_by_its_own_rule() -> None:
    """Hung to the left from the third wall: the corner there is lapped 20, that beyond it is passed uncut."""
    room = replace(run(wall(600), wall(700), wall(800)), corners=(TRUE, Corner.usual(CornerKind.INTERNAL)))
    setting_out = set_out(room, paper(), start(800, wall=2), Way.LEFT)

    assert [turn.corner for column in setting_out.columns for turn in column.turns] == [1]


# Openings


def test_window_that_begins_at_a_joint_falls_out_from_its_side_on() -> None:
    """At 500, a joint, nothing is turned in; at its right side, 800, the reveal's 100 is kept."""
    window = opening(500, 800, 900, 2100, reveal=100, kind="window")
    (cut_out,) = set_out(run(wall(1000, window)), paper(), start(0)).cut_outs

    assert whole(cut_out.paper_left, cut_out.paper_right) == (0, 200)


@pytest.mark.parametrize(("left", "right", "paper_from", "paper_to"), [(500, 700, 200, 500), (800, 1000, 0, 300)])
def test_strip_beside_an_opening_up_to_the_ceiling_is_cut_along_it(
    left: int, right: int, paper_from: int, paper_to: int
) -> None:
    """Of the strip from 500 to 1000 the piece beside the opening keeps its place across the paper."""
    (piece,) = (
        piece
        for piece in set_out(run(wall(1000, opening(left, right, 0, 2400))), paper(), start(0)).pieces
        if piece.column == 1
    )

    assert whole(piece.paper_left, piece.paper_right) == (paper_from, paper_to)


def test_pieces_that_touch_at_the_corner_of_two_openings_are_one_length() -> None:
    """Over the opening on the left paper ends at 1200, where that under the one on the right begins."""
    openings = (opening(0, 250, 0, 1200, name="hatch"), opening(250, 500, 1200, 2400, kind="window"))
    setting_out = set_out(run(wall(500, *openings)), paper(), start(0))

    assert pieces(setting_out) == [(0, "full", 2400, 100)]


@pytest.mark.parametrize(
    ("opened", "top", "foot", "height"),
    [
        # A window's foot level with the lower part of the ceiling, and a hatch's head with the upper step.
        ((2000, 2300), [(0, 2400), (500, 2400), (500, 2000), (1000, 2000)], 0, 2000),
        ((0, 500), 2400, [(0, 0), (500, 0), (500, 500), (1000, 500)], 1900),
    ],
)
def test_opening_that_only_touches_ceiling_or_foot_of_a_strip_takes_nothing_of_it(
    opened: tuple[int, int], top: object, foot: object, height: int
) -> None:
    """It lies from 300 to 1000, of which the strip from 500 on has another ceiling or foot."""
    room = run(wall(1000, opening(300, 1000, *opened), top=top, foot=foot))  # type: ignore[arg-type]
    (piece,) = (piece for piece in set_out(room, paper(), start(0)).pieces if piece.column == 1)

    assert (piece.kind.value, piece.openings) == ("full", ())
    assert piece.height == height


# Motifs and notices


def test_motif_of_no_width_at_a_step_is_cut_by_the_higher_ceiling_and_the_lower_foot() -> None:
    """Ceiling and foot both step at 500."""
    stepped = [(0, 2000), (500, 2000), (500, 2400), (1000, 2400)]
    room = run(wall(1000, top=stepped, foot=[(0, 0), (500, 0), (500, 150), (1000, 150)]))
    place = MotifPlace(0, Fraction(500), Fraction(500))

    assert whole(*place.top(room)) == (2400, 2400)
    assert whole(*place.foot(room)) == (0, 0)


def test_motif_of_no_width_on_an_openings_side_is_not_within_it() -> None:
    """One of some width may reach from side to side."""
    door = opening(300, 700, 0, 2000)

    assert [MotifPlace(0, Fraction(at), Fraction(at)).is_within(door) for at in (300, 301, 700)] == [False, True, False]
    assert MotifPlace(0, Fraction(300), Fraction(700)).is_within(door)


def test_motif_that_ends_at_a_joint_within_the_strip_shows_on_one_side_of_it() -> None:
    """200 wide round 100 from the left: all of it on the first 200 of the strip, none of it beyond the corner there."""
    wide = replace(paper(motif=100), motif_width=Fraction(200))
    column = set_out(run(wall(700), wall(1000), corner=TRUE), wide, start(0)).column(1)

    assert [panel.wall for panel in column.panels] == [0, 1]
    assert motif_places(wide, column.panels) == [MotifPlace(0, Fraction(500), Fraction(700))]


@pytest.mark.parametrize(("datum_above", "cut"), [(100, []), (99, [CutMotif(Edge.TOP, Fraction(199), Fraction(1))])])
def test_motif_that_ends_at_the_ceiling_is_not_cut(datum_above: int, cut: list[CutMotif]) -> None:
    """Its datum so far above a piece 300 high, and 100 of it below the datum."""
    patterned = replace(paper(), motif_above=Fraction(100), motif_below=Fraction(100))

    assert list(motifs_cut(patterned, Fraction(300), Fraction(600 - datum_above))) == cut


@pytest.mark.parametrize(("narrow", "is_told"), [(60, False), (59, True)])
def test_strip_of_60_is_none_too_narrow(narrow: int, *, is_told: bool) -> None:
    """On a wall of its own name."""
    alone = set_out(run(wall(1000 + narrow, name="chimney")), paper(), start(0))
    told = [notice.what.read() for notice in notices_of(alone) if notice.kind is NoticeKind.NARROW]

    assert told == ([f"column 2 shows only {narrow} mm on chimney: a narrow strip is hard to hang straight"] * is_told)


def test_joint_50_from_a_corner_is_not_told() -> None:
    """Round a true corner the strip goes on: 450 of it on the second wall leave a joint 50 from the third."""

    def told(width: int) -> list[NoticeKind]:
        room = run(wall(50), wall(width), wall(900), corner=TRUE)
        found = notices_of(set_out(room, paper(), start(0)))
        return [notice.kind for notice in found if notice.kind is NoticeKind.JOINT]

    assert told(500) == []
    assert told(499) == [NoticeKind.JOINT]


def test_closing_joint_over_two_openings_is_at_the_one_surveyed_first() -> None:
    """A door and a window over it, both across the closing joint."""
    openings = (opening(300, 700, 0, 1000, name="hatch"), opening(300, 700, 1500, 2000, kind="window"))
    room = closed(wall(1000), wall(1000), wall(1000, *openings), wall(1000))
    found = set_out(room, paper(), start(250), finish=FinishOver(2, 0))
    (told,) = (notice.what.read() for notice in notices_of(found) if notice.kind is NoticeKind.CLOSING)

    assert "at hatch" in told


@pytest.mark.parametrize("drop", ["-1/2", "-1"])
def test_motif_above_the_level_line_is_refused(drop: str) -> None:
    """It is measured down."""
    with pytest.raises(RoomError, match="cannot be less than 0"):
        set_out(run(wall(1000)), paper(), replace(start(0), motif_drop=Fraction(drop)))


def test_equal_strips_are_as_few_as_wet_paper_is_wide_enough_for() -> None:
    """500 that grow 1 % and lose 5 dry at each edge leave 494.9: 1484 want three, the middle of 505 each."""
    grown = replace(paper(), wet_growth=Fraction(1, 100), edge_trim=Fraction(5))
    columns = equal_columns(run(wall(1484)), grown)

    assert len(columns) == 3
    first = columns[0].panels[0]
    assert (first.paper_left, first.paper_right) == ((505 - Fraction(1484, 3)) / 2, (505 + Fraction(1484, 3)) / 2)


@pytest.mark.parametrize(("trim", "strips"), [("499/2", 4), ("2499/10", 20)])
def test_equal_strips_may_be_as_narrow_as_is_left_of_the_paper(trim: str, strips: int) -> None:
    """A wall of 4 mm in strips of 1 mm, or of a fifth of one."""
    assert len(equal_columns(run(wall(4)), replace(paper(), edge_trim=Fraction(trim)))) == strips


# Numbered sheets: strips 480 wide, of which the outer ones reach 20 further

LAPPED: Final = replace(paper(repeat=0, width=480), sheets=SheetSet(9), edges=Edges(overlap=Fraction(40)))


@pytest.mark.parametrize(("width", "columns", "last"), [(1460, 3, 500), (1461, 4, 21)])
def test_last_sheet_that_the_one_before_it_reaches_across_is_left_out(width: int, columns: int, last: int) -> None:
    """Three sheets of 480 and the uncut 20 of the last reach to 1460."""
    found = set_out(run(wall(width)), LAPPED, start(0), Way.RIGHT)

    assert len(found.columns) == columns
    assert sum(panel.right - panel.left for panel in found.columns[-1].panels) == last


def test_uncut_edges_are_those_of_the_outer_sheets() -> None:
    """The first reaches 20 to its left, the last 20 to its right; one alone both."""
    found = set_out(run(wall(1400)), LAPPED, start(0), Way.RIGHT)
    alone = set_out(run(wall(400)), LAPPED, start(0), Way.RIGHT)

    assert [whole(*found.reach_of(column.number)) for column in found.columns] == [(20, 0), (0, 0), (0, 20)]
    assert whole(*alone.reach_of(0)) == (20, 20)


@pytest.mark.parametrize(("widths", "panels"), [((380, 120), [0, 1]), ((100, 200, 200), [0, 1, 2])])
def test_sheet_passed_round_true_corners_reaches_across_the_rest_of_the_last_wall(
    widths: tuple[int, ...], panels: list[int]
) -> None:
    """Of 500 round, the one sheet covers 480 and reaches the other 20."""
    found = set_out(run(*map(wall, widths), corner=TRUE), LAPPED, start(0), Way.RIGHT)

    (column,) = found.columns
    assert [panel.wall for panel in column.panels] == panels
    assert column.panels[-1].right == widths[-1]


def test_rest_beyond_a_corner_needs_a_sheet_of_its_own() -> None:
    """The sheet ends in the corner: its uncut edge does not go round it, though only 20 are left there."""
    found = set_out(run(wall(480), wall(20), corner=TRUE), LAPPED, start(0), Way.RIGHT)

    assert len(found.columns) == 2


@pytest.mark.parametrize(("way", "at", "further"), [(Way.RIGHT_THEN_LEFT, 960, 960), (Way.LEFT_THEN_RIGHT, 20, 21)])
def test_first_sheet_is_needed_where_the_one_beside_it_does_not_reach(way: Way, at: int, further: int) -> None:
    """A joint 20 from the wall's end leaves the first sheet nothing to cover; one 21 from it, 1."""
    with pytest.raises(RoomError, match="which the one beside it covers"):
        set_out(run(wall(980)), LAPPED, start(at), way)
    assert len(set_out(run(wall(981)), LAPPED, start(further), way).columns) == 3


def test_sheets_have_no_paper_for_a_patch_at_a_window_with_a_reveal() -> None:
    """The first window with a bare end of its head is told."""
    windows = [
        opening(left, left + 300, 900, 2000, reveal=100, kind="window", name=name)
        for left, name in ((300, "left one"), (1300, "right one"))
    ]
    for some in (windows, [opening(300, 480, 900, 2000, reveal=100, kind="window", name="left one")]):
        with pytest.raises(RoomError, match="left one"):
            set_out(run(wall(1900, *some)), LAPPED, start(0), Way.RIGHT)


def test_wall_narrower_than_both_uncut_edges_takes_one_sheet_of_a_centred_set() -> None:
    """40 are covered by what reaches beyond the strip alone."""
    begun, _ = centred_set(LAPPED, wall(40), 0, Fraction(0))

    assert begun.at == 20
    assert begun.puts is Puts.MIDDLE


# What is said


def test_patches_of_a_column_are_numbered_from_1() -> None:
    """Two narrow windows within one strip leave the ends of two heads bare: two patches each."""
    windows = [opening(at, at + 100, 900, 2000, reveal=40, kind="window", name=f"w{at}") for at in (50, 300)]
    found = set_out(run(wall(500, *windows)), paper(), start(0))

    assert [patch.label for patch in found.patches] == ["patch 1 of 1", "patch 2 of 1"]


def test_electric_fitting_is_told_though_one_beside_the_paper_stands_before_it() -> None:
    """A socket above the ceiling's paper is passed over, and the radiator and the switch after it are told."""
    fittings = tuple(
        Fitting(name, kind, Fraction(100), Fraction(100), Fraction(foot), Fraction(100))
        for name, kind, foot in (
            ("high socket", FittingKind.SOCKET, 2500),
            ("radiator", FittingKind.RADIATOR, 100),
            ("switch", FittingKind.SWITCH, 1200),
        )
    )
    found = set_out(run(replace(wall(500), fittings=fittings)), paper(), start(0))
    told = [notice.what.read() for notice in notices_of(found) if notice.kind is NoticeKind.SAFETY]

    assert [words.partition(" on ")[0] for words in told] == ["radiator", "switch"]


@pytest.mark.parametrize(
    ("height", "first_motif", "cut"),
    [
        # Its lowest point just at the foot, and its highest just at the top: whole.
        (900, 200, []),
        (900, 100, []),
        # The next datum, at 700, is 50 above the foot.
        (750, 100, [CutMotif(Edge.FOOT, Fraction(50), Fraction(150))]),
    ],
)
def test_motif_that_just_touches_an_edge_is_whole(height: int, first_motif: int, cut: list[CutMotif]) -> None:
    """100 above and 100 below its datum, on a repeat of 600."""
    patterned = replace(paper(), motif_above=Fraction(100), motif_below=Fraction(100))

    assert list(motifs_cut(patterned, Fraction(height), Fraction(first_motif))) == cut


def test_ceiling_that_dips_cuts_no_motif_that_it_just_touches() -> None:
    """Its highest point 30 below the piece's top, where the ceiling dips 30; at 31 it cuts 1 off."""
    patterned = replace(paper(), motif_above=Fraction(100), motif_below=Fraction(100))

    assert list(motifs_cut(patterned, Fraction(500), Fraction(130), dip=Fraction(30))) == []
    assert list(motifs_cut(patterned, Fraction(500), Fraction(130), dip=Fraction(31))) == [
        CutMotif(Edge.TOP, Fraction(1), Fraction(200), slopes=True)
    ]


def test_joint_in_a_corner_names_the_strip_that_is_turned_round_it_and_by_how_much() -> None:
    """Two walls of a strip's width each: the second strip begins in the corner, lapped 20 and turned back round it."""
    found = set_out(run(wall(500), wall(900)), paper(), start(0))
    (told,) = (notice.what.read() for notice in notices_of(found) if notice.kind is NoticeKind.JOINT)

    assert told.endswith("lies in the corner at the left of wall: column 1 is turned 20 mm round it")


def test_joint_near_two_windows_names_the_nearer() -> None:
    """A joint at 500: one window ends 30 before it, another begins 45 beyond."""
    windows = (
        opening(545, 900, 900, 2000, kind="window", name="right one"),
        opening(100, 470, 900, 2000, kind="window", name="left one"),
    )
    found = set_out(run(wall(1000, *windows)), paper(), start(0))
    (told,) = (notice.what.read() for notice in notices_of(found) if notice.kind is NoticeKind.JOINT)

    assert told.endswith("is only 30 mm from left one")


# Where little is left


def test_motif_of_a_hair_under_a_sloping_ceiling_is_cut_by_a_slope() -> None:
    """Its highest point just at the piece's top, and the ceiling 1 lower elsewhere across it."""
    patterned = replace(paper(), motif_above=Fraction(100), motif_below=Fraction(100))

    assert list(motifs_cut(patterned, Fraction(500), Fraction(100), dip=Fraction(1))) == [
        CutMotif(Edge.TOP, Fraction(1), Fraction(200), slopes=True)
    ]


def test_motif_shown_beyond_a_corner_is_as_far_from_it_as_paper_is_left() -> None:
    """Of the strip from 500 on 200 are on the first wall: the motif 300 from its left is 100 beyond the corner."""
    column = set_out(run(wall(700), wall(1000), corner=TRUE), paper(), start(0)).column(1)

    assert motif_places(paper(motif=300), column.panels) == [MotifPlace(1, Fraction(100), Fraction(100))]


def test_joint_in_a_corner_names_the_strip_that_ends_round_it() -> None:
    """The first strip reaches 20 round the corner at 480, and all that is lapped."""
    found = set_out(run(wall(480), wall(900)), paper(), start(0))
    told = [notice.what.read() for notice in notices_of(found) if notice.kind is NoticeKind.JOINT]

    assert [words.partition("of wall")[2] for words in told] == [": column 0 is turned 20 mm round it"]


def test_pieces_under_two_openings_side_by_side_are_one() -> None:
    """A window across the strip, and a hatch below its left half: what hangs under the window is one piece."""
    openings = (opening(0, 500, 900, 2000, kind="window"), opening(0, 250, 0, 300, name="hatch"))

    assert pieces(set_out(run(wall(500, *openings)), paper(), start(0))) == [
        (0, "over", 400, 100),
        (0, "under", 900, 400),
    ]


def test_foot_of_a_strip_on_a_stair_is_cut_down_to_the_next_step_of_the_rule() -> None:
    """A foot that rises 100 in 700 is 500/7 high at 500: the second strip is cut from there down to a whole step."""
    room = run(wall(1000, foot=[(0, 0), (700, 100), (1000, 100)]))
    found = set_out(room, paper(), start(0))

    assert room.walls[0].foot.taken_down(Fraction(500, 7)) < Fraction(500, 7)
    assert [piece.foot for piece in found.pieces] == [0, room.walls[0].foot.taken_down(Fraction(500, 7))]


def test_piece_beyond_a_corner_hangs_there_alone_where_an_opening_takes_the_wall_before_it() -> None:
    """The strip from 500 is passed round a true corner at 700, and a cupboard takes the wall up to it."""
    room = run(wall(700, opening(500, 700, 0, 2400)), wall(1000), corner=TRUE)
    (piece,) = (piece for piece in set_out(room, paper(), start(0)).pieces if piece.column == 1)

    assert [panel.wall for panel in piece.panels] == [1]


@pytest.mark.parametrize("beyond", ["1", "1/2"])
def test_way_of_a_millimetre_beyond_a_corner_goes_round_it(beyond: str) -> None:
    """Or of half a one."""
    way = track_from(closed(*[wall(1000)] * 4), 0, Fraction(0), rightwards=True, distance=1000 + Fraction(beyond))

    assert [stretch.length for stretch in way.stretches] == [1000, Fraction(beyond)]


@pytest.mark.parametrize("corner", [Corner.usual(CornerKind.INTERNAL), TRUE])
def test_last_sheet_is_left_out_wherever_the_corner_before_it_was_turned(corner: Corner) -> None:
    """The walls end 10 beyond the sheets that go round the corner, or one more: the uncut 20 reach across."""
    for first, sheets in ((300, 1), (700, 2), (300, 2), (700, 3)):
        beyond = sheets * 480 - corner.lap - first
        found = set_out(run(wall(first), wall(int(beyond) + 10), corner=corner), LAPPED, start(0), Way.RIGHT)

        assert len(found.columns) == sheets
        assert found.columns[-1].panels[-1].right == beyond + 10


def test_last_sheet_that_goes_round_a_corner_is_hung_however_little_is_left() -> None:
    """It shows 10 before a true corner and 10 beyond it: an uncut edge goes round none."""
    found = set_out(run(wall(490), wall(10), corner=TRUE), LAPPED, start(0), Way.RIGHT)

    assert [[panel.wall for panel in column.panels] for column in found.columns] == [[0], [0, 1]]


@pytest.mark.parametrize("lap", ["1", "1/2"])
def test_strip_that_begins_in_a_corner_is_turned_back_by_the_least_lap(lap: str) -> None:
    """Two walls of a strip's width each."""
    found = set_out(
        run(wall(500), wall(900), corner=Corner.usual(CornerKind.INTERNAL, lap=Fraction(lap))), paper(), start(0)
    )

    assert [turn.paper_right - turn.paper_left for turn in found.column(1).turns] == [Fraction(lap)]


def test_first_strip_astride_a_corner_is_turned_round_it() -> None:
    """Its middle is put in the corner at the right of the first wall."""
    found = set_out(run(wall(1000), wall(800)), paper(), start(1000, Puts.MIDDLE))

    assert [turn.corner for turn in found.column(0).turns] == [0]
    assert {panel.wall for panel in found.column(0).panels} == {0, 1}


def test_first_strip_without_a_wall_is_refused_though_others_hang_beside_it() -> None:
    """Put to the left of the left end of a run."""
    with pytest.raises(RoomError, match="leaves the first strip no wall"):
        set_out(run(wall(1000)), paper(), start(0), Way.LEFT_THEN_RIGHT)


@pytest.mark.parametrize("before", [(980, 960), (300, 280)])
def test_first_sheet_at_the_end_of_the_last_wall_is_not_needed_whatever_stands_before_that(
    before: tuple[int, int],
) -> None:
    """The sheet beside it reaches its 20, on a wall of its own or from round a corner."""
    width, at = before
    with pytest.raises(RoomError, match="which the one beside it covers"):
        set_out(run(wall(600), wall(width), corner=TRUE), LAPPED, start(at, wall=1), Way.RIGHT_THEN_LEFT)


def test_strip_lapped_by_its_whole_width_is_none() -> None:
    """A turn of a strip's width at the corner: every strip shows some of a wall."""
    corner = Corner.usual(CornerKind.INTERNAL, turn=Fraction(500))
    found = set_out(run(wall(500), wall(900), corner=corner), paper(), start(0))

    assert all(column.panels for column in found.columns)


def test_uncut_edge_of_a_first_sheet_goes_round_no_corner() -> None:
    """The first sheet ends in a true corner, 15 before the end of the run: these have a sheet of their own."""
    found = set_out(run(wall(960), wall(15), corner=TRUE), LAPPED, start(960), Way.LEFT_THEN_RIGHT)

    assert [panel.wall for panel in found.column(1).panels] == [1]


def test_strip_astride_a_window_leaves_one_patch_to_be_told_of() -> None:
    """Both ends of the window's head are bare, and the one patch that goes there is told at the left."""
    window = opening(100, 300, 900, 2000, reveal=40, kind="window")
    found = set_out(run(wall(500, window)), paper(), start(0))
    told = [notice.what.read() for notice in notices_of(found) if notice.kind is NoticeKind.REVEAL]

    assert [words.partition(" of ")[0] for words in told if "cannot go under" in words] == ["at the left end"]
