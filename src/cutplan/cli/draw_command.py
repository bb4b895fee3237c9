"""``cutplan draw``: the pictures of walls, rolls or the table, as an SVG file of their own."""

from __future__ import annotations

from typing import Annotated, Literal

import typer

from cutplan.cli.app import InUnits, Output, ScenarioFile, TimeLimit, command
from cutplan.cli.in_and_out import DRAWING, AnswerFile, Force
from cutplan.cli.terminal import STANDARD


@command
def draw(
    scenario: ScenarioFile,
    *,
    what: Annotated[
        Literal["walls", "rolls", "table"],
        typer.Option(help="Walls with their paper, rolls with their cuts, or the table."),
    ] = "walls",
    output: Output = STANDARD,
    force: Force = False,
    time_limit: TimeLimit = 10.0,
    units: InUnits = None,
) -> None:
    """Draw a room's walls to scale, or the rolls and the table of its plan, as one SVG picture.

    Walls need a room survey, and no plan:  cutplan draw scenarios/parlour.toml -o walls.svg
    """
    target = AnswerFile(output, scenario, DRAWING, force=force)
    from cutplan.cli.draw_work import pictures_of  # noqa: PLC0415 - help does without

    target.write(pictures_of(scenario, what, time_limit, units))
