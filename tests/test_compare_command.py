"""The command ``cutplan compare``: what it prints, and what it refuses."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Final

from typer.testing import CliRunner

from cutplan.cli.all_commands import app
from cutplan.parts.read_parts import read_scenario
from cutplan.solve import solve

SCENARIOS: Final = Path(__file__).parent.parent / "scenarios"


def test_compare_proves_the_rolls_of_the_placement_in_the_scenario() -> None:
    """The scenario's own placement takes as many rolls as its plan."""
    room = SCENARIOS / "loft.toml"
    planned = solve(read_scenario(room).job).rolls_needed

    result = CliRunner().invoke(app, ["compare", str(room)])

    assert result.exit_code == 0
    assert f"Your own placement takes {planned} rolls" in " ".join(result.stdout.split())


def test_compare_as_json_is_json_alone() -> None:
    """With --json nothing but the document goes to standard output."""
    result = CliRunner().invoke(app, ["compare", str(SCENARIOS / "loft.toml"), "--json"])

    assert result.exit_code == 0
    assert json.loads(result.stdout)


def test_time_limit_is_for_the_whole_comparison() -> None:
    """When it is up before the second placement the own one stands there alone, and the others are counted."""
    room = str(SCENARIOS / "loft.toml")
    whole, stopped = (
        json.loads(CliRunner().invoke(app, ["compare", room, "--json", *limit]).stdout)
        for limit in ([], ["--time-limit", "1e-6"])
    )

    assert (whole["left"], whole["stopped"]) == (0, None)
    assert (stopped["tried"], stopped["left"], stopped["stopped"]) == (1, whole["tried"] - 1, "time limit")
    assert stopped["own"]["lower_bound"] <= whole["own"]["rolls"] <= stopped["own"]["rolls"]


def test_compare_refuses_a_list_of_drops() -> None:
    """Without a room there is no start to move: exit status 2, and how to mend it."""
    result = CliRunner().invoke(app, ["compare", str(SCENARIOS / "feature-wall.toml")])

    assert result.exit_code == 2
    assert "survey the room in [[wall]] to compare places" in result.stderr
