"""One cut more: every next cut of every state that the limits allow."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cutplan.solve.ordering.in_arrays import TableInArrays
from cutplan.solve.ordering.layer import (
    HORIZON,
    ONE,
    Cuts,
    FittingCuts,
    Layer,
    Ready,
    Trace,
    added_up,
    one_after_another,
    row_changes,
    with_piece,
    with_roll,
)
from cutplan.solve.ordering.open_paper import SPENT

if TYPE_CHECKING:
    from cutplan.plan.waiting import Waiting
    from cutplan.solve.ordering.layer import Bits, Truth, Whole

_NOTHING: Final = 0
_HELD: Final = 1
_LYING: Final = 2
"""Rows of what lies on the table: nothing, the roll from which the next cut must come, the open rolls."""

_NO_STACK: Final = -1


class Expansion:
    """Makes every next cut that the limits allow."""

    def __init__(self, table: TableInArrays, limits: Waiting) -> None:
        self.table = table
        self.limits = limits
        self.cuts_tried = 0
        table.paper.reach(table.fresh)
        lying = np.arange(_LYING, _LYING + table.places)
        # Whatever is taken from among the open rolls, the others move up.
        without = [[place for place in lying if place != taken] for taken in lying]
        self._beside: Whole = np.array([lying, lying, *([*others, _NOTHING] for others in without)]).T
        furthest = len(table.turns)
        if table.is_drop_by_drop:
            furthest = min(furthest, limits.furthest if limits.most else 0)
        self._distance = np.arange(min(HORIZON, furthest) + 1)
        """How far behind the piece that is to be hung next others are that may be cut."""

    def after_one_cut(self, layer: Layer, cuts: int) -> tuple[Layer, Trace]:
        """Return the states after one cut more than ``cuts``, and how they came about."""
        table = self.table
        table.paper.reach(np.concatenate([layer.rolls.ravel(), layer.held]))
        # After equally many cuts, what is cut ahead tells which drop is next; states alike in it stand together.
        is_first = row_changes([layer.ahead])
        distinct, which = layer.ahead[is_first], is_first.cumsum() - 1
        upcoming = cuts - np.bitwise_count(distinct).astype(np.int64)
        ready = self._ready(layer, upcoming[which])
        counts, cuts_of = self._allowed(distinct, upcoming)
        which = which[ready.parent]
        begins = (counts.cumsum() - counts)[which]
        counts = counts[which]
        chosen = np.arange(len(counts)).repeat(counts)
        cut = one_after_another(begins, counts)
        self.cuts_tried += len(cut)
        return self._cut(layer, ready, cuts_of, self._fitting(ready, cuts_of, chosen, cut))

    # Which drop may be cut

    def _allowed(self, ahead: Bits, upcoming: Whole) -> tuple[Whole, Cuts]:
        """Return how many pieces may be cut next for each row, and which: that which is to be hung next comes first."""
        table = self.table
        distance, ahead, upcoming = self._distance, ahead[:, None], upcoming[:, None]
        piece = upcoming + distance
        is_piece = piece < len(table.turns)
        piece = np.minimum(piece, len(table.turns) - 1)
        cut = ahead << ONE  # bit d for the piece d places after the next to be hung, which is not cut
        before = distance - table.to_alike[piece]
        in_order = (before < 0) | (cut >> before.view(np.uint64) & ONE).view(np.int64).astype(bool)
        is_cut = (ahead >> (distance - 1).view(np.uint64) & ONE).view(np.int64).astype(bool)
        in_turn = piece < table.turn_ends[upcoming]
        is_near = table.turns[piece] - table.turns[upcoming] <= self.limits.furthest
        allowed = is_piece & ~is_cut & in_order & (in_turn | (is_near & self._may_wait(ahead, upcoming)))
        allowed[:, 0] = True
        row, place = allowed.nonzero()
        piece = piece[row, place]
        is_early = ~in_turn[row, place]
        kind = table.kind_of[piece]
        return np.bincount(row), Cuts(piece, kind, is_early, with_piece(ahead[row, 0], distance[place]))

    def _may_wait(self, ahead: Bits, upcoming: Whole) -> Truth:
        """Return where one piece more of a later turn may be cut."""
        later = self.table.turn_ends[upcoming] - upcoming - 1
        found: Truth = np.bitwise_count(ahead >> later.view(np.uint64)) < self.limits.most
        return found

    # Which roll it may be cut from

    def _ready(self, layer: Layer, upcoming: Whole) -> Ready:
        """Return every way to take a roll in hand."""
        table = self.table
        nothing = np.full((1, len(layer)), SPENT)
        on_table = np.concatenate([nothing, layer.held[None], layer.rolls])
        is_bound = layer.held != SPENT
        # Of two open rolls alike the first is taken.
        lying = layer.rolls != SPENT
        lying[1:] &= layer.rolls[1:] != layer.rolls[:-1]
        in_hand = np.concatenate([nothing != SPENT, is_bound[None], lying & ~(is_bound | layer.opens)])
        taken, row = in_hand.nonzero()
        ways = [(taken, row, np.full(len(row), _NO_STACK))]
        ways += self._openings(layer, lying & ~is_bound, ~is_bound, upcoming)
        taken, row, stack = (np.concatenate(parts) for parts in zip(*ways, strict=True))
        state = on_table[taken, row]
        is_opened = stack != _NO_STACK
        closed = np.where(is_opened, state, SPENT)
        return Ready(
            parent=row,
            is_bound=taken == _HELD,
            state=np.where(is_opened, table.fresh[stack], state),
            source=np.where(is_opened, -1 - stack, state),
            beside=on_table[self._beside[:, taken], row],
            closed=closed,
            unopened=layer.unopened[row] - np.where(is_opened, table.digits[stack], 0),
            lost=layer.lost.take(row, axis=1) + table.paper.worths.take(closed, axis=1),
        )

    def _openings(
        self, layer: Layer, lying: Truth, may_open: Truth, upcoming: Whole
    ) -> list[tuple[Whole, Whole, Whole]]:
        """Open a roll of each stack, putting one away where too many would be open, unless too much is lost with it."""
        table, paper = self.table, self.table.paper
        is_left = layer.unopened[:, None] % (table.digits * table.bases) >= table.digits
        is_left &= table.waits_for < upcoming[:, None]
        is_full = layer.rolls[-1] != SPENT
        lost = layer.lost[:, None] + paper.worths.take(layer.rolls, axis=1)
        may_go = lying & table.is_spare(lost)
        counts = paper.counts[layer.rolls]
        found = []
        if table.has_offcuts:
            found.append(_opened(is_left & table.are_offcuts, may_open, is_full, may_go))
            is_left &= ~table.are_offcuts
        # No offcut is put away for a roll.
        is_full |= counts.sum(axis=0) >= table.open_rolls
        return [*found, _opened(is_left, may_open, is_full, may_go & (counts == 1))]

    # The cut

    def _fitting(self, ready: Ready, cuts: Cuts, chosen: Whole, cut: Whole) -> FittingCuts:
        """Return the cuts for which there is room, and after which enough is left for all that is wanted."""
        table, paper = self.table, self.table.paper
        kind = cuts.kind[cut]
        after = paper.steps.take(ready.state[chosen] * paper.kinds + kind)
        worth = ready.lost + paper.worths.take(ready.state, axis=1)
        fits = (after >= 0).nonzero()[0]
        chosen, cut, kind, after = (each[fits] for each in (chosen, cut, kind, after))
        lost = worth.take(chosen, axis=1)
        lost -= paper.worths.take(after, axis=1)
        lost -= table.price_of.take(kind, axis=1)
        return FittingCuts(chosen, cut, after, lost).rows(table.is_spare(lost).nonzero()[0])

    def _cut(self, layer: Layer, ready: Ready, cuts: Cuts, fitting: FittingCuts) -> tuple[Layer, Trace]:
        is_early = cuts.is_early[fitting.cut]
        worse = self._better_after(layer, ready, cuts, fitting, is_early)
        if len(worse):
            kept = np.ones(len(is_early), dtype=bool)
            kept[worse] = False
            fitting, is_early = fitting.rows(kept.nonzero()[0]), is_early[kept]
        beside = ready.beside.take(fitting.ready, axis=1)
        stay, shut, lost_shut = self._shut(is_early, beside, fitting)
        rows = np.concatenate([stay, shut])
        is_shut = np.arange(len(rows)) >= len(stay)
        chosen, cut, is_early = fitting.ready[rows], fitting.cut[rows], is_early[rows]
        after = np.where(is_shut, SPENT, fitting.after[rows])
        states = Layer(
            ahead=cuts.ahead[cut],
            rolls=with_roll(beside.take(rows, axis=1), np.where(is_early, SPENT, after)),
            held=np.where(is_early, after, SPENT),
            before=ready.state[chosen],
            early=cuts.kind[cut],
            opens=is_shut & (not self.table.has_offcuts),
            unopened=ready.unopened[chosen],
            lost=np.concatenate([fitting.lost.take(stay, axis=1), lost_shut], axis=1),
        )
        return states, Trace(ready.parent[chosen], cuts.piece[cut], ready.source[chosen], ready.closed[chosen], is_shut)

    def _better_after(self, layer: Layer, ready: Ready, cuts: Cuts, fitting: FittingCuts, is_early: Truth) -> Whole:
        """Return the cuts of a drop in its turn from the roll in hand, which would be as well off with it cut first.

        Then the drop that was cut before its turn can be cut later; that order is looked at elsewhere.
        """
        paper = self.table.paper
        rows = (ready.is_bound[fitting.ready] & ~is_early).nonzero()[0]
        parent = ready.parent[fitting.ready[rows]]
        first = paper.steps.take(layer.before[parent] * paper.kinds + cuts.kind[fitting.cut[rows]])
        fits = first > SPENT
        rows, first, parent = rows[fits], first[fits], parent[fits]
        paper.reach(first)
        second = paper.steps.take(first * paper.kinds + layer.early[parent])
        fits = second >= 0
        rows, second = rows[fits], second[fits]
        return rows[paper.serves(second, fitting.after[rows])]

    def _shut(self, is_early: Truth, beside: Whole, fitting: FittingCuts) -> tuple[Whole, Whole, Whole]:
        """Return the cuts after which the roll stays, those after which it may be put away, and what is then lost.

        A roll that was cut too early is put away where another is opened in its place.
        """
        table, paper = self.table, self.table.paper
        has_more = fitting.after != SPENT
        if table.has_offcuts:
            stay, may_go = np.arange(len(is_early)), is_early & has_more
        else:
            stay = (~is_early | has_more).nonzero()[0]
            may_go = is_early & (added_up(paper.counts, beside) + 1 >= table.open_rolls)
        shut = may_go.nonzero()[0]
        lost = fitting.lost.take(shut, axis=1) + paper.worths.take(fitting.after[shut], axis=1)
        within = table.is_spare(lost).nonzero()[0]
        return stay, shut[within], lost.take(within, axis=1)


def _opened(is_left: Truth, may_open: Truth, is_full: Truth, may_go: Truth) -> tuple[Whole, Whole, Whole]:
    """Return, way after way, which row of what lies on the table is put away, in which state, and the stack opened."""
    ways = np.concatenate([(may_open & ~is_full)[None], may_go & is_full])
    closed, row = ways.nonzero()
    which, stack = is_left.take(row, axis=0).nonzero()
    closed = np.where(closed == 0, _NOTHING, closed + _LYING - 1)
    return closed[which], row[which], stack
