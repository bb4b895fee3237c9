"""A survey summed up, to be looked over before it counts: a line for the paper, for each wall, for the start."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.lengths import show
from cutplan.wording import counted

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cutplan.room.walls import Wall
    from cutplan.scenario.read import Scenario


def survey_summary(scenario: Scenario) -> list[str]:
    """Return the lines that sum up a room and its paper, in the scenario's own units; none for a list of drops."""
    setting_out, units = scenario.setting_out, scenario.units
    if setting_out is None:
        return []
    paper, room, start = setting_out.paper, setting_out.room, setting_out.start
    pattern = paper.pattern
    match = "free match" if pattern.is_free else f"repeat {show(pattern.repeat, units)}"
    if pattern.offset:
        match += f", {show(pattern.offset, units)} lower to the right"
    width = "" if paper.width_as_sold is None else f" x {show(paper.width_as_sold, units)}"
    in_hand = sum(lot.count or 0 for lot in scenario.job.lots)
    strips, drops = counted(len(setting_out.columns), "strip"), counted(len(scenario.job.drops), "drop")
    way = f"{setting_out.way.value}; {'all round' if room.closes else 'one end to the other'}"
    return [
        f"  {paper.name}: rolls {show(paper.roll_length, units)}{width}, {match}",
        *(f"  {wall.name}: {', '.join(_of_wall(wall, units))}" for wall in room.walls),
        f"  start: {start.puts.value} at {show(start.at, units)} on {room.walls[start.wall].name}, {way}",
        f"  {strips}, {drops} to cut; {counted(in_hand, 'roll') if in_hand else 'no rolls'} in hand",
        *(f"  ? {doubt}" for doubt in scenario.doubts),
    ]


def _of_wall(wall: Wall, units: str) -> Iterator[str]:
    yield f"{show(wall.width, units)} wide"
    heights = [height for _, height in wall.top.points]
    yield f"{' to '.join(show(height, units) for height in sorted({min(heights), max(heights)}))} high"
    for opening in wall.openings:
        size = f"{show(opening.width, units)} x {show(opening.height, units)}"
        yield f"{opening.name} {size} at {show(opening.left, units)}"
    yield from (f"{fitting.name} at {show(fitting.left, units)}" for fitting in wall.fittings)
