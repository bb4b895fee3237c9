"""What is wanted of rolls still to be bought: the drops, less what the paper in hand gives."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING

from cutplan.paper.stock import Lot
from cutplan.solve.instance import RollType, scale

if TYPE_CHECKING:
    from cutplan.job.drops import Drop
    from cutplan.job.job import Job
    from cutplan.lengths import Length
    from cutplan.solve.instance import Instance, ScaledJob


@dataclass(frozen=True, slots=True)
class Size:
    """A size in which the paper is sold.

    Attributes
    ----------
    length
        Of one roll, as marked.
    price
        Of one roll; None when not known.

    """

    length: Length
    price: Fraction | None = None


@dataclass(frozen=True)
class Need:
    """A job for which sealed rolls of one size are to be bought.

    Attributes
    ----------
    job
        The job as stated. Rolls and offcuts listed by number are in hand; a lot without a number is none.
    size
        The size to be bought.

    """

    job: Job
    size: Size

    @cached_property
    def in_hand(self) -> tuple[Lot, ...]:
        """Rolls and offcuts that need not be bought."""
        return tuple(lot for lot in self.job.lots if lot.count is not None)

    @property
    def rolls_in_hand(self) -> int:
        """Number of rolls in hand, open or sealed; offcuts are none."""
        return sum(lot.count or 0 for lot in self.in_hand if not lot.is_offcut)

    @property
    def has_rolls_in_hand(self) -> bool:
        """True when some of the rolls need not be bought."""
        return self.rolls_in_hand > 0

    @cached_property
    def label(self) -> str:
        """What the rolls to be bought are called: unlike anything in hand or to come."""
        taken = {lot.label for lot in (*self.in_hand, *self.job.offcuts)}
        label = "roll"
        while label in taken or any(other.startswith(f"{label}-") for other in taken):
            label = f"new {label}"
        return label

    @cached_property
    def to_buy(self) -> Job:
        """The job whose least value is the number of rolls to buy: paper in hand costs nothing."""
        if not self.has_rolls_in_hand:
            return replace(self.job, lots=(*self.in_hand, Lot(self.label, self.size.length, count=None)))
        in_hand = (replace(lot, price=Fraction(0)) for lot in self.in_hand)
        return replace(self.job, lots=(*in_hand, Lot(self.label, self.size.length, count=None, price=Fraction(1))))

    @cached_property
    def scaled(self) -> ScaledJob:
        """The job to buy for, in whole numbers."""
        return scale(self.to_buy, certain=True)

    @property
    def length(self) -> int:
        """Length of a roll to be bought, in the unit of ``scaled``."""
        return int(self.size.length / self.scaled.unit)

    @property
    def sealed_in_hand(self) -> int:
        """Rolls in hand that are sealed and of the size to be bought: they may begin anywhere, like new ones."""
        return sum(roll.supply or 0 for roll in self.scaled.instance.roll_types if self._is_like_new(roll))

    @cached_property
    def of_known_paper(self) -> Instance:
        """The drops with the paper in hand whose worth is known, or taken for certain: all but rolls like new ones."""
        instance = self.scaled.instance
        return replace(instance, roll_types=tuple(roll for roll in instance.roll_types if not self._is_like_new(roll)))

    def _is_like_new(self, roll: RollType) -> bool:
        """Return True for rolls to be bought, and for sealed ones in hand of the same size."""
        like = RollType(self.length, None, roll.supply, roll.value)
        return roll == like

    def with_length(self, length: Length) -> Need:
        """Return the same need for rolls of another length; sealed rolls in hand are as long as they are marked."""
        return replace(self, size=replace(self.size, length=length))

    def with_drops(self, drops: tuple[Drop, ...]) -> Need:
        """Return the same need for other drops."""
        return replace(self, job=replace(self.job, drops=drops))
