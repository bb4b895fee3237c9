"""Linings, read from a scenario: the tables ``[lining]`` and ``[[damp_lining]]``."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, NamedTuple

from cutplan.lengths import ZERO, Length, show
from cutplan.lining.wishes import (
    USUAL_CLEAR,
    USUAL_END,
    USUAL_SHORT,
    AtOpenings,
    Lining,
    LiningWay,
    Patch,
)
from cutplan.room.walls import Room
from cutplan.scenario.cutting_table import HABIT_KEYS
from cutplan.scenario.tables import Table, describe
from cutplan.scenario.usual import ROLL_LENGTH, ROLL_WIDTH, TRIM

LINING_KEYS: Final = (
    "name", "roll_length", "roll_width", "price", "way", "corners", "at_openings", "stop_short", "end", "clear",
    "dries", "part", "roll", *HABIT_KEYS,
)  # fmt: skip
DAMP_KEYS: Final = (*LINING_KEYS, "adhesive")
LINED_PART_KEYS: Final = ("wall", "left", "width", "foot", "height")
CORNERS: Final = ("broken", "round")
USUAL_DRYING: Final = 24
"""Hours from hanging lining to hanging paper over it: overnight to two days, a day by most; plan on different days."""
_LONGEST_DRYING: Final = 14 * 24
ALL_LINED: Final = "lining"
"""What the part is called that is lining under all the paper."""


class AskedLining(NamedTuple):
    """A lining as asked for.

    ``part`` is the name of its part, ``shared`` the tables that it has from the whole file, ``dries`` the hours until
    something may hang over it, ``adhesive`` what a damp-barrier lining is hung with.
    """

    part: str
    table: Table
    lining: Lining
    shared: Mapping[str, object]
    dries: int
    adhesive: str | None


def read_linings(root: Table, room: Room | None) -> list[AskedLining]:
    """Return the linings of a room in the order in which they hang: what keeps damp back, then what lines the walls."""
    shared = {key: root.values[key] for key in ("units", *HABIT_KEYS) if key in root.values}
    damp = root.entries("damp_lining", DAMP_KEYS, required=False, named_by="name")
    found: list[AskedLining | None] = []
    for name, table in zip(damp_names(len(damp)), damp, strict=True):
        if not table.has("part"):
            table.reject("part", 'is missing; say which part of which wall: part = [{ wall = "north", height = 1200 }]')
        adhesive = table.text("adhesive")
        found.append(_lining(name, table, room, shared, adhesive))
    whole = root.table("lining", LINING_KEYS, required=False)
    if whole is not None:
        found.append(_lining(ALL_LINED, whole, room, shared))
    return [each for each in found if each is not None]


def damp_names(count: int) -> list[str]:
    """Return what the parts are called that keep damp back, of so many."""
    return ["damp-lining"] if count == 1 else [f"damp-lining-{number}" for number in range(1, count + 1)]


def _lining(
    part: str, table: Table, room: Room | None, shared: Mapping[str, object], adhesive: str | None = None
) -> AskedLining | None:
    length, width = (
        table.length("roll_length", usual=ROLL_LENGTH),
        table.length("roll_width", usual=ROLL_WIDTH),
    )
    way = table.kind("way", LiningWay, LiningWay.HORIZONTAL)
    at_openings = table.kind("at_openings", AtOpenings, AtOpenings.LEAST_WASTE)
    corners = table.choice("corners", CORNERS, required=False)
    short, end, clear = (
        _or_usual(table, key, usual)
        for key, usual in (("stop_short", USUAL_SHORT), ("end", USUAL_END), ("clear", USUAL_CLEAR))
    )
    patches = [_patch(entry, room) for entry in table.entries("part", LINED_PART_KEYS, required=False)]
    name, price = table.text("name", required=False), table.price("price", required=False)
    dries = table.whole("dries", required=False) or USUAL_DRYING
    if dries > _LONGEST_DRYING:
        table.reject("dries", f"is in hours, and {dries} of them are more than two weeks; write what the label says")
    if way is LiningWay.VERTICAL:
        for key in ("corners", "at_openings"):
            if table.has(key):
                table.reject(key, "is for courses along the walls; leave it out, or leave out way")
    if length is not None and 2 * end >= length:
        table.reject("end", f"twice {show(end)} leave nothing of a roll {show(length)} long; measure again")
    if length is None or width is None or way is None or at_openings is None or table.reading.has_faults:
        return None
    lining = Lining(
        name or part,
        length,
        width,
        price,
        way,
        corners == "round",
        at_openings,
        short,
        end,
        clear,
        tuple(patch for patch in patches if patch is not None),
        adhesive is not None,
    )
    return AskedLining(part, table, lining, shared, dries, adhesive)


def _or_usual(table: Table, key: str, usual: Length) -> Length:
    length = table.length(key, required=False, zero=True, usual=TRIM)
    return usual if length is None else length


def _patch(table: Table, room: Room | None) -> Patch | None:
    """Return a part of a wall; where nothing is told it reaches to the wall's own edges."""
    name = table.text("wall")
    left = table.length("left", required=False, zero=True) or ZERO
    width, height = table.length("width", required=False), table.length("height", required=False)
    foot = table.length("foot", required=False, zero=True) or ZERO
    if room is None:
        return None
    number = next((number for number, wall in enumerate(room.walls) if wall.name == name), None)
    if number is None:
        if name is not None:
            known = ", ".join(describe(wall.name) for wall in room.walls)
            table.reject("wall", f"there is no wall {describe(name)}; the walls are {known}")
        return None
    wall = room.walls[number]
    right = wall.width if width is None else left + width
    if right > wall.width or left >= wall.width:
        table.reject("width", f"reaches beyond the wall, which is {show(wall.width)} wide; measure both again")
        return None
    return Patch(number, left, right, foot, None if height is None else foot + height)
