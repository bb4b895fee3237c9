"""A job in whole numbers: the only form in which the solver sees it.

Every length is a multiple of one unit, found exactly, so nothing here is ever rounded. Drops of the
same cut length and the same place in the print are one *kind* (the «item type» of the literature), rolls of
the same length, start and price one *roll type*. The number of kinds, not of drops, sets the cost.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from math import gcd, lcm
from typing import NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.lengths import Length
from cutplan.paper import stock


class DropKind(Struct, frozen=True):
    """Interchangeable drops."""

    phase: int
    """From the cut top edge down to a motif datum, in [0, repeat); 0 for a free match."""
    length: int
    """Cut length."""
    demand: int
    """How many are wanted."""


class RollStretch(NamedTuple):
    """Continuous paper within a roll: where it begins, its length, and its first datum from there, if measured."""

    start: int
    length: int
    datum: int | None


class RollType(Struct, frozen=True):
    """Interchangeable rolls."""

    length: int
    """Usable length of the first, or only, stretch."""
    datum: int | None
    """From the outer end down to the first motif datum; None when not measured."""
    supply: int | None
    """How many there are; None for as many as needed."""
    value: int
    """What opening one costs: 1, or its price in units of the instance's money; 0 for an offcut."""
    start: int = 0
    """From the outer end to where the first stretch begins."""
    further: tuple[RollStretch, ...] = ()
    """The other stretches of a roll with flaws or in pieces."""
    is_mirrored: bool = False
    """True when the roll comes off foot first."""
    holds: frozenset[int] | None = None
    """Kinds that the roll is wide enough for; None for every kind."""

    @property
    def stretches(self) -> tuple[RollStretch, ...]:
        """The roll's continuous stretches, from its outer end."""
        return (RollStretch(self.start, self.length, self.datum), *self.further)


class Instance(Struct, frozen=True):
    """What is to be laid out."""

    repeat: int
    """Period of the print; 0 for a free match."""
    lead_in: int
    """Paper set aside on a sealed roll because its start is unknown: one repeat when the layout must be certain, 0 when
    every roll is supposed to begin where its layout wants."""
    kinds: tuple[DropKind, ...]
    roll_types: tuple[RollType, ...]
    """Each pair (phase, length) and each triple (length, datum, value) occurs once. Kinds come in hanging order."""

    def span(self, stretch: RollStretch) -> int:
        """Return how much of a stretch cuts may take up, its own lead-in included if it is measured."""
        return stretch.length - (self.lead_in if stretch.datum is None else 0)

    def room_on(self, roll_type: RollType) -> int:
        """Return how much of a roll cuts may take up, on all its stretches together."""
        return sum(map(self.span, roll_type.stretches))

    @property
    def has_several_prices(self) -> bool:
        """True when rolls differ in price, besides those that cost nothing."""
        return len({roll_type.value for roll_type in self.roll_types} - {0}) > 1

    @property
    def longest_span(self) -> int:
        """How much cuts may take up of the stretch that gives the most."""
        return max(self.span(stretch) for roll in self.roll_types for stretch in roll.stretches)

    def phase_on(self, kind: int, roll_type: RollType) -> int:
        """Return the phase of a kind from the end of it that comes off a roll of this type first."""
        wanted = self.kinds[kind]
        return (wanted.length - wanted.phase) % self.repeat if roll_type.is_mirrored and self.repeat else wanted.phase

    def with_demands(self, demands: Iterable[int], supply: Iterable[int | None]) -> Instance:
        """Return the same instance with other numbers wanted and in stock; kinds and types keep their places."""
        kinds = (replace(kind, demand=demand) for kind, demand in zip(self.kinds, demands, strict=True))
        types = (replace(roll, supply=left) for roll, left in zip(self.roll_types, supply, strict=True))
        return replace(self, kinds=tuple(kinds), roll_types=tuple(types))


class ScaledJob(Struct, frozen=True):
    """An instance, and what its numbers stand for."""

    instance: Instance

    unit: Length
    """Millimetres in one unit of length."""
    money: Fraction
    """What one unit of value is worth: a roll, or an amount where rolls differ in price."""
    drops_of: tuple[tuple[str, ...], ...]
    """For each kind, the labels of its drops, in hanging order."""
    lots_of: tuple[tuple[str, ...], ...]
    """For each roll type, the labels of its lots, in the order listed."""


