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

from cutplan.solve.ordering.expansion import Expansion
from cutplan.solve.ordering.given import Answer, CuttingTable, KeptStates, Taken, moves_of
from cutplan.solve.ordering.in_arrays import TableInArrays
from cutplan.solve.ordering.layer import HORIZON, Layer, added_up, row_changes
from cutplan.solve.ordering.open_paper import SPENT
from cutplan.solve.ordering.task import Move

if TYPE_CHECKING:
    from cutplan.plan.waiting import Waiting
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


class Search:
    """Searches for cutting orders at one table."""

    def __init__(self, table: CuttingTable) -> None:
        self.table = TableInArrays(table)
        self._courses: dict[Waiting, dict[KeptStates, Course]] = {}

    def course(self, limits: Waiting, kept: KeptStates) -> Course:
        """Return the search for an order with no more drops waiting and none cut further ahead, where it was left.

        One that is not begun begins where others within these limits first dropped a state.
        """
        alike = self._courses.setdefault(limits, {})
        if kept not in alike:
            course = Course(self.table, limits, kept)
            if alike:
                course.begin_with(max(alike.values(), key=lambda other: other.cuts_with_all))
            alike[kept] = course
        return alike[kept]

    def cuts_with_all(self, limits: Waiting) -> int:
        """Return up to how many cuts every state within these limits is known."""
        alike = self._courses.get(limits, {})
        return max((course.cuts_with_all for course in alike.values()), default=0)


class Course:
    """One search, which can be gone on with where its effort ended."""

    def __init__(self, table: TableInArrays, limits: Waiting, kept: KeptStates) -> None:
        self.table = table
        self.expansion = Expansion(table, limits)
        self.kept = kept
        self.sees_all = table.most_ahead(limits.most) <= HORIZON
        self.layer = self.with_all = self._start()
        self.traces: list[Trace] = []
        self.cuts_with_all = 0
        """Cuts after which the layer, ``with_all``, still held every state."""
        self.spent = self.next_layer = self._compared = self._layers = 0

    def begin_with(self, other: Course) -> None:
        """Begin where another search within the same limits still held every state."""
        self.layer = self.with_all = other.with_all
        self.cuts_with_all = other.cuts_with_all
        self.traces = other.traces[: self.cuts_with_all]

    def go_on(self, effort: int, most_states: int | None = None) -> Answer:
        """Return what is found within ``effort`` more than before, and until a layer has more than ``most_states``."""
        before = self.spent
        pieces = len(self.table.turns)
        while len(self.layer) and len(self.traces) < pieces:
            # Layer after layer takes about as much again.
            is_too_long = self.traces and self.spent + self.next_layer > before + effort
            if is_too_long or (most_states is not None and len(self.layer) > most_states):
                return Answer(None, is_complete=False, effort=self.spent - before)
            self.table.clock.check()
            last = self.spent
            self._cut_once()
            self.spent = self.expansion.cuts_tried + self._compared // _COMPARISONS + _LAYER * self._layers
            self.next_layer = self.spent - last
        moves = self._moves(self.traces) if len(self.layer) else None
        return Answer(moves, self.sees_all and self.cuts_with_all == len(self.traces), self.spent - before)

    def _cut_once(self) -> None:
        """Replace the layer by the one after one cut more."""
        layer, trace = self.expansion.after_one_cut(self.layer, len(self.traces))
        width = self.kept.width
        is_whole = self.cuts_with_all == len(self.traces)
        if len(layer) > _LOOKED_AT * width:
            is_whole = False
            rows = self._most_promising(layer, _LOOKED_AT * width)
            layer, trace = layer.rows(rows), trace.rows(rows)
        rows = self._unlike(layer)
        if len(rows) > width:
            is_whole = False
            rows = rows[self._most_promising(layer, width, rows)]
        self.layer = layer.rows(rows)
        self.traces.append(trace.rows(rows))
        self._layers += 1
        if is_whole:
            self.with_all, self.cuts_with_all = self.layer, len(self.traces)

    def _start(self) -> Layer:
        unopened = sum(
            digit * len(stack.rolls) for digit, stack in zip(self.table.digits, self.table.stacks, strict=True)
        )
        return Layer(
            ahead=np.zeros(1, dtype=np.uint64),
            rolls=np.full((self.table.places, 1), SPENT, dtype=np.int64),
            held=np.full(1, SPENT, dtype=np.int64),
            before=np.full(1, SPENT, dtype=np.int64),
            early=np.zeros(1, dtype=np.int64),
            opens=np.zeros(1, dtype=bool),
            unopened=np.array([unopened], dtype=np.int64),
            lost=np.zeros((len(self.table.spare), 1), dtype=np.int64),
        )

    def _unlike(self, layer: Layer) -> Whole:
        """Return one state of each group alike, without those from which nothing can be cut that others cannot."""
        table = self.table
        useds = table.paper.useds
        used = added_up(useds, layer.rolls) + useds[layer.held]
        # What the next cut must be, and, first, the states with the most paper.
        first = 2 * layer.opens + (layer.held != SPENT)
        group = [first, layer.unopened, layer.ahead] if len(table.digits) > 1 else [first, layer.ahead]
        if len(table.digits) == 1:
            most = int(table.bases[0])
            first = first * most + most - 1 - layer.unopened
        rolls = table.paper.packed(layer.held, layer.rolls)
        order = np.lexsort([*rolls, first * (int(used.max(initial=0)) + 1) - used, *group[1:]])
        begins = row_changes([column[order] for column in group])
        is_new = begins | row_changes([column[order] for column in (*rolls, layer.unopened)])
        order = order[is_new]
        return order[~self._is_served(layer, order, begins[is_new].nonzero()[0])]

    def _is_served(self, layer: Layer, order: Whole, begins: Whole) -> Truth:
        """Return which states, in this order, are served by one of the first of their group: see :data:`_BLOCKS`."""
        unopened, held, rolls = layer.unopened[order], layer.held[order], layer.rolls.take(order, axis=1)
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
                held[state], rolls.take(state, axis=1), held[other], rolls.take(other, axis=1)
            )
            served[other[serves]] = True
        return served

    def _most_promising(self, layer: Layer, width: int, rows: Whole | None = None) -> Whole:
        """Return ``width`` of the rows: those that lost the least of what may be, with the fewest drops cut early."""
        rows = np.arange(len(layer)) if rows is None else rows
        guide = slice(self.kept.lists)
        lost, spare = layer.lost[guide].take(rows, axis=1), np.maximum(self.table.spare[guide], 1)
        ahead = layer.ahead[rows]
        burden = (lost / spare[:, None]).max(axis=0, initial=0) + _BURDEN * np.bitwise_count(ahead)
        if self.kept.is_set_by_set:
            order = np.lexsort([burden, ahead])
            ahead = ahead[order]
            place = np.arange(len(order)) - np.searchsorted(ahead, ahead)
            order = order[np.lexsort([burden[order], place])]
            return np.sort(order[:width])
        # Of equally promising ones the first are kept.
        most = np.partition(burden, width - 1)[width - 1]
        kept: Truth = burden < most
        kept[(burden == most).nonzero()[0][: width - np.count_nonzero(kept)]] = True
        return kept.nonzero()[0]

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
