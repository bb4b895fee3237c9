"""Bands that are cut from the same rolls: every drop of each is one of theirs, and hangs where its band has it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final, NamedTuple

from cutplan.check.part_rules.stated_parts import Planned
from cutplan.check.report import Report, Violation, together
from cutplan.check.stated.echo import read_wanted
from cutplan.check.wall_rules.on_the_wall import judge_wall, read_wall, with_drops

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from cutplan.check.roll_rules.what_fits_where import WantedDrop
    from cutplan.check.stated.document import ListedPlan
    from cutplan.check.stated.echo import Wanted
    from cutplan.check.stated.fields import Table

_ALIKE: Final = ("units", "paper", "trim", "cutting", "pace")
_LISTED: Final = ("roll", "offcut")


class Shared(NamedTuple):
    """What the plan of bands that share rolls wants, and what it lists."""

    planned: Planned
    plan: ListedPlan


def bands_apart(
    document: Table, planned: Mapping[str, Planned], shared: Mapping[str, Shared]
) -> tuple[dict[str, Planned], Report]:
    """Return the plans of a job's parts, those of bands that share rolls band by band; and the judgement of these.

    What is unreadable is noted in the document's table.
    """
    apart, reports = dict(planned), []
    for entry in document.tables("parts"):
        name = entry.text("part") or ""
        if not entry.has("bands") or name not in shared:
            continue
        rolls = shared[name]
        drops: dict[str, WantedDrop] = {}
        del apart[name]
        own: list[Planned] = []
        for table in entry.tables("bands"):
            band, scenario = table.text("band") or "", table.table("scenario")
            if scenario is None:
                table.fault("scenario", "is missing")
                continue
            wanted = read_wanted(scenario)
            wall = read_wall(table, scenario, wanted)
            if wall is None:
                continue
            wanted = with_drops(replace(wanted, lots=rolls.planned.wanted.lots), wall)
            broken, facts = judge_wall(rolls.planned.wanted, rolls.plan, wall)
            reports.append(Report(tuple(broken), tuple(facts)).within(band))
            drops |= {label: replace(drop, wall=f"{drop.wall}, {band}") for label, drop in wanted.drops.items()}
            apart[band] = Planned(scenario.values, wanted, wall)
            own.append(apart[band])
        if not document.faults:
            reports.append(Report(tuple(_drops_rule(name, rolls.planned.wanted, drops))))
            reports.append(Report(tuple(_scenario_rule(name, rolls.planned, own))))
    return apart, together(*reports)


def _drops_rule(name: str, wanted: Wanted, drops: Mapping[str, WantedDrop]) -> Iterator[Violation]:
    """Require the drops that are cut from the same rolls to be just those of the bands, band after band."""
    for label in sorted({*wanted.drops} ^ {*drops}):
        yield Violation("parts", f"part {name!r}", f"drop {label!r} is not one of its bands, or is left out")
    for label, drop in wanted.drops.items():
        if label in drops and drop != drops[label]:
            yield Violation("parts", f"part {name!r}", f"drop {label!r} is another than hangs on the wall")
    if not {*wanted.drops} ^ {*drops} and [*wanted.drops] != [*drops]:
        yield Violation("parts", f"part {name!r}", "its drops are not listed band after band, as they hang")


def _scenario_rule(name: str, plan: Planned, bands: list[Planned]) -> Iterator[Violation]:
    """Require bands that share rolls to be of one paper, cut alike, and what they have in hand to be all of it."""
    for key in _ALIKE:
        if any(band.scenario.get(key) != plan.scenario.get(key) for band in bands):
            yield Violation("parts", f"part {name!r}", f"{key} of its plan is not that of each of its bands")
    for key in _LISTED:
        listed: list[object] = []
        for band in bands:
            entries = band.scenario.get(key)
            listed += entries if isinstance(entries, list) else []
        if listed != (plan.scenario.get(key) or []):
            yield Violation("parts", f"part {name!r}", f"{key} of its plan is not what its bands have together")
