"""What the judge's rules of a wall rest on, fact by fact: its lines, its survey, and what hangs along the run."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from msgspec.structs import replace

from cutplan.check.roll_rules.what_fits_where import CutOut, WantedDrop
from cutplan.check.stated.fields import Table
from cutplan.check.stated.match import Match
from cutplan.check.survey.surveyed import Corner, Survey, SurveyReader, told_apart
from cutplan.check.survey.wall_line import Edges, legs_of, slices_of, uncovered
from cutplan.check.wall_rules.closing_joint import datum_of_column, finish_rule, out_at_closing
from cutplan.check.wall_rules.hung import Column, Hung, Panel, Piece, read_hung
from cutplan.check.wall_rules.needs import Need, heights_needed, needs_of, piece_rule, with_widths
from cutplan.check.wall_rules.on_the_wall import _facts, _first_wall
from cutplan.check.wall_rules.print_across_joints import height_rule, laps_of, start_place_rule
from cutplan.check.wall_rules.run import equal_rule, fewest_rule, paper_rule, run_of, tiling_rule
from cutplan.check.wall_rules.wall_cover import cover_rule, patch_rule

START = {"wall": "one", "at": 0, "puts": "joint", "motif_drop": 0}


def mm(number: float) -> Fraction:
    """Return millimetres as a length."""
    return Fraction(number)


def told(value: object) -> object:
    """Return lengths as they are, to be compared with whole numbers of millimetres."""
    return value


def line(*points: tuple[float, float]) -> Edges:
    """Return the line through points, which end where the wall does."""
    return Edges.through([(mm(along), mm(height)) for along, height in points], mm(points[-1][0]))


def wall(name: str, width: int, **more: object) -> dict[str, object]:
    """Return a wall 2400 high."""
    return {"name": name, "width": width, "height": 2400, **more}


def read(*walls: dict[str, object], free: bool = False, **more: object) -> tuple[Survey | None, list[str]]:
    """Return the survey of these walls, papered in strips of 500, and its faults."""
    scenario: dict[str, object] = {
        "paper": {"roll_length": 10000, "roll_width": 500, "match": "100"},
        "start": START,
        "wall": list(walls),
    }
    table = Table("", scenario | more, [], units="mm")
    return SurveyReader(table, is_free=free).survey(), table.faults


def surveyed(*walls: dict[str, object], free: bool = False, **more: object) -> Survey:
    """Return the survey of these walls, which has no fault."""
    survey, faults = read(*walls, free=free, **more)
    assert survey is not None, faults
    return survey


def panel(number: int, left: float, right: float, paper: float = 0) -> Panel:
    """Return what a strip shows on a wall, from so far across its paper."""
    return Panel(number, mm(left), mm(right), mm(paper), mm(paper) + mm(right) - mm(left))


def piece(drop: str, column: int, top: float, foot: float, *panels: Panel) -> Piece:
    """Return a piece with nothing turned under."""
    return Piece(drop, column, mm(top), mm(foot), mm(0), mm(0), mm(0), mm(500), panels)


def hung(*columns: tuple[int, tuple[Panel, ...]], pieces: tuple[Piece, ...] = ()) -> Hung:
    """Return columns as they hang, left to right."""
    return Hung(mm(2400), tuple(Column(number, panels) for number, panels in columns), pieces, None)


def test_a_step_in_the_very_corner_has_both_its_heights() -> None:
    """At either end of the wall; within it, that of the line alone."""
    steps = line((0, 2300), (0, 2400), (1000, 2400), (1000, 2500))

    assert set(steps.at(mm(0))) == {2300, 2400}
    assert set(steps.at(mm(1000))) == {2400, 2500}
    assert set(steps.at(mm(500))) == {2400}


def test_a_line_lowered_stops_at_the_floor_and_keeps_its_steps() -> None:
    """50 and 300 high, with a step of 200 between, lowered by 100."""
    assert line((0, 50), (500, 50), (500, 250), (1000, 300)).raised(mm(-100)) == Edges(
        ((mm(0), mm(0)), (mm(500), mm(0)), (mm(500), mm(150)), (mm(1000), mm(200))),
        (((mm(0), mm(0)), (mm(500), mm(0))), ((mm(500), mm(150)), (mm(1000), mm(200)))),
    )


def test_legs_that_go_on_straight_are_one_and_those_that_bend_or_step_are_not() -> None:
    """Level, a rise of 1 in 10 over two edges, a steeper one, a step, and level over two edges."""
    heights = ((0, 100), (100, 100), (200, 110), (400, 130), (500, 150), (500, 200), (600, 200), (900, 200))

    assert told([tuple(leg) for leg in legs_of(line(*heights))]) == [
        (0, 100, 100, 100),
        (100, 400, 100, 130),
        (400, 500, 130, 150),
        (500, 900, 200, 200),
    ]


def test_slices_end_at_sides_and_bends_and_where_a_slope_passes_a_head() -> None:
    """The foot rises to 200 at the right: it passes 100 at 500 and 150 at 750; what is beyond the wall is cut off."""
    rising, level = line((0, 0), (1000, 200)), line((0, 2400), (1000, 2400))
    boxes = [(mm(left), mm(right), mm(100), mm(150)) for left, right in ((60, 180), (600, 1200))]

    ends = [0, 60, 180, 500, 600, 750, 1000]
    assert told(list(slices_of([rising, level], boxes))) == [*pairwise(ends)]
    assert told(list(slices_of([level], boxes[1:]))) == [(0, 600), (600, 1000)]


def test_what_lies_under_nothing_has_some_height() -> None:
    """A cover from the very foot leaves nothing below it, and one to the very top nothing above."""
    assert told(list(uncovered(mm(0), mm(100), {(mm(0), mm(40)), (mm(60), mm(100))}))) == [(40, 60)]


def test_an_external_corner_is_turned_forty_millimetres_and_covers_none_where_nothing_is_said() -> None:
    """An internal one twenty, all of which the next paper covers."""
    survey = surveyed(wall("one", 1000, corner="external"), wall("two", 1000))

    assert [each.corner for each in survey.walls] == [
        Corner(mm(40), mm(0), is_true=False, is_internal=False),
        Corner(mm(20), mm(20), is_true=False, is_internal=True),
    ]


def test_rooms_are_told_apart_by_what_either_says() -> None:
    """Not closing is what is meant where nothing is said."""
    assert told_apart({"room": {"closes": True}}, {}) == ["closes"]
    assert told_apart({}, {"room": {"textured": True}}) == ["textured"]
    assert told_apart({"room": {"closes": False}}, {}) == []


def test_a_door_that_says_no_foot_stands_on_the_foot_of_its_wall() -> None:
    """Here 100 above the floor line."""
    door = {"kind": "door", "left": 200, "width": 800, "height": 2000}

    (opening,) = surveyed(wall("one", 2000, foot=[[0, 100], [2000, 100]], opening=[door])).walls[0].openings

    assert told((opening.foot, opening.head)) == (100, 2100)


def test_only_the_outer_strips_of_an_open_run_reach_further_by_half_the_wet_lap() -> None:
    """20 of lap, grown by a tenth; a room that closes, and walls in equal strips, have no outer strips."""
    lapped = {"roll_length": 10000, "roll_width": 500, "match": "free", "overlap": 20, "wet_growth": 10}
    walls = [wall("one", 2000), wall("two", 2000), wall("three", 2000)]

    assert surveyed(*walls, paper=lapped).reach == 11
    assert surveyed(*walls, paper=lapped, room={"closes": True}).reach == 0
    assert surveyed(*walls, free=True, paper=lapped, start=None, equal_strips={"edge_trim": 5}).reach == 0


def test_a_set_on_a_wall_that_one_sheet_covers_has_its_middle_on_the_walls() -> None:
    """Be the wall narrower than what is lapped; it is no more than one wall."""
    start = {"wall": "one", "at": "middle", "puts": "set", "motif_drop": 0}
    lapped = {"roll_length": 10000, "roll_width": 500, "match": "100", "overlap": 20}

    found = surveyed(wall("one", 10), paper=lapped, start=start).start

    assert told((found.at, found.puts, found.way)) == (5, "middle", "right then left")
    assert read(wall("one", 10), wall("two", 10), paper=lapped, start=start)[1] == [
        "start.puts: a set is centred on the middle of one wall"
    ]


def test_a_finish_may_be_a_length_with_its_unit() -> None:
    """As well as a corner by its name."""
    for at, found in (("1.2 m", 1200), ("right corner", 2000)):
        finish = surveyed(wall("one", 2000), finish={"wall": "one", "at": at}).finish
        assert finish is not None
        assert finish.at == found


def test_there_is_no_room_to_judge_where_its_finish_cannot_be_read() -> None:
    """Be all else of it right."""
    assert read(wall("one", 2000), finish={"over": "door"}) == (None, ["finish.over: does not name one opening"])


def test_a_piece_hangs_on_a_wall_that_has_the_name_it_says() -> None:
    """A name of no letters is none, not the first wall's."""
    part = {"wall": "", "from": 0, "to": 500, "paper_from": 0, "paper_to": 500}
    column = {"column": 0, "panels": [part]}
    table = Table("", {"setting_out": {"level_line": 2400, "columns": [column], "pieces": []}}, [])

    assert read_hung(table, surveyed(wall("one", 500))) is None
    assert "setting_out.columns[1].panels[1].wall: there is no wall '' in the survey" in table.faults


