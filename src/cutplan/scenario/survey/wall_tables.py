"""The ``[[wall]]`` entries of a survey, with their corners, and the openings and fittings on them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final, TypeAlias, TypeVar

from msgspec import Struct

from cutplan.errors import LengthError
from cutplan.lengths import ZERO, Length, read_length
from cutplan.room.finding import Finding, RoomError
from cutplan.room.profile import Profile
from cutplan.room.walls import (
    Corner,
    CornerKind,
    Fitting,
    FittingKind,
    Opening,
    OpeningKind,
    Wall,
)
from cutplan.scenario.tables import Table, describe, reject_repeats
from cutplan.scenario.usual import OPENING, WALL_HEIGHT, WALL_WIDTH

OPENING_KEYS: Final = ("kind", "name", "left", "width", "foot", "height", "reveal")
FITTING_KEYS: Final = ("kind", "name", "left", "width", "foot", "height")

_T = TypeVar("_T")

Placed: TypeAlias = "Opening | Fitting"
"""What stands on a wall."""

STANDING: Final = (OpeningKind.DOOR, OpeningKind.FIREPLACE, OpeningKind.UNIT)
"""Kinds that stand on the wall's foot unless the survey says otherwise."""


def read_opening(table: Table, wall_foot: Profile | None) -> tuple[Table, Placed | None]:
    """Return an opening with its table; what stands on the wall's foot needs no foot of its own.

    Of an opening at fault, what it takes of the wall's width is returned as a fitting, so that this can be judged too.
    """
    kind = table.kind("kind", OpeningKind)
    name = table.text("name", required=False)
    left = table.length("left", zero=True)
    width = table.length("width", usual=OPENING)
    height = table.length("height", usual=OPENING)
    reveal = table.length("reveal", required=False, zero=True) or ZERO
    stands = kind in STANDING
    foot = table.length("foot", required=kind is not None and not stands, zero=True)
    if foot is None and stands and not table.has("foot") and wall_foot and left is not None and width:
        foot = wall_foot.lowest(left, left + width)
    name = name or (kind.value if kind is not None else None)
    if name is None or left is None or width is None:
        return table, None
    if kind is None or height is None or foot is None:
        return table, built(table, lambda: Fitting(name, FittingKind.OTHER, left, width))
    return table, built(table, lambda: Opening(name, kind, left, width, foot, height, reveal))


def read_fitting(table: Table) -> tuple[Table, Fitting | None]:
    """Return a fitting with its table."""
    kind = table.kind("kind", FittingKind)
    name = table.text("name", required=False)
    left = table.length("left", zero=True)
    rest = [table.length(key, required=False, zero=True) or ZERO for key in ("width", "foot", "height")]
    if kind is None or left is None:
        return table, None
    return table, built(table, lambda: Fitting(name or kind.value, kind, left, *rest))


def built(table: Table, build: Callable[[], _T], keys: dict[str, str] | None = None) -> _T | None:
    """Return what ``build`` makes, or report what it refuses at the keys of ``table``."""
    try:
        return build()
    except RoomError as error:
        for found in error.findings:
            key = str(found.path[0])
            table.reject((keys or {}).get(key, key), found.what.read(table.units))
        return None


def name_apart(entries: Sequence[tuple[Table, Placed | None]]) -> None:
    """Report entries of one wall that have the same name, given or taken from their kind."""
    seen: set[str] = set()
    for table, thing in entries:
        if thing is None:
            continue
        if thing.name in seen:
            table.reject("name", f"{describe(thing.name)} is an earlier entry of this wall too; name them apart")
        seen.add(thing.name)


CORNER_KEYS: Final = ("corner", "turn", "lap", "true_corner")
WALL_KEYS: Final = ("name", "width", "height", "top", "foot", *CORNER_KEYS, "opening", "fitting")
_PAIR: Final = 2
_POINTS: Final = "[[0, 2400], [1500, 2900]]: along the wall, height"


class SurveyedWall(Struct, frozen=True):
    """As much of one ``[[wall]]`` as could be read; ``bare`` is the wall without what stands on it."""

    table: Table
    name: str | None
    wall: Wall | None
    corner: Corner | None
    bare: Wall | None


def read_walls(root: Table) -> list[SurveyedWall]:
    """Return the walls of a survey in order, each with as much as could be read of it."""
    empty = "add a [[wall]] for each wall, left to right"
    tables = root.entries("wall", WALL_KEYS, named_by="name", empty=empty)
    walls = [_read_wall(table) for table in tables]
    reject_repeats([(wall.table, wall.name) for wall in walls], "name")
    return walls


