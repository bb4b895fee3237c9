"""A fault planted in any rule of the planner makes the checker refuse its plan, and name what is wrong and by how much.

Each test breaks one function of the planner and lets it read, set out and plan one of two rooms, whose numbers are
worked out in ``faulty_rooms.py``. The checker shares nothing with what is broken.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any

import pytest
from msgspec.structs import replace

from cutplan.check import check_plan
from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Paper
from cutplan.room import walls
from cutplan.room.profile import Profile
from cutplan.scenario.survey import start_tables as points
from cutplan.setting_out import pieces, strips, whole
from cutplan.setting_out.finish import finish_distance
from cutplan.setting_out.joints import closing_between
from cutplan.setting_out.start import left_of_start, level_line_of
from cutplan.wording import signed
from faulty_rooms import FOUR_WALLS, THREE_WALLS
from hung_plans import document_of_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cutplan.room.walls import Room
    from cutplan.setting_out import Closing, Column, Piece, Start, Way

Patch = pytest.MonkeyPatch


def wrong(text: str) -> list[str]:
    """Return what the checker finds wrong with the planner's own plan of a room, as lines."""
    return [violation.line() for violation in check_plan(document_of_text(text)).violations]


@pytest.mark.parametrize("text", [THREE_WALLS, FOUR_WALLS], ids=["three walls", "four walls"])
def test_without_a_fault_the_plan_is_accepted(text: str) -> None:
    """What the tests below break is right to begin with."""
    assert wrong(text) == []


# The print.


def test_offset_taken_the_wrong_way(monkeypatch: Patch) -> None:
    """Each strip hangs 200 higher than its left neighbour instead of 200 lower: 400 too high is 200 too low of 600."""

    def first_motif(self: Pattern, column: int, at_start: Fraction) -> Fraction:
        return self.within_repeat(at_start - column * self.offset)

    monkeypatch.setattr(Pattern, "first_motif", first_motif)

    low = "sits 200 mm too low against"
    assert wrong(THREE_WALLS) == [
        f"joint between columns −4 and −3: the print of piece 10 {low} piece 11 on its left at 220 mm along 'left'",
        f"joint between columns −3 and −2: the print of piece 9 {low} piece 10 on its left at 720 mm along 'left'",
        f"joint between columns −2 and −1: the print of piece 8 {low} piece 9 on its left at 1220 mm along 'left'",
        f"joint between columns −1 and 0: the print of piece 1 {low} piece 8 on its left at 400 mm along 'middle'",
        f"joint between columns 0 and 1: the print of piece 2 {low} piece 1 on its left at 900 mm along 'middle'",
        f"joint between columns 0 and 1: the print of piece 3 {low} piece 1 on its left at 900 mm along 'middle'",
        f"joint between columns 1 and 2: the print of piece 4 {low} piece 2 on its left at 1400 mm along 'middle'",
        f"joint between columns 1 and 2: the print of piece 4 {low} piece 3 on its left at 1400 mm along 'middle'",
        f"joint between columns 2 and 3: the print of piece 5 {low} piece 4 on its left at 1900 mm along 'middle'",
        f"joint between columns 3 and 4: the print of piece 6 {low} piece 5 on its left at 180 mm along 'right'",
        f"joint between columns 4 and 5: the print of piece 7 {low} piece 6 on its left at 680 mm along 'right'",
    ]


def test_columns_to_the_left_counted_like_those_to_the_right(monkeypatch: Patch) -> None:
    """To the left of the start the print steps down where it should step up; to the right all is well."""

    def first_motif(self: Pattern, column: int, at_start: Fraction) -> Fraction:
        return self.within_repeat(at_start + abs(column) * self.offset)

    monkeypatch.setattr(Pattern, "first_motif", first_motif)

    low = "sits 200 mm too low against"
    assert wrong(THREE_WALLS) == [
        f"joint between columns −4 and −3: the print of piece 10 {low} piece 11 on its left at 220 mm along 'left'",
        f"joint between columns −3 and −2: the print of piece 9 {low} piece 10 on its left at 720 mm along 'left'",
        f"joint between columns −2 and −1: the print of piece 8 {low} piece 9 on its left at 1220 mm along 'left'",
        f"joint between columns −1 and 0: the print of piece 1 {low} piece 8 on its left at 400 mm along 'middle'",
    ]