def test_pieces_that_touch_do_not_meet() -> None:
    """Nor does an unbroken height of wall and what hangs below it; paper is as long as what it turns under too."""
    upper, lower = piece("1", 0, 2400, 1000), piece("2", 0, 1000, 0)
    need = Need(mm(2400), mm(1000), mm(50), (), mm(1000))

    assert not upper.meets(lower)
    assert not need.meets(lower)
    assert need.meets(upper)
    assert need.paper_foot == 950
    assert Piece("3", 0, mm(2400), mm(1000), mm(50), mm(0), mm(0), mm(500), ()).height == 1450


def test_pieces_of_a_column_are_told_from_the_top_down() -> None:
    """However they are listed."""
    upper, lower = piece("1", 0, 2400, 1000), piece("2", 0, 1000, 0)

    assert hung(pieces=(lower, upper)).pieces_of(0) == [upper, lower]


@pytest.mark.parametrize(("reveal", "count"), [(49, 1), (50, 2), (51, 2)])
def test_a_turn_as_deep_as_its_opening_is_high_joins_nothing(reveal: int, count: int) -> None:
    """A slot 50 high across half a strip; below the window beside it, wall begins 1 above the slot's foot."""
    slot = {"kind": "window", "left": 0, "width": 250, "foot": 1000, "height": 50, "reveal": reveal}
    window = {"kind": "window", "left": 250, "width": 250, "foot": 1001, "height": 1399}
    survey = surveyed(wall("one", 1000, opening=[slot, window]))

    assert len(needs_of(survey, Column(0, (panel(0, 0, 500),)))) == count


