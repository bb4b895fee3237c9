"""What does not change while cuts are made: the pieces and the rolls."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from copy import copy
from math import prod
from typing import NamedTuple

from msgspec import Struct

from cutplan.solve.clock import UNHURRIED, Clock
from cutplan.solve.ordering.faces import Values
from cutplan.solve.ordering.open_paper import SPENT
from cutplan.solve.ordering.task import Move, Task


class Stack(Struct, frozen=True):
    """Unopened rolls that can give the same."""

    state: int
    """Their state before the first cut."""
    rolls: tuple[int, ...]
    """For each, the index of the task's rolls to which it belongs, in the order in which they are opened."""
    is_offcut: bool
    waits_for: int
    """As of the task's rolls."""


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


class KeptStates(NamedTuple):
    """Which states of a layer are kept where there are too many."""

    width: int
    """How many: the most promising ones."""
    lists: int = 2
    """By how many lists of prices, from the first, it is told what is promising; the others only rule out."""
    is_set_by_set: bool = False
    """True to keep the most promising state of each set of drops cut ahead, then the next of each, and so on."""


class Answer(Struct, frozen=True):
    """What a search found."""

    moves: tuple[Move, ...] | None
    """A cutting order within the limits; None when none was found."""
    is_complete: bool
    """True when every state was looked at: without moves, no order exists."""
    effort: int
    """Cuts tried, and as many more as the comparing of states and going from layer to layer were worth."""


class CuttingTable:
    """A task, and the states of its rolls."""

    def __init__(self, task: Task, open_rolls: int, clock: Clock = UNHURRIED) -> None:
        self.task = task
        self.clock = clock
        """Whoever searches looks at it, and raises TimeIsUp when it ends."""
        self.open_rolls = open_rolls
        """No more rolls than this are open at once."""
        self.paper = task.paper(clock)
        """The states of the rolls."""
        self.prices = _raised(list(zip(*task.prices, strict=True)), self.paper.alike)
        """``prices[kind]``: its price by each list."""
        self.stacks = _stacks(task, self.paper.unopened)
        """The rolls, those together that can give the same."""

    def with_best_rolls(self) -> CuttingTable | None:
        """Return the table where every roll is as good as the best of those like it; None where none are alike.

        An order that there is none of there is none of here. It has fewer stacks, so there is less to search.
        """
        groups: list[list[Stack]] = []
        for stack in self.stacks:
            for group in groups:
                if self._best_stack([*group, stack]) is not None:
                    group.append(stack)
                    break
            else:
                groups.append([stack])
        if len(groups) == len(self.stacks):
            return None
        table = copy(self)
        table.stacks = [best for group in groups if (best := self._best_stack(group)) is not None]
        return table

    def _best_stack(self, group: Sequence[Stack]) -> Stack | None:
        """Return a stack of as many rolls as a group of stacks has, each as good as the best of them."""
        first = group[0]
        if len(group) == 1:
            return first
        if any((stack.is_offcut, stack.waits_for) != (first.is_offcut, first.waits_for) for stack in group):
            return None
        state = self.paper.best_of([stack.state for stack in group])
        if state is None:
            return None
        return Stack(state, tuple(roll for stack in group for roll in stack.rolls), first.is_offcut, first.waits_for)

    @property
    def is_drop_by_drop(self) -> bool:
        """True when every piece has a turn of its own."""
        return len(self.task.turns) == self.task.turns[-1] + 1


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


def _raised(prices: list[Values], alike: Sequence[int]) -> list[Values]:
    """Return the prices of each kind, by each list: the highest of all kinds alike, for which no roll is worth more."""
    highest: dict[int, Values] = {}
    for kind, first in enumerate(alike):
        highest[first] = tuple(map(max, highest.get(first, prices[kind]), prices[kind]))
    return [highest[first] for first in alike]


def _stacks(task: Task, unopened: list[int]) -> list[Stack]:
    stacks: dict[tuple[int, bool, int], list[int]] = {}
    for index, (rolls, state) in enumerate(zip(task.rolls, unopened, strict=True)):
        stacks.setdefault((state, rolls.is_offcut, rolls.waits_for), []).extend([index] * rolls.count)
    return [Stack(state, tuple(rolls), is_offcut, waits_for) for (state, is_offcut, waits_for), rolls in stacks.items()]


def is_too_large(task: Task) -> bool:
    """Return True when which rolls are unopened cannot be told by one machine number."""
    return prod(rolls.count + 1 for rolls in task.rolls) >= 2**62
