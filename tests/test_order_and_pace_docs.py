"""The page on the order of cutting and the pace: its commands print what it shows, its tables are read."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from cutplan.plan.order import CuttingHabit
from cutplan.scenario.read import parse_scenario
from cutplan.table.timetable import Pace, PastedOn
from sessions import REPOSITORY, lay_out_scenarios, printed, sessions, shows

if TYPE_CHECKING:
    from pathlib import Path

    import pytest

PAGE: Final = (REPOSITORY / "docs" / "order-and-pace.md").read_text(encoding="utf-8")
WALL: Final = """\
units = "mm"
[paper]
roll_length = "10.05 m"
match = "free"
[[drop]]
label = "1"
height = 2400
"""


def test_sessions_print_what_the_page_shows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each command, as a reader would type it beside the scenarios."""
    lay_out_scenarios(tmp_path)
    monkeypatch.chdir(tmp_path)

    assert sessions(PAGE)
    for command, shown in sessions(PAGE):
        assert shows(shown, printed(command)), command


def test_the_values_shown_are_those_taken() -> None:
    """The page's [cutting] says what is usual; its [pace], but for soak and stop, as well."""
    cutting, pace = re.findall(r"^```toml\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)
    read = parse_scenario(WALL + cutting + pace, "page")

    assert read.cutting == CuttingHabit()
    assert read.pace is not None
    assert read.pace == Pace(PastedOn.PAPER, read.pace.soak, stop=read.pace.stop)
