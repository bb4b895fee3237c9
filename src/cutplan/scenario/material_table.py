"""Materials, read from a scenario: the tables ``[[material]]``."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from cutplan.errors import LengthError
from cutplan.lengths import UNITS, decimal_points
from cutplan.materials.material import SQUARE_FOOT, SQUARE_METRE, Material, Use
from cutplan.scenario.tables import Table, describe, reject_repeats

MATERIAL_KEYS: Final = ("name", "use", "covers", "pack", "price", "on")
_SQUARES: Final = {"m2": SQUARE_METRE, "m²": SQUARE_METRE, "sqm": SQUARE_METRE, "sqft": SQUARE_FOOT, "ft2": SQUARE_FOOT}
_AMOUNT: Final = re.compile(r"(\d{1,6}(?:\.\d{1,4})?)\s*([a-z²]+(?:\s?[a-z]+)?\d?)")


def read_materials(root: Table, parts: Sequence[str]) -> list[Material]:
    """Return the materials of a job; ``parts`` are the names of what they may be for."""
    tables = root.entries("material", MATERIAL_KEYS, required=False, named_by="name")
    named = [(table, table.text("name")) for table in tables]
    reject_repeats(named, "name")
    found = []
    are_known = not root.reading.has_faults
    for table, name in named:
        use = table.kind("use", Use)
        on = table.raw("on")
        if on is not None and are_known and (why := not_parts(on, parts)):
            table.reject("on", f"must be a list of parts: {why}")
            on = None
        covers = _covers(table, use) if use is not None else None
        pack = table.text("pack", required=False) or "pack"
        price = table.price("price", required=False)
        if name is not None and use is not None:
            found.append(Material(name, use, covers, pack, price, tuple(on) if isinstance(on, list) else ()))
    return found


def not_parts(names: object, parts: Sequence[str]) -> str | None:
    """Return why ``names`` do not name ``parts`` of a job; None where they do."""
    named = names if isinstance(names, list | tuple) and names else [[names]]
    strange = next((name for name in named if name not in parts), None)
    known = ", ".join(map(describe, parts))
    return None if strange is None else f"{describe(strange)} is no part of this job; they are {known}"


def _covers(table: Table, use: Use) -> Fraction | None:
    """Return what a pack does for, as its label says: an area, or of filler a length of joint."""
    value = table.raw("covers")
    if value is None:
        return None
    found = covered(value, use) if isinstance(value, str) else None
    if found is None:
        what = f"must be what the label says that a pack covers, such as {covers_example(use)}, not {describe(value)}"
        table.reject("covers", what)
    return found


def covered(text: str, use: Use) -> Fraction | None:
    """Return the area, or of filler the length of joint, that a text tells; None for one that tells none."""
    try:
        match = _AMOUNT.fullmatch(decimal_points(text).strip().lower())
    except LengthError:
        return None
    unit = match and (UNITS if use.is_for_joints else _SQUARES).get(match[2].replace(" ", ""))
    return Fraction(match[1]) * unit or None if match and unit else None


def covers_example(use: Use) -> str:
    """Return how what a pack covers may be written."""
    return '"60 m"' if use.is_for_joints else '"40 m2" or "430 sq ft"'
