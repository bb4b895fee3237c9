"""The most that drops lying together on one roll can be worth: the longest path over places on the roll.

A certificate prices every drop and claims that no roll holds more than so much. To verify it, this finds the
dearest layout that a roll allows, in whole numbers throughout.

With a repeat R a drop can start only at its own place in each repeat, so a roll has few places: one for
each repeat and class of drops that start alike. Going along them, the best worth at a place is the best at
the place before it, or that of a drop that ends between the two. Waiting costs nothing, so this covers every
legal sequence, drops repeating without limit. Where the start of the roll is open (sealed rolls), a layout lies
in a window that begins with its first drop, and any class may come first: a few passes judge all of them together.

With a free match there are no places, and only which drops lie on a roll matters: a knapsack. There no drop is
taken more often than it is wanted, for no roll of any plan holds more of it.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterable, Sequence
from fractions import Fraction
from itertools import accumulate
from typing import Final

from msgspec import Struct

MOST_STEPS: Final = 60_000_000
"""Steps along rolls that one proof is worth, about a minute; a proof that needs more is not followed to its end."""
_TURNS: Final = 8
"""How often head starts of beginnings are raised before they are taken for endless."""


class TooLongToFollowError(Exception):
    """A proof that takes more steps than :data:`MOST_STEPS`."""


class Steps:
    """Counts the steps that a proof takes."""

    def __init__(self, left: int = MOST_STEPS) -> None:
        self.left = left

    def take(self, steps: int) -> None:
        """Raise :class:`TooLongToFollowError` when these are more than are left."""
        self.left -= steps
        if self.left < 0:
            raise TooLongToFollowError


class PricedDrop(Struct, frozen=True):
    """A drop as the certificate sees it: cut length, place in the repeat, price, and how many are wanted.

    ``place`` is where it starts, in [0, repeat), on a roll with a datum at its outer end; lengths and places
    are whole numbers of one unit.
    """

    length: int
    place: int
    price: int
    count: int = 1


class PlacesOnRoll(Struct, frozen=True):
    """Every place where a priced drop may start within one repeat, more than 0, ascending from 0.

    ``steps`` are, for each place, its drops by ascending length: length, how many places on the next drop may start,
    and price.
    """

    repeat: int
    places: tuple[int, ...]
    steps: tuple[tuple[tuple[int, int, int], ...], ...]

    def worth_from(self, start: int, length: int, steps: Steps) -> int:
        """Return the most that drops within [start, start + length] are worth; a datum lies at 0.

        ``start`` may be anywhere in [0, repeat).
        """
        if not self.places:
            return 0
        first = bisect_left(self.places, start)
        if first == len(self.places):  # the next repeat
            first, start = 0, start - self.repeat
        (worth,) = self._worths(first, [0], start + length - self.places[first], steps)
        return worth

    def worth_anywhere(self, length: int, enough: int, steps: Steps) -> int:
        """Return the most that drops within any stretch of this length are worth, wherever it begins.

        Only more than ``enough`` is of interest, as in :func:`worth_of_free`. Beginnings are judged together: each has
        a head start in worth, and drops count with the greatest up to where they begin. If those that end within the
        length of a beginning, and of none before, are then worth no more than what is allowed and its head start, all
        drops are worth no more than is allowed; for those that begin at a place end within its length, or that of one
        before. Head starts grow by what is missing; where they find no end, the beginnings are halved.
        """
        most = 0
        together = [(0, len(self.places))] if self.places else []
        while together:
            first, last = together.pop()
            worths = self._worths(first, [0] * (last - first), length, steps)
            if worths[0] > max(enough, most):
                most = worths[0]
            if not self._have_head_starts(first, worths, length, max(enough, most), steps):
                middle = (first + last) // 2
                together += [(first, middle), (middle, last)]
        return most

    def _have_head_starts(self, first: int, worths: list[int], length: int, allowed: int, steps: Steps) -> bool:
        """Return True when head starts are found at which no beginning is worth more than is allowed.

        ``worths`` are those of the beginnings without any; that of the first is no more than is allowed.
        """
        heads = [0] * len(worths)
        for _ in range(_TURNS):
            raised = [max(head, worth - allowed) for head, worth in zip(heads, worths, strict=True)]
            if raised == heads:
                return True
            if raised[0]:  # Its own head start comes back to it, and would for ever.
                return False
            heads = raised
            worths = self._worths(first, heads, length, steps)
        return False

    def _worths(self, first: int, heads: list[int], length: int, steps: Steps) -> list[int]:
        """Return the most that drops which end within ``length`` of each beginning, and of none before, are worth.

        Beginnings are the places from ``first`` on, as many as there are ``heads``: what each is worth before any drop.
        Drops may begin at any of them.
        """
        start, last = self.places[first], first + len(heads)
        sure, room = start + length, self.places[last - 1] + length
        beyond = self.index_at(room) - last + 1
        steps.take(len(heads) + beyond)
        best = heads + [0] * beyond
        worths = [0] * len(heads)
        held, place, count = 0, first, len(self.places)
        for index, worth in enumerate(best):
            if worth > held:  # noqa: PLR1730 - twice as fast as max, and this is where a proof's time goes
                held = worth
            if place == count:  # the next repeat
                place = 0
                sure -= self.repeat
                room -= self.repeat
            here = self.places[place]
            for drop_length, onward, price in self.steps[place]:
                end = here + drop_length
                if end > room:
                    break
                number = 0 if end <= sure else bisect_left(self.places, start + end - sure, first, last) - first
                with_it = held + price
                if with_it > worths[number]:  # noqa: PLR1730
                    worths[number] = with_it
                if with_it > best[index + onward]:  # noqa: PLR1730
                    best[index + onward] = with_it
            place += 1
        return worths

    def index_at(self, position: int) -> int:
        """Return the number, from 0, of the first place at or beyond ``position``."""
        repeats, rest = divmod(position, self.repeat)
        return repeats * len(self.places) + bisect_left(self.places, rest)


def worth_in_turns(turns: Sequence[Sequence[PricedDrop]], repeat: int, length: int, steps: Steps) -> int:
    """Return the most that drops within any stretch of this length are worth, none before one of an earlier turn."""
    classes = sorted({drop.place for drops in turns for drop in drops})
    most = 0
    for first in classes:
        places = sorted(
            place for each in classes for place in range((each - first) % repeat, length + 1, repeat)
        )  # from the first drop on
        steps.take(len(places) * sum(len(drops) + 1 for drops in turns))
        best = [0] * (len(places) + 1)
        for drops in turns:
            starting: dict[int, list[PricedDrop]] = {}
            for drop in drops:
                starting.setdefault((drop.place - first) % repeat, []).append(drop)
            for number, place in enumerate(places):
                for drop in starting.get(place % repeat, ()):
                    if place + drop.length <= length:
                        after = bisect_left(places, place + drop.length)
                        best[after] = max(best[after], best[number] + drop.price)
                best[number + 1] = max(best[number + 1], best[number])
        most = max(most, best[-1])
    return most


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


def _worth_having(drops: Iterable[PricedDrop]) -> Sequence[PricedDrop]:
    """Return drops by ascending length, without those that a drop no longer is worth at least as much as."""
    kept: list[PricedDrop] = []
    for drop in sorted(drops, key=lambda drop: (drop.length, -drop.price)):
        if not kept or drop.price > kept[-1].price:
            kept.append(drop)
    return kept


def worth_of_free(drops: Iterable[PricedDrop], length: int, enough: int, steps: Steps) -> int:
    """Return the most that drops of a free match are worth within ``length``, none more often than its count.

    Only more than ``enough`` is of interest: where no drops are worth more, the answer is the worth of some
    drops, not always the most. Runs of drops are built up from the dearest paper on; one is dropped when a
    shorter run is worth as much, or when even the dearest paper left, cut to any length, could not lift it above
    what is enough.

    References
    ----------
    Nemhauser and Ullmann, "Discrete dynamic programming and capital allocation", Management Science 15 (1969)
    494–505; the bound is that of Dantzig, "Discrete-variable extremum problems", Operations Research 5 (1957)
    266–288.

    """
    bundles = _bundles(drops, length)
    reach = [0, *accumulate(bundle.length for bundle in bundles)]
    worths = [0, *accumulate(bundle.price for bundle in bundles)]
    most = 0
    runs = [(0, 0)]
    for number, bundle in enumerate(bundles, start=1):
        steps.take(len(runs))
        longer = [(run + bundle.length, worth + bundle.price) for run, worth in runs if run + bundle.length <= length]
        most = max(most, longer[-1][1] if longer else 0)
        held = -1
        kept = []
        for run, worth in sorted(runs + longer, key=lambda run: (run[0], -run[1])):
            if worth <= held:
                continue
            held = worth
            end = reach[number] + length - run
            last = bisect_right(reach, end) - 1
            hoped = worth + worths[last] - worths[number]
            if last < len(bundles):
                hoped += (end - reach[last]) * bundles[last].price // bundles[last].length
            if hoped > max(enough, most):
                kept.append((run, worth))
        runs = kept
    return most


def _bundles(drops: Iterable[PricedDrop], length: int) -> list[PricedDrop]:
    """Return 1, 2, 4 … drops of each kind as one, dearest paper first: some of them make up any number of it."""
    counts = Counter[tuple[int, int]]()
    for drop in drops:
        if drop.price > 0:
            counts[drop.length, drop.price] += drop.count
    bundles = []
    for (drop_length, price), count in counts.items():
        left, size = min(count, length // drop_length), 1
        while left > 0:
            size = min(size, left)
            bundles.append(PricedDrop(size * drop_length, 0, size * price))
            left -= size
            size *= 2
    return sorted(bundles, key=lambda bundle: (Fraction(-bundle.price, bundle.length), bundle.length))
