"""A contract as a page of plain text: the ways beside one another, then the lists for rooms and rolls."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations

from cutplan.buying.by_length import Order
from cutplan.contract.length_to_order import length_to_order, with_share_besides
from cutplan.contract.room_lists import RoomList, room_lists
from cutplan.contract.rooms import SharingWay
from cutplan.contract.sharing import runs
from cutplan.contract.ways import ContractPlanner, Section, WayFound
from cutplan.lengths import Rounding
from cutplan.plan.proof import Status
from cutplan.render.documents.contract_document import rolls_to_buy
from cutplan.render.pages.layout_of_page import bullets, paragraphs, section, table, wrapped
from cutplan.render.words.names import listed_with_and
from cutplan.render.words.sale_words import as_sold, in_unit
from cutplan.wording import counted

_MEANS = {
    SharingWay.POOLED: "pooled: any roll for any room.",
    SharingWay.IN_ORDER: (
        "in order: nothing is cut for a room before the one ahead of it is done; what is left goes on."
    ),
    SharingWay.APART: "apart: each room from rolls of its own.",
}


def contract_page(
    planner: ContractPlanner, ways: Sequence[WayFound], lists: WayFound, short: Iterable[str] = ()
) -> str:
    """Return the page, with the lists of one of the ways; ``short`` says for which others the rolls are too few."""
    contract = planner.contract
    kinds = [f"{kind.count} × {kind.name}" for kind in contract.kinds]
    shown = listed_with_and(kinds) if len(kinds) <= 6 else f"{len(kinds)} kinds"  # noqa: PLR2004 - a line of them
    name = lists.way.value
    is_ordered = length_to_order(planner, lists) is not None
    return paragraphs(
        wrapped(f"{counted(contract.room_count, 'room')} in {contract.paper.name}: {shown}."),
        _figures(planner, ways),
        bullets([*_differences(ways, is_ordered=is_ordered), *(f"{why}." for why in short)]),
        section(f"Rooms, {name}", _rooms(planner, lists)),
        section(f"Rolls, {name}", *_rolls(planner, lists)),
    )


def _figures(planner: ContractPlanner, ways: Sequence[WayFound]) -> str:
    contract, price = planner.contract, planner.contract.paper.price
    heads = ["way", "rolls", "no plan\nneeds fewer than", ""]
    sale = contract.paper.sale
    orders = [length_to_order(planner, found) for found in ways]
    spare = f"with {float(contract.spare * 100):g} %\nspare"
    if any(orders):
        heads += [f"to order\n{spare}" if contract.spare else "to order", "no order\nunder"]
    elif contract.spare:
        heads.append(spare)
    heads += ["to buy"] if not sale.is_plain else []
    heads += ["cost"] if price is not None else []
    rows = []
    for found, order in zip(ways, orders, strict=True):
        buy = rolls_to_buy(contract, found)
        row = [found.way.value, str(found.rolls), str(found.bound)]
        row += ["proved" if found.status is Status.OPTIMAL else "not proved the fewest"]
        row += [str(buy)] if contract.spare and not any(orders) else []
        cost = None if price is None else buy * price
        if order is not None and contract.sold.unit is not None:
            more = with_share_besides(planner, order)
            row += [in_unit(more, contract.sold.unit), in_unit(order.least, contract.sold.unit, Rounding.DOWN)]
            cost = Order(more, order.least).cost(contract.paper)
        row += [as_sold(sale, buy)] if not sale.is_plain else []
        row += [f"{float(cost):.2f}"] if cost is not None else []
        rows.append(tuple(row))
    return table(tuple(heads), rows)


def _differences(ways: Sequence[WayFound], *, is_ordered: bool) -> Iterator[str]:
    """Yield what each way means, and what one takes more than another, as far as it is proved."""
    for found in ways:
        yield _MEANS[found.way]
    if is_ordered:
        yield "rolls are the shop's; of the one that is cut least no more is ordered than it takes."
        yield "apart every room has an order of its own, and takes no whole rolls."
        return
    for one, other in combinations(ways, 2):
        more = other.rolls - one.rolls
        if not more:
            yield f"{other.way.value} takes as many rolls as {one.way.value}."
            continue
        is_sure = one.status is other.status is Status.OPTIMAL
        sure = "" if is_sure else f"; of that {max(0, other.bound - one.rolls)} proved"
        yield f"{other.way.value} takes {counted(more, 'roll')} more than {one.way.value}{sure}."


def _rooms(planner: ContractPlanner, lists: WayFound) -> str:
    batches = len(lists.sections) > 1
    rows = [
        (listed.name, *([listed.lot.label] if batches else []), _rolls_of(planner, listed))
        for listed in room_lists(planner, lists)
    ]
    return table(("room", *(["from"] if batches else []), "rolls and parts"), rows, wrapped=1 + batches)


def _rolls_of(planner: ContractPlanner, listed: RoomList) -> str:
    if not listed.parts:
        return counted(
            planner.own[planner.contract.kinds.index(listed.kind)].rolls_needed, "roll of its own", "rolls of its own"
        )
    return "; ".join(
        f"{part.roll if part.is_whole else f'part of {part.roll}'}: {', '.join(part.drops)}" for part in listed.parts
    )


def _rolls(planner: ContractPlanner, lists: WayFound) -> Iterator[str]:
    names = [room if wall is None else f"{room}, {wall}" for _, room, wall in planner.units(lists.way)]
    what = "wall" if planner.contract.goes_by_wall else "room"
    for part in lists.sections:
        if part.plan is None:
            yield wrapped("Each room is cut as its own plan says: write the rooms out with --rooms, and plan each.")
            return
        yield wrapped("Pieces alike are called after the first room and drop that want them.")
        yield table(("roll", "pieces in order"), list(_cut_alike(part)), wrapped=1)
        shared = list(_shared(part, names))
        if shared:
            yield wrapped(f"{counted(len(shared), 'roll is', 'rolls are')} cut for more than one {what}:")
            yield table(("roll", "rooms in order along it"), shared, wrapped=1)


def _cut_alike(part: Section) -> Iterator[tuple[str, str]]:
    assert part.plan is not None  # noqa: S101 - asked for a plan with layouts only
    number = 1
    for layout in part.plan.layouts:
        lot, last = part.plan.job.lot(layout.lot), number + layout.count - 1
        rolls = lot.roll_label(number) + (f" to {lot.roll_label(last)}" if layout.count > 1 else "")
        yield rolls, ", ".join(cut.drop for cut in layout.cuts)
        number = last + 1


def _shared(part: Section, names: Sequence[str]) -> Iterator[tuple[str, str]]:
    for number, roll in enumerate(part.rolls, 1):
        stretches = runs(roll)
        if len(stretches) > 1:
            yield part.lot.roll_label(number), "; ".join(names[part.first + room] for room, _ in stretches)
