"""Bands and borders in one and the same paper as one job: their pieces, each called after its part, share the rolls."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from msgspec.structs import replace

from cutplan.job.beside import Beside, called_after, on_walls_of
from cutplan.job.drops import Drop, drops_of
from cutplan.paper.stock import Lot
from cutplan.parts.border_tables import USUAL_OF_BORDERS
from cutplan.parts.part import Part
from cutplan.scenario.read import Scenario, exactly, parsed_scenario
from cutplan.scenario.survey import SURVEY_KEYS
from cutplan.scenario.tables import Reading, Table
from cutplan.scenario.usual import ALONG_WALLS
from cutplan.scenario.write import drop_entry, plain, roll_entry
from cutplan.wording import unlike_all

STOCK: tuple[str, ...] = ("roll", "offcut")
"""What parts in one paper list of it is there for all of them."""


def together(parts: Sequence[Part], tables: Mapping[str, Table], text: str, source: str) -> list[Part]:
    """Return the parts that bands and borders make: those in one paper one part, in the place of the first of them.

    ``tables`` has for each its table, where faults are told. Raises ScenarioError where two list the same roll.
    """
    found: list[Part] = []
    done: set[str] = set()
    for part in parts:
        if part.name in done:
            continue
        alike = [other for other in parts if _is_of_one_paper(part.scenario, other.scenario)]
        done.update(other.name for other in alike)
        found.append(part if len(alike) < 2 else _one_job(alike, tables, text, source))  # noqa: PLR2004 - two share
    return found


def _is_of_one_paper(one: Scenario, other: Scenario) -> bool:
    """Return True when two parts are cut from the same rolls.

    Sheets of a numbered set serve for their own place only. Of paper that is cut to order either both have rolls, or
    none.
    """
    paper = one.job.paper.as_ordered
    is_alike = paper.sale.unit is None or ("roll" in one.document) == ("roll" in other.document)
    return one is other or (paper == other.job.paper.as_ordered and paper.sheets is None and is_alike)


def _one_job(parts: Sequence[Part], tables: Mapping[str, Table], text: str, source: str) -> Part:
    """Return parts as one: an ordinary scenario that lists their drops, part after part, as the first is worked."""
    names = [part.name for part in parts]
    name = " and ".join(filter(None, [", ".join(names[:-1]), names[-1]]))
    first, drops = parts[0].scenario, list(_drops(parts))
    whole = {key: value for key, value in first.document.items() if key not in (*SURVEY_KEYS, *STOCK, "drop")}
    whole |= {key: listed for key in STOCK if (listed := _in_hand([part.scenario for part in parts], key))}
    whole["drop"] = [plain(drop_entry(drop, is_free=first.is_free, trims=first.trims)) for drop in drops]
    cutting, first_walls = whole.get("cutting"), first.cutting.first_walls
    if isinstance(cutting, dict) and first_walls:
        walls = {drop.wall for drop in drops}
        named = [f"{wall}, {part}" for wall in first_walls for part in names if f"{wall}, {part}" in walls]
        whole["cutting"] = {**cutting, "first_walls": named}
    usual = USUAL_OF_BORDERS if parts[0].border is not None else {"height": ALONG_WALLS}
    reading = Reading(moved=dict.fromkeys(whole, tables[names[0]]), usual=usual)
    scenario = parsed_scenario({key: exactly(value) for key, value in whole.items()}, text, f"{source}/{name}", reading)
    bands = tuple((part.name, called_after(found, part.name)) for part in parts for _, found in part.set_out)
    scenario = replace(scenario, notes=(*scenario.notes, *_notes(parts, scenario, name)), bands=bands)
    return Part(name, parts[0].kind, scenario, sharing=tuple(_alone(parts, scenario)))


def _drops(parts: Sequence[Part]) -> Iterator[Drop]:
    for part in parts:
        own = [replace(drop, label=f"{part.name} {drop.label}") for drop in part.scenario.job.drops]
        for _, found in part.set_out:
            own = [*drops_of(called_after(found, part.name), *part.scenario.trims, counts_cut_outs=True)]
        yield from on_walls_of(own, part.name)


def _in_hand(scenarios: Sequence[Scenario], key: str) -> list[object]:
    """Return the rolls or the offcuts of all, and rolls to buy where some have none listed: only those then count."""
    entries = [each.document.get(key) for each in scenarios]
    listed = [entry for each in entries if isinstance(each, list) for entry in each]
    if key != "roll" or not listed or all(isinstance(each, list) for each in entries):
        return listed
    paper, label = scenarios[0].job.paper, unlike_all("roll", (str(entry.get("label")) for entry in listed))
    bought = roll_entry(Lot(label, paper.roll_length, count=None), is_free=True)
    # Of prices the paper's alone is left, by which none differ: the fewest are bought.
    return [*({key: told for key, told in entry.items() if key != "price"} for entry in listed), plain(bought)]


def _notes(parts: Sequence[Part], scenario: Scenario, name: str) -> Iterator[str]:
    """Yield how parts are cut from the same rolls, and what is to be known of borders among them."""
    yield f"{name} are cut from the same rolls, and what is written on a piece begins with its part"
    yield "hang each in its turn, and keep what is left of the rolls for the next"
    first = parts[0].scenario
    if any((part.scenario.cutting, part.scenario.pace) != (first.cutting, first.pace) for part in parts):
        yield f"all of them are cut in the order and at the pace of {parts[0].name}"
    for part in parts:
        if part.border is not None:
            yield from (f"{part.name}: {note}" for note in part.scenario.notes if note not in scenario.notes)


def _alone(parts: Sequence[Part], of_all: Scenario) -> Iterator[Part]:
    """Yield the parts by themselves, each with a note of where its rolls are planned, and with what hangs beside it."""
    drops, at = of_all.job.drops, 0
    why = "its rolls are cut for others too, whom compare counts and a plan of it alone leaves out"
    for part in parts:
        scenario, end = part.scenario, at + len(part.scenario.job.drops)
        beside = Beside(part.name, drops[:at], drops[end:])
        yield replace(
            part,
            scenario=replace(
                scenario,
                notes=(*scenario.notes, f"{why}: for the plan of all, {of_all.source}"),
                shared=(of_all, beside),
            ),
        )
        at = end
