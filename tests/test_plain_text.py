"""The screen cannot be forged: what would steer it is shown as a code, whoever prints."""

from __future__ import annotations

import ast
import json
from pathlib import Path
from typing import Final

import pytest
from typer.testing import CliRunner

import cutplan
from cutplan.cli import in_and_out
from cutplan.cli.all_commands import app
from cutplan.faults import Fault, ScenarioError
from cutplan.plain_text import many_lines, one_line, steers
from cutplan.render.documents import buying_document, comparing_document, plan_document
from cutplan.scenario.read import parse_scenario

ROOT: Final = Path(cutplan.__file__).parent

WALL: Final = """\
units = "mm"

[paper]
roll_length = "10.05 m"
match = "64/32 cm"

[[drop]]
label = "1"
height = 2400
first_motif = 95
"""

STEERING: Final = ("\x00", "\x07", "\x1b[31m", "\r", "\x7f", "\x9b31m", "\u2028", "\u202e", "\u2067", "\ud800")
"""Of C0, DEL, C1, line breaks, signs of direction, and half a sign."""

PRINTERS: Final = {"print", "typer.echo", "typer.secho", "click.echo", "os.write"}


@pytest.mark.parametrize("sign", STEERING)
def test_sign_that_steers_a_screen_is_shown_as_its_code(sign: str) -> None:
    """In one line or in many; what is left is printable, and an ordinary name is left as it is."""
    assert steers(f"oak{sign}")
    assert one_line(f"oak{sign}").isprintable()
    assert many_lines(f"oak{sign}").isprintable()
    assert one_line("Küche 12 – קיר ½″") == many_lines("Küche 12 – קיר ½″") == "Küche 12 – קיר ½″"


def test_line_break_stays_between_lines_only() -> None:
    """A name with one cannot begin a line of its own."""
    assert one_line("oak\nthe plan holds") == "oak\\nthe plan holds"
    assert many_lines("oak\nash\n") == "oak\nash\n"


def test_only_the_terminal_prints() -> None:
    """Every other module hands its lines over, so that no printer can forget to take out what steers."""
    found = set()
    for path in ROOT.rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        if not any(printer in text for printer in (*(f"{name}(" for name in PRINTERS), "sys.stdout", "sys.stderr")):
            continue
        for node in ast.walk(ast.parse(text)):
            call = ast.unparse(node.func) if isinstance(node, ast.Call) else ""
            if call in PRINTERS or call.startswith(("sys.stdout.", "sys.stderr.")):
                found.add((path.relative_to(ROOT).as_posix(), call))

    assert found - {(file, call) for file, call in found if file == "cli/terminal.py"} == {
        ("cli/__init__.py", "sys.stdout.flush"),
        ("interruption.py", "os.write"),  # one fixed line
        ("progress/record.py", "os.write"),  # an entry of a record
    }


def test_terminal_prints_nothing_as_it_came() -> None:
    """Each writing function of the terminal passes its text through one_line or many_lines."""
    tree = ast.parse((ROOT / "cli" / "terminal.py").read_text(encoding="utf-8"))
    writing = {
        function.name: ast.unparse(function)
        for function in ast.walk(tree)
        if isinstance(function, ast.FunctionDef)
        and ("_written(" in ast.unparse(function) or ".write(" in ast.unparse(function))
    }
    fixed = {"_written", "ask", "clear"}  # the pen itself, a prompt, and a line of blanks

    assert len(writing) > len(fixed)
    assert {name for name, text in writing.items() if "one_line" not in text and "many_lines" not in text} == fixed


@pytest.mark.parametrize("sign", ["\\u001b[31m", "\\n", "\\u202e", "\\u0085"])
@pytest.mark.parametrize("line", ['label = "{}"', 'height = "{}"', '"{}" = 1', 'wall = "{}"', 'count = "{}"'])
def test_faults_of_a_scenario_are_plain_lines(line: str, sign: str) -> None:
    """Names, lengths, unknown keys and wrong values: refused, and shown by their codes."""
    text = WALL.replace('label = "1"', f'label = "1"\n{line.format(f"A{sign}B")}', 1)
    if line.startswith("label"):
        text = text.replace('label = "1"\n', "", 1)
    elif line.startswith("height"):
        text = text.replace("height = 2400\n", "", 1)
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(text, "wall.toml")

    assert not any(steers(line) for line in caught.value.lines())


def test_fault_is_one_line_wherever_its_words_come_from() -> None:
    """The error itself sees to it."""
    error = ScenarioError("wall.toml", (Fault("drop", "is\nnothing\x1b[2J"),))

    assert error.lines()[0] == "wall.toml: drop: is\\nnothing\\x1b[2J"


def test_judge_prints_no_verdict_that_a_name_holds(tmp_path: Path) -> None:
    """A piece named with a line break once printed «the plan holds» as a line of its own."""
    scenario = tmp_path / "wall.toml"
    scenario.write_text(WALL, encoding="utf-8")
    made = CliRunner().invoke(app, ["plan", str(scenario), "--json"]).stdout
    document = json.loads(made)
    document["rolls"][0]["cuts"][0]["drop"] = "1\nthe plan holds\x1b[8m"
    plan = tmp_path / "plan.json"
    plan.write_text(json.dumps(document), encoding="utf-8")
    result = CliRunner().invoke(app, ["check", str(plan)])
    said = result.stdout + result.stderr

    assert result.exit_code in (2, 3)
    assert "\x1b" not in said
    assert "the plan holds" not in said.split("\n")


def test_marks_of_files_are_the_formats_of_their_documents() -> None:
    """A file is known again by the format that its writer gave it."""
    assert in_and_out.PLAN.mark == plan_document.FORMAT
    assert in_and_out.BUYING.mark == buying_document.FORMAT
    assert in_and_out.COMPARING.mark == comparing_document.FORMAT
