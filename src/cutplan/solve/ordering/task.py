"""What is to be put in order: the pieces in hanging order, and the rolls that the plan opens."""

from __future__ import annotations

from collections import Counter
from math import ceil
from typing import Final, NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from cutplan.paper.stock import SHORT_ROLL
from cutplan.plan.order import Follow
from cutplan.plan.plan import Plan
from cutplan.plan.waiting import turns_of
from cutplan.solve.clock import Clock
from cutplan.solve.instance import Instance, RollType, ScaledJob, scale
from cutplan.solve.ordering.open_paper import OpenPaper
from cutplan.solve.search.certificate import paper_taken

NO_PIECE: Final = -1

_FEW: Final = 5
"""Drops of which no more than so many fit on a roll are counted apart."""

_MOST_WORTH: Final = 2**60
"""Prices that could add up to more are not used, so that no sum overflows."""


class RollsOpened(Struct, frozen=True):
    """Rolls of one type that the plan opens."""

    roll_type: int
    """Its number in the instance."""
    count: int
    """How many the plan opens."""
    lots: tuple[str, ...]
    """The lot of each, in the order in which they are taken."""
    is_offcut: bool
    """True for paper that counts as no roll."""
    waits_for: int
    """The piece whose cut-out this is, which must be hung first, so that it and all before it must be cut;
    :data:`NO_PIECE` for any other paper."""


class Move(NamedTuple):
    """One cut: the piece, and the roll by its place among all rolls in the order in which they are opened.

    ``rolls`` is the index of the task's rolls to which it belongs.
    """

    piece: int
    roll: int
    rolls: int


class Task(Struct, frozen=True):
    """A plan's pieces and rolls, in whole numbers; how its rolls are cut is forgotten."""

    scaled: ScaledJob
    """The job in whole numbers."""
    kind_of: tuple[int, ...]
    """Kind of each piece, in hanging order."""
    labels: tuple[str, ...]
    """Label of the drop that each piece is one of."""
    turns: tuple[int, ...]
    """Turn of each piece: see :func:`cutplan.plan.waiting.turns_of`."""
    rolls: tuple[RollsOpened, ...]
    """The rolls that may be cut."""
    prices: tuple[tuple[int, ...], ...]
    """Lists of prices, a price for each kind. By each list no roll can give more than it is worth, so a roll that has
    lost too much of its worth leaves too little for the other pieces."""

    @property
    def instance(self) -> Instance:
        """The job's kinds and roll types."""
        return self.scaled.instance

    def with_short_rolls(self) -> Task:
        """Return the task with every roll as short as it may be sold: its last stretch ends so much earlier."""
        types = (
            roll if index in self._offcuts else _shortened(roll) for index, roll in enumerate(self.instance.roll_types)
        )
        instance = replace(self.instance, roll_types=tuple(types))
        return replace(self, scaled=replace(self.scaled, instance=instance))

    @property
    def _offcuts(self) -> list[int]:
        return [rolls.roll_type for rolls in self.rolls if rolls.is_offcut]

    def paper(self, clock: Clock) -> OpenPaper:
        """Return the states of these rolls; raises TimeIsUp when ``clock`` ends."""
        return OpenPaper(self.instance, [rolls.roll_type for rolls in self.rolls], self._offcuts, self.prices, clock)


def task_of(plan: Plan, follow: Follow) -> Task:
    """Return what is to be put in order in ``plan``."""
    job = plan.job
    scaled = scale(job, certain=True)
    kinds = {label: kind for kind, labels in enumerate(scaled.drops_of) for label in labels}
    labels = tuple(drop.label for drop in job.drops for _ in range(drop.count))
    return Task(
        scaled=scaled,
        kind_of=tuple(kinds[label] for label in labels),
        labels=labels,
        turns=turns_of(job, follow),
        rolls=_rolls(plan, scaled, labels),
        prices=_prices(plan, scaled),
    )


def _shortened(roll: RollType) -> RollType:
    stretches = roll.stretches
    last = stretches[-1]
    missing = ceil(SHORT_ROLL * (last.start + last.length))
    if not roll.further:
        return replace(roll, length=max(0, roll.length - missing))
    further = (*roll.further[:-1], last._replace(length=max(0, last.length - missing)))
    return replace(roll, further=further)


def _rolls(plan: Plan, scaled: ScaledJob, labels: tuple[str, ...]) -> tuple[RollsOpened, ...]:
    opened = Counter[str]()
    for layout in plan.layouts:
        opened[layout.lot] += layout.count
    found = []
    for roll_type, lots in enumerate(scaled.lots_of):
        is_offcut = plan.job.lot(lots[0]).is_offcut
        ready: list[str] = []
        for lot in lots:
            source = plan.job.lot(lot).waits_for
            if source is None:
                ready += [lot] * opened[lot]
            elif opened[lot]:
                found.append(RollsOpened(roll_type, 1, (lot,), is_offcut, labels.index(source)))
        if ready:
            found.append(RollsOpened(roll_type, len(ready), tuple(ready), is_offcut, NO_PIECE))
    return tuple(found)


def _prices(plan: Plan, scaled: ScaledJob) -> tuple[tuple[int, ...], ...]:
    """Return the prices that prove the plan's bound, if any, and others by rule that may say more of the order."""
    instance = scaled.instance
    lengths = [kind.length for kind in instance.kinds]
    longest = instance.longest_span
    on_a_roll = [max(1, longest // length) for length in lengths]
    lists = [lengths, paper_taken(instance)]
    # Where few of the long drops fit on a roll, each roll must hold nearly as many as it can.
    lists += [[int(count <= few) for count in on_a_roll] for few in sorted(set(on_a_roll)) if few <= _FEW]
    if plan.proof.prices is not None:
        price_of = plan.proof.prices.drops
        lists.insert(0, [price_of.get(labels[0], 0) for labels in scaled.drops_of])
    pieces = plan.job.drop_count
    longest = max(sum(stretch.length for stretch in roll.stretches) for roll in instance.roll_types)
    most_drops = (longest // min(lengths) + 1) * (plan.rolls_needed + 1) + pieces
    unlike = dict.fromkeys(tuple(prices) for prices in lists)
    return tuple(prices for prices in unlike if max(prices) * most_drops < _MOST_WORTH)
