"""The commands at the table, as they are typed; and the page that walks through a day with them."""

from __future__ import annotations

import json
import os
import random
import re
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Final

import pytest
from msgspec import Struct
from typer.testing import CliRunner

from cutplan.check import check_text
from cutplan.cli.all_commands import app
from cutplan.progress import record
from cutplan.progress.record import read_record
from cutplan.progress.record_end import RecordEnd, write_end
from sessions import REPOSITORY, lay_out_scenarios, printed, sessions, shows

PAGE: Final = (REPOSITORY / "docs" / "at-the-table.md").read_text(encoding="utf-8")

PLAIN: Final = """
units = "mm"
[paper]
name = "Plain sedge"
roll_length = 5200
match = "free"
[[roll]]
label = "A"
[[roll]]
label = "B"
[[drop]]
label = "1"
height = 2400
count = 4
"""
"""Four drops of 2500 mm from rolls A and B of 5200 mm: each roll gives two, and 200 mm are over."""


MEND: Final = (
    "if the walls proved so, record it: cutplan corrected plain.toml; else put it back as it was: what happens at the "
    "table is recorded, not written into the scenario (cutplan measured, cutplan bought); or begin afresh, with "
    "plain.record.jsonl and plain.record.end moved away"
)


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Work in a folder of its own, with the scenarios and a small one of plain paper."""
    lay_out_scenarios(tmp_path)
    (tmp_path / "plain.toml").write_text(PLAIN, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


class Ran(Struct, frozen=True):
    """What a command returned and printed."""

    exit_code: int
    stdout: str
    stderr: str


def run(*arguments: str) -> Ran:
    """Run cutplan."""
    result = CliRunner().invoke(app, list(arguments))
    return Ran(result.exit_code, result.stdout, result.stderr)


def run_well(*arguments: str) -> str:
    """Run cutplan, which must succeed, and return what it prints to standard output."""
    result = run(*arguments)
    assert result.exit_code == 0, result.stderr
    return result.stdout


# The page


def test_sessions_print_what_the_page_shows() -> None:
    """Each command in turn, in one folder: plan, done, spoiled, replan, and on to the end."""
    shown = sessions(PAGE)

    assert len(shown) > 10
    for command, output in shown:
        assert shows(output, printed(command)), command


def test_page_names_every_command_that_records() -> None:
    """The table at its end leaves none out."""
    recording = {"begin", "done", "cut", "pasted", "hung", "spoiled", "measured", "flaw", "bought"}
    recording |= {"corrected", "stop", "resume", "undo", "replan", "status"}

    assert set(re.findall(r"^\| `cutplan (\w+) ", PAGE, re.MULTILINE)) == recording


# Beginning


def test_first_step_done_keeps_the_plan_that_is_printed() -> None:
    """The steps in the record are worded as on the page of `cutplan plan`."""
    page = run_well("plan", "scenarios/third-drop-room.toml")
    run_well("done", "scenarios/third-drop-room.toml", "1")
    plan, _ = read_record(Path("scenarios/third-drop-room.record.jsonl")).entries
    steps = plan.facts["steps"]
    assert isinstance(steps, list)
    on_one_line = " ".join(page.split())

    assert len(steps) > 30
    for step in steps:
        assert f" {step['step']} {' '.join(step['words'].split())}" in on_one_line


def test_begin_prints_the_plan_and_keeps_it() -> None:
    """The same page as `cutplan plan`; a second beginning is refused."""
    assert run_well("begin", "plain.toml") == run_well("plan", "plain.toml")

    again = run("begin", "plain.toml")
    assert again.exit_code == 2
    assert again.stderr == "cutplan: work on it is begun already, by plan 1; see: cutplan status\n"


def test_plan_says_that_work_has_begun_by_another() -> None:
    """Whoever prints the plan again is told which steps count."""
    run_well("done", "plain.toml", "1")

    assert run("plan", "plain.toml").stderr == (
        "cutplan: work on plain.toml is begun by the plan in plain.record.jsonl, which need not be this one; "
        "for its steps: cutplan status --steps plain.toml\n"
    )


def test_step_that_cannot_be_the_first_begins_nothing(folder: Path) -> None:
    """No record is made, not even an empty one."""
    assert run("done", "plain.toml", "2").exit_code == 2
    assert not (folder / "plain.record.jsonl").exists()


@pytest.mark.parametrize("command", [["status"], ["undo"], ["replan"], ["hung", "1"], ["bought", "1"]])
def test_without_a_record_there_is_nothing_to_say(command: list[str], folder: Path) -> None:
    """The message tells how a record begins, and none is made."""
    result = run(command[0], "plain.toml", *command[1:])

    assert result.exit_code == 2
    assert result.stderr == "cutplan: plain.record.jsonl: there is no record yet; it begins with the first step done\n"
    assert not (folder / "plain.record.jsonl").exists()


# What cannot be


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["done", "-", "1"], "the record is kept beside the scenario's file: give its name, not -"),
        (["done", "plain.toml", "x"], "'x' is no step: write its number, such as 4, or several in a row, such as 4-9"),
        (["done", "plain.toml", "9-4"], "'9-4' runs backwards: write 4-9"),
        (["done", "plain.toml", "1"], "step 1 is done already; to take back the last entry: undo"),
        (["done", "plain.toml", "40"], "there is no step 40: the plan's steps run from 1 to 6"),
        (["spoiled", "plain.toml", "2", "--why", "torn"], "there is no drop '2'; drops are called 1"),
        (["bought", "plain.toml", "0"], "say how many rolls came in, 1 to 1000: cutplan bought 2"),
        (["bought", "plain.toml", "9" * 5000], "say how many rolls came in, 1 to 1000: cutplan bought 2"),
        (
            ["measured", "plain.toml", "A", "5,100"],
            "'5,100' has a comma; if it parts thousands write '5100', if decimals a point",
        ),
    ],
)
def test_what_is_wrong_is_said_in_one_line(arguments: list[str], message: str) -> None:
    """Exit status 2, and nothing is recorded."""
    run_well("done", "plain.toml", "1", "2")
    before = Path("plain.record.jsonl").read_bytes()
    result = run(*arguments)

    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr == f"cutplan: {message}\n"
    assert Path("plain.record.jsonl").read_bytes() == before


def test_changed_scenario_is_refused_with_what_changed(folder: Path) -> None:
    """One height, one roll more and one less; a comment is no change."""
    run_well("done", "plain.toml", "1")
    (folder / "plain.toml").write_text("# a note\n" + PLAIN, encoding="utf-8")
    run_well("status", "plain.toml")
    changed = PLAIN.replace("2400", "2410").replace('"B"', '"C"')
    (folder / "plain.toml").write_text(changed, encoding="utf-8")
    result = run("status", "plain.toml")

    assert result.exit_code == 2
    assert result.stderr.replace("cutplan: ", "").splitlines() == [
        "plain.toml has changed since work on it was first recorded in plain.record.jsonl:",
        '  roll["B"]: was {label = "B"}, and is gone',
        '  roll["C"]: is new: {label = "C"}',
        '  drop["1"].height: was 2400, is now 2410',
        MEND,
    ]


def test_torn_line_is_told_and_the_work_goes_on(folder: Path) -> None:
    """The machine stopped while step 2 was being recorded: the file beside the record counts step 1 as the last."""
    run_well("done", "plain.toml", "1")
    end = (folder / "plain.record.end").read_bytes()
    run_well("done", "plain.toml", "2")
    (folder / "plain.record.end").write_bytes(end)
    path = folder / "plain.record.jsonl"
    path.write_bytes(path.read_bytes()[:-9])
    result = run("done", "plain.toml", "2")

    assert result.exit_code == 0
    assert result.stderr == (
        "cutplan: plain.record.jsonl: the last line was never finished, so it was not recorded and is ignored\n"
    )
    assert len(read_record(path).entries) == 3


def test_command_killed_before_it_answered_is_not_recorded_twice(folder: Path) -> None:
    """Two rolls were bought and recorded, and nobody was told: the same command again shows that, and asks."""
    run_well("done", "plain.toml", "1")
    end = folder / "plain.record.end"
    before = end.read_bytes()
    run_well("bought", "plain.toml", "2")
    end.write_bytes(before)
    again = run("bought", "plain.toml", "2")

    assert again.exit_code == 2
    assert (
        "entry 3 was recorded by a command that could not say so: 2 rolls come in: bought 1, bought 2" in again.stderr
    )
    assert again.stderr.endswith("If it happened once more, give the number of its entry: --entry 4\n")
    assert len(read_record(folder / "plain.record.jsonl").entries) == 3
    run_well("bought", "plain.toml", "2", "--entry", "4")
    assert len(read_record(folder / "plain.record.jsonl").entries) == 4
    run_well("bought", "plain.toml", "2")  # the last one was answered: this is another purchase


def killed_once_recorded(*words: str) -> None:
    """Run a command in a fork that is killed when its entry is on the disk, and the file beside it not yet."""
    child = os.fork()
    if not child:

        def killed(path: Path, end: RecordEnd) -> None:
            if path.stat().st_size > size:
                os.kill(os.getpid(), signal.SIGKILL)
            write_end(path, end)

        kept = Path("plain.record.jsonl")
        size = kept.stat().st_size if kept.exists() else 0
        setattr(record, "write_end", killed)  # noqa: B010 - not its own name
        run(*words)
        os._exit(0)

    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == -signal.SIGKILL


@pytest.mark.parametrize(
    ("steps", "words"),
    [
        (None, ["done", "plain.toml"]),
        ("1-3", ["done", "plain.toml"]),
        ("1-3", ["cut", "plain.toml", "1 (2 of 4)", "2510 mm"]),
        ("1-3", ["pasted", "plain.toml"]),
        ("1-3", ["hung", "plain.toml"]),
        ("1-2", ["spoiled", "plain.toml"]),
        ("1-2", ["measured", "plain.toml", "A", "2600 mm"]),
        ("1-2", ["flaw", "plain.toml", "A", "50 mm", "--at", "10 mm"]),
        ("1-2", ["bought", "plain.toml", "2"]),
        ("1-2", ["corrected", "plain.toml"]),
        ("1-2", ["stop", "plain.toml"]),
        ("1-2", ["resume", "plain.toml", "--by", "Ann"]),
        ("1-2", ["undo", "plain.toml"]),
        ("1-2", ["replan", "plain.toml"]),
    ],
    ids=lambda words: words[0] if isinstance(words, list) else str(words),
)
def test_command_killed_once_it_recorded_shows_that_when_it_is_given_again(
    steps: str | None, words: list[str], folder: Path
) -> None:
    """The same words again record nothing, say what was recorded, and ask for the number, each command that records."""
    if steps:
        run_well("done", "plain.toml", steps)
    if words[0] == "corrected":
        (folder / "plain.toml").write_text(PLAIN.replace("2400", "2390"), encoding="utf-8")
    killed_once_recorded(*words)
    kept = read_record(folder / "plain.record.jsonl").entries
    again = run(*words)

    assert again.exit_code == 2
    assert "this was recorded already, by a command that was stopped before it could say so: " in again.stderr
    assert again.stderr.endswith(f"If it happened once more, give the number of its entry: --entry {len(kept) + 1}\n")
    assert read_record(folder / "plain.record.jsonl").entries == kept


def test_begin_killed_once_it_recorded_says_that_work_is_begun(folder: Path) -> None:
    """Work begins once: there is no number to ask for."""
    killed_once_recorded("begin", "plain.toml")
    again = run("begin", "plain.toml")

    assert again.exit_code == 2
    assert "entry 1 was recorded by a command that could not say so" in again.stderr
    assert "work on it is begun already, by plan 1" in again.stderr
    assert len(read_record(folder / "plain.record.jsonl").entries) == 1


def test_command_that_names_its_entry_is_recorded_once() -> None:
    """A script may give a command again and again: the number is taken the second time."""
    run_well("done", "plain.toml", "1")
    run_well("bought", "plain.toml", "1", "--entry", "3")
    again = run("bought", "plain.toml", "1", "--entry", "3")

    assert again.exit_code == 2
    assert "entry 3 is taken: 1 roll come in: bought 1;" in again.stderr
    assert "what is recorded next will be entry 4" in again.stderr


def test_deleted_record_is_not_one_that_was_never_begun(folder: Path) -> None:
    """The file beside it knows that there was one."""
    run_well("done", "plain.toml", "1")
    (folder / "plain.record.jsonl").unlink()
    for command in (["status", "plain.toml"], ["done", "plain.toml", "1"], ["sheet", "plain.toml", "-o", "x.html"]):
        assert "plain.record.jsonl: is gone, with 2 entries" in run(*command).stderr


def test_damaged_line_is_an_error_with_its_number(folder: Path) -> None:
    """Nothing is guessed from what is left."""
    run_well("done", "plain.toml", "1")
    run_well("done", "plain.toml", "2")
    path = folder / "plain.record.jsonl"
    path.write_text(path.read_text(encoding="utf-8").replace('"steps":[1]', '"steps":[5]'), encoding="utf-8")
    result = run("status", "plain.toml")

    assert result.exit_code == 2
    assert result.stderr.startswith("cutplan: plain.record.jsonl:2: this line was changed")


# The rest


def lose_one() -> None:
    """Cut the first drop of plain paper and spoil it: rolls A and B are then one drop short."""
    run_well("done", "plain.toml", "1-2")
    run_well("spoiled", "plain.toml", "1", "--why", "paste on the face")


def test_too_little_paper_is_exit_3_with_what_would_do() -> None:
    """The record is left as it was: there is no plan to go on with."""
    lose_one()
    before = Path("plain.record.jsonl").read_bytes()
    result = run("replan", "plain.toml")

    assert (result.exit_code, result.stdout) == (3, "")
    assert result.stderr.splitlines() == [
        "No, there is not enough paper: 1 roll more is needed beyond the roll not opened",
        "yet (proved: fewer will not do).",
        "Cut from it would be drop 1: 2500 mm.",
        "What would do:",
        "  - 1 roll more, of the same batch: record it (cutplan bought), and plan again.",
    ]
    assert Path("plain.record.jsonl").read_bytes() == before


def test_bought_roll_is_planned_in() -> None:
    """One roll comes in, and the rest is planned from it."""
    lose_one()
    assert run_well("bought", "plain.toml", "1", "--batch", "7").startswith("1 roll come in: bought 1.\n")
    page = run_well("replan", "plain.toml")

    assert page.startswith("Yes, there is still enough paper, with the 2 rolls not opened yet.\n")
    assert "Open roll bought 1 (5200 mm, batch 7)." in page


def test_rolls_bought_as_needed_are_not_counted_in() -> None:
    """A scenario without rolls takes as many as it needs."""
    run_well("done", "scenarios/feature-wall.toml", "1")
    result = run("bought", "scenarios/feature-wall.toml", "1")

    assert result.exit_code == 2
    assert result.stderr == (
        "cutplan: this scenario lists no rolls, so as many are taken as are needed: just plan anew\n"
    )


def test_new_plan_as_json_is_judged_sound() -> None:
    """What --json prints goes to the judge as it is."""
    run_well("done", "scenarios/measured-rolls.toml", "1-6")
    run_well("spoiled", "scenarios/measured-rolls.toml", "1", "--why", "torn")
    report = check_text(run_well("replan", "scenarios/measured-rolls.toml", "--json"))

    assert [violation.line() for violation in report.violations] == []


def test_only_an_answer_changes_nothing() -> None:
    """The plan in use stays in use."""
    run_well("done", "scenarios/feature-wall.toml", "1-3")
    before = Path("scenarios/feature-wall.record.jsonl").read_bytes()

    assert run_well("replan", "scenarios/feature-wall.toml", "--only-answer").startswith("Yes,")
    assert Path("scenarios/feature-wall.record.jsonl").read_bytes() == before


def test_undoing_a_new_plan_brings_back_the_old_one_and_numbers_go_on() -> None:
    """Plan 2 has steps 22 and on; undone, plan 1 is in use; the next new plan is plan 3, beyond plan 2's numbers."""
    run_well("done", "scenarios/feature-wall.toml", "1-3")
    run_well("replan", "scenarios/feature-wall.toml")
    second = json.loads(run_well("status", "scenarios/feature-wall.toml", "--json"))
    run_well("undo", "scenarios/feature-wall.toml")
    first = json.loads(run_well("status", "scenarios/feature-wall.toml", "--json"))
    run_well("replan", "scenarios/feature-wall.toml")
    third = json.loads(run_well("status", "scenarios/feature-wall.toml", "--json"))

    assert (first["plan"], first["steps"], first["steps_done"]) == (1, [1, 21], [1, 2, 3])
    assert (second["plan"], second["steps"][0]) == (2, 22)
    assert (third["plan"], third["steps"][0]) == (3, second["steps"][1] + 1)


