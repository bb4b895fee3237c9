"""What a roll of a free match can hold: the bounded knapsack, exact in whole numbers.

Nothing is lost between drops, so only which drops lie on a roll matters, not their order; no kind is taken more often
than it is wanted, which makes the bound stronger than that of paths.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from cutplan.solve.layout import Layout
from cutplan.solve.network import WAITING, Arc, Network, in_series

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from cutplan.solve.instance import Instance
    from cutplan.solve.rolls import Prices


@dataclass(frozen=True, slots=True)
class _Bundle:
    """Some drops of one kind, taken together or not at all."""

    kind: int
    count: int
    length: int


@dataclass(frozen=True)
class FreeWorth:
    """The most that each length of paper can be worth.

    Attributes
    ----------
    table
        ``table[length]``: the most that drops of that total length can be worth.
    taken
        For each bundle, at which lengths the best choice among the bundles up to it takes it.

    """

    rolls: FreeRolls
    prices: Prices
    bundles: tuple[_Bundle, ...]
    table: NDArray[np.int64]
    taken: tuple[NDArray[np.bool_], ...]

    @cached_property
    def by_type(self) -> list[int]:
        """The most that a roll of each type can be worth: the sum over its stretches."""
        return [sum(int(self.table[room]) for room in rooms) for rooms in self.rolls.rooms]

    def layouts_above(self, allowance: Sequence[int]) -> list[Layout]:
        """Return the best layout of each roll type that is worth more than its allowance."""
        return [
            Layout(roll_type, tuple(kind for room in self.rolls.rooms[roll_type] for kind in self.best_kinds(room)))
            for roll_type, (worth, allowed) in enumerate(zip(self.by_type, allowance, strict=True))
            if worth > allowed
        ]

    def fill(self, roll_type: int, remaining: Sequence[int]) -> Layout:
        """Return the most valuable layout with no more than ``remaining`` of each kind, one stretch after another."""
        left = list(remaining)
        kinds: list[int] = []
        for room in self.rolls.rooms[roll_type]:
            filled = self.rolls.worth_of_some(self.prices, left).best_kinds(room)
            for kind in filled:
                left[kind] -= 1
            kinds += filled
        return Layout(roll_type, tuple(kinds))

    def best_kinds(self, room: int) -> list[int]:
        """Return the drops, longest first, that are worth the most on a stretch of this length."""
        kinds: list[int] = []
        for bundle, taken in zip(reversed(self.bundles), reversed(self.taken), strict=True):
            if taken[room]:
                room -= bundle.length
                kinds += [bundle.kind] * bundle.count
        return kinds


class FreeRolls:
    """The rolls of an instance with a free match."""

    def __init__(self, instance: Instance) -> None:
        self.rooms = [[stretch.length for stretch in roll_type.stretches] for roll_type in instance.roll_types]
        self.longest = max(max(rooms) for rooms in self.rooms)
        self.lengths = [kind.length for kind in instance.kinds]
        self.demands = [kind.demand for kind in instance.kinds]

    def worth(self, prices: Prices) -> FreeWorth:
        """Return the most that each length of paper can be worth at ``prices``."""
        return self.worth_of_some(prices, self.demands)

    def networks(self, prices: Sequence[int], least: Sequence[int]) -> list[Network]:
        """Return, for each roll type, the steps through which some layout is worth ``least`` of it.

        Steps run longest drop first, as in Valério de Carvalho, Annals of Operations Research 86 (1999)
        629–659, since the order on a roll of a free match is open.
        """
        price = np.asarray(prices, dtype=np.int64)
        worth = self.worth(price)
        networks = []
        for roll_type, rooms in enumerate(self.rooms):
            spare = worth.by_type[roll_type] - least[roll_type]
            if spare >= 0:
                steps = [
                    {0: tuple(self._arcs(price, worth.table, room, int(worth.table[room]) - spare))} for room in rooms
                ]
                networks.append(in_series(roll_type, steps, {0: 0}, self.longest))
        return networks

    def _arcs(self, prices: Prices, table: NDArray[np.int64], capacity: int, least: int) -> Iterator[Arc]:
        to_go: list[int] = table[: capacity + 1][::-1].tolist()
        before = {0: 0}
        longest_first = sorted(range(len(self.lengths)), key=lambda kind: (-self.lengths[kind], kind))
        arcs: dict[Arc, None] = {}
        for kind in longest_first:
            length, price = self.lengths[kind], int(prices[kind])
            frontier = before
            for _ in range(self.demands[kind]):
                reached: dict[int, int] = {}
                for place, worth in frontier.items():
                    head = place + length
                    if head <= capacity and worth + price + to_go[head] >= least:
                        arcs[Arc(place, head, kind)] = None
                        reached[head] = max(reached.get(head, -1), worth + price)
                frontier = {place: worth for place, worth in reached.items() if worth > before.get(place, -1)}
                if not frontier:
                    break
                before = before | frontier
        yield from arcs
        for place in sorted(before):
            if place != self.longest and before[place] >= least:
                yield Arc(place, self.longest, WAITING)

    def worth_of_some(self, prices: Prices, available: Sequence[int]) -> FreeWorth:
        """Return the same with no more than ``available`` of each kind."""
        longest = self.longest
        table = np.zeros(longest + 1, dtype=np.int64)
        bundles, taken = [], []
        for bundle in self._bundles(available):
            price = int(prices[bundle.kind]) * bundle.count
            if not price or bundle.length > longest:
                continue
            with_it = table[: longest + 1 - bundle.length] + price
            better = np.zeros(longest + 1, dtype=np.bool_)
            np.greater(with_it, table[bundle.length :], out=better[bundle.length :])
            table[bundle.length :] = np.maximum(with_it, table[bundle.length :])
            bundles.append(bundle)
            taken.append(better)
        return FreeWorth(self, prices, tuple(bundles), table, tuple(taken))

    def _bundles(self, available: Sequence[int]) -> Iterator[_Bundle]:
        """Yield bundles of 1, 2, 4 … drops of each kind, shortest kind first, that add up to every number available."""
        for kind in sorted(range(len(self.lengths)), key=lambda kind: (self.lengths[kind], kind)):
            length = self.lengths[kind]
            left = min(available[kind], self.longest // length)
            size = 1
            while left > 0:
                count = min(size, left)
                yield _Bundle(kind, count, count * length)
                left -= count
                size *= 2