def test_an_opening_below_the_foot_of_its_wall_has_no_head_to_turn_under() -> None:
    """It ends where the foot is, 200 above the floor line."""
    hatch = {"kind": "window", "left": 0, "width": 500, "foot": 0, "height": 200, "reveal": 50}
    survey = surveyed(wall("one", 1000, foot=[[0, 200], [1000, 200]], opening=[hatch]))

    assert told([(need.foot, need.under) for need in needs_of(survey, Column(0, (panel(0, 0, 500),)))]) == [(200, 0)]


def test_a_piece_that_goes_round_a_corner_is_of_the_wall_that_it_is_hung_on_first() -> None:
    """Strips go out from the start, on the first wall: those to its right come from their left, and the other way."""
    survey = room()
    for column, walls, first in ((0, (3, 0), 0), (0, (1, 2), 1), (3, (3, 0), 3), (3, (2, 3), 2), (-3, (2, 3), 3)):
        hangs = piece("1", column, 2400, 0, *(panel(number, 0, 100) for number in walls))
        assert _first_wall(survey, hangs) == first


def test_a_column_without_paper_has_the_print_of_the_nearest_that_has_some() -> None:
    """Each column to the right has it 320 lower, and of one column the uppermost piece tells."""
    pieces = (piece("1", 2, 2400, 1000), piece("2", 2, 1000, 0))
    printed = {"1": mm(1000), "2": mm(500)}
    match = Match(mm(640), mm(320))

    assert datum_of_column(hung(pieces=pieces), match, printed, 1) == 1320
    assert datum_of_column(hung(pieces=pieces[::-1]), match, printed, 3) == 680