def test_direction_of_the_offset_passed_over(monkeypatch: Patch) -> None:
    """Print that sits 200 higher to the right, 400 lower of 600, is planned 200 lower: every strip 200 too high."""
    monkeypatch.setattr("cutplan.paper.match_label._with_direction", lambda label, _direction: label)

    found = wrong(FOUR_WALLS.replace('"down"', '"up"'))

    assert found == [
        f"joint between columns {signed(left)} and {signed(left + 1)}: the print of piece {right} sits 200 mm too high "
        f"against piece {piece} on its left at {at}"
        for left, piece, right, at in (
            (-3, 9, 8, "270 mm along 'fourth'"),
            (-2, 8, 7, "770 mm along 'fourth'"),
            (-1, 7, 1, "250 mm along 'first'"),
            (0, 1, 2, "750 mm along 'first'"),
            (1, 2, 3, "230 mm along 'second'"),
            (2, 3, 4, "730 mm along 'second'"),
            (3, 4, 5, "210 mm along 'third'"),
            (4, 5, 6, "710 mm along 'third'"),
        )
    ]


def test_top_that_is_not_on_the_level_line_not_counted(monkeypatch: Patch) -> None:
    """Pieces under the window and under the slope are cut as if their tops were on the level line.

    Under the window the print is 1500 out, less two repeats 300; under the slope's 2150 it is 250 out, and under
    2000 it is 400: 250 too low against the strip before, then 150 more.
    """
    right = pieces.pieces_of

    def wrongly(room: Room, columns: Sequence[Column], *others: Any) -> tuple[Piece, ...]:  # noqa: ANN401 - passed on
        hung = {column.number: column.first_motif for column in columns}
        found = right(room, columns, *others)
        return tuple(replace(piece, first_motif=hung[piece.column]) for piece in found)

    monkeypatch.setattr(whole, "pieces_of", wrongly)

    joint, on_left = "joint between columns", "on its left at"
    assert wrong(THREE_WALLS) == [
        f"{joint} 0 and 1: the print of piece 3 sits 300 mm too low against piece 1 {on_left} 900 mm along 'middle'",
        f"{joint} 1 and 2: the print of piece 4 sits 300 mm too low against piece 3 {on_left} 1400 mm along 'middle'",
        f"{joint} 2 and 3: the print of piece 5 sits 250 mm too low against piece 4 {on_left} 1900 mm along 'middle'",
        f"{joint} 3 and 4: the print of piece 6 sits 150 mm too low against piece 5 {on_left} 180 mm along 'right'",
        "column 1: the print of piece 3 sits 300 mm too low under piece 2",
    ]


def test_level_line_too_low(monkeypatch: Patch) -> None:
    """All print 30 lower meets at every joint, but does not hang as the start says."""
    right = level_line_of
    monkeypatch.setattr(whole, "level_line_of", lambda room, start: right(room, start) - 30)

    assert wrong(THREE_WALLS) == [
        "level line: is said to be at 2370 mm; by the survey it is at 2400 mm",
        "column 0: the first motif of piece 1 hangs 30 mm lower than the start says",
    ]


# The start.


def test_motif_measured_from_the_wrong_edge_of_the_strip(monkeypatch: Patch) -> None:
    """A motif 150 from the strip's left edge is hung as if it were 150 from its right: 500 - 2 x 150 = 200 off."""
    right = left_of_start

    def from_right(paper: Paper, start: Start, *, right_first: bool) -> Fraction:
        return (paper.wet_width or Fraction(0)) - right(paper, start, right_first=right_first)

    monkeypatch.setattr(whole, "left_of_start", from_right)

    assert wrong(THREE_WALLS.replace('"joint"', '"motif"')) == [
        "column 0: the motif of the first strip lies 200 mm to the left of the start"
    ]


def test_start_read_at_another_place(monkeypatch: Patch) -> None:
    """A start read 10 further to the right moves every strip, and its first joint."""
    right = points.read_start

    def read_start(*arguments: Any) -> tuple[Start | None, Way]:  # noqa: ANN401 - passed on
        start, way = right(*arguments)
        return (None if start is None else replace(start, at=start.at + 10)), way

    monkeypatch.setattr("cutplan.scenario.survey.room_tables.read_start", read_start)

    assert wrong(THREE_WALLS)[:1] == ["column 0: the edge of the first strip lies 10 mm to the right of the start"]


