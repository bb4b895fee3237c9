"""How much paper can be used, and how much it can be worth, from any place to which a stretch has been cut.

A *face* is a way in which rolls come off: head first or foot first. Along it every kind of drop has its places.
Both faces answer for any number of drops of each kind, so what they say is never too little.
"""

from __future__ import annotations

from bisect import bisect_left
from itertools import pairwise
from typing import TYPE_CHECKING, Final, NamedTuple, Protocol, TypeAlias

import numpy as np

from cutplan.solve.roll.graph import nodes_before

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from numpy.typing import NDArray

    from cutplan.solve.clock import Clock

Place: TypeAlias = "tuple[int, int]"
"""Where a stretch has been cut to, in the terms of its face."""

Values: TypeAlias = "tuple[int, ...]"
"""A worth by each list of prices."""


MOST_CELLS: Final = 12_000
"""Sums of lengths that are told apart, at most, on a roll of a free match."""


class Shape(NamedTuple):
    """A kind of drop as it comes off: from its outer end to a motif datum, and its length."""

    phase: int
    length: int


class Span(NamedTuple):
    """A stretch that may be cut: how much of it, and from its beginning to a datum, if that is known."""

    room: int
    datum: int | None


class Rest(NamedTuple):
    """What a stretch can still give: cutting may go on at ``offset`` in the repeat, for a length of ``used``.

    Paper at one offset serves at another after the print has run on to there, if so much more of it is left.
    """

    offset: int
    used: int


class Face(Protocol):
    """What the search asks of paper that comes off in one way."""

    def fresh(self, span: Span) -> Place | None:
        """Return where cutting a fresh stretch begins; None when that depends on the first drop."""

    def begin(self, span: Span, kind: int) -> Place | None:
        """Return where a fresh stretch has been cut to after one drop; None when it does not fit."""

    def cut(self, place: Place, kind: int) -> Place | None:
        """Return where a stretch has been cut to after one drop more; None when it does not fit."""

    def after_each(self, place: Place) -> list[tuple[Place, Rest | None] | None]:
        """Return, for each kind, where one drop more leads and its rest; None where it does not fit."""

    def rest(self, place: Place) -> Rest | None:
        """Return what all places have in common that can give the same; None when nothing fits any more."""

    def worth(self, place: Place) -> Values:
        """Return the most that can still be cut from ``place`` on, by each list of prices."""

    def fresh_worth(self, span: Span) -> Values:
        """Return the most that can be cut from a fresh stretch, by each list of prices."""


def face_of(
    repeat: int, shapes: Sequence[Shape], spans: Iterable[Span], prices: Sequence[Sequence[int]], clock: Clock
) -> Face:
    """Return the face of rolls with these ``spans``; ``repeat`` is 0 for a free match.

    Raises TimeIsUp when ``clock`` ends before it is made.
    """
    spans = dict.fromkeys(spans)
    return _Printed(repeat, shapes, spans, prices, clock) if repeat else _Free(shapes, spans, prices)