def _read_wall(table: Table) -> SurveyedWall:
    name = table.text("name")
    width = table.length("width", usual=WALL_WIDTH)
    top = _read_top(table)
    foot = _read_profile(table, "foot") if table.has("foot") else Profile.at_height(ZERO)
    openings = [read_opening(entry, foot) for entry in _entries(table, "opening", OPENING_KEYS)]
    fittings = [read_fitting(entry) for entry in _entries(table, "fitting", FITTING_KEYS)]
    name_apart(openings)
    name_apart(fittings)
    corner = _read_corner(table)
    wall = bare = None
    if name is not None and width is not None and top is not None and foot is not None:
        wall, bare = _build_wall(table, (name, width, top, foot), openings, fittings)
    return SurveyedWall(table, name, wall, corner, bare)


def _build_wall(
    table: Table,
    shell: tuple[str, Length, Profile, Profile],
    openings: Sequence[tuple[Table, Placed | None]],
    fittings: Sequence[tuple[Table, Fitting | None]],
) -> tuple[Wall | None, Wall | None]:
    """Return the wall, and it bare, reporting at their own keys what it refuses of the openings and fittings on it.

    An opening of which no more is known than its width along the wall is held against the wall's as a fitting is.
    """
    good_openings = [(entry, opening) for entry, opening in openings if isinstance(opening, Opening)]
    good_fittings = [(entry, thing) for entry, thing in (*fittings, *openings) if isinstance(thing, Fitting)]
    try:
        wall = Wall(
            *shell,
            tuple(opening for _, opening in good_openings),
            tuple(fitting for _, fitting in good_fittings),
        )
    except RoomError as error:
        entries = {
            "opening": [entry for entry, _ in good_openings],
            "fitting": [entry for entry, _ in good_fittings],
        }
        for found in error.findings:
            _reject_in_wall(table, entries, found)
        is_on_it = all(found.path[0] in entries for found in error.findings)
        return None, Wall(*shell) if is_on_it else None
    is_whole = len(good_openings) == len(openings) and all(fitting is not None for _, fitting in fittings)
    return wall if is_whole else None, Wall(*shell)


def _reject_in_wall(table: Table, entries: dict[str, list[Table]], found: Finding) -> None:
    what = found.what.read(table.units)
    key = str(found.path[0])
    if key in entries:
        entries[key][int(found.path[1])].reject(str(found.path[2]), what)
    elif key == "top":
        table.reject("top" if table.has("top") else "height", what)
    else:
        table.reject(key, what)


def _entries(table: Table, key: str, keys: Sequence[str]) -> list[Table]:
    return table.entries(key, keys, required=False, named_by="name")


def _read_top(table: Table) -> Profile | None:
    if table.has("top"):
        if table.has("height"):
            table.reject("height", "belongs to a level top; give height or top, not both")
        return _read_profile(table, "top")
    height = table.length("height", usual=WALL_HEIGHT)
    return None if height is None else Profile.at_height(height)


def _read_profile(table: Table, key: str) -> Profile | None:
    """Return a height, or a line of points ``[[along, height], …]``."""
    value = table.raw(key)
    if not isinstance(value, list):
        height = table.length(key, zero=True)
        return None if height is None else Profile.at_height(height)
    points = []
    for point in value:
        if not isinstance(point, list) or len(point) != _PAIR:
            what = f"must be a height or a list of points, but one is {describe(point)}"
            table.reject(key, f"{what}; write {key} = {_POINTS}")
            return None
        read = [_read_plain(table, key, length) for length in point]
        points.append((read[0], read[1]))
    if not points:
        table.reject(key, f"has no points; write {key} = {_POINTS}")
    whole = [(along, height) for along, height in points if along is not None and height is not None]
    return Profile(tuple(whole)) if points and len(whole) == len(points) else None


def _read_plain(table: Table, key: str, value: object) -> Length | None:
    try:
        length = read_length(value, table.reading.units)
    except LengthError as error:
        table.reject(key, str(error))
        return None
    return table.taken_in(key, length, describe(value))


def _read_corner(table: Table) -> Corner | None:
    kind = table.kind("corner", CornerKind, CornerKind.INTERNAL)
    turn = table.length("turn", required=False, zero=True)
    lap = table.length("lap", required=False, zero=True)
    is_true = table.flag("true_corner") or False
    if kind is None:
        return None
    return built(table, lambda: Corner.usual(kind, turn, lap, is_true=is_true), {"true": "true_corner"})
