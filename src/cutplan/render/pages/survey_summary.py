"""A survey summed up, to be looked over before it counts: a line for the paper, for each wall, for the start."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.lengths import show
from cutplan.wording import counted

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cutplan.lengths import Length
    from cutplan.room.profile import Profile
    from cutplan.room.walls import Wall
    from cutplan.scenario.read import Scenario


def survey_summary(scenario: Scenario) -> list[str]:
    """Return the lines that sum up the room and its paper, in the scenario's own units."""
    setting_out = scenario.setting_out
    if setting_out is None:
        return []
    return [*_summed(scenario), *(f"  ? {doubt}" for doubt in scenario.doubts)]


def _summed(scenario: Scenario) -> Iterator[str]:
    setting_out, units = scenario.setting_out, scenario.units
    if setting_out is None:
        return
    paper, room = setting_out.paper, setting_out.room
    width = "" if paper.roll_width is None else f" x {show(paper.roll_width, units)}"
    match = "free match" if paper.pattern.is_free else f"repeat {show(paper.pattern.repeat, units)}"
    if paper.pattern.offset:
        match += f", {show(paper.pattern.offset, units)} lower to the right"
    yield f"  {paper.name}: rolls {show(paper.roll_length, units)}{width}, {match}"
    for wall in room.walls:
        yield f"  {wall.name}: {', '.join(_of_wall(wall, units))}"
    start = setting_out.start
    closes = "all round" if room.closes else "one end to the other"
    yield (
        f"  start: {start.puts.value} at {show(start.at, units)} on {room.walls[start.wall].name}, "
        f"{setting_out.way.value}; {closes}"
    )
    strips, drops = counted(len(setting_out.columns), "strip"), counted(len(scenario.job.drops), "drop")
    in_hand = sum(lot.count or 0 for lot in scenario.job.lots)
    yield f"  {strips}, {drops} to cut; {counted(in_hand, 'roll') if in_hand else 'no rolls'} in hand"


def _of_wall(wall: Wall, units: str) -> Iterator[str]:
    yield f"{show(wall.width, units)} wide"
    yield f"{_heights(wall.top, units)} high"
    for opening in wall.openings:
        size = f"{show(opening.width, units)} x {show(opening.height, units)}"
        yield f"{opening.name} {size} at {show(opening.left, units)}"
    yield from (f"{fitting.name} at {show(fitting.left, units)}" for fitting in wall.fittings)


def _heights(top: Profile, units: str) -> str:
    heights: list[Length] = sorted({height for _, height in top.points})
    return show(heights[0], units) if len(heights) == 1 else f"{show(heights[0], units)} to {show(heights[-1], units)}"
