"""How much paper can be used, and what it can be worth, on rolls without a print to match."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final

import numpy as np

from cutplan.solve.ordering.faces import StretchRest

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from numpy.typing import NDArray

    from cutplan.solve.ordering.faces import CutShape, Place, RollFace, Span, Values

MOST_CELLS: Final = 12_000
"""Sums of lengths that are told apart, at most, on a roll of a free match."""


def free_face(shapes: Sequence[CutShape], spans: Iterable[Span], prices: Sequence[Sequence[int]]) -> RollFace:
    """Return the face of rolls with these ``spans``."""
    return _Free(shapes, dict.fromkeys(spans), prices)


class _Free:
    """A face without a print to match: a place is the length that is left, and 0.

    What is left serves as far as lengths of drops can add up within it. Where there are too many such sums, they
    are counted in coarser cells, of which no drop is said to take more than it does.
    """

    def __init__(self, shapes: Sequence[CutShape], spans: Iterable[Span], prices: Sequence[Sequence[int]]) -> None:
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

    def after_each(self, place: Place) -> list[tuple[Place, StretchRest | None] | None]:
        cuts = [self.cut(place, kind) for kind in range(len(self.lengths))]
        return [after and (after, self.rest(after)) for after in cuts]

    def rest(self, place: Place) -> StretchRest | None:
        used = int(self.sums[self._index(place[0])]) if self.cell == 1 else place[0]
        return StretchRest(0, used) if used >= min(self.lengths) else None

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
