"""What a contract in a paper that is cut to order takes of it, in each way of sharing rolls.

Rolls are laid out as the shop has them. All but one are ordered whole; the one that is cut least is ordered no longer
than it is needed.
"""

from __future__ import annotations

from cutplan.buying.by_length import Order
from cutplan.contract.rooms import SharingWay
from cutplan.contract.ways import ContractPlanner, WayFound
from cutplan.lengths import ZERO, Length


def length_to_order(planner: ContractPlanner, found: WayFound) -> Order | None:
    """Return the length to order and the bound on it, without the spare; None for paper in rolls, or rolls in hand.

    Fewer whole rolls than the bound on them do not do, so no order of their length does: it comes in no more pieces.
    Apart, each room has an order of its own.
    """
    contract = planner.contract
    sale, whole = contract.sold, contract.paper.roll_length
    if sale.unit is None or any(lot.count is not None for lot in contract.lots):
        return None
    if found.way is SharingWay.APART:
        orders = [(kind.count, kind.to_order.ordered) for kind in contract.kinds if kind.to_order is not None]
        lengths = [(count * order.length, count * order.least) for count, order in orders if order is not None]
        return Order(sum((length for length, _ in lengths), ZERO), sum((least for _, least in lengths), ZERO))
    shortest = min(layout.end for section in found.sections if section.plan for layout in section.plan.layouts)
    too_little = (found.bound - 1) * whole
    steps = max((too_little - sale.least) // sale.step + 1, 0)
    return Order(sale.orderable((found.rolls - 1) * whole + shortest), sale.least + steps * sale.step)


def with_share_besides(planner: ContractPlanner, order: Order) -> Length:
    """Return the length to order with the share that is bought besides."""
    contract = planner.contract
    return contract.sold.orderable(order.length * (1 + contract.spare))
