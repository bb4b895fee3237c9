"""The filling of one roll of a repeating print by depth, dearest drops first, with the values to go as its bound."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from cutplan.solve.clock import Clock
from cutplan.solve.roll.places import Places, Step

PATIENCE = 200
"""Drops that the filling of one stretch may try before it takes the best layout found."""


class Filling:
    """The state of the depth-first filling of one roll, stretch after stretch."""

    def __init__(self, places: Places, prices: list[int], remaining: Sequence[int]) -> None:
        self.places = places
        self.prices = prices
        self.remaining = list(remaining)
        self.best: list[int] = []
        self.best_worth = 0
        self.patience = 0

    def kinds(
        self,
        stretches: Iterable[Iterable[int]],
        of_windows: Sequence[int],
        to_go: Callable[[int], Sequence[int]],
        clock: Clock,
    ) -> tuple[int, ...]:
        """Return the most valuable kinds found for a roll of these windows by stretch.

        ``of_windows`` are their values, and ``to_go`` says the most that can still be cut from each node of one.
        """
        kinds: list[int] = []
        for windows in stretches:
            self.best, self.best_worth, self.patience = [], 0, PATIENCE
            for window in sorted(windows, key=lambda window: -of_windows[window]):
                if of_windows[window] <= self.best_worth or self.patience <= 0:
                    break
                clock.check()
                self.search(window, to_go(window))
            kinds += self.best
            for kind in self.best:
                self.remaining[kind] -= 1
        return tuple(kinds)

    def search(self, window: int, to_go: Sequence[int]) -> None:
        """Try the layouts of one window, until patience ends."""
        first, self.limit, *_ = self.places.windows[window]
        self.to_go = [*to_go, *[0] * self.places.furthest]
        self.chosen: list[int] = []
        self._descend(first, 0)

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
        remaining, prices, to_go = self.remaining, self.prices, self.to_go
        room = self.limit - self.places.coordinate(node) if node < self.places.end else 0
        options = self.promising(node, enough)
        found = [
            (-worth, node + nodes, kind)
            for kind, nodes, length in options
            if remaining[kind]
            and length <= room
            and prices[kind]
            and (worth := prices[kind] + to_go[node + nodes]) > enough
        ]
        found.sort()
        return found

    def promising(self, node: int, enough: int) -> Sequence[Step]:  # noqa: ARG002 - whoever has arrays looks at it
        """Return the steps to look at: all of those that may be worth more than ``enough``."""
        return self.places.options(node % len(self.places.classes))
