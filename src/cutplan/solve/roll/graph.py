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
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from cutplan.plan.plan import TOO_MANY
from cutplan.solve.clock import UNHURRIED, TimeIsUp

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from cutplan.solve.clock import Clock
    from cutplan.solve.instance import Instance


SECONDS_A_CELL: Final = 1e-7
"""At least so long takes a place in a window, once built and priced."""

MOST_CELLS: Final = 60_000_000
"""More places in all windows than this, of 8 bytes in each of several tables, are not reckoned with."""


class Step(NamedTuple):
    """A drop cut after some waiting, or none: the kind, how many nodes on it leads, and the paper up to its end."""

    kind: int
    nodes: int
    length: int


@dataclass(frozen=True, slots=True)
class PhaseClass:
    """Kinds that may start at the same places.

    Attributes
    ----------
    kinds
        Indices of the kinds, shortest first.
    lengths
        Their lengths, ascending.
    leads
        By how many nodes each group leads on, ascending.
    group_starts
        Index into ``kinds`` where each group begins.
    group_of
        Group of each kind, by its place in ``kinds``.

    """

    kinds: NDArray[np.int64]
    lengths: NDArray[np.int64]
    leads: NDArray[np.int64]
    group_starts: NDArray[np.int64]
    group_of: NDArray[np.int64]

    @property
    def steps(self) -> tuple[Step, ...]:
        """The steps that cut a kind of the class at once."""
        columns = (self.kinds, self.leads[self.group_of], self.lengths)
        return tuple(map(Step._make, zip(*(column.tolist() for column in columns), strict=True)))


@dataclass(frozen=True, slots=True)
class Graph:
    """Nodes, arcs and windows. The nodes of one repeat are those of the next, as many as there are classes.

    Attributes
    ----------
    repeat
        Period of the print.
    offsets
        Where in the repeat the drops of each class start, ascending.
    coordinate
        Of each node, ascending, from a datum of the print.
    class_of
        Class of each node.
    classes
        The classes.
    arc_starts
        For each node its first arc, and the number of arcs at last.
    arc_groups
        The group that each arc cuts; the groups of all classes are numbered through.
    heads
        The node that each arc leads to. ``len(coordinate)`` is the end: nothing can start there.
    blocks
        Nodes, ascending from 0 to the end, between two of which no arc leads from node to node.
    kinds, steps_lead
        The kinds of one class after the other, shortest first in each, and by how many nodes each leads on.
    class_starts
        Index into ``kinds`` where each class begins, and their number at last.
    first, limit, roll_type, stretch
        For each window: its first node, the coordinate where its paper ends, its roll type, and which stretch of it.
    fitting
        ``fitting[node, window]``: how many kinds of the node's class, shortest first, end within the window.
    """

    repeat: int
    offsets: tuple[int, ...]
    coordinate: NDArray[np.int64]
    class_of: NDArray[np.int64]
    classes: tuple[PhaseClass, ...]
    arc_starts: NDArray[np.int64]
    arc_groups: NDArray[np.int64]
    heads: NDArray[np.int64]
    blocks: tuple[int, ...]
    kinds: NDArray[np.int64]
    steps_lead: NDArray[np.int64]
    class_starts: NDArray[np.int64]
    first: NDArray[np.int64]
    limit: NDArray[np.int64]
    roll_type: NDArray[np.int64]
    stretch: NDArray[np.int64]
    fitting: NDArray[np.int64]
    _steps: dict[int, tuple[Step, ...]] = field(default_factory=dict)
    _options: dict[int, tuple[Step, ...]] = field(default_factory=dict)
    _side_by_side: dict[int, tuple[NDArray[np.int64], NDArray[np.int64]]] = field(default_factory=dict)

    @property
    def furthest(self) -> int:
        """No step leads on by more nodes."""
        return len(self.classes) + max(int(phase_class.leads[-1]) for phase_class in self.classes)

    @property
    def end(self) -> int:
        """The node at which nothing can start."""
        return len(self.coordinate)

    def steps(self, number: int) -> tuple[Step, ...]:
        """Return the steps from a node of class ``number`` that cut a kind at once, shortest first."""
        known = self._steps.get(number)
        if known is None:
            known = self._steps[number] = self.classes[number].steps
        return known

    def steps_at(self, nodes: NDArray[np.int64]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Return all steps from ``nodes`` as indices into ``kinds``, and from which of the nodes each leads."""
        number = nodes % len(self.classes)
        first = self.class_starts[number]
        many = self.class_starts[number + 1] - first
        owner = np.repeat(np.arange(len(nodes)), many)
        return np.arange(len(owner)) + (first + many - np.cumsum(many))[owner], owner

    def options(self, number: int) -> tuple[Step, ...]:
        """Return the steps from a node of class ``number`` that cut a kind there or later; they may lead past the end.

        Within one repeat every class is passed once: later places only lose paper.
        """
        known = self._options.get(number)
        if known is None:
            passed = (*range(number, len(self.classes)), *range(number))
            known = self._options[number] = tuple(
                Step(
                    step.kind,
                    nodes + step.nodes,
                    (self.offsets[other] - self.offsets[number]) % self.repeat + step.length,
                )
                for nodes, other in enumerate(passed)
                for step in self.steps(other)
            )
        return known

    def options_side_by_side(self, number: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Return the kinds of :meth:`options`, and by how many nodes each leads on."""
        known = self._side_by_side.get(number)
        if known is None:
            kinds, nodes, _ = np.array(self.options(number), dtype=np.int64).T
            known = self._side_by_side[number] = kinds.copy(), nodes.copy()
        return known


def graph_of(instance: Instance, clock: Clock = UNHURRIED) -> Graph:
    """Return the places of ``instance``, whose print repeats.

    Raises TimeIsUp when there are so many that ``clock`` leaves no time, or no machine has room, to reckon with them.
    """
    repeat = instance.repeat
    members_of: dict[int, list[tuple[int, int]]] = {}
    for index, kind in enumerate(instance.kinds):
        members_of.setdefault(-kind.phase % repeat, []).append((kind.length, index))
    offsets = sorted(members_of)
    classes = []
    for number, sigma in enumerate(offsets):
        members = sorted(members_of[sigma])
        classes.append(
            _phase_class(members, [nodes_before(offsets, repeat, sigma + length) - number for length, _ in members])
        )
    windows = _windows(instance, offsets)
    count = nodes_before(offsets, repeat, max([0, *(limit for _, limit, _, _ in windows)]))
    cells = count * len(windows)
    if cells > MOST_CELLS:
        raise TimeIsUp(TOO_MANY)
    clock.check_for(cells * SECONDS_A_CELL)
    nodes = np.arange(count)
    class_of = nodes % len(offsets)
    coordinate = nodes // len(offsets) * repeat + np.array(offsets, dtype=np.int64)[class_of]
    first, limit, roll_type, stretch = (np.array(column, dtype=np.int64) for column in zip(*windows, strict=True))
    arc_starts, arc_groups, heads = _arcs(classes, count)
    return Graph(
        repeat=repeat,
        offsets=tuple(offsets),
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
        first=np.minimum(first, count),
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


def nodes_before(offsets: list[int], repeat: int, coordinate: int) -> int:
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
        leads=np.array([steps[place] for place in starts], dtype=np.int64),
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
