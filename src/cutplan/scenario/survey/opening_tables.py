"""The ``[[wall.opening]]`` and ``[[wall.fitting]]`` entries of a survey."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final, TypeAlias, TypeVar

from cutplan.lengths import ZERO
from cutplan.room.finding import RoomError
from cutplan.room.profile import Profile
from cutplan.room.walls import Fitting, FittingKind, Opening, OpeningKind
from cutplan.scenario.tables import Table, describe
from cutplan.scenario.usual import OPENING

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
