"""The trims, read from a scenario: the table ``[trim]``, and what is trimmed where it says nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cutplan.lengths import UNITS
from cutplan.scenario.usual import TRIM

if TYPE_CHECKING:
    from cutplan.lengths import Length
    from cutplan.scenario.tables import Table

USUAL_TRIM: Final[Length] = 50 * UNITS["mm"]
"""Trim at the top and at the bottom of a drop where the scenario gives none [practice]."""


def read_trims(root: Table) -> tuple[Length, Length]:
    """Return the trim at the top and at the bottom of every drop."""
    table = root.table("trim", ("top", "bottom"), required=False)
    if table is None:
        return USUAL_TRIM, USUAL_TRIM
    top = table.length("top", required=False, zero=True, usual=TRIM)
    bottom = table.length("bottom", required=False, zero=True, usual=TRIM)
    return USUAL_TRIM if top is None else top, USUAL_TRIM if bottom is None else bottom
