"""A lining as its document states it: what the scenario asks of it, and where each length hangs."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from msgspec import Struct

from cutplan.check.stated.fields import NOTHING, Table
from cutplan.check.survey.surveyed import Wall

SHORT, END, CLEAR = Fraction(3), Fraction(25), Fraction(50)
"""What holds where the scenario says nothing, mm: how far lining stops short, how much longer it is cut at an end, and
how near its joints may come to the paper's."""


class Lined(NamedTuple):
    """As much of a wall, counted from 0, as one length covers: along it, and above the floor line."""

    wall: int
    left: Fraction
    right: Fraction
    foot: Fraction
    top: Fraction


class StatedLength(Struct, frozen=True):
    """One length: its drop, its course or strip, and what it covers; or the wall, opening and side of a reveal."""

    drop: str
    course: int
    panels: tuple[Lined, ...]
    reveal: tuple[int, str, str] | None


class StatedClash(NamedTuple):
    """A joint of the lining said to be near the paper's: the wall, and both from its left edge."""

    wall: int
    at: Fraction
    paper_at: Fraction


class StatedLining(Struct, frozen=True):
    """What is asked of a lining, and what is said of it; ``patches`` are the parts of walls that alone are lined."""

    roll: tuple[Fraction, Fraction]
    is_horizontal: bool
    goes_round: bool
    short: Fraction
    end: Fraction
    clear: Fraction
    patches: tuple[Lined, ...]
    lengths: tuple[StatedLength, ...]
    clashes: tuple[StatedClash, ...]


def read_lining(asked: Table, said: Table, walls: Sequence[Wall]) -> StatedLining | None:
    """Return a lining from what the scenario asks and what its part says; None, with faults, for an unreadable one."""
    faults = len(asked.faults)
    numbers = {wall.name: number for number, wall in enumerate(walls)}

    def panel(table: Table) -> Lined:
        return Lined(table.wall(numbers), *table.exact("from", "to", "foot", "top"))

    def one_length(table: Table) -> StatedLength:
        inside = table.table("reveal")
        where = None if inside is None else (inside.wall(numbers), inside.text("opening"), inside.text("side"))
        return StatedLength(table.label("drop"), table.whole("course") or 0, table.each("panels", panel), where)

    def patch(table: Table) -> Lined:
        wall = walls[table.wall(numbers)]
        left, foot = table.length("left", NOTHING), table.length("foot", NOTHING)
        right = left + table.length("width", wall.width - left)
        top = foot + table.length("height", wall.top.span(NOTHING, wall.width)[1])
        return Lined(numbers[wall.name], left, right, foot, top)

    asked.one_of("at_openings", ("run on", "broken", "least waste"))
    stated = StatedLining(
        (asked.length("roll_length"), asked.length("roll_width")),
        asked.one_of("way", ("horizontal", "vertical")) != "vertical",
        asked.one_of("corners", ("broken", "round")) == "round",
        asked.length("stop_short", SHORT),
        asked.length("end", END),
        asked.length("clear", CLEAR),
        asked.each("part", patch),
        said.each("lengths", one_length),
        said.each("clashes", lambda table: StatedClash(table.wall(numbers), *table.exact("at", "paper_at"))),
    )
    return None if len(asked.faults) > faults else stated
