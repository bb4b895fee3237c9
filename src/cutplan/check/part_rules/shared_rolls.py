"""Parts that are cut from the same rolls: every drop of each is one of theirs, and hangs where its part has it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import suppress
from fractions import Fraction
from typing import Final

from msgspec.structs import replace

from cutplan.check.part_rules.stated_parts import Planned
from cutplan.check.report import Report, Violation, together
from cutplan.check.roll_rules.what_fits_where import WantedDrop
from cutplan.check.stated.echo import Wanted, read_wanted, with_units
from cutplan.check.stated.exact_lengths import read_length
from cutplan.check.stated.fields import Table
from cutplan.check.wall_rules.on_the_wall import judge_wall, read_wall, with_drops

_ALIKE: Final = ("units", "equal_strips")
_OF_THE_FIRST: Final = ("cutting", "pace")


def parts_by_themselves(document: Table, planned: Mapping[str, Planned]) -> tuple[dict[str, Planned], Report]:
    """Return the plans of a job's parts, of those that share rolls one by one; and the judgement of these.

    What is unreadable is noted in the document's table.
    """
    apart, reports = dict(planned), []
    for entry in document.tables("parts"):
        name, bands = entry.text("part"), list(entry.tables("bands"))
        if not bands or name not in planned:
            continue
        rolls = planned[name]
        drops: dict[str, WantedDrop] = {}
        del apart[name]
        own: dict[str, Planned] = {}
        for table in bands:
            part, scenario = table.text("band"), table.needed_table("scenario")
            wanted, wall = read_wanted(scenario), None
            if wanted.is_survey:
                wall = read_wall(table, scenario, wanted)
                if wall is None:
                    continue
                wanted = with_drops(replace(wanted, lots=rolls.wanted.lots), wall)
                reports.append(judge_wall(rolls.wanted, rolls.plan, wall).within(part))
            for label, drop in wanted.drops.items():
                called = label if wanted.is_survey else f"{part} {label}"
                drops[called] = replace(drop, label=called, wall=f"{drop.wall}, {part}")
            apart[part] = own[part] = Planned(scenario.values, wanted, wall, rolls.plan)
        if not document.faults:
            reports.append(Report((*_drops_rule(name, rolls.wanted, drops), *_scenario_rule(name, rolls, own))))
    return apart, together(*reports)


def _drops_rule(name: str, wanted: Wanted, drops: Mapping[str, WantedDrop]) -> Iterator[Violation]:
    """Require the drops that are cut from the same rolls to be just those of the parts, part after part."""
    for label in sorted({*wanted.drops} ^ {*drops}):
        yield Violation("parts", f"part {name!r}", f"drop {label!r} is not one of its parts, or is left out")
    for label, drop in wanted.drops.items():
        if label in drops and drop != drops[label]:
            yield Violation("parts", f"part {name!r}", f"drop {label!r} is another than hangs on the wall")
    if not {*wanted.drops} ^ {*drops} and [*wanted.drops] != [*drops]:
        yield Violation("parts", f"part {name!r}", "its drops are not listed part after part, as they hang")


def _scenario_rule(name: str, plan: Planned, parts: Mapping[str, Planned]) -> Iterator[Violation]:
    """Require parts that share rolls to be of one paper, cut as the first is, and what they have to be all of it."""
    first = {**next(iter(parts.values())).scenario}
    cutting = first.get("cutting")
    if isinstance(cutting, dict) and cutting.get("first_walls"):
        walls = {drop.wall for drop in plan.wanted.drops.values()}
        named = [f"{wall}, {part}" for wall in cutting["first_walls"] for part in parts]
        first["cutting"] = {**cutting, "first_walls": [wall for wall in named if wall in walls]}
    if any(paper_of(part) != paper_of(plan) for part in parts.values()):
        yield Violation("parts", f"part {name!r}", "paper of its plan is not that of each of its parts")
    for key in (*_ALIKE, *_OF_THE_FIRST):
        alike = [part.scenario for part in parts.values()] if key in _ALIKE else [first]
        if any(scenario.get(key) != plan.scenario.get(key) for scenario in alike):
            yield Violation("parts", f"part {name!r}", f"{key} of its plan is not that of each of its parts")
    for key in ("roll", "offcut"):
        entries = [part.scenario.get(key) for part in parts.values()]
        listed = [entry for each in entries if isinstance(each, list) for entry in each]
        told = plan.scenario.get(key) or []
        if key == "roll" and listed and isinstance(told, list) and not all(entries):
            # Some have none listed, so that more is bought: none has a price of its own, or in earlier files only that.
            tables = [entry for entry in listed if isinstance(entry, dict)]
            was_priced = not plan.wanted.buys_beside_hand
            listed = [_unpriced(entry) | ({"price": 0} if was_priced else {}) for entry in tables] + told[-1:]
            endless = [lot for lot in plan.wanted.rolls if lot.count is None]
            if [(lot.length, lot.price) for lot in endless] != [_as_sold(plan, was_priced=was_priced)]:
                yield Violation("parts", f"part {name!r}", "the rolls to be bought are not those of its paper")
        if listed != told:
            yield Violation("parts", f"part {name!r}", f"{key} of its plan is not what its parts have together")


def paper_of(plan: Planned) -> dict[str, object]:
    """Return the paper of a plan, the lengths of its table as lengths, however they are written."""
    table = with_units(Table("", plan.scenario, [])).needed_table("paper")
    read = dict(table.values)
    for key, value in table.values.items():
        with suppress(ValueError):
            read[key] = read_length(value, table.units)
    return {**read, "match": plan.wanted.match, "offset_direction": None}


def _unpriced(entry: Mapping[str, object]) -> dict[str, object]:
    return {key: told for key, told in entry.items() if key != "price"}


def _as_sold(plan: Planned, *, was_priced: bool) -> tuple[Fraction | None, Fraction | None]:
    """Return the length and the price of a roll to be bought; 1 where no price is told and one was needed."""
    price = plan.wanted.sold.price
    return plan.wanted.sold.roll_length, Fraction(1) if price is None and was_priced else price
