"""What a roll of a repeating print can hold where places and kinds are few: no array is worth its loading then."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from cutplan.solve.clock import Clock
from cutplan.solve.instance import Instance
from cutplan.solve.layout import Layout
from cutplan.solve.roll.filling import Filling
from cutplan.solve.roll.places import Places, Step, Window

if TYPE_CHECKING:
    from cutplan.solve.roll.holding import Prices

MOST_STEPS: Final = 6_000
"""Steps from all nodes in all windows up to which arrays take longer to load than they save."""


def are_few(places: Places) -> bool:
    """Return True when no array is needed to look at every step of every window."""
    steps = sum(map(len, places.classes))
    return places.end // len(places.classes) * steps * len(places.windows) <= MOST_STEPS


class FewWorth(Struct, frozen=True, dict=True):
    """The most that rolls can be worth at ``prices``; ``by_window[window][node]`` from each node on, up to the end."""

    rolls: FewPlaces
    prices: list[int]
    by_window: list[list[int]]

    @cached_property
    def of_windows(self) -> list[int]:
        """The value of each window."""
        return [to_go[window.first] for window, to_go in zip(self.rolls.places.windows, self.by_window, strict=True)]

    @cached_property
    def by_type(self) -> list[int]:
        """The most that a roll of each type can be worth: the sum over its stretches of the best window."""
        return best_by_type(self.rolls.windows, self.of_windows)

    def fill(self, roll_type: int, remaining: Sequence[int]) -> Layout:
        """Return the most valuable layout found."""
        rolls = self.rolls
        filling = Filling(rolls.places, self.prices, remaining)
        kinds = filling.kinds(rolls.windows[roll_type], self.of_windows, self.by_window.__getitem__, rolls.clock)
        return Layout(roll_type, kinds)


class FewPlaces:
    """The rolls of an instance whose places are few."""

    def __init__(self, instance: Instance, places: Places, clock: Clock) -> None:
        self.clock = clock
        self.places = places
        self.windows = places.by_stretch(instance)
        self._coordinates = [places.coordinate(node) for node in range(places.end)]

    def worth(self, prices: Prices) -> FewWorth:
        """Return what rolls can be worth at ``prices``."""
        self.clock.check()
        price_of = [int(price) for price in prices]
        dearer = [_each_dearer(steps, price_of) for steps in self.places.classes]
        return FewWorth(self, price_of, [self._to_go(window, dearer) for window in self.places.windows])

    def last_ends(self) -> list[list[int]]:
        """Return, by window and node, where the last drop cut from there on can end at most; 0 where none fits."""
        self.clock.check()
        return [self._ends(window) for window in range(len(self.places.windows))]

    def _ends(self, number: int) -> list[int]:
        places, window = self.places, self.places.windows[number]
        ends = [0] * (places.end + 1)
        for node in range(places.end - 1, window.first - 1, -1):
            here = self._coordinates[node]
            reached = [ends[node + 1]]
            for _, nodes, length in places.classes[node % len(places.classes)]:
                if here + length > window.limit:
                    break
                reached += [here + length, ends[min(node + nodes, places.end)]]
            ends[node] = max(reached)
        return ends

    def _to_go(self, window: Window, dearer: list[list[tuple[int, int, int]]]) -> list[int]:
        places, coordinates, classes = self.places, self._coordinates, len(dearer)
        to_go = [0] * (places.end + places.furthest)
        best = 0
        for node in range(places.end - 1, window.first - 1, -1):
            room = window.limit - coordinates[node]
            for length, nodes, price in dearer[node % classes]:
                if length > room:
                    break
                worth = price + to_go[node + nodes]
                if worth > best:  # noqa: PLR1730 - called for each step, max would take half of the time
                    best = worth
            to_go[node] = best
        del to_go[places.end + 1 :]
        return to_go


def _each_dearer(steps: Sequence[Step], prices: list[int]) -> list[tuple[int, int, int]]:
    """Return (length, nodes, price) of the steps that are worth taking: each is dearer than all that are shorter."""
    found, dearest = [], 0
    for kind, nodes, length in steps:
        if prices[kind] > dearest:
            dearest = prices[kind]
            found.append((length, nodes, dearest))
    return found


def best_by_type(windows: list[list[list[int]]], of_windows: list[int]) -> list[int]:
    """Return the most that a roll of each type can be worth: the sum over its stretches of the best window."""
    return [sum(max(of_windows[window] for window in held) for held in stretches) for stretches in windows]
