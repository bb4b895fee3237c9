"""On which day each part of a job begins: what lines the walls dries, by its label, before anything hangs over it."""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil

from msgspec import Struct

from cutplan.parts.part import Part
from cutplan.table.steps import Sequence
from cutplan.table.timetable import DAY, Minutes, timetable_of


class PartTurn(Struct, frozen=True):
    """When a part is hung: its first day, from 1, and when it is done, in minutes from midnight of the job's first."""

    part: Part
    day: int
    done: Minutes

    @property
    def dry(self) -> Minutes:
        """When something may hang over it."""
        return self.done + (0 if self.part.asked is None else 60 * self.part.asked.dries)


def calendar_of(found: Iterable[tuple[Part, Sequence]]) -> tuple[PartTurn, ...]:
    """Return when each part is hung, one after another; none unless the pace of every part is told.

    A part begins on the first morning on which the one before is done, and dry where it lines the walls: lining and
    paper are hung on different days [practice].
    """
    turns: list[PartTurn] = []
    for part, sequence in found:
        pace = part.scenario.pace
        timetable = None if pace is None else timetable_of(sequence, pace)
        if pace is None or timetable is None or not timetable.acts:
            return ()
        before = max((turn.dry for turn in turns), default=pace.begin)
        day = max(ceil((before - pace.begin) / DAY), 0) + 1
        turns.append(PartTurn(part, day, (day - 1) * DAY + max(act.end for act in timetable.acts)))
    return tuple(turns)