def room(**finish: object) -> Survey:
    """Return a room that closes, with a door to the right corner of its second wall, and a window beyond."""
    door = {"kind": "door", "name": "door", "left": 1000, "width": 1000, "height": 2000}
    window = {"kind": "window", "left": 500, "width": 600, "foot": 800, "height": 1200}
    walls = [
        wall("one", 2000),
        wall("two", 2000, opening=[door]),
        wall("three", 2000, opening=[window]),
        wall("four", 2000),
    ]
    return surveyed(*walls, room={"closes": True}, finish=finish or None)


def said_of_finish(survey: Survey, number: int, left: float) -> list[str]:
    """Return what is said of a room that closes at a place of a wall, where no whole strip ends."""
    run = run_of(survey, hung((0, (panel(number, left, left + 100, 7),))))
    return [fault.message for fault in finish_rule(run, hung((0, (panel(number, left, left + 100, 7),))))]


@pytest.mark.parametrize(
    ("number", "left", "count"),
    [(1, 999.5, 1), (1, 1000, 0), (1, 1500, 0), (1, 2000, 0), (2, 499.5, 1), (2, 500, 0), (2, 1100, 0), (2, 1100.5, 1)],
)
def test_a_room_closes_over_a_door_or_window_from_one_edge_to_the_other(number: int, left: float, count: int) -> None:
    """And in a corner."""
    assert len(said_of_finish(room(), number, left)) == count


@pytest.mark.parametrize(("left", "way"), [(500.5, "right"), (499.5, "left")])
def test_a_closing_joint_half_a_millimetre_out_is_told_to_which_side(left: float, way: str) -> None:
    """The survey has it at 500."""
    (message,) = said_of_finish(room(wall="one", at=500), 0, left)

    assert message == f"is 0.5 mm to the {way} of where the survey has it"


def test_a_joint_in_the_corner_is_over_a_door_that_ends_there() -> None:
    """It is at the left edge of the wall beyond, and nowhere else of that wall, and at no other corner."""
    over = room(over="door")

    assert said_of_finish(over, 2, 0) == ["is 500 mm from the middle of 'door', and no whole strip ends there"]
    for number, left in ((2, 1), (2, 100), (3, 0), (0, 0)):
        assert all(message.startswith("is not over 'door'") for message in said_of_finish(over, number, left))
        assert said_of_finish(over, number, left)


@pytest.mark.parametrize(
    ("shown", "lap", "refused"),
    [
        (15, 5, False),  # 20 are turned, of which the lap covers 5
        (16, 5, True),  # no more than 20 are
        (15, 4, True),
        (15, 6, True),
    ],
)
def test_hung_one_way_a_room_closes_at_an_edge_of_the_first_strip_or_where_its_turn_is_covered(
    shown: int, lap: int, *, refused: bool
) -> None:
    """The first strip shows so much of the wall to the left of the start; 5 are cut off, or lie under the lap."""
    walls = [*(wall(name, 2000) for name in ("one", "two", "three")), wall("four", 2000, turn=20, lap=lap)]
    survey = surveyed(*walls, room={"closes": True}, start=START | {"way": "right"})
    columns = hung((0, (panel(3, 2000 - shown, 2000, 5), panel(0, 0, 495 - shown, shown + 5))))

    assert [fault.message for fault in finish_rule(run_of(survey, columns), columns)] == [
        "cuts 5 mm off the first strip; hung right only, a room closes at its own edge"
    ] * refused


