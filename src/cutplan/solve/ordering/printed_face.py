"""How much paper can be used, and what it can be worth, on rolls with a print that repeats."""

from __future__ import annotations

from bisect import bisect_left
from typing import TYPE_CHECKING, Final, TypeAlias

from cutplan.solve.ordering.faces import StretchRest
from cutplan.solve.roll.places import nodes_before

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from cutplan.solve.clock import Clock
    from cutplan.solve.ordering.faces import CutShape, Place, RollFace, Span, Values

Table: TypeAlias = "list[list[int]]"
"""By node and window."""

MOST_BY_ONE: Final = 100_000
"""Sums that are formed one by one at most: the loading of arrays takes as long."""


def printed_face(
    repeat: int, shapes: Sequence[CutShape], spans: Iterable[Span], prices: Sequence[Sequence[int]], clock: Clock
) -> RollFace:
    """Return the face of rolls with these ``spans``; raises TimeIsUp when ``clock`` ends before it is made."""
    return _Printed(repeat, shapes, dict.fromkeys(spans), prices, clock)


class _Printed:
    """A face with a print that repeats.

    Put the print's datums at multiples of the repeat: then drops of phase p may start at −p (mod R), and all places
    where any drop may start, sorted along the paper, are the nodes. A window is a stretch of them: a place is a
    node and a window.
    """

    def __init__(
        self,
        repeat: int,
        shapes: Sequence[CutShape],
        spans: Iterable[Span],
        prices: Sequence[Sequence[int]],
        clock: Clock,
    ) -> None:
        self.clock = clock
        self.repeat = repeat
        self.lengths = [shape.length for shape in shapes]
        self.offsets = sorted({-shape.phase % repeat for shape in shapes})
        self.classes = [bisect_left(self.offsets, -shape.phase % repeat) for shape in shapes]
        self.leads = [
            self._nodes_before(self.offsets[number] + length) - number
            for number, length in zip(self.classes, self.lengths, strict=True)
        ]
        self.limits: list[int] = []
        self.windows = {span: self._windows(span) for span in spans}
        self.end = self._nodes_before(max(0, *self.limits))
        count = len(self.offsets)
        self.coordinates = [node // count * repeat + self.offsets[node % count] for node in range(self.end + count)]
        kinds_of = [[kind for kind, number in enumerate(self.classes) if number == own] for own in range(count)]
        self.used, self.worths = self._tabulated(kinds_of, prices)

    def _nodes_before(self, coordinate: int) -> int:
        return nodes_before(self.offsets, self.repeat, coordinate)

    def _windows(self, span: Span) -> list[tuple[int, int]]:
        """Return (first node, window) for each class that may come first; one pair where the datum is known."""
        if span.datum is not None:
            begin = -span.datum % self.repeat
            firsts = [(self._nodes_before(begin), begin + span.room)]
        else:
            firsts = [(number, offset + span.room) for number, offset in enumerate(self.offsets)]
        windows = [(first, len(self.limits) + number) for number, (first, _) in enumerate(firsts)]
        self.limits += [limit for _, limit in firsts]
        return windows

    def _tabulated(self, kinds_of: list[list[int]], prices: Sequence[Sequence[int]]) -> tuple[Table, list[Table]]:
        """Return how much of each window can be used from each node on, and what it can be worth by each list."""
        cells = self.end * len(self.limits)
        if cells * len(prices) * len(self.lengths) // len(kinds_of) > MOST_BY_ONE:
            from cutplan.solve.ordering.large_face import tabulated  # noqa: PLC0415 - loaded where arrays save time

            return tabulated(self, kinds_of, prices)
        columns = [self._column(limit, kinds_of, prices) for limit in self.limits]
        used, *worths = ([list(nodes) for nodes in zip(*tables, strict=True)] for tables in zip(*columns, strict=True))
        return used, worths

    def _column(self, limit: int, kinds_of: list[list[int]], prices: Sequence[Sequence[int]]) -> list[list[int]]:
        """Return what :meth:`_tabulated` says of the window that ends at ``limit``: used, then worth by each list."""
        self.clock.check()
        used = [0] * (self.end + 1)
        worths = [[0] * (self.end + 1) for _ in prices]
        for node in range(self.end - 1, -1, -1):
            here = self.coordinates[node]
            fitting = [
                (kind, min(node + self.leads[kind], self.end))
                for kind in kinds_of[node % len(kinds_of)]
                if here + self.lengths[kind] <= limit
            ]
            reached = [(node + 1, 0), *((head, self.lengths[kind]) for kind, head in fitting)]
            used[node] = max(max(least, self._further(used, head, here)) for head, least in reached)
            for worth, price_of in zip(worths, prices, strict=True):
                worth[node] = max([worth[node + 1], *(worth[head] + price_of[kind] for kind, head in fitting)])
        return [used, *worths]

    def _further(self, used: list[int], node: int, here: int) -> int:
        """Return how much can be used from coordinate ``here`` on by going on from ``node``; 0 for nothing."""
        return used[node] + self.coordinates[node] - here if used[node] else 0

    def fresh(self, span: Span) -> Place | None:
        if span.datum is None:
            return None
        node, window = self.windows[span][0]
        return min(node, self.end), window

    def begin(self, span: Span, kind: int) -> Place | None:
        return self.cut(self.fresh(span) or self.windows[span][self.classes[kind]], kind)

    def cut(self, place: Place, kind: int) -> Place | None:
        node, window = place
        node += (self.classes[kind] - node) % len(self.offsets)
        if node >= self.end or self.coordinates[node] + self.lengths[kind] > self.limits[window]:
            return None
        return min(node + self.leads[kind], self.end), window

    def after_each(self, place: Place) -> list[tuple[Place, StretchRest | None] | None]:
        cuts = [self.cut(place, kind) for kind in range(len(self.lengths))]
        rests = {after: self.rest(after) for after in dict.fromkeys(cuts) if after is not None}
        return [after and (after, rests[after]) for after in cuts]

    def rest(self, place: Place) -> StretchRest | None:
        node, window = place
        used = self.used[node][window]
        return StretchRest(self.offsets[node % len(self.offsets)], used) if used else None

    def worth(self, place: Place) -> Values:
        node, window = place
        return tuple(worth[node][window] for worth in self.worths)

    def fresh_worth(self, span: Span) -> Values:
        worths = [self.worth((min(node, self.end), window)) for node, window in self.windows[span]]
        return tuple(max(by_window) for by_window in zip(*worths, strict=True))
