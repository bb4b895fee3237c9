"""A file of several parts, taken apart: linings, bands and borders, each an ordinary scenario in one paper."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from functools import partial
from typing import Final

from msgspec.structs import replace

from cutplan.faults import Fault, ScenarioError
from cutplan.parts.bands import BAND_KEYS, OF_A_PART, Band, between_rails, lies_nowhere, read_bands
from cutplan.parts.border_tables import BORDER_KEYS, OF_A_BORDER, Border, border_part, let_in, rails_of, read_borders
from cutplan.parts.lining_part import hung_over, lining_part
from cutplan.parts.one_paper import together
from cutplan.parts.part import PART_KEYS, Part, PartedJob, PartKind
from cutplan.parts.rails import Rail, read_rails, stretches
from cutplan.room.walls import Room
from cutplan.scenario.cutting_table import HABIT_KEYS
from cutplan.scenario.lining_table import DAMP_KEYS, read_linings
from cutplan.scenario.material_table import read_materials
from cutplan.scenario.read import TOP_KEYS, Scenario, parsed_scenario, plain_document
from cutplan.scenario.survey import SURVEY_KEYS
from cutplan.scenario.survey.room_tables import read_room
from cutplan.scenario.survey.survey_written import room_tables
from cutplan.scenario.survey.wall_tables import read_walls
from cutplan.scenario.tables import Reading, Table, describe, reject_repeats
from cutplan.scenario.write import plain

ONE_PAPER: Final = "paper"
"""Name of the part that is the walls' one paper, from top to foot, where other parts stand beside it."""

_SHARED: Final = ("units", "trim", "cutting", "pace", *SURVEY_KEYS)
_TOP_KEYS: Final = (*(key for key in TOP_KEYS if key != "drop"), *PART_KEYS)


def parted_job(document: Mapping[str, object], text: str, source: str) -> PartedJob:
    """Return the job of several parts that a TOML document is; raises ScenarioError with every fault at once."""
    try:
        return _parted_job(document, text, source)
    except ScenarioError as error:
        raise ScenarioError(error.source, _with_those_of_parts(error.faults, document, text, source)) from None


def _parted_job(document: Mapping[str, object], text: str, source: str) -> PartedJob:
    reading = Reading()
    root = reading.root(document, _TOP_KEYS)
    root.read_units()
    surveyed = read_walls(root)
    room = read_room(root, surveyed)[1]
    borders = read_borders(root, surveyed, room)
    rails = read_rails(root, room, rails_of(borders))
    bands = _bands(root, rails, None if room is None else let_in(room, borders), _not_read(root, borders))
    linings = read_linings(root, room)
    _name_apart(
        [(lining.table, lining.part) for lining in linings]
        + [(band.table, band.name) for band in bands]
        + [(border.table, border.name) for border in borders]
    )
    names = [lining.part for lining in linings] + [band.name for band in bands if not band.is_bare]
    materials = tuple(read_materials(root, [*names, *(border.name for border in borders)]))
    if room is None or reading.has_faults:
        raise ScenarioError(source, reading.faults(text))
    read = {band.name: (band.table, _document(band, document)) for band in bands if not band.is_bare}
    made = _every(
        [partial(_band_part, name, table, own, text, source) for name, (table, own) in read.items()]
        + [partial(border_part, border, borders, room, document, (text, source)) for border in borders],
        source,
    )
    single, strips = made[: len(read)], made[len(read) :]
    tables = {name: table for name, (table, _) in read.items()} | {border.name: border.table for border in borders}
    parts = together([*single, *strips], tables, text, source)
    if not parts:
        raise ScenarioError(source, (Fault("band", "all of them are bare; give one a [band.paper]"),))
    job = PartedJob(tuple(parts), room, plain_document(document), source, materials)
    under = [lining_part(lining, job, text) for lining in linings]
    hanging = tuple(part.name for part in (*under, *single, *strips))
    over = (hung_over(part, under) for part in _said_apart(parts))
    return replace(job, parts=(*under, *over), hanging=hanging)


def _band_part(name: str, table: Table, document: Mapping[str, object], text: str, source: str) -> Part:
    scenario = _scenario(table, document, text, f"{source}/{name}")
    return Part(name, PartKind.BAND, replace(scenario, band=name if table.path else ""))


def _every(readings: Sequence[Callable[[], Part]], source: str) -> list[Part]:
    """Return what each of them reads; raises ScenarioError with the faults of all."""
    parts, faults = [], []
    for read in readings:
        try:
            parts.append(read())
        except ScenarioError as error:
            faults += [fault for fault in error.faults if fault not in faults]
    if faults:
        raise ScenarioError(source, tuple(faults))
    return parts


