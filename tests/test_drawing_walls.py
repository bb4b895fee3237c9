"""Pictures of walls, measured against rooms that are worked out by hand."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations
from typing import Final

import pytest
from hypothesis import given, settings

from cutplan.parts.read_parts import read_scenario
from cutplan.render.drawing.elevation import elevations_of
from cutplan.render.drawing.lettering import Lettering
from cutplan.render.drawing.picture import FULL_WIDTH, Picture
from cutplan.render.drawing.wall_picture import bare_wall_pictures, wall_pictures
from cutplan.room.finding import RoomError
from cutplan.scenario.read import parse_scenario
from cutplan.setting_out import SettingOut, set_out
from pictures import SVG, drawn, places, print_lines, texts
from surveyed_rooms import Survey, surveys

DOOR_WALL: Final = """\
units = "mm"

[paper]
roll_length = "10.05 m"
roll_width = 500
match = "600/300"
motif_from_left = 250
motif_above = 60
motif_below = 80

[[wall]]
name = "door wall"
width = 2000
height = 2400

[[wall.opening]]
kind = "door"
left = 700
width = 800
height = 2000

[start]
at = 500
puts = "joint"
motif_drop = 100
"""
"""The example of docs/setting-out.md: columns -1, 0, 1 and 2, their first motifs 400, 100, 400 and 100 down."""

PER_MM: Final = min(570 / 2600, 470 / 2400)
"""Its scale: it is narrower than 2600 mm, and 2400 mm of height must go into 470 units."""


def set_out_from(text: str) -> SettingOut:
    """Return the room that a scenario surveys."""
    setting_out = parse_scenario(text, "room.toml").setting_out
    assert setting_out is not None
    return setting_out


def only_picture(setting_out: SettingOut, units: str = "mm") -> Picture:
    """Return the one picture of a room that needs no more."""
    (part,) = wall_pictures(setting_out, units)
    return part.picture


def test_print_steps_down_by_half_a_repeat_from_strip_to_strip() -> None:
    """A half-drop of 600: the strips at 0 and 1000 show the print 400 down, those at 500 and 1500 show it 100 down."""
    lines = print_lines(only_picture(set_out_from(DOOR_WALL)))

    highest = [
        (left, min(y for x, y, _, _ in lines if x == left and y >= 0)) for left in sorted({line[0] for line in lines})
    ]
    assert [round(along / PER_MM) for along, _ in highest] == [0, 500, 1000, 1500]
    assert [down / PER_MM for _, down in highest] == [pytest.approx(down, abs=0.5) for down in (400, 100, 400, 100)]


def test_print_goes_on_by_whole_repeats() -> None:
    """On the first strip it comes 400, 1000, 1600 and 2200 down."""
    lines = print_lines(only_picture(set_out_from(DOOR_WALL)))

    down = sorted(y / PER_MM for x, y, _, _ in lines if x == 0)
    assert down == [pytest.approx(mm, abs=0.5) for mm in (400, 1000, 1600, 2200)]


def test_motif_stands_where_it_was_measured() -> None:
    """250 mm from each strip's left edge: at 250, 750, 1250 and 1750 along the wall."""
    found = {round(x / PER_MM) for x, _ in places(only_picture(set_out_from(DOOR_WALL)), "motif")}

    assert found == {250, 750, 1250, 1750}


def test_motif_cut_by_the_ceiling_is_drawn_and_clipped() -> None:
    """Its datum lies 20 below the ceiling and it reaches 60 above that: 40 stick out, and the wall's clip cuts them."""
    picture = only_picture(set_out_from(DOOR_WALL.replace("motif_drop = 100", "motif_drop = 20")))

    highest = min(y for _, y in places(picture, "motif"))
    assert highest == pytest.approx(20 * PER_MM, abs=0.06)
    clips = {group.get("clip-path") for group in drawn(picture).iter("{http://www.w3.org/2000/svg}g") if len(group)}
    assert len([clip for clip in clips if clip is not None]) == 1


def test_level_line_along_the_flat_top_of_a_gable_is_seen_above_it() -> None:
    """The ridge from 1400 to 3000 mm is as high as the level line, which its edge would cover."""
    setting_out = read_scenario("scenarios/loft.toml").setting_out
    assert setting_out is not None
    gable = next(part.picture for part in wall_pictures(setting_out) if "gable" in texts(part.picture))

    dotted = [line for line in drawn(gable).iter(f"{SVG}polyline") if line.get("stroke-dasharray") == "0.1 8"]
    assert dotted[0].get("points") == "0,-6 570,-6"


@pytest.mark.parametrize("name", ["parlour", "alcove-feature-wall", "loft", "stairwell"])
def test_every_drop_of_the_scenarios_is_numbered_on_its_wall(name: str) -> None:
    """Whoever looks for a number finds it in some picture."""
    setting_out = read_scenario(f"scenarios/{name}.toml").setting_out
    assert setting_out is not None

    written = {text for part in wall_pictures(setting_out) for text in texts(part.picture)}
    assert {piece.label for piece in setting_out.pieces} <= written


@pytest.mark.parametrize("name", ["parlour", "alcove-feature-wall", "loft", "stairwell"])
def test_every_wall_of_the_scenarios_is_named(name: str) -> None:
    """Narrow walls have their names too, with lines down to them."""
    setting_out = read_scenario(f"scenarios/{name}.toml").setting_out
    assert setting_out is not None

    written = {text for part in wall_pictures(setting_out) for text in texts(part.picture)}
    assert {each.name for each in setting_out.room.walls} <= written


