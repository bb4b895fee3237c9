"""Notices: motifs cut, joints too near, narrow strips, reveals and safety, in whole sentences."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Final

import pytest
from msgspec.structs import replace

from cutplan.parts.read_parts import read_scenario
from cutplan.room.walls import Corner, CornerKind, Fitting, FittingKind
from cutplan.setting_out import (
    CutMotif,
    Edge,
    FinishAt,
    NoticeKind,
    Puts,
    SettingOut,
    Way,
    motifs_cut,
    notices_of,
    set_out,
)
from small_rooms import closed, opening, paper, run, start, wall

TALL_MOTIF = replace(paper(), motif_above=Fraction(120), motif_below=Fraction(140))
"""Its motif reaches 120 above its datum and 140 below it; the repeat is 600."""


def said(setting_out: SettingOut, kind: NoticeKind) -> list[str]:
    """Return the sentences of one kind of notice."""
    return [notice.what.read() for notice in notices_of(setting_out) if notice.kind is kind]


@pytest.mark.parametrize(
    ("height", "first_motif", "cut"),
    [
        # Datums at 180 and 780; at 1380 the motif would begin 60 below a foot at 1200. Nothing is cut.
        (1200, 180, []),
        # At 1260 it would begin: nothing of it shows.
        (1260, 180, []),
        # Its top 120 above a datum at 50: 70 is cut off, 190 of 260 shows.
        (500, 50, [CutMotif(Edge.TOP, Fraction(70), Fraction(190))]),
        # The datum above the top, at 500 - 600 = -100, still shows 40 of its lower part.
        (900, 500, [CutMotif(Edge.TOP, Fraction(220), Fraction(40))]),
        # Datums at 200 and 800; a foot at 900 cuts 800 + 140 - 900 = 40 off.
        (900, 200, [CutMotif(Edge.FOOT, Fraction(40), Fraction(220))]),
        # The datum below a foot at 700, at 800, shows 800 - 120 to 700: 20 of its upper part.
        (700, 200, [CutMotif(Edge.FOOT, Fraction(240), Fraction(20))]),
        # A piece lower than the motif cuts it at both ends.
        (
            100,
            50,
            [CutMotif(Edge.TOP, Fraction(70), Fraction(190)), CutMotif(Edge.FOOT, Fraction(90), Fraction(170))],
        ),
    ],
)
def test_motifs_cut_by_the_edges_of_a_piece(height: int, first_motif: int, cut: list[CutMotif]) -> None:
    """What an edge cuts off a motif, and what still shows, follow from its datum."""
    assert list(motifs_cut(TALL_MOTIF, Fraction(height), Fraction(first_motif))) == cut


def test_paper_without_a_motif_cuts_none() -> None:
    """A free match, or a motif of no height, is never cut."""
    assert list(motifs_cut(paper(), Fraction(900), Fraction(500))) == []
    free = replace(paper(repeat=0), motif_above=Fraction(100))
    assert list(motifs_cut(free, Fraction(900), Fraction(0))) == []


def test_motifs_cut_are_told_by_class_of_column() -> None:
    """On a half-drop every other column is cut at the top: datums at 180 and 480 + 600k below the ceiling.

    In columns 1 and 3 the motif at 480 - 600 = -120 shows 20 below the ceiling. The foot at 2400 cuts there 20 off the
    motif at 2280; in columns 0 and 2 it shows none of the one at 2580, which begins 60 below it.
    """
    half_drop = replace(paper(300), motif_above=Fraction(120), motif_below=Fraction(140))
    setting_out = set_out(run(wall(2000)), half_drop, start(0, drop=180))

    assert said(setting_out, NoticeKind.MOTIF) == [
        "the ceiling cuts 240 mm off a motif, of which 20 mm shows, in columns 1 and 3",
        "the foot cuts 20 mm off a motif, of which 240 mm shows, in columns 1 and 3",
    ]


def test_strip_too_narrow_to_show_the_motif_cuts_none() -> None:
    """The last 100 of a wall show no motif that stands 250 from the strip's left."""
    motif = replace(paper(motif=250), motif_above=Fraction(120), motif_below=Fraction(140))
    setting_out = set_out(run(wall(600)), motif, start(0, drop=50))

    # Datums at 50 + 600k: the ceiling cuts 70 off, the foot at 2400 shows none of the one at 2450 but its upper 70.
    assert said(setting_out, NoticeKind.MOTIF) == [
        "the ceiling cuts 70 mm off a motif, of which 190 mm shows, in column 0",
        "the foot cuts 190 mm off a motif, of which 70 mm shows, in column 0",
    ]


