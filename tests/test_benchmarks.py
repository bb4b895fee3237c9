"""The benchmarks run: tables are made from a few small jobs, and nothing in them contradicts anything."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path
from typing import Final

import pytest

FOLDER: Final = Path(__file__).parent.parent / "benchmarks"

SMALLEST: Final = {
    "rooms": ["--rooms", "10"],
    "nested": ["--rooms", "10"],
    "contracts": ["--largest-contract", "1000"],
    "houses": ["--house", "12"],
    "packing": ["--per-set", "1", "--triplet", "30"],
    "sweep": ["--placements", "12"],
    "commands": ["--runs", "1", "--command-rooms", "1", "--hotel", "1000"],
    "buying": ["--buying", "12", "--draws", "10"],
}
"""What makes each table small."""

PROVED: Final = {
    # Ten rooms, one of each match and kind of roll, with the least columns that there are, and with pieces at openings.
    "rooms": r"^\| \*\*all\*\* +\| +\| +10 \| +10–\d+ \| +10/10 \|",
    "nested": r"^\| \*\*all\*\* +\| +\| +10 \| +10–\d+ \| .* 10/10 \| .* 10/10 \|",
    # A free match, a half-drop and a third-drop.
    "contracts": r"^\| 1000 +\| +3 \| +1000 \| .* 3/3 \| +0 \|",
    # A straight match, a half-drop and a third-drop.
    "houses": r"^\| 12 +\| +3 \| +12 \| +12 \| .* 3/3 \| +0 \|",
    "packing": r"^\| t30 +\| +1 \| +30 \| .* 1/1 \| +0 \|",
    "sweep": r"^\| out of level +\| +(\d+) \| .* \1/\1 \|",
    "commands": r"^\| `cutplan sheet`, the same room +\| +1 \|",
    # The last column counts draws for which the certain number was not enough.
    "buying": r"^\| quarter +\| +12 \| .* 10 \| +0 \|",
}
"""A row of each table, as it stands when everything in it is proved or right."""


@pytest.mark.parametrize("table", SMALLEST)
def test_a_table_is_made_and_holds_no_contradiction(table: str) -> None:
    """A small run of each table ends well, and what is to be proved in it is proved."""
    arguments = ["--dry-run", "--no-rivals", "--table", table, *SMALLEST[table]]

    done = subprocess.run([sys.executable, FOLDER / "run.py", *arguments], check=False, capture_output=True, text=True)  # noqa: S603 - our own program

    assert done.returncode == 0, done.stderr
    assert re.search(PROVED[table], done.stdout, re.MULTILINE), done.stdout


def test_the_readme_has_a_place_for_each_table() -> None:
    """Every table that is made stands between comments of README.md, and no place is left over."""
    text = (FOLDER / "README.md").read_text(encoding="utf-8")
    assert sorted(re.findall(r"<!-- (\w+): begin -->", text)) == sorted(SMALLEST)
    assert sorted(re.findall(r"<!-- (\w+): end -->", text)) == sorted(SMALLEST)
