"""Asking the commands about a scenario, and judging what ``buy`` answers."""

from __future__ import annotations

import json
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from typer.testing import CliRunner

from buying_judge import Judge
from buying_rooms import large_room, small_room
from cutplan.cli.all_commands import app
from cutplan.scenario.read import parse_scenario
from cutplan.solve import solve

if TYPE_CHECKING:
    from typer.testing import Result


def judged(seed: int) -> tuple[list[str], int]:
    """Return what is false of what ``buy`` says of a small room, and how many statements were judged."""
    text, tolerance = small_room(seed), (0, 10)[seed // 10 % 2]
    judge = _judge(text, tolerance)
    return judge.judge(), judge.stated


def judged_large(seed: int) -> tuple[list[str], int]:
    """Return the same of a room of usual size."""
    text = large_room(seed)
    judge = _judge(text, Fraction("1.5"))

    def needed_with_one_more(label: str) -> int:
        return solve(parse_scenario(f"{text}{_again(text, label)}", "once more").job).rolls_needed

    return judge.judge_large(needed_with_one_more), judge.stated


def _again(text: str, label: str) -> str:
    """Return one more drop like the one with this label."""
    entry = text.partition(f'[[drop]]\nlabel = "{label}"\n')[2].partition("[[drop]]")[0]
    lines = [line for line in entry.splitlines() if line and not line.startswith("count")]
    return "\n".join(["", "[[drop]]", 'label = "once more"', *lines, ""])


def _judge(text: str, tolerance: Fraction | int) -> Judge:
    wishes = ("--tolerance", str(float(tolerance)), "--time-limit", "60")
    plan = _asked("plan", text)
    return Judge(
        _document(_asked("buy", text, "--json", *wishes)),
        _asked("buy", text, *wishes).stdout,
        _document(plan) if plan.exit_code == 0 else None,
        Fraction(tolerance) / 100,
    )


def _asked(command: str, text: str, *options: str) -> Result:
    json_or_page = options if command == "buy" else ("--json",)
    return CliRunner().invoke(app, [command, "-", *json_or_page], text)


def _document(result: Result) -> dict[str, Any]:
    assert result.exit_code == 0, result.stderr
    document: dict[str, Any] = json.loads(result.stdout)
    return document
