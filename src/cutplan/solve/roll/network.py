"""The steps that layouts may take along a roll, as plain data for an integer programme to walk."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

from msgspec import Struct

WAITING = -1
"""In place of a kind, on an arc along which nothing is cut."""


class Arc(NamedTuple):
    """A step along a roll: from one node to a later one, cutting ``kind`` or waiting."""

    tail: int
    head: int
    kind: int


class Network(Struct, frozen=True):
    """The steps that layouts of one roll type may take, from the first node to the last."""

    roll_type: int
    first: int
    last: int
    arcs: tuple[Arc, ...]


Steps = dict[int, tuple[Arc, ...]]
"""The steps along one stretch of a roll, by window."""


def in_series(roll_type: int, stretches: Sequence[Steps], first: Mapping[int, int], end: int) -> Network:
    """Return one network in which a roll passes one window of each stretch, from the outer end on.

    ``first`` is the node at which each window begins, ``end`` the node at which all of them end. No window serves two
    stretches.
    """
    gates = range(-1, -2 - len(stretches), -1)
    arcs = []
    for steps, (enter, leave) in zip(stretches, pairwise(gates), strict=True):
        for window, steps_of_window in steps.items():
            base = window * (end + 1)
            arcs.append(Arc(enter, base + first[window], WAITING))
            arcs += [Arc(base + arc.tail, base + arc.head, arc.kind) for arc in steps_of_window]
            arcs.append(Arc(base + end, leave, WAITING))
    return Network(roll_type, gates[0], gates[-1], tuple(arcs))
