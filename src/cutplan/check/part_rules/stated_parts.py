"""A job of several parts as its document states it: the whole room, what parts its walls, and each part's own room."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from cutplan.check.stated.echo import scenario_units
from cutplan.check.stated.exact_lengths import read_length
from cutplan.check.survey.surveyed import SurveyReader
from cutplan.check.survey.wall_line import Edges

if TYPE_CHECKING:
    from collections.abc import Mapping

    from cutplan.check.stated.echo import Wanted
    from cutplan.check.stated.fields import Json, Table
    from cutplan.check.survey.surveyed import Survey, Wall
    from cutplan.check.wall_rules.on_the_wall import WallToJudge

_NOTHING = Fraction(0)


class Planned(NamedTuple):
    """The plan of one part: the scenario that it echoes, what it wants, and its room; None for a list of drops."""

    scenario: Json
    wanted: Wanted
    wall: WallToJudge | None

    @property
    def survey(self) -> Survey | None:
        """The room of its own; None for a list of drops."""
        return None if self.wall is None else self.wall.survey


@dataclass(frozen=True, slots=True)
class Rail:
    """What parts the walls: ``feet`` its lower edge along each wall, ``heads`` its upper one, lying on it or not."""

    name: str
    feet: tuple[Edges, ...]
    heads: tuple[Edges, ...]


@dataclass(frozen=True, slots=True)
class Band:
    """What lies above one rail and below another, None for the wall's own foot and top; ``table`` as written."""

    name: str
    above: str | None
    below: str | None
    is_bare: bool
    table: Json


@dataclass(frozen=True, slots=True)
class PartedRoom:
    """The whole room, its rails, its bands; ``kinds`` tells what each part of the job is, ``scenario`` all of it."""

    walls: tuple[Wall, ...]
    rails: tuple[Rail, ...]
    bands: tuple[Band, ...]
    kinds: Mapping[str, str]
    scenario: Json


def read_parted(document: Table) -> PartedRoom | None:
    """Return the job that a document of several parts states; None, with the faults in the table, for an unreadable."""
    scenario = document.table("scenario")
    if scenario is None:
        document.fault("scenario", "is missing; without it nobody knows which stretch of wall is whose")
        return None
    units = scenario_units(scenario)
    walls = tuple(SurveyReader(scenario, units, is_free=True).walls())
    rails = tuple(rail for table in scenario.tables("rail") if (rail := _rail(table, walls, units)))
    bands = tuple(
        Band(
            table.text("name") or "",
            table.optional_text("above"),
            table.optional_text("below"),
            bool(table.flag("bare")),
            table.values,
        )
        for table in scenario.tables("band")
    )
    kinds = {
        entry.text("part") or "": entry.one_of("kind", ("lining", "band", "border"))
        for entry in document.tables("parts")
    }
    if document.faults or not walls:
        return None
    return PartedRoom(walls, rails, bands, {name: kind or "" for name, kind in kinds.items()}, scenario.values)


def _rail(table: Table, walls: tuple[Wall, ...], units: str | None) -> Rail | None:
    name, height = table.text("name"), _NOTHING
    if table.has("height"):
        height = _length(table, "height", table.values["height"], units) or _NOTHING
    feet = [line_along(table, "foot", wall, units) for wall in walls]
    if name is None or any(foot is None for foot in feet):
        return None
    known = tuple(foot for foot in feet if foot is not None)
    return Rail(name, known, tuple(_raised(foot, height) for foot in known))


def line_along(table: Table, key: str, wall: Wall, units: str | None) -> Edges | None:
    """Return a line as one wall has it: at one height, or so much above its foot or below its top."""
    value = table.values.get(key)
    words = value.split() if isinstance(value, str) else []
    edge = words[-1] if words and words[-1] in ("foot", "top") else None
    if edge is None:
        height = _length(table, key, value, units)
        return None if height is None else Edges.through([(_NOTHING, height)], wall.width)
    at = next((place for place, word in enumerate(words) if word in ("above", "below")), 0)
    by = _length(table, key, " ".join(words[:at]), units)
    if by is None or words[at] != {"foot": "above", "top": "below"}[edge]:
        table.fault(key, f"cannot read {value!r} as a line along the walls")
        return None
    return _raised(wall.foot, by) if edge == "foot" else _raised(wall.top, -by)


def _raised(line: Edges, by: Fraction) -> Edges:
    points = tuple((along, max(height + by, _NOTHING)) for along, height in line.points)
    edges = tuple((before, after) for before, after in pairwise(points) if before[0] < after[0])
    return Edges(points, edges)


def _length(table: Table, key: str, value: object, units: str | None) -> Fraction | None:
    try:
        return read_length(value, units)
    except ValueError as error:
        table.fault(key, str(error))
        return None
