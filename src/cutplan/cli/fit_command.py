"""``cutplan fit``: an offcut in the hand, and where it fits."""

from __future__ import annotations

from typing import Annotated

import typer

from cutplan.cli.app import InUnits, ScenarioFile, TimeLimit, command


@command
def fit(
    scenario: ScenarioFile,
    *,
    length: Annotated[str, typer.Option(metavar="LENGTH", help="How long the offcut is.")],
    first_motif: Annotated[
        str | None,
        typer.Option(metavar="LENGTH", help="From its top down to its first motif; left out: not measured."),
    ] = None,
    left: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="Where it begins across the strip; else its left edge.")
    ] = None,
    right: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="Where it ends across the strip; else its right edge.")
    ] = None,
    batch: Annotated[
        str | None, typer.Option(metavar="BATCH", help="Its batch; else the answer for each batch of the rolls.")
    ] = None,
    sheet: Annotated[
        int | None, typer.Option(metavar="NUMBER", help="Which sheet of a numbered set it is a part of.")
    ] = None,
    time_limit: TimeLimit = 10.0,
    units: InUnits = None,
) -> None:
    """Say where an offcut fits and which use saves most; or, if nowhere, by how much it misses and why.

    Lengths without a unit are in the scenario's own:  cutplan fit job.toml --length 900 --first-motif 120
    """
    from cutplan.cli.fit_work import answer_fitting  # noqa: PLC0415 - help does without

    told = (length, first_motif, left, right)
    answer_fitting(scenario, told, batch=batch, sheet=sheet, time_limit=time_limit, units=units)
