"""What a roll of a repeating print can hold: longest paths through its places, exact in whole numbers.

At given prices the value of a window is the most that drops cut from it, in any number of each kind, can be worth
together. It prices columns, proves bounds, and steers the filling of one roll.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from itertools import chain
from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct

from cutplan.solve.clock import UNHURRIED, Clock
from cutplan.solve.instance import Instance
from cutplan.solve.layout import Layout
from cutplan.solve.roll.few_places import best_by_type
from cutplan.solve.roll.filling import Filling
from cutplan.solve.roll.graph import Graph, graph_of
from cutplan.solve.roll.network import WAITING, Arc, Network, Steps, in_series
from cutplan.solve.roll.places import Step

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from cutplan.solve.roll.holding import Prices

MANY_OPTIONS = 100
"""Of more steps than this, those that may be worth enough are picked out in numpy before they are looked at."""

Windows = list[list[list[int]]]
"""Windows by roll type and stretch."""


class PhasedWorth(Struct, frozen=True, dict=True):
    """Values to go at every node of every window."""

    graph: Graph

    windows: Windows
    """For each roll type and each of its stretches, the windows it may be cut by."""
    prices: NDArray[np.int64]
    """Price of each kind."""
    to_go: NDArray[np.int64]
    """``to_go[node, window]``: the most that can still be cut from the node on; the last row, the end, is 0."""
    clock: Clock

    @cached_property
    def price_of(self) -> list[int]:
        """Price of each kind."""
        prices: list[int] = self.prices.tolist()
        return prices

    @property
    def by_window(self) -> list[list[int]]:
        """The most that can still be cut, by window and node."""
        by_window: list[list[int]] = self.to_go.T.tolist()
        return by_window

    @cached_property
    def of_windows(self) -> list[int]:
        """The value of each window."""
        windows: list[int] = self.to_go[self.graph.first, np.arange(len(self.graph.first))].tolist()
        return windows

    @cached_property
    def by_type(self) -> list[int]:
        """The most that a roll of each type can be worth: the sum over its stretches of the best window."""
        return best_by_type(self.windows, self.of_windows)

    def layouts_above(self, allowance: Sequence[int]) -> list[Layout]:
        """Return the best layout of each first window that makes its roll worth more than its type's allowance."""
        above: list[tuple[int, tuple[int, ...]]] = []
        for roll_type, (first, *others) in enumerate(self.windows):
            best = [max(windows, key=self.of_windows.__getitem__) for windows in others]
            rest = sum(self.of_windows[window] for window in best)
            above += [(roll_type, (w, *best)) for w in first if self.of_windows[w] + rest > allowance[roll_type]]
        opened = list(dict.fromkeys(window for _, windows in above for window in windows))
        cut = dict(zip(opened, self._best_kinds(opened), strict=True))
        layouts = (Layout(roll_type, tuple(chain(*map(cut.__getitem__, windows)))) for roll_type, windows in above)
        return list(dict.fromkeys(layouts))

    def fill(self, roll_type: int, remaining: Sequence[int]) -> Layout:
        """Return the most valuable layout found by depth, dearest first, with the values to go as its bound."""
        filling = _LargeFilling(self.graph, self.price_of, remaining)
        columns = self.to_go.T
        return Layout(
            roll_type, filling.kinds(self.windows[roll_type], self.of_windows, columns.__getitem__, self.clock)
        )

    def _best_kinds(self, windows: Sequence[int]) -> list[list[int]]:
        """Return kinds cut from each of ``windows`` that are worth its value; all are cut side by side."""
        graph = self.graph
        cut: list[list[int]] = [[] for _ in windows]
        places = np.arange(len(windows))
        window = np.array(windows, dtype=np.int64)
        node = graph.first[window]
        while True:
            to_go = self.to_go[node, window]
            still = to_go > 0
            if not still.any():
                return cut
            self.clock.check()
            places, window, to_go = places[still], window[still], to_go[still]
            node = self._last_worth_as_much[node[still], window]
            steps, owner = graph.steps_at(node)
            heads = np.minimum(node[owner] + graph.steps_lead[steps], graph.end)
            # Steps that do not fit come last, after one that keeps the value to go.
            keeps = np.flatnonzero(self.prices[graph.kinds[steps]] + self.to_go[heads, window[owner]] == to_go[owner])
            taken = keeps[np.searchsorted(owner[keeps], np.arange(len(node)))]
            node = heads[taken]
            for place, kind in zip(places.tolist(), graph.kinds[steps[taken]].tolist(), strict=True):
                cut[place].append(kind)

    @cached_property
    def _last_worth_as_much(self) -> NDArray[np.int64]:
        """The last node up to which waiting from each node of each window loses nothing."""
        nodes = np.arange(self.graph.end)[:, None]
        last = np.where(self.to_go[:-1] != self.to_go[1:], nodes, self.graph.end)
        return np.minimum.accumulate(last[::-1], axis=0)[::-1]


