"""What a roll of a repeating print can hold: longest paths through its places, exact in whole numbers.

At given prices the value of a window is the most that drops cut from it, in any number of each kind, can be worth
together. It prices columns, proves bounds, and steers the filling of one roll.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from cutplan.solve.graph import graph_of
from cutplan.solve.layout import Layout
from cutplan.solve.network import WAITING, Arc, Network, in_series

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from cutplan.solve.graph import Graph
    from cutplan.solve.instance import Instance
    from cutplan.solve.network import Steps
    from cutplan.solve.rolls import Prices

PATIENCE = 200
"""Drops that the filling of one stretch may try before it takes the best layout found."""

Windows = list[list[list[int]]]
"""Windows by roll type and stretch."""


@dataclass(frozen=True)
class PhasedWorth:
    """Values to go at every node of every window.

    Attributes
    ----------
    windows
        For each roll type and each of its stretches, the windows it may be cut by.
    prices
        Price of each kind.
    to_go
        ``to_go[node, window]``: the most that can still be cut from the node on; the last row, the end, is 0.

    """

    graph: Graph
    windows: Windows
    prices: Prices
    to_go: NDArray[np.int64]

    @cached_property
    def of_windows(self) -> list[int]:
        """The value of each window."""
        windows: list[int] = self.to_go[self.graph.first, np.arange(len(self.graph.first))].tolist()
        return windows

    @cached_property
    def by_type(self) -> list[int]:
        """The most that a roll of each type can be worth: the sum over its stretches of the best window."""
        return [
            sum(max(self.of_windows[window] for window in windows) for windows in stretches)
            for stretches in self.windows
        ]

    def layouts_above(self, allowance: Sequence[int]) -> list[Layout]:
        """Return the best layout of each first window that makes its roll worth more than its type's allowance."""
        layouts: dict[Layout, None] = {}
        for roll_type, (first, *others) in enumerate(self.windows):
            best = [max(windows, key=self.of_windows.__getitem__) for windows in others]
            rest = sum(self.of_windows[window] for window in best)
            tail = tuple(kind for window in best for kind in self._best_kinds(window))
            for window in first:
                if self.of_windows[window] + rest > allowance[roll_type]:
                    layouts[Layout(roll_type, (*self._best_kinds(window), *tail))] = None
        return list(layouts)

    def fill(self, roll_type: int, remaining: Sequence[int]) -> Layout:
        """Return the most valuable layout found by depth, dearest first, with the values to go as its bound."""
        kinds: list[int] = []
        left = list(remaining)
        for windows in self.windows[roll_type]:
            filling = _Filling(self.graph, self.prices.tolist(), left)
            for window in sorted(windows, key=lambda window: -self.of_windows[window]):
                if self.of_windows[window] > filling.best_worth:
                    filling.search(window, self.to_go[:, window].tolist())
            kinds += filling.best
            for kind in filling.best:
                left[kind] -= 1
        return Layout(roll_type, tuple(kinds))

    def _best_kinds(self, window: int) -> list[int]:
        """Return kinds cut from the window that are worth its value."""
        kinds = []
        node = int(self.graph.first[window])
        to_go = self.to_go[:, window]
        while to_go[node] > 0:
            if to_go[node + 1] == to_go[node]:
                node += 1
                continue
            kind, node = self._step(node, window)
            kinds.append(kind)
        return kinds

    def _step(self, node: int, window: int) -> tuple[int, int]:
        """Return a kind that keeps the value to go from ``node``, and the node it leads to."""
        graph = self.graph
        phase_class = graph.classes[graph.class_of[node]]
        fitting = graph.fitting[node, window]
        kinds = phase_class.kinds[:fitting]
        heads = graph.heads[node][phase_class.group_of[:fitting]]
        worth = self.prices[kinds] + self.to_go[heads, window]
        pick = int(np.argmax(worth))
        return int(kinds[pick]), int(heads[pick])