def test_growth_of_the_wet_strip_forgotten(monkeypatch: Patch) -> None:
    """Strips laid 500 wide that will be 510 overlap by 10 at every joint: so much print would not be seen."""
    monkeypatch.setattr(Paper, "wet_width", property(lambda self: self.roll_width))

    found = wrong(THREE_WALLS.replace("[paper]", "[paper]\nwet_growth = 2"))

    assert len(found) == 9
    assert found[0] == "joint between columns −4 and −3: 10 mm of the print are missing at 220 mm along 'left'"
    assert all(": 10 mm of the print are missing at " in line for line in found)


# Corners.


def test_corners_passed_without_a_turn(monkeypatch: Patch) -> None:
    """Strips carried round as if corners were true lose no print, where each turn of 20 is covered."""

    def turn(self: Any, _strip: object, _corner: int, used: Fraction, _part: int) -> Fraction:  # noqa: ANN401
        self._enter_next()
        return used

    monkeypatch.setattr(strips._Layer, "_turn", turn)  # noqa: SLF001 - the very rule that is broken

    lost = "no print is lost at 0 mm along"
    assert wrong(THREE_WALLS) == [
        f"corner between 'left' and 'middle': {lost} 'middle'; what the turn covers there is 20 mm",
        f"corner between 'middle' and 'right': {lost} 'right'; what the turn covers there is 20 mm",
    ]


def test_usual_turn_of_another_size(monkeypatch: Patch) -> None:
    """A turn of 25 where the survey says nothing, and so 20, shifts the joints beyond by 5 too much."""
    monkeypatch.setattr(walls, "INTERNAL_TURN", Fraction(25))

    lost = "25 mm of the print are missing at 0 mm along"
    assert wrong(THREE_WALLS) == [
        f"corner between 'left' and 'middle': {lost} 'middle'; what the turn covers there is 20 mm",
        f"corner between 'middle' and 'right': {lost} 'right'; what the turn covers there is 20 mm",
    ]


def test_external_corner_lapped_like_an_internal_one(monkeypatch: Patch) -> None:
    """Of an external turn of 40 with a lap of 10 the next paper begins 30 from the corner, and covers 10.

    Hung into the corner as at an internal one it loses 40 there and nothing 30 from it, which on the wall to the left
    is at 1300 - 30.
    """
    right = strips._Layer._turn  # noqa: SLF001 - the very rule that is broken

    def turn(self: Any, *arguments: Any) -> Fraction:  # noqa: ANN401 - passed on
        self.room = replace(self.room, corners=tuple(replace(one, lap=one.turn) for one in self.room.corners))
        return right(self, *arguments)

    monkeypatch.setattr(strips._Layer, "_turn", turn)  # noqa: SLF001 - as above

    corner = "corner between 'left' and 'middle'"
    assert wrong(THREE_WALLS.replace("width = 1300", 'width = 1300\ncorner = "external"\nlap = 10')) == [
        f"{corner}: no print is lost at 1270 mm along 'left'; what the turn covers there is 10 mm",
        "column −1: 40 mm of the print are missing at 0 mm along 'middle'",
    ]


# Pieces.


def test_lowest_of_a_slope_taken_for_its_highest(monkeypatch: Patch) -> None:
    """Between 1400 and 1900 the slope falls from 2400 to 2150, and to 2000 at its end."""
    monkeypatch.setattr(Profile, "highest", Profile.lowest)

    assert wrong(THREE_WALLS) == [
        "column 2: the top of piece 4 is 250 mm below the highest wall within its width, at 2400 mm",
        "column 3: the top of piece 5 is 150 mm below the highest wall within its width, at 2150 mm",
        "wall 'middle': up to 250 mm of its height lie bare from 1400 mm to 2200 mm along it",
        "roll roll-1: drop 4 is cut 250 mm too short: trims and height are 2500 mm",
        "roll roll-2: drop 5 is cut 150 mm too short: trims and height are 2250 mm",
    ]


def test_highest_of_a_stair_taken_for_its_lowest(monkeypatch: Patch) -> None:
    """Between 180, 680 and 1000 the stair climbs from 90 to 340 to 500."""
    monkeypatch.setattr(Profile, "lowest", Profile.highest)

    found = wrong(THREE_WALLS)

    assert found == [
        "column 4: the foot of piece 6 is 250 mm above the lowest wall within its width, at 90 mm",
        "column 5: the foot of piece 7 is 160 mm above the lowest wall within its width, at 340 mm",
        "wall 'right': up to 250 mm of its height lie bare from 180 mm to 1000 mm along it",
        "roll roll-2: drop 6 is cut 250 mm too short: trims and height are 2010 mm",
        "roll roll-2: drop 7 is cut 160 mm too short: trims and height are 1760 mm",
    ]


