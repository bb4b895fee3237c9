"""The most that drops lying together on one roll can be worth: the longest path over places on the roll.

A certificate prices every drop and claims that no roll holds more than so much. To verify it, this finds the
dearest layout that a roll allows, drops repeating without limit, in whole numbers throughout.

With a repeat R a drop can start only at its own place in each repeat, so a roll has few places: one for
each repeat and class of drops that start alike. Going along them, the best worth at a place is the best at
the place before it, or that of a drop that ends between the two. Waiting costs nothing, so this covers every
legal sequence. Where the start of the roll is open (sealed rolls), a layout lies in a window that begins with
its first drop, and any class may come first: one pass for each class.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from fractions import Fraction
from heapq import heappop, heappush
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence


@dataclass(frozen=True, slots=True)
class PricedDrop:
    """A drop as the certificate sees it: cut length, place in the repeat, and price.

    ``place`` is where it starts, in [0, repeat), on a roll with a datum at its outer end; lengths and places
    are whole numbers of one unit.
    """

    length: int
    place: int
    price: int


@dataclass(frozen=True, slots=True)
class PlacesOnRoll:
    """Every place where a priced drop may start within one repeat, with the drops that start there.

    Attributes
    ----------
    repeat
        Period of the places, more than 0.
    places
        The places in [0, repeat), ascending.
    steps
        For each place, its drops by ascending length: length, how many places on the next drop may start,
        and price.

    """

    repeat: int
    places: tuple[int, ...]
    steps: tuple[tuple[tuple[int, int, int], ...], ...]

    def worth_from(self, start: int, length: int) -> int:
        """Return the most that drops within [start, start + length] are worth; a datum lies at 0.

        ``start`` may be anywhere in [0, repeat).
        """
        if not self.places:
            return 0
        end = start + length
        first, count = bisect_left(self.places, start), len(self.places)
        best = [0] * max(self.index_at(end) - first + 1, 1)
        held = 0
        for index in range(len(best)):
            held = max(held, best[index])
            repeats, place = divmod(first + index, count)
            room = end - repeats * self.repeat - self.places[place]
            for drop_length, onward, price in self.steps[place]:
                if drop_length > room:
                    break
                best[index + onward] = max(best[index + onward], held + price)
        return held

    def worth_anywhere(self, length: int) -> int:
        """Return the most that drops within any stretch of this length are worth, wherever it begins."""
        return max((self.worth_from(place, length) for place in self.places), default=0)

    def index_at(self, position: int) -> int:
        """Return the number, from 0, of the first place at or beyond ``position``."""
        repeats, rest = divmod(position, self.repeat)
        return repeats * len(self.places) + bisect_left(self.places, rest)


def places_on_roll(drops: Iterable[PricedDrop], repeat: int) -> PlacesOnRoll:
    """Return the places of drops that are worth something; ``repeat`` is more than 0."""
    classes: dict[int, list[PricedDrop]] = {}
    for drop in drops:
        if drop.price > 0:
            classes.setdefault(drop.place, []).append(drop)
    places = tuple(sorted(classes))
    bare = PlacesOnRoll(repeat, places, ())
    steps = tuple(
        tuple(
            (drop.length, bare.index_at(place + drop.length) - index, drop.price)
            for drop in _worth_having(classes[place])
        )
        for index, place in enumerate(places)
    )
    return PlacesOnRoll(repeat, places, steps)


def worth_of_free(drops: Iterable[PricedDrop], length: int, enough: int = 0) -> int:
    """Return the most that drops of a free match are worth within ``length``, by the sums they reach.

    Only more than ``enough`` is of interest: where no drops are worth more, the answer is some worth that they
    do reach, not always the most. That spares the sums from which even the dearest paper could not exceed it.
    """
    kinds = [(drop.length, drop.price) for drop in _worth_having(drops) if drop.price > 0]
    if not kinds or length < kinds[0][0]:
        return 0
    dearest_length, dearest_price = max(kinds, key=lambda kind: Fraction(kind[1], kind[0]))
    best = {0: 0}
    waiting = [0]
    held = -1
    while waiting:
        position = heappop(waiting)
        worth = best[position]
        if worth <= held:  # a shorter run of drops is worth as much
            continue
        held = worth
        hopeless = (enough - worth) * dearest_length >= (length - position) * dearest_price
        if hopeless:
            continue
        for drop_length, price in kinds:
            reached = position + drop_length
            if reached > length:
                break
            if best.get(reached, -1) < worth + price:
                if reached not in best:
                    heappush(waiting, reached)
                best[reached] = worth + price
    return held


def _worth_having(drops: Iterable[PricedDrop]) -> Sequence[PricedDrop]:
    """Return drops by ascending length, without those that a drop no longer is worth at least as much as."""
    kept: list[PricedDrop] = []
    for drop in sorted(drops, key=lambda drop: (drop.length, -drop.price)):
        if not kept or drop.price > kept[-1].price:
            kept.append(drop)
    return kept
