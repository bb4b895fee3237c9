"""The rules on what is bought: whole packets, counted in singles, or a length; at the price that the label gives."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from math import lcm
from typing import NamedTuple

from cutplan.check.report import Violation, exact_text, mm
from cutplan.check.roll_rules.rolls_there import rolls_bought
from cutplan.check.stated.document import ListedOrdered, ListedPlan
from cutplan.check.stated.echo import Wanted
from cutplan.check.stated.sold import Sold


def to_buy_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require what is to be bought to be the rolls cut of those not in hand, in whole packets, and their price."""
    sold, stated = wanted.sold, plan.to_buy
    rolls = rolls_bought(wanted, plan)
    is_plain = sold.packet == sold.singles == 1 or sold.unit is not None or not rolls
    if stated is None or is_plain:
        if (stated is None) != is_plain:
            yield Violation(
                "to buy", "", "to_buy must be given for paper bought in packets or singles, and for no other"
            )
        return
    bought = sold.bought(rolls)
    of_all = plan.certain.least_bought if plan.buys_first else plan.certain.lower_bound
    least = sold.bought(of_all or 0) // sold.packet
    figures: dict[str, Fraction | int] = {
        "rolls": bought,
        **({"packets": bought // sold.packet, "packets_lower_bound": least} if sold.packet > 1 else {}),
        **({"singles": bought * sold.singles} if sold.singles > 1 else {}),
        **({} if sold.price is None else {"cost": bought * sold.price}),
    }
    for key in sorted(figures.keys() | stated.keys()):
        is_due, said = figures.get(key), stated.get(key)
        if is_due is None or said is None:
            yield Violation("to buy", "", f"to_buy {'lacks' if said is None else 'must not have'} {key}")
        elif said != is_due:
            message = f"to_buy: {key} says {exact_text(said)}, but {rolls} rolls come to {exact_text(Fraction(is_due))}"
            yield Violation("to buy", "", message, abs(said - is_due))


def widths_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require the widths given, as sold and as hung, to be those that follow from the scenario."""
    due, stated = wanted.sold.widths or {}, plan.widths or {}
    for key in sorted(due.keys() | stated.keys()):
        if due.get(key) != stated.get(key):
            said, is_due = (exact_text(of[key]) if key in of else "nothing" for of in (stated, due))
            yield Violation("widths", "", f"widths: {key} says {said}, and the scenario's paper has {is_due}")


def ordered_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require what is ordered to be on offer, to come as it is said to, and to be the shortest where that is known."""
    order, sold = plan.ordered, wanted.sold
    if order is None:
        return
    if sold.unit is None:
        yield Violation("ordered", "", "ordered is given, but the paper is not cut to order")
        return
    steps = (order.length - sold.least) / sold.step
    if order.length and (steps < 0 or steps.denominator > 1):
        what = f"nobody can order {mm(order.length)}: orders are {mm(sold.least)} and so many steps of {mm(sold.step)}"
        yield Violation("ordered", "", what)
    whole, rest = divmod(order.length, sold.roll_length)
    across = sold.packet
    due = [(sold.roll_length, int(whole) * across)] * bool(whole) + [(rest, across)] * bool(rest)
    if [(length, count) for _, length, count in order.pieces] != due:
        said = " and ".join(f"{count} of {mm(length)}" for length, count in due)
        yield Violation("ordered", "", f"{mm(order.length)} come as {said}, and other pieces are listed")
    cost = None if sold.price is None else sold.price * order.length / sold.roll_length
    if order.cost != cost:
        yield Violation("ordered", "", f"ordered costs {'nothing known' if cost is None else exact_text(cost)}")
    if order.lower_bound > order.length:
        over = order.lower_bound - order.length
        yield Violation("ordered", "", f"{mm(order.length)} are {mm(over)} below what is said to be the least", over)
    for message, amount in shortest_rule(wanted, sold, order.length, order.lower_bound, order.needed):
        yield Violation("ordered", "", message, amount)


def shortest_rule(
    wanted: Wanted, sold: Sold, length: Fraction, lower_bound: Fraction, needed: Fraction | None
) -> Iterator[tuple[str, Fraction | None]]:
    """Yield why an order is not the shortest of one piece, or shorter with the help of offcuts; and by how much."""
    if sold.packet > 1:
        if needed is not None:
            yield "what is needed of one piece is told of paper with several side by side", None
        return
    due = shortest_piece(wanted)
    best = sold.orderable(due)
    if best > sold.roll_length:
        if needed is not None:
            yield f"what is needed of one piece is told, and one of {mm(best)} is longer than the shop's roll", None
        return
    if length > best:
        yield f"{mm(length)} are ordered, and {mm(best)} are certain", length - best
    if needed is not None and (needed, length, lower_bound) != (due, best, best):
        yield (
            f"the drops take up {mm(due)} of one piece, so that the least order is {mm(best)}",
            abs(needed - due) or None,
        )


def order_is_proved(wanted: Wanted, order: ListedOrdered) -> bool:
    """Return True when this judge knows that no shorter order is certain."""
    return (
        wanted.sold.unit is not None
        and order.needed is not None
        and wanted.sold.orderable(order.needed) <= wanted.sold.roll_length
        and not offcuts_help(wanted)
    )


def offcuts_help(wanted: Wanted) -> bool:
    """Return True when an offcut, kept or falling out of a drop, could hold another drop."""
    offcuts = [lot for lot in wanted.lots.values() if lot.is_offcut]
    return any(
        lot.cut_from != drop.label and lot.may_give(drop) and lot.can_hold(drop, wanted.match.repeat)
        for drop in wanted.drops.values()
        for lot in offcuts
    )


class _Alike(NamedTuple):
    """Drops alike: where in the print they start and end, how long and how many they are."""

    start: int
    end: int
    length: int
    number: int


def shortest_piece(wanted: Wanted) -> Fraction:
    """Return the least length that is certain to give all drops in one piece, wherever in its repeat it begins.

    A piece passes a point of the print once in every repeat. It must pass each as often as all drops together do; where
    it passes one more often, paper between two drops does. That paper and the drops can be cut in one go if they join.
    """
    repeat = wanted.match.repeat
    if not repeat:
        return sum((drop.count * drop.cut_length for drop in wanted.drops.values()), Fraction(0))
    alike: dict[tuple[Fraction, Fraction], int] = {}
    for drop in wanted.drops.values():
        kind = (-drop.datum % repeat, drop.cut_length)
        alike[kind] = alike.get(kind, 0) + drop.count
    # In whole units, for there may be many.
    unit = Fraction(1, lcm(repeat.denominator, *(length.denominator for kind in alike for length in kind)))
    around = int(repeat / unit)
    drops = [
        _Alike(int(start / unit), int((start + length) / unit) % around, int(length / unit), count)
        for (start, length), count in alike.items()
    ]
    return repeat + _shortest_span(drops, around) * unit


def _shortest_span(drops: list[_Alike], repeat: int) -> int:
    """Return the shortest span from a place where a drop starts to one where a drop ends."""
    places = sorted({place for drop in drops for place in (drop.start, drop.end)})
    due = [sum(drop.number * _passes(place, drop.start, drop.length, repeat) for drop in drops) for place in places]
    most = max(due)
    fullest = [place for place, times in zip(places, due, strict=True) if times == most]
    ways = []
    for start in {drop.start for drop in drops}:
        for end in {drop.end for drop in drops}:
            span = (end - start) % repeat
            # The rest of a round passes what lies on it once more.
            rounds = most - all(_passes(place, start, span, repeat) for place in fullest)
            ways.append((span + rounds * repeat, start))
    for span, start in sorted(ways):
        spare = [_passes(place, start, span, repeat) - times for place, times in zip(places, due, strict=True)]
        if _hang_together(drops, places, spare):
            return span
    raise AssertionError("with paper to spare on all of the print but one stretch everything hangs together")


def _passes(place: int, start: int, length: int, repeat: int) -> int:
    """Return how often a length from ``start`` on passes the stretch of the print that begins at ``place``."""
    whole, rest = divmod(length, repeat)
    return whole + ((place - start) % repeat < rest)


def _hang_together(drops: Iterable[_Alike], places: list[int], spare: list[int]) -> bool:
    """Return True when every drop can be reached from every other along drops and the paper to spare between them."""
    joined = [(drop.start, drop.end) for drop in drops]
    wanted = {start for start, _ in joined}
    joined += [
        (place, after) for place, after, more in zip(places, places[1:] + places[:1], spare, strict=True) if more
    ]
    reached = {joined[0][0]}
    while True:
        further = {place for pair in joined for place in pair if reached.intersection(pair)} - reached
        if not further:
            return wanted <= reached
        reached |= further
