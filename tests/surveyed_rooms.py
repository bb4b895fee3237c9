"""Hypothesis strategies for rooms of any shape, papers, starts, ways and finishes."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from hypothesis import strategies as st
from msgspec import Struct

from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Paper
from cutplan.room.profile import Profile
from cutplan.room.walls import Corner, CornerKind, Opening, OpeningKind, Room, Wall
from cutplan.setting_out import FinishAt, FinishOver, Puts, Start, Way
from strategies import PARTS

if TYPE_CHECKING:
    from cutplan.setting_out import Finish

_INCH = Fraction(127, 5)


class Survey(Struct, frozen=True):
    """Everything that a setting out is made from."""

    room: Room
    paper: Paper
    start: Start
    way: Way
    finish: Finish | None


@st.composite
def surveys(draw: st.DrawFn) -> Survey:
    """Return a survey, of a room or an open run; some of them cannot be set out and are refused."""
    closes = draw(st.booleans())
    walls = tuple(draw(walls_named(f"wall {number}")) for number in range(draw(st.integers(3 if closes else 1, 6))))
    corners = tuple(draw(corners_of_any_kind()) for _ in range(len(walls) - (not closes)))
    level_line = draw(st.one_of(st.none(), st.integers(2000, 3000).map(Fraction)))
    start_wall = draw(st.integers(0, len(walls) - 1))
    start = Start(
        start_wall,
        draw(parts_of(walls[start_wall].width)),
        draw(st.sampled_from(Puts)),
        draw(st.integers(0, 900).map(Fraction)),
    )
    way = draw(st.sampled_from(Way)) if closes else draw(st.sampled_from([Way.RIGHT_THEN_LEFT, Way.LEFT_THEN_RIGHT]))
    finish = draw(st.one_of(st.none(), finishes(walls))) if closes and not way.is_one_way else None
    return Survey(Room(walls, corners, closes, level_line), draw(papers()), start, way, finish)


def parts_of(width: Fraction) -> st.SearchStrategy[Fraction]:
    """Return points along a wall, its ends and middle among them."""
    return st.integers(0, 12).map(lambda part: width * part / 12)


@st.composite
def walls_named(draw: st.DrawFn, name: str) -> Wall:
    """Return a wall from 100 mm to 4 m, level, sloping or stepped at its top and foot, with 0 to 2 openings."""
    width = draw(st.one_of(st.integers(100, 4000).map(Fraction), st.integers(4, 150).map(lambda n: n * _INCH)))
    top = draw(profiles(width, 2300, 2700))
    foot = draw(profiles(width, 0, 400))
    return Wall(name, width, top, foot, tuple(draw(openings(width))))


@st.composite
def profiles(draw: st.DrawFn, width: Fraction, lowest: int, highest: int) -> Profile:
    """Return a level line, a slope, a step or a bent line between two heights."""
    heights = st.integers(lowest, highest).map(Fraction)
    if draw(st.booleans()):
        return Profile.at_height(draw(heights))
    alongs = sorted(draw(st.lists(parts_of(width), max_size=3)))
    return Profile(tuple((along, draw(heights)) for along in (Fraction(0), *alongs, width)))


@st.composite
def openings(draw: st.DrawFn, width: Fraction) -> list[Opening]:
    """Return up to two openings side by side, below every ceiling."""
    sides = sorted(draw(st.lists(st.integers(0, 24), min_size=2, max_size=4, unique=True)))
    found: list[Opening] = []
    for number, (left, right) in enumerate(zip(sides[::2], sides[1::2], strict=False)):
        if draw(st.booleans()):
            foot, head = draw(st.sampled_from([(0, 2000), (900, 2050), (500, 2300)]))
            kind = OpeningKind.DOOR if foot == 0 else OpeningKind.WINDOW
            reveal = draw(st.sampled_from([0, 0, 120]))
            edges = (width * left / 24, width * (right - left) / 24, Fraction(foot), Fraction(head - foot))
            found.append(Opening(f"opening {number}", kind, *edges, Fraction(reveal)))
    return found


@st.composite
def corners_of_any_kind(draw: st.DrawFn) -> Corner:
    """Return an internal or external corner, turned by any amount, lapped or not, or true."""
    turn = Fraction(draw(st.integers(0, 50)))
    return draw(
        st.sampled_from(
            [
                Corner.usual(CornerKind.INTERNAL),
                Corner.usual(CornerKind.INTERNAL, turn),
                Corner.usual(CornerKind.EXTERNAL),
                Corner.usual(CornerKind.EXTERNAL, turn, turn / 3),
                Corner.usual(CornerKind.EXTERNAL, is_true=True),
            ]
        )
    )


@st.composite
def papers(draw: st.DrawFn) -> Paper:
    """Return a paper of any match and usual width, dry or growing."""
    repeat = Fraction(draw(st.sampled_from([0, 320, 530, 640])))
    width = Fraction(draw(st.integers(450, 1000)))
    return Paper(
        "invented",
        Pattern(repeat, repeat * draw(st.sampled_from(PARTS))),
        Fraction(10_050),
        width,
        motif_from_left=width * draw(st.integers(0, 4)) / 4,
        wet_growth=draw(st.sampled_from([Fraction(0), Fraction(3, 200)])),
    )


@st.composite
def finishes(draw: st.DrawFn, walls: tuple[Wall, ...]) -> Finish:
    """Return a finish at a point, or over an opening."""
    wall = draw(st.integers(0, len(walls) - 1))
    is_over = draw(st.booleans())
    if is_over and walls[wall].openings:
        return FinishOver(wall, draw(st.integers(0, len(walls[wall].openings) - 1)))
    return FinishAt(wall, draw(parts_of(walls[wall].width)))
