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

from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct, field

from cutplan.solve.clock import UNHURRIED, Clock
from cutplan.solve.instance import Instance
from cutplan.solve.roll.places import Places, Step, places_on

if TYPE_CHECKING:
    from numpy.typing import NDArray


class PhaseClass(Struct, frozen=True):
    """Kinds that may start at the same places."""

    kinds: NDArray[np.int64]
    """Indices of the kinds, shortest first."""
    lengths: NDArray[np.int64]
    """Their lengths, ascending."""
    leads: NDArray[np.int64]
    """By how many nodes each group leads on, ascending."""
    group_starts: NDArray[np.int64]
    """Index into ``kinds`` where each group begins."""
    group_of: NDArray[np.int64]
    """Group of each kind, by its place in ``kinds``."""


class Graph(Struct, frozen=True):
    """Nodes, arcs and windows."""

    places: Places
    """Nodes and windows as plain numbers."""
    coordinate: NDArray[np.int64]
    """Of each node, ascending, from a datum of the print."""
    class_of: NDArray[np.int64]
    classes: tuple[PhaseClass, ...]

    arc_starts: NDArray[np.int64]
    """For each node its first arc, and the number of arcs at last."""
    arc_groups: NDArray[np.int64]
    """The group that each arc cuts; the groups of all classes are numbered through."""
    heads: NDArray[np.int64]
    """The node that each arc leads to. ``len(coordinate)`` is the end: nothing can start there."""
    blocks: tuple[int, ...]
    """Nodes, ascending from 0 to the end, between two of which no arc leads from node to node."""
    kinds: NDArray[np.int64]
    steps_lead: NDArray[np.int64]
    """The kinds of one class after the other, shortest first in each, and by how many nodes each leads on."""
    class_starts: NDArray[np.int64]
    """Index into ``kinds`` where each class begins, and their number at last."""
    first: NDArray[np.int64]
    limit: NDArray[np.int64]
    roll_type: NDArray[np.int64]
    stretch: NDArray[np.int64]
    """For each window: its first node, the coordinate where its paper ends, its roll type, and which stretch of it."""
    fitting: NDArray[np.int64]
    """``fitting[node, window]``: how many kinds of the node's class, shortest first, end within the window."""
    _side_by_side: dict[int, tuple[NDArray[np.int64], NDArray[np.int64]]] = field(default_factory=dict)

    @property
    def end(self) -> int:
        """The node at which nothing can start."""
        return len(self.coordinate)

    def steps_at(self, nodes: NDArray[np.int64]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Return all steps from ``nodes`` as indices into ``kinds``, and from which of the nodes each leads."""
        number = nodes % len(self.classes)
        first = self.class_starts[number]
        many = self.class_starts[number + 1] - first
        owner = np.repeat(np.arange(len(nodes)), many)
        return np.arange(len(owner)) + (first + many - np.cumsum(many))[owner], owner

    def options_side_by_side(self, number: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Return the kinds of the places' options, and by how many nodes each leads on."""
        known = self._side_by_side.get(number)
        if known is None:
            kinds, nodes, _ = np.array(self.places.options(number), dtype=np.int64).T
            known = self._side_by_side[number] = kinds.copy(), nodes.copy()
        return known


def graph_of(instance: Instance, clock: Clock = UNHURRIED) -> Graph:
    """Return the places of ``instance``, whose print repeats.

    Raises TimeIsUp when there are so many that ``clock`` leaves no time, or no machine has room, to reckon with them.
    """
    places = places_on(instance, clock)
    classes, count = [_phase_class(steps) for steps in places.classes], places.end
    nodes = np.arange(count)
    class_of = nodes % len(classes)
    coordinate = nodes // len(classes) * places.repeat + np.array(places.offsets, dtype=np.int64)[class_of]
    first, limit, roll_type, stretch = (
        np.array(column, dtype=np.int64) for column in zip(*places.windows, strict=True)
    )
    arc_starts, arc_groups, heads = _arcs(classes, count)
    return Graph(
        places=places,
        coordinate=coordinate,
        class_of=class_of,
        classes=tuple(classes),
        arc_starts=arc_starts,
        arc_groups=arc_groups,
        heads=heads,
        blocks=_blocks(classes, count),
        kinds=np.concatenate([phase_class.kinds for phase_class in classes]),
        steps_lead=np.concatenate([phase_class.leads[phase_class.group_of] for phase_class in classes]),
        class_starts=np.cumsum([0, *(len(phase_class.kinds) for phase_class in classes)]),
        first=first,
        limit=limit,
        roll_type=roll_type,
        stretch=stretch,
        fitting=_fitting(coordinate, class_of, classes, limit),
    )


def _arcs(classes: list[PhaseClass], count: int) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
    """Return the first arc of each node, and the group and head of each arc: those of one repeat, over and over."""
    repeats = -(-count // len(classes))
    groups = np.array([len(phase_class.leads) for phase_class in classes], dtype=np.int64)
    starts = np.concatenate(([0], np.cumsum(np.tile(groups, repeats)[:count])))
    leads = np.concatenate([number + phase_class.leads for number, phase_class in enumerate(classes)])
    passed = np.repeat(np.arange(repeats), len(leads)) * len(classes)
    heads = np.minimum(np.tile(leads, repeats) + passed, count)
    return starts, np.tile(np.arange(len(leads)), repeats)[: starts[-1]], heads[: starts[-1]]


def _blocks(classes: list[PhaseClass], count: int) -> tuple[int, ...]:
    """Return where blocks begin and the last ends, each as long as can be, from the last back to the first."""
    nearest = [int(phase_class.leads[0]) for phase_class in classes]
    blocks = [count]
    for node in range(count - 2, -1, -1):
        if node + nearest[node % len(classes)] < blocks[-1]:
            blocks.append(node + 1)
    return tuple(sorted({0, *blocks}))


def _phase_class(steps: tuple[Step, ...]) -> PhaseClass:
    kinds, nodes, lengths = np.array(steps, dtype=np.int64).T
    leads, group_starts, group_of = np.unique(nodes, return_index=True, return_inverse=True)
    return PhaseClass(
        kinds=kinds,
        lengths=lengths,
        leads=leads,
        group_starts=group_starts.astype(np.int64),
        group_of=group_of.astype(np.int64),
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
