"""What holds of every setting out, judged on the wall with arithmetic of its own."""

from __future__ import annotations

from contextlib import suppress
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING, Any, Final

from hypothesis import assume, given, settings
from msgspec import Struct
from msgspec.structs import replace

from cutplan.paper.pattern import Pattern
from cutplan.room.finding import RoomError
from cutplan.room.profile import Profile
from cutplan.room.walls import Room, Wall
from cutplan.setting_out import FinishAt, Way, set_out
from cutplan.setting_out.motifs import motifs_cut_in
from surveyed_rooms import Survey, surveys

if TYPE_CHECKING:
    from cutplan.setting_out import Column, SettingOut


def set_out_or_pass(survey: Survey) -> SettingOut:
    """Return the setting out of a survey, passing over those that are refused."""
    found = None
    with suppress(RoomError):
        found = set_out(survey.room, survey.paper, survey.start, survey.way, survey.finish)
    assume(found is not None)
    assert found is not None
    return found


def told(found: SettingOut) -> tuple[object, ...]:
    """Return a setting out with all that is told of it later."""
    return found, found.hung, found.cut_outs, tuple(motifs_cut_in(found.room, found.paper, found.pieces))


def set_out_elsewhere(survey: Survey) -> None:
    """Set the room of a survey out from other starts, by other finishes, and in a wider paper."""
    wider = replace(survey.paper, roll_width=Fraction(1031), motif_width=Fraction(40))
    for by, paper in ((Fraction(0), survey.paper), (Fraction(53), survey.paper), (Fraction(0), wider)):
        for finish in (None, survey.finish, FinishAt(0, Fraction(0))):
            with suppress(RoomError):
                found = set_out(survey.room, paper, replace(survey.start, at=survey.start.at + by), survey.way, finish)
                told(found)


@settings(max_examples=40)
@given(surveys())
def test_room_set_out_from_other_starts_before_is_set_out_as_if_it_were_new(survey: Survey) -> None:
    """What is known of a room from other starts, finishes and papers changes nothing of it."""
    new = told(set_out_or_pass(replace(survey, room=replace(survey.room))))
    set_out_elsewhere(survey)

    assert told(set_out_or_pass(survey)) == new


def places(wall: Wall, setting_out: SettingOut, index: int) -> list[Fraction]:
    """Return a place between every two neighbouring points of a wall where anything may change."""
    marks = {Fraction(0), wall.width, *wall.top.alongs, *wall.foot.alongs}
    marks |= {side for opening in wall.openings for side in (opening.left, opening.right)}
    marks |= {
        side
        for column in setting_out.columns
        for panel in column.panels
        if panel.wall == index
        for side in (panel.left, panel.right)
    }
    return [(left + right) / 2 for left, right in pairwise(sorted(marks)) if left < right]


@given(surveys())
def test_columns_tile_each_wall(survey: Survey) -> None:
    """On every wall the panels follow one another without gap or overlap, in the order of their columns."""
    setting_out = set_out_or_pass(survey)

    for index, wall in enumerate(survey.room.walls):
        panels = [panel for column in setting_out.columns for panel in column.panels if panel.wall == index]
        panels.sort(key=lambda panel: panel.left)
        assert [panel.left for panel in panels] == [0, *(panel.right for panel in panels[:-1])]
        assert panels[-1].right == wall.width
        assert all(panel.right - panel.left == panel.paper_right - panel.paper_left for panel in panels)


@given(surveys())
def test_every_bit_of_wall_that_is_no_opening_is_covered_once(survey: Survey) -> None:
    """At every place along a wall the pieces there cover all that is wall, and no two of them the same."""
    setting_out = set_out_or_pass(survey)

    for index, wall in enumerate(survey.room.walls):
        for place in places(wall, setting_out, index):
            spans = sorted(
                (piece.foot, piece.top)
                for piece in setting_out.pieces
                for panel in piece.panels
                if panel.wall == index and panel.left < place < panel.right
            )
            assert all(below[1] <= above[0] for below, above in pairwise(spans))
            for foot, top in bare(wall, place):
                assert any(low <= foot and top <= high for low, high in spans), (wall.name, place)


