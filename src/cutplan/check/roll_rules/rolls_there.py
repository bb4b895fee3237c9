"""The rules on rolls as stock: they exist, are rightly called, and are what the plan says they are."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise
from typing import Final

from cutplan.check.report import Violation, counted, float_rule
from cutplan.check.roll_rules.what_fits_where import StockLot
from cutplan.check.stated.document import ListedPlan, ListedRoll
from cutplan.check.stated.echo import Wanted

_NUMBERED: Final = re.compile(r"(?P<lot>.*)-(?P<number>[1-9][0-9]{0,11})", re.DOTALL)


def lot_of(wanted: Wanted, roll: ListedRoll) -> StockLot | None:
    """Return the lot that a listed roll comes from, told by its ``lot`` or else by its label, or None."""
    if roll.lot is not None:
        return wanted.lots.get(roll.lot)
    numbered = _NUMBERED.fullmatch(roll.label)
    return wanted.lots.get(roll.label) or (wanted.lots.get(numbered["lot"]) if numbered else None)


def rolls_known(wanted: Wanted, plan: ListedPlan) -> Iterator[tuple[ListedRoll, StockLot]]:
    """Yield the rolls listed whose lot is in the stock, each with its lot."""
    for roll in plan.rolls:
        lot = lot_of(wanted, roll)
        if lot is not None:
            yield roll, lot


def rolls_bought(wanted: Wanted, plan: ListedPlan) -> int:
    """Return how many of the rolls listed are not in hand."""
    return sum(roll.count for roll, lot in rolls_known(wanted, plan) if lot.count is None)


def roll_number(lot: StockLot, roll: ListedRoll) -> int | None:
    """Return the number within its lot, from 1, of an entry's first roll; None if its label tells none."""
    if lot.count == 1:
        return 1 if roll.label == lot.label else None
    numbered = _NUMBERED.fullmatch(roll.label)
    return int(numbered["number"]) if numbered and numbered["lot"] == lot.label else None


def stock_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require rolls to be in the stock, rightly called and cut once, and no lot to give more than it has."""
    taken: dict[str, list[tuple[int, ListedRoll]]] = {}
    used: Counter[str] = Counter()
    for roll in plan.rolls:
        where = f"roll {roll.label}"
        lot = lot_of(wanted, roll)
        if lot is None:
            yield Violation("stock", where, f"lot {roll.lot or roll.label!r} is not in the stock")
            continue
        used[lot.label] += roll.count
        number = roll_number(lot, roll)
        if number is None:
            pattern = lot.label if lot.count == 1 else f"{lot.label}-1, {lot.label}-2 …"
            yield Violation("stock", where, f"rolls of lot {lot.label} are called {pattern}")
        else:
            taken.setdefault(lot.label, []).append((number, roll))
    yield from _too_many(wanted, used)
    for label, entries in taken.items():
        yield from _beyond_lot(wanted.lots[label], entries)
        yield from _taken_twice(entries)


def _too_many(wanted: Wanted, used: Counter[str]) -> Iterator[Violation]:
    for label, count in used.items():
        limit = wanted.lots[label].count
        if limit is not None and count > limit:
            message = f"{counted(count, 'roll')} cut, {limit} in stock"
            yield Violation("stock", f"lot {label}", message, Fraction(count - limit))


def _beyond_lot(lot: StockLot, entries: list[tuple[int, ListedRoll]]) -> Iterator[Violation]:
    for number, roll in entries:
        last = number + roll.count - 1
        if lot.count is not None and last > lot.count:
            message = f"there is no roll number {last} in lot {lot.label}, which has {counted(lot.count, 'roll')}"
            yield Violation("stock", f"roll {roll.label}", message, Fraction(last - lot.count))


def _taken_twice(entries: list[tuple[int, ListedRoll]]) -> Iterator[Violation]:
    entries = sorted(entries, key=lambda entry: entry[0])
    for (number, roll), (following, _) in pairwise(entries):
        shared = number + roll.count - following
        if shared > 0:
            message = f"{counted(shared, 'roll')} of this entry listed again in another"
            yield Violation("stock", f"roll {roll.label}", message, Fraction(shared))


def roll_facts_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require what the plan says of a roll's length and start to be what the scenario says."""
    repeat = wanted.match.repeat
    for roll, lot in rolls_known(wanted, plan):
        where = f"roll {roll.label}"
        yield from float_rule("roll", where, "length_mm", roll.length, lot.length)
        if not repeat:  # a free match has no start to measure, yet the plan may not contradict itself
            if roll.has_start and roll.is_sealed not in (None, roll.first_motif is None):
                yield Violation("roll", where, "is said to be sealed and measured at once, or neither")
            continue
        if roll.is_sealed is not None and roll.is_sealed != (lot.first_motif is None):
            state = "sealed" if lot.first_motif is None else "measured"
            yield Violation("roll", where, f"the scenario's roll is {state}, the plan says otherwise")
        if lot.first_motif is not None and roll.first_motif is not None:
            yield from float_rule("roll", where, "first_motif_mm", roll.first_motif % repeat, lot.first_motif % repeat)
        elif roll.has_start and (roll.first_motif is None) != (lot.first_motif is None):
            yield Violation("roll", where, "first_motif_mm must be null for a sealed roll, and for no other")
