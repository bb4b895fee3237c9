"""A job in whole numbers: the only form in which the solver sees it.

Every length is a multiple of one unit, found exactly, so nothing here is ever rounded. Drops of the
same cut length and the same place in the print are one *kind* (the «item type» of the literature), rolls of
the same length, start and price one *roll type*. The number of kinds, not of drops, sets the cost.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from math import gcd, lcm
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from cutplan.job import Job
    from cutplan.lengths import Length


@dataclass(frozen=True, slots=True)
class Kind:
    """Interchangeable drops.

    Attributes
    ----------
    phase
        From the cut top edge down to a motif datum, in [0, repeat); 0 for a free match.
    length
        Cut length.
    demand
        How many are wanted.

    """

    phase: int
    length: int
    demand: int


@dataclass(frozen=True, slots=True)
class RollType:
    """Interchangeable rolls.

    Attributes
    ----------
    length
        Usable length.
    datum
        From the outer end down to the first motif datum; None for a sealed roll.
    supply
        How many there are; None for as many as needed.
    value
        What opening one costs: 1, or its price in units of the instance's money.

    """

    length: int
    datum: int | None
    supply: int | None
    value: int


@dataclass(frozen=True, slots=True)
class Instance:
    """What is to be laid out.

    Attributes
    ----------
    repeat
        Period of the print; 0 for a free match.
    lead_in
        Paper set aside on a sealed roll because its start is unknown: one repeat when the layout must be
        certain, 0 when every roll is supposed to begin where its layout wants.
    kinds, roll_types
        Each pair (phase, length) and each triple (length, datum, value) occurs once. Kinds come in hanging order.

    """

    repeat: int
    lead_in: int
    kinds: tuple[Kind, ...]
    roll_types: tuple[RollType, ...]

    def span(self, roll_type: RollType) -> int:
        """Return the longest stretch of a roll that cuts may take up, its own lead-in included if measured."""
        return roll_type.length - (self.lead_in if roll_type.datum is None else 0)

    def with_demands(self, demands: Iterable[int], supply: Iterable[int | None]) -> Instance:
        """Return the same instance with other numbers wanted and in stock; kinds and types keep their places."""
        kinds = (replace(kind, demand=demand) for kind, demand in zip(self.kinds, demands, strict=True))
        types = (replace(roll, supply=left) for roll, left in zip(self.roll_types, supply, strict=True))
        return replace(self, kinds=tuple(kinds), roll_types=tuple(types))


@dataclass(frozen=True, slots=True)
class ScaledJob:
    """An instance, and what its numbers stand for.

    Attributes
    ----------
    unit
        Millimetres in one unit of length.
    money
        What one unit of value is worth: a roll, or an amount where rolls differ in price.
    drops_of
        For each kind, the labels of its drops, in hanging order.
    lots_of
        For each roll type, the labels of its lots, in the order listed.

    """

    instance: Instance
    unit: Length
    money: Fraction
    drops_of: tuple[tuple[str, ...], ...]
    lots_of: tuple[tuple[str, ...], ...]


def scale(job: Job, *, certain: bool) -> ScaledJob:
    """Return ``job`` in whole numbers.

    ``certain`` asks for layouts that fit however sealed rolls begin; otherwise every sealed roll is supposed
    to begin where its layout wants.
    """
    unit = _common_measure(_lengths_of(job))
    repeat = int(job.paper.pattern.repeat / unit)
    kinds, drops_of = _kinds(job, unit)
    money = _common_measure([job.value_of(lot) for lot in job.lots])
    roll_types, lots_of = _roll_types(job, unit, money)
    instance = Instance(repeat, repeat if certain else 0, kinds, roll_types)
    return ScaledJob(instance, unit, money, drops_of, lots_of)


def _lengths_of(job: Job) -> list[Length]:
    lengths = [job.paper.pattern.repeat]
    for drop in job.drops:
        lengths += (drop.cut_length, job.paper.pattern.within_repeat(drop.motif_below_cut))
    for lot in job.lots:
        lengths += (lot.length, lot.first_motif or Fraction(0))
    return lengths


def _common_measure(amounts: list[Fraction]) -> Fraction:
    """Return the largest amount of which all ``amounts`` are whole multiples; 1 when all are zero."""
    below = lcm(*(amount.denominator for amount in amounts))
    above = gcd(*(amount.numerator * (below // amount.denominator) for amount in amounts))
    return Fraction(above or 1, below)


def _kinds(job: Job, unit: Length) -> tuple[tuple[Kind, ...], tuple[tuple[str, ...], ...]]:
    pattern = job.paper.pattern
    labels: dict[tuple[int, int], list[str]] = {}
    demand: dict[tuple[int, int], int] = {}
    for drop in job.drops:
        key = (int(pattern.within_repeat(drop.motif_below_cut) / unit), int(drop.cut_length / unit))
        labels.setdefault(key, []).append(drop.label)
        demand[key] = demand.get(key, 0) + drop.count
    kinds = tuple(Kind(phase, length, count) for (phase, length), count in demand.items())
    return kinds, tuple(tuple(names) for names in labels.values())


def _roll_types(job: Job, unit: Length, money: Fraction) -> tuple[tuple[RollType, ...], tuple[tuple[str, ...], ...]]:
    labels: dict[tuple[int, int | None, int], list[str]] = {}
    supply: dict[tuple[int, int | None, int], int | None] = {}
    free = job.paper.pattern.is_free
    for lot in job.lots:
        datum = 0 if free else None if lot.first_motif is None else int(lot.first_motif / unit)
        key = (int(lot.length / unit), datum, int(job.value_of(lot) / money))
        labels.setdefault(key, []).append(lot.label)
        so_far = supply.get(key, 0)
        supply[key] = None if so_far is None or lot.count is None else so_far + lot.count
    types = tuple(RollType(length, datum, supply[key], value) for key in labels for length, datum, value in [key])
    return types, tuple(tuple(names) for names in labels.values())
