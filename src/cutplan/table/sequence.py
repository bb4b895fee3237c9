"""The cutting sequence of a plan: which step comes when at the pasting table."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection

from msgspec.structs import replace

from cutplan.job.drops import Drop
from cutplan.job.print_along import motif_along, motif_behind
from cutplan.lengths import Length
from cutplan.paper.sale import NO_EDGES, Edges
from cutplan.paper.stock import Lot
from cutplan.plan.plan import Cut, Plan, RollLayout
from cutplan.table.hanging_order import Walk, walk
from cutplan.table.steps import CheckMatch, CutDrop, CutOff, LeftOver, NextStretch, OpenRoll, Rest, Sequence, Step


def sequence_of(plan: Plan, opened: Collection[str] = ()) -> Sequence:
    """Return the cutting sequence of a plan, following the hanging order as nearly as its layouts allow.

    ``opened`` names lots, of one roll each, that an earlier plan has opened; a plan with an order of its own has
    taken account of them.
    """
    walked = walk(plan, opened) if plan.order is None else Walk(plan, plan.order.moves)
    return _Writer(walked).sequence()


def sequence_as_laid_out(plan: Plan) -> Sequence:
    """Return the cutting sequence of a plan roll after roll, its rolls and the cuts along them left as they are."""
    moves = tuple(number for number, layout in enumerate(plan.layouts) for _ in layout.cuts)
    return _Writer(Walk(plan, moves)).sequence()


class _Writer:
    """Writes the steps of one walk; holds where each roll has been cut to."""

    def __init__(self, walked: Walk) -> None:
        self.plan = walked.plan
        self.moves = walked.moves
        self.pattern = self.plan.job.paper.pattern
        self.made = [0] * len(self.plan.layouts)
        self.used: Counter[str] = Counter()
        self.pieces: list[list[str]] = [[] for _ in self.plan.layouts]
        self.steps: list[Step] = []
        self.has_checked = self.pattern.is_free
        self.cut_by_top: dict[tuple[Length, Length, bool], str] = {}

    def sequence(self) -> Sequence:
        for index in self.moves:
            layout = self.plan.layouts[index]
            lot = self.plan.job.lot(layout.lot)
            if not self.made[index]:
                motif = self._within(lot.stretches[0].first_motif)
                self.steps.append(OpenRoll(self._number, *_labels(layout, lot), layout.count, lot, motif))
            self._make_cut(index, layout, lot)
        left = tuple(self._left(layout) for layout in self.plan.layouts)
        return Sequence(self.plan, tuple(self.steps), tuple(tuple(held) for held in self.pieces), left)

    @property
    def _number(self) -> int:
        return len(self.steps) + 1

    def _make_cut(self, index: int, layout: RollLayout, lot: Lot) -> None:
        roll, _ = _labels(layout, lot)
        cut = layout.cuts[self.made[index]]
        drop = self.plan.job.drop(cut.drop)
        motif = self._motif_along(lot, drop)
        self._come_to(layout, self.made[index], lot, motif)
        piece = cut.drop if layout.count > 1 else drop.piece_label(self.used[cut.drop] + 1)
        self.pieces[index].append(piece)
        is_turned = layout.count == 1 and drop.turns(self.used[cut.drop] + 1)
        edges = NO_EDGES if lot.is_offcut else self._trimmed(drop)
        self.steps.append(
            CutDrop(self._number, roll, cut.drop, piece, drop.cut_length, motif, lot.is_foot_first, is_turned, edges)
        )
        self.made[index] += 1
        self.used[cut.drop] += layout.count
        if not self.has_checked and not lot.is_offcut:
            self._check_match(roll, drop, piece)

    def _trimmed(self, drop: Drop) -> Edges:
        """Return what is trimmed off a drop at the table: selvedge, and on both edges what makes strips equal."""
        paper = self.plan.job.paper
        if paper.edge_trim is None or drop.left is None or drop.right is None or paper.roll_width is None:
            return paper.edges
        edges, beyond = paper.edges, paper.roll_width - drop.right
        return replace(edges, left=edges.left + drop.left, right=edges.right + beyond)

    def _come_to(self, layout: RollLayout, place: int, lot: Lot, motif: Length | None) -> None:
        """Add the steps that bring the roll's end to the cut at ``place``."""
        roll, _ = _labels(layout, lot)
        cut = layout.cuts[place]
        before = layout.cuts[place - 1] if place else None
        stretch = stretch_of(lot, cut)
        now = stretch_of(lot, before) if before is not None else 0
        for number in range(now, stretch):
            self.steps.append(self._next_stretch(roll, lot, number, before if number == now else None))
        is_lead_in = before is None or stretch > now
        begin = lot.stretches[stretch].start if is_lead_in or before is None else before.end
        length = None if is_lead_in and self._is_unknown(lot, stretch) else cut.start - begin
        if length != 0:
            self.steps.append(CutOff(self._number, roll, length, motif, is_lead_in=is_lead_in))

    def _next_stretch(self, roll: str, lot: Lot, number: int, before: Cut | None) -> NextStretch:
        """Return the step from stretch ``number``, counted from 0, to the one after it."""
        stretch, after = lot.stretches[number], lot.stretches[number + 1]
        end = stretch.start + stretch.length
        is_known = before is None or not self._is_unknown(lot, number)
        length = end - (stretch.start if before is None else before.end) if is_known else None
        return NextStretch(self._number, roll, number + 2, length, after.start - end)

    def _check_match(self, roll: str, drop: Drop, piece: str) -> None:
        """Add the check of the match as soon as two cut drops would meet along a joint, their tops level."""
        trim, is_along = drop.trim_top, drop.is_along
        left = self.cut_by_top.get((self.pattern.first_motif(-1, drop.first_motif), trim, is_along))
        right = self.cut_by_top.get((self.pattern.first_motif(1, drop.first_motif), trim, is_along))
        if left is not None:
            self.steps.append(CheckMatch(self._number, roll, left, piece, is_along))
        elif right is not None:
            self.steps.append(CheckMatch(self._number, roll, piece, right, is_along))
        self.has_checked = left is not None or right is not None
        self.cut_by_top.setdefault((self.pattern.within_repeat(drop.first_motif), trim, is_along), piece)

    def _left(self, layout: RollLayout) -> LeftOver:
        lot = self.plan.job.lot(layout.lot)
        stretches = range(len(lot.stretches))
        rests = tuple(self._rest(layout, lot, number) for number in stretches)
        is_at_least = any(self._is_unknown(lot, number) for number in stretches)
        return LeftOver(*_labels(layout, lot), layout.count, lot, lot.length - layout.end, is_at_least, rests)

    def _rest(self, layout: RollLayout, lot: Lot, number: int) -> Rest:
        """Return what is left of stretch ``number``, counted from 0."""
        stretch = lot.stretches[number]
        cuts = [cut for cut in layout.cuts if stretch_of(lot, cut) == number]
        if not cuts:
            return Rest(number + 1, stretch.length, self._within(stretch.first_motif))
        drop = self.plan.job.drop(cuts[-1].drop)
        left = stretch.start + stretch.length - cuts[-1].end
        return Rest(number + 1, left, None if self.pattern.is_free else motif_behind(self.pattern, lot, drop))

    def _is_unknown(self, lot: Lot, number: int) -> bool:
        return lot.stretches[number].first_motif is None and not self.pattern.is_free

    def _motif_along(self, lot: Lot, drop: Drop) -> Length | None:
        """Return how far the first motif lies from the end of ``drop`` that comes off ``lot`` first.

        None for a free match, and where the one point that a sheet goes by is on another part of it.
        """
        if self.pattern.is_free:
            return None
        motif = motif_along(self.pattern, lot, drop)
        return motif if lot.sheet is None or motif < drop.cut_length else None

    def _within(self, distance: Length | None) -> Length | None:
        """Return a distance down to the first motif within the repeat; None where there is none to find."""
        return None if distance is None or self.pattern.is_free else self.pattern.within_repeat(distance)


def stretch_of(lot: Lot, cut: Cut) -> int:
    """Return the number, from 0, of the stretch of ``lot`` in which ``cut`` lies."""
    begun = [number for number, stretch in enumerate(lot.stretches) if stretch.start <= cut.start]
    return begun[-1] if begun else 0


def _labels(layout: RollLayout, lot: Lot) -> tuple[str, str]:
    last = layout.first_number + layout.count - 1
    return lot.roll_label(layout.first_number), lot.roll_label(last)
