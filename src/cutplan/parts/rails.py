"""Rails and other lines that part a wall by height, read from a scenario: the tables ``[[rail]]``."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from msgspec import Struct

from cutplan.errors import LengthError
from cutplan.lengths import ZERO, Length, read_length
from cutplan.parts.clipping import held_within
from cutplan.room.profile import Profile
from cutplan.room.walls import Room, Wall
from cutplan.scenario.tables import Table, describe, reject_repeats

RAIL_KEYS: Final = ("name", "foot", "height")
_BY_AN_EDGE: Final = re.compile(r"(?P<by>.+?)\s+(?P<way>above|below)\s+(?:the\s+)?(?P<edge>foot|top)", re.DOTALL)
_EXAMPLES: Final = 'write for example "900 mm", "900 mm above foot" along a stair, or "300 mm below top"'


class Line(Struct, frozen=True):
    """A line along walls, at a height above the floor line.

    With ``edge``, ``"foot"`` or ``"top"``, it rises and falls with that edge of the wall: ``height`` is then measured
    plumb, above the foot or below the top.
    """

    height: Length
    edge: str | None = None

    def on(self, wall: Wall) -> Profile:
        """Return the line along a wall."""
        if self.edge is None:
            return Profile.at_height(self.height)
        return raised(wall.foot, self.height) if self.edge == "foot" else raised(wall.top, -self.height)


def raised(line: Profile, by: Length) -> Profile:
    """Return a line so much higher; never below the floor line."""
    return Profile(tuple((along, max(height + by, ZERO)) for along, height in line.points))


class Rail(Struct, frozen=True):
    """What parts a wall: a rail, which is not papered, or where two papers meet, which has no height.

    ``height`` is from its lower edge, its ``foot``, to its upper one, measured plumb.
    """

    name: str
    foot: Line
    height: Length

    def edges(self, wall: Wall) -> tuple[Profile, Profile]:
        """Return its lower and its upper edge along a wall, as far as they lie on it."""
        foot = self.foot.on(wall)
        return held_within(wall, foot), held_within(wall, raised(foot, self.height))


def read_line(table: Table, key: str) -> Line | None:
    """Return a line along the walls: a height above the floor line, or above their foot or below their top."""
    value = table.raw(key)
    if not isinstance(value, str):
        height = table.length(key, zero=True)
        return None if height is None else Line(height)
    try:
        line = line_of(value, table.reading.units)
    except LengthError as error:
        table.reject(key, str(error))
        return None
    return None if table.taken_in(key, line.height, describe(value)) is None else line


def line_of(text: str, units: str | None) -> Line:
    """Return the line that a text tells, bare numbers in ``units``; LengthError for one that tells none."""
    found = _BY_AN_EDGE.fullmatch(text.strip())
    if found is None:
        return Line(read_length(text, units))
    if (found["way"], found["edge"]) not in (("above", "foot"), ("below", "top")):
        raise LengthError(f"nothing hangs {found['way']} the {found['edge']} of a wall; {_EXAMPLES}")
    return Line(read_length(found["by"], units), found["edge"])


def read_rails(root: Table, room: Room | None, others: Sequence[tuple[Table, Rail]] = ()) -> list[Rail] | None:
    """Return the rails from the lowest to the highest, with ``others`` that part the walls as they do.

    Those that cross one another are reported. None where one is at fault; in the order of the file where the room is
    None.
    """
    tables = root.entries("rail", RAIL_KEYS, required=False, named_by="name")
    rails = list(others)
    for table in tables:
        name, foot = table.text("name"), read_line(table, "foot")
        height = table.length("height", required=False, zero=True) or ZERO
        if name is not None and foot is not None:
            rails.append((table, Rail(name, foot, height)))
    reject_repeats([(table, rail.name) for table, rail in rails], "name")
    if len(rails) < len(tables) + len(others):
        return None
    if room is None:
        return [rail for _, rail in rails]
    rails.sort(key=lambda pair: heights(room, pair[1]))
    for (_, lower), (table, upper) in pairwise(rails):
        if wall := _crossed(room, lower, upper):
            what = f"lies lower than the upper edge of {describe(lower.name)} on {describe(wall)}"
            table.reject("foot", f"{what}; rails do not cross, so measure both again")
    return [rail for _, rail in rails]


def heights(room: Room, rail: Rail) -> list[Length]:
    """Return how high a rail lies on each wall, both ends together: no rail is higher on one and lower on another."""
    feet = [(rail.edges(wall)[0], wall.width) for wall in room.walls]
    return [foot.just_right_of(ZERO) + foot.just_left_of(width) for foot, width in feet]


def _crossed(room: Room, lower: Rail, upper: Rail) -> str | None:
    """Return the first wall on which the upper rail does not lie clear above the lower one; None for none."""
    for wall in room.walls:
        under, over = lower.edges(wall)[1], upper.edges(wall)[0]
        marks = sorted({ZERO, wall.width, *under.alongs, *over.alongs})
        if any(
            over.just_right_of(left) < under.just_right_of(left) or over.just_left_of(right) < under.just_left_of(right)
            for left, right in pairwise(marks)
        ):
            return wall.name
    return None


def stretches(rails: Sequence[Rail]) -> list[tuple[Rail | None, Rail | None]]:
    """Return what the rails part a wall into, from the top down: the rail below each stretch and the one above it."""
    ends = [None, *rails, None]
    return list(reversed(list(pairwise(ends))))
