"""Asking ``plan`` and ``fit`` about a scenario, and judging what they say of paper left, of the walls, of an offcut."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from typer.testing import CliRunner

from cutplan.cli.all_commands import app
from reuse_judge import Judge
from reuse_rooms import listed_room, offcut_asked, surveyed_room

if TYPE_CHECKING:
    from typer.testing import Result


def judged_list(seed: int) -> tuple[list[str], int]:
    """Return what is false of what is said of a list of drops and an offcut, and how many statements were judged."""
    text, options = listed_room(seed), offcut_asked(seed)
    judge = _judge(text)
    if judge is None:
        return [], 0
    judge.keeping()
    plain = dict(zip(options[::2], map(int, options[1::2]), strict=True))
    motif = 50 * (seed % 8) if judge.facts.repeat and seed % 4 else None
    wishes = options if motif is None else [*options, "--first-motif", str(motif)]
    page = _asked("fit", text, *wishes).stdout
    judge.fitting(page, plain["--length"], plain.get("--left"), plain.get("--right"), motif)
    return judge.faults, judge.stated


def judged_survey(seed: int) -> tuple[list[str], int]:
    """Return the same of what is kept, and of the notes, of a surveyed room."""
    judge = _judge(surveyed_room(seed))
    if judge is None:
        return [], 0
    judge.keeping()
    judge.notes()
    return judge.faults, judge.stated


def _judge(text: str) -> Judge | None:
    """Return the judge of a room's plan; None when its rolls are too few."""
    plan = _asked("plan", text, "--json")
    if plan.exit_code == 3:
        return None
    assert plan.exit_code == 0, plan.stderr
    return Judge(json.loads(plan.stdout), _asked("plan", text).stdout)


def _asked(command: str, text: str, *options: str) -> Result:
    return CliRunner().invoke(app, [command, "-", *options], text)
