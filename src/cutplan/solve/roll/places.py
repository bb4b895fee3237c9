"""The places where drops may start, as plain numbers: all that a small room asks for.

:mod:`~cutplan.solve.roll.graph` says what nodes, classes, groups and windows are, and puts them into arrays.
"""

from __future__ import annotations

from bisect import bisect_left
from typing import Final, NamedTuple

from msgspec import Struct, field

from cutplan.plan.plan import TOO_MANY
from cutplan.solve.clock import UNHURRIED, Clock, TimeIsUp
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


class Window(NamedTuple):
    """A stretch of the print: its first node, the coordinate where its paper ends, its roll type, and which stretch."""

    first: int
    limit: int
    roll_type: int
    stretch: int


class Places(Struct, frozen=True):
    """Nodes and windows. The nodes of one repeat are those of the next, as many as there are classes."""

    repeat: int
    """Period of the print."""
    offsets: tuple[int, ...]
    """Where in the repeat the drops of each class start, ascending."""
    classes: tuple[tuple[Step, ...], ...]
    """For each class the steps that cut a kind of it at once, shortest first."""
    windows: tuple[Window, ...]
    """The windows of all roll types."""
    end: int
    """The node at which nothing can start: so many lie before it."""
    _options: dict[int, tuple[Step, ...]] = field(default_factory=dict)

    @property
    def furthest(self) -> int:
        """No step leads on by more nodes."""
        return len(self.classes) + max(steps[-1].nodes for steps in self.classes)

    def coordinate(self, node: int) -> int:
        """Return where a node lies, from a datum of the print."""
        passed, number = divmod(node, len(self.offsets))
        return passed * self.repeat + self.offsets[number]

    def by_stretch(self, instance: Instance) -> list[list[list[int]]]:
        """Return the windows by roll type and stretch."""
        windows: list[list[list[int]]] = [[[] for _ in roll_type.stretches] for roll_type in instance.roll_types]
        for number, window in enumerate(self.windows):
            windows[window.roll_type][window.stretch].append(number)
        return windows

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
                for step in self.classes[other]
            )
        return known


def places_on(instance: Instance, clock: Clock = UNHURRIED) -> Places:
    """Return the places on the rolls of ``instance``, whose print repeats.

    Raises TimeIsUp when there are so many that ``clock`` leaves no time, or no machine has room, to reckon with them.
    """
    repeat = instance.repeat
    members_of: dict[int, list[tuple[int, int]]] = {}
    for index, kind in enumerate(instance.kinds):
        members_of.setdefault(-kind.phase % repeat, []).append((kind.length, index))
    offsets = sorted(members_of)
    classes = tuple(
        tuple(
            Step(kind, nodes_before(offsets, repeat, sigma + length) - number, length)
            for length, kind in sorted(members_of[sigma])
        )
        for number, sigma in enumerate(offsets)
    )
    windows = tuple(_windows(instance, offsets))
    end = nodes_before(offsets, repeat, max([0, *(window.limit for window in windows)]))
    cells = end * len(windows)
    if cells > MOST_CELLS:
        raise TimeIsUp(TOO_MANY)
    clock.check_for(cells * SECONDS_A_CELL)
    windows = tuple(window._replace(first=min(window.first, end)) for window in windows)
    return Places(repeat, tuple(offsets), classes, windows, end)


def nodes_before(offsets: list[int], repeat: int, coordinate: int) -> int:
    """Return how many nodes lie at 0 ≤ place < ``coordinate``."""
    whole, rest = divmod(coordinate, repeat)
    return whole * len(offsets) + bisect_left(offsets, rest)


def _windows(instance: Instance, offsets: list[int]) -> list[Window]:
    windows = []
    for index, roll_type in enumerate(instance.roll_types):
        for number, stretch in enumerate(roll_type.stretches):
            span = instance.span(stretch)
            if stretch.datum is None:
                windows += [Window(first, sigma + span, index, number) for first, sigma in enumerate(offsets)]
            else:
                outer_end = -stretch.datum % instance.repeat
                windows.append(Window(bisect_left(offsets, outer_end), outer_end + span, index, number))
    return windows