LOFT: Final = Path(__file__).parent.parent / "scenarios" / "loft.toml"


def test_motif_under_a_slope_is_cut_where_it_is_across_the_strip() -> None:
    """Each motif's middle is 130 from the left of its strip; datums hang at 2380 - 80 - 530 k: 2300, 1770, 1240, 710.

    The gable falls 1230 in 1400 from 3000. Column 2 begins at 2995: at 3125 the slope is at 2270.2, and 2300 + 60 is
    89.8 higher. Column 3 begins at 3525: at 3655 it is at 1804.5, and 1770 + 60 is 25.5 higher. The raking wall falls
    1150 in 1900. Column 6 begins at 695: at 825 its top is at 650.7, and 710 + 60 is 119.3 higher, of 60 + 75 in all.
    """
    setting_out = read_scenario(LOFT).setting_out
    assert setting_out is not None

    assert said(setting_out, NoticeKind.MOTIF) == [
        "the ceiling cuts 25 mm off a motif, of which 110 mm shows, in column 3",
        "the ceiling cuts 90 mm off a motif, of which 45 mm shows, in column 2",
        "the ceiling cuts 119 mm off a motif, of which 16 mm shows, in column 6",
    ]


def test_motif_of_a_told_width_is_cut_by_the_lowest_of_the_slope_over_it() -> None:
    """The top falls 500 in 1000 from 2400; datums hang 100 and 700 below 2400, and the motif reaches 60 up and 75 down.

    The motif is 200 wide about 200: in column 0 the top over it falls from 2350 at 100 to 2250 at 300, and 2300 + 60 is
    110 above the lower, while 2350 - (2300 - 75) = 125 of it shows below the higher. In column 1, from 500, over 600 to
    800, it falls from 2100 to 2000, and the motif at 2300 - 600 = 1700 is whole. By its middle alone, where the top is
    at 2300, 60 would be lost.
    """
    middle = replace(paper(motif=200), motif_above=Fraction(60), motif_below=Fraction(75))
    wide = replace(middle, motif_width=Fraction(200))
    slope = run(wall(1000, top=[(0, 2400), (1000, 1900)]))

    assert said(set_out(slope, middle, start(0, drop=100)), NoticeKind.MOTIF) == [
        "the ceiling cuts 60 mm off a motif, of which 75 mm shows, in column 0"
    ]
    assert said(set_out(slope, wide, start(0, drop=100)), NoticeKind.MOTIF) == [
        "the ceiling cuts up to 110 mm off a motif, of which up to 125 mm shows, in column 0"
    ]


def test_motif_over_a_stair_is_cut_where_it_is_across_the_strip() -> None:
    """The foot climbs 600 in 1000. Datums hang at 2400 - 150 - 600 k: the last above the floor line is at 450.

    In column 1, from 500, the motif is at 600, where the foot is at 360; the motif reaches down to 450 - 150 = 300. In
    column 0 it is at 100, where the foot is at 60, and is whole.
    """
    motif = replace(paper(motif=100), motif_above=Fraction(120), motif_below=Fraction(150))
    stair = wall(1000, foot=[(0, 0), (1000, 600)])

    assert said(set_out(run(stair), motif, start(0, drop=150)), NoticeKind.MOTIF) == [
        "the foot cuts 60 mm off a motif, of which 210 mm shows, in column 1"
    ]


def test_motif_over_a_door_is_not_cut_by_the_floor() -> None:
    """Column 0 has a door from 100 on, and its motif, at 250, over it: the floor cuts nothing off the datum at 100.

    Without the door that motif would reach down to 100 - 140, 40 below the floor line.
    """
    motif = replace(paper(motif=250), motif_above=Fraction(120), motif_below=Fraction(140))
    with_door, without = (
        said(set_out(run(wall(500, *openings)), motif, start(0, drop=500)), NoticeKind.MOTIF)
        for openings in ((opening(100, 500, 0, 2000),), ())
    )

    assert [told for told in with_door if "foot" in told] == []
    assert [told for told in without if "foot" in told] == [
        "the foot cuts 40 mm off a motif, of which 220 mm shows, in column 0"
    ]