def _with_those_of_parts(
    faults: tuple[Fault, ...], document: Mapping[str, object], text: str, source: str
) -> tuple[Fault, ...]:
    """Return faults with those that each part has to itself, read without the others.

    A band is read with the walls as they are written; a lining and a border, whose pieces would follow from the walls,
    with one piece that stands for them.
    """
    root = Reading().root(document, _TOP_KEYS)
    bands = root.entries("band", BAND_KEYS, required=False, named_by="name") if root.has("band") else [root]
    borders = root.entries("border", BORDER_KEYS, required=False, named_by="name")
    damp, lining = (
        root.entries("damp_lining", DAMP_KEYS, required=False),
        root.table("lining", DAMP_KEYS, required=False),
    )
    shared = {key: value for key, value in document.items() if key in _SHARED}
    habits = {key: value for key, value in shared.items() if key in ("units", *HABIT_KEYS)}
    alone = [(table, OF_A_PART, shared) for table in bands if "paper" in table.values]
    for table in (*borders, *damp, *([] if lining is None else [lining])):
        paper: dict[str, object] = {"match": "free", "roll_length": "10 m"}
        paper |= {key: table.values[key] for key in ("roll_length", "price") if key in table.values}
        stand_in = {**habits, "paper": paper, "drop": [{"label": "1", "height": "1 mm"}]}
        alone.append((table, OF_A_BORDER, stand_in))
    found = {(fault.line, fault.what): fault for fault in faults}
    for table, keys, others in alone:
        own = {key: value for key, value in table.values.items() if key in keys}
        try:
            _scenario(table, {**others, **own}, text, source)
        except ScenarioError as error:
            told = [fault for fault in error.faults if keys is OF_A_PART or fault.where.startswith(f"{table.name}.")]
            found = {(fault.line, fault.what): fault for fault in told} | found
    return tuple(found.values())


def _said_apart(parts: Sequence[Part]) -> Iterator[Part]:
    """Yield the parts, those in one and the same paper that share none of it with a note of that."""
    for part in parts:
        scenario, paper = part.scenario, part.scenario.job.paper.as_ordered
        others = [other.name for other in parts if other != part and other.scenario.job.paper.as_ordered == paper]
        alike = (
            f"{', '.join(others)} is in this paper too: each is cut from paper of its own, and less might do for both"
        )
        yield replace(part, scenario=replace(scenario, notes=(*scenario.notes, alike))) if others else part


def _name_apart(named: Sequence[tuple[Table, str]]) -> None:
    reject_repeats(named, "name")
    for table, name in named:
        if "/" in name or "\\" in name:
            table.reject("name", "has a stroke in it, which stands between a file and its part; take it out")


def _not_read(root: Table, borders: Sequence[Border]) -> list[object]:
    """Return the names of borders at fault: a band may be told to lie over one of them."""
    told, read = root.values.get("border"), [border.name for border in borders]
    entries = told if isinstance(told, list) else []
    return [name for each in entries if isinstance(each, dict) and (name := each.get("name")) not in read]


def _bands(root: Table, rails: Sequence[Rail] | None, room: Room | None, not_read: Collection[object]) -> list[Band]:
    """Return the bands; where the file names none, the one paper of all the walls."""
    if not root.has("band") and not root.has("rail"):
        if room is None:
            return []
        rooms = [between_rails(room, *ends) for ends in stretches(rails)] if rails else [room]
        papered = [each for each in rooms if not lies_nowhere(each)]
        if rails and len(papered) > 1:
            named = f"[[band]] above = {describe(rails[0].name)}, and one below it"
            root.reject("band", f"there is none over and under what is let in along a slope; add {named}")
        return [Band(ONE_PAPER, root, each, is_bare=False) for each in papered[:1]]
    for key in (key for key in OF_A_PART if key not in _SHARED):
        if root.has(key):
            root.reject(key, f"each band has its own; write it as [band.{key}] below its [[band]]")
    return read_bands(root, rails, room, not_read)


def _document(band: Band, document: Mapping[str, object]) -> dict[str, object]:
    """Return one band as the document of an ordinary scenario: tables of its own, else those that the parts share."""
    own = {key: value for key, value in band.table.values.items() if key in OF_A_PART}
    survey = plain(room_tables(band.room))
    assert isinstance(survey, dict)  # noqa: S101 - what was a table stays one
    return {**{key: value for key, value in document.items() if key in _SHARED}, **survey, **own}


def _scenario(table: Table, document: Mapping[str, object], text: str, source: str) -> Scenario:
    """Return one band as an ordinary scenario; faults of what it has to itself are told in its table."""
    is_alone = not table.path
    moved: dict[object, Table] = (
        {} if is_alone else {key: table for key in OF_A_PART if key in table.values or key not in document}
    )
    return parsed_scenario(document, text, source, Reading(moved=moved))
