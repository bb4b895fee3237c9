"""Pictures drawn: of walls, rolls or the table, and of the whole walls of a job of several parts."""

from __future__ import annotations

from collections.abc import Sequence

import cutplan
from cutplan.cli.in_and_out import job_from, print_told
from cutplan.cli.plan_work import solved
from cutplan.cli.terminal import UsageError
from cutplan.parts.part import PartedJob
from cutplan.render.drawing.lining_picture import lining_pictures
from cutplan.render.drawing.parts_picture import parts_pictures
from cutplan.render.drawing.picture import Picture, stacked
from cutplan.render.drawing.roll_picture import roll_pictures
from cutplan.render.drawing.table_picture import table_pictures
from cutplan.render.drawing.wall_picture import WallPicture, wall_pictures
from cutplan.scenario.read import Scenario


def pictures_of(source: str, what: str, time_limit: float, units: str | None) -> str:
    """Return what is to be drawn of a scenario, or the whole walls of a job of several parts, as one SVG picture."""
    read = job_from(source)
    if isinstance(read, PartedJob):
        if what != "walls":
            raise UsageError(f"--what {what}: for one part at a time, such as {read.addresses[0]}")
        pictures: Sequence[Picture] = [part.picture for part in overview_of(read, units)]
    else:
        pictures = _pictures(read, what, time_limit, units or read.units)
    return stacked(pictures) + "\n"


def overview_of(job: PartedJob, units: str | None) -> tuple[WallPicture, ...]:
    """Return pictures of the whole walls of a job, with the print of each paper that has a photograph."""
    prints = {part.name: print_told(part.scenario) for part in (*job.parts, *job.single)}
    return parts_pictures(job, units or job.parts[0].scenario.units, prints=prints)


def _pictures(scenario: Scenario, what: str, time_limit: float, units: str) -> Sequence[Picture]:
    if what == "walls" and scenario.lining is not None:
        return [part.picture for part in lining_pictures(scenario.lining, units)]
    if what == "walls":
        if scenario.setting_out is None:
            remedy = "survey the room in [[wall]], or draw its plan with --what rolls"
            raise UsageError(f"{scenario.source} lists its drops, so nobody knows where they hang; {remedy}")
        pictures = wall_pictures(scenario.setting_out, units, printed=print_told(scenario))
        return [part.picture for part in pictures]
    sequence = cutplan.sequence_of(solved(scenario, time_limit))
    if what == "rolls":
        return roll_pictures(sequence, units)
    return table_pictures(sequence)
