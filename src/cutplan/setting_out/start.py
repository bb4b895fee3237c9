"""The start: where hanging begins, what is put there, and which way round it goes."""

from __future__ import annotations

from collections.abc import Iterator
from enum import Enum
from math import ceil
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from cutplan.lengths import ZERO, Length
from cutplan.paper.stock import Paper
from cutplan.room.finding import Finding, finding
from cutplan.room.walls import Room, Wall

MOST_STRIPS: Final = 1_000
"""No room takes more: a longer run is a slip of the unit."""


class Puts(Enum):
    """What is put on the point of the start."""

    MOTIF = "motif"
    JOINT = "joint"
    MIDDLE = "middle"


class Way(Enum):
    """Which way round the room is hung from the start."""

    RIGHT_THEN_LEFT = "right then left"
    LEFT_THEN_RIGHT = "left then right"
    RIGHT = "right"
    LEFT = "left"

    @property
    def is_right_first(self) -> bool:
        """True when the strip after the first is hung on its right."""
        return self in (Way.RIGHT_THEN_LEFT, Way.RIGHT)

    @property
    def is_one_way(self) -> bool:
        """True when hanging never goes back to the start to work the other way."""
        return self in (Way.RIGHT, Way.LEFT)


class MotifAt(Struct, frozen=True):
    """What the print is hung by: the height of a motif above the floor line, and in which words it was told, if any."""

    height: Length
    told: str = ""


class Start(Struct, frozen=True):
    """Where hanging begins."""

    wall: int
    """Wall, counted from 0."""
    at: Length
    """The point, from that wall's left edge."""
    puts: Puts
    """What lies on the point: the motif of the first strip, its middle, or a joint. Of the two strips at that joint,
    the first hung is the one on the side to which hanging goes first."""
    motif_drop: Length
    """How far below the level line the first strip has a motif datum."""
    motif_at: MotifAt | None = None
    """The height that the customer pointed at; where it is told :func:`hung_at` works out ``motif_drop``."""


def hung_at(room: Room, paper: Paper, start: Start) -> Start:
    """Return the start with the motif drop that puts a motif at the height told; as it is where none is told."""
    if start.motif_at is None or not 0 <= start.wall < len(room.walls):
        return start
    drop = paper.pattern.within_repeat(level_line_of(room, start) - start.motif_at.height)
    return replace(start, motif_drop=drop)


def centred_set(paper: Paper, wall: Wall, number: int, motif_drop: Length) -> tuple[Start, Way]:
    """Return the start that centres the fewest sheets of a numbered set on a wall: the excess comes off the outer two.

    They are hung from the left, the first to a joint: a wall 10 in narrower than seven sheets of 18 in has it 13 in
    from its left (a maker's instruction sheet).
    """
    width = paper.wet_width or ZERO
    sheets = max(ceil((wall.width - 2 * paper.outer_reach) / width), 1)
    if sheets == 1:
        return Start(number, wall.width / 2, Puts.MIDDLE, motif_drop), Way.RIGHT_THEN_LEFT
    excess = sheets * width - wall.width
    return Start(number, width - excess / 2, Puts.JOINT, motif_drop), Way.LEFT_THEN_RIGHT


def start_findings(room: Room, paper: Paper, start: Start) -> Iterator[Finding]:
    """Yield what is wrong with a start in this room with this paper."""
    if paper.wet_width is None:
        text = "is needed to set out a room; it is printed on the label, or measure the strip across"
        yield finding(("paper", "roll_width"), text)
    else:
        if start.puts is Puts.MOTIF:
            yield from _motif_findings(paper)
        if room.length > MOST_STRIPS * paper.wet_width:
            text = "are {} long in all, more than {} strips of {}; is the unit right?"
            yield finding(("wall",), text, room.length, str(MOST_STRIPS), paper.wet_width)
    if not 0 <= start.wall < len(room.walls):
        yield finding(("start", "wall"), "is not a wall of this room")
    else:
        yield from (found.below("start") for found in point_findings(room.walls[start.wall], start.at))
    if paper.sheets is not None and room.closes:
        text = "a set of numbered sheets begins and ends; leave closes out, and list the walls from where it begins"
        yield finding(("room", "closes"), text)
    if start.motif_drop < 0:
        text = "cannot be less than 0, not {}; it is measured down from the level line"
        yield finding(("start", "motif_drop"), text, start.motif_drop)


def point_findings(wall: Wall, at: Length) -> Iterator[Finding]:
    """Yield what is wrong with a point, ``at`` from the left edge of ``wall``."""
    if not 0 <= at <= wall.width:
        yield finding(("at",), "is off the wall: {} from the left of {}, which is {} wide", at, wall.name, wall.width)


def _motif_findings(paper: Paper) -> Iterator[Finding]:
    width = paper.roll_width
    if paper.motif_from_left is None:
        text = "is needed to put the motif on the start; measure it, or put a joint or the middle there"
        yield finding(("paper", "motif_from_left"), text)
    elif width is not None and not 0 <= paper.motif_from_left <= width:
        text = "must lie within the strip's width of {}, not at {}"
        yield finding(("paper", "motif_from_left"), text, width, paper.motif_from_left)


def left_of_start(paper: Paper, start: Start, *, right_first: bool) -> Length:
    """Return how much of the first strip's wet width lies to the left of the start.

    Call it for a start without findings only.
    """
    width = paper.wet_width or ZERO
    if start.puts is Puts.MIDDLE:
        return width / 2
    if start.puts is Puts.MOTIF:
        return paper.wet_motif_from_left or ZERO
    return ZERO if right_first else width


def level_line_of(room: Room, start: Start) -> Length:
    """Return the height of the level line: the room's own, else of the wall's top at the start, as paper takes it."""
    if room.level_line is not None:
        return room.level_line
    top = room.walls[start.wall].top
    return top.taken_up(max(top.just_left_of(start.at), top.just_right_of(start.at)))
