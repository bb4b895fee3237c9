"""The search for a cutting order within given limits, over all ways to lay out the same rolls.

Cut after cut, every state of the table is kept that can still come to a good end: which drops are cut, what the
open rolls can still give, which rolls are unopened. States alike are one (dynamic programming), so when none is
left no order exists within the limits. When a layer grows too wide only the most promising states are
kept, and an empty end then proves nothing.

Two things keep layers small. *No cut is made too early*: who cuts a drop before its turn must then cut the drop
whose turn it is from the same roll, or be finished with that roll; otherwise the cut could have waited. And
*paper has a price*: by each list of prices, what was lost so far may not exceed what the rolls can give beyond
what all drops are worth.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final

import numpy as np
from msgspec import Struct

from cutplan.solve.ordering.expansion import Expansion
from cutplan.solve.ordering.given import CuttingTable, Taken, moves_of
from cutplan.solve.ordering.in_arrays import TableInArrays
from cutplan.solve.ordering.layer import HORIZON, Layer, added_up
from cutplan.solve.ordering.open_paper import SPENT
from cutplan.solve.ordering.task import GUIDES, Move

if TYPE_CHECKING:
    from cutplan.solve.ordering.layer import Trace, Truth, Whole

_BLOCKS: Final = (0, 1, 4, 12, 32)
"""The states of a group with the most paper, up to so many at a time, with which the others are compared."""

_AT_ONCE: Final = 5_000
"""Comparisons that are quicker made all at once than block after block."""

_LOOKED_AT: Final = 4
"""So many times as many states as are kept are compared with one another: the most promising ones."""

_LAYER: Final = 1_000
"""Cuts that take as long as going on from one layer to the next does, however few states it has."""

_COMPARISONS: Final = 5
"""Comparisons of states that take as long as one cut."""

_BURDEN: Final = 0.02
"""What a drop cut early weighs, where what was lost of all that may be lost weighs 1."""


class Answer(Struct, frozen=True):
    """What a search found."""

    moves: tuple[Move, ...] | None
    """A cutting order within the limits; None when none was found."""
    is_complete: bool
    """True when every state was looked at: without moves, no order exists."""
    effort: int
    """Cuts tried, and as many more as the comparing of states and going from layer to layer were worth."""


class Search:
    """Searches for cutting orders at one table."""

    def __init__(self, table: CuttingTable) -> None:
        self.table = TableInArrays(table)

    def search(
        self, most_waiting: int, furthest_ahead: int, width: int, effort: int, guide: slice = GUIDES[0]
    ) -> Answer:
        """Look for an order with no more drops waiting and none cut further ahead.

        ``width`` limits the states of a layer, those that are promising by ``guide``; ``effort`` the cuts tried in all.
        """
        return self.course(most_waiting, furthest_ahead, width, guide).go_on(effort)

    def course(
        self,
        most_waiting: int,
        furthest_ahead: int,
        width: int,
        guide: slice = GUIDES[0],
        *,
        is_set_by_set: bool = False,
    ) -> Course:
        """Return such a search, not begun; or one that keeps a state in turn for each set of drops cut ahead."""
        return Course(self.table, most_waiting, furthest_ahead, width, guide, is_set_by_set=is_set_by_set)


class Course:
    """One search, which can be gone on with where its effort ended; its limits are those of :meth:`Search.search`."""

    def __init__(
        self,
        table: TableInArrays,
        most_waiting: int,
        furthest_ahead: int,
        width: int,
        guide: slice,
        *,
        is_set_by_set: bool,
    ) -> None:
        self.table = table
        self.expansion = Expansion(table, most_waiting, furthest_ahead)
        self.width = width
        self.guide = guide
        self.is_set_by_set = is_set_by_set
        self.is_complete = table.most_ahead(most_waiting) <= HORIZON
        self.layer = self._start()
        self.traces: list[Trace] = []
        self.spent = self.next_layer = self._compared = 0

    def go_on(self, effort: int) -> Answer:
        """Return what is found within ``effort`` more than was spent on it before."""
        before = self.spent
        pieces = len(self.table.turns)
        while len(self.layer) and len(self.traces) < pieces:
            # Layer after layer takes about as much again.
            if self.traces and self.spent + self.next_layer > before + effort:
                return Answer(None, is_complete=False, effort=self.spent - before)
            self.table.clock.check()
            last = self.spent
            self._cut_once()
            self.spent = self.expansion.cuts_tried + self._compared // _COMPARISONS + _LAYER * len(self.traces)
            self.next_layer = self.spent - last
        moves = self._moves(self.traces) if len(self.layer) else None
        return Answer(moves, self.is_complete, self.spent - before)

    def _cut_once(self) -> None:
        """Replace the layer by the one after one cut more."""
        layer, trace = self.expansion.after_one_cut(self.layer, len(self.traces))
        if len(layer) > _LOOKED_AT * self.width:
            layer, trace = self._most_promising(layer, trace, _LOOKED_AT * self.width)
        if len(layer):
            layer, trace = self._merged(layer, trace)
        if len(layer) > self.width:
            layer, trace = self._most_promising(layer, trace, self.width)
        self.layer = layer
        self.traces.append(trace)

    def _start(self) -> Layer:
        unopened = sum(
            digit * len(stack.rolls) for digit, stack in zip(self.table.digits, self.table.stacks, strict=True)
        )
        return Layer(
            ahead=np.zeros(1, dtype=np.uint64),
            rolls=np.full((1, self.table.places), SPENT, dtype=np.int64),
            held=np.full(1, SPENT, dtype=np.int64),
            before=np.full(1, SPENT, dtype=np.int64),
            early=np.zeros(1, dtype=np.int64),
            opens=np.zeros(1, dtype=bool),
            unopened=np.array([unopened], dtype=np.int64),
            lost=np.zeros((1, len(self.table.spare)), dtype=np.int64),
        )

    def _merged(self, layer: Layer, trace: Trace) -> tuple[Layer, Trace]:
        """Keep one of each group of states alike, and drop states from which nothing can be cut that others cannot."""
        table = self.table
        useds = table.paper.useds
        group = [2 * layer.opens + (layer.held != SPENT), layer.ahead]
        if len(table.digits) > 1:
            group.append(layer.unopened)
        rolls = table.paper.packed(layer.held, layer.rolls)
        used = added_up(useds, layer.rolls) + useds[layer.held]
        order = np.lexsort([*rolls, -used, -layer.unopened, *group])
        begins = _changes([column[order] for column in group])
        is_new = begins | _changes([column[order] for column in (*rolls, layer.unopened)])
        order = order[is_new]
        kept = order[~self._is_served(layer, order, begins[is_new].nonzero()[0])]
        return layer.rows(kept), trace.rows(kept)

    def _is_served(self, layer: Layer, order: Whole, begins: Whole) -> Truth:
        """Return which states, in this order, are served by one of the first of their group: see :data:`_BLOCKS`."""
        unopened, held, rolls = layer.unopened[order], layer.held[order], layer.rolls.take(order, axis=0)
        ends = np.append(begins[1:], len(order))
        begin = begins.repeat(ends - begins)
        served = np.zeros(len(order), dtype=bool)
        place = np.arange(len(order)) - begin
        blocks = _BLOCKS if np.minimum(place, _BLOCKS[-1]).sum() > _AT_ONCE else (_BLOCKS[0], _BLOCKS[-1])
        for first, leaders in pairwise(blocks):
            rows = (~served & (place > first)).nonzero()[0]
            if not len(rows):
                break
            counts = np.minimum(place[rows], leaders) - first
            other = rows.repeat(counts)
            state = np.arange(len(other)) + (begin[rows] + first - counts.cumsum() + counts).repeat(counts)
            self._compared += len(other)
            serves = unopened[state] >= unopened[other]
            serves &= self.table.paper.serve(
                held[state], rolls.take(state, axis=0), held[other], rolls.take(other, axis=0)
            )
            served[other[serves]] = True
        return served

    def _most_promising(self, layer: Layer, trace: Trace, width: int) -> tuple[Layer, Trace]:
        """Keep ``width`` states: those that lost the least of what may be lost, with the fewest drops cut early."""
        self.is_complete = False
        spare = np.maximum(self.table.spare, 1)
        shares = [column / most for column, most in zip(layer.lost.T[self.guide], spare[self.guide], strict=True)]
        burden = np.maximum.reduce([np.zeros(len(layer)), *shares]) + _BURDEN * np.bitwise_count(layer.ahead)
        order = np.argsort(burden, kind="stable")
        if self.is_set_by_set:
            order = np.lexsort([burden, layer.ahead])
            ahead = layer.ahead[order]
            place = np.arange(len(order)) - np.searchsorted(ahead, ahead)
            order = order[np.lexsort([burden[order], place])]
        kept = np.sort(order[:width])
        return layer.rows(kept), trace.rows(kept)

    def _moves(self, traces: list[Trace]) -> tuple[Move, ...]:
        """Follow one order from its last cut back to the first, then name its rolls from the first cut on."""
        row, kind_of, steps = 0, self.table.kind_of, self.table.paper.steps
        cuts = []
        for trace in reversed(traces):
            piece, source = int(trace.piece[row]), int(trace.source[row])
            stack = -1 - source if source < 0 else None
            state = source if stack is None else self.table.stacks[stack].state
            after = SPENT if trace.is_shut[row] else int(steps[state, kind_of[piece]])
            cuts.append(Taken(piece, state, stack, int(trace.closed[row]), after))
            row = int(trace.parent[row])
        return moves_of(self.table.stacks, reversed(cuts))


def _changes(columns: list[Whole]) -> Truth:
    """Return in which rows some column is not as in the row before; the first row is one of them."""
    found = np.ones(len(columns[0]), dtype=bool)
    found[1:] = False
    for column in columns:
        found[1:] |= column[1:] != column[:-1]
    return found
