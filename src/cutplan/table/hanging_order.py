"""The order of cutting: drops come off the table as nearly in hanging order as the layouts allow.

Which rolls hold which **kinds** of drop is the plan's business and stays as it is. What is free is which of
several drops alike gets which cut, the order along a roll where another order is no longer, and the order
in which rolls are taken; no more than :data:`USUAL_OPEN_ROLLS` rolls are ever open at once. Offcuts are no rolls:
they lie ready from the start; a cut-out does from when its drop can be hung, that drop and all before it being cut. The
work grows with the number of layouts, not of pieces.
"""

from __future__ import annotations

from collections import Counter, defaultdict, deque
from collections.abc import Collection, Iterable
from heapq import heapify, heappop, heappush, heapreplace
from typing import Final, TypeAlias

from msgspec import Struct, field
from msgspec.structs import replace

from cutplan.job.job import Job
from cutplan.lengths import ZERO, Length
from cutplan.plan.order import USUAL_OPEN_ROLLS
from cutplan.plan.plan import Cut, Plan, RollLayout

_MOST_REORDERED: Final = 6
"""Cuts of a patterned roll whose orders are all looked at (6 cuts have 720); longer layouts keep theirs."""

Kind: TypeAlias = int
"""Number, from 0, of a cut length with a first motif below the cut top and a batch: drops alike trade places."""


class Walk(Struct, frozen=True):
    """A plan in hanging order, and the order in which its cuts are made."""

    plan: Plan
    """The same plan with drops alike traded, layouts in the order in which their rolls are opened, and rolls numbered
    within their lots in that order."""
    moves: tuple[int, ...]
    """Indices into ``plan.layouts``: each move makes the next cut of that layout. A layout of several rolls has all its
    moves together."""


def walk(plan: Plan, opened: Collection[str] = ()) -> Walk:
    """Return ``plan`` in hanging order with its moves, at each moment cutting the earliest drop within reach.

    Within reach are the next cuts of the open rolls and, while fewer than :data:`USUAL_OPEN_ROLLS` are open, the
    first cuts of the others. ``opened`` names lots, of one roll each, that were open before: they are within reach
    from the first and not counted.

    Rolls, kinds cut from each roll, value and proof stay the same, and no roll is used up further. A plan already in
    hanging order comes back equal.
    """
    return _Walker(plan, opened).walk()


class _Roll(Struct):
    """One layout on its way to the table: what is still to be cut from it, and what has been."""

    layout: RollLayout
    remaining: tuple[Kind, ...]
    spare: Length
    """Match loss that the layout has not used yet: no order may lose more."""
    is_fixed: bool
    """The order along it is that of the layout: nobody looks for another."""
    is_block: bool
    """Cut all at once and as it is: several rolls alike, or an offcut."""
    drops: list[str] = field(default_factory=list)
    last: Kind | None = None
    """What was cut last; None before the first cut."""


