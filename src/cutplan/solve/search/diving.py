"""Plans of a free match that meet the bound: a few rolls are settled at a time while the others can hold the rest.

The linear programme over the drops left tells whether they can: it is solved only until it is down to the rolls left.
When the ways to fill a roll with the drops left are few enough to be listed, an integer programme decides. What leads
to nothing is tried with fewer rolls settled at once, then with others, and after some failures from the beginning.

References
----------
After the relax-and-fix of R. da Silva and R. Schouery, Solving cutting stock problems via an extended Ryan-Foster
scheme and fast column generation (2023).

"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from math import floor
from typing import Final

import numpy as np
from msgspec import Struct

from cutplan.solve.clock import Clock
from cutplan.solve.instance import Instance
from cutplan.solve.layout import Layout
from cutplan.solve.roll.free import FreeRolls
from cutplan.solve.roll.fullest import GOLDEN, is_plain
from cutplan.solve.search.bound import NEARLY, Relaxation, relax
from cutplan.solve.search.full_rolls import decided
from cutplan.solve.search.greedy import Layouts, both_plans, take
from cutplan.solve.search.outcome import Outcome
from cutplan.solve.search.rounding import round_and_fill

FIRST: Final = range(6)
"""The numbers of the dives, each with other rolls first, before layouts are listed …"""

LATER: Final = range(6, 60)
"""… and before steps are looked at one by one."""

MOST_WAYS: Final = 120_000
"""With no more ways to fill a roll than this, times the drops left, these are decided together."""

MOSTLY: Final = 0.6
"""Layouts that the programme uses so much of a time are settled together …"""

ONE_IN: Final = 8
"""… one to so many rolls left at most."""

CHANCE: Final = 0.15
"""By up to so much the use of a layout is moved before they are ranked, each time of others."""

OTHERS: Final = 3
"""Where not even one more roll can be settled, so many are tried one by one."""

PATIENCE: Final = 6
"""So many failures end a dive …"""

LAST: Final = 3
"""… and last drops that are decided count for so many."""

FOR_LAST: Final = 0.2
"""Of the time left, a programme for the last drops may take so much."""


def meet_bound(outcome: Outcome, known: Iterable[Layout], numbers: Iterable[int], clock: Clock) -> Iterator[None]:
    """Offer plans that meet the bound of ``outcome``, or raise it, yielding after each try.

    Of a free match on one type of roll, of which a plan is known, and of nothing else; ``known`` are layouts to begin
    with, ``numbers`` those of the dives.
    """
    instance, columns = outcome.instance, tuple(known)
    if outcome.layouts is None or not is_plain(instance) or len(instance.roll_types) > 1:
        return
    # The rolls in hand are enough for the plan that is known, so they are for a better one.
    instance = instance.with_demands((kind.demand for kind in instance.kinds), [None])
    while True:
        whole = _Part({}, instance, -(-outcome.bound // instance.roll_types[0].value))
        relaxation = whole.relaxed(columns, clock)
        if whole.is_held(relaxation):
            break
        outcome.prove(relaxation.certificate)
        yield
        columns = relaxation.columns
    for layouts in round_and_fill(instance, FreeRolls(instance, clock), relaxation):
        outcome.offer(layouts)
        yield
    for number in numbers:
        outcome.offer(_Dive(number, clock).further(whole, relaxation))
        yield


class _Part(Struct, frozen=True):
    """Rolls that are settled, the drops that are left, and for how many rolls."""

    settled: Layouts
    left: Instance
    rolls: int

    @property
    def value(self) -> int:
        """The value of the rolls left."""
        return self.rolls * self.left.roll_types[0].value

    @property
    def drops(self) -> int:
        """How many drops are left."""
        return sum(kind.demand for kind in self.left.kinds)

    @property
    def spare(self) -> int:
        """How much the rolls left are longer than the drops."""
        return self.rolls * self.left.roll_types[0].length - sum(kind.length * kind.demand for kind in self.left.kinds)

    def with_more(self, layouts: Iterable[tuple[Layout, int]]) -> _Part:
        """Return what is left when these layouts are cut so many times, or as often as there are drops for."""
        settled, remaining = dict(self.settled), [kind.demand for kind in self.left.kinds]
        rolls = self.rolls - sum(take(settled, layout, remaining, [None], times) for layout, times in layouts)
        return _Part(settled, self.left.with_demands(remaining, [None]), rolls)

    def ways_to_fill(self) -> float:
        """Return how many choices of drops waste no more of a roll than there is to spare."""
        length = self.left.roll_types[0].length
        ways = np.zeros(length + 1)
        ways[0] = 1.0
        for kind in self.left.kinds:
            before = ways.copy() if kind.demand else ways
            for count in range(1, min(kind.demand, length // kind.length) + 1):
                ways[count * kind.length :] += before[: length + 1 - count * kind.length]
        return float(ways[max(0, length - self.spare) :].sum())

    def relaxed(self, columns: Iterable[Layout], clock: Clock) -> Relaxation:
        """Return the linear programme's solution, found from those ``columns`` that there are drops for."""
        wanted = [kind.demand for kind in self.left.kinds]
        held = [layout for layout in columns if layout.within(wanted) == layout]
        alone = [Layout(0, (kind,)) for kind, number in enumerate(wanted) if number]
        rolls = FreeRolls(self.left, clock)
        return relax(self.left, rolls, held + alone, clock, good_enough=self.value + 1, low_enough=self.value)

    def is_held(self, relaxation: Relaxation) -> bool:
        """Return True when the rolls left are enough for the drops as far as their linear programme tells."""
        return relaxation.certificate.whole_bound <= self.value


class _Dive:
    """One way down, until its patience ends."""

    def __init__(self, number: int, clock: Clock) -> None:
        self.number = number
        self.clock = clock
        self.patience = PATIENCE

    def further(self, part: _Part, relaxation: Relaxation) -> Layouts | None:
        """Return a plan of which some rolls are settled, if one is found from here on."""
        for layouts in self._choices(relaxation.use, part.rolls):
            found = self._plan(part.with_more(layouts), relaxation.columns)
            if found is not None or self.patience <= 0:
                return found
        return None

    def _plan(self, part: _Part, columns: Iterable[Layout]) -> Layouts | None:
        self.clock.check()
        if not part.rolls:
            return part.settled
        if part.spare >= 0 and part.ways_to_fill() * part.drops <= MOST_WAYS:
            self.patience -= LAST
            answer = decided(part.left, part.rolls, self.clock, FOR_LAST)
            return None if answer is None or answer.layouts is None else both_plans(part.settled, answer.layouts)
        relaxation = part.relaxed(columns, self.clock) if part.spare >= 0 else None
        if relaxation is None or not part.is_held(relaxation):
            self.patience -= 1
            return None
        return self.further(part, relaxation)

    def _choices(self, use: Mapping[Layout, float], rolls: int) -> Iterator[list[tuple[Layout, int]]]:
        """Yield layouts to settle, and how many times: those used most together, then ever fewer, then others alone."""
        ranked = sorted(use, key=lambda layout: (-min(use[layout], 1) - self._chance(layout), layout.kinds))
        most = [(layout, max(1, floor(use[layout] + NEARLY))) for layout in ranked if use[layout] > MOSTLY]
        together = min(len(most), rolls // ONE_IN)
        while together > 1:
            yield most[:together]
            together //= 2
        for layout in ranked[:OTHERS]:
            yield [(layout, 1)]

    def _chance(self, layout: Layout) -> float:
        """Return by how much the use of a layout is moved."""
        return CHANCE * (sum(kind * kind for kind in layout.kinds) * self.number * GOLDEN % 1)
