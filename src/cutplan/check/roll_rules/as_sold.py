"""The rules on what is bought: whole packets, counted in singles, or a length; at the price that the label gives."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from cutplan.check.report import Violation, exact_text, mm
from cutplan.check.roll_rules.rolls_there import rolls_known
from cutplan.check.roll_rules.shortest_piece import shortest_piece

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cutplan.check.stated.document import ListedOrdered, ListedPlan
    from cutplan.check.stated.echo import Wanted


def to_buy_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require what is to be bought to be the rolls cut of those not in hand, in whole packets, and their price."""
    sold, stated = wanted.sold, plan.to_buy
    rolls = sum(roll.count for roll, lot in rolls_known(wanted, plan) if lot.count is None)
    is_plain = sold.packet == sold.singles == 1 or sold.unit is not None or not rolls
    if stated is None or is_plain:
        if (stated is None) != is_plain:
            yield Violation(
                "to buy", "", "to_buy must be given for paper bought in packets or singles, and for no other"
            )
        return
    bought = sold.bought(rolls)
    least = sold.bought(plan.certain.lower_bound or 0) // sold.packet
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
    due = [(sold.roll_length, int(whole))] * bool(whole) + [(rest, 1)] * bool(rest)
    if [(length, count) for _, length, count in order.pieces] != due:
        said = " and ".join(f"{count} of {mm(length)}" for length, count in due)
        yield Violation("ordered", "", f"{mm(order.length)} come as {said}, and other pieces are listed")
    cost = None if sold.price is None else sold.price * order.length / sold.roll_length
    if order.cost != cost:
        yield Violation("ordered", "", f"ordered costs {'nothing known' if cost is None else exact_text(cost)}")
    if order.lower_bound > order.length:
        over = order.lower_bound - order.length
        yield Violation("ordered", "", f"{mm(order.length)} are {mm(over)} below what is said to be the least", over)
    yield from _shortest(wanted, order)


def _shortest(wanted: Wanted, order: ListedOrdered) -> Iterator[Violation]:
    """Require an order of one piece to be the shortest that one piece can be, or shorter with the help of offcuts."""
    needed = shortest_piece(wanted)
    best = wanted.sold.orderable(needed)
    if best > wanted.sold.roll_length:
        return
    if order.length > best:
        message = f"{mm(order.length)} are ordered, and {mm(best)} are certain"
        yield Violation("ordered", "", message, order.length - best)
    if order.needed is not None and (order.needed, order.length, order.lower_bound) != (needed, best, best):
        message = f"the drops take up {mm(needed)} of one piece, so that the least order is {mm(best)}"
        yield Violation("ordered", "", message, abs(order.needed - needed) or None)


def order_is_proved(wanted: Wanted, order: ListedOrdered) -> bool:
    """Return True when this judge knows that no shorter order is certain."""
    return order.needed is not None and wanted.sold.orderable(order.needed) <= wanted.sold.roll_length
