"""One cut more: every next cut of every state that the limits allow."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from cutplan.solve.ordering.layer import (
    HORIZON,
    ONE,
    Layer,
    Ready,
    Trace,
    both,
    both_traces,
    joined,
    with_piece,
    with_roll,
)
from cutplan.solve.ordering.open_paper import SPENT
from cutplan.solve.ordering.task import NO_PIECE

if TYPE_CHECKING:
    from cutplan.solve.ordering.given import Table
    from cutplan.solve.ordering.layer import Bits, Whole


class Expansion:
    """Makes every next cut that the limits allow."""

    def __init__(self, table: Table, most_waiting: int, furthest_ahead: int) -> None:
        self.table = table
        self.most_waiting = most_waiting
        self.furthest_ahead = furthest_ahead
        self.cuts_tried = 0

    def after_one_cut(self, layer: Layer, cuts: int) -> tuple[Layer, Trace]:
        """Return the states after one cut more than ``cuts``, and how they came about."""
        table = self.table
        table.paper.reach(np.unique(np.concatenate([layer.rolls.ravel(), layer.held])).tolist())
        table.paper.reach(stack.state for stack in table.stacks)
        upcoming = cuts - np.bitwise_count(layer.ahead).astype(np.int64)
        ready = self._ready(layer, upcoming)
        first, pieces = self._allowed(layer, upcoming)
        counts = np.diff(first)[ready.parent]
        chosen = np.repeat(np.arange(len(counts)), counts)
        within = np.arange(len(chosen)) - np.repeat(np.cumsum(counts) - counts, counts)
        piece = pieces[first[ready.parent[chosen]] + within]
        self.cuts_tried += len(piece)
        return self._cut(layer, upcoming, ready, chosen, piece)

    # Which drop may be cut

    def _allowed(self, layer: Layer, upcoming: Whole) -> tuple[Whole, Whole]:
        """Return the pieces that may be cut next, state after state, and where each state's begin."""
        if self.most_waiting == 0 and self.table.is_drop_by_drop:
            return np.arange(len(layer) + 1), upcoming
        distinct, which = np.unique(np.stack([layer.ahead, upcoming.astype(np.uint64)]), axis=1, return_inverse=True)
        rows, pieces = self._early(distinct[0], distinct[1].astype(np.int64))
        counts = np.bincount(rows, minlength=distinct.shape[1])
        begins = np.cumsum(counts) - counts
        which = which.ravel()
        counts = counts[which]
        first = np.concatenate([[0], np.cumsum(counts + 1)])
        found = np.empty(first[-1], dtype=np.int64)
        found[first[:-1]] = upcoming
        places = np.arange(counts.sum()) - np.repeat(np.cumsum(counts) - counts, counts)
        found[np.repeat(first[:-1] + 1, counts) + places] = pieces[np.repeat(begins[which], counts) + places]
        return first, found

    def _early(self, ahead: Bits, upcoming: Whole) -> tuple[Whole, Whole]:
        """Return (row, piece) for the pieces after the next to be hung that may be cut, row after row."""
        table = self.table
        count = len(table.turns)
        distance = np.arange(1, min(HORIZON, count) + 1)
        piece = upcoming[:, None] + distance
        is_piece = piece < count
        piece = np.minimum(piece, count - 1)
        is_cut = (ahead[:, None] >> (distance - 1).astype(np.uint64)) & ONE
        before = table.alike_before[piece] - upcoming[:, None]
        bit = np.clip(before - 1, 0, HORIZON - 1).astype(np.uint64)
        in_order = (before < 0) | ((before > 0) & ((ahead[:, None] >> bit) & ONE).astype(bool))
        in_turn = piece < table.turn_ends[upcoming][:, None]
        has_room = self._waiting(ahead, upcoming) < self.most_waiting
        near = table.turns[piece] - table.turns[upcoming][:, None] <= self.furthest_ahead
        rows, places = np.nonzero(is_piece & ~is_cut.astype(bool) & in_order & (in_turn | (has_room[:, None] & near)))
        return rows, piece[rows, places]

    def _waiting(self, ahead: Bits, upcoming: Whole) -> Whole:
        """Return how many pieces of later turns are cut."""
        shift = self.table.turn_ends[upcoming] - upcoming - 1
        later = np.where(shift < HORIZON, ahead >> np.minimum(shift, HORIZON - 1).astype(np.uint64), np.uint64(0))
        return np.bitwise_count(later).astype(np.int64)

    # Which roll it may be cut from

    def _ready(self, layer: Layer, upcoming: Whole) -> Ready:
        """Return every way to take a roll in hand."""
        is_bound = layer.held != SPENT
        bound, free = np.flatnonzero(is_bound), np.flatnonzero(~is_bound)
        none = np.full(len(bound), SPENT, dtype=np.int64)
        parts = [
            Ready(
                bound,
                layer.held[bound],
                layer.held[bound],
                layer.rolls[bound],
                none,
                layer.unopened[bound],
                layer.lost[bound],
            )
        ]
        parts += [self._open(layer, free, place) for place in range(self.table.places)]
        parts += [self._unopened(layer, free, upcoming, index) for index in range(len(self.table.digits))]
        return joined(parts)

    def _open(self, layer: Layer, rows: Whole, place: int) -> Ready:
        """Take the open roll at ``place`` in hand, where it is not the same as the one before it."""
        states = layer.rolls[rows, place]
        differs = states != SPENT
        if place:
            differs &= states != layer.rolls[rows, place - 1]
        rows, states = rows[differs], states[differs]
        beside = layer.rolls[rows].copy()
        beside[:, place] = SPENT
        none = np.full(len(rows), SPENT, dtype=np.int64)
        return Ready(rows, states, states, beside, none, layer.unopened[rows], layer.lost[rows])

    def _unopened(self, layer: Layer, rows: Whole, upcoming: Whole, index: int) -> Ready:
        """Open a roll of stack ``index``, putting one away where too many would be open."""
        table = self.table
        stack = table.stacks[index]
        digit = table.digits[index]
        rows = rows[layer.unopened[rows] // digit % (len(stack.rolls) + 1) > 0]
        if stack.waits_for != NO_PIECE:
            rows = rows[stack.waits_for < upcoming[rows]]
        counts = table.paper.counts[layer.rolls[rows]]
        is_full = (layer.rolls[rows] != SPENT).all(axis=1)
        if not stack.is_offcut:
            is_full |= counts.sum(axis=1) >= table.open_rolls
        fitting = rows[~is_full]
        parts = [
            self._opening(layer, index, fitting, layer.rolls[fitting], np.full(len(fitting), SPENT, dtype=np.int64))
        ]
        full = rows[is_full]
        for place in range(table.places):
            states = layer.rolls[full, place]
            may_go = (states != SPENT) & (stack.is_offcut | (table.paper.counts[states] == 1))
            if place:
                may_go &= states != layer.rolls[full, place - 1]
            gone = full[may_go]
            beside = layer.rolls[gone].copy()
            beside[:, place] = SPENT
            parts.append(self._opening(layer, index, gone, beside, states[may_go]))
        return joined(parts)

    def _opening(self, layer: Layer, index: int, rows: Whole, beside: Whole, closed: Whole) -> Ready:
        table = self.table
        return Ready(
            rows,
            np.full(len(rows), table.stacks[index].state, dtype=np.int64),
            np.full(len(rows), -1 - index, dtype=np.int64),
            beside,
            closed,
            layer.unopened[rows] - table.digits[index],
            layer.lost[rows] + table.paper.worths[closed],
        )

    # The cut

    def _cut(self, layer: Layer, upcoming: Whole, ready: Ready, chosen: Whole, piece: Whole) -> tuple[Layer, Trace]:
        table = self.table
        kind = table.kind_of[piece]
        before = ready.state[chosen]
        after = table.paper.steps[before, kind].astype(np.int64)
        worths = table.paper.worths
        lost = ready.lost[chosen] + worths[before] - worths[np.maximum(after, SPENT)] - table.price_of[kind]
        good = np.flatnonzero((after >= 0) & (lost <= table.spare).all(axis=1))
        chosen, piece, after, lost = chosen[good], piece[good], after[good], lost[good]
        parent = ready.parent[chosen]
        now = upcoming[parent]
        is_early = piece >= table.turn_ends[now]
        ahead = with_piece(layer.ahead[parent], piece - now)
        beside = ready.beside[chosen]
        rolls = np.where(is_early[:, None], beside, with_roll(beside, after))
        held = np.where(is_early, after, SPENT)
        states = Layer(ahead, rolls, held, ready.unopened[chosen], lost)
        trace = Trace(parent, piece, ready.source[chosen], ready.closed[chosen], np.zeros(len(piece), dtype=bool))
        # A roll that was cut too early may also be put away at once.
        shut = np.flatnonzero(held != SPENT)
        put_away = states.rows(shut)
        put_away.lost = put_away.lost + worths[put_away.held]
        put_away.held = np.full(len(shut), SPENT, dtype=np.int64)
        of_shut = trace.rows(shut)
        of_shut.is_shut = np.ones(len(shut), dtype=bool)
        kept = np.flatnonzero((put_away.lost <= table.spare).all(axis=1))
        return both(states, put_away.rows(kept)), both_traces(trace, of_shut.rows(kept))