@pytest.mark.parametrize(
    ("columns", "off", "way"),
    [
        ([(0, (panel(0, 600, 1000), panel(1, 0, 80, 420)))], 720, "left"),
        ([(-1, (panel(0, 600, 1000),)), (0, (panel(1, 400, 800), panel(2, 0, 100, 420)))], 100, "right"),
    ],
)
def test_a_first_strip_off_the_start_is_told_from_the_part_of_it_that_is_nearest(
    columns: list[tuple[int, tuple[Panel, ...]]], off: int, way: str
) -> None:
    """20 of it are covered in the corner that it goes round. The start is 300 along the second wall."""
    survey = surveyed(*(wall(name, width) for name, width in (("one", 1000), ("two", 800), ("three", 1000))))
    begun = replace(survey, start=replace(survey.start, wall=1, at=mm(300)))

    assert [fault.message for fault in start_place_rule(run_of(begun, hung(*columns)))] == [
        f"the edge of the first strip lies {off} mm to the {way} of the start"
    ]


def test_print_is_compared_where_pieces_meet_at_the_joint_and_are_cut_from_some_roll() -> None:
    """Piece 1 ends short of the joint and 5 begins beyond it; piece 3 is cut from no roll."""
    survey = surveyed(wall("one", 1000))
    pieces = (
        piece("1", 0, 2400, 0, panel(0, 0, 200)),
        piece("2", 0, 2400, 0, panel(0, 300, 500)),
        piece("3", 1, 2400, 1000, panel(0, 500, 700)),
        piece("4", 1, 1000, 0, panel(0, 500, 700)),
        piece("5", 1, 2400, 0, panel(0, 800, 1000)),
    )
    columns = hung((0, (panel(0, 0, 500),)), (1, (panel(0, 500, 1000),)), pieces=pieces)
    printed = {"1": mm(50), "2": mm(0), "4": mm(0), "5": mm(25)}

    assert [*height_rule(run_of(survey, columns), columns, Match(mm(100), mm(0)), printed)] == []


def test_no_more_is_turned_than_the_wall_beyond_is_wide() -> None:
    """15 of the 20 that would be: the next paper covers them from the corner on."""
    survey = surveyed(wall("one", 1000), wall("two", 15), wall("three", 1000))
    run = run_of(
        survey,
        hung((0, (panel(0, 0, 500),)), (1, (panel(0, 500, 900),)), (2, (panel(0, 900, 1000), panel(1, 0, 15, 100)))),
    )

    assert told(laps_of(run)[mm(1000)]) == (15, 0)


@pytest.mark.parametrize(("left", "what"), [(499.5, "are covered twice"), (500.5, "lie bare")])
def test_half_a_millimetre_between_strips_is_told(left: float, what: str) -> None:
    """Be it too much paper or too little."""
    survey = surveyed(wall("one", 1000))

    (fault,) = tiling_rule(survey, hung((0, (panel(0, 0, 500),)), (1, (panel(0, left, 1000),))))

    assert fault.message == f"0.5 mm {what} between column 0 and column 1"


def test_equal_strips_are_taken_round_no_corner() -> None:
    """Not even one."""
    survey = surveyed(wall("one", 500), wall("two", 500), free=True, start=None, equal_strips={"edge_trim": 0})
    columns = hung((0, (panel(0, 0, 500), panel(1, 0, 500))))

    assert "is taken round a corner" in [fault.message for fault in equal_rule(survey, columns)]


def test_half_a_millimetre_left_bare_is_told() -> None:
    """Above a piece that ends short of the top."""
    survey = surveyed(wall("one", 500))
    pieces = (piece("1", 0, 2399.5, 0, panel(0, 0, 500)),)

    (fault,) = cover_rule(survey, hung((0, (panel(0, 0, 500),)), pieces=pieces))

    assert fault.message == "up to 0.5 mm of its height lie bare from 0 mm to 500 mm along it"


