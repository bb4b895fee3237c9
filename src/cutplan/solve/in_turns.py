"""Sealed rolls along which the drops of a job lie in the order of their turns: rooms papered one after another.

Columns are generated as for any job, but the longest path goes through the turns: what is cut for one is cut before
what is cut for the next. Whole rolls of the relaxation are kept; what they leave is an integer programme over layouts
that waste no more than a plan at its bound may, drawn by lot, the same on every run.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, replace
from functools import cached_property
from math import floor
from random import Random
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from cutplan.solve.clock import TimeIsUp
from cutplan.solve.instance import DropKind, scale
from cutplan.solve.layout import Layout
from cutplan.solve.roll.graph import graph_of
from cutplan.solve.search.bound import relax
from cutplan.solve.search.cover import Cover
from cutplan.solve.search.greedy import take
from cutplan.solve.search.rounding import NEARLY

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from numpy.typing import NDArray

    from cutplan.job.job import Job
    from cutplan.solve.clock import Clock
    from cutplan.solve.instance import Instance
    from cutplan.solve.roll.holding import Prices
    from cutplan.solve.search.greedy import Layouts

_TRIES: Final = ((0, 500), (0, 1500), (1, 1500))
"""How many of each layout are let go of those kept whole, and how many layouts are drawn for what they leave."""
_NEARLY_NOTHING: Final = 1e-6
"""What part of a roll a layout may waste and still count as wasting nothing: prices are rounded."""

LabelsOnRolls = dict[tuple[str, ...], int]
"""Drops along a roll, by label, and how many rolls are cut so."""


class _Step(NamedTuple):
    """A drop cut at some node: its kind, the node that it leads to, and where it ends."""

    kind: int
    head: int
    end: int


@dataclass(frozen=True)
class TurnWorth:
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
            for kind, nodes, length in graph.steps(node % self.classes):
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

    def worth(self, prices: Prices) -> TurnWorth:
        """Return what rolls can be worth at prices."""
        price_of: list[int] = prices.tolist()
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


def fewer_in_turns(
    job: Job, turn_of: Mapping[str, int], known: Iterable[LabelsOnRolls], clock: Clock
) -> LabelsOnRolls | None:
    """Return rolls on which no drop lies before one of an earlier turn, fewer than any known; None where none is found.

    Parameters
    ----------
    job
        Drops of a print that repeats, on sealed rolls of one lot; drops of several turns have labels of their own.
    turn_of
        The turn of each drop, by its label, from 0.
    known
        Rolls that cut every drop so.

    """
    scaled = scale(job, certain=True)
    size_of = {
        label: kind for kind, labels in zip(scaled.instance.kinds, scaled.drops_of, strict=True) for label in labels
    }
    kinds = tuple(DropKind(size_of[d.label].phase, size_of[d.label].length, d.count) for d in job.drops)
    labels = [drop.label for drop in job.drops]
    number = {label: place for place, label in enumerate(labels)}
    instance = replace(scaled.instance, kinds=kinds)
    plans = [
        {Layout(0, tuple(number[label] for label in roll)): times for roll, times in plan.items()} for plan in known
    ]
    try:
        rolls = TurnRolls(instance, [turn_of[label] for label in labels], clock)
        found = _whole_rolls(instance, rolls, plans, clock)
    except TimeIsUp:
        return None
    return None if found is None else {tuple(labels[kind] for kind in roll.kinds): n for roll, n in found.items()}


def _whole_rolls(instance: Instance, rolls: TurnRolls, plans: Sequence[Layouts], clock: Clock) -> Layouts | None:
    """Return fewer rolls than the plans have, made of the relaxation; None where none are found."""
    relaxation = relax(instance, rolls, [layout for plan in plans for layout in plan], clock)
    certificate = relaxation.certificate
    fewest, bound = min(sum(plan.values()) for plan in plans), certificate.whole_bound
    worth = rolls.worth(np.array(certificate.prices, dtype=np.int64))
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