class PhasedRolls:
    """The rolls of an instance whose print repeats."""

    def __init__(self, instance: Instance, clock: Clock = UNHURRIED) -> None:
        self.clock = clock
        self.graph = graph_of(instance, clock)
        self.windows: Windows = self.graph.places.by_stretch(instance)

    def worth(self, prices: Prices) -> PhasedWorth:
        """Return the values to go at ``prices``."""
        graph, prices = self.graph, np.asarray(prices, dtype=np.int64)
        of_arc = self._group_prices(prices)[graph.arc_groups, None]
        to_go = self._to_go(of_arc, self._last_prices(prices)[self._last])
        return PhasedWorth(graph, self.windows, prices, to_go, self.clock)

    def last_ends(self) -> list[list[int]]:
        """Return, by window and node, where the last drop cut from there on can end at most; 0 where none fits."""
        graph = self.graph
        lengths = np.concatenate([np.insert(phase_class.lengths, 0, 0) for phase_class in graph.classes])[self._last]
        as_last = np.where(lengths > 0, graph.coordinate[:, None] + lengths, 0)
        ends: list[list[int]] = self._to_go(np.zeros((len(graph.heads), 1), dtype=np.int64), as_last).T.tolist()
        return ends

    def _to_go(self, of_arc: NDArray[np.int64], as_last: NDArray[np.int64]) -> NDArray[np.int64]:
        """Return the most from each node of each window on: what arcs add, and the last drop from each node gives."""
        graph = self.graph
        to_go = np.zeros((graph.end + 1, len(graph.first)), dtype=np.int64)
        for begin, end in zip(reversed(graph.blocks[:-1]), reversed(graph.blocks), strict=False):
            self.clock.check()
            first, last = graph.arc_starts[begin], graph.arc_starts[end]
            onward = to_go[graph.heads[first:last]]
            worth = np.where(onward > 0, onward + of_arc[first:last], 0)
            best = np.maximum.reduceat(worth, graph.arc_starts[begin:end] - first, axis=0)
            np.maximum(best, as_last[begin:end], out=best)
            np.maximum(best[-1], to_go[end], out=best[-1])
            np.maximum.accumulate(best[::-1], axis=0, out=to_go[begin:end][::-1])
        return to_go

    @cached_property
    def _group_starts(self) -> NDArray[np.int64]:
        """Index into the graph's ``kinds`` where each group begins."""
        pairs = zip(self.graph.class_starts[:-1], self.graph.classes, strict=True)
        return np.concatenate([start + phase_class.group_starts for start, phase_class in pairs])

    @cached_property
    def _last(self) -> NDArray[np.int64]:
        """For each node and window, where :meth:`_last_prices` has the dearest kind that may be the last from there."""
        sizes = [1 + len(phase_class.kinds) for phase_class in self.graph.classes]
        starts = np.cumsum([0, *sizes[:-1]])
        return starts[self.graph.class_of][:, None] + self.graph.fitting

    @cached_property
    def _ranks(self) -> NDArray[np.int64]:
        """The class of each entry of :meth:`_last_prices`."""
        sizes = [1 + len(phase_class.kinds) for phase_class in self.graph.classes]
        return np.repeat(np.arange(len(sizes)), sizes)

    def _group_prices(self, prices: NDArray[np.int64]) -> NDArray[np.int64]:
        """Return the dearest price in each group."""
        dearest: NDArray[np.int64] = np.maximum.reduceat(prices[self.graph.kinds], self._group_starts)
        return dearest

    def _last_prices(self, prices: NDArray[np.int64]) -> NDArray[np.int64]:
        """Return, for one class after the other, 0 and the dearest price among its shortest kinds, 1, 2 … of them."""
        shortest_first = np.insert(prices[self.graph.kinds], self.graph.class_starts[:-1], 0)
        apart = self._ranks * (int(prices.max()) + 1)
        dearest: NDArray[np.int64] = np.maximum.accumulate(shortest_first + apart) - apart
        return dearest

    def networks(self, prices: Sequence[int], least: Sequence[int]) -> list[Network]:
        """Return, for each roll type, the steps through which some layout is worth ``least`` of it."""
        worth = self.worth(prices)
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

    def _worth_before(self, prices: NDArray[np.int64]) -> NDArray[np.int64]:
        """Return the most that can be cut before each node of each window; -1 where no path leads."""
        graph = self.graph
        before = np.full((graph.end + 1, len(graph.first)), -1, dtype=np.int64)
        before[graph.first, np.arange(len(graph.first))] = 0
        of_group = self._group_prices(prices)
        starts, heads, groups = graph.arc_starts.tolist(), graph.heads.tolist(), graph.arc_groups.tolist()
        for node in range(graph.end):
            self.clock.check()
            here = before[node]
            np.maximum(before[node + 1], here, out=before[node + 1])
            for arc in range(starts[node], starts[node + 1]):
                onward = np.where(here >= 0, here + of_group[groups[arc]], -1)
                np.maximum(before[heads[arc]], onward, out=before[heads[arc]])
        return before

    def _arcs(self, worth: PhasedWorth, before: list[int], window: int, least: int) -> Iterator[Arc]:
        graph = self.graph
        prices, to_go = worth.price_of, worth.to_go[:, window].tolist()
        for node in range(graph.end):
            self.clock.check()
            if before[node] < 0:
                continue
            if before[node] + to_go[node + 1] >= least:
                yield Arc(node, node + 1, WAITING)
            for step in graph.places.classes[node % len(graph.classes)][: graph.fitting[node, window]]:
                head = min(node + step.nodes, graph.end)
                if before[node] + prices[step.kind] + to_go[head] >= least:
                    yield Arc(node, head, step.kind)


class _LargeFilling(Filling):
    """The filling of a stretch where a node may have very many steps."""

    def __init__(self, graph: Graph, prices: list[int], remaining: Sequence[int]) -> None:
        super().__init__(graph.places, prices, remaining)
        self.graph = graph
        self.price_array = np.array(prices, dtype=np.int64)

    def search(self, window: int, to_go: Sequence[int]) -> None:
        self.column = np.append(to_go, np.zeros(self.places.furthest, dtype=np.int64))
        super().search(window, to_go)

    def promising(self, node: int, enough: int) -> Sequence[Step]:
        options = super().promising(node, enough)
        if len(options) <= MANY_OPTIONS:
            return options
        kinds, nodes = self.graph.options_side_by_side(node % len(self.graph.classes))
        worth = self.price_array[kinds] + self.column[node + nodes]
        return [options[place] for place in np.flatnonzero(worth > enough).tolist()]
