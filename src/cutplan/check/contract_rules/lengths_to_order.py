"""The rules of what a contract orders of a paper that is cut to order, worked out from the rolls of each way."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import floor

from cutplan.check.contract_rules.stated_contract import RoomsAlike, StatedOrder, StatedWay
from cutplan.check.report import Violation, mm
from cutplan.check.roll_rules.as_sold import offcuts_help, shortest_piece, shortest_rule
from cutplan.check.stated.fields import NOTHING
from cutplan.check.stated.sold import Sold


def rooms_order_rule(rooms: Sequence[RoomsAlike], sold: Sold | None) -> Iterator[Violation]:
    """Require a room's own order to be on offer, and the shortest where one piece does; none of paper in rolls."""
    for kind in rooms:
        order = kind.to_order
        if (order is None) != (sold is None):
            yield Violation("to order", kind.name, "what one room orders is not told, or it is of paper in rolls")
        if order is None or sold is None:
            continue
        wanted = kind.part.wanted
        for message, amount in shortest_rule(wanted, sold, order.length, order.least, order.needed):
            yield Violation("to order", kind.name, message, amount)
        one_piece_does = sold.packet == 1 and sold.orderable(shortest_piece(wanted)) <= sold.roll_length
        if order.needed is None and one_piece_does and not offcuts_help(wanted):
            yield Violation("to order", kind.name, "one piece does, and what it must give is not told")
        if sold.orderable(order.length) != order.length or not order.least <= order.length:
            yield Violation("to order", kind.name, f"nobody can order {mm(order.length)}, or its bound is above it")
        yield from _costs(kind.name, order, sold)


def of_several_pieces(rooms: Sequence[RoomsAlike]) -> Iterator[str]:
    """Yield which rooms' own orders this judge does not work out: in several pieces, or beside what falls out."""
    for kind in rooms:
        if kind.to_order is not None and (kind.to_order.needed is None or offcuts_help(kind.part.wanted)):
            yield f"what one {kind.name} orders by itself, in several pieces or beside what falls out"


def way_order_rule(
    rooms: Sequence[RoomsAlike], way: StatedWay, sold: Sold | None, spare: Fraction, *, is_there: bool
) -> Iterator[Violation]:
    """Require a way's order to be its rolls but for what is left of the one cut least, or all rooms' own together.

    ``is_there`` is False for paper in rolls, of which ``sold`` is None, and where rolls are in hand: none is due then.
    """
    order = way.to_order
    if (order is None) == is_there:
        message = "a length to order is told of paper in rolls, or where rolls are in hand, or else none is"
        yield Violation("to order", way.name, message)
    if order is None or sold is None or (due := _due(rooms, way, sold)) is None:
        return
    more = sold.orderable(due[0] * (1 + spare))
    for what, said, length in (("", order, due[0]), (" with the spare", order.with_spare, more)):
        if said is None or (said.length, said.least) != (length, due[1]):
            message = f"{mm(length)}{what} are to be ordered, and no less than {mm(due[1])}; other lengths are told"
            yield Violation("to order", way.name, message)
        else:
            yield from _costs(way.name, said, sold)


def _due(rooms: Sequence[RoomsAlike], way: StatedWay, sold: Sold) -> tuple[Fraction, Fraction] | None:
    """Return the length to order and the bound on it; None where a room does not tell its own, or no roll is cut."""
    if way.name == "apart":
        orders = [(kind.count, kind.to_order) for kind in rooms if kind.to_order is not None]
        if len(orders) < len(rooms):
            return None
        return (
            sum((count * order.length for count, order in orders), NOTHING),
            sum((count * order.least for count, order in orders), NOTHING),
        )
    shortest = min((roll.cuts[-1].end for part in way.parts for roll in part.plan.rolls), default=None)
    if shortest is None:
        return None
    steps = max(floor(((way.lower_bound - 1) * sold.roll_length - sold.least) / sold.step) + 1, 0)
    return sold.orderable((way.rolls - 1) * sold.roll_length + shortest), sold.least + steps * sold.step


def _costs(where: str, order: StatedOrder, sold: Sold) -> Iterator[Violation]:
    due = None if sold.price is None else sold.price * order.length / sold.roll_length
    if order.cost != due:
        yield Violation("to order", where, f"{mm(order.length)} do not cost what is told")