def said_over_the_door(at: float, start: float, puts: str, *, rightwards: bool, last: int = 9, wide: int = 500) -> bool:
    """Return whether a joint over a door from 1000 to 2200 is refused, and another said to be nearer its middle.

    The whole strip that ends at it is hung from the start, at ``start`` of the same wall, right round the room. It is
    column ``last``, and shows ``wide`` of its 500.
    """
    door = {"kind": "door", "name": "door", "left": 1000, "width": 1200, "height": 2000}
    walls = [wall("one", 4000, opening=[door]), wall("two", 3000), wall("three", 4000), wall("four", 3000)]
    begun = {"wall": "one", "at": start, "puts": puts, "motif_drop": 0}
    survey = surveyed(*walls, room={"closes": True}, start=begun, finish={"over": "door"})
    left = start - (250 if puts == "middle" else 0 if rightwards else 500)
    first = (0, (panel(0, left, left + 250), panel(0, left + 250, left + 500, 250)))
    before, after = panel(0, at - wide, at, 500 - wide), panel(0, at, at + 300, 100)
    if not rightwards:
        before, after = panel(0, at - 300, at, 100), panel(0, at, at + wide)
    outer = ((-9, (after,)), (last, (before,))) if rightwards else ((-last, (after,)), (9, (before,)))
    columns = hung(outer[0], first, outer[1])
    found = [fault.message for fault in finish_rule(run_of(survey, columns), columns)]
    assert all(message.endswith("from the middle of 'door', and another joint is nearer") for message in found)
    return bool(found)


@pytest.mark.parametrize("rightwards", [True, False])
@pytest.mark.parametrize(
    ("out", "start", "puts", "nearer"),
    [
        (-300, 450, "middle", True),  # one strip on, it would end where the first begins
        (-300, 449, "middle", False),  # and here beyond that
        (-300, 699, "joint", True),  # and none of the first strip lies before the start
        (-300, 200, "joint", False),  # it would be the first strip itself
        (-250, 1000, "middle", False),  # as near as the next
        (400, 1000, "middle", True),  # the one before is nearer
        (100, 1000, "middle", False),
    ],
)
def test_a_joint_over_a_door_is_the_nearest_to_its_middle(
    out: int, start: int, puts: str, *, nearer: bool, rightwards: bool
) -> None:
    """The middle is at 1600; places are told from there, in the direction in which strips are hung."""
    way = 1 if rightwards else -1
    assert said_over_the_door(1600 + way * out, 1600 + way * start, puts, rightwards=rightwards) is nearer


@pytest.mark.parametrize("rightwards", [True, False])
def test_the_joint_before_the_last_is_one_only_where_that_strip_is_whole_and_not_the_first(*, rightwards: bool) -> None:
    """400 beyond the middle of the door, so that a whole strip would begin 100 before it."""
    at, start = (2000, 2600) if rightwards else (1200, 600)

    assert said_over_the_door(at, start, "middle", rightwards=rightwards, last=1)
    assert not said_over_the_door(at, start, "middle", rightwards=rightwards, last=0)
    assert not said_over_the_door(at, start, "middle", rightwards=rightwards, wide=400)


def test_the_print_is_out_at_the_closing_joint_by_no_more_than_half_a_strip() -> None:
    """300 of 500 are missing: 200 less than a strip."""
    columns = hung((-1, (panel(1, 1500, 1600, 400),)), (0, (panel(0, 0, 500),)), (3, (panel(1, 1400, 1500),)))

    assert told(out_at_closing(run_of(room(), columns), columns, Match(mm(100), mm(0)), {})) == (-200, None)


def test_a_turn_under_a_reveal_is_less_by_what_a_foot_is_taken_down() -> None:
    """At a slope: to the next 1/64 mm below."""
    need = Need(mm(2400), mm(1000) + Fraction(1, 128), mm(50), (), mm(1000))
    columns = hung((0, (panel(0, 0, 500),)), pieces=(piece("1", 0, 2400, 1000),))

    assert heights_needed(columns, [[need]]) == {"1": 1450 - Fraction(1, 128)}