@pytest.mark.parametrize(("left", "right", "is_cut"), [(200, 300, False), (201, 300, True), (200, 299, True)])
def test_motif_wholly_over_an_opening_up_to_the_ceiling_is_not_cut_by_it(
    left: int, right: int, *, is_cut: bool
) -> None:
    """A motif from 200 to 300 falls out with an opening as wide that reaches the ceiling; 1 mm of it left is cut."""
    wide = replace(paper(motif=250), motif_above=Fraction(120), motif_width=Fraction(100))
    setting_out = set_out(run(wall(500, opening(left, right, 1000, 2400))), wide, start(0, drop=100))

    told = said(setting_out, NoticeKind.MOTIF)
    assert any(sentence.startswith("the ceiling cuts 20 mm off") for sentence in told) == is_cut


def test_joint_within_50_of_an_opening_is_told() -> None:
    """A joint at 500 is 30 from a door that begins at 530; one at 1000 is clear of it."""
    setting_out = set_out(run(wall(1600, opening(530, 1300, 0, 2000))), paper(), start(0))

    assert said(setting_out, NoticeKind.JOINT) == [
        "the joint between columns 0 and 1 on wall, 500 mm from its left, is only 30 mm from door"
    ]


def test_joint_50_from_an_opening_is_not_told_and_one_nearer_names_the_nearest() -> None:
    """The joint at 500 lies 50 from one door and 49 from the other, that on its right."""
    doors = (opening(100, 450, 0, 2000, name="left"), opening(549, 900, 0, 2000, name="right"))

    assert said(set_out(run(wall(2000, doors[0])), paper(), start(0)), NoticeKind.JOINT) == []
    (told,) = said(set_out(run(wall(2000, *doors)), paper(), start(0)), NoticeKind.JOINT)
    assert told.endswith("is only 49 mm from right")


@pytest.mark.parametrize(
    ("at", "where"), [(499, "clear of openings"), (500, "at door"), (900, "at door"), (901, "clear of openings")]
)
def test_closing_joint_on_the_side_of_a_door_is_at_the_door(at: int, where: str) -> None:
    """Either side of a door from 500 to 900 still counts as the door, 1 mm further does not."""
    room = closed(wall(2000), wall(2000), wall(2000, opening(500, 900, 0, 2000)), wall(2000))
    setting_out = set_out(room, paper(), start(1000, Puts.MIDDLE), finish=FinishAt(2, Fraction(at)))

    (told,) = said(setting_out, NoticeKind.CLOSING)
    assert f"from its left, {where}; " in told


def test_joint_near_or_in_a_corner_is_told() -> None:
    """Joints 35 before a corner, and one in it, are told apart; the ends of the run are no corners."""
    near = set_out(run(wall(535), wall(1000)), paper(), start(0))
    in_it = set_out(run(wall(500), wall(480)), paper(), start(0))
    on_it = set_out(run(wall(500), wall(500), corner=Corner.usual(CornerKind.EXTERNAL)), paper(), start(0))

    assert said(near, NoticeKind.JOINT) == [
        "the joint between columns 0 and 1 on wall, 500 mm from its left, is only 35 mm from the corner"
    ]
    assert said(in_it, NoticeKind.JOINT) == [
        ("the joint between columns 0 and 1 lies in the corner at the left of wall: column 1 is turned 20 mm round it")
    ]
    assert said(on_it, NoticeKind.JOINT) == [
        (
            "the joint between columns 0 and 1 lies in the corner at the left of wall, and nothing is turned round it: "
            "move the start, for the corner may be out of plumb"
        )
    ]


def test_narrow_strip_is_told_for_each_part_hung_by_itself() -> None:
    """A part of 30 before a corner is told; the rest beyond it, 500 - 30 - 20 wide, is not."""
    setting_out = set_out(run(wall(530), wall(450)), paper(), start(0))

    assert said(setting_out, NoticeKind.NARROW) == [
        "column 1 shows only 30 mm on wall: a narrow strip is hard to hang straight"
    ]


