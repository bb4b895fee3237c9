"""Tightening the limits: the fewest drops waiting first, then, with as few, the least far ahead."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from msgspec import Struct

from cutplan.plan.plan import INTERRUPTED
from cutplan.plan.waiting import Waiting, waiting
from cutplan.solve.clock import TimeIsUp
from cutplan.solve.ordering.task import GUIDES, Move

if TYPE_CHECKING:
    from cutplan.solve.ordering.layered_search import Answer, Search

WIDTHS: Final = (300, 3_000)
FULL_WIDTH: Final = 60_000
"""States kept in a layer: to find good orders, and to prove that there are no better ones."""

FIRST_STATES: Final = 4_000
"""States kept in all layers together to find some order fast."""

SOON: Final = 30_000
"""Effort that is first spent on ruling out."""

GROWTH: Final = 3
"""At least so many times the effort is expected for allowing one drop more to wait."""

AT_ONCE: Final = 100_000
"""Effort for an order that fits short rolls too."""

FOR_DISTANCE: Final = 4
"""One part in so many of the effort is kept for how far ahead drops are cut."""


class Best(Struct):
    """The best order known, and what is proved of every order.

    Attributes
    ----------
    waiting
        How far it runs ahead.
    moves
        The order; None while it is the one that the plan came with.
    most_bound
        No order has fewer waiting.
    furthest_bound
        No order with as few waiting as ``waiting.most`` cuts less far ahead.
    stopped
        Why the search was stopped from outside; None when it was not.

    """

    waiting: Waiting
    moves: tuple[Move, ...] | None = None
    most_bound: int = 0
    furthest_bound: int = 0
    stopped: str | None = None

    def offer(self, moves: tuple[Move, ...], found: Waiting) -> None:
        """Keep an order when it is better."""
        if found < self.waiting:
            self.waiting, self.moves = found, moves


def tighten(search: Search, best: Best, effort: int) -> Best:
    """Return ``best``, made better within about ``effort`` cuts tried."""
    tightening = _Tightening(search, best, effort)
    try:
        tightening.fewest_waiting()
        tightening.least_ahead()
    except TimeIsUp as end:
        tightening.best.stopped = end.reason
    except KeyboardInterrupt:
        tightening.best.stopped = INTERRUPTED
    return tightening.best


def found_again(search: Search, limits: Waiting, effort: int) -> tuple[Move, ...] | None:
    """Return an order within ``limits`` found quickly; None when none is."""
    return search.search(limits.most, limits.furthest, WIDTHS[0], min(effort // FOR_DISTANCE, AT_ONCE)).moves


class _Tightening:
    def __init__(self, search: Search, best: Best, effort: int) -> None:
        self.search = search
        self.effort = effort
        self.left = effort
        self.best = best

    def fewest_waiting(self) -> None:
        """Rule out what is soon ruled out; find some good order fast; look for better ones in what is undecided."""
        self._climb(self.effort - SOON)
        self._leap(max(FIRST_STATES // len(self.search.table.turns), 1), GUIDES[0], self.effort // 2)
        self._climb(self.effort // 3 * 2)
        self._halve(WIDTHS[0])
        for guide in GUIDES[1:]:
            self._leap(WIDTHS[0], guide, self.effort // FOR_DISTANCE)
        self._halve(WIDTHS[1])
        self._climb(self.effort // FOR_DISTANCE)

    def _leap(self, width: int, guide: slice, kept: int) -> None:
        """Allow more and more drops to wait until some order is found."""
        most = self.best.most_bound
        while most < self.best.waiting.most and self.left > kept:
            if self._ask(most, _near(most), width, 0, guide).moves is not None:
                return
            # Few wait in a good order: the farther from 0, the less it is worth to try every number.
            most += 1 + most // 2

    def _climb(self, kept: int) -> None:
        """Rule out one number after another, from the bottom, as far as the effort goes that is not to be kept."""
        best = self.best
        # Each number takes several times the effort of the one before it.
        expected = 0
        while best.most_bound < best.waiting.most and self.left - kept > expected:
            answer = self._ask(best.most_bound, self.search.table.furthest, FULL_WIDTH, kept)
            if answer.moves is not None or not answer.is_complete:
                return
            expected = GROWTH * answer.effort

    def _halve(self, width: int) -> None:
        """Halve the range in which better orders may lie until none is found."""
        best = self.best
        kept = self.effort // FOR_DISTANCE
        low = best.most_bound
        while low < best.waiting.most and self.left > kept:
            most = (low + best.waiting.most - 1) // 2
            if self._ask(most, _near(most), width, kept).moves is None:
                low = most + 1

    def least_ahead(self) -> None:
        """Look, wider each time, for orders with as few waiting that cut less far ahead."""
        best = self.best
        most = best.waiting.most
        best.furthest_bound = self.search.table.least_ahead(most)
        for width, guide in ((WIDTHS[0], GUIDES[0]), (WIDTHS[0], GUIDES[1]), (FULL_WIDTH, GUIDES[0])):
            low = furthest = best.furthest_bound
            # What cannot be bettered is tried first: most good orders cut no further ahead than they must.
            while low < best.waiting.furthest and self.left > 0:
                answer = self._ask(most, furthest, width, 0, guide)
                if best.waiting.most < most:
                    self.least_ahead()
                    return
                if answer.moves is None:
                    low = furthest + 1
                    if answer.is_complete:
                        best.furthest_bound = low
                furthest = (low + best.waiting.furthest - 1) // 2

    def _ask(self, most: int, furthest: int, width: int, kept: int, guide: slice = GUIDES[0]) -> Answer:
        table = self.search.table
        answer = self.search.search(most, furthest, width, max(self.left - kept, 0), guide)
        self.left -= answer.effort
        decides = furthest >= table.furthest or (most == 0 and table.is_drop_by_drop)
        if answer.moves is None and answer.is_complete and decides:
            self.best.most_bound = max(self.best.most_bound, most + 1)
        if answer.moves is not None:
            self.best.offer(answer.moves, waiting([move.piece for move in answer.moves], self.search.table.task.turns))
        return answer


def _near(most: int) -> int:
    """Return how far ahead to look for an order quickly: where few wait, good orders do not cut far ahead."""
    return 3 * most + 2
