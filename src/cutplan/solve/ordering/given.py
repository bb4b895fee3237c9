"""What does not change while cuts are made: the pieces, the rolls, and what they are worth."""

from __future__ import annotations

from dataclasses import dataclass
from math import prod
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from cutplan.solve.clock import UNHURRIED
from cutplan.solve.ordering.open_paper import SPENT
from cutplan.solve.ordering.task import NO_PIECE, Move

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from cutplan.solve.clock import Clock
    from cutplan.solve.ordering.layer import Whole
    from cutplan.solve.ordering.task import Task

OFFCUTS_OPEN: Final = 2
"""Offcuts that may lie half cut at once, beside the open rolls."""


@dataclass(frozen=True, slots=True)
class Stack:
    """Unopened rolls that can give the same.

    Attributes
    ----------
    state
        Their state before the first cut.
    rolls
        For each, the index of the task's rolls to which it belongs, in the order in which they are opened.
    is_offcut, waits_for
        As of the task's rolls.

    """

    state: int
    rolls: tuple[int, ...]
    is_offcut: bool
    waits_for: int


class Taken(NamedTuple):
    """A cut by the states of rolls.

    ``source`` is the roll's state before it, which is that of ``stack``, by index, where the roll was opened for it.
    ``closed`` is the state of the roll put away to open it, and ``after`` its own afterwards; SPENT for none.
    """

    piece: int
    source: int
    stack: int | None
    closed: int
    after: int


class Table:
    """A task laid out in arrays.

    Attributes
    ----------
    clock
        Whoever searches looks at it, and raises TimeIsUp when it ends.
    open_rolls
        No more rolls than this are open at once.
    places
        How many rolls and offcuts can lie open at once.
    kind_of, turns
        Of each piece, in hanging order.
    turn_ends
        For each piece, the first piece of the next turn.
    alike_before
        For each piece the last of its kind before it: that one is cut first. NO_PIECE for none.
    price_of
        ``price_of[kind]``: its price by each list.
    stacks
        The rolls, those together that can give the same.
    digits, bases
        What one unopened roll of each stack adds to :attr:`Layer.unopened`, and one more than there are.
    fresh, waits_for, are_offcuts
        Of each stack, as of :class:`Stack`.
    has_offcuts
        True when some stack is of offcuts.
    spare
        By how much the rolls are worth more than all pieces, by each list of prices: more may not be lost.

    """

    def __init__(self, task: Task, open_rolls: int, clock: Clock = UNHURRIED) -> None:
        self.task = task
        self.clock = clock
        self.open_rolls = open_rolls
        self.paper = task.paper(clock)
        self.places = open_rolls + (OFFCUTS_OPEN if any(rolls.is_offcut for rolls in task.rolls) else 0)
        self.kind_of = np.array(task.kind_of, dtype=np.int64)
        self.turns = np.array(task.turns, dtype=np.int64)
        self.turn_ends: Whole = np.searchsorted(self.turns, self.turns, side="right")
        self.alike_before = _alike_before(task.kind_of)
        self.price_of: Whole = np.array(task.prices, dtype=np.int64).reshape(len(task.prices), -1).T
        self.stacks = _stacks(task, self.paper.unopened)
        self.bases: Whole = np.array([len(stack.rolls) + 1 for stack in self.stacks], dtype=np.int64)
        self.digits: Whole = np.cumprod([1, *self.bases[:-1]])
        self.fresh: Whole = np.array([stack.state for stack in self.stacks], dtype=np.int64)
        self.waits_for: Whole = np.array([stack.waits_for for stack in self.stacks], dtype=np.int64)
        self.are_offcuts = np.array([stack.is_offcut for stack in self.stacks], dtype=bool)
        self.has_offcuts = bool(self.are_offcuts.any())
        worth = np.zeros(len(task.prices), dtype=np.int64)
        for stack in self.stacks:
            worth += len(stack.rolls) * self.paper.worths[stack.state]
        self.spare: Whole = worth - self.price_of[self.kind_of].sum(axis=0)

    @property
    def is_drop_by_drop(self) -> bool:
        """True when every piece has a turn of its own."""
        return len(self.turns) == self.furthest + 1

    @property
    def furthest(self) -> int:
        """A distance ahead that no cut can exceed, in turns."""
        return int(self.turns[-1])

    def most_ahead(self, most_waiting: int) -> int:
        """Return how far behind the next piece to be hung, in pieces, a piece that is cut may stand."""
        if most_waiting:
            return len(self.turns) - 1
        return int((self.turn_ends - np.arange(len(self.turns))).max()) - 1

    def least_ahead(self, most_waiting: int) -> int:
        """Return how far ahead some drop must be cut if ``most_waiting`` wait at some moment."""
        return most_waiting if self.is_drop_by_drop else min(most_waiting, 1)


def moves_of(stacks: Sequence[Stack], cuts: Iterable[Taken]) -> tuple[Move, ...]:
    """Return cuts in their order as moves: rolls are named in the order in which they are opened."""
    unopened = [iter(stack.rolls) for stack in stacks]
    lying: list[tuple[int, int, int]] = []
    moves = []
    opened = 0
    for cut in cuts:
        if cut.closed != SPENT:
            lying.remove(next(roll for roll in lying if roll[0] == cut.closed))
        if cut.stack is None:
            roll = next(roll for roll in lying if roll[0] == cut.source)
            lying.remove(roll)
        else:
            roll = (cut.source, opened, next(unopened[cut.stack]))
            opened += 1
        _, number, rolls = roll
        moves.append(Move(cut.piece, number, rolls))
        if cut.after != SPENT:
            lying.append((cut.after, number, rolls))
    return tuple(moves)


def _alike_before(kind_of: tuple[int, ...]) -> Whole:
    """Return for each piece the last one of the same kind before it: that one is cut first. NO_PIECE for none."""
    last: dict[int, int] = {}
    before = []
    for piece, kind in enumerate(kind_of):
        before.append(last.get(kind, NO_PIECE))
        last[kind] = piece
    return np.array(before, dtype=np.int64)


def _stacks(task: Task, unopened: list[int]) -> list[Stack]:
    stacks: dict[tuple[int, bool, int], list[int]] = {}
    for index, (rolls, state) in enumerate(zip(task.rolls, unopened, strict=True)):
        stacks.setdefault((state, rolls.is_offcut, rolls.waits_for), []).extend([index] * rolls.count)
    return [Stack(state, tuple(rolls), is_offcut, waits_for) for (state, is_offcut, waits_for), rolls in stacks.items()]


def is_too_large(task: Task) -> bool:
    """Return True when which rolls are unopened cannot be told by one machine number."""
    return prod(rolls.count + 1 for rolls in task.rolls) >= 2**62
