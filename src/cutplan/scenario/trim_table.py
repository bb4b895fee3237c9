"""The trims, read from a scenario: the table ``[trim]``, and what is trimmed where it says nothing."""

from __future__ import annotations

from typing import Final

from cutplan.lengths import UNITS, Length
from cutplan.scenario.tables import Table
from cutplan.scenario.usual import TRIM

USUAL_TRIM: Final[Length] = 50 * UNITS["mm"]
"""Trim at the top and at the bottom of a drop where the scenario gives none [practice]."""


def read_trims(holder: Table, otherwise: tuple[Length, Length] | None = None) -> tuple[Length, Length]:
    """Return the trim at the top and at the bottom of every drop, or of the one that the table is of."""
    otherwise = otherwise or (USUAL_TRIM, USUAL_TRIM)
    table = holder.table("trim", ("top", "bottom"), required=False)
    if table is None:
        return otherwise
    top = table.length("top", required=False, zero=True, usual=TRIM)
    bottom = table.length("bottom", required=False, zero=True, usual=TRIM)
    return otherwise[0] if top is None else top, otherwise[1] if bottom is None else bottom
