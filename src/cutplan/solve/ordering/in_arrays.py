"""A table laid out in arrays, for the search by layers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Final, TypeVar

import numpy as np

from cutplan.solve.ordering.given import CuttingTable
from cutplan.solve.ordering.open_paper import NO_FIT, SPENT, OpenPaper
from cutplan.solve.ordering.task import Move

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from cutplan.solve.ordering.layer import Truth, Whole

OFFCUTS_OPEN: Final = 2
"""Offcuts that may lie half cut at once, beside the open rolls."""

MOST_COMPARED: Final = 3_000
"""States up to which all are compared with one another once and for all."""

_PACKED: Final = 3
"""States of rolls that fit into one number together."""

T = TypeVar("T", bound=np.generic)


class PaperInArrays:
    """The states of rolls, side by side."""

    def __init__(self, paper: OpenPaper) -> None:
        self.paper = paper
        self.kinds = paper.kinds
        self._reached: Truth = np.zeros(1, dtype=bool)
        self._known = 0
        self.steps: Whole = np.full((1, paper.kinds), NO_FIT)
        """``steps[state, kind]``: the state after one drop more, SPENT, or NO_FIT. Call :meth:`reach` first."""
        self.worths: Whole = np.zeros((len(paper.worths[0]), 1), dtype=np.int64)
        """``worths[list, state]``: as of :class:`~cutplan.solve.ordering.open_paper.OpenPaper`, like what follows."""
        self.counts, self.likes, self.offsets, self.useds = (np.zeros(1, dtype=np.int64) for _ in range(4))
        self._serving: Truth = np.zeros((0, 0), dtype=bool)
        self._learn()

    def reach(self, states: Whole) -> None:
        """Work out where cuts lead from ``states``."""
        fresh = sorted(set(states[~self._reached[states]].tolist()))
        if fresh:
            rows = [self.paper.after_each(state) for state in fresh]
            self._learn()
            self._reached[fresh] = True
            self.steps[fresh] = rows

    def _learn(self) -> None:
        """Take over the states that have been numbered since."""
        paper, known, count = self.paper, self._known, len(self.paper.worths)
        while count > len(self.steps):
            self._reached = _doubled(self._reached)
            self.steps, self.worths = _doubled(self.steps), _doubled(self.worths.T).T
            self.counts, self.likes = _doubled(self.counts), _doubled(self.likes)
            self.offsets, self.useds = _doubled(self.offsets), _doubled(self.useds)
        if count > known:
            self.worths[:, known:count] = np.array(paper.worths[known:]).T
            self.counts[known:count], self.likes[known:count] = paper.counts[known:], paper.likes[known:]
            self.offsets[known:count], self.useds[known:count] = paper.offsets[known:], paper.useds[known:]
            self._known = count

    def serves(self, state: Whole, other: Whole) -> Truth:
        """Return where whatever can be cut from ``other`` can be cut from ``state`` too, as far as is easily seen."""
        count = self._known
        if count > MOST_COMPARED:
            return self._serves(state, other)
        known = len(self._serving)
        if known < count:
            every, new = np.arange(count), np.arange(known, count)
            grown = np.empty((count, count), dtype=bool)
            grown[:known, :known] = self._serving
            grown[:, known:] = self._serves(every[:, None], new)
            grown[known:, :known] = self._serves(new[:, None], every[:known])
            self._serving = grown
        served: Truth = self._serving.ravel().take(state * count + other)
        return served

    def serve(self, held: Whole, rolls: Whole, other_held: Whole, other_rolls: Whole) -> Truth:
        """Return where rolls serve wherever others do: the one in hand, and the open ones, the first two either way."""
        both = self.serves(rolls[:2], other_rolls[:2])
        crossed = self.serves(rolls[:2], other_rolls[1::-1])
        found: Truth = ((both[0] & both[-1]) | (crossed[0] & crossed[-1])) & self.serves(held, other_held)
        for roll, other in zip(rolls[2:], other_rolls[2:], strict=True):
            found &= self.serves(roll, other)
        return found

    def packed(self, held: Whole, rolls: Whole) -> list[Whole]:
        """Return numbers, the least significant first, that are alike where the rolls are."""
        columns = [*rolls, held]
        found = []
        for first in range(0, len(columns), _PACKED):
            number = np.zeros(len(held), dtype=np.int64)
            for column in reversed(columns[first : first + _PACKED]):
                number = number * self._known + column
            found.append(number)
        return found

    def _serves(self, state: NDArray[np.int64], other: NDArray[np.int64]) -> NDArray[np.bool_]:
        wait = self.offsets[other] - self.offsets[state]
        wait += self.paper.repeat * (wait < 0)
        is_enough = (self.likes[state] == self.likes[other]) & (self.useds[state] >= self.useds[other] + wait)
        served: NDArray[np.bool_] = is_enough | (other == SPENT)
        return served


class TableInArrays:
    """A table in arrays."""

    def __init__(self, table: CuttingTable) -> None:
        task = self.task = table.task
        self.clock, self.open_rolls, self.stacks = table.clock, table.open_rolls, table.stacks
        self.is_drop_by_drop = table.is_drop_by_drop
        self.paper = PaperInArrays(table.paper)
        self.places = table.open_rolls + (OFFCUTS_OPEN if any(rolls.is_offcut for rolls in task.rolls) else 0)
        """How many rolls and offcuts can lie open at once."""
        self.kind_of = np.array(task.kind_of, dtype=np.int64)
        self.turns = np.array(task.turns, dtype=np.int64)
        """Of each piece, in hanging order."""
        self.turn_ends: Whole = np.searchsorted(self.turns, self.turns, side="right")
        """For each piece, the first piece of the next turn."""
        self.to_alike = _to_alike([table.paper.alike[kind] for kind in task.kind_of])
        """How many places before each piece the last one alike is, which is cut first: beyond the first for none."""
        self.price_of: Whole = np.array(table.prices, dtype=np.int64).T.copy()
        """``price_of[list, kind]``: its price by each list."""
        self.bases: Whole = np.array([len(stack.rolls) + 1 for stack in self.stacks], dtype=np.int64)
        """One more than there are unopened rolls of each stack."""
        self.digits: Whole = np.cumprod([1, *self.bases[:-1]])
        """What one of them adds to :attr:`Layer.unopened`."""
        self.fresh: Whole = np.array([stack.state for stack in self.stacks], dtype=np.int64)
        self.waits_for: Whole = np.array([stack.waits_for for stack in self.stacks], dtype=np.int64)
        self.are_offcuts = np.array([stack.is_offcut for stack in self.stacks], dtype=bool)
        """Of each stack, as of :class:`Stack`."""
        self.has_offcuts = bool(self.are_offcuts.any())
        """True when some stack is of offcuts."""
        worth = np.zeros(len(task.prices), dtype=np.int64)
        for stack in self.stacks:
            worth += len(stack.rolls) * self.paper.worths[:, stack.state]
        self.spare: Whole = worth - self.price_of[:, self.kind_of].sum(axis=1)
        """By how much the rolls are worth more than all pieces, by each list of prices: more may not be lost."""

    def is_spare(self, lost: Whole) -> Truth:
        """Return which columns of losses leave enough for what is still wanted."""
        spare: Truth = lost[0] <= self.spare[0]
        for by_list, most in zip(lost[1:], self.spare[1:], strict=True):
            spare &= by_list <= most
        return spare

    @property
    def furthest(self) -> int:
        """A distance ahead that no cut can exceed, in turns."""
        return int(self.turns[-1])

    def can_make(self, moves: Iterable[Move]) -> bool:
        """Return True when every roll has room for what ``moves`` cut from it."""
        after_each = self.paper.paper.after_each
        states: dict[int, int] = {}
        for move in moves:
            state = states.get(move.roll, self.paper.paper.unopened[move.rolls])
            states[move.roll] = after_each(state)[self.task.kind_of[move.piece]]
            if states[move.roll] == NO_FIT:
                return False
        return True

    def most_ahead(self, most_waiting: int) -> int:
        """Return how far behind the next piece to be hung, in pieces, a piece that is cut may stand."""
        if most_waiting:
            return len(self.turns) - 1
        return int((self.turn_ends - np.arange(len(self.turns))).max()) - 1

    def least_ahead(self, most_waiting: int) -> int:
        """Return how far ahead some drop must be cut if ``most_waiting`` wait at some moment."""
        return most_waiting if self.is_drop_by_drop else min(most_waiting, 1)


def _to_alike(kind_of: Sequence[int]) -> Whole:
    last: dict[int, int] = {}
    found = []
    for piece, kind in enumerate(kind_of):
        found.append(piece - last.get(kind, -1))
        last[kind] = piece
    return np.array(found, dtype=np.int64)


def _doubled(table: NDArray[T]) -> NDArray[T]:
    return np.concatenate([table, np.zeros_like(table)])