def test_what_comes_away_from_a_wet_piece_is_told_of_the_dry_strip() -> None:
    """The strip is 500 dry and 550 wet. A window takes 440 to 660 of the wall; another ends where the strip begins."""
    windows = [
        {"kind": "window", "left": 440, "width": 220, "foot": 1000, "height": 350},
        {"kind": "window", "left": 100, "width": 230, "foot": 1000, "height": 350},
    ]
    paper = {"roll_length": 10000, "roll_width": 500, "match": "640", "wet_growth": 10}
    survey = surveyed(wall("one", 2000, opening=windows), paper=paper)
    drop = WantedDrop("1", mm(2400), mm(20), mm(0), mm(0), count=1)
    whole = replace(piece("1", 0, 2400, 0, panel(0, 330, 869, 11)), paper_right=mm(550))

    found = with_widths(drop, survey, whole, mm(640))
    narrow = with_widths(drop, survey, replace(whole, panels=(), paper_left=mm(110), paper_right=mm(330)), mm(640))
    over = with_widths(drop, survey, replace(whole, foot=mm(1350), paper_right=mm(549.45)), mm(640))

    assert (found.left, found.right) == (None, None)
    assert found.cut_outs == (CutOut("cut-out of 1", mm(350), mm(250), mm(110), mm(310)),)
    assert told((narrow.left, narrow.right)) == (100, 300)
    assert told([(each.left, each.right) for each in narrow.cut_outs]) == [(0, 100), (300, 500)]
    assert [each.label for each in over.cut_outs] == ["right of 1"]


def test_a_strip_turned_back_in_a_corner_loses_its_lap_be_it_one_millimetre() -> None:
    """Without a lap nothing is turned back."""
    survey = surveyed(wall("one", 1000, turn=20, lap=1), wall("two", 1000))
    columns = hung((0, (panel(0, 0, 500),)), (1, (panel(0, 500, 1000),)), (2, (panel(1, 0, 400, 1),)))
    run = run_of(survey, columns)
    assert told(laps_of(run)) == {1000: (1, 0)}
    assert "at 1 corner as much print is lost as the turn covers, and nowhere else" in [
        *_facts(run, columns, Match(mm(0), mm(0)), {})
    ]

    bare = surveyed(wall("one", 1000, turn=20, lap=0), wall("two", 1000))
    columns = hung((0, (panel(0, 0, 500),)), (1, (panel(0, 500, 1000),)), (2, (panel(1, 0, 400),)))
    assert laps_of(run_of(bare, columns)) == {}


def test_strips_come_to_the_corner_of_the_start_from_its_own_wall() -> None:
    """Hung from the left edge of the second wall, the corner before it is turned leftwards."""
    survey = surveyed(wall("one", 1000), wall("two", 1000), start=START | {"wall": "two"})
    columns = hung((-2, (panel(0, 0, 500),)), (-1, (panel(0, 500, 1000),)), (0, (panel(1, 0, 400, 100),)))

    assert told(laps_of(run_of(survey, columns))) == {1000: (20, 0)}


def test_no_more_is_turned_leftwards_than_there_is_up_to_the_closing_joint() -> None:
    """1 mm before the right corner of the wall on which hanging starts."""
    survey = surveyed(
        *(wall(name, 2000) for name in ("one", "two", "three", "four")),
        room={"closes": True},
        start=START | {"at": 500},
    )
    columns = hung((-2, (panel(0, 1999, 2000, 499),)), (-1, (panel(1, 0, 400, 100),)), (0, (panel(0, 500, 1000),)))

    assert told(laps_of(run_of(survey, columns))) == {1: (1, 0)}


def test_corners_of_a_run_lie_within_it() -> None:
    """Not where a room closes, and not at the far end of an open run."""
    assert told(run_of(room(), hung((0, (panel(1, 0, 500),)))).corners) == ((2000, 1), (4000, 2), (6000, 3))
    ends = surveyed(wall("one", 1000), wall("two", 1000))
    assert told(run_of(ends, hung((0, (panel(0, 100, 600),)))).corners) == ((900, 0),)