def test_closing_joint_is_told_with_what_is_out() -> None:
    """The room worked out by hand that closes in a corner: 60 twice, 200 lower."""
    setting_out = set_out(closed(*[wall(1000)] * 4), paper(200), start(250), finish=FinishAt(2, Fraction(1000)))

    assert said(setting_out, NoticeKind.CLOSING) == [
        (
            "the closing joint, between columns 5 and −3, falls on wall, 0 mm from its left, in the corner; "
            "the print on its right sits 200 mm lower, and 60 mm of it is repeated sideways"
        )
    ]


@pytest.mark.parametrize(
    ("wide", "out"),
    [
        # 2000 round is four strips of 500, and the print is straight.
        ((500, 500, 500, 500), "the print meets there"),
        # 1900 round: of the fourth strip 100 is cut off, so that much of the print is missing.
        ((500, 500, 500, 400), "the print on its right has 100 mm missing sideways"),
        # 2100 round: the fifth strip shows 100 before the first begins anew, so that much comes twice.
        ((500, 500, 500, 600), "the print on its right has 100 mm repeated sideways"),
    ],
)
def test_closing_joint_that_meets_is_said_to_meet(wide: tuple[int, ...], out: str) -> None:
    """With true corners nothing is lost on the way round: only what the strips are over or short is told."""
    room = closed(*map(wall, wide), corner=Corner.usual(CornerKind.EXTERNAL, is_true=True))
    (told,) = said(set_out(room, paper(), start(0), Way.RIGHT), NoticeKind.CLOSING)

    assert told.rpartition("; ")[2] == out


def test_corner_at_the_side_of_a_window_is_not_called_a_joint() -> None:
    """A window that begins in the corner at the left of a wall has the corner there, not a joint."""
    window = opening(0, 700, 900, 2100, reveal=100, kind="window")
    setting_out = set_out(run(wall(1000), wall(2000, window, name="next")), paper(), start(250))

    assert said(setting_out, NoticeKind.REVEAL)[0] == (
        "the left side of the reveal of window on next is 100 mm deep, and the corner lies on it, "
        "so that no strip can be turned in: cut a strip for it"
    )


def test_reveal_notices_name_bare_sides_and_patches() -> None:
    """The window worked out by hand with a reveal: a patch at its left, and nothing turned in at its right."""
    window = opening(400, 1500, 900, 2100, reveal=100, kind="window")
    setting_out = set_out(run(wall(2000, window)), paper(), start(0))

    assert said(setting_out, NoticeKind.REVEAL) == [
        (
            "at the left end of the head of window on wall, column 0 is turned in and cannot go under: "
            "patch of 1, 100 mm wide and 100 mm deep, goes there"
        ),
        (
            "the right side of the reveal of window on wall is 100 mm deep, and a joint lies on it, "
            "so that no strip can be turned in: cut a strip for it"
        ),
    ]


def test_reveal_deeper_than_the_strip_reaches_is_told() -> None:
    """A column that reaches 60 into a window can turn in 60 of a reveal of 100."""
    window = opening(440, 1500, 900, 2100, reveal=100, kind="window")
    setting_out = set_out(run(wall(2000, window)), paper(), start(0))

    assert said(setting_out, NoticeKind.REVEAL)[0] == (
        "the left side of the reveal of window on wall is 100 mm deep, but column 0 can turn in only 60 mm"
    )


def test_fittings_and_foil_are_cautioned_about() -> None:
    """Wires call for a dead supply and a licensed person, foil for trimming short; a radiator for cooling."""
    switch = Fitting("switch", FittingKind.SWITCH, Fraction(300))
    radiator = Fitting("radiator", FittingKind.RADIATOR, Fraction(600), Fraction(300))
    room = run(replace(wall(1000), fittings=(switch, radiator)))

    foil, heat = said(set_out(room, replace(paper(), is_foil=True), start(0)), NoticeKind.SAFETY)

    assert foil == (
        "switch on wall, 300 mm from its left: isolate the supply and prove it dead before loosening it or working "
        "round bare wires; no wet paste near it live; leave wiring to a licensed person; "
        "foil paper conducts: trim it short of the fitting"
    )
    assert heat == (
        "radiator on wall, 600 mm from its left, is in the way of columns there: "
        "let a radiator cool, and take down what comes down before pasting"
    )


