from __future__ import annotations

import json
import os
import subprocess
import sys
from fractions import Fraction
from typing import TYPE_CHECKING, Final

import pytest
from msgspec.structs import replace

import cutplan.solve
from cutplan import __version__
from cutplan.cli.all_commands import app
from cutplan.cli.command_table import COMMANDS
from cutplan.errors import NoPlanError
from cutplan.plan.proof import Proof
from hand_plans import half_drop_wall
from program import run

if TYPE_CHECKING:
    from pathlib import Path

    from cutplan.job.job import Job
    from cutplan.plan.plan import Plan

WALL: Final = """\
units = "mm"

[paper]
name = "Heron, slate"
roll_length = "10.05 m"
match = "64/32 cm"

[[drop]]
label = "1"
height = 2400
first_motif = 95

[[drop]]
label = "2"
height = 2400
first_motif = 415
"""


@pytest.fixture
def wall(tmp_path: Path) -> Path:
    """Return a scenario of two drops on disk."""
    path = tmp_path / "wall.toml"
    path.write_text(WALL, encoding="utf-8")
    return path


def process(*arguments: object, encoding: str = "utf-8") -> subprocess.CompletedProcess[bytes]:
    """Return what ``python -m cutplan`` does in a process of its own, with pipes of this encoding."""
    return subprocess.run(  # noqa: S603 - our own interpreter
        [sys.executable, "-m", "cutplan", *map(str, arguments)],
        capture_output=True,
        check=False,
        env={**os.environ, "PYTHONIOENCODING": encoding, "PYTHONUTF8": "0"},
    )


def solved_as(monkeypatch: pytest.MonkeyPatch, outcome: Plan | BaseException) -> None:
    """Make the solver return a plan made by hand, or raise."""

    def solve(_job: Job, **_options: object) -> Plan:
        if isinstance(outcome, BaseException):
            raise outcome
        return outcome

    monkeypatch.setattr(cutplan.solve, "solve", solve)


# plan


def test_plan_prints_the_answer_first(wall: Path) -> None:
    """Two drops of 2500 mm fit a roll after the worst lead-in: 640 + 2500 + 380 + 2500 < 10050."""
    result = run("plan", wall)

    assert (result.exit_code, result.stderr) == (0, "")
    assert result.stdout.startswith(
        "1 roll is certain to be enough, however the sealed rolls begin; even at best no\nfewer will do.\n"
    )
    assert 'Write "2 ↑" on its back.' in result.stdout


def test_plan_in_json_holds_before_the_judge(wall: Path) -> None:
    """What --json prints, check accepts, from a pipe too."""
    planned = run("plan", wall, "--json")
    judged = run("check", "-", given=planned.stdout)

    assert json.loads(planned.stdout)["rolls_needed"] == 1
    assert (judged.exit_code, judged.stderr) == (0, "")
    assert judged.stdout.endswith("the plan holds\n")


def test_plan_reads_standard_input(wall: Path) -> None:
    """A scenario from a pipe gives the same plan as from its file."""
    assert run("plan", "-", given=WALL).stdout == run("plan", wall).stdout


def test_plan_in_other_units(wall: Path) -> None:
    """2500 mm are 250.0 cm, and 8 ft 2 7/16 in to the nearest sixteenth."""
    assert "Cut drop 1: 250.0 cm, motif 14.5 cm below its top." in run("plan", wall, "--units", "cm").stdout
    assert "Cut drop 1: 8 ft 2 7/16 in, motif 5 11/16 in below" in run("plan", wall, "--units", "in").stdout


def test_plan_is_written_to_a_file(wall: Path, tmp_path: Path) -> None:
    """With -o the page goes to the file, nothing to standard output, and a line says where it went."""
    target = tmp_path / "plan.txt"
    result = run("plan", wall, "-o", target)

    assert (result.exit_code, result.stdout, result.stderr) == (0, "", f"cutplan: wrote {target}\n")
    page, _, mark = target.read_text(encoding="utf-8").rstrip("\n").rpartition("\n")
    assert f"{page}\n" == run("plan", wall).stdout
    assert mark.startswith("[cutplan-plan-page/1 ")


def test_scenario_is_never_overwritten(wall: Path) -> None:
    """A slip of -o costs nothing."""
    result = run("plan", wall, "-o", wall)

    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr == f"cutplan: {wall}: is the scenario itself; give the plan another name\n"
    assert wall.read_text(encoding="utf-8") == WALL


