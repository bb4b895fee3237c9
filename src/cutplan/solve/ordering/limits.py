"""Tightening the limits: the fewest drops waiting first, then, with as few, the least far ahead."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from msgspec import Struct

from cutplan.plan.plan import INTERRUPTED
from cutplan.plan.waiting import Waiting, waiting
from cutplan.solve.clock import TimeIsUp
from cutplan.solve.ordering.given import Answer, KeptStates
from cutplan.solve.ordering.task import Move

if TYPE_CHECKING:
    from collections.abc import Callable

    from cutplan.solve.ordering.layered_search import Search

NARROW: Final = KeptStates(300)
FULL: Final = KeptStates(60_000)
"""States kept in a layer: to find good orders, and to prove that there are no better ones."""

BY_FIRST: Final = KeptStates(300, lists=1)
"""Other states, among which a nearer order is looked for where it was neither found nor ruled out."""

SET_BY_SET: Final = (KeptStates(300, is_set_by_set=True), KeptStates(1_000, is_set_by_set=True))
"""States kept where more than one drop is still undecided."""

FIRST_STATES: Final = 4_000
"""States kept in all layers together to find some order fast."""

USUAL_PIECES: Final = 51
"""Pieces of a room of up to 40 columns, for which the effort is told; of more pieces it is more in proportion."""

MANY_WAIT: Final = 8
"""Drops that may wait in the first order looked for where there are more pieces than that."""

SOON: Final = 100_000
"""Effort that is first spent on ruling out."""

STATES_SOON: Final = 350
"""States of a layer, for each drop that may wait and one more, up to which ruling out is first gone on with."""

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


class Searches(NamedTuple):
    """Where to search."""

    exact: Search
    """The rolls as they are."""
    easier: Search | None
    """Whatever has no order here has none; None where that is no easier."""
    short: Search
    """The rolls as short as they may be."""


def tighten(searches: Searches, best: Best, effort: int, tell: Callable[[str], None]) -> None:
    """Make ``best`` better within about ``effort`` cuts tried, or more for more than :data:`USUAL_PIECES`.

    ``tell`` is told, before each search, how many wait in the best order so far.
    """
    effort = effort * max(USUAL_PIECES, len(searches.exact.table.turns)) // USUAL_PIECES
    tightening = _Tightening(searches, best, effort, tell)
    try:
        tightening.fewest_waiting()
        tightening.least_ahead()
        tightening.set_by_set()
        tightening.find_on_short()
    except TimeIsUp as end:
        best.stopped = end.reason
    except KeyboardInterrupt:
        best.stopped = INTERRUPTED


def _near(most: int) -> Waiting:
    """Return the limits to look within for an order quickly: where few wait, good orders do not cut far ahead."""
    return Waiting(most, 3 * most + 2 if most else 0)


class _Tightening:
    def __init__(self, searches: Searches, best: Best, effort: int, tell: Callable[[str], None]) -> None:
        self.search, self.easier, self.short = searches
        self.effort = effort
        self.left = effort
        self.best = best
        self.tell = tell
        self.table = self.search.table
        self.few = KeptStates(max(FIRST_STATES // len(self.table.turns), 1))
        self.ruled_out: list[Waiting] = []
        self.easily_cut: dict[int, int] = {}
        self.missed_on_short: Waiting | None = None

    def fewest_waiting(self) -> None:
        """Rule out what is soon ruled out; find some good order fast; look for better ones in what is undecided."""
        self._climb(self.effort - SOON, STATES_SOON)
        if len(self.table.turns) > USUAL_PIECES:
            self._find_some()
        self._leap()
        self._halve()
        self._climb(self.effort // FOR_DISTANCE)

    def _find_some(self) -> None:
        """Look among few states for an order with many waiting: of many pieces the effort may find none with few.

        Other states are kept too, but only where the fewest of these may wait: for more the effort is wanted later.
        """
        most = max(MANY_WAIT, 2 * self.best.most_bound)
        ways = [self.few, self.few._replace(is_set_by_set=True)]
        while most < self.best.waiting.most and self.left > 0:
            if any(self._ask(_near(most), kept).moves is not None for kept in ways):
                return
            most, ways = 2 * most, ways[:1]

    def _leap(self) -> None:
        """Allow more and more drops to wait until some order is found: close to hanging, or farther from it."""
        most = self.best.most_bound
        while most < self.best.waiting.most and self.left > 0:
            for limits, kept in self._ways(most):
                if self._ask(limits, kept).moves is not None:
                    return
            # Few wait in a good order: the farther from 0, the less it is worth to try every number.
            most += 1 + most // 2

    def _ways(self, most: int) -> tuple[tuple[Waiting, KeptStates], ...]:
        """Return within which limits to look, and among which states, one way after another."""
        nearest = Waiting(most, most), NARROW
        if not most:
            return (nearest,)
        return nearest, (Waiting(most, most + 2), NARROW) if most < FEW_WAIT else (_near(most), self.few)

    def _climb(self, reserve: int, states: int | None = None) -> None:
        """Rule out one number after another, from the bottom, as far as the effort goes but for the ``reserve``.

        With ``states`` also only as far as no layer has more states, times one more than may wait.
        """
        best = self.best
        # Each number takes several times the effort of the one before it.
        expected = 0
        while best.most_bound < best.waiting.most and self.left - reserve > expected:
            most = best.most_bound
            if expected > SOON and self._ask(_near(most), self.few, reserve).moves is not None:
                return
            before = self.left
            most_states = None if states is None else states * (most + 1)
            answer = self._look_through(Waiting(most, self.table.furthest), reserve, most_states)
            if answer.moves is not None or not answer.is_complete:
                return
            expected = GROWTH * (before - self.left)

    def _halve(self) -> None:
        """Halve the range in which better orders may lie until none is found."""
        best = self.best
        reserve = self.effort // FOR_DISTANCE
        low = best.most_bound
        while low < best.waiting.most and self.left > reserve:
            most = (low + best.waiting.most - 1) // 2
            if self._ask(_near(most), NARROW, reserve).moves is None:
                low = most + 1

    def set_by_set(self) -> None:
        """Look among other states for an order with fewer waiting, while more than one drop is undecided.

        Of all states together those with the short drops ahead that are wanted at the end go: they cost a roll's end.
        """
        best = self.best
        self.left = self.effort // FOR_DISTANCE
        for kept in SET_BY_SET:
            low = best.most_bound
            while best.waiting.most - best.most_bound > 1 and low < best.waiting.most and self.left > 0:
                most = (low + best.waiting.most - 1) // 2
                if self._ask(_near(most), kept).moves is None:
                    low = most + 1

    def least_ahead(self) -> None:
        """Look for orders with as few waiting that cut less far ahead, and rule them out."""
        best = self.best
        most = best.waiting.most
        best.furthest_bound = self.table.least_ahead(most)
        self._nearer(most, NARROW)
        self._none_nearer(most)
        self._nearer(most, BY_FIRST)
        self._nearer(most, FULL)
        self._climb(0)
        if best.waiting.most < most:
            self.least_ahead()

    def _none_nearer(self, most: int) -> None:
        """Rule out, if that is soon done, that any order with as few waiting cuts less far ahead."""
        best = self.best
        while best.furthest_bound < best.waiting.furthest and self.left > 0 and best.waiting.most == most:
            answer = self._look_through(Waiting(most, best.waiting.furthest - 1), max(0, self.left - NEARER_SOON))
            if answer.moves is None:
                if answer.is_complete:
                    best.furthest_bound = best.waiting.furthest
                return

    def _nearer(self, most: int, kept: KeptStates) -> None:
        """Halve the range in which orders may lie that cut less far ahead.

        Nothing is looked for once fewer than ``most`` wait.
        """
        best = self.best
        low = furthest = best.furthest_bound
        while low < best.waiting.furthest and self.left > 0 and best.waiting.most == most:
            limits = Waiting(most, furthest)
            answer = self._look_through(limits) if kept == FULL else self._ask(limits, kept)
            if answer.moves is None:
                low = furthest + 1
                if answer.is_complete:
                    best.furthest_bound = low
            furthest = (low + best.waiting.furthest - 1) // 2

    def find_on_short(self) -> None:
        """Look for an order as good that fits short rolls too, unless one is known or none was found."""
        best = self.best
        if best.moves is None or best.waiting == self.missed_on_short:
            return
        if not self.short.table.can_make(best.moves):
            self._ask_short(best.waiting)

    def _ask_short(self, limits: Waiting) -> None:
        """Look for an order on short rolls within these limits: of two orders as good, it is the better one."""
        answer = self.short.course(limits, self.few).go_on(min(self.effort // FOR_DISTANCE, AT_ONCE))
        self.left -= answer.effort
        if answer.moves is None:
            self.missed_on_short = limits
        else:
            self._offer(answer.moves)
            self.best.moves = answer.moves

    def _offer(self, moves: tuple[Move, ...]) -> None:
        found = waiting([move.piece for move in moves], self.table.task.turns)
        self.best.offer(moves, found, self.table.least_ahead(found.most))

    def _look_through(self, limits: Waiting, reserve: int = 0, most_states: int | None = None) -> Answer:
        """Look at every state: first where all rolls are as good as the best, since there are fewer.

        Not so where half of the way is known on the rolls as they are, or where as near an order was found there.
        """
        is_known = 2 * self.search.cuts_with_all(limits) > len(self.table.turns)
        is_easy = limits.furthest >= self.easily_cut.get(limits.most, limits.furthest + 1)
        if self.easier is not None and not is_known and not is_easy:
            answer = self._go_on(self.easier, limits, FULL, reserve, most_states)
            if answer.moves is None:
                return answer
            self.easily_cut[limits.most] = limits.furthest
        return self._ask(limits, FULL, reserve, most_states)

    def _ask(self, limits: Waiting, kept: KeptStates, reserve: int = 0, most_states: int | None = None) -> Answer:
        answer = self._go_on(self.search, limits, kept, reserve, most_states)
        if answer.moves is not None:
            self._offer(answer.moves)
        return answer

    def _go_on(
        self, search: Search, limits: Waiting, kept: KeptStates, reserve: int, most_states: int | None
    ) -> Answer:
        """Go on with a search as far as the effort goes but for the ``reserve``, and note what it rules out."""
        if any(limits.most <= out.most and limits.furthest <= out.furthest for out in self.ruled_out):
            return Answer(None, is_complete=True, effort=0)
        self.tell(f"putting the cuts in order: {self.best.waiting.most} waiting")
        answer = search.course(limits, kept).go_on(max(self.left - reserve, 0), most_states)
        self.left -= answer.effort
        if answer.moves is None and answer.is_complete:
            self.ruled_out.append(limits)
            if limits.furthest >= self.table.furthest or (limits.most == 0 and self.table.is_drop_by_drop):
                self.best.most_bound = max(self.best.most_bound, limits.most + 1)
        return answer
