"""Plans and prices remembered by the pieces' names, so that they can be tried on a neighbouring placement."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain, repeat
from typing import TypeAlias

from cutplan.job.job import Job
from cutplan.lengths import Length
from cutplan.solve.instance import Instance, ScaledJob
from cutplan.solve.layout import Layout, places_of
from cutplan.solve.search.certificate import SCALE, Certificate
from cutplan.solve.search.greedy import Layouts

Name: TypeAlias = "tuple[int | str, ...]"
"""What a piece is called in every placement: its column, its kind, and which of these from the top.

A lot is called by its label; what falls out of a piece by that piece's name and its own number, from 0.
"""


@dataclass(frozen=True, slots=True)
class Remembered:
    """A plan by the names of its pieces, and the prices that bounded it.

    Attributes
    ----------
    rolls
        For each roll opened its lot and the pieces cut from it, in order.
    prices
        By piece, at the scale :data:`SCALE`.
    by_length
        One piece's price for each cut length: a guess for pieces that the plan has not.

    """

    rolls: tuple[tuple[Name, tuple[Name, ...]], ...]
    prices: dict[Name, int]
    by_length: dict[Length, int]


class Pieces:
    """The pieces and lots of one job by name, and by the kinds and roll types of its instance."""

    def __init__(self, job: Job, scaled: ScaledJob, names: Sequence[Name]) -> None:
        labels = (drop.label for drop in job.drops)
        of_drop = dict(zip(labels, names, strict=True))
        of_lot = _lots_named(job, of_drop)
        self.instance: Instance = scaled.instance
        self.unit = scaled.unit
        self.of_kind = [[of_drop[label] for label in labels] for labels in scaled.drops_of]
        self.kind_of = {name: kind for kind, named in enumerate(self.of_kind) for name in named}
        self.of_type = [[of_lot[label] for label in labels] for labels in scaled.lots_of]
        self.type_of = {name: number for number, named in enumerate(self.of_type) for name in named}

    def remember(self, layouts: Layouts, certificate: Certificate) -> Remembered:
        """Return a plan and its prices by the names of the pieces."""
        queues = [iter(named) for named in self.of_kind]
        lots = [chain(named, repeat(named[-1])) for named in self.of_type]
        rolls = tuple(
            (next(lots[layout.roll_type]), tuple(next(queues[kind]) for kind in layout.kinds))
            for layout, times in layouts.items()
            for _ in range(times)
        )
        scaled_prices = [price * SCALE // certificate.scale for price in certificate.prices]
        prices = {name: scaled_prices[kind] for name, kind in self.kind_of.items()}
        by_length = {
            kind.length * self.unit: price for kind, price in zip(self.instance.kinds, scaled_prices, strict=True)
        }
        return Remembered(rolls, prices, by_length)

    def prices(self, remembered: Remembered) -> list[int]:
        """Return a price for each kind: the mean of its pieces', or that of the piece nearest in length."""
        found = []
        for kind, named in zip(self.instance.kinds, self.of_kind, strict=True):
            prices = [remembered.prices[name] for name in named if name in remembered.prices]
            if not prices:
                length = kind.length * self.unit
                prices = [remembered.by_length[min(remembered.by_length, key=lambda other: abs(other - length))]]
            found.append(sum(prices) // len(prices))
        return found

    def reuse(self, remembered: Remembered) -> Layouts | None:
        """Return the plan for these pieces: what no longer fits goes where there is room, or on a new roll."""
        left = dict.fromkeys(self.kind_of)
        rolls: list[Layout] = []
        for lot, named in remembered.rolls:
            roll_type = self.type_of.get(lot)
            if roll_type is None:
                continue
            kept = [name for name in named if name in left]
            while kept and not self._fits(layout := self._layout(roll_type, kept)):
                kept.pop()
            if kept:
                rolls.append(layout)
            for name in kept:
                del left[name]
        for name in left:
            if not self._put(rolls, self.kind_of[name]):
                return None
        return dict(Counter(rolls)) if self._in_stock(rolls) else None

    def _layout(self, roll_type: int, named: Sequence[Name]) -> Layout:
        return Layout(roll_type, tuple(self.kind_of[name] for name in named))

    def _fits(self, layout: Layout) -> bool:
        held = self.instance.roll_types[layout.roll_type].holds
        return (held is None or held.issuperset(layout.kinds)) and places_of(self.instance, layout) is not None

    def _put(self, rolls: list[Layout], kind: int) -> bool:
        for index, roll in enumerate(rolls):
            for longer in _with(roll, kind):
                if self._fits(longer):
                    rolls[index] = longer
                    return True
        for number in range(len(self.instance.roll_types)):
            if self._fits(alone := Layout(number, (kind,))):
                rolls.append(alone)
                return True
        return False

    def _in_stock(self, rolls: Sequence[Layout]) -> bool:
        opened = Counter(roll.roll_type for roll in rolls)
        return all(
            roll_type.supply is None or opened[number] <= roll_type.supply
            for number, roll_type in enumerate(self.instance.roll_types)
        )


def _lots_named(job: Job, names: dict[str, Name]) -> dict[str, Name]:
    """Return the name of each lot by its label."""
    fallen: Counter[str] = Counter()
    found: dict[str, Name] = {}
    for lot in job.all_lots:
        if lot.cut_from is None:
            found[lot.label] = (lot.label,)
        else:
            found[lot.label] = (*names[lot.cut_from], fallen[lot.cut_from])
            fallen[lot.cut_from] += 1
    return found


def _with(roll: Layout, kind: int) -> Iterator[Layout]:
    """Yield a roll with one more piece, at its end first."""
    for place in range(len(roll.kinds), -1, -1):
        yield Layout(roll.roll_type, (*roll.kinds[:place], kind, *roll.kinds[place:]))
