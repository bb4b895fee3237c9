"""Reading a contract: a TOML file that names the files of its rooms."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from msgspec.structs import replace

from cutplan.contract.rooms import Contract, OneBatchTo, RoomKind, SharingWay
from cutplan.faults import ScenarioError
from cutplan.lengths import ZERO
from cutplan.paper.stock import Lot, Paper
from cutplan.parts.read_parts import read_scenario
from cutplan.room.finding import RoomError
from cutplan.scenario.read import Scenario, parse_scenario, scenario_of
from cutplan.scenario.sale_keys import ORDER_KEYS
from cutplan.scenario.survey import SURVEY_KEYS
from cutplan.scenario.survey.survey_written import survey_tables
from cutplan.scenario.tables import Reading, Table, describe, reject_repeats
from cutplan.scenario.toml_file import parse_toml, read_text
from cutplan.scenario.write import plain, toml_document
from cutplan.setting_out.mirrored import set_out_mirrored

_TOP_KEYS: Final = ("contract", "rooms", "roll")
_CONTRACT_KEYS: Final = ("ways", "spare", "one_batch_to")
_ROOMS_KEYS: Final = ("name", "file", "count", "mirrored")
_ROLL_KEYS: Final = ("label", "count", "batch")
MOST_ROOMS: Final = 100_000
"""No contract has more rooms: a larger number is a slip of the finger."""


def read_contract(path: str) -> Contract:
    """Return the contract in the file at ``path``, with its rooms, whose files are named from its folder.

    ScenarioError when it, or the file of a room, cannot be read or planned.
    """
    text, source = read_text(path)
    reading = Reading()
    root = reading.root(parse_toml(text, source), _TOP_KEYS)
    table = root.table("contract", _CONTRACT_KEYS, required=False)
    ways = _read_ways(table)
    example = "spare = 5"
    spare = None if table is None else table.number("spare", 100, of="per cent from 0 to 100", example=example)
    to = None if table is None else table.choice("one_batch_to", [each.value for each in OneBatchTo], required=False)
    entries = root.entries("rooms", _ROOMS_KEYS, named_by="name")
    if root.values.get("rooms") == []:
        root.reject("rooms", "is an empty list; add a [[rooms]] with the file of each room")
    kinds = [kind for entry in entries for kind in _read_rooms(entry, Path(source).parent)]
    _reject_unlike(kinds)
    if sum(kind.count for _, kind in kinds) > MOST_ROOMS:
        root.reject("rooms", f"are more than {MOST_ROOMS} in all; are the counts right?")
    lots = _read_rolls(root, kinds[0][1].scenario.job.paper if kinds else None)
    for entry, kind in kinds if to == OneBatchTo.WALL.value else ():
        if None in kind.walls:
            entry.reject("file", f"{kind.scenario.source} has a drop without a wall, and each wall takes one batch")
    if reading.has_faults:
        raise ScenarioError(source, reading.faults(text))
    rooms, part = tuple(kind for _, kind in kinds), (spare or ZERO) / 100
    return Contract(rooms, lots, ways, part, source, OneBatchTo(to or OneBatchTo.ROOM))


def _read_ways(table: Table | None) -> tuple[SharingWay, ...]:
    words = None if table is None else table.raw("ways")
    if table is None or words is None:
        return tuple(SharingWay)
    known = [way.value for way in SharingWay]
    unknown = [word for word in words if word not in known] if isinstance(words, list) else [words]
    if unknown or not words:
        told = describe(unknown[0]) if unknown else "an empty list"
        table.reject("ways", f"must be a list of {', '.join(map(describe, known))}, not {told}")
        return ()
    assert isinstance(words, list)  # noqa: S101 - all else is unknown
    return tuple(way for way in SharingWay if way.value in words)


def _read_rooms(entry: Table, folder: Path) -> list[tuple[Table, RoomKind]]:
    """Return the rooms of one entry: those set out as surveyed, then those mirrored."""
    file = entry.text("file")
    name = entry.label("name", required=False) or Path(file or "").stem
    count = entry.whole("count", required=False) or 1
    mirrored = 0 if entry.values.get("mirrored") == 0 else entry.whole("mirrored", required=False) or 0
    if mirrored > count:
        entry.reject("mirrored", f"is {mirrored} of {count}; it says how many of the rooms counted are mirrored")
    if file is None:
        return []
    try:
        scenario = read_scenario(f"{folder}/{file}")  # a text, so that "-" is a file too, and not standard input
    except ScenarioError as error:
        for line in error.lines()[:-1]:
            entry.reject("file", line)
        return []
    if "sheets" in scenario.document:
        entry.reject("file", f"{file} is hung with numbered sheets, which no other room can share; plan it by itself")
    if scenario.job.paper.sale.unit is not None and scenario.job.paper.sale.packet > 1:
        entry.reject("file", f"{file} is slit from goods with several lengths across; order for each room by itself")
        return []
    for key in ("roll", "offcut"):
        if key in scenario.document:
            entry.reject("file", f"{file} has a [[{key}]]; rolls belong to the contract, so take it out of the room")
    rooms = [(entry, _kind(name, count - mirrored, scenario))] if count > mirrored else []
    if mirrored and (other := _mirrored(entry, scenario)) is not None:
        rooms.append((entry, _kind(f"{name} mirrored" if rooms else name, mirrored, other, scenario)))
    return rooms


def _kind(name: str, count: int, scenario: Scenario, surveyed: Scenario | None = None) -> RoomKind:
    """Return rooms alike, their rolls those of the shop where the paper is cut to order."""
    if scenario.ordered is None:
        return RoomKind(name, count, scenario, surveyed)
    paper = scenario.document["paper"]
    assert isinstance(paper, dict)  # noqa: S101 - it was read
    whole = {key: value for key, value in paper.items() if key not in ORDER_KEYS}
    return RoomKind(
        name, count, scenario_of({**scenario.document, "paper": whole}, scenario.source), surveyed, scenario
    )


def _mirrored(entry: Table, scenario: Scenario) -> Scenario | None:
    if scenario.setting_out is None:
        what = f"{scenario.source} lists drops; only a surveyed room can be mirrored, so survey it in [[wall]]"
        entry.reject("mirrored", f"{what}, or list the mirrored room's own drops in another file")
        return None
    try:
        return mirrored_scenario(scenario)
    except (RoomError, ScenarioError) as error:
        entry.reject("mirrored", f"{scenario.source} mirrored cannot be set out: {error}")
        return None


def mirrored_scenario(scenario: Scenario) -> Scenario:
    """Return a surveyed room's scenario with the room mirrored and the paper as it is.

    RoomError or ScenarioError when the mirrored room cannot be set out.
    """
    assert scenario.setting_out is not None  # noqa: S101 - the caller has looked
    kept = {key: value for key, value in scenario.document.items() if key not in SURVEY_KEYS}
    survey = plain(survey_tables(set_out_mirrored(scenario.setting_out)))
    assert isinstance(survey, dict)  # noqa: S101 - what was a table stays one
    return parse_scenario(toml_document({**kept, **survey}), f"{scenario.source}, mirrored")


def _reject_unlike(kinds: list[tuple[Table, RoomKind]]) -> None:
    reject_repeats([(entry, kind.name) for entry, kind in kinds], "name")
    for entry, kind in kinds[1:]:
        first, paper = ((each.to_order or each.scenario).job.paper.as_ordered for each in (kinds[0][1], kind))
        other = [name for name in paper.__struct_fields__ if getattr(paper, name) != getattr(first, name)]
        if other and kind.surveyed is None:
            what = "; a contract is in one paper, so write [paper] alike in every file"
            entry.reject(
                "file", f"its paper differs from that of {kinds[0][1].scenario.source} in {', '.join(other)}{what}"
            )


def _read_rolls(root: Table, paper: Paper | None) -> tuple[Lot, ...]:
    """Return the rolls of a contract; none where no room could be read, though their faults are told."""
    tables = root.entries("roll", _ROLL_KEYS, required=False)
    labelled = [(table, table.label()) for table in tables]
    reject_repeats(labelled)
    counted = [(table.whole("count", required=False) or 1, table.code("batch", required=False)) for table in tables]
    for number, (table, (_, batch)) in enumerate(zip(tables, counted, strict=True)):
        if batch in [earlier for _, earlier in counted[:number]]:
            table.reject(
                "batch", "is that of an earlier entry too; write all rolls of a batch as one, with their count"
            )
    if paper is None:
        return ()
    whole = Lot("roll", paper.roll_length, count=None, price=paper.price)
    lots = (
        replace(whole, label=label, count=count, batch=batch)
        for (_, label), (count, batch) in zip(labelled, counted, strict=True)
        if label is not None
    )
    return tuple(lots) or (whole,)
