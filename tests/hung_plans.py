"""Plan documents of surveyed rooms, for the tests of the checker on the wall.

The rolls are packed here one drop behind another, as close as the print allows: nothing is optimal and nothing is
claimed to be, for what hangs on the wall does not depend on it.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import cycle
from typing import TYPE_CHECKING, Any, Final, TypeAlias

from cutplan.job.drops import drops_of
from cutplan.job.job import Job
from cutplan.job.print_along import motif_along
from cutplan.paper.stock import Lot
from cutplan.plan.plan import Cut, Plan, RollLayout
from cutplan.plan.proof import Proof
from cutplan.render.documents.plan_document import plan_document
from cutplan.scenario.read import Scenario, parse_scenario
from cutplan.setting_out import FinishOver

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cutplan.job.drops import Drop
    from cutplan.room.profile import Profile
    from cutplan.room.walls import Corner, Opening, Wall
    from cutplan.setting_out import Finish, SettingOut
    from surveyed_rooms import Survey

Document: TypeAlias = dict[str, Any]

TRIMS: Final = (Fraction(50), Fraction(50))


def document_of_text(text: str) -> Document:
    """Return a plan document of a scenario that is a survey, read and set out by the planner."""
    scenario = parse_scenario(text, "room.toml")
    return plan_document(plan_of(scenario.job), scenario)


def document_of_survey(survey: Survey, setting_out: SettingOut, first_motifs: Sequence[Fraction | None]) -> Document:
    """Return a plan document of a room that is set out, from as many rolls as there are first motifs and more.

    A first motif of None is a sealed roll.
    """
    echo = _echo(survey)
    drops = drops_of(setting_out, *TRIMS)
    longest = max(drop.cut_length for drop in drops) + 2 * survey.paper.pattern.repeat
    lots = tuple(
        Lot(f"{number}", 2 * longest, None if motif is None else survey.paper.pattern.within_repeat(motif))
        for number, (motif, _) in enumerate(zip(cycle(first_motifs), drops, strict=False), start=1)
    )
    echo["roll"] = [
        {"label": lot.label, "length": _mm(lot.length)}
        | ({} if lot.first_motif is None else {"first_motif": _mm(lot.first_motif)})
        for lot in lots
    ]
    job = Job(survey.paper, lots, drops)
    return plan_document(plan_of(job), Scenario(job, "mm", (), echo, "room.toml", setting_out))


def plan_of(job: Job) -> Plan:
    """Return a plan that fills roll after roll with the drops in their order, proving nothing."""
    stock = _rolls(job)
    lot, number = next(stock)
    layouts: list[RollLayout] = []
    cuts: list[Cut] = []
    for drop in job.drops:
        cut = _next_cut(job, lot, cuts, drop)
        while cut.end > lot.length:
            if cuts:
                layouts.append(RollLayout(lot.label, number, 1, tuple(cuts)))
            lot, number = next(stock)
            cuts = []
            cut = _next_cut(job, lot, cuts, drop)
        cuts.append(cut)
    layouts.append(RollLayout(lot.label, number, 1, tuple(cuts)))
    return Plan(job, tuple(layouts), Proof(Fraction(0), None, by_search=False))


def _rolls(job: Job) -> Iterator[tuple[Lot, int]]:
    for lot in job.lots:
        for number in range(1, 1_000 if lot.count is None else lot.count + 1):
            yield lot, number


def _next_cut(job: Job, lot: Lot, cuts: list[Cut], drop: Drop) -> Cut:
    pattern = job.paper.pattern
    start = pattern.repeat if lot.first_motif is None else Fraction(0)
    datum = lot.first_motif
    if cuts:
        start = cuts[-1].end
    if datum is None and cuts:
        datum = cuts[0].start + motif_along(pattern, lot, job.drop(cuts[0].drop))
    if datum is not None:
        start += pattern.within_repeat(datum - motif_along(pattern, lot, drop) - start)
    return Cut(drop.label, start, start + drop.cut_length)


# The echo of a survey that was never written down.


def _echo(survey: Survey) -> Document:
    room, paper, start = survey.room, survey.paper, survey.start
    repeat, offset = paper.pattern.repeat, paper.pattern.offset
    walls = [_wall(wall) | _corner(room.corner_right_of(number)) for number, wall in enumerate(room.walls)]
    echo: Document = {
        "paper": {
            "roll_length": _mm(paper.roll_length),
            "roll_width": _mm(paper.roll_width or Fraction(0)),
            "match": f"{_mm(repeat)}/{_mm(offset)}" if repeat else "free",
            "offset_direction": "down",
            "motif_from_left": _mm(paper.motif_from_left or Fraction(0)),
            "wet_growth": float(paper.wet_growth * 100),
        },
        "room": {"closes": room.closes},
        "wall": walls,
        "start": {
            "wall": room.walls[start.wall].name,
            "at": _mm(start.at),
            "puts": start.puts.value,
            "motif_drop": _mm(start.motif_drop),
            "way": survey.way.value,
        },
    }
    if room.level_line is not None:
        echo["room"]["level_line"] = _mm(room.level_line)
    if survey.finish is not None:
        echo["finish"] = _finish(survey, survey.finish)
    return echo


def _wall(wall: Wall) -> Document:
    return {
        "name": wall.name,
        "width": _mm(wall.width),
        "top": _profile(wall.top),
        "foot": _profile(wall.foot),
        "opening": [_opening(opening) for opening in wall.openings],
    }


def _profile(profile: Profile) -> object:
    if profile.level is not None:
        return _mm(profile.level)
    return [[_mm(along), _mm(height)] for along, height in profile.points]


def _opening(opening: Opening) -> Document:
    return {
        "kind": opening.kind.value,
        "name": opening.name,
        **{key: _mm(getattr(opening, key)) for key in ("left", "width", "foot", "height", "reveal")},
    }


def _corner(corner: Corner | None) -> Document:
    if corner is None:
        return {}
    return {
        "corner": corner.kind.value,
        "turn": _mm(corner.turn),
        "lap": _mm(corner.lap),
        "true_corner": corner.is_true,
    }


def _finish(survey: Survey, finish: Finish) -> Document:
    wall = survey.room.walls[finish.wall]
    if isinstance(finish, FinishOver):
        return {"wall": wall.name, "over": wall.openings[finish.opening].name}
    return {"wall": wall.name, "at": _mm(finish.at)}


def _mm(length: Fraction) -> str:
    """Return an exact length with its unit, a broken one as a mixed number: ``213 1/3 mm``."""
    whole, rest = divmod(length, 1)
    return f"{whole} {rest} mm" if rest else f"{whole} mm"
