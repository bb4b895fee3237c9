"""One cut more: every next cut of every state that the limits allow."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from cutplan.solve.ordering.in_arrays import TableInArrays
from cutplan.solve.ordering.layer import (
    HORIZON,
    ONE,
    Layer,
    Ready,
    Trace,
    added_up,
    joined_rows,
    with_piece,
    with_roll,
    without_roll,
)
from cutplan.solve.ordering.open_paper import SPENT

if TYPE_CHECKING:
    from cutplan.solve.ordering.layer import Bits, Truth, Whole


class Expansion:
    """Makes every next cut that the limits allow."""

    def __init__(self, table: TableInArrays, most_waiting: int, furthest_ahead: int) -> None:
        self.table = table
        self.most_waiting = most_waiting
        self.furthest_ahead = furthest_ahead
        self.cuts_tried = 0

    def after_one_cut(self, layer: Layer, cuts: int) -> tuple[Layer, Trace]:
        """Return the states after one cut more than ``cuts``, and how they came about."""
        table = self.table
        table.paper.reach(np.concatenate([layer.rolls.ravel(), layer.held]))
        table.paper.reach(table.fresh)
        upcoming = cuts - np.bitwise_count(layer.ahead).astype(np.int64)
        ready = self._ready(layer, upcoming)
        first, pieces = self._allowed(layer, upcoming)
        counts = np.diff(first)[ready.parent]
        chosen = np.repeat(np.arange(len(counts)), counts)
        within = np.arange(len(chosen)) - np.repeat(counts.cumsum() - counts, counts)
        piece = pieces[first[ready.parent[chosen]] + within]
        self.cuts_tried += len(piece)
        return self._cut(layer, upcoming, ready, chosen, piece)

    # Which drop may be cut

    def _allowed(self, layer: Layer, upcoming: Whole) -> tuple[Whole, Whole]:
        """Return the pieces that may be cut next, state after state, and where each state's begin."""
        if self.most_waiting == 0 and self.table.is_drop_by_drop:
            return np.arange(len(layer) + 1), upcoming
        # After equally many cuts, what is cut ahead tells which drop is next.
        distinct, one, which = np.unique(layer.ahead, return_index=True, return_inverse=True)
        rows, pieces = self._early(distinct, upcoming[one])
        counts = np.bincount(rows, minlength=len(distinct))
        begins = counts.cumsum() - counts
        counts = counts[which]
        first = np.concatenate([[0], np.cumsum(counts + 1)])
        found = np.empty(first[-1], dtype=np.int64)
        found[first[:-1]] = upcoming
        places = np.arange(counts.sum()) - np.repeat(counts.cumsum() - counts, counts)
        found[np.repeat(first[:-1] + 1, counts) + places] = pieces[np.repeat(begins[which], counts) + places]
        return first, found

    def _early(self, ahead: Bits, upcoming: Whole) -> tuple[Whole, Whole]:
        """Return (row, piece) for the pieces after the next to be hung that may be cut, row after row."""
        table = self.table
        count = len(table.turns)
        distance = np.arange(1, min(HORIZON, count, self.furthest_ahead if table.is_drop_by_drop else count) + 1)
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
        bound, free = is_bound.nonzero()[0], (~is_bound & ~layer.opens).nonzero()[0]
        none = np.full(len(bound), SPENT, dtype=np.int64)
        parts = [
            Ready(
                bound,
                layer.held[bound],
                layer.held[bound],
                layer.rolls.take(bound, axis=0),
                none,
                layer.unopened[bound],
                layer.lost.take(bound, axis=0),
            )
        ]
        parts += [self._open(layer, free, place) for place in range(self.table.places)]
        parts += self._unopened(layer, (~is_bound).nonzero()[0], upcoming)
        return joined_rows(parts)

    def _open(self, layer: Layer, rows: Whole, place: int) -> Ready:
        """Take the open roll at ``place`` in hand, where it is not the same as the one before it."""
        states = layer.rolls[rows, place]
        differs = states != SPENT
        if place:
            differs &= states != layer.rolls[rows, place - 1]
        rows, states = rows[differs], states[differs]
        beside = without_roll(layer.rolls.take(rows, axis=0), place)
        none = np.full(len(rows), SPENT, dtype=np.int64)
        return Ready(rows, states, states, beside, none, layer.unopened[rows], layer.lost.take(rows, axis=0))

    def _unopened(self, layer: Layer, rows: Whole, upcoming: Whole) -> list[Ready]:
        """Open a roll of each stack, putting one away where too many would be open."""
        table = self.table
        is_left = layer.unopened[:, None] // table.digits % table.bases > 0
        is_left &= table.waits_for < upcoming[:, None]
        is_full = layer.rolls[rows, -1] != SPENT
        parts = self._openings(layer, is_left & table.are_offcuts, rows, is_full) if table.has_offcuts else []
        is_full |= added_up(table.paper.counts, layer.rolls.take(rows, axis=0)) >= table.open_rolls
        return parts + self._openings(layer, is_left & ~table.are_offcuts, rows, is_full, must_count=True)

    def _openings(
        self, layer: Layer, is_left: Truth, rows: Whole, is_full: Truth, *, must_count: bool = False
    ) -> list[Ready]:
        """Open a roll of each stack where one ``is_left``; where it is full put one away, unless too much is lost.

        With ``must_count`` no offcut is put away for it.
        """
        table = self.table
        room, rows = rows[~is_full], rows[is_full]
        parts = [self._opening(layer, is_left, room, layer.rolls.take(room, axis=0), np.full(len(room), SPENT))]
        for place in range(table.places):
            states = layer.rolls[rows, place]
            may_go = states != SPENT
            if must_count:
                may_go &= table.paper.counts[states] == 1
            if place:
                may_go &= states != layer.rolls[rows, place - 1]
            may_go &= table.is_spare(layer.lost.take(rows, axis=0) + table.paper.worths.take(states, axis=0))
            gone = rows[may_go]
            beside = without_roll(layer.rolls.take(gone, axis=0), place)
            parts.append(self._opening(layer, is_left, gone, beside, states[may_go]))
        return parts

    def _opening(self, layer: Layer, is_left: Truth, rows: Whole, beside: Whole, closed: Whole) -> Ready:
        table = self.table
        which, stacks = is_left.take(rows, axis=0).nonzero()
        rows, closed = rows[which], closed[which]
        return Ready(
            rows,
            table.fresh[stacks],
            -1 - stacks,
            beside.take(which, axis=0),
            closed,
            layer.unopened[rows] - table.digits[stacks],
            layer.lost.take(rows, axis=0) + table.paper.worths.take(closed, axis=0),
        )

    # The cut

    def _cut(self, layer: Layer, upcoming: Whole, ready: Ready, chosen: Whole, piece: Whole) -> tuple[Layer, Trace]:
        table = self.table
        worths, kind = table.paper.worths, table.kind_of[piece]
        after = table.paper.steps[ready.state[chosen], kind].astype(np.int64)
        worth = ready.lost + worths.take(ready.state, axis=0)
        # By the first list nearly all is seen, so that the others need not be reckoned for most.
        lost_by_first = worth[:, 0][chosen] - worths[:, 0][after] - table.price_of[:, 0][kind]
        near = ((after >= 0) & (lost_by_first <= table.spare[0])).nonzero()[0]
        chosen, piece, kind, after = (each[near] for each in (chosen, piece, kind, after))
        lost = worth.take(chosen, axis=0) - worths.take(after, axis=0) - table.price_of.take(kind, axis=0)
        good = table.is_spare(lost)
        parent = ready.parent[chosen]
        is_early = piece >= table.turn_ends[upcoming[parent]]
        good &= is_early | ~self._better_after(layer, parent, kind, after)
        kept = good.nonzero()[0]
        chosen, parent, piece, kind, after = (each[kept] for each in (chosen, parent, piece, kind, after))
        lost, is_early = lost.take(kept, axis=0), is_early[kept]
        beside = ready.beside.take(chosen, axis=0)
        stay, shut, lost_shut = self._shut(is_early, beside, after, lost)
        rows = np.concatenate([stay, shut])
        is_shut = np.arange(len(rows)) >= len(stay)
        chosen, parent, piece, beside = chosen[rows], parent[rows], piece[rows], beside.take(rows, axis=0)
        is_held = is_early[rows]
        after = np.where(is_shut, SPENT, after[rows])
        states = Layer(
            ahead=with_piece(layer.ahead[parent], piece - upcoming[parent]),
            rolls=np.where(is_held[:, None], beside, with_roll(beside, after)),
            held=np.where(is_held, after, SPENT),
            before=ready.state[chosen],
            early=kind[rows],
            opens=is_shut & (not table.has_offcuts),
            unopened=ready.unopened[chosen],
            lost=np.concatenate([lost.take(stay, axis=0), lost_shut]),
        )
        return states, Trace(parent, piece, ready.source[chosen], ready.closed[chosen], is_shut)

    def _better_after(self, layer: Layer, parent: Whole, kind: Whole, after: Whole) -> Truth:
        """Return where a drop in its turn is cut from the roll in hand, which would be as well off with it cut first.

        Then the drop that was cut before its turn can be cut later; that order is looked at elsewhere.
        """
        found = np.zeros(len(parent), dtype=bool)
        rows = (layer.held[parent] != SPENT).nonzero()[0]
        if not len(rows):
            return found
        paper = self.table.paper
        first = paper.steps[layer.before[parent[rows]], kind[rows]].astype(np.int64)
        rows, first = rows[first > SPENT], first[first > SPENT]
        paper.reach(first)
        second = paper.steps[first, layer.early[parent[rows]]].astype(np.int64)
        rows, second = rows[second >= 0], second[second >= 0]
        found[rows] = paper.serves(second, after[rows])
        return found

    def _shut(self, is_early: Truth, beside: Whole, after: Whole, lost: Whole) -> tuple[Whole, Whole, Whole]:
        """Return the cuts after which the roll stays, those after which it may be put away, and what is then lost.

        A roll that was cut too early is put away where another is opened in its place.
        """
        table = self.table
        stays, may_go = np.ones(len(after), dtype=bool), is_early & (after != SPENT)
        if not table.has_offcuts:
            stays = ~is_early | (after != SPENT)
            may_go = is_early & (added_up(table.paper.counts, beside) + 1 >= table.open_rolls)
        shut = may_go.nonzero()[0]
        lost_shut = lost.take(shut, axis=0) + table.paper.worths.take(after[shut], axis=0)
        within = table.is_spare(lost_shut).nonzero()[0]
        return stays.nonzero()[0], shut[within], lost_shut.take(within, axis=0)
