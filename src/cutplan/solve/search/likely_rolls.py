"""Plans of a free match that leave nothing over of any roll, by how likely it is that a roll is filled so and so.

Of all such plans that there may be, how many fill a roll with this choice of drops? Beliefs that are passed between
drops and choices tell nearly. The likeliest rolls are settled, a few at a time, and the others thought over again;
where a drop is left that nothing can be cut with, all begins anew, each time with other choices a little likelier.
There is no linear programme, and nothing is proved.

References
----------
Belief propagation as in M. Mézard and A. Montanari, Information, Physics, and Computation (2009), rolls settled as in
A. Braunstein, M. Mézard and R. Zecchina, Random Structures & Algorithms 27 (2005) 201–226.

"""

from __future__ import annotations

from collections.abc import Iterator
from copy import copy
from itertools import zip_longest
from typing import TYPE_CHECKING, Final

import numpy as np

from cutplan.solve.clock import Clock
from cutplan.solve.instance import Instance
from cutplan.solve.layout import Layout
from cutplan.solve.roll.fullest import GOLDEN, listed
from cutplan.solve.search.greedy import Layouts, both_plans

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Numbers = NDArray[np.int64]
    Floats = NDArray[np.floating]

MOST_KINDS: Final = 1_500
"""Of more kinds than this the pairs are too many …"""

MOST_JOINED: Final = 3_000_000
"""… and choices of four drops are left out where more pairs of pairs than this fill a roll."""

LAST: Final = 130
"""When no more drops than this are left, choices are listed anew, of any number of drops if they can be."""

TRIES: Final = 20
"""So many times rolls are settled from the beginning …"""

LAST_TRIES: Final = 4
"""… and each time so often the last ones."""

FOR_TRIES: Final = 0.5
"""No try is begun when so much of the time has gone."""

TOGETHER: Final = 4
"""So many rolls are settled before the others are thought over …"""

FOR_EACH: Final = 60
"""… but only one more for each so many drops left."""

ROUNDS: Final = 6
"""So many times beliefs are passed on after each such step …"""

FIRST_ROUNDS: Final = 60
"""… and so many times at the beginning."""

CHANCE: Final = 0.35
"""By up to so much a choice is made likelier."""

LEAST: Final = 1e-12
MOST: Final = 1e9
"""Odds are kept between these."""


def likely_plans(instance: Instance, rolls: int, clock: Clock) -> Iterator[Layouts]:
    """Yield plans of so many ``rolls`` of one type, all full, as often as one of the tries finds one."""
    (roll,) = instance.roll_types
    if len(instance.kinds) > MOST_KINDS or (roll.supply is not None and roll.supply < rolls):
        return
    whole, tries = Beliefs(instance, _up_to_four(instance), clock), clock.share(FOR_TRIES)
    for number in range(TRIES):
        first = whole.for_try(number)
        if tries.is_over() or not first.settle_until(LAST):
            continue
        rest = instance.with_demands(first.left[:-1].tolist(), [None])
        choices = listed(rest, rolls - sum(first.settled.values()), 0, clock)
        last = Beliefs(rest, _up_to_four(rest) if choices is None else _in_columns(choices, rest), clock)
        for again in range(LAST_TRIES):
            further = last.for_try(number * LAST_TRIES + again)
            if further.settle_until(0):
                yield both_plans(first.settled, further.settled)
        if not first.settled:
            return


