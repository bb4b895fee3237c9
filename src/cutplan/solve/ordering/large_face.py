"""How much paper can be used, and what it can be worth, in arrays: for many windows, kinds and lists of prices."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from cutplan.solve.clock import Clock
    from cutplan.solve.ordering.printed_face import Table


class Nodes(Protocol):
    """What is asked of a face: where its nodes and windows lie, and where each kind leads; ``end`` is the last node."""

    clock: Clock
    end: int
    coordinates: list[int]
    limits: list[int]
    leads: list[int]
    lengths: list[int]


def tabulated(face: Nodes, kinds_of: list[list[int]], prices: Sequence[Sequence[int]]) -> tuple[Table, list[Table]]:
    """Return how much of each window can be used from each node on, and what it can be worth by each list of prices."""
    limits = np.array(face.limits, dtype=np.int64)
    shape = (face.end + 1, len(limits))
    used: NDArray[np.int64] = np.zeros(shape, dtype=np.int64)
    worths: NDArray[np.int64] = np.zeros((len(prices), *shape), dtype=np.int64)

    def used_from(node: int, here: int) -> NDArray[np.int64]:
        return np.where(used[node] > 0, used[node] + (face.coordinates[node] - here), 0)

    for node in range(face.end - 1, -1, -1):
        face.clock.check()
        here = face.coordinates[node]
        most, worth = used_from(node + 1, here), worths[:, node + 1].copy()
        for kind in kinds_of[node % len(kinds_of)]:
            head = min(node + face.leads[kind], face.end)
            fits = here + face.lengths[kind] <= limits
            np.maximum(most, np.maximum(face.lengths[kind], used_from(head, here)), out=most, where=fits)
            for number, price_of in enumerate(prices):
                np.maximum(worth[number], worths[number, head] + price_of[kind], out=worth[number], where=fits)
        used[node], worths[:, node] = most, worth
    return used.tolist(), worths.tolist()
