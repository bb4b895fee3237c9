"""Batches in words: which walls are papered from which, where the batch changes, and what turns a corner with it."""

from __future__ import annotations

from collections.abc import Iterator

from cutplan.lengths import ZERO, Length, show
from cutplan.plan.plan import Plan
from cutplan.plan.proof import BatchChoice
from cutplan.render.pages.layout_of_page import section, table, wrapped_lines
from cutplan.render.words.names import listed_with_and, roll_named
from cutplan.setting_out import SettingOut

UNTOLD = "not told"
"""What stands for the number of a batch that nobody has told."""


def batches_section(plan: Plan, setting_out: SettingOut | None, units: str) -> str | None:
    """Return the section of the page that says which walls are papered from which batch; None where there is one."""
    if plan.batches is None:
        return None
    rows = [
        (batch or UNTOLD, listed_with_and(walls), str(rolls)) for batch, walls, rolls in shares_of(plan, plan.batches)
    ]
    lines = wrapped_lines(batch_lines(plan, setting_out, units))
    return section("Batches", table(("batch", "walls", "rolls"), rows, wrapped=1), lines)


def shares_of(plan: Plan, choice: BatchChoice) -> Iterator[tuple[str, list[str], int]]:
    """Yield each batch in use with its walls and its number of rolls."""
    for batch in dict.fromkeys(choice.of_walls.values()):
        walls = [wall for wall, chosen in choice.of_walls.items() if chosen == batch]
        lots = ((layout.count, plan.job.lot(layout.lot)) for layout in plan.layouts)
        rolls = sum(count for count, lot in lots if not lot.is_offcut and (lot.batch or "") == batch)
        yield batch, walls, rolls


def batch_lines(plan: Plan, setting_out: SettingOut | None, units: str) -> Iterator[str]:
    """Yield what to know of batches, a sentence or two each."""
    choice = plan.batches
    if choice is None:
        return
    yield "Two batches can differ in shade, so each wall is papered from one of them."
    yield from _apart(plan)
    for pair in choice.changes:
        kind = "internal" if pair.is_internal else "external"
        corner = f" in their {kind} corner" if plan.job.neighbours else ""
        if pair.left in choice.of_walls and pair.right in choice.of_walls:
            yield f"The batch changes from {pair.left} to {pair.right}{corner}."
    walls = dict.fromkeys(wall for pair in choice.changes for wall in (pair.left, pair.right))
    for wall in (wall for wall in walls if wall not in choice.of_walls):
        yield f"No drop begins on {wall}: what is turned onto it is of the batch that it comes from."
    if setting_out is not None:
        yield from _turned(plan, choice, setting_out, units)


def _apart(plan: Plan) -> Iterator[str]:
    """Yield which offcuts share no wall with rolls that may be of their batch, though nobody has told."""
    told = {lot.batch for lot in plan.job.rolls}
    if None in told:
        for lot in (lot for lot in plan.job.lots if lot.is_offcut and lot.batch not in told):
            of_batch = f"of batch {lot.batch}, as {roll_named(lot.label, lot)} is"
            yield f"No roll is told to be {of_batch}: no wall has both. If one is, tell its batch."


def _turned(plan: Plan, choice: BatchChoice, setting_out: SettingOut, units: str) -> Iterator[str]:
    """Yield which drops bring their own batch round a corner at which it changes."""
    names = [wall.name for wall in setting_out.room.walls]
    for piece in setting_out.pieces:
        own = plan.job.drop(piece.label).wall or ""
        batch = choice.of_walls[own]
        beyond: dict[str, Length] = {}
        for wall in dict.fromkeys(names[panel.wall] for panel in piece.panels):
            if choice.of_walls.get(wall, batch) != batch:  # A wall that no drop begins on has none.
                panels = (panel for panel in piece.panels if names[panel.wall] == wall)
                beyond[wall] = sum((panel.right - panel.left for panel in panels), ZERO)
        for wall, width in beyond.items():
            wide = show(width, units)
            yield f"Drop {piece.label} is of {own}'s batch, and {wide} of it hang on {wall}, round the corner."
