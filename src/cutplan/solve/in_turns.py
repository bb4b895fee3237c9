"""Sealed rolls along which the drops of a job lie in the order of their turns: rooms papered one after another.

Columns are generated as for any job, but the longest path goes through the turns: what is cut for one is cut before
what is cut for the next. Whole rolls of the relaxation are kept; what they leave is an integer programme over layouts
that waste no more than a plan at its bound may, drawn by lot, the same on every run. The relaxation bounds every plan
in turns; where that bound is not met and the places are few, the search of any job decides what it leaves open.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from functools import cached_property
from heapq import heappop, heappush
from math import floor
from random import Random
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from cutplan.job.job import Job
from cutplan.plan.proof import Prices as DropPrices
from cutplan.solve.clock import Clock, TimeIsUp
from cutplan.solve.instance import DropKind, Instance, scale
from cutplan.solve.layout import Layout
from cutplan.solve.roll.graph import graph_of
from cutplan.solve.roll.network import WAITING, Arc, Network
from cutplan.solve.search.bound import Relaxation, relax
from cutplan.solve.search.cover import Cover
from cutplan.solve.search.gap_search import GapSearch
from cutplan.solve.search.greedy import Layouts, take
from cutplan.solve.search.rounding import NEARLY

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from cutplan.solve.roll.holding import Prices

_TRIES: Final = ((0, 500), (0, 1500), (1, 1500))
"""How many of each layout are let go of those kept whole, and how many layouts are drawn for what they leave."""
_NEARLY_NOTHING: Final = 1e-6
"""What part of a roll a layout may waste and still count as wasting nothing: prices are rounded."""

_FEW_PLACES: Final = 150_000
"""Up to so many places, in all turns and windows, what the relaxation leaves open is decided by a search."""

LabelsOnRolls = dict[tuple[str, ...], int]
"""Drops along a roll, by label, and how many rolls are cut so."""


class InTurns(Struct, frozen=True):
    """What was found of rolls on which no drop lies before one of an earlier turn."""

    rolls: LabelsOnRolls | None = None
    """Fewer than any known; None where none were found."""
    bound: int = 0
    """No rolls that are fewer do."""
    prices: DropPrices | None = None
    """What proves that, or ``by_search`` less than that: no roll in turns holds drops worth more than their scale."""
    by_search: bool = False


class _Step(NamedTuple):
    """A drop cut at some node: its kind, the node that it leads to, and where it ends."""

    kind: int
    head: int
    end: int


class TurnWorth(Struct, frozen=True, dict=True):
    """What rolls can be worth at prices; ``to_go[turn][node, window]`` is what that turn and later ones can add."""

    rolls: TurnRolls
    prices: list[int]
    to_go: list[NDArray[np.int64]]

    @cached_property
    def of_windows(self) -> list[int]:
        """The value of each window."""
        first = self.rolls.graph.first
        found: list[int] = self.to_go[0][first, np.arange(len(first))].tolist()
        return found

    @property
    def by_type(self) -> list[int]:
        """The most that a roll can be worth."""
        return [max(self.of_windows)]

    def layouts_above(self, allowance: Sequence[int]) -> list[Layout]:
        """Return the best layout of each window that is worth more than a roll is allowed."""
        better = (window for window, worth in enumerate(self.of_windows) if worth > allowance[0])
        return list(dict.fromkeys(Layout(0, tuple(self._best(window))) for window in better))

    def _best(self, window: int) -> Iterator[int]:
        """Yield the kinds along a roll that are worth the value of a window."""
        turn, node = 0, int(self.rolls.graph.first[window])
        while turn < self.rolls.turns:
            worth = self.to_go[turn][node, window]
            if worth == self.to_go[turn + 1][node, window]:
                turn += 1
                continue
            step = next(
                step for step in self.rolls.steps(turn, node, window) if self._with(step, turn, window) == worth
            )
            yield step.kind
            node = step.head

    def _with(self, step: _Step, turn: int, window: int) -> int:
        return self.prices[step.kind] + int(self.to_go[turn][step.head, window])

    def drawn(self, random: Random, remaining: Sequence[int], enough: int) -> Layout | None:
        """Return a layout drawn by lot from what remains, worth ``enough``; None where the draw ends short."""
        self.rolls.clock.check()
        window = random.choice([window for window, worth in enumerate(self.of_windows) if worth >= enough])
        turn, node, worth, kinds, left = 0, int(self.rolls.graph.first[window]), 0, [], list(remaining)
        while choice := [
            (later, step)
            for later in range(turn, self.rolls.turns)
            if worth + self.to_go[later][node, window] >= enough
            for step in self.rolls.steps(later, node, window, within=self.rolls.classes)
            if left[step.kind] and worth + self._with(step, later, window) >= enough
        ]:
            turn, step = random.choice(choice)
            node, worth = step.head, worth + self.prices[step.kind]
            kinds.append(step.kind)
            left[step.kind] -= 1
        return Layout(0, tuple(kinds)) if worth >= enough else None


class TurnRolls:
    """Sealed rolls of a print that repeats, cut turn after turn; ``turn_of`` each kind of the instance."""

    def __init__(self, instance: Instance, turn_of: Sequence[int], clock: Clock) -> None:
        self.clock = clock
        self.graph = graph = graph_of(instance, clock)
        self.turns = max(turn_of) + 1
        self.classes = len(graph.classes)
        self._steps: list[dict[int, list[_Step]]] = [{} for _ in range(self.turns)]
        for node, start in enumerate(graph.coordinate.tolist()):
            for kind, nodes, length in graph.places.classes[node % self.classes]:
                step = _Step(kind, min(node + nodes, graph.end), start + length)
                self._steps[turn_of[kind]].setdefault(node, []).append(step)
        self._nodes = [sorted(steps) for steps in self._steps]

    def steps(self, turn: int, node: int, window: int, within: int | None = None) -> Iterator[_Step]:
        """Yield the steps of a turn from a node on that end on the paper; ``within`` so many nodes, if told."""
        nodes, limit = self._nodes[turn], int(self.graph.limit[window])
        for place in range(bisect_left(nodes, node), len(nodes)):
            if within is not None and nodes[place] >= node + within:
                return
            yield from (step for step in self._steps[turn][nodes[place]] if step.end <= limit)

    @property
    def are_few(self) -> bool:
        """True when the places of all turns and windows are few enough for a search."""
        return self.turns * self.graph.end * len(self.graph.first) <= _FEW_PLACES

    def networks(self, prices: Sequence[int], least: Sequence[int]) -> list[Network]:
        """Return the steps through the turns that layouts worth ``least`` may take."""
        worth = self.worth(prices)
        names: dict[tuple[int, int, int], int] = {}
        arcs: list[Arc] = []
        for window, first in enumerate(self.graph.first.tolist()):
            came = {(0, first): 0}
            waiting = [(0, first)] if worth.of_windows[window] >= least[0] else []
            if waiting:
                arcs.append(Arc(-1, names.setdefault((window, 0, first), len(names)), WAITING))
            while waiting:
                self.clock.check()
                turn, node = heappop(waiting)
                tail = names[window, turn, node]
                if turn == self.turns:
                    arcs.append(Arc(tail, -2, WAITING))
                    continue
                for kind, *to in self._moves(turn, node, window):
                    gained = came[turn, node] + (0 if kind == WAITING else prices[kind])
                    then, head = to
                    if gained + int(worth.to_go[then][head, window]) < least[0]:
                        continue
                    if (then, head) not in came:
                        heappush(waiting, (then, head))
                    came[then, head] = max(came.get((then, head), 0), gained)
                    arcs.append(Arc(tail, names.setdefault((window, then, head), len(names)), kind))
        return [Network(0, -1, -2, tuple(arcs))]

    def _moves(self, turn: int, node: int, window: int) -> Iterator[tuple[int, int, int]]:
        """Yield what may be cut at a node, with the turn and node it leads to: nothing, till the next turn or place."""
        yield WAITING, turn + 1, node
        limit, nodes = int(self.graph.limit[window]), self._nodes[turn]
        yield from ((kind, turn, head) for kind, head, end in self._steps[turn].get(node, ()) if end <= limit)
        place = bisect_right(nodes, node)
        if place < len(nodes):
            yield WAITING, turn, nodes[place]

    def worth(self, prices: Prices) -> TurnWorth:
        """Return what rolls can be worth at prices."""
        price_of = [int(price) for price in prices]
        to_go = [np.zeros((self.graph.end + 1, len(self.graph.first)), dtype=np.int64)]
        for turn in reversed(range(self.turns)):
            self.clock.check()
            to_go.append(self._before(to_go[-1], turn, price_of))
        return TurnWorth(self, price_of, to_go[::-1])

    def _before(self, later: NDArray[np.int64], turn: int, price_of: list[int]) -> NDArray[np.int64]:
        """Return what can be added from each node with this turn too; ``later`` is that with later ones only."""
        here, limit = later.copy(), self.graph.limit
        best = np.zeros(len(limit), dtype=np.int64)
        above = self.graph.end
        for node in reversed(self._nodes[turn]):
            np.maximum(here[node + 1 : above], best, out=here[node + 1 : above])
            for kind, head, end in self._steps[turn][node]:
                if price_of[kind]:
                    best = np.maximum(best, np.where(limit >= end, here[head] + price_of[kind], 0))
            np.maximum(here[node], best, out=here[node])
            above = node
        np.maximum(here[:above], best, out=here[:above])
        return here


def fewer_in_turns(job: Job, turn_of: Mapping[str, int], known: Iterable[LabelsOnRolls], clock: Clock) -> InTurns:
    """Return rolls on which no drop lies before one of an earlier turn, fewer than any known, and a bound on them.

    The job's are drops of a print that repeats, on sealed rolls of one lot; ``turn_of`` is the turn of each, by its
    label, from 0. ``known`` are rolls that cut every drop so, and may cut others.
    """
    scaled = scale(job, certain=True)
    size_of = {
        label: kind for kind, labels in zip(scaled.instance.kinds, scaled.drops_of, strict=True) for label in labels
    }
    kinds = tuple(DropKind(size_of[d.label].phase, size_of[d.label].length, d.count) for d in job.drops)
    labels = [drop.label for drop in job.drops]
    number = {label: place for place, label in enumerate(labels)}
    instance = replace(scaled.instance, kinds=kinds)
    plans: list[Layouts] = []
    for plan in known:
        plans.append({})
        for roll, times in plan.items():
            layout = Layout(0, tuple(number[label] for label in roll if label in number))
            if layout.kinds:
                plans[-1][layout] = plans[-1].get(layout, 0) + times
    try:
        rolls = TurnRolls(instance, [turn_of[label] for label in labels], clock)
        columns = [layout for plan in plans for layout in plan]
        certificate = (relaxation := relax(instance, rolls, columns, clock)).certificate
    except TimeIsUp:
        return InTurns()
    prices = DropPrices(dict(zip(labels, certificate.prices, strict=True)), {}, certificate.scale)
    fewest, bound, by_search = min(sum(plan.values()) for plan in plans), certificate.whole_bound, False
    best = None
    with suppress(TimeIsUp):
        best = _whole_rolls(instance, rolls, relaxation, fewest, clock)
        fewest = fewest if best is None else sum(best.values())
        while bound < fewest and rolls.are_few:
            answer = GapSearch(instance, rolls, certificate).plan_of(bound, clock, is_bound=True)
            if not answer.is_decided:
                break
            if answer.layouts is not None:
                best, fewest = answer.layouts, bound
            else:
                bound, by_search = bound + 1, True
    found = None if best is None else {tuple(labels[kind] for kind in roll.kinds): n for roll, n in best.items()}
    return InTurns(found, bound, prices, by_search)


def _whole_rolls(
    instance: Instance, rolls: TurnRolls, relaxation: Relaxation, fewest: int, clock: Clock
) -> Layouts | None:
    """Return fewer than the ``fewest`` rolls known, made of the relaxation; None where none are found."""
    certificate = relaxation.certificate
    bound = certificate.whole_bound
    worth = rolls.worth(certificate.prices)
    enough = certificate.scale - certificate.left_at(instance, bound) - round(certificate.scale * _NEARLY_NOTHING)
    random = Random(1)  # noqa: S311 - the same draws on every run
    best: Layouts | None = None
    for let_go, times in _TRIES:
        if bound >= fewest:
            break
        remaining = [kind.demand for kind in instance.kinds]
        whole: Layouts = {}
        for layout, use in relaxation.use.items():
            for _ in range(floor(use + NEARLY) - let_go):
                if (needed := layout.within(remaining)).kinds:
                    take(whole, needed, remaining, [None], 1)
        layouts = dict.fromkeys(needed for used in relaxation.use if (needed := used.within(remaining)).kinds)
        draws = (worth.drawn(random, remaining, enough) for _ in range(times))
        layouts |= dict.fromkeys(layout for layout in draws if layout is not None)
        smaller, kept = instance.with_demands(remaining, [None]), sum(whole.values())
        cover = Cover(smaller, list(layouts), fewest - 1 - kept, any_will_do=False)
        if found := cover.decide(clock).layouts:
            best = {layout: whole.get(layout, 0) + found.get(layout, 0) for layout in (*whole, *found)}
            fewest = sum(best.values())
    return best