def bare(wall: Wall, place: Fraction) -> list[tuple[Fraction, Fraction]]:
    """Return the heights of wall at one place, between foot, openings and top."""
    foot, top = wall.foot.just_right_of(place), wall.top.just_right_of(place)
    cuts = sorted((op.foot, op.head) for op in wall.openings if op.left < place < op.right)
    ends = [foot, *(height for cut in cuts for height in cut), top]
    return [(low, high) for low, high in zip(ends[::2], ends[1::2], strict=True) if low < high]


@given(surveys())
def test_print_of_neighbouring_columns_steps_by_the_offset(survey: Survey) -> None:
    """Each column's datums lie one offset below those of the column on its left, and on wall the edges meet.

    Where an edge itself is turned round a corner, it is covered there as far as paper laps at that corner.
    """
    setting_out = set_out_or_pass(survey)
    pattern, width = survey.paper.pattern, survey.paper.wet_width
    assert width is not None

    for left, right in pairwise(setting_out.columns):
        assert pattern.within_repeat(right.first_motif - left.first_motif - pattern.offset) == 0
        before, after = left.panels[-1], right.panels[0]
        if before.wall == after.wall:
            assert before.paper_right == width - sum(
                (turn.lap for turn in left.turns if turn.slit == width), Fraction(0)
            )
            assert after.paper_left == sum(turn.lap for turn in right.turns if turn.slit == 0)


@given(surveys())
def test_print_of_every_piece_hangs_from_the_level_line(survey: Survey) -> None:
    """A piece's first motif below its own top is a motif of its column below the level line."""
    setting_out = set_out_or_pass(survey)

    for piece in setting_out.pieces:
        below_line = setting_out.level_line - piece.top + piece.first_motif
        column = setting_out.column(piece.column)
        assert survey.paper.pattern.within_repeat(below_line - column.first_motif) == 0
        assert survey.paper.pattern.within_repeat(piece.first_motif) == piece.first_motif


@given(surveys())
def test_paper_lost_in_a_strip_is_what_its_corners_lap(survey: Survey) -> None:
    """Across a strip that is trimmed at neither edge, what shows and what corners cover make up its width."""
    setting_out = set_out_or_pass(survey)

    for column in setting_out.columns[1:-1]:
        assert column.width + sum(turn.lap for turn in column.turns) == survey.paper.wet_width


@given(surveys())
def test_a_doll_s_house_is_set_out_like_the_house(survey: Survey) -> None:
    """Divide every length of room and paper by 1000: so is every length of the setting out, for no rule is absolute.

    But for slopes, where lengths are rounded up to what a knife can follow, so the walls here are level.
    """
    walls = tuple(replace(wall, top=level(wall.top), foot=level(wall.foot)) for wall in survey.room.walls)
    paper = replace(survey.paper, motif_above=Fraction(60), motif_below=Fraction(90), motif_width=Fraction(80))
    house = replace(survey, room=replace(survey.room, walls=walls), paper=paper)
    setting_out = set_out_or_pass(house)
    small = set_out_or_pass(thousandth(house))

    assert small == thousandth(setting_out)
    assert (small.cut_outs, small.reveals, small.hung) == thousandth(
        (setting_out.cut_outs, setting_out.reveals, setting_out.hung)
    )
    assert tuple(motifs_cut_in(small.room, small.paper, small.pieces)) == thousandth(
        tuple(motifs_cut_in(setting_out.room, setting_out.paper, setting_out.pieces))
    )


def level(line: Profile) -> Profile:
    """Return a level line at the height where another one begins."""
    return Profile.at_height(line.points[0][1])


NO_LENGTHS: Final = ("wet_growth", "sale", "edges")
"""Fields of a paper that hold shares, or lengths that play no part here."""