class PhasedRolls:
    """The rolls of an instance whose print repeats."""

    def __init__(self, instance: Instance) -> None:
        self.graph = graph_of(instance)
        self.windows: Windows = [[[] for _ in roll_type.stretches] for roll_type in instance.roll_types]
        for window, (roll_type, stretch) in enumerate(zip(self.graph.roll_type, self.graph.stretch, strict=True)):
            self.windows[roll_type][stretch].append(window)

    def worth(self, prices: Prices) -> PhasedWorth:
        """Return the values to go at ``prices``."""
        graph = self.graph
        to_go = np.zeros((graph.end + 1, len(graph.first)), dtype=np.int64)
        of_group, of_last = self._class_prices(prices)
        for node in range(graph.end - 1, -1, -1):
            number = graph.class_of[node]
            onward = to_go[graph.heads[node]]
            best = np.where(onward > 0, onward + of_group[number], 0).max(axis=0)
            np.maximum(best, of_last[number][graph.fitting[node]], out=best)
            np.maximum(best, to_go[node + 1], out=to_go[node])
        return PhasedWorth(graph, self.windows, prices, to_go)

    def _class_prices(self, prices: Prices) -> tuple[list[NDArray[np.int64]], list[NDArray[np.int64]]]:
        """Return, by class, the dearest price in each group (as a column) and among the n shortest kinds."""
        of_group, of_last = [], []
        for phase_class in self.graph.classes:
            price = prices[phase_class.kinds]
            of_group.append(np.maximum.reduceat(price, phase_class.group_starts)[:, None])
            of_last.append(np.concatenate(([0], np.maximum.accumulate(price))))
        return of_group, of_last

    def networks(self, prices: Sequence[int], least: Sequence[int]) -> list[Network]:
        """Return, for each roll type, the steps through which some layout is worth ``least`` of it."""
        worth = self.worth(np.asarray(prices, dtype=np.int64))
        before = self._worth_before(worth.prices)
        first = dict(enumerate(self.graph.first.tolist()))
        networks = []
        for roll_type, stretches in enumerate(self.windows):
            spare = worth.by_type[roll_type] - least[roll_type]
            if spare < 0:
                continue
            steps = [self._steps(worth, before, windows, spare) for windows in stretches]
            networks.append(in_series(roll_type, steps, first, self.graph.end))
        return networks

    def _steps(self, worth: PhasedWorth, before: NDArray[np.int64], windows: list[int], spare: int) -> Steps:
        """Return the steps of each window of a stretch that lose no more than ``spare`` against its best."""
        enough = max(worth.of_windows[window] for window in windows) - spare
        return {
            window: tuple(self._arcs(worth, before[:, window].tolist(), window, enough))
            for window in windows
            if worth.of_windows[window] >= enough
        }

    def _worth_before(self, prices: Prices) -> NDArray[np.int64]:
        """Return the most that can be cut before each node of each window; -1 where no path leads."""
        graph = self.graph
        before = np.full((graph.end + 1, len(graph.first)), -1, dtype=np.int64)
        before[graph.first, np.arange(len(graph.first))] = 0
        of_group, _ = self._class_prices(prices)
        for node in range(graph.end):
            here = before[node]
            np.maximum(before[node + 1], here, out=before[node + 1])
            onward = np.where(here >= 0, here + of_group[graph.class_of[node]], -1)
            for head, worth in zip(graph.heads[node].tolist(), onward, strict=True):
                np.maximum(before[head], worth, out=before[head])
        return before

    def _arcs(self, worth: PhasedWorth, before: list[int], window: int, least: int) -> Iterator[Arc]:
        graph = self.graph
        to_go = worth.to_go[:, window].tolist()
        for node in range(graph.end):
            if before[node] < 0:
                continue
            if before[node] + to_go[node + 1] >= least:
                yield Arc(node, node + 1, WAITING)
            phase_class = graph.classes[graph.class_of[node]]
            heads = graph.heads[node]
            for index in range(graph.fitting[node, window]):
                kind = int(phase_class.kinds[index])
                head = int(heads[phase_class.group_of[index]])
                if before[node] + int(worth.prices[kind]) + to_go[head] >= least:
                    yield Arc(node, head, kind)


class _Filling:
    """The state of the depth-first filling of one stretch of a roll."""

    def __init__(self, graph: Graph, prices: list[int], remaining: list[int]) -> None:
        self.graph = graph
        self.prices = prices
        self.remaining = remaining
        self.best: list[int] = []
        self.best_worth = 0
        self.patience = PATIENCE

    def search(self, window: int, to_go: list[int]) -> None:
        """Try the layouts of one window, until patience ends."""
        self.limit = int(self.graph.limit[window])
        self.to_go = to_go
        self.chosen: list[int] = []
        self._descend(int(self.graph.first[window]), 0)

    def _descend(self, node: int, worth: int) -> None:
        if worth > self.best_worth:
            self.best, self.best_worth = self.chosen.copy(), worth
        for bound, head, kind in self._options(node, self.best_worth - worth):
            if worth - bound <= self.best_worth or self.patience <= 0:
                return
            self.patience -= 1
            self.remaining[kind] -= 1
            self.chosen.append(kind)
            self._descend(head, worth + self.prices[kind])
            self.chosen.pop()
            self.remaining[kind] += 1

    def _options(self, node: int, enough: int) -> list[tuple[int, int, int]]:
        """Return (minus worth at most, node led to, kind) for each next drop that may be worth more than ``enough``."""
        remaining, prices, to_go, limit = self.remaining, self.prices, self.to_go, self.limit
        found = [
            (-worth, head, kind)
            for kind, head, end in self.graph.options(node)
            if remaining[kind] and end <= limit and prices[kind] and (worth := prices[kind] + to_go[head]) > enough
        ]
        found.sort()
        return found
