"""What ``import cutplan`` offers: its names are these, each is loaded when it is used, and each is documented."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path
from typing import Final

import pytest

import cutplan

NAMES: Final = (
    *("CheckMatch", "Comparison", "CutDrop", "CutOff", "CutplanError", "CuttingHabit", "Insisted", "LengthError"),
    *(
        "NextStretch",
        "NoPlanError",
        "NotARoomError",
        "OpenRoll",
        "PartedJob",
        "Plan",
        "PlanUnreadable",
        "Report",
        "Scenario",
    ),
    *("ScenarioError", "Sequence", "Size", "Status", "Wishes", "check_text", "compare", "focus_named", "focus_of"),
    *(
        "how_many_rolls",
        "make_plan",
        "notices_of",
        "parse_scenario",
        "read_job",
        "read_length",
        "read_scenario",
        "report_lines",
    ),
    *("sequence_of", "set_out", "write_document", "write_page"),
)
"""The promise: to take one away, or to change what it means, is to break other people's programs."""

WALL: Final = """
units = "mm"
[paper]
roll_length = "10.05 m"
match = "64/32 cm"
[[drop]]
label = "1"
height = 2400
first_motif = 95
count = 4
"""


def test_public_names_are_these() -> None:
    """What is not among them may move freely."""
    assert sorted(cutplan.__all__) == sorted(NAMES)
    assert set(NAMES) <= set(dir(cutplan))


def test_type_checkers_are_told_of_the_same_names() -> None:
    """They read a block of imports that never runs; each name stands there with the home that it is loaded from."""
    tree = ast.parse(Path(cutplan.__file__).read_text(encoding="utf-8"))
    told = {
        alias.asname: f"{node.module}.{alias.name}"
        for block in tree.body
        if isinstance(block, ast.If) and ast.unparse(block.test) == "TYPE_CHECKING"
        for node in block.body
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }

    assert told == {name: f"{cutplan._HOME_OF[name]}.{name}" for name in NAMES}  # noqa: SLF001 - the table itself


def test_import_loads_nothing_but_the_list() -> None:
    """The first use of a name loads its module, and no other name's."""
    code = """
import sys, cutplan
print(*sorted(name for name in sys.modules if name.startswith("cutplan")))
cutplan.read_length
print("cutplan.lengths" in sys.modules, "cutplan.solve" in sys.modules)
"""
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)  # noqa: S603 - our own interpreter

    assert shown.stdout == "cutplan\nTrue False\n"


@pytest.mark.parametrize("name", NAMES)
def test_no_module_hides_a_public_name(name: str) -> None:
    """A module of the name would take its place as soon as it is loaded."""
    root = Path(cutplan.__file__).parent

    assert not (root / name).exists()
    assert not (root / f"{name}.py").exists()


@pytest.mark.parametrize("name", NAMES)
def test_every_public_name_is_documented(name: str) -> None:
    """In the code, and in the page for those who write programs."""
    page = (Path(__file__).parents[1] / "docs" / "python.md").read_text(encoding="utf-8")

    assert (getattr(cutplan, name).__doc__ or "").strip()
    assert f"`{name}" in page


def test_unknown_name_is_told_what_there_is() -> None:
    """A slip of the finger is an AttributeError, so that ``hasattr`` works, and lists the names."""
    with pytest.raises(AttributeError, match=r"no name 'make_plans'; it offers .*make_plan"):
        getattr(cutplan, "make_plans")  # noqa: B009 - a type checker would refuse the plain form


def test_wall_is_planned_written_and_judged_by_public_names_only() -> None:
    """Four drops of 2500, a half-drop wide apart in the print, and what is written holds."""
    scenario = cutplan.parse_scenario(WALL, "wall.toml")
    plan: cutplan.Plan = cutplan.make_plan(scenario.job, scenario.cutting)
    sequence = cutplan.sequence_of(plan)
    report = cutplan.check_text(cutplan.write_document(sequence, scenario))

    assert plan.status is cutplan.Status.OPTIMAL
    assert report.holds
    assert len([step for step in sequence.steps if isinstance(step, cutplan.CutDrop)]) == 4
    assert "Cutting sequence" in cutplan.write_page(sequence, scenario)
