"""The bounds of a contract's ways: by the rooms' own, by pieces pooled, by prices of pieces in their turns."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import chain, islice
from math import ceil, floor, lcm

from msgspec.structs import replace

from cutplan.check.contract_rules.stated_contract import RoomsAlike, StatedTurns, StatedWay
from cutplan.check.part_rules.stated_parts import Planned
from cutplan.check.proof.prices_proof import judge_proof
from cutplan.check.proof.worth import PricedDrop, Steps, worth_in_turns
from cutplan.check.report import Report, Violation, counted
from cutplan.check.roll_rules.what_fits_where import StockLot, WantedDrop, with_cut_outs
from cutplan.check.stated.echo import Wanted
from cutplan.check.stated.match import within_repeat

Alike = tuple[Fraction, Fraction]
"""Where the print of a piece stands below its cut top, and how long it is cut."""


def alike_in(part: Planned, drop: WantedDrop) -> Alike:
    """Return what a drop is alike in with others."""
    return within_repeat(drop.datum, part.wanted.match.repeat), drop.cut_length


def bound_rule(rooms: Sequence[RoomsAlike], way: StatedWay) -> Iterator[Violation]:
    """Require the lower bound to be proved: apart by the rooms' own bounds, else by pieces that no cut-out can hold."""
    if way.name == "apart":
        proved = sum(kind.count * (kind.part.plan.certain.lower_bound or 0) for kind in rooms)
    elif way.bound is None:
        proved = 0
    else:
        proved = way.bound.plan.certain.lower_bound or 0
        sure: Counter[Alike] = Counter()
        for kind, alike, pieces in _sure_of_rolls(rooms):
            sure[alike] += pieces * kind.count
        for drop in way.bound.wanted.drops.values():
            if drop.count > sure[alike_in(way.bound, drop)]:
                message = f"its plan cuts {drop.count} like {drop.label}; {sure[alike_in(way.bound, drop)]} need rolls"
                yield Violation("bound", way.name, message)
    if way.turns is not None and way.bound is not None:
        yield from _fair_in_turns(way.turns, way.bound)
        if sum(number for number, _ in way.turns.turns) != sum(kind.count for kind in rooms):
            yield Violation("prices", way.name, "its turns are not of so many rooms as there are")
        in_turns = _proved_in_turns(rooms, way.turns, way.bound)
        proved = way.lower_bound if way.turns.is_search else max(proved, in_turns)
    if way.together is not None:
        proved = max(proved, ceil(way.together.bound))
    if way.lower_bound > proved:
        message = f"a lower bound of {counted(way.lower_bound, 'roll')} is claimed, {proved} proved"
        yield Violation("bound", way.name, message, Fraction(way.lower_bound - proved))


def judge_together(rooms: Sequence[RoomsAlike], way: StatedWay) -> Report:
    """Return the judgement of a bound on the pieces of all rooms as one job; an empty one where there is none."""
    if way.together is None:
        return Report()
    if any(lot.is_offcut and lot.cut_from is None for kind in rooms for lot in kind.part.wanted.lots.values()):
        return Report((Violation("bound", way.name, "a room has offcuts of its own, so its pieces are not all told"),))
    return judge_proof(_as_one(rooms), way.together, way.name, at_best=False)


def _as_one(rooms: Sequence[RoomsAlike]) -> Wanted:
    """Return what all rooms want as one job: what falls out of a drop serves its own room, after that drop."""
    first, drops = rooms[0].part.wanted, {}
    for kind in rooms:
        for number in range(1, kind.count + 1):
            room = f"{kind.name} {number}"
            for drop in kind.part.wanted.drops.values():
                cut_outs = tuple(replace(each, label=f"{room}/{each.label}") for each in drop.cut_outs)
                label = f"{room}/{drop.label}"
                drops[label] = replace(drop, label=label, cut_outs=cut_outs, room=room, batch=None)
    roll = StockLot("roll", first.rolls[0].length, None, None, None)
    return replace(first, drops=drops, lots=with_cut_outs({roll.label: roll}, drops, first.strip))


def _fair_in_turns(stated: StatedTurns, bound: Planned) -> Iterator[Violation]:
    """Require that no roll in turns holds pieces worth more than one roll."""
    drops, repeat, lot = bound.wanted.drops, bound.wanted.match.repeat, bound.wanted.rolls[0]
    for label in sorted({label for _, prices in stated.turns for label in prices} - drops.keys()):
        yield Violation("prices", "in order", f"there is a price for {label}, which is in no turn")
    unit = lcm(
        repeat.denominator, *(each.denominator for drop in drops.values() for each in (drop.datum, drop.cut_length))
    )
    turns = [
        [
            PricedDrop(int(drop.cut_length * unit), int(-lot.datum_of(drop) % repeat * unit), price)
            for label, price in prices.items()
            if (drop := drops.get(label)) is not None
        ]
        for _, prices in stated.turns
    ]
    most = worth_in_turns(turns, int(repeat * unit), floor((lot.length - repeat) * unit), Steps())
    if most > stated.scale:
        message = f"pieces worth {most} can lie in turns on a roll, the prices allow {stated.scale}"
        yield Violation("prices", "in order", message, Fraction(most - stated.scale))


def _proved_in_turns(rooms: Sequence[RoomsAlike], stated: StatedTurns, bound: Planned) -> int:
    """Return the bound that the prices prove: what rooms surely take of rolls, each at the prices of its turn."""
    labels = {alike_in(bound, drop): label for label, drop in bound.wanted.drops.items()}
    takes: dict[str, Counter[str]] = {kind.name: Counter() for kind in rooms}
    for kind, alike, pieces in _sure_of_rolls(rooms):
        if alike in labels:
            takes[kind.name][labels[alike]] += pieces
    names = chain.from_iterable([kind.name] * kind.count for kind in rooms)
    worth = sum(
        count * prices.get(label, 0)
        for number, prices in stated.turns
        for name in islice(names, number)
        for label, count in takes[name].items()
    )
    return ceil(Fraction(worth, stated.scale))


def _sure_of_rolls(rooms: Sequence[RoomsAlike]) -> Iterator[tuple[RoomsAlike, Alike, int]]:
    """Yield pieces that no cut-out of any room could hold, with how many one room of a kind takes."""
    offcuts = {
        (lot.length, lot.first_motif, lot.left, lot.right): lot
        for kind in rooms
        for lot in kind.part.wanted.lots.values()
        if lot.is_offcut
    }
    for kind in rooms:
        for drop in kind.part.wanted.drops.values():
            if not any(lot.can_hold(drop, kind.part.wanted.match.repeat) for lot in offcuts.values()):
                yield kind, alike_in(kind.part, drop), drop.count
