"""The proof of a lower bound, verified: are the prices fair, and what bound do they prove.

Prices p of drops and premiums u of lots of limited number, in units of 1/scale, are fair when on every roll
the drops that can lie together are worth at most scale × value of the roll + premium of its lot. Then every
plan has a value of at least (Σ count × p − Σ count × u) / scale: weak duality of the programme of Gilmore
and Gomory, "A linear programming approach to the cutting-stock problem", Operations Research 9 (1961)
849–859.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction
from functools import reduce
from math import ceil, floor, gcd, lcm
from typing import TypeAlias

from msgspec.structs import replace

from cutplan.check.proof.worth import (
    PlacesOnRoll,
    PricedDrop,
    Steps,
    TooLongToFollowError,
    places_on_roll,
    worth_of_free,
)
from cutplan.check.report import Report, Violation, counted, exact_text
from cutplan.check.roll_rules.what_fits_where import StockLot, Stretch, WantedDrop
from cutplan.check.stated.document import ListedPrices, ListedProof
from cutplan.check.stated.echo import Wanted


def judge_proof(wanted: Wanted, proof: ListedProof | None, subject: str, *, at_best: bool) -> Report:
    """Judge one proof, called ``subject``, if it is given; ``at_best`` lets sealed rolls begin where they like.

    Unless it is wrong, the report has one sentence on what it shows, or on who vouches for its bound.
    """
    if proof is None:
        return Report()
    violations: list[Violation] = []
    proved, is_followed = Fraction(0), True
    if proof.prices is not None:
        violations += labels_rule(wanted, proof.prices, subject)
        try:
            violations += fair_prices_rule(wanted, proof.prices, subject, at_best=at_best)
        except TooLongToFollowError:
            is_followed = False
        proved = bound_of_prices(wanted, proof.prices)
    violations += bound_rule(wanted, proof, proved, subject)
    if violations:
        return Report(tuple(violations))
    bound = f"{subject}: the bound of {figure(wanted, proof.bound)}"
    if not is_followed:
        return Report(searched=(f"{bound} has a proof that is too long to be followed here",))
    if proof.by == "search" and proof.bound > proved:
        return Report(searched=(f"{bound} is the word of a search; prices prove {figure(wanted, proved)}",))
    return Report((), (_fact(wanted, proof, proved, subject),))


def labels_rule(wanted: Wanted, prices: ListedPrices, subject: str) -> Iterator[Violation]:
    """Require prices to name drops that are wanted, and premiums to name lots of limited number."""
    for label in prices.drops:
        if label not in wanted.drops:
            yield Violation("prices", subject, f"there is a price for drop {label}, which is not in the scenario")
    for label, premium in prices.premiums.items():
        if label not in wanted.lots:
            yield Violation("prices", subject, f"there is a premium for lot {label}, which is not in the stock")
        elif premium and wanted.lots[label].count is None:
            message = f"lot {label} has no limit, so it can have no premium; it has {premium}"
            yield Violation("prices", subject, message, Fraction(premium))


def fair_prices_rule(
    wanted: Wanted,
    prices: ListedPrices,
    subject: str,
    *,
    at_best: bool,
    costs_nothing: bool = False,
    lots: Iterable[StockLot] | None = None,
) -> Iterator[Violation]:
    """Require that no drops worth more than the prices allow can lie together on a roll, priced as it is or free.

    ``lots`` are those that the prices are for; None for all.
    """
    rolls = PricedRolls(wanted, prices.drops)
    known: dict[tuple[Fraction | StockLot, ...], int] = {}
    for lot in wanted.lots.values() if lots is None else lots:
        value = Fraction(0) if costs_nothing else wanted.value_of(lot)
        allowed = prices.scale * value + prices.premiums.get(lot.label, 0)
        alike = replace(lot, label="", count=None, price=None), allowed
        if alike not in known:
            known[alike] = rolls.most_worth(lot, floor(allowed), at_best=at_best)
        if known[alike] > allowed:
            message = (
                f"drops worth {known[alike]} can lie together on a roll of lot {lot.label}, "
                f"the prices allow {exact_text(allowed)}"
            )
            yield Violation("prices", subject, message, known[alike] - allowed)


_Alike: TypeAlias = tuple[bool, bool, str, bool, int | None, tuple[str, ...]]
"""What paper must have in common so that the same drops may be cut from it."""


class PricedRolls:
    """Every priced drop in whole numbers of one unit, ready to be laid on any roll."""

    def __init__(self, wanted: Wanted, prices: Mapping[str, int]) -> None:
        self._wanted, self._prices = wanted, prices
        self._repeat = wanted.match.repeat
        self._steps = Steps()
        self._unit = _finest([self._repeat, *_measures(wanted)])
        self._ranks = {label: rank for rank, label in enumerate(wanted.drops)}
        self._narrow = [drop for drop in wanted.drops.values() if drop.left is not None]
        self._known: dict[_Alike, tuple[list[PricedDrop], PlacesOnRoll | None]] = {}

    def most_worth(self, lot: StockLot, enough: int, *, at_best: bool) -> int:
        """Return the most that drops lying together on a roll are worth, if that is more than ``enough``.

        A layout of a stretch whose print is not known spans at most its length less one repeat, so that it fits
        however the print begins; ``at_best`` it may span all of it. Stretches of one roll add up.
        """
        if len(lot.stretches) == 1:
            return self._worth_on(lot, lot.stretches[0], enough, at_best=at_best)
        return sum(self._worth_on(lot, stretch, 0, at_best=at_best) for stretch in lot.stretches)

    def _worth_on(self, lot: StockLot, stretch: Stretch, enough: int, *, at_best: bool) -> int:
        drops, places = self._drops_for(lot)
        whole = stretch.end - stretch.start
        length = floor((whole - self._repeat if stretch.datum is None and not at_best else whole) * self._unit)
        if places is None:
            return worth_of_free(drops, length, enough, self._steps)
        if stretch.datum is None:
            return places.worth_anywhere(length, enough, self._steps)
        return places.worth_from(int((stretch.start - stretch.datum) % self._repeat * self._unit), length, self._steps)

    def _drops_for(self, lot: StockLot) -> tuple[list[PricedDrop], PlacesOnRoll | None]:
        """Return the drops that may be cut from a lot, with their places on it."""
        labels = tuple(self._labels_for(lot)) if lot.is_offcut else ()
        key = lot.is_foot_first, lot.is_offcut, lot.batch, lot.is_foreign, lot.sheet, labels
        if key not in self._known:
            wanted = self._wanted.drops
            held = [wanted[label] for label in labels] if lot.is_offcut else filter(lot.may_give, wanted.values())
            drops = [self._priced(lot, drop) for drop in held]
            places = places_on_roll(drops, int(self._repeat * self._unit)) if self._repeat else None
            self._known[key] = drops, places
        return self._known[key]

    def _labels_for(self, offcut: StockLot) -> Iterator[str]:
        """Yield the drops that may be cut from an offcut: those after the one it waits for, wide and long enough.

        Whether a drop fits however the print begins, where that is not known, its place there tells.
        """
        there = -1 if offcut.waits_for is None else self._ranks.get(offcut.waits_for, len(self._ranks))
        for drop in self._wanted.drops.values() if offcut.left is None else self._narrow:
            is_there = self._ranks[drop.label] > there
            if is_there and offcut.can_hold(drop, self._repeat, at_best=True) and offcut.may_give(drop):
                yield drop.label

    def _priced(self, lot: StockLot, drop: WantedDrop) -> PricedDrop:
        repeat, unit = self._repeat, self._unit
        place = int(-lot.datum_of(drop) % repeat * unit) if repeat else 0
        return PricedDrop(int(drop.cut_length * unit), place, self._prices.get(drop.label, 0), drop.count)


def bound_of_prices(wanted: Wanted, prices: ListedPrices) -> Fraction:
    """Return the bound that fair prices prove, rounded up to a value that whole rolls can add up to."""
    worth = sum(drop.count * prices.drops.get(drop.label, 0) for drop in wanted.drops.values())
    premiums = sum((lot.count or 0) * prices.premiums.get(lot.label, 0) for lot in wanted.lots.values())
    step = step_of(wanted, wanted.rolls)
    exact = Fraction(worth - premiums, prices.scale)
    return max(ceil(exact / step) * step, Fraction(0)) if step else max(exact, Fraction(0))


def step_of(wanted: Wanted, rolls: Iterable[StockLot]) -> Fraction:
    """Return the largest amount of which every value of these rolls is a multiple."""
    values = [wanted.value_of(lot) for lot in rolls]
    unit = _finest(values)
    return Fraction(reduce(gcd, (int(value * unit) for value in values), 0), unit)


def bound_rule(wanted: Wanted, proof: ListedProof, proved: Fraction, subject: str) -> Iterator[Violation]:
    """Require the bound to be no more than the prices prove, unless a search is said to have closed it."""
    claimed = proof.bound
    if proof.by == "prices" and proof.prices is None:
        yield Violation("bound", subject, "prices are said to prove it, and none are given")
    if proof.by == "none" and claimed > 0:
        yield Violation("bound", subject, f"nothing proves the bound of {figure(wanted, claimed)}", claimed)
    if proof.by == "prices" and claimed > proved:
        message = f"the prices prove {figure(wanted, proved)}, the bound claimed is {figure(wanted, claimed)}"
        yield Violation("bound", subject, message, claimed - proved)
    if proof.by != "prices" and proved > claimed:
        message = f"the prices prove {figure(wanted, proved)}, more than the bound of {figure(wanted, claimed)}"
        yield Violation("bound", subject, message, proved - claimed)


def figure(wanted: Wanted, value: Fraction) -> str:
    """Return a plan's value in words: ``7 rolls``, or ``588 in cost`` where rolls differ in price."""
    return f"{exact_text(value)} in cost" if wanted.counts_cost else counted(value, "roll")


def _fact(wanted: Wanted, proof: ListedProof, proved: Fraction, subject: str) -> str:
    bound = figure(wanted, proof.bound)
    if proof.by in ("prices", "search"):
        return f"{subject}: bound of {bound} proved by prices"
    if proof.by == "batches":
        return f"{subject}: prices alone prove {figure(wanted, proved)}; the bound of {bound} rests on those by batch"
    return f"{subject}: no bound is claimed"


def _measures(wanted: Wanted) -> Iterator[Fraction]:
    for drop in wanted.drops.values():
        yield drop.cut_length
        yield drop.datum
    for lot in wanted.lots.values():
        for stretch in lot.stretches:
            yield from (stretch.start, stretch.datum or Fraction(0))


def _finest(values: list[Fraction]) -> int:
    """Return the number by which all the values become whole."""
    return lcm(*(value.denominator for value in values))