class Beliefs:
    """How likely each choice of drops is to fill a roll; one choice is in each column of ``choices``."""

    def __init__(self, instance: Instance, choices: Numbers, clock: Clock) -> None:
        self.clock = clock
        self.settled: Layouts = {}
        self.none = len(instance.kinds)
        self.left = _wanted(instance)
        self.choices = choices
        self.odds: Floats = (choices != self.none).astype(float)
        self.chance: Floats = np.ones(choices.shape[1])
        self.likely: Floats = self.chance
        self._pass_on(FIRST_ROUNDS)

    def for_try(self, number: int) -> Beliefs:
        """Return the same, some choices a little likelier, for the try of this number."""
        anew = copy(self)
        anew.settled = {}
        anew.left = self.left.copy()
        anew.chance = 1 + CHANCE * (np.arange(len(self.chance)) * number * GOLDEN % 1)
        return anew

    def settle_until(self, left: int) -> bool:
        """Settle rolls until no more drops than this are ``left``; return False where nothing holds one of them."""
        while self.left[:-1].sum() > left:
            held = np.bincount(self.choices.ravel(), minlength=self.none + 1)
            if self.left[held == 0][:-1].any():
                return False
            self._pass_on(ROUNDS)
            self.settle_likeliest()
        return True

    def _pass_on(self, rounds: int) -> None:
        """Let each drop tell each choice that holds it how likely the other choices are, and the other way about."""
        wanted = self.left.astype(float)
        wanted[self.none] = LEAST  # what stands for no drop then weighs nothing
        of_choices = wanted[self.choices]
        for _ in range(rounds):
            self.clock.check()
            odds = np.bincount(self.choices.ravel(), self.odds.ravel(), self.none + 1)
            others = np.maximum(odds[self.choices] - self.odds, LEAST) / of_choices
            self.likely = self.chance / others.prod(axis=0)
            self.odds = np.sqrt(self.odds * np.minimum(self.likely * others, MOST))

    def settle_likeliest(self) -> None:
        """Settle the likeliest rolls that go together, and leave out the choices for which too few drops are left."""
        together = max(1, min(TOGETHER, int(self.left[:-1].sum()) // FOR_EACH))
        for choice in self.choices.T[np.argsort(-self.likely, kind="stable")[:together]]:
            counts = np.bincount(choice, minlength=self.none + 1)
            if (counts <= self.left).all():
                self.left[:-1] -= counts[:-1]
                layout = Layout(0, tuple(kind for kind in choice.tolist() if kind != self.none))
                self.settled[layout] = self.settled.get(layout, 0) + 1
        kept = _can_be_cut(self.choices, self.left)
        self.choices, self.odds, self.chance = self.choices[:, kept], self.odds[:, kept], self.chance[kept]


def _wanted(instance: Instance) -> Numbers:
    """Return how many drops of each kind are wanted; last, of what stands for no drop, more than a choice may have."""
    return np.array([*(kind.demand for kind in instance.kinds), instance.longest_span])


def _can_be_cut(choices: Numbers, left: Numbers) -> NDArray[np.bool_]:
    """Return for which ``choices`` there are drops enough ``left``."""
    enough = np.ones(choices.shape[1], dtype=bool)
    for kinds in choices:
        enough &= (choices == kinds).sum(axis=0) <= left[kinds]
    return enough


def _in_columns(choices: list[tuple[int, ...]], instance: Instance) -> Numbers:
    """Return each choice as a column, filled up with what stands for no drop."""
    rows = list(zip_longest(*choices, fillvalue=len(instance.kinds)))
    return np.array(rows, dtype=np.int64).reshape(len(rows), len(choices))


def _up_to_four(instance: Instance) -> Numbers:
    """Return every choice of two to four drops that fills a roll; of two or three where there are too many."""
    room, none = instance.longest_span, len(instance.kinds)
    lengths = np.array([kind.length for kind in instance.kinds])
    one, other = np.triu_indices(none)
    shortest_first = np.argsort(lengths[one] + lengths[other], kind="stable")
    one, other = one[shortest_first], other[shortest_first]
    pairs = lengths[one] + lengths[other]

    def joined(these: Numbers, last: Numbers) -> tuple[Numbers, Numbers]:
        """Return which of ``these`` lengths, of kinds up to ``last``, fill a roll with which later pair."""
        first, end = np.searchsorted(pairs, room - these), np.searchsorted(pairs, room - these, side="right")
        number = end - first
        if number.sum() > MOST_JOINED:
            number[:] = 0
        before = np.repeat(np.arange(len(these)), number)
        after = np.arange(len(before)) + np.repeat(end - number.cumsum(), number)
        in_order = last[before] <= one[after]
        return before[in_order], after[in_order]

    two = np.flatnonzero(pairs == room)
    single, pair = joined(lengths, np.arange(none))
    before, after = joined(pairs, other)
    found = (
        (one[two], other[two], none, none),
        (single, one[pair], other[pair], none),
        (one[before], other[before], one[after], other[after]),
    )
    choices = np.concatenate([np.stack(np.broadcast_arrays(*kinds)) for kinds in found], axis=1)
    return choices[:, _can_be_cut(choices, _wanted(instance))]
