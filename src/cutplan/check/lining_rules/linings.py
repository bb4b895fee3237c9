"""The linings of a job: every one that is asked for has a part and a plan, and lies clear of the papers over it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction
from typing import Final

from cutplan.check.lining_rules.lined_room import LinedRoom
from cutplan.check.lining_rules.lining_on_wall import PaperJoint, judge_lining
from cutplan.check.lining_rules.stated_lining import read_lining
from cutplan.check.part_rules.stated_parts import PartedRoom, Planned
from cutplan.check.report import PlanUnreadable, Report, Violation, together
from cutplan.check.stated.echo import with_units
from cutplan.check.stated.fields import NOTHING, Table

_OF_ITS_PAPER: Final = ("name", "roll_length", "roll_width", "price")
_OF_A_LENGTH: Final = frozenset(("label", "height", "wall", "left", "right", "cut_outs"))
_SHARED: Final = ("units", "cutting", "pace")
DAY: Final = Fraction(24 * 60)
"""Minutes of a day."""
USUAL_DRYING: Final = 24
"""Hours that a lining dries where the scenario says nothing."""


def judge_linings(document: Table, room: PartedRoom, planned: Mapping[str, Planned]) -> Report:
    """Return the judgement of the linings of a job; none where none is asked for."""
    scenario = with_units(document.needed_table("scenario"))
    asked = dict(linings_asked(scenario))
    said = {entry.text("part"): entry for entry in document.tables("parts")}
    named = {name for name, kind in room.kinds.items() if kind == "lining"}
    reports = [
        Report((Violation("lining", name, "is asked for or has a part, and not both"),))
        for name in sorted(asked.keys() ^ named)
    ]
    lined = LinedRoom(room.walls, closes=room.closes)
    paper = sorted(set(_paper_joints(lined, planned.values())))
    for name in sorted(asked.keys() & named):
        lining = read_lining(asked[name], said[name], room.walls)
        if lining is None:
            raise PlanUnreadable(document.faults)
        if name in planned:
            reports.append(Report(tuple(_rolls_rule(name, scenario, asked[name], planned[name]))))
            reports.append(judge_lining(name, lined, lining, planned[name].wanted, paper))
        else:
            reports.append(Report((Violation("lining", name, "has no plan"),)))
    return together(*reports, Report(tuple(_days_rule(document, asked))))


def _rolls_rule(name: str, scenario: Table, asked: Table, planned: Planned) -> Iterator[Violation]:
    """Require a plan to be for the rolls, the pace and the order of cutting that are asked for."""
    plan, paper = planned.scenario, planned.scenario.get("paper")
    told = {**asked.values, "name": asked.values.get("name", name)}
    bought = paper if isinstance(paper, dict) else {}
    others = [
        key for key in {**bought, **dict.fromkeys(_OF_ITS_PAPER)} if key != "match" and bought.get(key) != told.get(key)
    ]
    for key in sorted({*plan, "roll", *_SHARED} - {"paper", "trim", "drop"}):
        shared = planned.shared(scenario.values, key) if key in _SHARED else None
        if plan.get(key) != asked.values.get(key, shared):
            others.append(key)
    listed = plan.get("drop")
    others += sorted({key for drop in (listed if isinstance(listed, list) else []) for key in drop} - _OF_A_LENGTH)
    for key in others:
        yield Violation("lining", name, f"{key} of its plan is not what the whole scenario says of it")


def _days_rule(document: Table, asked: Mapping[str, Table]) -> Iterator[Violation]:
    """Require a part to begin on a day on which the one before is done, and dry where it lines the walls.

    Where days are told every part has one, once.
    """
    days = list(document.tables("days"))
    acts = {
        plan.text("part"): [act.exact("begin", "minutes") for act in plan.tables("timetable")]
        for plan in (document.tables("plans") if days else ())
    }
    named = Counter(entry.text("part") for entry in days)
    for name in sorted(acts):
        if named[name] != 1:
            yield Violation("days", name, f"has {named[name]} days, and must have one")
    free = NOTHING
    for entry in days:
        name, day = entry.text("part"), entry.whole("day", 1)
        timed = acts.get(name)
        if day is None or not timed:
            yield Violation("days", name, "has a day, and its plan has no timetable")
            continue
        begun, done = min(begin for begin, _ in timed), max(begin + minutes for begin, minutes in timed)
        early = free - (day - 1) * DAY - begun
        if early > 0:
            yield Violation("days", name, f"begins {early} minutes before what it hangs over is dry", early)
        dries = asked[name].whole("dries", 1) or USUAL_DRYING if name in asked else 0
        free = (day - 1) * DAY + done + 60 * dries


def linings_asked(scenario: Table) -> Iterator[tuple[str, Table]]:
    """Yield the linings of a scenario by the names that their parts have."""
    damp = list(scenario.tables("damp_lining"))
    for number, table in enumerate(damp, 1):
        yield "damp-lining" if len(damp) == 1 else f"damp-lining-{number}", table
    lining = scenario.table("lining")
    if lining is not None:
        yield "lining", lining


def _paper_joints(room: LinedRoom, planned: Iterable[Planned]) -> Iterator[PaperJoint]:
    """Yield the edges of all papers' strips on the wall, but those in internal corners and at the run's ends."""
    *lefts, length = room.lefts
    corners = {lefts[wall] for wall in range(len(lefts)) if room.is_internal(wall)}
    corners |= {length} if not room.closes or room.is_internal(0) else set()
    for plan in planned:
        if plan.wall is None:
            continue
        panels = (panel for column in plan.wall.hung.columns for panel in column.panels)
        for panel in (panel for panel in panels if panel.wall < len(lefts)):
            wall = plan.wall.survey.walls[panel.wall]
            for at in (panel.left, panel.right):
                place = lefts[panel.wall] + at
                if place not in corners and 0 <= at <= wall.width:  # beyond its wall, a piece is refused elsewhere
                    yield place % length, min(wall.foot.at(at)), max(wall.top.at(at))
