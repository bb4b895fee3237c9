"""The integer programme over whole layouts, for when they are few enough to be listed."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from itertools import chain

from cutplan.solve.clock import Clock
from cutplan.solve.instance import Instance
from cutplan.solve.layout import Layout
from cutplan.solve.roll.network import WAITING, Arc, Network
from cutplan.solve.search.greedy import Layouts
from cutplan.solve.search.programme import Programme, ProgrammeSolved, as_wanted

MOST_PATHS = 100_000
"""With more part-layouts than this along one network, steps serve better than the list."""

MOST_LAYOUTS = 5_000
"""With more layouts than this, steps serve better than the list."""


MANY_LAYOUTS = 800
"""With more layouts than this, a programme of which any plan will do is solved sooner without an objective."""


class TooManyError(Exception):
    """The layouts are too many to be listed."""


def layouts_of(network: Network, instance: Instance, prices: Sequence[int], least: int) -> list[Layout]:
    """Return the layouts of a network that are worth ``least``, without those whose drops another one has as well.

    Raises
    ------
    TooManyError
        When they, or the beginnings of them, are too many.

    """
    leaving: dict[int, list[Arc]] = defaultdict(list)
    for arc in network.arcs:
        leaving[arc.tail].append(arc)
    order = _in_turn(network, leaving)
    to_go = _worth_to_go(order, leaving, prices)
    lines = _lines(order, network)
    wanted = [kind.demand for kind in instance.kinds]
    at: dict[int, dict[tuple[int, ...], tuple[int, ...]]] = defaultdict(dict)
    at[network.first][()] = ()
    seen: dict[int, set[tuple[int, ...]]] = defaultdict(set)
    found: dict[tuple[int, ...], tuple[int, ...]] = {}
    begun = 0
    for node in order:
        known = seen[lines[node]]
        fresh = {key: path for key, path in at.pop(node, {}).items() if key not in known}
        known.update(fresh)
        steps, passed = _soonest(node, leaving) if fresh else ([], 0)
        begun += passed
        for key, path in fresh.items():
            worth = sum(prices[kind] for kind in path)
            if worth >= least:
                found.setdefault(key, path)
            for kind, head in steps:
                if worth + prices[kind] + to_go[head] >= least and path.count(kind) < wanted[kind]:
                    at[head].setdefault(tuple(sorted((*key, kind))), (*path, kind))
                    begun += 1
            if begun > MOST_PATHS:
                raise TooManyError
    return [Layout(network.roll_type, path) for path in without_smaller(found)]


def _soonest(node: int, leaving: dict[int, list[Arc]]) -> tuple[list[tuple[int, int]], int]:
    """Return each kind, and where it leads when cut as soon as it can be, there or after waiting; and nodes passed.

    What is cut later leaves no more of the roll, so the later step is not needed.
    """
    steps: list[tuple[int, int]] = []
    passed, ahead = {node}, [(node, set[int]())]
    while ahead:
        here, met = ahead.pop()
        steps += [(arc.kind, arc.head) for arc in leaving.get(here, ()) if arc.kind not in met and arc.kind != WAITING]
        onward = {arc.head for arc in leaving.get(here, ()) if arc.kind == WAITING} - passed
        passed |= onward
        met = met | {arc.kind for arc in leaving.get(here, ())}
        ahead += [(head, met) for head in sorted(onward)]
    return steps, len(passed)


def _lines(order: list[int], network: Network) -> dict[int, int]:
    """Return for each node the first one of its line, along which waiting leads on and nowhere else."""
    waits = [arc for arc in network.arcs if arc.kind == WAITING]
    left, entered = Counter(arc.tail for arc in waits), Counter(arc.head for arc in waits)
    onward = {arc.tail: arc.head for arc in waits if left[arc.tail] == entered[arc.head] == 1}
    lines: dict[int, int] = {}
    for node in order:
        line = lines.setdefault(node, node)
        if node in onward:
            lines[onward[node]] = line
    return lines


def _in_turn(network: Network, leaving: dict[int, list[Arc]]) -> list[int]:
    """Return the nodes so that every arc leads to a later one; the last is ``network.last``."""
    entering: dict[int, int] = defaultdict(int)
    for arc in network.arcs:
        entering[arc.head] += 1
    ready = sorted(node for node in leaving if not entering[node])
    order = []
    while ready:
        node = ready.pop()
        order.append(node)
        for arc in leaving.get(node, ()):
            entering[arc.head] -= 1
            if not entering[arc.head]:
                ready.append(arc.head)
    order.remove(network.last)
    return [*order, network.last]


def _worth_to_go(order: list[int], leaving: dict[int, list[Arc]], prices: Sequence[int]) -> dict[int, int]:
    unreachable = -1 << 62
    to_go = dict.fromkeys(order, unreachable)
    to_go[order[-1]] = 0
    for node in reversed(order[:-1]):
        for arc in leaving.get(node, ()):
            gained = 0 if arc.kind == WAITING else prices[arc.kind]
            to_go[node] = max(to_go[node], gained + to_go[arc.head])
    return to_go


def without_smaller(paths: dict[tuple[int, ...], tuple[int, ...]]) -> Iterable[tuple[int, ...]]:
    """Leave out the paths whose drops are those of another one but for one drop."""
    less_one = {key[:index] + key[index + 1 :] for key in paths for index in range(len(key))}
    return (path for key, path in paths.items() if key not in less_one)


class Cover:
    """The integer programme: how often to cut each layout so that every drop is cut, for the least value.

    Where any plan of value ``target`` will do, it need not be the least. ``exactly`` tells that none of that value cuts
    a drop too many.
    """

    def __init__(
        self,
        instance: Instance,
        layouts: Sequence[Layout],
        target: int,
        *,
        any_will_do: bool,
        exactly: bool = False,
    ) -> None:
        self.instance = instance
        self.programme = Programme(instance)
        self.times = {layout: self.programme.whole() for layout in layouts}
        cutting = defaultdict(list)
        opened = defaultdict(list)
        for layout, times in self.times.items():
            opened[layout.roll_type].append(times)
            for kind, count in layout.counts.items():
                cutting[kind].append(count * times)
        any_will_do = any_will_do and (exactly or len(layouts) > MANY_LAYOUTS)
        self.programme.ask(instance, cutting, opened, target, any_will_do=any_will_do, exactly=exactly)

    def decide(self, clock: Clock) -> ProgrammeSolved:
        """Run the integer programme for the time left."""
        return self.programme.decide(clock, self._layouts)

    def _layouts(self) -> Layouts:
        """Return the layouts chosen."""
        chosen = ([layout] * round(variable.solution_value()) for layout, variable in self.times.items())
        return as_wanted(self.instance, chain.from_iterable(chosen))
