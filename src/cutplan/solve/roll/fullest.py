"""Rolls of a free match filled one after another without arrays: by the longest drop that fits, or as full as can be.

The longest that fits suits a room, whose rolls cannot be filled without a remnant. Many lengths fill them to the end:
then each roll is filled round the longest drop left, with the longest drops that waste little enough, for short ones
are good for closing gaps later. Little enough is by turns twice or four times what a roll wastes in a plan that meets
the bound, or no more than must be. Drops are moved a little out of length, each time others, until a plan meets
the bound. Which lengths drops can add up to is kept in the bits of whole numbers.

References
----------
The minimum bin slack of Gupta and Ho, Production Planning & Control 10 (1999) 598–603, round a fixed first item as in
Fleszar and Hindi, Computers & Operations Research 29 (2002) 821–839; some waste is allowed as in their relaxed one.

"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import islice
from typing import Final

from cutplan.solve.clock import Clock
from cutplan.solve.instance import Instance
from cutplan.solve.layout import Layout
from cutplan.solve.search.greedy import Layouts

PASSES: Final = 12
"""In how many orders rolls are filled round the longest drop."""

WASTE: Final = (2, 0, 4)
"""By turns a roll may waste so many times its share of the paper that a plan which meets the bound has to spare."""

OUT_OF_LENGTH: Final = 0.4
"""By up to this part of its length each drop is moved forward in such an order."""

GOLDEN: Final = 0.618_033_988_749_895
"""Multiples of it lie evenly between whole numbers, so they move drops as if by chance, the same on every run."""

MOST_BITS: Final = 50_000_000
"""Kinds × units of length beyond which arrays on a coarser grid are the quicker."""

MOST_LISTED: Final = 4_000
"""Choices of drops that fill a roll are listed where they are no more than this."""


def filled_rolls(instance: Instance, bound: int, clock: Clock) -> Iterator[Layouts]:
    """Yield plans of a free match on whole rolls of one price, each made in another way; none of other stock.

    ``bound`` is the value that they are to meet.
    """
    if not is_plain(instance):
        return
    meeting = -(-bound // instance.roll_types[0].value)
    for number in range(-1, PASSES):
        drops = DropsLeft(instance, max(number, 0), meeting)
        choose = drops.longest_first if number < 0 else drops.round_longest
        layouts = _filled(instance, drops, choose, clock)
        if layouts is not None:
            yield layouts


def is_plain(instance: Instance) -> bool:
    """Return True for a free match on whole rolls of one price, of which lengths can be kept in bits."""
    rolls = instance.roll_types
    if instance.repeat or len({roll.value for roll in rolls}) != 1 or not rolls[0].value:
        return False
    if any(roll.holds is not None or roll.further for roll in rolls):
        return False
    return instance.longest_span * len(instance.kinds) <= MOST_BITS


def would_be_full(instance: Instance, value: int) -> bool:
    """Return True when a plan of this value leaves nothing over of any roll, all of one length."""
    if not is_plain(instance) or len(instance.roll_types) > 1:
        return False
    (roll,) = instance.roll_types
    return value * roll.length == roll.value * sum(kind.length * kind.demand for kind in instance.kinds)


def _filled(
    instance: Instance, drops: DropsLeft, choose: Callable[[int], dict[int, int]], clock: Clock
) -> Layouts | None:
    """Return layouts that cut all drops, each roll as it is chosen for its room; None when the rolls run out."""
    layouts: Layouts = {}
    types = instance.roll_types
    for roll_type in sorted(range(len(types)), key=lambda index: -types[index].length):
        room, left = types[roll_type].length, types[roll_type].supply
        while left != 0 and drops.longest <= room and drops.longest:
            clock.check()
            counts = choose(room)
            times = drops.take(room, counts, left)
            left = None if left is None else left - times
            kinds = tuple(drops.order[place] for place, count in counts.items() for _ in range(count))
            layouts[Layout(roll_type, kinds)] = times
    return None if drops.longest else layouts


class DropsLeft:
    """The drops left, by place in an order of which those at the end are taken first: about the longest."""

    def __init__(self, instance: Instance, number: int, rolls: int) -> None:
        kinds = instance.kinds
        moved = [kind.length * (1 - OUT_OF_LENGTH * (at * number * GOLDEN % 1)) for at, kind in enumerate(kinds)]
        self.order = sorted(range(len(kinds)), key=moved.__getitem__)
        self.lengths = [kinds[kind].length for kind in self.order]
        self.left = [kinds[kind].demand for kind in self.order]
        self.length_left = sum(kind.length * kind.demand for kind in kinds)
        self.paper_left, self.rolls_left = _paper_of(instance, rolls)
        """Of ``rolls`` of the longest, those that are not filled yet."""
        self.times_waste = WASTE[number % len(WASTE)]
        self.span = instance.longest_span
        self.by_length = sorted(range(len(kinds)), key=self.lengths.__getitem__)
        self.sums = [1] + [0] * len(kinds)
        """Bit s of the number at each place: drops before that place can be s long together."""
        self.settled = 0
        """Up to this place the sums are right; beyond, once they were right, there may be some that are none now."""

    @property
    def longest(self) -> int:
        """The length of the longest drop left; 0 when none is."""
        return self.lengths[self.by_length[-1]] if self.by_length else 0

    @property
    def may_waste(self) -> int:
        """How much of the next roll may be wasted."""
        spare = max(0, self.paper_left - self.length_left)
        return self.times_waste * spare // max(1, self.rolls_left)

    def take(self, room: int, counts: dict[int, int], most: int | None) -> int:
        """Fill rolls of this ``room`` alike, as many as there are drops for, ``most`` at most; return how many."""
        times = min(self.left[place] // count for place, count in counts.items())
        times = times if most is None else min(times, most)
        for place, count in counts.items():
            self.left[place] -= count * times
            self.length_left -= count * times * self.lengths[place]
        self.paper_left -= room * times
        self.rolls_left -= times
        self._unsettle(counts)
        if not all(self.left[place] for place in counts):
            self.by_length = [place for place in self.by_length if self.left[place]]
        return times

    def longest_first(self, room: int) -> dict[int, int]:
        """Return, for ``room``, as many as fit of the longest drop, then of the next, and so on."""
        counts = {}
        for place in reversed(self.by_length):
            if self.lengths[place] <= room:
                counts[place] = min(self.left[place], room // self.lengths[place])
                room -= counts[place] * self.lengths[place]
        return counts

    def round_longest(self, room: int) -> dict[int, int]:
        """Return how many drops of which places, the longest among them, fill ``room`` with little enough waste."""
        first = self.by_length[-1]
        self.left[first] -= 1
        self._unsettle((first,))
        counts, lacking = self._filling(room - self.lengths[first])
        if lacking:
            self._settle()
            counts, _ = self._filling(room - self.lengths[first])
        self.left[first] += 1
        return {first: counts.pop(first, 0) + 1, **counts}

    def _filling(self, to_fill: int) -> tuple[dict[int, int], bool]:
        """Return how many drops of which places fill enough of ``to_fill``; and True where not, for old sums misled."""
        sums, left = self.sums, self.left
        most = (sums[-1] & ((2 << to_fill) - 1)).bit_length() - 1
        least = min(most, max(0, to_fill - self.may_waste))
        allowed = (2 << (most - least)) - 1
        counts = {}
        for place in reversed(range(len(left))):
            length = self.lengths[place]
            if length > most or not left[place]:
                continue
            count = min(left[place], most // length)
            while count and least > count * length and not sums[place] >> (least - count * length) & allowed:
                count -= 1
            if count:
                counts[place] = count
                most -= count * length
                least -= count * length
        return counts, least > 0 or most < 0

    def all_filling(self, room: int, waste: int, clock: Clock) -> Iterator[tuple[int, ...]]:
        """Yield the kinds of every choice of drops that wastes no more than ``waste`` of ``room``."""
        self._settle()
        begun: list[tuple[int, int, tuple[int, ...]]] = [(len(self.lengths), room, ())]
        while begun:
            clock.check()
            place, to_fill, kinds = begun.pop()
            if to_fill <= waste:
                yield kinds
            while place and to_fill and _has_one(self.sums[place], to_fill - waste, to_fill):
                place -= 1
                for count in range(1, min(self.left[place], to_fill // self.lengths[place]) + 1):
                    less = to_fill - count * self.lengths[place]
                    if _has_one(self.sums[place], less - waste, less):
                        begun.append((place, less, (*kinds, *[self.order[place]] * count)))

    def _unsettle(self, places: Iterable[int]) -> None:
        """Note that there are fewer drops at these places, which changes no sum where those left fill a roll."""
        self.settled = min([self.settled, *(at for at in places if self.left[at] * self.lengths[at] <= self.span)])

    def _settle(self) -> None:
        """Reckon the sums anew that are not right."""
        within = (2 << self.span) - 1
        sums = self.sums[self.settled]
        for at in range(self.settled, len(self.lengths)):
            for _ in range(self.left[at]):
                more = sums | sums << self.lengths[at] & within
                if more == sums:
                    break
                sums = more
            self.sums[at + 1] = sums
        self.settled = len(self.lengths)


def listed(instance: Instance, rolls: int, waste: int, clock: Clock) -> list[tuple[int, ...]] | None:
    """Return every choice of drops that wastes no more than ``waste`` of a roll; None where they are too many."""
    filling = DropsLeft(instance, 0, rolls).all_filling(instance.longest_span, waste, clock)
    choices = list(islice(filling, MOST_LISTED + 1))
    return None if len(choices) > MOST_LISTED else choices


def _paper_of(instance: Instance, rolls: int) -> tuple[int, int]:
    """Return how much paper so many of the longest rolls have, and how many there are."""
    paper, left = 0, rolls
    for roll in sorted(instance.roll_types, key=lambda roll: -roll.length):
        times = left if roll.supply is None else min(left, roll.supply)
        paper += times * roll.length
        left -= times
    return paper, rolls - left


def _has_one(sums: int, least: int, most: int) -> bool:
    """Return True when one of ``sums`` is from ``least`` to ``most``."""
    least = max(least, 0)
    return (sums >> least) & ((2 << (most - least)) - 1) != 0