def thousandth(thing: Any) -> Any:  # noqa: ANN401 - whatever holds lengths, at any depth
    """Return the same with every length in it divided by 1000."""
    if isinstance(thing, Fraction):
        return thing / 1000
    if isinstance(thing, tuple):
        return tuple(map(thousandth, thing))
    if not isinstance(thing, Struct):
        return thing
    names = [name for name in thing.__struct_fields__ if name not in NO_LENGTHS]
    return replace(thing, **{name: thousandth(getattr(thing, name)) for name in names})


@given(surveys())
def test_facing_the_room_in_a_mirror_mirrors_the_setting_out(survey: Survey) -> None:
    """Left and right exchanged, with the print's step turned round, every column changes only its sign."""
    assume(survey.finish is not None or not survey.room.closes or survey.way.is_one_way)
    assume(survey.finish is None or isinstance(survey.finish, FinishAt))
    there = set_out_or_pass(survey)
    seen = mirrored(survey)
    back = set_out(seen.room, seen.paper, seen.start, seen.way, seen.finish)

    assert [view(column, there, flipped=True) for column in reversed(there.columns)] == [
        view(column, back, flipped=False) for column in back.columns
    ]
    assert [(-piece.column, piece.height, piece.first_motif) for piece in there.pieces] == [
        (piece.column, piece.height, piece.first_motif) for piece in back.pieces
    ]


def view(column: Column, setting_out: SettingOut, *, flipped: bool) -> object:
    """Return a column's number, print and panels; ``flipped``, as a mirror shows them."""
    walls = setting_out.room.walls
    width = setting_out.paper.wet_width or Fraction(0)
    if not flipped:
        panels = [(p.wall, p.left, p.right, p.paper_left, p.paper_right) for p in column.panels]
        return column.number, column.first_motif, panels
    panels = [
        (
            len(walls) - 1 - p.wall,
            walls[p.wall].width - p.right,
            walls[p.wall].width - p.left,
            width - p.paper_right,
            width - p.paper_left,
        )
        for p in reversed(column.panels)
    ]
    return -column.number, column.first_motif, panels


def mirrored(survey: Survey) -> Survey:
    """Return a survey with left and right exchanged."""
    room, paper, start = survey.room, survey.paper, survey.start
    walls = tuple(_mirrored_wall(wall) for wall in reversed(room.walls))
    corners = tuple(reversed(room.corners))
    if room.closes:
        corners = (*corners[1:], corners[0])
    last = len(walls) - 1
    pattern = Pattern(paper.pattern.repeat, paper.pattern.within_repeat(-paper.pattern.offset))
    motif = None if paper.motif_from_left is None else (paper.roll_width or 0) - paper.motif_from_left
    ways = {
        Way.RIGHT: Way.LEFT,
        Way.LEFT: Way.RIGHT,
        Way.RIGHT_THEN_LEFT: Way.LEFT_THEN_RIGHT,
        Way.LEFT_THEN_RIGHT: Way.RIGHT_THEN_LEFT,
    }
    finish = survey.finish
    if isinstance(finish, FinishAt):
        finish = FinishAt(last - finish.wall, room.walls[finish.wall].width - finish.at)
    return Survey(
        Room(walls, corners, room.closes, room.level_line),
        replace(paper, pattern=pattern, motif_from_left=motif),
        replace(start, wall=last - start.wall, at=room.walls[start.wall].width - start.at),
        ways[survey.way],
        finish,
    )


def _mirrored_wall(wall: Wall) -> Wall:
    openings = tuple(replace(opening, left=wall.width - opening.right) for opening in reversed(wall.openings))
    return replace(
        wall,
        top=_mirrored_profile(wall.top, wall.width),
        foot=_mirrored_profile(wall.foot, wall.width),
        openings=openings,
    )


def _mirrored_profile(profile: Profile, width: Fraction) -> Profile:
    if profile.level is not None:
        return profile
    return Profile(tuple((width - along, height) for along, height in reversed(profile.points)))
