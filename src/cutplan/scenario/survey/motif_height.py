"""``motif_at`` of a start: the height of the print by what the customer points at, the floor or a thing's edge."""

from __future__ import annotations

import re
from difflib import get_close_matches
from typing import TYPE_CHECKING, Final

from cutplan.errors import LengthError
from cutplan.lengths import read_length
from cutplan.scenario.tables import describe

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cutplan.lengths import Length
    from cutplan.scenario.survey.opening_tables import Placed
    from cutplan.scenario.survey.wall_tables import SurveyedWall
    from cutplan.scenario.tables import Table

_BY_A_THING: Final = re.compile(r"(?P<by>.+?)\s+(?P<way>above|below)\s+(?:the\s+)?(?P<thing>.+)", re.DOTALL)
_FLOOR: Final = "floor"
_EXAMPLES: Final = 'write for example "165 cm" above the floor line, or "20 cm above bed head"'


def read_motif_at(table: Table, surveyed: Sequence[SurveyedWall]) -> Length | None:
    """Return the height above the floor line at which the first strip is to have a motif datum.

    A length alone counts from the floor line; «… above X» from the upper edge of the opening or fitting X upwards,
    «… below X» from its lower edge downwards.
    """
    value = table.raw("motif_at")
    if not isinstance(value, str):
        return table.length("motif_at", zero=True)
    found = _BY_A_THING.fullmatch(value.strip())
    by = _length(table, value if found is None else found["by"])
    if found is None or by is None:
        return by
    if found["thing"] == _FLOOR:
        return by if found["way"] == "above" else _refuse(table, "nothing hangs below the floor line")
    thing = _thing(table, found["thing"], surveyed)
    if thing is None:
        return None
    height = thing.foot + thing.height + by if found["way"] == "above" else thing.foot - by
    return height if height >= 0 else _refuse(table, "lies below the floor line")


def _length(table: Table, text: str) -> Length | None:
    try:
        return table.taken_in("motif_at", read_length(text, table.reading.units), describe(text))
    except LengthError:
        return _refuse(table, f"cannot read {describe(text)} as a height")


def _refuse(table: Table, what: str) -> Length | None:
    """Report what is wrong with the height; there is none then."""
    table.reject("motif_at", f"{what}; {_EXAMPLES}")
    return None


def _thing(table: Table, name: str, surveyed: Sequence[SurveyedWall]) -> Placed | None:
    walls = [entry.wall for entry in surveyed if entry.wall is not None]
    things: list[Placed] = []
    for wall in walls:
        things += [*wall.openings, *wall.fittings]
    found = [thing for thing in things if thing.name == name]
    if len(found) == 1:
        return found[0]
    if len(walls) == len(surveyed):
        close = get_close_matches(name, [thing.name for thing in things], n=1)
        meant = f"did you mean {describe(close[0])}? " if close and not found else ""
        many = f"{len(found)} things are" if found else "nothing is"
        _refuse(table, f"{many} called {describe(name)}; {meant}name one thing of the room")
    return None
