"""How somebody works, read from a scenario: the tables ``[cutting]`` and ``[pace]``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cutplan.plan.order import CuttingHabit, Follow

if TYPE_CHECKING:
    from cutplan.scenario.tables import Table
    from cutplan.table.timetable import Pace

HABIT_KEYS: Final = ("cutting", "pace")

_CUTTING_KEYS: Final = ("order", "open_rolls")


def read_cutting(root: Table) -> CuttingHabit:
    """Return how the cuts are to be ordered."""
    table = root.table("cutting", _CUTTING_KEYS, required=False)
    if table is None:
        return CuttingHabit()
    order = table.choice("order", [follow.value for follow in Follow], required=False)
    usual = CuttingHabit()
    return CuttingHabit(
        usual.follow if order is None else Follow(order),
        table.whole("open_rolls", required=False) or usual.open_rolls,
    )


def read_pace(root: Table) -> Pace | None:
    """Return the pace of the work; None when the scenario gives none, or one at fault."""
    if not root.has("pace"):
        return None
    from cutplan.scenario.pace_table import pace_of  # noqa: PLC0415 - late: few scenarios give a pace

    return pace_of(root)
