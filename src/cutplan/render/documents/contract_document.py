"""A contract as JSON: the plan of one room of each kind, the pooled plans, and which cuts of which roll go to a room.

Each entry of ``plans`` is a plan like any other, with the name of its ``part``.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil
from typing import Final

from cutplan.buying.by_length import Order
from cutplan.contract.length_to_order import length_to_order, with_share_besides
from cutplan.contract.room_lists import room_lists
from cutplan.contract.rooms import Contract, RoomKind, SharingWay
from cutplan.contract.ways import ContractPlanner, TurnsBound, WayFound
from cutplan.lengths import exact_number
from cutplan.plan.plan import Plan
from cutplan.render.documents.plan_document import Json, document_of, order_document, plan_document, proof_document
from cutplan.scenario.read import Scenario
from cutplan.scenario.write import drop_entry, plain, roll_entry
from cutplan.table.sequence import sequence_as_laid_out

FORMAT: Final = "cutplan-plans/1"
_BOUND: Final = "bound"


def contract_document(planner: ContractPlanner, ways: Iterable[WayFound]) -> Json:
    """Return a planned contract as plain JSON."""
    contract = planner.contract
    rooms = zip(contract.kinds, planner.own, strict=True)
    parts = {part_of_room(kind.name): plan_document(plan, kind.scenario) for kind, plan in rooms}
    listed = [_way(planner, found, parts) for found in ways]
    if any(way["bound_part"] for way in listed):
        parts[_BOUND] = _pooled(contract, planner.bounding)
    return {
        "format": FORMAT,
        "contract": {
            "rooms": [
                {
                    "room": kind.name,
                    "count": kind.count,
                    "part": part_of_room(kind.name),
                    "mirrored": kind.surveyed is not None,
                    **({} if kind.surveyed is None else {"surveyed": kind.surveyed.document}),
                    **_ordered_alone(kind),
                }
                for kind in contract.kinds
            ],
            "spare_per_cent": exact_number(contract.spare * 100),
            "one_batch_to": contract.one_batch_to.value,
            "batches": [{"roll": lot.label, "count": lot.count, "batch": lot.batch} for lot in contract.lots],
            **_sold(contract),
        },
        "ways": listed,
        "plans": [{"part": name, **document} for name, document in parts.items()],
    }


def _sold(contract: Contract) -> Json:
    """Return the paper as it is sold, where it is cut to order: the rooms' plans have the shop's whole rolls."""
    sold = contract.kinds[0].to_order
    return {} if sold is None else {"units": sold.units, "paper": sold.document["paper"]}


def _ordered_alone(kind: RoomKind) -> Json:
    """Return what one room by itself orders, where the paper is cut to order."""
    order = None if kind.to_order is None else kind.to_order.ordered
    return {} if order is None else {"to_order": order_document(order, kind.scenario.job.paper)}


def part_of_room(kind: str) -> str:
    """Return the name of the plan of one room by itself."""
    return f"one {kind}"


def rolls_to_buy(contract: Contract, found: WayFound) -> int:
    """Return the rolls needed and the spare ones, no packet broken."""
    return contract.paper.sale.bought(found.rolls + ceil(found.rolls * contract.spare))


def _way(planner: ContractPlanner, found: WayFound, parts: dict[str, Json]) -> Json:
    """Return the figures of one way and its lists, adding its plans to ``parts``."""
    contract, price = planner.contract, planner.contract.paper.price
    names = []
    for section in found.sections:
        if section.plan is not None:
            names.append(found.way.value if len(found.sections) == 1 else f"{found.way.value}, {section.lot.label}")
            parts[names[-1]] = _pooled(contract, section.plan)
    buy, order = rolls_to_buy(contract, found), length_to_order(planner, found)
    lists = [
        {
            "room": listed.room,
            **({} if listed.wall is None else {"wall": listed.wall}),
            "lot": listed.lot.label,
            "rolls": [{"roll": part.roll, "cuts": list(part.cuts), "drops": list(part.drops)} for part in listed.parts],
        }
        for listed in room_lists(planner, found)
    ]
    return {
        "way": found.way.value,
        "status": found.status.value,
        "rolls_needed": found.rolls,
        "lower_bound": found.bound,
        "rolls_to_buy": buy,
        **({} if price is None or order is not None else {"cost": exact_number(buy * price)}),
        **({} if order is None else {"to_order": _to_order(planner, order)}),
        "parts": names,
        "bound_part": None if found.way is SharingWay.APART else _BOUND,
        **({} if found.in_turns is None else {"bound_in_turns": _in_turns(found.in_turns)}),
        **({} if found.together is None else {"bound_together": proof_document(found.together.proof)}),
        "rooms": lists,
    }


def _in_turns(bound: TurnsBound) -> Json:
    """Return what proves a bound on rolls cut in order: prices of pieces in each turn, and how many rooms it has."""
    prices = bound.found.prices
    assert prices is not None  # noqa: S101 - a bound above the pooled one has them
    of_turns: list[dict[str, int]] = [{} for _ in bound.rooms]
    for name, price in prices.drops.items():
        turn, _, label = name.partition(" ")
        of_turns[int(turn)][label] = price
    turns = [{"rooms": rooms, "prices": of_turn} for rooms, of_turn in zip(bound.rooms, of_turns, strict=True)]
    return {"by": "search" if bound.found.by_search else "prices", "scale": prices.scale, "turns": turns}


def _to_order(planner: ContractPlanner, order: Order) -> Json:
    """Return a length to order, and what is ordered with the spare."""
    paper, more = planner.contract.paper, with_share_besides(planner, order)
    return {**order_document(order, paper), "with_spare": order_document(Order(more, order.least), paper)}


def _pooled(contract: Contract, plan: Plan) -> Json:
    """Return a plan of pooled pieces, with the list of drops that it answers; trims are in their heights."""
    first, is_free = contract.kinds[0].scenario, plan.job.paper.pattern.is_free
    rolls = [plain(roll_entry(lot, is_free=is_free)) for lot in plan.job.lots if lot.count is not None]
    document: Json = {
        **{key: first.document[key] for key in ("units", "paper") if key in first.document},
        "trim": {"top": "0 mm", "bottom": "0 mm"},
        **({"roll": rolls} if rolls else {}),
        "drop": [plain(drop_entry(drop, is_free=is_free)) for drop in plan.job.drops],
    }
    return document_of(sequence_as_laid_out(plan), Scenario(plan.job, first.units, (), document, contract.source))
