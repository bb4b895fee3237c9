"""The order of cutting in words: what it follows, how far it runs ahead, and whether a better one is possible."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.plan.order import Follow
from cutplan.wording import counted

if TYPE_CHECKING:
    from cutplan.plan.order import CuttingOrder


def order_in_words(order: CuttingOrder) -> str:
    """Return what a user should know about the order of cutting."""
    if order.follow is Follow.NOTHING:
        return "All drops are cut at once, one roll after another."
    rolls = counted(order.open_rolls, "roll")
    is_by_wall = order.follow is Follow.WALLS
    keeping = "Cut wall by wall" if is_by_wall else "Cut as you hang"
    return f"{keeping}, with no more than {rolls} open: {_figures(order, is_by_wall=is_by_wall)}. {_standing(order)}"


def _figures(order: CuttingOrder, *, is_by_wall: bool) -> str:
    if not order.most_waiting:
        return "no drop is cut before its wall's turn" if is_by_wall else "each drop can be hung as soon as it is cut"
    one = order.most_waiting == 1
    waiting = counted(order.most_waiting, "drop ever lies", "drops ever lie")
    places = counted(order.furthest_ahead, "wall" if is_by_wall else "place")
    whose = "its" if one else "their"
    return f"no more than {waiting} cut before {whose} turn, and none more than {places} ahead"


def _standing(order: CuttingOrder) -> str:
    if order.is_proved:
        return "Proved: no order of cutting these rolls does better."
    if order.most_waiting > order.most_waiting_bound:
        least = order.most_waiting_bound
        return f"Not proved to be the best; fewer than {least} is ruled out." if least else "Not proved to be the best."
    return f"No order has fewer waiting; less than {order.furthest_ahead_bound} ahead is ruled out."