class _Walker:
    def __init__(self, plan: Plan, opened: Collection[str]) -> None:
        self.plan = plan
        self.job: Job = plan.job
        self.pattern = plan.job.paper.pattern
        self.rank = {drop.label: rank for rank, drop in enumerate(self.job.drops)}
        self.sorts: list[tuple[Length, Length]] = []
        self.kinds = self._kinds_of_drops()
        self.losses: dict[tuple[Kind, Kind], Length] = {}
        self.least_losses: dict[tuple[Kind, tuple[Kind, ...]], Length] = {}
        self.rolls = [self._roll(layout) for layout in plan.layouts]
        self.begun = {index for index, roll in enumerate(self.rolls) if roll.layout.lot in opened and not roll.is_block}
        self.waiting = self._wanted()
        blocks = [index for index, roll in enumerate(self.rolls) if roll.is_block]
        self.blocks = deque(sorted((index for index in blocks if not self._is_offcut(index)), key=self._block_rank))
        self.ready: list[tuple[int, int]] = []
        self.awaiting: defaultdict[int, list[int]] = defaultdict(list)
        self.uncut = [drop.count for drop in self.job.drops]
        self.upcoming = 0
        self._lay_out_offcuts(index for index in blocks if self._is_offcut(index))
        self._offer_cut_outs()
        self.beginning = self._by_first_kind()
        self.heads = [(self._next_rank(kind), kind) for kind in self.beginning]
        heapify(self.heads)
        self.opened: list[int] = []
        self.open = sorted(self.begun)
        self.moves: list[int] = []

    def walk(self) -> Walk:
        while True:
            cut = self._next_of_open()
            opening = block = None
            if sum(index not in self.begun for index in self.open) < USUAL_OPEN_ROLLS:
                opening = self._next_to_open()
                block = self._block_rank(self.blocks[0]) if self.blocks else None
            offcut = self.ready[0][0] if self.ready else None
            ranks = [cut and cut[0], opening and opening[0], block, offcut]
            earliest = min((rank for rank in ranks if rank is not None), default=None)
            if earliest is None:
                return self._finished()
            if cut is not None and cut[0] == earliest:
                self._cut(*cut[1:])
            elif offcut == earliest:
                self._cut_block(heappop(self.ready)[1])
            elif opening is not None and opening[0] == earliest:
                self._open(opening[1])
            else:
                self._cut_block(self.blocks.popleft())

    # What is within reach

    def _next_of_open(self) -> tuple[int, int, Kind] | None:
        """Return (rank, roll, kind) of the earliest drop that an open roll can give next."""
        reach = [
            (self._next_rank(kind), place, kind)
            for place, index in enumerate(self.open)
            for kind in self._next_kinds(self.rolls[index])
        ]
        if not reach:
            return None
        rank, place, kind = min(reach)
        return rank, self.open[place], kind

    def _next_to_open(self) -> tuple[int, Kind] | None:
        """Return (rank, kind) of the earliest drop with which an unopened roll can begin."""
        while self.heads:
            rank, kind = self.heads[0]
            if not any(self._unopened(indices) for indices in self.beginning[kind].values()):
                heappop(self.heads)
            elif rank != self._next_rank(kind):
                heapreplace(self.heads, (self._next_rank(kind), kind))
            else:
                return rank, kind
        return None

    def _unopened(self, indices: deque[int]) -> bool:
        while indices and self.rolls[indices[0]].drops:
            indices.popleft()
        return bool(indices)

    def _next_rank(self, kind: Kind) -> int:
        return self.waiting[kind][0]

    def _block_rank(self, index: int) -> int:
        return min(self.rank[cut.drop] for cut in self.rolls[index].layout.cuts)

    def _is_offcut(self, index: int) -> bool:
        return self.job.lot(self.rolls[index].layout.lot).is_offcut

    def _next_kinds(self, roll: _Roll) -> Iterable[Kind]:
        """Return the kinds that may be cut next without the roll being used up further in the end."""
        if not roll.remaining:
            return ()
        if roll.is_fixed:
            return roll.remaining[:1]
        kinds = dict.fromkeys(roll.remaining)
        return [
            kind
            for kind in kinds
            if self._loss_on(roll, kind) + self._least_loss(kind, _without(roll.remaining, kind)) <= roll.spare
        ]

    # What is done

    def _open(self, kind: Kind) -> None:
        """Open, of the rolls that can begin with ``kind``, the one whose other drops are wanted soonest."""
        groups = self.beginning[kind]
        for exhausted in [held for held, indices in groups.items() if not self._unopened(indices)]:
            del groups[exhausted]
        soonest = min(groups, key=self._ranks_of)
        index = groups[soonest][0]
        self.open.append(index)
        self._cut(index, kind)

    def _ranks_of(self, held: tuple[Kind, ...]) -> list[int]:
        """Return, in order, the ranks that the drops of a roll would have, and a last one beyond all."""
        counts = Counter(held)
        ranks = [self.waiting[kind][place] for kind, count in counts.items() for place in range(count)]
        return [*sorted(ranks), len(self.rank)]

    def _cut(self, index: int, kind: Kind) -> None:
        roll = self.rolls[index]
        if not roll.drops:
            self.opened.append(index)
        label = self.job.drops[self.waiting[kind].popleft()].label
        roll.drops.append(label)
        self.uncut[self.rank[label]] -= 1
        self._offer_cut_outs()
        roll.spare -= self._loss_on(roll, kind)
        roll.last = kind
        roll.remaining = _without(roll.remaining, kind)
        self.moves.append(index)
        if not roll.remaining:
            self.open.remove(index)

    def _cut_block(self, index: int) -> None:
        roll = self.rolls[index]
        roll.drops = [cut.drop for cut in roll.layout.cuts]
        self.opened.append(index)
        self.moves.extend([index] * len(roll.drops))
        for label in roll.drops:
            self.uncut[self.rank[label]] -= roll.layout.count
        self._offer_cut_outs()

    def _offer_cut_outs(self) -> None:
        """Put at hand the cut-outs of drops that can be hung: they and all before them are cut."""
        while self.upcoming < len(self.uncut) and not self.uncut[self.upcoming]:
            for index in self.awaiting.pop(self.upcoming, ()):
                heappush(self.ready, (self._block_rank(index), index))
            self.upcoming += 1

    def _finished(self) -> Walk:
        place = {index: place for place, index in enumerate(self.opened)}
        numbers: Counter[str] = Counter()
        layouts = []
        for index in self.opened:
            layout = self._relabelled(self.rolls[index])
            layouts.append(replace(layout, first_number=numbers[layout.lot] + 1))
            numbers[layout.lot] += layout.count
        ordered = replace(self.plan, layouts=tuple(layouts), order=None)
        return Walk(ordered, tuple(place[index] for index in self.moves))

    def _relabelled(self, roll: _Roll) -> RollLayout:
        layout = roll.layout
        if [self.kinds[label] for label in roll.drops] == [self.kinds[cut.drop] for cut in layout.cuts]:
            cuts = [replace(cut, drop=label) for cut, label in zip(layout.cuts, roll.drops, strict=True)]
            return replace(layout, cuts=tuple(cuts))
        cuts = []
        place = self._beginning_of(layout)
        last = None
        for label in roll.drops:
            kind = self.kinds[label]
            start = place + (self._lead_in(layout, kind) if last is None else self._loss(last, kind))
            place, last = start + self.sorts[kind][1], kind
            cuts.append(Cut(label, start, place))
        return replace(layout, cuts=tuple(cuts))

    # The print along one roll

    def _loss_on(self, roll: _Roll, kind: Kind) -> Length:
        return self._lead_in(roll.layout, kind) if roll.last is None else self._loss(roll.last, kind)

    def _lead_in(self, layout: RollLayout, kind: Kind) -> Length:
        """Return what is cut off before the first drop; 0 on a sealed roll, where it is no layout's doing."""
        first_motif = self.job.lot(layout.lot).first_motif
        return ZERO if first_motif is None else self.pattern.within_repeat(first_motif - self.sorts[kind][0])

    def _loss(self, last: Kind, kind: Kind) -> Length:
        """Return the match loss between a drop of kind ``last`` and one of ``kind`` below it."""
        known = self.losses.get((last, kind))
        if known is None:
            motif, length = self.sorts[last]
            known = self.losses[last, kind] = self.pattern.within_repeat(motif - length - self.sorts[kind][0])
        return known

    def _least_loss(self, last: Kind, remaining: tuple[Kind, ...]) -> Length:
        """Return the least match loss after ``last`` over all orders of ``remaining``."""
        if not remaining or self.pattern.is_free:
            return ZERO
        known = self.least_losses.get((last, remaining))
        if known is None:
            known = self.least_losses[last, remaining] = min(
                self._loss(last, kind) + self._least_loss(kind, _without(remaining, kind))
                for kind in dict.fromkeys(remaining)
            )
        return known

    # Setting out

    def _roll(self, layout: RollLayout) -> _Roll:
        kinds = tuple(self.kinds[cut.drop] for cut in layout.cuts)
        spare = layout.end - self._beginning_of(layout) - sum((self.sorts[kind][1] for kind in kinds), ZERO)
        lot = self.job.lot(layout.lot)
        is_block = layout.count > 1 or lot.is_offcut
        is_fixed = is_block or bool(lot.parts) or lot.is_foot_first
        is_fixed = is_fixed or (not self.pattern.is_free and len(kinds) > _MOST_REORDERED)
        roll = _Roll(layout, kinds if is_fixed else tuple(sorted(kinds)), spare, is_fixed, is_block)
        if not is_fixed and not self._next_kinds(roll):
            roll.is_fixed, roll.remaining = True, kinds
        return roll

    def _beginning_of(self, layout: RollLayout) -> Length:
        """Return where cutting begins: at the roll's end, or at the worst lead-in of a sealed roll."""
        return layout.cuts[0].start if self.job.lot(layout.lot).is_sealed else ZERO

    def _lay_out_offcuts(self, indices: Iterable[int]) -> None:
        """Put offcuts at hand, or with the drop whose cut-out they are, where that drop is still to be cut."""
        for index in indices:
            source = self.job.lot(self.rolls[index].layout.lot).waits_for
            if source in self.rank and self.uncut[self.rank[source]]:
                self.awaiting[self.rank[source]].append(index)
            else:
                heappush(self.ready, (self._block_rank(index), index))

    def _kinds_of_drops(self) -> dict[str, Kind]:
        numbers: dict[tuple[Length, Length, str | None, int | None], Kind] = {}
        kinds = {}
        for drop in self.job.drops:
            sort = *self.job.kind_of(drop.label), drop.batch, drop.sheet
            if sort not in numbers:
                numbers[sort] = len(numbers)
                self.sorts.append(self.job.kind_of(drop.label))
            kinds[drop.label] = numbers[sort]
        return kinds

    def _wanted(self) -> dict[Kind, deque[int]]:
        """Return, by kind, the ranks of the drops on single rolls: those may trade places."""
        ranks: defaultdict[Kind, list[int]] = defaultdict(list)
        for roll in self.rolls:
            if not roll.is_block:
                for cut in roll.layout.cuts:
                    ranks[self.kinds[cut.drop]].append(self.rank[cut.drop])
        return {kind: deque(sorted(held)) for kind, held in ranks.items()}

    def _by_first_kind(self) -> dict[Kind, dict[tuple[Kind, ...], deque[int]]]:
        """Return, by the kind that can be cut first and the kinds held, the single rolls in plan order."""
        found: defaultdict[Kind, defaultdict[tuple[Kind, ...], deque[int]]]
        found = defaultdict(lambda: defaultdict(deque))
        for index, roll in enumerate(self.rolls):
            if not roll.is_block and index not in self.begun:
                held = tuple(sorted(roll.remaining))
                for kind in self._next_kinds(roll):
                    found[kind][held].append(index)
        return {kind: dict(groups) for kind, groups in found.items()}


def _without(kinds: tuple[Kind, ...], kind: Kind) -> tuple[Kind, ...]:
    place = kinds.index(kind)
    return kinds[:place] + kinds[place + 1 :]