def test_reveal_forgotten(monkeypatch: Patch) -> None:
    """The piece over a window with a reveal of 100 is longer by as much."""
    monkeypatch.setattr(pieces._Stretch, "paper_foot", property(lambda self: self.foot))  # noqa: SLF001 - as above

    assert wrong(THREE_WALLS) == [
        "column 1: piece 2 has 0 mm to turn under a reveal; it needs 100 mm",
        "roll roll-1: drop 2 is cut 100 mm too short: trims and height are 500 mm",
    ]


def test_piece_under_a_window_forgotten(monkeypatch: Patch) -> None:
    """A column inside a window takes two pieces; without the lower one 900 lie bare."""
    right = pieces._groups  # noqa: SLF001 - the very rule that is broken
    monkeypatch.setattr(pieces, "_groups", lambda room, column: right(room, column)[:1])

    assert wrong(THREE_WALLS) == [
        "column 1: nothing hangs on the wall from 0 mm to 900 mm above the floor line",
        "wall 'middle': up to 900 mm of its height lie bare from 900 mm to 1400 mm along it",
    ]


def test_column_across_an_opening_hung_in_pieces(monkeypatch: Patch) -> None:
    """With the window from 1000, column 1 has wall of full height beside it, and takes one full drop cut to shape."""
    right = pieces.slices_of
    monkeypatch.setattr(pieces, "slices_of", lambda wall, panel: right(wall, panel)[-1:])

    assert wrong(THREE_WALLS.replace("left = 900\nwidth = 500", "left = 1000\nwidth = 400"))[:2] == [
        "column 1: 2 pieces hang where the wall is unbroken from 0 mm to 2400 mm above the floor line",
        "wall 'middle': up to 2400 mm of its height lie bare from 900 mm to 1000 mm along it",
    ]


def test_trims_of_another_length(monkeypatch: Patch) -> None:
    """Trims of 40 where the scenario says nothing, and so 50, leave every drop 20 short."""
    monkeypatch.setattr("cutplan.scenario.trim_table.USUAL_TRIM", Fraction(40))

    found = wrong(FOUR_WALLS)

    assert len(found) == 9
    assert found[0] == "roll roll-1: drop 1 is cut 20 mm too short: trims and height are 2500 mm"
    assert all(line.endswith(" is cut 20 mm too short: trims and height are 2500 mm") for line in found)


# The closing joint, and the order.


def test_closing_joint_told_the_wrong_way_round(monkeypatch: Patch) -> None:
    """60 of the print come twice and the right hangs 200 low; told with the other sign, both are refused."""
    right = closing_between

    def other_sign(*arguments: Any) -> Closing:  # noqa: ANN401 - passed on
        closing = right(*arguments)
        return replace(closing, sideways=-closing.sideways, height=-closing.height)

    monkeypatch.setattr(whole, "closing_between", other_sign)

    assert wrong(FOUR_WALLS) == [
        "closing joint: is said to be 60 mm out sideways; on the wall it is −60 mm",
        "closing joint: is said to be −200 mm out in height; on the wall it is 200 mm",
    ]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (FOUR_WALLS, "is 100 mm to the right of where the survey has it"),
        (
            FOUR_WALLS.partition("[finish]")[0],
            # The rule would have it in the corner at the right of the second wall, there being no door and no window.
            "is 100 mm along 'third': over no door or window off the wall of the start, and in no corner",
        ),
    ],
    ids=["finish given", "finish chosen"],
)
def test_room_closed_at_another_place(monkeypatch: Patch, text: str, message: str) -> None:
    """A room closed 100 further on is refused, whether the survey names the place or leaves it to the trade."""
    right = finish_distance
    monkeypatch.setattr(whole, "finish_distance", lambda *arguments: right(*arguments) + 100)

    assert wrong(text) == [f"closing joint: {message}"]


def test_hung_from_left_to_right(monkeypatch: Patch) -> None:
    """The first piece on the list hangs in column -3, though hanging starts with column 0, which is the fourth."""
    monkeypatch.setattr(whole, "_hanging_order", lambda columns, _way: list(columns))

    assert wrong(FOUR_WALLS) == ["piece 1: is hung where piece 4 has its turn"]
