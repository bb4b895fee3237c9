"""Rolls, offcuts and drops as the tables of a scenario: what the reader read is written here, and reads the same again.

The only writer of them. Lengths stay exact: :func:`plain` makes them text with their unit, for JSON, and
:func:`toml_entry` makes them values of a file with units of its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from itertools import pairwise
from typing import Final, TypeAlias

from cutplan.job.drops import CutOut, Drop
from cutplan.lengths import Length, exact_number
from cutplan.paper.stock import Lot
from cutplan.scenario.toml_text import length_value, quoted

AS_NEEDED: Final = "as needed"
"""In place of a number of rolls: as many as the plan takes, to be bought."""
Entry: TypeAlias = "dict[str, object]"
"""One table of a scenario; its lengths are exact, in millimetres."""


def roll_entry(lot: Lot, *, is_free: bool) -> Entry:
    """Return rolls of one lot as a ``[[roll]]``; ``is_free`` tells a paper without a match, which has no motif."""
    is_plain = not lot.parts or _has_flaws(lot)
    return present({
        "label": lot.label,
        "length": lot.length,
        "first_motif": lot.first_motif if is_plain and not is_free else None,
        "count": AS_NEEDED if lot.count is None else lot.count if lot.count != 1 else None,
        "batch": lot.batch,
        "price": None if lot.price is None else _number(lot.price),
        "flaws": _flaws(lot) if is_plain else None,
        "pieces": None if is_plain else _pieces(lot, is_free=is_free),
        "foot_first": lot.is_foot_first or None,
        "sheet": lot.sheet,
    })  # fmt: skip


def offcut_entry(lot: Lot, *, is_free: bool) -> Entry:
    """Return paper that counts as no roll as an ``[[offcut]]``."""
    return present({
        "label": lot.label,
        "length": lot.length,
        "first_motif": None if is_free else lot.first_motif,
        "left": lot.left,
        "right": lot.right,
        "batch": lot.batch,
        "after": lot.after,
        "sheet": lot.sheet,
    })  # fmt: skip


def drop_entry(drop: Drop, *, is_free: bool, trims: tuple[Length, Length] | None = None) -> Entry:
    """Return a drop as a ``[[drop]]``, with trims of its own where they are not the scenario's ``trims``."""
    own = drop.trim_top, drop.trim_bottom
    return present({
        "label": drop.label,
        "height": drop.height,
        "first_motif": None if is_free else drop.first_motif,
        "count": drop.count if drop.count > 1 else None,
        "wall": drop.wall,
        "trim": None if trims in (None, own) else {"top": own[0], "bottom": own[1]},
        "batch": drop.batch,
        "turned": drop.is_turned,
        "sheet": drop.sheet,
        "left": drop.left,
        "right": drop.right,
        "cut_outs": [_cut_out(cut_out, is_free=is_free) for cut_out in drop.cut_outs] or None,
        "along": drop.is_along or None,
    })  # fmt: skip


def present(table: Mapping[str, object]) -> Entry:
    """Return a table without the keys that are not told, in it and in its own tables."""
    held = ((key, present(value) if isinstance(value, dict) else value) for key, value in table.items())
    return {key: value for key, value in held if value is not None}


def _cut_out(cut_out: CutOut, *, is_free: bool) -> Entry:
    motif = {} if is_free else {"first_motif": cut_out.first_motif}
    across = {"left": cut_out.left, "right": cut_out.right}
    return {"label": cut_out.label, "length": cut_out.length, **motif, **across}


def _has_flaws(lot: Lot) -> bool:
    """Return True when paper is missing between the stretches of a roll, rather than the bolt being in pieces."""
    return any(one.start + one.length < other.start for one, other in pairwise(lot.parts))


def _flaws(lot: Lot) -> list[Entry] | None:
    gaps = [(one.start + one.length, other.start) for one, other in pairwise(lot.parts)]
    return [{"from": start, "to": end} for start, end in gaps if end > start] or None


def _pieces(lot: Lot, *, is_free: bool) -> list[Entry]:
    return [
        present({"length": stretch.length, "first_motif": None if is_free else stretch.first_motif})
        for stretch in lot.parts
    ]


def _number(amount: Fraction) -> int | float | str:
    """Return an amount of money; a share of a packet's price that no decimal holds as a fraction, in text."""
    exact = exact_number(amount)
    return exact if "/" in exact else amount.numerator if amount.denominator == 1 else float(exact)


def plain(value: object) -> object:
    """Return a table with its lengths as text with their unit, as JSON can hold it."""
    if isinstance(value, dict):
        return {key: plain(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [plain(inner) for inner in value]
    return written(value) if isinstance(value, Fraction) else value


def written(length: Length) -> str:
    """Return a length as a scenario states it exactly: ``2400 mm``, ``213 1/3 mm``.

    >>> written(Fraction(640, 3)), written(Fraction(1, 2)), written(Fraction(50))
    ('213 1/3 mm', '0.5 mm', '50 mm')

    """
    return length_value(length, "mm").strip('"').removesuffix(" mm") + " mm"


def toml_entry(key: str, entry: Entry, units: str) -> str:
    """Return a table as one entry ``[[key]]`` of a TOML file whose bare numbers are ``units``."""
    return "\n".join([f"[[{key}]]", *(f"{name} = {_toml(value, units)}" for name, value in entry.items())]) + "\n"


def toml_document(document: Entry) -> str:
    """Return a whole scenario as TOML: its plain keys, its tables, then its lists of tables."""
    parts = ["\n".join(f"{key} = {_toml(value, 'mm')}" for key, value in document.items() if isinstance(value, str))]
    for key, value in document.items():
        if isinstance(value, dict):
            parts.append(toml_entry(key, value, "mm").replace(f"[[{key}]]", f"[{key}]", 1))
        elif isinstance(value, list):
            parts += [toml_entry(key, entry, "mm") for entry in value]
    return "\n".join(parts)


def _toml(value: object, units: str) -> str:
    if isinstance(value, Fraction):
        return length_value(value, units)
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{name} = {_toml(inner, units)}" for name, inner in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(_toml(inner, units) for inner in value) + "]"
    if isinstance(value, str):
        return quoted(value)
    return str(value).lower()