def test_status_in_other_units() -> None:
    """Inches for whoever reads an inch tape: 6260 mm certain is 20 ft 6 7/16 in, rounded down."""
    run_well("done", "scenarios/feature-wall.toml", "1-3")

    assert "20 ft 6 7/16 in to 22 ft 7 5/8 in" in run_well("status", "scenarios/feature-wall.toml", "--units", "in")


def test_many_rolls_alike_are_one_line_of_the_status() -> None:
    """Of a contract's rolls 30 are begun alike; they would fill a screen."""
    run_well("done", "scenarios/hotel-bedrooms.toml", "1-3", "--times", "30")
    lines = [line for line in run_well("status", "scenarios/hotel-bedrooms.toml").splitlines() if "roll-" in line]

    assert [line.split("  ")[0] for line in lines] == ["roll-1 to roll-30, each"]


def test_steps_still_to_do_are_the_sheet() -> None:
    """After step 2 the sheet begins with step 3."""
    run_well("done", "plain.toml", "1-2")
    sheet = run_well("status", "plain.toml", "--steps").partition("\nRoll A\n")[2]
    numbers = [int(number) for number in re.findall(r"^ +(\d+)  \S", sheet, re.MULTILINE)]

    assert numbers == [3, 4, 5, 6]


# Processes


