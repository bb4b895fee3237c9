"""A lining as its document states it: what the scenario asks of it, and where each length hangs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from cutplan.check.stated.fields import Table
    from cutplan.check.survey.surveyed import Wall

_NOTHING = Fraction(0)
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


@dataclass(frozen=True, slots=True)
class StatedLength:
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


@dataclass(frozen=True, slots=True)
class StatedLining:
    """What is asked of a lining, and what is said of it; ``patches`` are the parts of walls that alone are lined."""

    roll: tuple[Fraction, Fraction]
    is_horizontal: bool
    goes_round: bool
    at_openings: str
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

    def number(table: Table) -> int:
        name = table.text("wall")
        if name not in numbers:
            table.fault("wall", f"there is no wall {name!r} in the survey")
        return numbers.get(name or "", 0)

    def length(table: Table, key: str, otherwise: Fraction | None = None) -> Fraction:
        return table.length(key, otherwise) or _NOTHING

    def exact(table: Table, *keys: str) -> tuple[Fraction, ...]:
        return table.exact(*keys) or (_NOTHING,) * len(keys)

    def one_length(table: Table) -> StatedLength:
        panels = [Lined(number(panel), *exact(panel, "from", "to", "foot", "top")) for panel in table.tables("panels")]
        inside = table.table("reveal")
        where = None if inside is None else (number(inside), inside.text("opening") or "", inside.text("side") or "")
        return StatedLength(table.label("drop") or "", table.whole("course") or 0, tuple(panels), where)

    def patch(table: Table) -> Lined:
        wall = walls[number(table)]
        left, foot = length(table, "left", _NOTHING), length(table, "foot", _NOTHING)
        right = left + length(table, "width", wall.width - left)
        top = foot + length(table, "height", wall.top.span(_NOTHING, wall.width)[1])
        return Lined(numbers[wall.name], left, right, foot, top)

    stated = StatedLining(
        (length(asked, "roll_length"), length(asked, "roll_width")),
        asked.one_of("way", ("horizontal", "vertical")) != "vertical",
        asked.one_of("corners", ("broken", "round")) == "round",
        asked.one_of("at_openings", ("run on", "broken", "least waste")) or "least waste",
        length(asked, "stop_short", SHORT),
        length(asked, "end", END),
        length(asked, "clear", CLEAR),
        tuple(patch(table) for table in asked.tables("part")),
        tuple(one_length(table) for table in said.tables("lengths")),
        tuple(StatedClash(number(table), *exact(table, "at", "paper_at")) for table in said.tables("clashes")),
    )
    return None if len(asked.faults) > faults else stated
