"""What every order must leave waiting, proved where only the contents of the rolls count.

Here the drops of a roll may come off in any sequence in which they would fit, drops of nearly one length are of one
size, and every roll is as good as the best: who cannot keep pace here cannot on the rolls as they are. What remains is
soon searched, from the last drop back to the first: the short pieces that so many rooms end with must come from
rolls that were put away long before.

Nothing is lost where every drop is cut in its turn, or as one of the last of a roll that is put away to open another:
any other early cut can wait, and then no more drops lie waiting. Of one size, the first to be hung is cut first.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import accumulate
from operator import add, sub
from typing import Final, NamedTuple

from cutplan.solve.ordering.faces import Values
from cutplan.solve.ordering.given import CuttingTable
from cutplan.solve.ordering.open_paper import NO_FIT

MOST_STATES: Final = 15_000
MOST_COMPARISONS: Final = 45_000
"""States looked at, and compared with others, before the search is given up: a tenth or two of a second."""

_MOST_CONTENTS: Final = 2_000
"""Different contents of rolls before the search is given up."""

_OF_ONE_SIZE: Final = 1.05
"""A drop up to so many times as long as the next shorter one is of its size."""

_NOTHING: Final = 0
"""The contents of a roll that holds no drop."""


class _TooLongError(Exception):
    """Too many states or contents were looked at."""


class _Table(NamedTuple):
    """What lies on the table just before a turn, seen from the end.

    ``early``, by bits, are the pieces of later turns that are cut already. ``lying`` says what each open roll gives
    from here on, ascending; the ``unopened`` give nothing after it. ``wanted`` is the price, by each list, of all
    pieces cut by then.
    """

    early: int
    lying: tuple[int, ...]
    unopened: int
    wanted: Values


def least_waiting(table: CuttingTable, most: int) -> int:
    """Return a number of drops, ``most`` at the most, than which no order has fewer waiting; 0 where none is proved."""
    if not table.is_drop_by_drop or any(stack.is_offcut for stack in table.stacks):
        return 0
    least = 0
    try:
        search = _FromTheEnd(table)
        while least < most and not search.is_enough(least):
            least += 1
    except _TooLongError:
        pass
    return least


class _Contents:
    """What one roll may hold: how many drops of each size, as a number."""

    def __init__(self, table: CuttingTable) -> None:
        self._paper = table.paper
        alike = [table.paper.alike[kind] for kind in table.task.kind_of]
        sizes = _sizes({kind: table.task.instance.kinds[kind].length for kind in alike})
        self.size_of = [sizes[kind] for kind in alike]
        """Size of each piece."""
        self._pieces = Counter(self.size_of)
        self._kinds = [[kind for kind in sizes if sizes[kind] == size] for size in range(max(self.size_of) + 1)]
        self.prices = [
            tuple(map(min, zip(*(table.prices[kind] for kind in kinds), strict=True))) for kinds in self._kinds
        ]
        """Of each size the least price of its drops, by each list."""
        self._numbers: dict[tuple[int, ...], int] = {}
        self._counts: list[tuple[int, ...]] = []
        self._states: list[list[int]] = []
        self._number((0,) * len(self._kinds), {stack.state for stack in table.stacks})
        self.worths: dict[int, Values] = {}
        """``worths[contents]``: the most that a roll can hold beside these, by each list."""
        self._reckon(_NOTHING)

    def with_one(self, contents: int, size: int) -> int:
        """Return the contents with a drop of ``size`` more; NO_FIT where no roll holds them."""
        counts = self._counts[contents]
        return NO_FIT if counts[size] == self._pieces[size] else self._numbered(_changed(counts, size, 1))

    def within(self, contents: int, other: int) -> bool:
        """Return True when a roll that holds ``other`` holds ``contents`` too."""
        return all(map(int.__le__, self._counts[contents], self._counts[other]))

    def _numbered(self, counts: tuple[int, ...]) -> int:
        """Return the number of what a roll holds, by the states in which it may be then, whichever drop is cut last."""
        if counts in self._numbers:
            return self._numbers[counts]
        states: set[int] = set()
        for size, count in enumerate(counts):
            if count:
                before = self._numbered(_changed(counts, size, -1))
                if before == NO_FIT:
                    states = set()
                    break
                rows = map(self._paper.after_each, self._states[before])
                states.update(row[kind] for row in rows for kind in self._kinds[size])
        return self._number(counts, states - {NO_FIT})

    def _number(self, counts: tuple[int, ...], states: set[int]) -> int:
        self._numbers[counts] = number = len(self._counts) if states else NO_FIT
        if states:
            if number == _MOST_CONTENTS:
                raise _TooLongError
            paper = self._paper
            best = {(paper.likes[at], paper.offsets[at]): at for at in sorted(states, key=paper.useds.__getitem__)}
            self._counts.append(counts)
            self._states.append(list(best.values()))
        return number

    def _reckon(self, contents: int) -> Values:
        if contents not in self.worths:
            worths = [(0,) * len(self.prices[0])]
            for size, price in enumerate(self.prices):
                more = self.with_one(contents, size)
                if more != NO_FIT:
                    worths.append(tuple(map(add, price, self._reckon(more))))
            self.worths[contents] = tuple(map(max, zip(*worths, strict=True)))
        return self.worths[contents]


class _FromTheEnd:
    """Asks from the last drop to the first which pieces must be cut before their turn."""

    def __init__(self, table: CuttingTable) -> None:
        self.contents = contents = _Contents(table)
        self.clock = table.clock
        self.open_rolls = table.open_rolls
        self.size_of = contents.size_of
        self.of_size = [0] * len(contents.prices)
        for piece, size in enumerate(self.size_of):
            self.of_size[size] |= 1 << piece
        self.unopened = _most_unopened(table, contents.worths[_NOTHING])
        self.looked_at = self.compared = self.most = 0
        self.dead: dict[tuple[int, int, int], list[_Table]] = {}

    def is_enough(self, most: int) -> bool:
        """Return False when it is proved that more than ``most`` must wait at some moment."""
        self.most = most
        self.dead = {}
        wanted = tuple(map(sum, zip(*(self.contents.prices[size] for size in self.size_of), strict=True)))
        return self._can_be(len(self.size_of), _Table(0, (), len(self.unopened) - 1, wanted))

    def _can_be(self, turn: int, table: _Table) -> bool:
        """Return True when cutting can have come to this ``table`` just before ``turn``."""
        if not turn:
            return not table.early
        known = self.dead.setdefault((turn, table.early, len(table.lying)), [])
        self.compared += len(known)
        if any(self._serves(dead, table) for dead in known):
            return False
        self._look()
        for before in self._before(turn - 1, table):
            if self._can_be(turn - 1, before):
                return True
        known.append(table)
        return False

    def _look(self) -> None:
        self.looked_at += 1
        if self.looked_at > MOST_STATES or self.compared > MOST_COMPARISONS:
            raise _TooLongError
        self.clock.check()

    def _serves(self, table: _Table, other: _Table) -> bool:
        """Return True where whatever can come to ``other`` can come to ``table``, as far as is easily seen."""
        if table.unopened < other.unopened:
            return False
        within = self.contents.within
        return any(all(map(within, lying, other.lying)) for lying in (table.lying, table.lying[::-1]))

    def _before(self, piece: int, after: _Table) -> Iterator[_Table]:
        """Yield what may lie on the table before the turn of ``piece``, which is cut then or was cut before."""
        size = self.size_of[piece]
        # Of one size, the first to be hung is cut first.
        if not after.early & self.of_size[size]:
            wanted = tuple(map(sub, after.wanted, self.contents.prices[size]))
            for roll, beside in self._in_hand(after._replace(wanted=wanted)):
                more = self.contents.with_one(roll, size)
                if more != NO_FIT:
                    yield from self._with(more, beside)
                    yield from self._put_away(beside)
        if after.early.bit_count() < self.most:
            yield after._replace(early=after.early | 1 << piece)

    def _in_hand(self, table: _Table) -> Iterator[tuple[int, _Table]]:
        """Yield what each roll gives from which a piece may have been cut last, and the table without it."""
        for place, roll in enumerate(table.lying):
            if roll not in table.lying[:place]:
                yield roll, table._replace(lying=table.lying[:place] + table.lying[place + 1 :])
        if table.unopened and len(table.lying) < self.open_rolls:
            yield _NOTHING, table._replace(unopened=table.unopened - 1)

    def _with(self, roll: int, beside: _Table) -> Iterator[_Table]:
        """Yield the table with one roll more, where all that is wanted still fits on the rolls."""
        lying = tuple(sorted((*beside.lying, roll)))
        if self._has_room(lying, beside):
            yield beside._replace(lying=lying)

    def _has_room(self, lying: tuple[int, ...], table: _Table) -> bool:
        worths = [self.contents.worths[roll] for roll in lying]
        return all(map(int.__ge__, map(sum, zip(self.unopened[table.unopened], *worths, strict=True)), table.wanted))

    def _put_away(self, beside: _Table) -> Iterator[_Table]:
        """Yield the table before a roll was opened, for which another was put away: its last drops were cut early.

        Whole rolls may have been cut early in between.
        """
        if not beside.unopened or not self._has_room(beside.lying, beside):
            return
        yield beside
        for roll, left in self._early(_NOTHING, 0, beside._replace(unopened=beside.unopened - 1)):
            yield from self._with(roll, left)
            yield from self._put_away(left)

    def _early(self, roll: int, least: int, table: _Table) -> Iterator[tuple[int, _Table]]:
        """Yield what one roll may give of the pieces cut early, from size ``least`` on, and the table without them."""
        for size in range(least, len(self.of_size)):
            held = table.early & self.of_size[size]
            more = self.contents.with_one(roll, size) if held else NO_FIT
            if more != NO_FIT:
                self._look()
                early = table.early ^ 1 << held.bit_length() - 1
                wanted = tuple(map(sub, table.wanted, self.contents.prices[size]))
                left = table._replace(early=early, wanted=wanted)
                yield more, left
                yield from self._early(more, size, left)


def _most_unopened(table: CuttingTable, alone: Values) -> list[Values]:
    """Return the most that so many unopened rolls hold, from none to all of them; ``alone`` is the most of one."""
    worths = (map(min, table.paper.worths[stack.state], alone) for stack in table.stacks for _ in stack.rolls)
    columns = (sorted(column, reverse=True) for column in zip(*worths, strict=True))
    return list(zip(*(accumulate(column, initial=0) for column in columns), strict=True))


def _changed(counts: tuple[int, ...], size: int, by: int) -> tuple[int, ...]:
    return (*counts[:size], counts[size] + by, *counts[size + 1 :])


def _sizes(length_of: dict[int, int]) -> dict[int, int]:
    """Return the size of each kind, ascending by length."""
    sizes: dict[int, int] = {}
    size, longest = -1, 0
    for kind in sorted(length_of, key=length_of.__getitem__):
        if length_of[kind] > _OF_ONE_SIZE * longest:
            size += 1
        sizes[kind], longest = size, length_of[kind]
    return sizes
