"""Cutting every drop just when it is to be hung: the best order there is, found by depth where it exists.

Most rooms allow it. Which drop comes next is then settled, and only the roll to cut it from is open.
"""

from __future__ import annotations

from collections.abc import Iterator
from operator import add, lt, sub
from typing import Final, NamedTuple

from msgspec import Struct

from cutplan.solve.ordering.faces import Values
from cutplan.solve.ordering.given import CuttingTable, Taken, moves_of
from cutplan.solve.ordering.open_paper import NO_FIT, SPENT
from cutplan.solve.ordering.task import Move

MOST_TRIED: Final = 2_000
"""Cuts tried before the wider search is asked instead."""


class _OnTable(NamedTuple):
    """What decides how the cutting can go on.

    ``lying`` are the states of the open rolls, ascending; ``unopened`` counts the rolls of each stack that nobody has
    opened; ``worth`` is what both can still give, by each list of prices.
    """

    lying: tuple[int, ...]
    unopened: tuple[int, ...]
    worth: Values


class _Cut(NamedTuple):
    """One way to make the next cut: from an open roll of that state, or from one of a stack, another put away.

    ``stack`` is None for a roll that is open; ``closed`` is SPENT when none has to be put away.
    """

    loss: int
    source: int
    stack: int | None
    closed: int
    after: int
    left: _OnTable


class AsHung(Struct, frozen=True):
    """An order in which every drop is cut just when it is to be hung, if one was found."""

    moves: tuple[Move, ...] | None
    """The order, or None."""
    is_decided: bool
    """True when there is none if none was found."""


class _TooLongError(Exception):
    """Too many cuts were tried."""


def as_hung(table: CuttingTable) -> AsHung:
    """Look for an order that cuts the pieces in hanging order, each roll opened when it is needed."""
    if any(stack.is_offcut for stack in table.stacks):
        return AsHung(None, is_decided=False)
    try:
        cuts = _Descent(table).cuts()
    except _TooLongError:
        return AsHung(None, is_decided=False)
    # Where whole walls are followed, their drops may also be cut in another order.
    if cuts is None:
        return AsHung(None, is_decided=table.is_drop_by_drop)
    taken = (Taken(piece, cut.source, cut.stack, cut.closed, cut.after) for piece, cut in enumerate(cuts))
    return AsHung(moves_of(table.stacks, taken), is_decided=table.is_drop_by_drop)


class _Descent:
    def __init__(self, table: CuttingTable) -> None:
        self.table = table
        self.paper = table.paper
        self.kinds = table.task.kind_of
        self.prices = table.prices
        self.wanted = _sums_from([self.prices[kind] for kind in self.kinds], len(table.task.prices))
        self.dead: set[tuple[int, tuple[int, ...], tuple[int, ...]]] = set()
        self.tried = 0

    def cuts(self) -> list[_Cut] | None:
        """Return a cut for each piece; None when there is no way to make them all."""
        unopened = tuple(len(stack.rolls) for stack in self.table.stacks)
        worths = [self.paper.worths[stack.state] for stack in self.table.stacks for _ in stack.rolls]
        cuts: list[_Cut] = []
        left = _OnTable((), unopened, tuple(map(sum, zip(*worths, strict=True))))
        ways = [self._ways(0, left)]
        while len(cuts) < len(self.kinds):
            self.table.clock.check()
            cut = next(ways[-1], None)
            if cut is not None:
                cuts.append(cut)
                if len(cuts) < len(self.kinds):
                    ways.append(self._ways(len(cuts), cut.left))
                continue
            ways.pop()
            if not ways:
                return None
            dead = cuts.pop().left
            self.dead.add((len(cuts) + 1, dead.lying, dead.unopened))
        return cuts

    def _ways(self, piece: int, left: _OnTable) -> Iterator[_Cut]:
        """Yield the cuts of ``piece`` after which enough is left for the others: from open rolls, least loss first."""
        found = [*self._from_open(piece, left), *self._from_unopened(piece, left)]
        if self.tried > MOST_TRIED:
            raise _TooLongError
        for cut in sorted(found, key=lambda cut: (cut.stack is not None, cut.loss)):
            if (piece + 1, cut.left.lying, cut.left.unopened) not in self.dead:
                yield cut

    def _from_open(self, piece: int, left: _OnTable) -> Iterator[_Cut]:
        for state in dict.fromkeys(left.lying):
            yield from self._cut(piece, state, None, SPENT, left)

    def _from_unopened(self, piece: int, left: _OnTable) -> Iterator[_Cut]:
        closed: tuple[int, ...] = (SPENT,)
        if len(left.lying) == self.table.open_rolls:
            closed = tuple(dict.fromkeys(left.lying))
        for index, stack in enumerate(self.table.stacks):
            if left.unopened[index]:
                for put_away in closed:
                    yield from self._cut(piece, stack.state, index, put_away, left)

    def _cut(self, piece: int, source: int, stack: int | None, closed: int, left: _OnTable) -> Iterator[_Cut]:
        kind, worths = self.kinds[piece], self.paper.worths
        after = self.paper.after_each(source)[kind]
        if after == NO_FIT:
            return
        self.tried += 1
        worth = tuple(map(sub, map(add, map(sub, left.worth, worths[source]), worths[after]), worths[closed]))
        if any(map(lt, worth, self.wanted[piece + 1])):
            return
        lying = list(left.lying)
        unopened = left.unopened
        if stack is None:
            lying.remove(source)
        else:
            unopened = (*unopened[:stack], unopened[stack] - 1, *unopened[stack + 1 :])
        if closed != SPENT:
            lying.remove(closed)
        if after != SPENT:
            lying.append(after)
        loss = left.worth[0] - worth[0] - self.prices[kind][0]
        yield _Cut(loss, source, stack, closed, after, _OnTable(tuple(sorted(lying)), unopened, worth))


def _sums_from(worths: list[Values], lists: int) -> list[Values]:
    """Return, for each place, what all from there on add up to; the last entry is zero."""
    sums: list[Values] = [(0,) * lists]
    for worth in reversed(worths):
        sums.append(tuple(so_far + more for so_far, more in zip(sums[-1], worth, strict=True)))
    return sums[::-1]
