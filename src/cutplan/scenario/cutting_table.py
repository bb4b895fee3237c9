"""How somebody works, read from a scenario: the tables ``[cutting]`` and ``[pace]``."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import TYPE_CHECKING, Final

from cutplan.plan.order import CuttingHabit, Follow
from cutplan.scenario.tables import Table, describe

if TYPE_CHECKING:
    from cutplan.table.timetable import Pace

HABIT_KEYS: Final = ("cutting", "pace")

CUTTING_KEYS: Final = ("order", "open_rolls", "first_walls")


def read_cutting(root: Table, walls: Collection[str]) -> CuttingHabit:
    """Return how the cuts are to be ordered; ``walls`` are the names of those there are, none where not known."""
    table = root.table("cutting", CUTTING_KEYS, required=False)
    if table is None:
        return CuttingHabit()
    usual = CuttingHabit()
    return CuttingHabit(
        table.kind("order", Follow, usual.follow) or usual.follow,
        table.whole("open_rolls", required=False) or usual.open_rolls,
        _read_walls(table, walls),
    )


def of_walls(shared: Mapping[str, object], walls: Collection[str | None]) -> dict[str, object]:
    """Return tables that all parts share as one part has them: of the walls that come first, those that it hangs on."""
    cutting = shared.get("cutting")
    names = cutting.get("first_walls") if isinstance(cutting, dict) else None
    if not isinstance(cutting, dict) or not isinstance(names, list):
        return dict(shared)
    return {**shared, "cutting": {**cutting, "first_walls": [name for name in names if name in list(walls)]}}


def _read_walls(table: Table, walls: Collection[str]) -> tuple[str, ...]:
    """Return the walls that come first where rolls are too few, each of which must be one of ``walls``."""
    names = table.raw("first_walls")
    if names is None:
        return ()
    if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
        table.reject("first_walls", f'must be a list of names, not {describe(names)}; write first_walls = ["bed wall"]')
        return ()
    for name in names:
        if walls and name not in walls:
            table.reject("first_walls", f"names {describe(name)}, and there is {', '.join(map(describe, walls))}")
    return tuple(dict.fromkeys(names))


def read_pace(root: Table) -> Pace | None:
    """Return the pace of the work; None when the scenario gives none, or one at fault."""
    if not root.has("pace"):
        return None
    from cutplan.scenario.pace_table import pace_of  # noqa: PLC0415 - late: few scenarios give a pace

    return pace_of(root)