def test_fitting_above_the_paper_hides_none_of_those_in_its_way() -> None:
    """A rail at 2400, over paper that ends there, is passed over; the switch listed after it is told."""
    rail = Fitting("rail", FittingKind.RADIATOR, Fraction(0), Fraction(900), Fraction(2400), Fraction(40))
    switch = Fitting("switch", FittingKind.SWITCH, Fraction(300))
    room = run(replace(wall(1000), fittings=(rail, switch)))

    (told,) = said(set_out(room, paper(), start(0)), NoticeKind.SAFETY)
    assert told.startswith("switch on wall")


def test_lengths_of_3_m_are_hung_by_one_and_longer_ones_by_two() -> None:
    """A wall of 3 m calls for nobody else, one of 3.001 m does."""
    alone, together = (
        said(set_out(run(wall(1000, top=top)), paper(), start(0)), NoticeKind.SAFETY) for top in (3000, 3001)
    )

    assert alone == []
    assert together == ["the longest length hangs 3001 mm high: two people to it, and a working platform"]


def test_every_column_that_cuts_a_motif_alike_is_listed() -> None:
    """On a straight match all four columns are cut alike; the motif at 2500 begins 20 above the foot."""
    alike = replace(paper(), motif_above=Fraction(120))
    setting_out = set_out(run(wall(2000)), alike, start(0, drop=100))

    assert said(setting_out, NoticeKind.MOTIF) == [
        "the ceiling cuts 20 mm off a motif, of which 100 mm shows, in columns 0, 1, 2 and 3",
        "the foot cuts 100 mm off a motif, of which 20 mm shows, in columns 0, 1, 2 and 3",
    ]


def test_stairs_and_long_lengths_are_cautioned_about() -> None:
    """A rising foot means stairs, and a length over 3 m two people."""
    stair = wall(1000, top=5000, foot=[(0, 0), (1000, 600)])

    assert said(set_out(run(stair), paper(), start(0)), NoticeKind.SAFETY) == [
        (
            "the foot of wall rises: over stairs work from a proper platform, not from a ladder, "
            "and the longest length is hung first"
        ),
        "the longest length hangs 5000 mm high: two people to it, and a working platform",
    ]


def test_longest_length_is_not_said_to_be_hung_first_where_it_is_not() -> None:
    """Begun at the upper end of the stair, to the left, the longest length at its foot is hung last."""
    stair = wall(1000, top=5000, foot=[(0, 0), (1000, 600)])
    about_stairs = said(set_out(run(stair), paper(), start(1000), Way.LEFT), NoticeKind.SAFETY)[0]

    assert about_stairs == "the foot of wall rises: over stairs work from a proper platform, not from a ladder"


@pytest.mark.parametrize(
    ("built", "textured", "about"),
    [
        (1955, False, ["a house of 1955 may have lead"]),
        (1955, True, ["a house of 1955 may have lead", "a textured coating put up before 2000 may hold asbestos"]),
        (None, True, ["a textured coating put up before 2000 may hold asbestos"]),
        (1999, True, ["a textured coating put up before 2000 may hold asbestos"]),
        (2000, True, []),
        (1984, False, ["a house of 1984 may have lead"]),
        (1985, False, []),
        (None, False, []),
    ],
)
def test_old_houses_are_cautioned_about(built: int | None, about: list[str], *, textured: bool) -> None:
    """Lead is to be thought of before the middle 1980s, asbestos in textured coatings before 2000."""
    room = replace(run(wall(1000)), built=built, textured=textured)
    sentences = said(set_out(room, paper(), start(0)), NoticeKind.SAFETY)

    assert [sentence.startswith(words) for sentence, words in zip(sentences, about, strict=True)] == [True] * len(about)


def test_measures_for_choosing_a_start() -> None:
    """The narrowest strip and the nearest joint are the figures by which starts are compared.

    A strip centred on 1000 leaves 250 at both ends; its joints at 750 and 1250 are 50 and 450 from a door that begins
    at 800 and ends at 1700.
    """
    setting_out = set_out(run(wall(2000, opening(800, 1700, 0, 2000))), paper(), start(1000, Puts.MIDDLE))

    assert setting_out.narrowest_strip == 250
    assert setting_out.nearest_joint == 50
    assert set_out(run(wall(2000)), paper(), start(0)).nearest_joint is None