def test_a_strip_that_the_next_one_covers_is_one_too_many_at_either_end() -> None:
    """10 wide, where the uncut edge of the one beside it reaches 11 further."""
    lapped = {"roll_length": 10000, "roll_width": 520, "match": "free", "overlap": 20, "wet_growth": 10}
    survey = surveyed(wall("one", 1000), free=True, paper=lapped)
    assert survey.strip == 550
    left = hung((0, (panel(0, 0, 10, 540),)), (1, (panel(0, 10, 500),)), (2, (panel(0, 500, 1000, 50),)))
    right = hung((0, (panel(0, 0, 500, 20),)), (1, (panel(0, 500, 990, 60),)), (2, (panel(0, 990, 1000),)))

    for columns, outer in ((left, 0), (right, 2)):
        (fault,) = fewest_rule(survey, columns)
        assert (fault.where, fault.message) == (
            f"column {outer}",
            "is one too many: column 1 reaches across its 10 mm",
        )


@pytest.mark.parametrize("column", [0, 1])
@pytest.mark.parametrize(("beyond", "faults"), [(11, 0), (12, 1)])
def test_an_outer_strip_shows_as_much_of_its_outer_edge_as_reaches_beyond_its_joint(
    column: int, beyond: int, faults: int
) -> None:
    """11 of the lap, and of neither strip what is beyond its inner edge."""
    lapped = {"roll_length": 10000, "roll_width": 520, "match": "free", "overlap": 20, "wet_growth": 10}
    survey = surveyed(wall("one", 1000), free=True, paper=lapped)
    shows = [panel(0, 0, 500, 50), panel(0, 500, 1000)]
    shows[column] = panel(0, 500 * column, 500 * column + 500, 50 + beyond if column else -beyond)
    pieces = tuple(
        replace(piece(str(number), number, 2400, 0, each), paper_left=each.paper_left, paper_right=each.paper_right)
        for number, each in enumerate(shows)
    )
    columns = hung((0, (shows[0],)), (1, (shows[1],)), pieces=pieces)
    needs = [needs_of(survey, each) for each in columns.columns]

    assert len([*paper_rule(survey, columns)]) == faults
    assert len([*piece_rule(survey, columns, needs)]) == faults


def patches_said(*more: dict[str, object], top: object = 2400) -> list[str]:
    """Return what is said of a strip across the left side of a reveal from 800 to 1800, without a patch."""
    reveal = {"kind": "window", "name": "bay", "left": 250, "width": 500, "foot": 800, "height": 1000, "reveal": 100}
    survey = surveyed({"name": "one", "width": 1000, "height": top, "opening": [reveal, *more]})
    columns = replace(hung((0, (panel(0, 0, 500),))), patches=())
    return [fault.message for fault in patch_rule(survey, columns, Match(mm(0), mm(0)), {})]


def test_the_end_of_a_reveals_head_is_bare_unless_another_opening_goes_on_there() -> None:
    """Just as wide as what is bare; a wall that slopes down to less than the head on one side is wall above it."""
    bare = ["leaves the head of 'bay' bare from 250 mm to 500 mm along 'one'"]
    above = {"kind": "window", "left": 250, "width": 250, "foot": 1800, "height": 300}

    assert patches_said() == bare
    assert patches_said(top=[[0, 1700], [250, 1700], [500, 2400], [1000, 2400]]) == bare
    assert patches_said(above) == []
    assert patches_said(above | {"width": 249}) == bare


def test_patches_are_judged_after_one_whose_column_has_no_paper() -> None:
    """It has its turn before all others, and no print that could be out; the next is 30 out."""
    patches = (piece("1", 5, 1800, 1700, panel(0, 0, 100, 300)), piece("2", 0, 1800, 1700, panel(0, 0, 100)))
    patches = (replace(patches[0], paper_left=mm(300)), patches[1])
    columns = replace(hung((0, (panel(0, 0, 500),)), pieces=(piece("3", 0, 2400, 1800),)), patches=patches)

    found = patch_rule(surveyed(wall("one", 1000)), columns, Match(mm(100), mm(0)), {"2": mm(0), "3": mm(30)})

    assert [fault.message for fault in found] == [
        "covers nothing that is bare at the head of a reveal",
        "covers nothing that is bare at the head of a reveal",
        "its print is 30 mm out against piece 3",
    ]
