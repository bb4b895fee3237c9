"""The judge reads whatever the scenario reader reads, and no more than a plan can hold."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from cutplan.check import check_plan
from cutplan.cli.all_commands import app
from hung_plans import document_of_text

ROOM = """
units = "mm"
[paper]
roll_length = "10.05 m"
roll_width = 500
match = "60/30 cm"
[[wall]]
name = "wall "
width = 2000
height = HEIGHT
[[wall.opening]]
kind = "window"
name = " slot"
left = 400
width = 1200
foot = 1500
height = 300
[start]
wall = "wall"
middle_of = "slot "
puts = "joint"
motif_drop = 100
"""


@pytest.mark.parametrize("height", ["2400", "٢٤٠٠ mm", "２４００ mm", "2m40", "２m４０"])
def test_blanks_around_names_and_digits_of_other_scripts_are_read_as_the_planner_reads_them(height: str) -> None:
    """The start and the window are named with and without blanks; 2400 is written in Arabic and in wide digits."""
    document = document_of_text(ROOM.replace("HEIGHT", f'"{height}"' if "m" in height else height))

    assert document["setting_out"]["pieces"][0]["top"] == "2400"
    assert [violation.line() for violation in check_plan(document).violations] == []


@pytest.mark.parametrize("match", ["٦٠/٣٠ cm", "２５ 1/4 in", "٢٥ ١/٤ in", "25½/12¾ in"])
def test_labels_in_digits_of_other_scripts_are_read_as_the_planner_reads_them(match: str) -> None:
    """Repeat, offset and mixed fractions of the label may be in any digits, the judge's reading the same."""
    text = ROOM.replace("HEIGHT", "2400").replace('"60/30 cm"', f'"{match}"\noffset_direction = "down"')

    assert [violation.line() for violation in check_plan(document_of_text(text)).violations] == []


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="there is no endless file here")
def test_file_that_never_ends_is_no_plan() -> None:
    """It is read as far as a plan may be long, and then refused in one line."""
    result = CliRunner().invoke(app, ["check", "/dev/zero"])

    assert result.exit_code == 2
    assert result.output == "cutplan: /dev/zero: is larger than 100 MB, so it is no plan\n"
