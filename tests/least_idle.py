"""The least idle minutes of any table on one day, by trying everything: each act at each whole minute it may begin."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator
    from collections.abc import Sequence as Rows

    from cutplan.table.timetable import Pace

Work = tuple[int, int, int, tuple[int, ...], int, int]
"""Cut, pasted, hung; how long until each length that soaks is to hang; how long table and wall are still busy."""


def least_idle(to_hang: Rows[int], pace: Pace) -> Fraction:
    """Return the least idle minutes of whoever hangs, for lengths each cut before it is pasted; whole minutes only."""
    here: set[Work] = {(0, 0, 0, (), 0, 0)}
    minute = 0
    while True:
        here = {after for work in here for after in _begun(work, to_hang, pace)}
        ends = [work[5] for work in here if work[2] == len(to_hang)]
        if ends:
            mine = sum(to_hang) + (0 if pace.has_mate else len(to_hang) * (pace.to_cut + pace.to_paste))
            return Fraction(minute + min(ends)) - mine
        minute += 1
        later = (
            (cut, pasted, hung, tuple(wait - 1 for wait in soaking), max(table - 1, 0), max(wall - 1, 0))
            for cut, pasted, hung, soaking, table, wall in here
            if not soaking or soaking[0] > 0
        )
        here = set(later)


def _begun(work: Work, to_hang: Rows[int], pace: Pace) -> Iterator[Work]:
    """Yield the work with nothing, or anything that may be, begun this minute: all that follows from it."""
    yield work
    cut, pasted, hung, soaking, table, wall = work
    free = table == 0 and (pace.has_mate or wall == 0)
    if soaking and soaking[0] == 0 and wall == 0 and (pace.has_mate or table == 0):
        long = to_hang[hung]
        yield from _begun((cut, pasted, hung + 1, soaking[1:], table, long), to_hang, pace)
    if free and cut < len(to_hang):
        yield from _begun((cut + 1, pasted, hung, soaking, int(pace.to_cut), wall), to_hang, pace)
    if free and pasted < cut:
        due = int(pace.to_paste + pace.soak)
        waiting = sum(wait > pace.to_paste for wait in soaking)
        if waiting < pace.folded and (not soaking or soaking[-1] + to_hang[pasted - 1] <= due):
            yield from _begun((cut, pasted + 1, hung, (*soaking, due), int(pace.to_paste), wall), to_hang, pace)
