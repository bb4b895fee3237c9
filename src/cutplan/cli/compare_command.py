"""``cutplan compare``: other places for the start of a room, and other heights of its print, side by side."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Literal

import typer

from cutplan.cli.app import AsJson, InUnits, Output, ScenarioFile, check_time_limit, command
from cutplan.cli.in_and_out import COMPARING, COMPARING_PAGE, AnswerFile, Force
from cutplan.cli.terminal import STANDARD, UsageError


class Keep(StrEnum):
    """What of the scenario stays as it is; typer takes a list of these, but none of literals."""

    START = "start"
    FINISH = "finish"
    HEIGHT = "height"


@command
def compare(
    scenario: ScenarioFile,
    *,
    centre: Annotated[
        Literal["motif", "joint", "middle"] | None,
        typer.Option(help="What must lie on the focal point, whatever it costs."),
    ] = None,
    around: Annotated[
        str | None,
        typer.Option(metavar="NAME", help="Focal point: the middle of this wall, opening or fitting; else your start."),
    ] = None,
    keep: Annotated[
        list[Keep] | None, typer.Option(help="What of your scenario stays as it is; may be repeated.")
    ] = None,
    step: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="Step of the sweep, 1 to 10 mm; else 10 mm, or 3/8 in.")
    ] = None,
    as_json: AsJson = False,
    output: Output = STANDARD,
    force: Force = False,
    time_limit: Annotated[
        float,
        typer.Option(
            metavar="SECONDS", callback=check_time_limit, help="When to stop; what was not looked at by then is told."
        ),
    ] = 60.0,
    units: InUnits = None,
) -> None:
    """Compare places for the start and finish of a room, and heights of its print.

    Every place is set out and its number of rolls proved; the few that nobody would overrule are shown, each with
    the lines that put it into the scenario. When time is up, and on Ctrl-C, what has been compared so far is shown.

    Keep the motif on the hearth:  cutplan compare room.toml --around hearth --centre motif
    """
    from cutplan.cli.compare_work import Wishes, answer_comparing  # noqa: PLC0415 - help does without

    if centre is not None and Keep.START in (keep or ()):
        raise UsageError("--centre moves the start, and --keep start leaves it where it is; ask for one of them")
    wishes = Wishes(centre, around, keep or (), step, time_limit)
    target = AnswerFile(output, scenario, COMPARING if as_json else COMPARING_PAGE, force=force)
    answer_comparing(scenario, wishes, target, units)
