"""From a cutting order back to a plan in the job's own words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from cutplan.plan.plan import Cut, RollLayout
from cutplan.solve.layout import Layout, places_of
from cutplan.solve.ordering.task import Move, Task


def rolls_as_cut(task: Task, moves: Sequence[Move]) -> tuple[RollLayout, ...]:
    """Return how each roll is cut by ``moves``, in the order in which rolls are opened.

    Rolls are numbered anew within their lots, and taken from each lot in the order listed.
    """
    pieces: dict[int, list[int]] = {}
    rolls_of: dict[int, int] = {}
    for move in moves:
        pieces.setdefault(move.roll, []).append(move.piece)
        rolls_of[move.roll] = move.rolls
    lots = [iter(rolls.lots) for rolls in task.rolls]
    numbers: Counter[str] = Counter()
    layouts = []
    for roll, held in pieces.items():
        lot = next(lots[rolls_of[roll]])
        numbers[lot] += 1
        layouts.append(RollLayout(lot, numbers[lot], 1, _cuts(task, rolls_of[roll], held)))
    return tuple(layouts)


def _cuts(task: Task, rolls: int, pieces: list[int]) -> tuple[Cut, ...]:
    layout = Layout(task.rolls[rolls].roll_type, tuple(task.kind_of[piece] for piece in pieces))
    places = places_of(task.instance, layout)
    if places is None:
        raise ArithmeticError(f"a layout does not fit its roll: {layout}")
    unit = task.scaled.unit
    cuts = []
    for piece, place in zip(pieces, places, strict=True):
        length = task.instance.kinds[task.kind_of[piece]].length
        cuts.append(Cut(task.labels[piece], place.start * unit, (place.start + length) * unit))
    return tuple(cuts)
