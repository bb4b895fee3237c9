"""Heights that are more often a wrong unit than a wall."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cutplan.lengths import UNITS, show

if TYPE_CHECKING:
    from cutplan.lengths import Length
    from cutplan.scenario.tables import Table

LOWEST_USUAL: Final[Length] = 300 * UNITS["mm"]
HIGHEST_USUAL: Final[Length] = 10 * UNITS["m"]
"""A height outside these is more often a wrong unit than a wall, so it is noted."""


def note_unusual_height(table: Table, key: str, height: Length) -> None:
    """Note a height that no wall is likely to have: the reader should look at its unit."""
    units = table.reading.units or "mm"
    if height < LOWEST_USUAL:
        what = f"{show(height, units)} is less than {show(LOWEST_USUAL, units)}; is the unit right?"
        table.note(key, what)
    if height > HIGHEST_USUAL:
        what = f"{show(height, units)} is more than {show(HIGHEST_USUAL, units)}; is the unit right?"
        table.note(key, what)
