"""The places on a roll where a drop may start, as plain data that a test can read.

A drop may start only where the print is right for it: once in every repeat. Put the print's datums at
multiples of the repeat; then drops of phase p may start at σ = −p (mod R), and all their places are
σ, σ + R, σ + 2R … Drops of one phase form a *class*. Sorted along the paper, the places of all classes are the nodes. A
drop cut at a node leads to the first node at or beyond its end; waiting from a node to the next costs
paper and nothing else. Kinds of one class that lead to the same node are a *group*: they differ only as the
last of a roll.

A roll is a stretch of this print: a first node and a limit. A roll with a measured start is one such
*window*; a sealed roll is one for each class that may come first.

Layouts of rolls are the paths of the graph (the «arc-flow» of Valério de Carvalho, Annals of Operations
Research 86 (1999) 629–659), and few hundred nodes are enough because a roll is some fifteen repeats long.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from cutplan.solve.instance import Instance


@dataclass(frozen=True, slots=True)
class PhaseClass:
    """Kinds that may start at the same places.

    Attributes
    ----------
    kinds
        Indices of the kinds, shortest first.
    lengths
        Their lengths, ascending.
    group_starts
        Index into ``kinds`` where each group begins.
    group_of
        Group of each kind, by its place in ``kinds``.

    """

    kinds: NDArray[np.int64]
    lengths: NDArray[np.int64]
    group_starts: NDArray[np.int64]
    group_of: NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Graph:
    """Nodes, arcs and windows.

    Attributes
    ----------
    coordinate
        Of each node, ascending, from a datum of the print.
    class_of
        Class of each node.
    classes
        The classes.
    heads
        For each node, the node to which each group of its class leads. ``len(coordinate)`` is the end:
        nothing can start there.
    first, limit, roll_type, stretch
        For each window: its first node, the coordinate where its paper ends, its roll type, and which stretch of it.
    fitting
        ``fitting[node, window]``: how many kinds of the node's class, shortest first, end within the window.
    """

    coordinate: NDArray[np.int64]
    class_of: NDArray[np.int64]
    classes: tuple[PhaseClass, ...]
    heads: tuple[NDArray[np.int64], ...]
    first: NDArray[np.int64]
    limit: NDArray[np.int64]
    roll_type: NDArray[np.int64]
    stretch: NDArray[np.int64]
    fitting: NDArray[np.int64]
    _options: dict[int, tuple[tuple[int, int, int], ...]] = field(default_factory=dict)

    def options(self, node: int) -> tuple[tuple[int, int, int], ...]:
        """Return (kind, node it leads to, coordinate where it ends) for each drop that may come next from ``node`` on.

        Beyond one repeat from ``node`` every class has been passed once: later places only lose paper.
        """
        known = self._options.get(node)
        if known is None:
            places = range(node, min(node + len(self.classes), self.end))
            known = self._options[node] = tuple(option for place in places for option in self._options_at(place))
        return known

    def _options_at(self, node: int) -> Iterator[tuple[int, int, int]]:
        phase_class = self.classes[self.class_of[node]]
        heads = self.heads[node][phase_class.group_of].tolist()
        ends = (phase_class.lengths + self.coordinate[node]).tolist()
        return zip(phase_class.kinds.tolist(), heads, ends, strict=True)

    @property
    def end(self) -> int:
        """The node at which nothing can start."""
        return len(self.coordinate)


def graph_of(instance: Instance) -> Graph:
    """Return the places of ``instance``, whose print repeats."""
    repeat = instance.repeat
    wanted = [(-kind.phase % repeat, kind.length, index) for index, kind in enumerate(instance.kinds)]
    offsets = sorted({sigma for sigma, _, _ in wanted})
    classes, leads = [], []
    for number, sigma in enumerate(offsets):
        members = sorted((length, index) for place, length, index in wanted if place == sigma)
        steps = [_nodes_before(offsets, repeat, sigma + length) - number for length, _ in members]
        classes.append(_phase_class(members, steps))
        leads.append(np.array(sorted(set(steps)), dtype=np.int64))
    windows = _windows(instance, offsets)
    count = _nodes_before(offsets, repeat, max(0, *(limit for _, limit, _, _ in windows)))
    nodes = np.arange(count)
    class_of = nodes % len(offsets)
    coordinate = nodes // len(offsets) * repeat + np.array(offsets, dtype=np.int64)[class_of]
    first, limit, roll_type, stretch = (np.array(column, dtype=np.int64) for column in zip(*windows, strict=True))
    return Graph(
        coordinate=coordinate,
        class_of=class_of,
        classes=tuple(classes),
        heads=tuple(np.minimum(node + leads[class_of[node]], count) for node in range(count)),
        first=np.minimum(first, count),
        limit=limit,
        roll_type=roll_type,
        stretch=stretch,
        fitting=_fitting(coordinate, class_of, classes, limit),
    )


def _nodes_before(offsets: list[int], repeat: int, coordinate: int) -> int:
    """Return how many nodes lie at 0 ≤ place < ``coordinate``."""
    whole, rest = divmod(coordinate, repeat)
    return whole * len(offsets) + bisect_left(offsets, rest)


def _windows(instance: Instance, offsets: list[int]) -> list[tuple[int, int, int, int]]:
    """Return (first node, limit, roll type, stretch) of each window."""
    windows = []
    for index, roll_type in enumerate(instance.roll_types):
        for number, stretch in enumerate(roll_type.stretches):
            span = instance.span(stretch)
            if stretch.datum is None:
                windows += [(first, sigma + span, index, number) for first, sigma in enumerate(offsets)]
            else:
                outer_end = -stretch.datum % instance.repeat
                windows.append((bisect_left(offsets, outer_end), outer_end + span, index, number))
    return windows


def _phase_class(members: list[tuple[int, int]], steps: list[int]) -> PhaseClass:
    starts = [place for place, step in enumerate(steps) if place == 0 or step != steps[place - 1]]
    groups = np.cumsum([place in set(starts) for place in range(len(steps))]) - 1
    return PhaseClass(
        kinds=np.array([index for _, index in members], dtype=np.int64),
        lengths=np.array([length for length, _ in members], dtype=np.int64),
        group_starts=np.array(starts, dtype=np.int64),
        group_of=groups.astype(np.int64),
    )


def _fitting(
    coordinate: NDArray[np.int64],
    class_of: NDArray[np.int64],
    classes: list[PhaseClass],
    limit: NDArray[np.int64],
) -> NDArray[np.int64]:
    fitting = np.zeros((len(coordinate), len(limit)), dtype=np.int64)
    for number, phase_class in enumerate(classes):
        nodes = class_of == number
        room = limit[None, :] - coordinate[nodes, None]
        fitting[nodes] = np.searchsorted(phase_class.lengths, room, side="right")
    return fitting
