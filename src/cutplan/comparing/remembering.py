"""Plans and prices remembered by the pieces' names, so that they can be tried on a neighbouring placement."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import cached_property
from itertools import chain, repeat
from typing import Final, TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from cutplan.job.job import Job
from cutplan.lengths import Length
from cutplan.solve.instance import DropKind, Instance, RollType, ScaledJob
from cutplan.solve.layout import Layout, places_of
from cutplan.solve.roll.choice import rolls_of
from cutplan.solve.roll.holding import Rolls
from cutplan.solve.search.certificate import Certificate, proved_by
from cutplan.solve.search.greedy import Layouts

Name: TypeAlias = "tuple[int | str, ...]"
"""What a piece is called in every placement: its column, its kind, and which of these from the top.

A lot is called by its label; what falls out of a piece by that piece's name and its own number, from 0.
"""


SHAVED: Final[Length] = Fraction(3)
"""How much is taken off both ends of pieces whose bound is to hold for neighbours too, in mm."""


class Remembered(Struct, frozen=True):
    """A plan by the names of its pieces, and the prices that bounded it."""

    rolls: tuple[tuple[Name, tuple[Name, ...]], ...]
    """For each roll opened its lot and the pieces cut from it, in order."""
    prices: dict[Name, int]
    """By piece, at the scale :data:`SCALE`."""
    by_length: dict[Length, int]
    """One piece's price for each cut length: a guess for pieces that the plan has not."""


class Tariff(Struct, frozen=True):
    """What pieces are worth so that no roll is worth more than it costs, and with them whatever holds one of them.

    A piece that holds another, print for print, can be cut wherever it can, so it counts as that one in a bound. (The
    «dual feasible functions» of the literature.)
    """

    unit: Length
    """Millimetres in one unit of length."""
    repeat: int
    """Period of the print."""
    rolls: tuple[RollType, ...]
    """The rolls of which that holds."""
    scale: int
    """What a roll may be worth for each unit of its value; ``premiums``, what rolls in hand may be worth more in
    all."""
    premiums: int
    pieces: tuple[tuple[int, int, int], ...]
    """What each is worth, its phase and its length, as of its kind; the dearest first."""

    def price(self, kind: DropKind) -> int:
        """Return what the dearest piece is worth that a drop of this kind holds; 0 for none."""
        repeat, begins, length = self.repeat, kind.phase, kind.length
        return next((price for price, phase, long in self.pieces if (begins - phase) % repeat + long <= length), 0)

    def bound(self, pieces: Pieces) -> int:
        """Return what no plan of these pieces is worth less than; 0 where rolls may be cut that are not known here.

        Nothing is counted for pieces that an offcut could hold.
        """
        instance, held = pieces.instance, set[int]()
        for roll in instance.roll_types:
            if roll.holds is not None and not roll.value:
                held |= roll.holds
            elif roll not in self.rolls:
                return 0
        if pieces.unit != self.unit:
            return 0
        free = (kind for number, kind in enumerate(instance.kinds) if number not in held)
        worth = sum(self.price(kind) * kind.demand for kind in free) - self.premiums
        return max(0, -(-worth // self.scale))


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

    def remember(self, layouts: Layouts, prices: Sequence[int]) -> Remembered:
        """Return a plan and the prices of its kinds, at the scale :data:`SCALE`, by the names of the pieces."""
        queues = [iter(named) for named in self.of_kind]
        lots = [chain(named, repeat(named[-1])) for named in self.of_type]
        rolls = tuple(
            (next(lots[layout.roll_type]), tuple(next(queues[kind]) for kind in layout.kinds))
            for layout, times in layouts.items()
            for _ in range(times)
        )
        by_name = {name: prices[kind] for name, kind in self.kind_of.items()}
        by_length = {kind.length * self.unit: price for kind, price in zip(self.instance.kinds, prices, strict=True)}
        return Remembered(rolls, by_name, by_length)

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

    def proved_by(self, prices: Sequence[int]) -> Certificate:
        """Return what prices of the kinds, at the scale :data:`SCALE`, prove."""
        return proved_by(self.instance, self._rolls, prices)

    def tariff_of(self, prices: Sequence[int]) -> tuple[int, Tariff] | None:
        """Return prices as they hold for pieces a little shorter at both ends, and the bound that they prove.

        So the neighbours' pieces hold them. None where a piece is too short for that, or some roll too narrow for a
        piece, since it may not be for a neighbour's; and for a free match, where prices hold for so many pieces only.
        """
        if self._shaved is None:
            return None
        instance, rolls = self._shaved
        certificate = proved_by(instance, rolls, prices)
        in_hand = zip(certificate.premiums, instance.roll_types, strict=True)
        priced = zip(certificate.prices, instance.kinds, strict=True)
        return certificate.whole_bound, Tariff(
            self.unit,
            instance.repeat,
            instance.roll_types,
            certificate.scale,
            sum(premium * (roll.supply or 0) for premium, roll in in_hand),
            tuple(sorted(((price, kind.phase, kind.length) for price, kind in priced if price), reverse=True)),
        )

    @cached_property
    def _rolls(self) -> Rolls:
        return rolls_of(self.instance)

    @cached_property
    def _shaved(self) -> tuple[Instance, Rolls] | None:
        off, whole = int(SHAVED / self.unit), self.instance
        is_wide = all(roll.holds is None for roll in whole.roll_types)
        if not whole.repeat or not is_wide or min(kind.length for kind in whole.kinds) <= 2 * off:
            return None
        kinds = (
            replace(kind, phase=(kind.phase - off) % whole.repeat, length=kind.length - 2 * off) for kind in whole.kinds
        )
        shaved = replace(whole, kinds=tuple(kinds))
        return shaved, rolls_of(shaved)

    def reuse(self, remembered: Remembered) -> Layouts | None:
        """Return the plan for these pieces: what no longer fits goes where there is room, or on a new roll."""
        left = dict.fromkeys(self.kind_of)
        rolls: list[Layout] = []
        for lot, named in remembered.rolls:
            roll_type = self.type_of.get(lot)
            if roll_type is None:
                continue
            kept = [name for name in named if name in left]
            while kept and not self._fits(layout := Layout(roll_type, tuple(map(self.kind_of.__getitem__, kept)))):
                kept.pop()
            if kept:
                rolls.append(layout)
            for name in kept:
                del left[name]
        for name in left:
            if not self._put(rolls, self.kind_of[name]):
                return None
        return dict(Counter(rolls)) if self._in_stock(rolls) else None

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
