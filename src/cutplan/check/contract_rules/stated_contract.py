"""A contract as a document states it: its rooms, its ways of sharing rolls, and what each room gets of which roll."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import NamedTuple

from msgspec import Struct

from cutplan.check.part_rules.stated_parts import Planned
from cutplan.check.report import PlanUnreadable
from cutplan.check.stated.document import ListedProof, read_proof
from cutplan.check.stated.echo import with_units
from cutplan.check.stated.fields import Json, Table
from cutplan.check.stated.sold import Sold, read_sold
from cutplan.check.survey.surveyed import Survey, SurveyReader


class StatedOrder(NamedTuple):
    """A length to order, the bound on it, what is needed of one piece, what it costs; and what is ordered in all."""

    length: Fraction
    least: Fraction
    needed: Fraction | None
    cost: Fraction | None
    with_spare: StatedOrder | None


class RoomsAlike(Struct, frozen=True):
    """Rooms of one kind: ``part`` is the plan of one, ``surveyed`` the room that they mirror, None for no mirroring.

    ``written`` is its scenario; ``to_order`` what one of them orders, None for paper in rolls.
    """

    name: str
    count: int
    part: Planned
    surveyed: Survey | None
    written: Json
    to_order: StatedOrder | None = None


class Given(NamedTuple):
    """What a room gets of one roll: which cuts along it, from 1, as which of the room's drops."""

    roll: str
    cuts: tuple[int, ...]
    drops: tuple[str, ...]


class Listed(NamedTuple):
    """What a room gets, or one of its walls where each wall takes one batch: from which lot, and which cuts."""

    room: str
    wall: str | None
    lot: str
    given: tuple[Given, ...]

    @property
    def name(self) -> str:
        """What it is called."""
        return self.room if self.wall is None else f"{self.room}, {self.wall}"


class StatedTurns(NamedTuple):
    """Prices that bound rolls cut in order: of each turn how many rooms it is, and the price of each of its pieces."""

    is_search: bool
    scale: int
    turns: tuple[tuple[int, dict[str, int]], ...]


class StatedWay(Struct, frozen=True):
    """One way of sharing rolls; ``rooms`` are the rooms, or their walls, in order, with what each gets.

    ``turns`` and ``together``, prices of all rooms' pieces, bound it besides ``bound``; None where they do not.
    """

    name: str
    status: str
    rolls: int
    lower_bound: int
    to_buy: int
    cost: Fraction | None
    parts: tuple[Planned, ...]
    bound: Planned | None
    rooms: tuple[Listed, ...]
    turns: StatedTurns | None
    to_order: StatedOrder | None
    together: ListedProof | None = None


def read_rooms(contract: Table, parts: Mapping[str, Planned]) -> list[RoomsAlike]:
    """Return the rooms of a contract; faults go into its table."""
    contract.refuse_nulls()
    rooms = []
    for table in contract.tables("rooms"):
        name, count = table.label("room"), table.count("count")
        part = _part(table, "part", table.text("part"), parts)
        surveyed, written = None, {}
        if table.has("surveyed") and (scenario := table.table("surveyed")) is not None and part is not None:
            is_free = not part.wanted.match.repeat
            surveyed, written = SurveyReader(with_units(scenario), is_free=is_free).survey(), scenario.values
        if table.flag("mirrored") and surveyed is None:
            table.fault("surveyed", "is missing: the room that is mirrored")
        if table.flag("mirrored") is False and table.has("surveyed"):
            table.fault("mirrored", "is false, and the room that is mirrored is there")
        if part is not None:
            rooms.append(RoomsAlike(name, count, part, surveyed, written, table.one("to_order", _order)))
    return rooms


def _order(table: Table) -> StatedOrder:
    return _of_one_length(table)._replace(with_spare=table.one("with_spare", _of_one_length))


def _of_one_length(table: Table) -> StatedOrder:
    length, least = table.exact("length", "lower_bound")
    return StatedOrder(length, least, table.number("needed"), table.number("cost"), None)


def read_paper_sold(contract: Table) -> tuple[Sold, Json] | None:
    """Return how the paper of a contract is cut to order, and where that is written; None for paper in rolls."""
    paper = with_units(contract).table("paper") if contract.has("paper") else None
    return None if paper is None else (read_sold(paper), contract.values)


def read_lots(contract: Table) -> dict[str, tuple[int | None, str]] | None:
    """Return how many rolls each lot of a contract has, None for as many as needed, and its batch, by its label.

    None where a file of an earlier version does not say; faults go into the table.
    """
    if not contract.has("batches"):
        return None
    lots: dict[str, tuple[int | None, str]] = {}
    for table in contract.tables("batches"):
        label = table.label("roll")
        if label in lots:
            table.fault("roll", f"rolls of {label} are listed twice")
        lots[label] = table.whole("count", 1), table.optional_label("batch") or ""
    return lots


def read_ways(document: Table, parts: Mapping[str, Planned]) -> list[StatedWay]:
    """Return the ways of a contract; raises PlanUnreadable where something that must be there is not."""
    ways = [_way(table, parts) for table in document.tables("ways")]
    names = [way.name for way in ways]
    if len(set(names)) < len(names):
        document.fault("ways", "one of them is listed twice")
    if document.faults:
        raise PlanUnreadable(document.faults)
    return ways


def _way(table: Table, parts: Mapping[str, Planned]) -> StatedWay:
    name = table.word("way", ("pooled", "in order", "apart"))
    status = table.word("status", ("optimal", "feasible"))
    rolls, lower, buy = (table.count(key, 0) for key in ("rolls_needed", "lower_bound", "rolls_to_buy"))
    names = table.values.get("parts")
    named = [_part(table, "parts", each, parts) for each in (names if isinstance(names, list) else [])]
    to_order = table.one("to_order", _order)
    bound = _part(table, "bound_part", table.values["bound_part"], parts) if table.has("bound_part") else None
    whole = tuple(part for part in named if part is not None)
    if table.has("bound_in_turns") and name != "in order":
        table.fault("bound_in_turns", "bounds what is cut in order, and nothing else")
    cost, rooms, in_turns = table.number("cost"), table.each("rooms", _room), table.one("bound_in_turns", _turns)
    together = table.one("bound_together", read_proof)
    if together is not None and name == "apart":
        table.fault("bound_together", "bounds rooms that share rolls, and nothing else")
    return StatedWay(name, status, rolls, lower, buy, cost, whole, bound, rooms, in_turns, to_order, together)


def _room(table: Table) -> Listed:
    return Listed(table.label("room"), table.optional_label("wall"), table.label("lot"), table.each("rolls", _given))


def _turns(table: Table) -> StatedTurns:
    turns = tuple((turn.whole("rooms", 1) or 1, turn.whole_numbers("prices")) for turn in table.tables("turns"))
    return StatedTurns(table.one_of("by", ("prices", "search")) == "search", table.whole("scale", 1) or 1, turns)


def _part(table: Table, key: str, name: object, parts: Mapping[str, Planned]) -> Planned | None:
    if isinstance(name, str) and name in parts:
        return parts[name]
    table.fault(key, f"there is no plan of the part {name!r}")
    return None


def _given(table: Table) -> Given:
    cuts, drops = table.values.get("cuts"), table.values.get("drops")
    if (
        not isinstance(cuts, list)
        or not isinstance(drops, list)
        or len(cuts) != len(drops)
        or {*map(type, cuts)} - {int}
        or {*map(type, drops)} - {str}
    ):
        table.fault("cuts", "must be a list of numbers, and drops one of as many labels")
        return Given("", (), ())
    return Given(table.label("roll"), tuple(cuts), tuple(drops))
