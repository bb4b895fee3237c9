"""A job: one paper, the rolls that may be cut, and the drops wanted from them."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from cutplan.errors import CutplanError

if TYPE_CHECKING:
    from cutplan.drops import Drop
    from cutplan.stock import Lot, Paper


@dataclass(frozen=True, slots=True)
class Job:
    """What a plan is made for.

    Attributes
    ----------
    paper
        The paper; its pattern rules where a drop may be cut.
    lots
        Rolls that may be cut. A lot with ``count`` None is bought as needed.
    drops
        Drops wanted, in hanging order. Labels are unique.

    """

    paper: Paper
    lots: tuple[Lot, ...]
    drops: tuple[Drop, ...]

    def __post_init__(self) -> None:
        for what, labels in (
            ("drop", [drop.label for drop in self.drops]),
            ("roll", [lot.label for lot in self.lots]),
        ):
            twice = (
                sorted({label for label in labels if labels.count(label) > 1})
                if len(set(labels)) < len(labels)
                else []
            )
            if twice:
                raise CutplanError(f"{what} label {twice[0]!r} is used more than once")
        if self.counts_cost and any(lot.price is None for lot in self.lots):
            raise CutplanError("price every roll or none: some rolls have a price and some have not")
        if not self.drops:
            raise CutplanError("a job needs at least one drop")
        if not self.lots:
            raise CutplanError("a job needs at least one roll, or a lot without count")

    @property
    def drop_count(self) -> int:
        """Number of pieces wanted, counting alike ones."""
        return sum(drop.count for drop in self.drops)

    @property
    def counts_cost(self) -> bool:
        """True when rolls differ in price, so that the least cost is wanted; else the fewest rolls."""
        return len({lot.price for lot in self.lots}) > 1

    @property
    def has_sealed_rolls(self) -> bool:
        """True when some roll's start is unknown, so that «certain» and «at best» differ."""
        return any(lot.is_sealed for lot in self.lots)

    def lot(self, label: str) -> Lot:
        """Return the lot with this label; KeyError when there is none."""
        return {lot.label: lot for lot in self.lots}[label]

    def drop(self, label: str) -> Drop:
        """Return the drop with this label; KeyError when there is none."""
        return {drop.label: drop for drop in self.drops}[label]

    def value_of(self, lot: Lot) -> Fraction:
        """Return what one roll of ``lot`` adds to the plan's value: 1, or its price where prices differ."""
        return Fraction(1) if lot.price is None or not self.counts_cost else lot.price
