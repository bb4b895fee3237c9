"""A paperhanger's day of 37 entries of all kinds: the page that works out the state by hand after each."""

from __future__ import annotations

import json
import re
import shlex
from pathlib import Path
from typing import TYPE_CHECKING, Final

from typer.testing import CliRunner

from cutplan.check import check_text
from cutplan.cli.all_commands import app
from cutplan.progress.record import read_record
from sessions import REPOSITORY

if TYPE_CHECKING:
    import pytest

PAGE: Final = (REPOSITORY / "docs" / "a-day.md").read_text(encoding="utf-8")
RECORD: Final = Path("a-day.record.jsonl")


def rows() -> list[list[str]]:
    """Return the cells of the day's table, without its head."""
    lines = [line for line in PAGE.splitlines() if line.startswith("|")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[2:]]


def run(*arguments: str) -> str:
    """Run cutplan, which must succeed."""
    result = CliRunner().invoke(app, list(arguments))
    assert result.exit_code == 0, (arguments, result.stderr)
    return result.stdout


def correct(told: str) -> None:
    """Change the height of a drop in the scenario, as ``height of 7 is 2300`` tells."""
    match = re.fullmatch(r"height of (\d) is (\d+)", told)
    assert match is not None
    path = Path("a-day.toml")
    before = path.read_text(encoding="utf-8")
    after = re.sub(rf'(label = "{match[1]}"\nheight = )\d+', rf"\g<1>{match[2]}", before)
    assert after != before
    path.write_text(after, encoding="utf-8")


def state() -> list[str]:
    """Return rolls, table, wall and what else is known as the page writes them."""
    told = json.loads(run("status", "--json"))
    rolls = ", ".join(f"{roll['roll']} {roll['left']}/{roll['first_motif']}" for roll in told["rolls"])
    lists = {"wanted": told["wanted_again"], "pasted": told["pasted"], "overnight": told["pasted_overnight"]}
    lists |= {"spoiled": [loss["drop"] for loss in told["spoiled"]]}
    also = [f"next {told['next_step']}", *(f"{name} {', '.join(drops)}" for name, drops in lists.items() if drops)]
    also += [f"by {told['by']}"] if told["by"] else []
    also += ["left off"] if told["left_off"] else []
    return [rolls, ", ".join(told["on_table"]), ", ".join(told["hung"]), "; ".join(also)]


def test_each_entry_of_the_day_leaves_the_state_worked_out_by_hand(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every kind of entry there is; the judge finds nothing amiss with the record after any of them."""
    monkeypatch.chdir(tmp_path)
    Path("a-day.toml").write_text((REPOSITORY / "scenarios" / "a-day.toml").read_text(encoding="utf-8"), "utf-8")
    for number, told, _, *expected in rows():
        if not number:
            correct(told)
            continue
        run(*shlex.split(told.strip("`")))

        assert state() == expected, f"entry {number}"
        entries = read_record(RECORD).entries
        assert len(entries) == int(number)
    report = check_text(RECORD.read_text(encoding="utf-8"))
    kinds = {entry.kind for entry in read_record(RECORD).entries}

    assert [violation.line() for violation in report.violations] == []
    assert kinds == {
        "plan", "done", "cut", "pasted", "hung", "spoiled", "measured", "flawed", "bought", "at work", "corrected",
        "undone",
    }  # fmt: skip