def scale(job: Job, *, certain: bool) -> ScaledJob:
    """Return ``job`` in whole numbers.

    ``certain`` asks for layouts that fit however sealed rolls begin; otherwise every sealed roll is supposed
    to begin where its layout wants.
    """
    alike = _drops_alike(job)
    sizes = [job.kind_of(drops[0].label) for drops in alike]
    unit = _common_measure([length for size in sizes for length in size] + _lengths_of_stock(job))
    repeat = _whole(job.paper.pattern.repeat, unit)
    kinds = tuple(
        DropKind(_whole(motif, unit), _whole(length, unit), sum(drop.count for drop in drops))
        for (motif, length), drops in zip(sizes, alike, strict=True)
    )
    drops_of = tuple(tuple(drop.label for drop in drops) for drops in alike)
    money = _common_measure([job.value_of(lot) for lot in job.all_lots])
    roll_types, lots_of = _roll_types(job, unit, money, drops_of)
    instance = Instance(repeat, repeat if certain else 0, kinds, roll_types)
    return ScaledJob(instance, unit, money, drops_of, lots_of)


def _lengths_of_stock(job: Job) -> list[Length]:
    lengths = [job.paper.pattern.repeat]
    for lot in job.all_lots:
        for stretch in lot.stretches:
            lengths += (stretch.start, stretch.length, stretch.first_motif or Fraction(0))
    return lengths


def _common_measure(amounts: list[Fraction]) -> Fraction:
    """Return the largest amount of which all ``amounts`` are whole multiples; 1 when all are zero."""
    ratios = {amount.as_integer_ratio() for amount in amounts}
    below = lcm(*(denominator for _, denominator in ratios))
    above = gcd(*(numerator * (below // denominator) for numerator, denominator in ratios))
    return Fraction(above or 1, below)


def _whole(length: Fraction, unit: Fraction) -> int:
    """Return how many units a length is, which must be a whole number; much sooner than by dividing fractions."""
    (above, below), (unit_above, unit_below) = length.as_integer_ratio(), unit.as_integer_ratio()
    return above * unit_below // (below * unit_above)


def _drops_alike(job: Job) -> list[list[Drop]]:
    """Return the drops of each length, place in the print, and lots that they may be cut from, in hanging order."""
    alike: dict[tuple[tuple[int, int], tuple[int, int], tuple[str, ...]], list[Drop]] = {}
    for drop in job.drops:
        motif, length = job.kind_of(drop.label)
        key = (motif.as_integer_ratio(), length.as_integer_ratio(), job.lots_for(drop))
        alike.setdefault(key, []).append(drop)
    return list(alike.values())


def _roll_types(
    job: Job, unit: Length, money: Fraction, drops_of: tuple[tuple[str, ...], ...]
) -> tuple[tuple[RollType, ...], tuple[tuple[str, ...], ...]]:
    lots_of: dict[RollType, list[str]] = {}
    supply: dict[RollType, int | None] = {}
    holds = _kinds_held(job, drops_of)
    for lot in job.all_lots:
        if holds.get(lot.label) == frozenset():
            continue
        first, *further = (_scaled(stretch, unit, is_free=job.paper.pattern.is_free) for stretch in lot.stretches)
        like = RollType(
            length=first.length,
            datum=first.datum,
            supply=None,
            value=_whole(job.value_of(lot), money),
            start=first.start,
            further=tuple(further),
            is_mirrored=lot.is_foot_first,
            holds=holds.get(lot.label),
        )
        lots_of.setdefault(like, []).append(lot.label)
        so_far = supply.get(like, 0)
        supply[like] = None if so_far is None or lot.count is None else so_far + lot.count
    types = tuple(replace(like, supply=supply[like]) for like in lots_of)
    return types, tuple(tuple(names) for names in lots_of.values())


def _scaled(stretch: stock.Stretch, unit: Length, *, is_free: bool) -> RollStretch:
    datum = 0 if is_free else None if stretch.first_motif is None else _whole(stretch.first_motif, unit)
    return RollStretch(_whole(stretch.start, unit), _whole(stretch.length, unit), datum)


def _kinds_held(job: Job, drops_of: tuple[tuple[str, ...], ...]) -> dict[str, frozenset[int]]:
    """Return the kinds that may be cut from each lot; a roll from which every kind may be cut is left out."""
    held: dict[str, set[int]] = {lot.label: set() for lot in job.all_lots}
    for kind, labels in enumerate(drops_of):
        for lot in job.lots_for(job.drop(labels[0])):
            held[lot].add(kind)
    whole = {lot.label for lot in job.rolls if len(held[lot.label]) == len(drops_of)}
    return {label: frozenset(kinds) for label, kinds in held.items() if label not in whole}