def test_bad_scenario_writes_nothing(wall: Path, tmp_path: Path) -> None:
    """Faults go to standard error, each with its place; there is no output and no file."""
    wall.write_text(WALL.replace("roll_length", "roll_lenght"), encoding="utf-8")
    target = tmp_path / "plan.json"
    result = run("plan", wall, "--json", "-o", target)

    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr.startswith(f"{wall}:5:1: paper.roll_lenght: unknown key")
    assert result.stderr.endswith(f"in {wall}; nothing was planned\n")
    assert not target.exists()


def test_job_without_a_plan(wall: Path) -> None:
    """Drops longer than any roll: exit status 3, one reason for each on standard error, no traceback."""
    wall.write_text(WALL.replace("2400", "12400"), encoding="utf-8")
    result = run("plan", wall)

    assert (result.exit_code, result.stdout) == (3, "")
    assert result.stderr.startswith("cutplan: ")
    assert "Traceback" not in result.stderr


def test_reason_why_there_is_no_plan_is_printed_whole(wall: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the solver says is short reaches the user as it is."""
    solved_as(monkeypatch, NoPlanError("drop 1 is 2450 mm longer than roll A"))
    result = run("plan", wall)

    assert (result.exit_code, result.stderr) == (3, "cutplan: drop 1 is 2450 mm longer than roll A\n")


def test_plan_without_layouts_is_no_plan(wall: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A search stopped before its first plan has nothing to print."""
    solved_as(monkeypatch, replace(half_drop_wall(), layouts=(), stopped="time limit"))
    result = run("plan", wall)

    assert (result.exit_code, result.stdout) == (3, "")
    assert result.stderr == ("cutplan: no plan was found before this: time limit; allow it more with --time-limit\n")


def unproved(stopped: str) -> Plan:
    """Return a plan of two rolls with a bound of one."""
    proof = Proof(Fraction(1), None, by_search=False)
    return replace(half_drop_wall(), proof=proof, stopped=stopped)


def test_unproved_plan_is_a_plan(wall: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It can be cut: exit status 0, and a note where the page does not say it."""
    solved_as(monkeypatch, unproved("time limit"))
    result = run("plan", wall, "--json")

    assert result.exit_code == 0
    assert json.loads(result.stdout)["status"] == "feasible"
    assert result.stderr == "cutplan: the plan holds but is not proved: value 2, lower bound 1\n"
    assert "not proved to be the least (time limit)" in run("plan", wall).stdout


def test_interrupted_search_prints_its_best_plan(wall: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C keeps what was found, and the exit status still says that it was pressed."""
    solved_as(monkeypatch, unproved("interrupted"))
    result = run("plan", wall)

    assert result.exit_code == 130
    assert "Best found 2, lower bound 1: not proved to be the least (interrupted)." in result.stdout


def test_interruption_before_any_plan(wall: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One word, no traceback, 130."""
    solved_as(monkeypatch, KeyboardInterrupt())
    result = run("plan", wall)

    assert (result.exit_code, result.stdout, result.stderr) == (130, "", "cutplan: interrupted\n")


def test_internal_fault_is_one_line(wall: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever breaks inside, the user sees one line and how to learn more."""
    solved_as(monkeypatch, ZeroDivisionError("division by zero"))
    result = run("plan", wall)

    assert (result.exit_code, result.stdout) == (1, "")
    assert result.stderr == (
        "cutplan: internal fault (ZeroDivisionError: division by zero); run the same with --debug to see where, "
        "and please report it\n"
    )


def test_debugging_shows_where_it_broke(wall: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With --debug the exception comes through whole."""
    solved_as(monkeypatch, ZeroDivisionError("division by zero"))

    assert isinstance(run("plan", wall, "--debug").exception, ZeroDivisionError)


@pytest.mark.parametrize("limit", ["0", "-1", "nan", "inf"])
def test_time_limit_must_be_some_time(wall: Path, limit: str) -> None:
    """Nothing can be planned in no time, and a search that cannot end is a mistake."""
    result = run("plan", wall, f"--time-limit={limit}")

    assert (result.exit_code, result.stdout) == (2, "")
    assert f"must be more than 0 seconds, not {float(limit)}" in result.stderr


# check


def test_check_prints_each_fault_with_its_amount(wall: Path) -> None:
    """A cut moved by 5 mm is out of its place in the print: exit status 3."""
    document = json.loads(run("plan", wall, "--json").stdout)
    cut = document["rolls"][0]["cuts"][1]
    for key in ("from", "to"):
        cut[key] = str(Fraction(cut[key]) + 5)
        cut[f"{key}_mm"] += 5
    result = run("check", "-", given=json.dumps(document))

    assert (result.exit_code, result.stderr) == (3, "")
    assert "5 mm" in result.stdout
    assert "the plan does not hold" in result.stdout


def test_check_of_what_is_no_plan() -> None:
    """Neither an empty file nor a scenario can be judged: wrong usage, not a plan that does not hold."""
    for given in ("", WALL, "[]"):
        result = run("check", "-", given=given)
        assert (result.exit_code, result.stdout) == (2, "")
        assert result.stderr.startswith("cutplan: -: not ")


def test_check_of_a_file_that_is_not_there(tmp_path: Path) -> None:
    """The message names it and says why."""
    missing = tmp_path / "plan.json"
    result = run("check", missing)

    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr == f"cutplan: {missing}: cannot be read: no such file or directory\n"


def test_check_of_bytes_that_are_no_text(tmp_path: Path) -> None:
    """The message gives the byte and where it stands."""
    path = tmp_path / "plan.json"
    path.write_bytes(b"{\xff}")
    result = run("check", path)

    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr == f"cutplan: {path}: byte 0xff at offset 1 is not UTF-8, so this is no plan\n"


# The whole program


def test_no_command_shows_help() -> None:
    """Whoever types the name alone sees what it can do."""
    result = run()

    assert result.exit_code == 0
    assert result.stdout == run("-h").stdout == run("--help").stdout
    assert all(word in result.stdout for word in ("plan", "check", "--version", "130 interrupted"))


@pytest.mark.parametrize("command", ["plan", "check"])
def test_help_of_a_command_lists_the_exit_statuses(command: str) -> None:
    """Scripts depend on them, so they are said where scripts are written."""
    result = run(command, "--help")

    assert result.exit_code == 0
    assert "Exit status: 0 done;" in result.stdout
    assert "--debug" in result.stdout


def test_version() -> None:
    """Name and version, as the package has it."""
    assert run("--version").stdout == f"cutplan {__version__}\n"


def test_each_command_is_in_the_module_that_is_loaded_for_it() -> None:
    """Asked for one command, the program knows it although only its module was loaded."""
    commands = [command.callback for command in app.registered_commands if command.callback is not None]

    assert {function.__name__: function.__module__ for function in commands} == {
        name: f"cutplan.cli.{command.module}" for name, command in COMMANDS.items()
    }


def test_help_lists_every_command_with_its_whole_purpose() -> None:
    """One line each, none cut short, and not one of their modules loaded for it."""
    code = "import sys, cutplan.cli as cli; sys.argv[1:] = ['--help']\ntry: cli.main()\nfinally: print(*sys.modules)"
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout  # noqa: S603 - our own program

    widest = max(map(len, COMMANDS))
    for name, command in COMMANDS.items():
        assert f"\n  {name:<{widest}}  {command.purpose}\n" in shown
        assert f"cutplan.cli.{command.module}" not in shown


@pytest.mark.parametrize("mistyped", ["paln", "--helpp", "-x plan"])
def test_what_names_no_command_is_told_of_all(mistyped: str) -> None:
    """A misspelt command or option gets the usual answer, and no traceback."""
    done = subprocess.run([sys.executable, "-m", "cutplan", *mistyped.split()], capture_output=True, text=True)  # noqa: PLW1510, S603 - our own program

    assert done.returncode == 2
    assert done.stderr.startswith("Usage: ")
    assert "COMMAND [ARGS]..." in done.stderr
    assert "Traceback" not in done.stderr


def test_unknown_command_is_wrong_usage() -> None:
    """Exit status 2, and nothing on standard output."""
    result = run("plna")

    assert (result.exit_code, result.stdout) == (2, "")
    assert "plna" in result.stderr


def test_screen_without_unicode_gets_plainer_signs(wall: Path) -> None:
    """On ASCII the arrow is a caret; on Latin-1 nothing crashes either."""
    for encoding in ("ascii", "latin-1"):
        done = process("plan", wall, encoding=encoding)
        assert (done.returncode, done.stderr) == (0, b"")
        assert b'Write "1 ^" on its back.' in done.stdout


def test_closed_pipe_is_quiet(wall: Path) -> None:
    """A reader such as ``head`` that has seen enough causes no message."""
    read, write = os.pipe()
    os.close(read)
    done = subprocess.run(  # noqa: S603 - our own interpreter
        [sys.executable, "-m", "cutplan", "plan", str(wall)], stdout=write, stderr=subprocess.PIPE, check=False
    )
    os.close(write)

    assert (done.returncode, done.stderr) == (0, b"")


def test_piped_output_has_no_control_characters(wall: Path) -> None:
    """Plain text only, whatever the terminal could do; no progress line where nobody watches."""
    done = process("plan", wall)

    assert (done.returncode, done.stderr) == (0, b"")
    assert all(byte >= 0x20 or byte == 0x0A for byte in done.stdout)
