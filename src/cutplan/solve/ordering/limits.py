"""Tightening the limits: the fewest drops waiting first, then, with as few, the least far ahead."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from msgspec import Struct

from cutplan.plan.plan import INTERRUPTED
from cutplan.plan.waiting import Waiting, waiting
from cutplan.solve.clock import TimeIsUp
from cutplan.solve.ordering.task import GUIDES, Move

if TYPE_CHECKING:
    from cutplan.solve.ordering.layered_search import Answer, Course, Search

WIDTH: Final = 300
FULL_WIDTH: Final = 60_000
"""States kept in a layer: to find good orders, and to prove that there are no better ones."""

SET_BY_SET: Final = (300, 1_000)
"""States kept, as many of each set of drops cut ahead, where more than one drop is still undecided."""

FIRST_STATES: Final = 4_000
"""States kept in all layers together to find some order fast."""

SOON: Final = 100_000
"""Effort that is first spent on ruling out."""

GROWTH: Final = 3
"""At least so many times the effort is expected for allowing one drop more to wait."""

AT_ONCE: Final = 100_000
"""Effort for an order that fits short rolls too."""

NEARER_SOON: Final = 200_000
"""Effort for each proof that no order cuts less far ahead, before such orders are looked for among few states."""

FOR_DISTANCE: Final = 4
"""One part in so many of the effort is kept for how far ahead drops are cut."""


FEW_WAIT: Final = 3
"""Where fewer wait than this, hardly any drop is cut further ahead in good orders than it must be."""


class Best(Struct):
    """The best order known, and what is proved of every order."""

    waiting: Waiting
    """How far it runs ahead."""
    moves: tuple[Move, ...] | None = None
    """The order; None while it is the one that the plan came with."""
    most_bound: int = 0
    """No order has fewer waiting."""
    furthest_bound: int = 0
    """No order with as few waiting as ``waiting.most`` cuts less far ahead."""
    stopped: str | None = None
    """Why the search was stopped from outside; None when it was not."""

    def offer(self, moves: tuple[Move, ...], found: Waiting, least_ahead: int) -> None:
        """Keep an order when it is better; none with as few waiting cuts less far ahead than ``least_ahead``."""
        if found.most < self.waiting.most:
            self.furthest_bound = least_ahead
        if found < self.waiting:
            self.waiting, self.moves = found, moves


def tighten(search: Search, easier: Search | None, short: Search, best: Best, effort: int) -> Best:
    """Return ``best``, made better within about ``effort`` cuts tried.

    Whatever has no order in the ``easier`` search has none; ``short`` are the rolls as short as they may be.
    """
    tightening = _Tightening(search, easier, short, best, effort)
    try:
        tightening.fewest_waiting()
        tightening.least_ahead()
        tightening.set_by_set()
        tightening.find_on_short()
    except TimeIsUp as end:
        tightening.best.stopped = end.reason
    except KeyboardInterrupt:
        tightening.best.stopped = INTERRUPTED
    return tightening.best


def _near(most: int) -> int:
    """Return how far ahead to look for an order quickly: where few wait, good orders do not cut far ahead."""
    return 3 * most + 2


class _Tightening:
    def __init__(self, search: Search, easier: Search | None, short: Search, best: Best, effort: int) -> None:
        self.search = search
        self.easier = easier
        self.short = short
        self.effort = effort
        self.left = effort
        self.best = best
        self.courses: dict[tuple[Search, int, int, int, int], Course] = {}
        self.easily_cut: dict[int, int] = {}
        self.missed_on_short: Waiting | None = None
        self.few = max(FIRST_STATES // len(search.table.turns), 1)

    def fewest_waiting(self) -> None:
        """Rule out what is soon ruled out; find some good order fast; look for better ones in what is undecided."""
        self._climb(self.effort - SOON)
        self._leap()
        self._halve(GUIDES[0])
        is_last = self.best.most_bound + 1 == self.best.waiting.most
        self._climb(self.effort // (FOR_DISTANCE if is_last else 2))
        for guide in GUIDES[:0:-1]:
            self._halve(guide)
        self._climb(self.effort // FOR_DISTANCE)

    def _leap(self) -> None:
        """Allow more and more drops to wait until some order is found: close to hanging, or farther from it."""
        most = self.best.most_bound
        while most < self.best.waiting.most and self.left > 0:
            for furthest, width in self._ways(most):
                if self._ask(self._course(most, furthest, width), 0).moves is not None:
                    return
            # Few wait in a good order: the farther from 0, the less it is worth to try every number.
            most += 1 + most // 2

    def _ways(self, most: int) -> tuple[tuple[int, int], ...]:
        """Return how far ahead drops may be cut, and among how many states to look, one way after another."""
        if not most:
            return ((0, WIDTH),)
        return (most, WIDTH), (most + 2, WIDTH) if most < FEW_WAIT else (_near(most), self.few)

    def _climb(self, kept: int) -> None:
        """Rule out one number after another, from the bottom, as far as the effort goes that is not to be kept."""
        best = self.best
        # Each number takes several times the effort of the one before it.
        expected = 0
        while best.most_bound < best.waiting.most and self.left - kept > expected:
            most = best.most_bound
            if expected > SOON and self._ask(self._course(most, _near(most), self.few), kept).moves is not None:
                return
            before = self.left
            answer = self._look_through(most, self.search.table.furthest, kept)
            if answer.moves is not None or not answer.is_complete:
                return
            expected = GROWTH * (before - self.left)

    def _look_through(self, most: int, furthest: int, kept: int) -> Answer:
        """Look at every state: first where all rolls are as good as the best, since there are fewer."""
        if self.easier is not None and furthest < self.easily_cut.get(most, furthest + 1):
            answer = self._go_on(self._course(most, furthest, FULL_WIDTH, search=self.easier), kept)
            if answer.moves is None:
                return answer
            self.easily_cut[most] = furthest
        return self._ask(self._course(most, furthest, FULL_WIDTH), kept)

    def _course(
        self, most: int, furthest: int, width: int, guide: slice = GUIDES[0], search: Search | None = None
    ) -> Course:
        """Return the search within these limits, where it was left."""
        search = search or self.search
        limits = search, most, furthest, width, len(search.table.task.prices[guide])
        if limits not in self.courses:
            self.courses[limits] = search.course(most, furthest, width, guide)
        return self.courses[limits]

    def _halve(self, guide: slice) -> None:
        """Halve the range in which better orders may lie until none is found."""
        best = self.best
        kept = self.effort // FOR_DISTANCE
        low = best.most_bound
        while low < best.waiting.most and self.left > kept:
            most = (low + best.waiting.most - 1) // 2
            if self._ask(self._course(most, _near(most), WIDTH, guide), kept).moves is None:
                low = most + 1

    def set_by_set(self) -> None:
        """Look among other states for an order with fewer waiting, while more than one drop is undecided.

        Of all states together those with the short drops ahead that are wanted at the end go: they cost a roll's end.
        """
        best = self.best
        self.left = self.effort // FOR_DISTANCE
        for width in SET_BY_SET:
            low = best.most_bound
            while best.waiting.most - best.most_bound > 1 and low < best.waiting.most and self.left > 0:
                most = (low + best.waiting.most - 1) // 2
                course = self.search.course(most, _near(most), width, is_set_by_set=True)
                if self._ask(course, 0).moves is None:
                    low = most + 1

    def least_ahead(self) -> None:
        """Look, wider each time, for orders with as few waiting that cut less far ahead."""
        best = self.best
        most = best.waiting.most
        best.furthest_bound = self.search.table.least_ahead(most)
        self._nearer(most, GUIDES[0], self.left)
        self._nearer(most, None, NEARER_SOON)
        self._nearer(most, GUIDES[1], self.left)
        self._nearer(most, None, self.left)
        self._climb(0)
        if best.waiting.most < most:
            self.least_ahead()

    def _nearer(self, most: int, guide: slice | None, at_once: int) -> None:
        """Halve the range in which orders may lie that cut less far ahead; give up where ``at_once`` is too little.

        Nothing is looked for once fewer than ``most`` wait.
        """
        best = self.best
        low = furthest = best.furthest_bound
        while low < best.waiting.furthest and self.left > 0 and best.waiting.most == most:
            kept = max(0, self.left - at_once)
            if guide is None:
                answer = self._look_through(most, furthest, kept)
            else:
                answer = self._ask(self._course(most, furthest, WIDTH, guide), kept)
            if answer.moves is None:
                low = furthest + 1
                if answer.is_complete:
                    best.furthest_bound = low
                elif self.left > at_once:
                    return
            furthest = (low + best.waiting.furthest - 1) // 2

    def find_on_short(self) -> None:
        """Look for an order as good that fits short rolls too, unless one is known or none was found."""
        best = self.best
        if best.moves is None or best.waiting == self.missed_on_short:
            return
        if not self.short.table.can_make(best.moves):
            self._ask_short(best.waiting.furthest)

    def _ask_short(self, furthest: int) -> Answer:
        """Look for an order on short rolls, with as few waiting, that cuts no further ahead."""
        limits = Waiting(self.best.waiting.most, furthest)
        answer = self.short.search(limits.most, limits.furthest, self.few, min(self.effort // FOR_DISTANCE, AT_ONCE))
        self.left -= answer.effort
        if answer.moves is None:
            self.missed_on_short = limits
        else:
            self._offer(answer.moves)
            # Of two orders as good, that which fits short rolls too.
            self.best.moves = answer.moves
        return answer

    def _offer(self, moves: tuple[Move, ...]) -> None:
        table = self.search.table
        found = waiting([move.piece for move in moves], table.task.turns)
        self.best.offer(moves, found, table.least_ahead(found.most))

    def _ask(self, course: Course, kept: int) -> Answer:
        answer = self._go_on(course, kept)
        if answer.moves is not None:
            self._offer(answer.moves)
        return answer

    def _go_on(self, course: Course, kept: int) -> Answer:
        """Go on with a search as far as the effort goes that is not to be kept, and note what it rules out."""
        table = self.search.table
        answer = course.go_on(max(self.left - kept, 0))
        self.left -= answer.effort
        most, furthest = course.expansion.most_waiting, course.expansion.furthest_ahead
        decides = furthest >= table.furthest or (most == 0 and table.is_drop_by_drop)
        if answer.moves is None and answer.is_complete and decides:
            self.best.most_bound = max(self.best.most_bound, most + 1)
        return answer
