"""What a roll of a free match can hold: the bounded knapsack, exact in whole numbers.

Nothing is lost between drops, so only which drops lie on a roll matters, not their order; no kind is taken more often
than it is wanted, which makes the bound stronger than that of paths.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import cached_property
from itertools import islice
from typing import TYPE_CHECKING, Final

import numpy as np
from msgspec import Struct

from cutplan.solve.clock import UNHURRIED, Clock
from cutplan.solve.instance import Instance
from cutplan.solve.layout import Layout
from cutplan.solve.roll.network import WAITING, Arc, Network, in_series

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from cutplan.solve.roll.holding import Prices


CELLS = 20_000
"""Most cells of a table. Where lengths need a finer grid, they are rounded up for layouts and down for bounds."""


MORE: Final = 10
"""Layouts of a roll type beside the best that are offered at the same prices."""


class _Bundle(Struct, frozen=True):
    """Some drops of one kind, taken together or not at all; ``size`` is in cells."""

    kind: int
    count: int
    size: int


class _Table(Struct, frozen=True):
    """The most that each length of paper can be worth."""

    bundles: tuple[_Bundle, ...]

    values: NDArray[np.int64]
    """``values[cells]``: the most that drops of that total size can be worth."""
    taken: tuple[NDArray[np.bool_], ...]
    """For each bundle, at which sizes the best choice among the bundles up to it takes it, from its own size on."""

    def best_kinds(self, room: int) -> list[int]:
        """Return the drops, longest first, that are worth the most in ``room`` cells."""
        kinds: list[int] = []
        for bundle, taken in zip(reversed(self.bundles), reversed(self.taken), strict=True):
            if room >= bundle.size and taken[room - bundle.size]:
                room -= bundle.size
                kinds += [bundle.kind] * bundle.count
        return kinds


class FreeWorth(Struct, frozen=True, dict=True):
    """The most that rolls can be worth at ``prices``."""

    rolls: FreeRolls
    prices: Prices

    @cached_property
    def above(self) -> _Table:
        """The table that is never too low: sizes rounded down."""
        return self.rolls.table(self.prices, self.rolls.demands, up=False)

    @cached_property
    def below(self) -> _Table:
        """The table whose layouts always fit: sizes rounded up. The same table when nothing has to be rounded."""
        return self.above if self.rolls.cell == 1 else self.rolls.table(self.prices, self.rolls.demands, up=True)

    @cached_property
    def by_type(self) -> list[int]:
        """The most that a roll of each type can be worth: the sum over its stretches."""
        return [sum(int(self.above.values[room // self.rolls.cell]) for room in rooms) for rooms in self.rolls.rooms]

    def layouts_above(self, allowance: Sequence[int]) -> list[Layout]:
        """Return layouts of each roll type that are worth more than its allowance, each holding a drop of its own."""
        found = []
        for roll_type, (worth, allowed) in enumerate(zip(self.by_type, allowance, strict=True)):
            if worth > allowed:
                layouts = [self._layout(roll_type, self.rolls.demands, lambda _: self.below)]
                if len(self.rolls.rooms[roll_type]) == 1:
                    layouts += islice(self._round_others(roll_type, set(layouts[0].kinds), allowed), MORE)
                found += [
                    layout for layout in layouts if sum(int(self.prices[kind]) for kind in layout.kinds) > allowed
                ]
        return found

    def _round_others(self, roll_type: int, held: set[int], allowed: int) -> Iterator[Layout]:
        """Yield layouts round drops that none before holds, the dearest first; all are read off one table."""
        rolls, values = self.rolls, self.below.values
        room = rolls.rooms[roll_type][0] // rolls.cell
        sizes = {kind: size for kind, size, _ in rolls.sizes_up if size <= room}
        worth = {kind: int(self.prices[kind]) + int(values[room - size]) for kind, size in sizes.items()}
        for first in sorted((kind for kind in worth if worth[kind] > allowed), key=lambda kind: (-worth[kind], kind)):
            if first in held:
                continue
            kinds = [first, *self.below.best_kinds(room - sizes[first])]
            if kinds.count(first) <= rolls.demands[first]:
                held.update(kinds)
                yield Layout(roll_type, tuple(kinds))

    def fill(self, roll_type: int, remaining: Sequence[int]) -> Layout:
        """Return the most valuable layout with no more than ``remaining`` of each kind, one stretch after another."""
        return self._layout(roll_type, remaining, lambda left: self.rolls.table(self.prices, left, up=True))

    def _layout(self, roll_type: int, available: Sequence[int], table_for: Callable[[Sequence[int]], _Table]) -> Layout:
        left = list(available)
        kinds: list[int] = []
        for room in self.rolls.rooms[roll_type]:
            filled = table_for(left).best_kinds(room // self.rolls.cell)
            for kind in filled:
                left[kind] -= 1
            filled += self._top_up(room - sum(self.rolls.lengths[kind] for kind in filled), left)
            kinds += filled
        return Layout(roll_type, tuple(kinds))

    def _top_up(self, room: int, left: list[int]) -> list[int]:
        """Take what rounding up has left room for, dearest first."""
        added: list[int] = []
        if self.rolls.cell == 1:
            return added
        for kind in sorted(range(len(left)), key=lambda kind: (-int(self.prices[kind]), kind)):
            while left[kind] > 0 and self.prices[kind] and self.rolls.lengths[kind] <= room:
                room -= self.rolls.lengths[kind]
                left[kind] -= 1
                added.append(kind)
        return added


class FreeRolls:
    """The rolls of an instance with a free match."""

    def __init__(self, instance: Instance, clock: Clock = UNHURRIED) -> None:
        self.clock = clock
        self.rooms = [[stretch.length for stretch in roll_type.stretches] for roll_type in instance.roll_types]
        self.longest = max(max(rooms) for rooms in self.rooms)
        self.cell = -(-self.longest // CELLS)
        self.lengths = [kind.length for kind in instance.kinds]
        self.demands = [kind.demand for kind in instance.kinds]

    def worth(self, prices: Prices) -> FreeWorth:
        """Return the most that rolls can be worth at ``prices``."""
        return FreeWorth(self, prices)

    def table(self, prices: Prices, available: Sequence[int], *, up: bool) -> _Table:
        """Return the bounded knapsack's table, sizes rounded up or down to whole cells."""
        most = self.longest // self.cell
        values = np.zeros(most + 1, dtype=np.int64)
        price_of = [int(price) for price in prices]
        bundles, taken = [], []
        self.clock.check()
        for bundle in self._bundles(available, up=up):
            price = price_of[bundle.kind] * bundle.count
            if not price:
                continue
            with_it = values[: most + 1 - bundle.size] + price
            without = values[bundle.size :]
            bundles.append(bundle)
            taken.append(with_it > without)
            np.maximum(with_it, without, out=without)
        return _Table(tuple(bundles), values, tuple(taken))

    def _bundles(self, available: Sequence[int], *, up: bool) -> Iterator[_Bundle]:
        """Yield bundles of 1, 2, 4 … drops of each kind, shortest first, that add up to every number available."""
        for kind, size, most in self.sizes_up if up else self._sizes_down:
            left = min(available[kind], most)
            together = 1
            while left > 0:
                count = min(together, left)
                yield _Bundle(kind, count, count * size)
                left -= count
                together *= 2

    @cached_property
    def sizes_up(self) -> list[tuple[int, int, int]]:
        """As for the table whose layouts always fit."""
        return self._sizes(self.cell - 1)

    @cached_property
    def _sizes_down(self) -> list[tuple[int, int, int]]:
        return self._sizes(0)

    def _sizes(self, added: int) -> list[tuple[int, int, int]]:
        """Return each kind, shortest first, with its size in cells and how many of it fit on the longest stretch."""
        most = self.longest // self.cell
        sizes = [(length + added) // self.cell for length in self.lengths]
        shortest_first = sorted(range(len(sizes)), key=lambda kind: (self.lengths[kind], kind))
        return [
            (kind, sizes[kind], min(self.longest // self.lengths[kind], most // sizes[kind] if sizes[kind] else most))
            for kind in shortest_first
        ]

    def networks(self, prices: Sequence[int], least: Sequence[int]) -> list[Network]:
        """Return, for each roll type, the steps through which some layout is worth ``least`` of it.

        Steps run longest drop first, as in Valério de Carvalho, Annals of Operations Research 86 (1999)
        629–659, since the order on a roll of a free match is open. Their places are exact.
        """
        worth = self.worth(prices)
        values = worth.above.values
        networks = []
        for roll_type, rooms in enumerate(self.rooms):
            spare = worth.by_type[roll_type] - least[roll_type]
            if spare >= 0:
                steps = [
                    {window: tuple(self._arcs(prices, values, room, int(values[room // self.cell]) - spare))}
                    for window, room in enumerate(rooms)
                ]
                networks.append(in_series(roll_type, steps, dict.fromkeys(range(len(rooms)), 0), self.longest))
        return networks

    def _arcs(self, prices: Prices, values: NDArray[np.int64], capacity: int, least: int) -> Iterator[Arc]:
        most: list[int] = values.tolist()
        before = {0: 0}
        longest_first = sorted(range(len(self.lengths)), key=lambda kind: (-self.lengths[kind], kind))
        arcs: dict[Arc, None] = {}
        for kind in longest_first:
            self.clock.check()
            length, price = self.lengths[kind], int(prices[kind])
            frontier = before
            for _ in range(self.demands[kind]):
                reached: dict[int, int] = {}
                for place, worth in frontier.items():
                    head = place + length
                    if head <= capacity and worth + price + most[(capacity - head) // self.cell] >= least:
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