class _Printed:
    """A face with a print that repeats.

    Put the print's datums at multiples of the repeat: then drops of phase p may start at −p (mod R), and all places
    where any drop may start, sorted along the paper, are the nodes. A window is a stretch of them: a place is a
    node and a window.
    """

    def __init__(
        self,
        repeat: int,
        shapes: Sequence[Shape],
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
        self._classes, self._leads = np.array(self.classes), np.array(self.leads)
        self._lengths, self._coordinates = np.array(self.lengths), np.array(self.coordinates)
        self._tabulate(prices)

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

    def _tabulate(self, prices: Sequence[Sequence[int]]) -> None:
        """Find, from the last node to the first, how much of each window can be used and what it can be worth."""
        limits = np.array(self.limits, dtype=np.int64)
        shape = (self.end + 1, len(limits))
        self.used: NDArray[np.int64] = np.zeros(shape, dtype=np.int64)
        self.worths: NDArray[np.int64] = np.zeros((len(prices), *shape), dtype=np.int64)
        kinds_of: list[list[int]] = [[] for _ in self.offsets]
        for kind, number in enumerate(self.classes):
            kinds_of[number].append(kind)
        for node in range(self.end - 1, -1, -1):
            self.clock.check()
            here = self.coordinates[node]
            used, worth = self._used_from(node + 1, here), self.worths[:, node + 1].copy()
            for kind in kinds_of[node % len(self.offsets)]:
                head = min(node + self.leads[kind], self.end)
                fits = here + self.lengths[kind] <= limits
                further = np.maximum(self.lengths[kind], self._used_from(head, here))
                np.maximum(used, further, out=used, where=fits)
                for number, price_of in enumerate(prices):
                    np.maximum(worth[number], self.worths[number, head] + price_of[kind], out=worth[number], where=fits)
            self.used[node], self.worths[:, node] = used, worth

    def _used_from(self, node: int, here: int) -> NDArray[np.int64]:
        """Return how much can be used from coordinate ``here`` on by going on from ``node``; 0 for nothing."""
        used = self.used[node]
        return np.where(used > 0, used + (self.coordinates[node] - here), 0)

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

    def after_each(self, place: Place) -> list[tuple[Place, Rest | None] | None]:
        node, window = place
        starts = node + (self._classes - node) % len(self.offsets)
        ends = self._coordinates[np.minimum(starts, self.end)] + self._lengths
        heads = np.minimum(starts + self._leads, self.end)
        fits = (starts < self.end) & (ends <= self.limits[window])
        places: dict[int, tuple[Place, Rest | None]] = {}
        found: list[tuple[Place, Rest | None] | None] = []
        for head, used, is_fitting in zip(
            heads.tolist(), self.used[heads, window].tolist(), fits.tolist(), strict=True
        ):
            if not is_fitting:
                found.append(None)
                continue
            if head not in places:
                rest = Rest(self.offsets[head % len(self.offsets)], used) if used else None
                places[head] = (head, window), rest
            found.append(places[head])
        return found

    def rest(self, place: Place) -> Rest | None:
        used = int(self.used[place])
        return Rest(self.offsets[place[0] % len(self.offsets)], used) if used else None

    def worth(self, place: Place) -> Values:
        return tuple(int(worth[place]) for worth in self.worths)

    def fresh_worth(self, span: Span) -> Values:
        worths = [self.worth((min(node, self.end), window)) for node, window in self.windows[span]]
        return tuple(max(by_window) for by_window in zip(*worths, strict=True))


class _Free:
    """A face without a print to match: a place is the length that is left, and 0.

    What is left serves as far as lengths of drops can add up within it. Where there are too many such sums, they
    are counted in coarser cells, of which no drop is said to take more than it does.
    """

    def __init__(self, shapes: Sequence[Shape], spans: Iterable[Span], prices: Sequence[Sequence[int]]) -> None:
        self.lengths = [shape.length for shape in shapes]
        room = max(0, *(span.room for span in spans))
        self.cell = room // MOST_CELLS + 1
        lengths = [length // self.cell for length in self.lengths]
        self.sums = np.array(_sums(lengths, room // self.cell), dtype=np.int64)
        before = np.searchsorted(self.sums, self.sums[:, None] - lengths, side="right") - 1
        price_of = np.array(prices, dtype=np.int64).T
        self.worths: NDArray[np.int64] = np.zeros((len(self.sums), len(prices)), dtype=np.int64)
        # Sums that differ by less than the shortest length do not build on one another.
        steps = np.arange(0, room // self.cell + 1, max(min(lengths), 1))
        blocks = np.searchsorted(self.sums, steps).tolist()
        for begin, end in pairwise([*blocks, len(self.sums)]):
            reached = before[begin:end, :, None]
            worth = np.where(reached >= 0, self.worths[before[begin:end]] + price_of, 0)
            self.worths[begin:end] = worth.max(axis=1, initial=0)

    def _index(self, room: int) -> int:
        """Return the index of the greatest sum of lengths within ``room``."""
        return int(np.searchsorted(self.sums, room // self.cell, side="right")) - 1

    def fresh(self, span: Span) -> Place | None:
        return (span.room, 0)

    def begin(self, span: Span, kind: int) -> Place | None:
        return self.cut((span.room, 0), kind)

    def cut(self, place: Place, kind: int) -> Place | None:
        left = place[0] - self.lengths[kind]
        return (left, 0) if left >= 0 else None

    def after_each(self, place: Place) -> list[tuple[Place, Rest | None] | None]:
        cuts = [self.cut(place, kind) for kind in range(len(self.lengths))]
        return [after and (after, self.rest(after)) for after in cuts]

    def rest(self, place: Place) -> Rest | None:
        used = int(self.sums[self._index(place[0])]) if self.cell == 1 else place[0]
        return Rest(0, used) if used >= min(self.lengths) else None

    def worth(self, place: Place) -> Values:
        return tuple(self.worths[self._index(place[0])].tolist())

    def fresh_worth(self, span: Span) -> Values:
        return self.worth((span.room, 0))


def _sums(lengths: Sequence[int], room: int) -> list[int]:
    """Return every sum of ``lengths``, each taken any number of times, up to ``room``, ascending."""
    reached = {0}
    edge = [0]
    while edge:
        edge = [total + length for total in edge for length in lengths if total + length <= room]
        edge = [total for total in dict.fromkeys(edge) if total not in reached]
        reached.update(edge)
    return sorted(reached)
