"""Bands in one and the same paper as one job: their drops, each called after its band, are cut from the same rolls."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from cutplan.job.drops import drops_of
from cutplan.parts.part import Part, PartKind
from cutplan.scenario.read import Scenario, parsed_scenario
from cutplan.scenario.survey import SURVEY_KEYS
from cutplan.scenario.tables import Reading
from cutplan.scenario.write import drop_entry, plain

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from cutplan.scenario.tables import Table
    from cutplan.setting_out import SettingOut

STOCK: tuple[str, ...] = ("roll", "offcut")
"""What bands in one paper list of it is there for all of them."""


def together(
    bands: Sequence[Part], tables: Mapping[str, tuple[Table, Mapping[str, object]]], text: str, source: str
) -> list[Part]:
    """Return the parts that bands make: those in one paper one part, in the place of the first of them.

    ``tables`` has for each band its table, where faults are told, and the ordinary scenario that was read of it.
    Raises ScenarioError where two bands list the same roll.
    """
    parts: list[Part] = []
    done: set[str] = set()
    for band in bands:
        if band.name in done:
            continue
        alike = [other for other in bands if _is_of_one_paper(band.scenario, other.scenario)]
        done.update(other.name for other in alike)
        parts.append(band if len(alike) < 2 else _one_job(alike, tables, text, source))  # noqa: PLR2004 - two share
    return parts


def _is_of_one_paper(one: Scenario, other: Scenario) -> bool:
    """Return True when two bands are cut from the same rolls: one paper, cut alike, and in hand for both or neither.

    Sheets of a numbered set serve for their own place only, and of equal strips each wall is cut to its own width.
    """
    papers = one.job.paper, other.job.paper
    return one is other or (
        papers[0] == papers[1]
        and papers[0].sheets is None
        and papers[0].edge_trim is None
        and _cut_alike(one) == _cut_alike(other)
    )


def _cut_alike(scenario: Scenario) -> tuple[object, ...]:
    drop = scenario.job.drops[0]
    return drop.trim_top, drop.trim_bottom, scenario.cutting, scenario.pace, "roll" in scenario.document


def _one_job(
    bands: Sequence[Part], tables: Mapping[str, tuple[Table, Mapping[str, object]]], text: str, source: str
) -> Part:
    """Return bands as one part: an ordinary scenario that lists their drops, band after band."""
    names = [band.name for band in bands]
    name = " and ".join(filter(None, [", ".join(names[:-1]), names[-1]]))
    set_out = tuple((band.name, _named(band)) for band in bands)
    first, document = tables[names[0]]
    whole = {key: value for key, value in document.items() if key not in (*SURVEY_KEYS, *STOCK)}
    for key in STOCK:
        listed = [entry for band in names for entry in _listed(tables[band][1].get(key))]
        whole |= {key: listed} if listed else {}
    whole["drop"] = [entry for band, (_, found) in zip(bands, set_out, strict=True) for entry in _drops(band, found)]
    reading = Reading(moved=dict.fromkeys(whole, first))
    scenario = parsed_scenario(whole, text, f"{source}/{name}", reading)
    said = f"{name} are cut from the same rolls, and what is written on a piece begins with its band"
    order = "hang each band in its turn, and keep what is left of the rolls for the next"
    scenario = replace(scenario, notes=(*scenario.notes, said, order), bands=set_out)
    return Part(name, PartKind.BAND, scenario, bands=tuple(_alone(band, name, source) for band in bands))


def _named(band: Part) -> SettingOut:
    """Return where a band's drops hang, each called after the band."""
    found = band.scenario.setting_out
    assert found is not None  # noqa: S101 - a band is surveyed
    pieces = tuple(replace(piece, name=f"{band.name} {piece.label}") for piece in found.pieces)
    return replace(found, pieces=pieces)


def _drops(band: Part, found: SettingOut) -> Iterator[object]:
    job = band.scenario.job
    trims = job.drops[0].trim_top, job.drops[0].trim_bottom
    for drop in drops_of(found, *trims, counts_cut_outs=True):
        own = replace(drop, wall=f"{drop.wall}, {band.name}")
        yield plain(drop_entry(own, is_free=job.paper.pattern.is_free))


def _listed(entries: object) -> list[object]:
    return entries if isinstance(entries, list) else []


def _alone(band: Part, name: str, source: str) -> Part:
    """Return one of the bands by itself, with a note of where its rolls are planned."""
    scenario = band.scenario
    note = f"it is cut from the same rolls as the others of {name}: for the plan of all, {source}/{name}"
    return replace(band, scenario=replace(scenario, notes=(*scenario.notes, note)))