def test_tape_reads_the_joints_from_the_left_of_the_wall() -> None:
    """Joints at 500, 1000 and 1500, and the wall's ends; in feet and inches to the nearest sixteenth."""
    setting_out = set_out_from(DOOR_WALL)

    assert {"0", "500", "1000", "1500", "2000"} <= set(texts(only_picture(setting_out)))
    # 500 mm are 19.685 in: 19 11/16. 1500 mm are 59.055 in: 4 ft 11 1/16.
    assert {"1′ 7 11/16″", "4′ 11 1/16″"} <= set(texts(only_picture(setting_out, "in")))


def test_start_is_flagged_with_the_way_to_go() -> None:
    """The scenario says nothing, so hanging goes right, then left."""
    assert "START → then ←" in texts(only_picture(set_out_from(DOOR_WALL)))


def test_closing_joint_is_flagged_where_it_falls() -> None:
    """The parlour closes over its door, in the last picture."""
    setting_out = read_scenario("scenarios/parlour.toml").setting_out
    assert setting_out is not None

    pictures = [texts(part.picture) for part in wall_pictures(setting_out)]
    assert ["closing joint" in written for written in pictures] == [False, False, False, True]


def test_customer_is_spared_numbers_and_measures() -> None:
    """The customer's picture has the names of wall and door, and nothing else is written in it."""
    (part,) = wall_pictures(set_out_from(DOOR_WALL), for_customer=True)

    assert sorted(texts(part.picture)) == ["door", "door wall"]


def test_room_that_is_not_set_out_shows_its_openings() -> None:
    """The door's sides are read on the tape: 700 and 1500."""
    (part,) = bare_wall_pictures(set_out_from(DOOR_WALL).room)

    assert {"door wall", "door", "0", "700", "1500", "2000"} == set(texts(part.picture))


def test_words_say_what_the_picture_shows() -> None:
    """The text alternative names every drop with its place, the level line and the door."""
    picture = only_picture(set_out_from(DOOR_WALL))

    assert picture.description == (
        "From left to right: drop 4 on door wall from 0 mm to 500 mm; drop 1 on door wall from 500 mm to 1000 mm; "
        "drop 2 on door wall from 1000 mm to 1500 mm; drop 3 on door wall from 1500 mm to 2000 mm. "
        "Level line 2400 mm above the floor line. door on door wall from 700 mm to 1500 mm."
    )


def test_long_wall_is_divided_at_a_joint() -> None:
    """12 m of wall takes three pictures of at most 4.9 m, parted at joints near 4 m and 8 m."""
    text = DOOR_WALL.replace("width = 2000", "width = 12000")
    parts = elevations_of(set_out_from(text).room, [(0, Fraction(at)) for at in range(500, 12000, 500)])

    faces = [(int(face.left), int(face.right)) for part in parts for face in part.faces]
    assert faces == [(0, 4000), (4000, 8000), (8000, 12000)]
    assert len({part.per_mm for part in parts}) == 1


@given(surveys())
@settings(max_examples=20)
def test_no_two_texts_lie_on_one_another(survey: Survey) -> None:
    """Whatever the room, a picture keeps its texts apart, within its own reckoning of their width."""
    for picture in _pictures_of(survey):
        boxes = [lettering.box for lettering in written_in(picture)]
        assert not [pair for pair in combinations(boxes, 2) if pair[0].meets(pair[1])]


@given(surveys())
@settings(max_examples=25)
def test_start_and_closing_joint_are_flagged_in_every_room(survey: Survey) -> None:
    """Nothing that is written above a wall crowds them out."""
    pictures = _pictures_of(survey)
    if not pictures:
        return
    written = [text for picture in pictures for text in texts(picture)]

    assert any(text.startswith("START") for text in written)
    assert survey.room.closes == ("closing joint" in written)


@given(surveys())
@settings(max_examples=20)
def test_pictures_show_every_panel_once(survey: Survey) -> None:
    """The faces of all parts together cover each wall from its left to its right edge, without gap or overlap."""
    covered = {
        index: sorted(
            (face.left, face.right) for part in elevations_of(survey.room) for face in part.faces if face.wall == index
        )
        for index in range(len(survey.room.walls))
    }

    for index, each in enumerate(survey.room.walls):
        ends = [Fraction(0), *(right for _, right in covered[index])]
        assert [left for left, _ in covered[index]] == ends[:-1]
        assert ends[-1] == each.width


@given(surveys())
@settings(max_examples=20)
def test_no_picture_is_wider_than_a_page(survey: Survey) -> None:
    """So nothing has to be scrolled sideways, and a unit is as large in every picture."""
    assert all(picture.bounds.width <= FULL_WIDTH + 40 for picture in _pictures_of(survey))


def _pictures_of(survey: Survey) -> list[Picture]:
    try:
        setting_out = set_out(survey.room, survey.paper, survey.start, survey.way, survey.finish)
    except RoomError:
        return []
    return [part.picture for part in wall_pictures(setting_out)]


def written_in(picture: Picture) -> list[Lettering]:
    """Return the texts of a picture with their places, read back from its SVG."""
    found = []
    for element in drawn(picture).iter("{http://www.w3.org/2000/svg}text"):
        size, is_bold = float(element.get("font-size", "")), element.get("font-weight") == "bold"
        turned = element.get("transform")
        text = element.text or ""
        flat = Lettering(text, size, 0, 0, is_bold=is_bold)
        if turned is None:
            x, y = float(element.get("x", "")), float(element.get("y", "")) - flat.baseline
        else:
            x, y = map(float, turned.removeprefix("translate(").partition(")")[0].split())
        found.append(Lettering(text, size, x, y, is_bold=is_bold, is_upright=turned is not None))
    return found
