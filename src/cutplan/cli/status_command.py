"""``cutplan status``: where the work stands."""

from __future__ import annotations

import json
from typing import Annotated

import typer

from cutplan.cli.app import AsJson, InUnits, command
from cutplan.cli.terminal import print_text
from cutplan.cli.work_shared import RecordedScenario, read_recorded, replan_command, work_of
from cutplan.progress.remains import misfits
from cutplan.render.pages.state_page import entries_page, state_document, status_page, steps_still_to_do


@command
def status(
    scenario: RecordedScenario = None,
    *,
    entries: Annotated[bool, typer.Option("--entries", help="Print every entry of the record.")] = False,
    steps: Annotated[bool, typer.Option("--steps", help="Print every step that is still to be done.")] = False,
    as_json: AsJson = False,
    units: InUnits = None,
) -> None:
    """Show where the work stands: steps, pieces, what is left on each roll, and what is next."""
    read = read_recorded(scenario)
    work = work_of(read)
    state = work.begun()
    if entries:
        print_text(entries_page(work.entries, work.counting))
    elif as_json:
        print_text(json.dumps(state_document(state), indent=2) + "\n")
    else:
        page = status_page(state, misfits(state), replan_command(read), units or read.units)
        print_text(page if not steps else f"{page}\n{steps_still_to_do(state)}")
