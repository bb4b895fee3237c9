"""``cutplan draw``: the pictures of walls, rolls or the table, as an SVG file of their own."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from typing import TYPE_CHECKING, Annotated

import typer

import cutplan
from cutplan.cli.app import InUnits, Output, ScenarioFile, TimeLimit, command
from cutplan.cli.in_and_out import DRAWING, AnswerFile, Force, print_told
from cutplan.cli.parts_shared import job_from, overview_of
from cutplan.cli.plan_command import solved
from cutplan.cli.terminal import STANDARD, UsageError
from cutplan.render.drawing.lining_picture import lining_pictures
from cutplan.render.drawing.picture import Picture, stacked
from cutplan.render.drawing.roll_picture import roll_pictures
from cutplan.render.drawing.table_picture import table_pictures
from cutplan.render.drawing.wall_picture import wall_pictures

if TYPE_CHECKING:
    from cutplan.scenario.read import Scenario


class What(StrEnum):
    """What is drawn."""

    WALLS = "walls"
    ROLLS = "rolls"
    TABLE = "table"


@command
def draw(
    scenario: ScenarioFile,
    *,
    what: Annotated[
        What, typer.Option(help="Walls with their paper, rolls with their cuts, or the table.")
    ] = What.WALLS,
    output: Output = STANDARD,
    force: Force = False,
    time_limit: TimeLimit = 10.0,
    units: InUnits = None,
) -> None:
    """Draw a room's walls to scale, or the rolls and the table of its plan, as one SVG picture.

    Walls need a room survey, and no plan:  cutplan draw scenarios/parlour.toml -o walls.svg
    """
    target = AnswerFile(output, scenario, DRAWING, force=force)
    read = job_from(scenario)
    if isinstance(read, cutplan.PartedJob):
        if what is not What.WALLS:
            raise UsageError(f"--what {what.value}: for one part at a time, such as {read.addresses[0]}")
        pictures: Sequence[Picture] = [part.picture for part in overview_of(read, units)]
    else:
        pictures = _pictures(read, what, time_limit, units or read.units)
    target.write(stacked(pictures) + "\n")


def _pictures(scenario: Scenario, what: What, time_limit: float, units: str) -> Sequence[Picture]:
    if what is What.WALLS and scenario.lining is not None:
        return [part.picture for part in lining_pictures(scenario.lining, units)]
    if what is What.WALLS:
        if scenario.setting_out is None:
            remedy = "survey the room in [[wall]], or draw its plan with --what rolls"
            raise UsageError(f"{scenario.source} lists its drops, so nobody knows where they hang; {remedy}")
        pictures = wall_pictures(scenario.setting_out, units, printed=print_told(scenario))
        return [part.picture for part in pictures]
    sequence = cutplan.sequence_of(solved(scenario, time_limit))
    if what is What.ROLLS:
        return roll_pictures(sequence, units)
    return table_pictures(sequence)
