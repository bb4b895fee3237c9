"""Bands of wall between rails, each in a paper of its own or bare, read from a scenario: the tables ``[[band]]``."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from cutplan.parts.clipping import clipped, is_empty
from cutplan.parts.rails import Rail, stretches
from cutplan.room.walls import Room
from cutplan.scenario.read import TOP_KEYS
from cutplan.scenario.tables import Table, describe

OF_A_PART: Final = tuple(key for key in TOP_KEYS if key not in ("units", "drop", "room", "wall"))
"""Tables of an ordinary scenario that a part may have to itself."""
BAND_KEYS: Final = ("name", "above", "below", "bare", "level_line", *OF_A_PART)


class Band(Struct, frozen=True):
    """One band with its table and the room of it; the table of the file itself for walls of one paper from top to foot.

    ``room`` is the whole room clipped to the band's heights.
    """

    name: str
    table: Table
    room: Room
    is_bare: bool


def read_bands(
    root: Table, rails: Sequence[Rail] | None, room: Room | None, not_read: Collection[object] = ()
) -> list[Band]:
    """Return the bands from the top down; every stretch between rails must be one band's, and one's only.

    Where rails or room are None, for something is at fault with them, the bands' own faults are told all the same.
    ``not_read`` are the names of what may part the walls and is at fault.
    """
    tables = root.entries("band", BAND_KEYS, required=False, named_by="name")
    free = [] if rails is None or room is None else stretches(rails)
    named = None if rails is None else {rail.name: rail for rail in rails}
    found: dict[int, Band] = {}
    for table in tables:
        name = table.text("name")
        place = _place(table, named, free, not_read)
        is_bare = table.flag("bare") or False
        level = table.length("level_line", required=False)
        for key in OF_A_PART if is_bare else ():
            if table.has(key):
                table.reject(key, "belongs to a band that is papered; leave it out, or leave out bare")
        if name is None or place is None or room is None:
            continue
        if place in found:
            table.reject("name", f"lies where {describe(found[place].name)} does; a wall is papered once")
            continue
        own = replace(room, level_line=room.level_line if level is None else level)
        found[place] = Band(name, table, between_rails(own, *free[place]), is_bare)
    if room is not None and not root.reading.has_faults:
        for place, ends in enumerate(free):
            if place not in found and not lies_nowhere(between_rails(room, *ends)):
                what = f"there is none {_between(ends)}; add a [[band]] there, with bare = true where it is not papered"
                root.reject("band", what)
    return [found[place] for place in sorted(found)]


def _place(
    table: Table,
    names: Mapping[str, Rail] | None,
    free: Sequence[tuple[Rail | None, Rail | None]],
    not_read: Collection[object],
) -> int | None:
    """Return which stretch a band names by the rails at its foot and at its top."""
    told = {key: table.text(key, required=False) for key in ("above", "below")}
    if names is None or any(table.has(key) and name is None for key, name in told.items()):
        return None
    if any(name in not_read for name in told.values() if name is not None):
        return None
    ends: list[Rail | None] = []
    for key, name in told.items():
        if name is not None and name not in names:
            known = ", ".join(map(describe, names)) or "none"
            table.reject(key, f"there is no rail {describe(name)}; the rails are {known}")
            return None
        ends.append(None if name is None else names[name])
    if not free:
        return None
    if (ends[0], ends[1]) in free:
        return free.index((ends[0], ends[1]))
    table.reject("above" if ends[0] else "below", "these two are not next to one another; name the rail in between")
    return None


def _between(ends: tuple[Rail | None, Rail | None]) -> str:
    low, high = ends
    words = [f"above {describe(low.name)}"] if low else []
    words += [f"below {describe(high.name)}"] if high else []
    return " and ".join(words)


def between_rails(room: Room, low: Rail | None, high: Rail | None) -> Room:
    """Return what of a room lies above one rail and below another; None for the walls' own foot and top."""
    walls = tuple(
        clipped(
            wall, wall.foot if low is None else low.edges(wall)[1], wall.top if high is None else high.edges(wall)[0]
        )
        for wall in room.walls
    )
    return replace(room, walls=walls)


def lies_nowhere(room: Room) -> bool:
    """Return True when what lies between two rails is nothing on every wall."""
    return all(is_empty(wall) for wall in room.walls)