def start(*arguments: str) -> subprocess.Popen[bytes]:
    """Start the program itself."""
    command = [sys.executable, "-m", "cutplan", *arguments]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE)  # noqa: S603 - our own


def test_command_killed_at_any_moment_has_recorded_all_or_nothing() -> None:
    """Each step of a plan by a process that is killed, perhaps in time; benchmarks/record_kill.py does hundreds."""
    chance = random.Random(20310504)  # noqa: S311 - moments to kill at
    scenario, record = "scenarios/third-drop-room.toml", Path("scenarios/third-drop-room.record.jsonl")
    run_well("done", scenario, "1")
    step = 2
    for _ in range(12):
        process = start("done", scenario, str(step))
        time.sleep(chance.uniform(0, 0.4))
        process.send_signal(signal.SIGKILL)
        shown, _ = process.communicate()
        done = json.loads(run_well("status", scenario, "--json"))["steps_done"]

        assert done == list(range(1, step + (step in done)))
        assert step in done or b"Done" not in shown
        step = len(done) + 1
    assert read_record(record).torn == 0 or step > 1


def test_two_commands_at_once_are_both_kept() -> None:
    """Two rolls, two helpers: each records the cuts of one roll while the other records theirs."""
    run_well("done", "scenarios/feature-wall.toml", "1")
    both = [start("done", "scenarios/feature-wall.toml", *steps) for steps in (("2", "3"), ("4", "5", "6"))]
    for process in both:
        _, errors = process.communicate()
        assert process.returncode == 0, errors
    done = json.loads(run_well("status", "scenarios/feature-wall.toml", "--json"))["steps_done"]

    assert done == [1, 2, 3, 4, 5, 6]
    entries = read_record(Path("scenarios/feature-wall.record.jsonl")).entries
    assert [entry.number for entry in entries] == [1, 2, 3, 4]
