"""What does not break: a sample of what ``benchmarks/hard_to_break.py`` tries by the thousand."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path
from random import Random
from types import ModuleType

import pytest

from cutplan.interruption import end_children

BENCHMARKS = Path(__file__).parent.parent / "benchmarks"
sys.path.insert(0, str(BENCHMARKS))

from hard_to_break import (  # noqa: E402 - a script beside the package
    COMMANDS,
    NO_NAMES,
    SCENARIOS,
    fault_of_name,
    fault_of_scenario,
    fault_of_streams,
    hear_every_signal,
    heard_by_cutplan,
    prepare,
    program,
    spoilt,
    stopped,
)
from record_kill import kill_commands  # noqa: E402


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with scenarios, a plan and a record that has begun."""
    hear_every_signal()
    made = tmp_path_factory.mktemp("work")
    prepare(made)
    return made


def test_spoilt_scenarios_are_refused_or_planned() -> None:
    """300 scenarios with one to four mistakes each: every one ends in its faults, a plan, or why there is none."""
    chance = Random(13)  # noqa: S311 - mistakes and moments
    texts = [path.read_text(encoding="utf-8") for path in sorted(SCENARIOS.glob("*.toml"))]

    found = [fault_of_scenario(spoilt(chance.choice(texts), chance)) for _ in range(300)]

    assert [fault for _, fault in found if fault] == []
    assert {became for became, _ in found} >= {"refused", "read and planned"}


@pytest.mark.parametrize("name", ["plan", "buy", "compare", "sheet", "done"])
def test_ctrl_c_at_a_random_moment_ends_as_it_should(name: str, folder: Path) -> None:
    """Status 130, or that of an answer that was quicker; no traceback, and no file but a whole one."""
    moments = Random(name)  # noqa: S311

    # While it loads, which takes a third of a second, and later.
    assert stopped(COMMANDS[name], folder, signal.SIGINT, moments.uniform(0, 0.3)) is None
    assert stopped(COMMANDS[name], folder, signal.SIGINT, moments.uniform(0.3, 1)) is None


def test_what_is_started_in_the_background_hears_ctrl_c() -> None:
    """A shell lets what it runs there ignore Ctrl-C, and so whatever that starts: then nothing would be interrupted."""
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        hear_every_signal()
        after = signal.getsignal(signal.SIGINT)
    finally:
        signal.signal(signal.SIGINT, before)

    assert after is signal.SIG_DFL


FINDER = """\
import os, signal, sys
class Finder:
    def find_spec(self, name, path=None, target=None):
        if name == "cutplan.interruption":
            os.kill(os.getpid(), signal.SIGINT)
signal.signal(signal.SIGINT, signal.default_int_handler)  # ignored, where a shell began all this in the background
sys.meta_path.insert(0, Finder())
"""


def test_ctrl_c_is_heard_from_the_first_line_on(tmp_path: Path) -> None:
    """Sent while the module that is to hear it is looked for, Ctrl-C ends the program all the same, and quietly."""
    (tmp_path / "sitecustomize.py").write_text(FINDER, encoding="utf-8")
    paths = os.pathsep.join([str(tmp_path), *(path for path in sys.path if path)])

    done = subprocess.run(program("--help"), check=False, capture_output=True, text=True, env={"PYTHONPATH": paths})  # noqa: S603

    assert (done.returncode, done.stdout, done.stderr) == (130, "", "")


SWALLOWER = """\
import os, signal, sys
left = [int(os.environ["SWALLOWED"])]
def interrupt(frame, event, _):
    if event == "call" and frame.f_code.co_name == "cb" and "cutplan" in sys.modules:
        left[0] -= 1
        if not left[0]:
            signal.raise_signal(signal.SIGINT)
signal.signal(signal.SIGINT, signal.default_int_handler)
sys.setprofile(interrupt)
"""


@pytest.mark.parametrize("callback", [1, 2, 12, 60])
def test_ctrl_c_is_heard_where_python_swallows_every_exception(callback: int, tmp_path: Path) -> None:
    """In the callbacks of import locks, which Python calls by the hundred while it loads, dropping what they raise.

    Such a callback is ``cb`` of importlib; the first one after cutplan's first line is that of what it loads first.
    """
    (tmp_path / "sitecustomize.py").write_text(SWALLOWER, encoding="utf-8")
    env = {"PYTHONPATH": os.pathsep.join([str(tmp_path), *(path for path in sys.path if path)])}

    done = subprocess.run(  # noqa: S603 - our own program
        program("status"), check=False, capture_output=True, text=True, env={**env, "SWALLOWED": str(callback)}
    )

    assert (done.returncode, done.stdout, done.stderr.replace("cutplan: interrupted\n", "")) == (130, "", "")


def test_ctrl_c_finds_no_process_to_end_while_their_library_loads(monkeypatch: pytest.MonkeyPatch) -> None:
    """`page` loads it, and a signal may come while it has no more than its name."""
    monkeypatch.setitem(sys.modules, "multiprocessing", ModuleType("multiprocessing"))

    end_children()


def test_only_what_python_swallowed_before_the_first_line_is_not_held_against_cutplan() -> None:
    """Python says of its own start what it dropped; the same from a module of ours stays."""
    swallowed = (
        "Exception ignored in: <function _get_module_lock.<locals>.cb at 0x7f>\nTraceback (most recent call last):\n"
        '  File "<frozen importlib._bootstrap>", line 198, in cb\nKeyboardInterrupt: \n'
    )
    own = swallowed.replace("<frozen importlib._bootstrap>", "/cutplan/solve/clock.py")

    assert heard_by_cutplan(f"{swallowed}cutplan: wrote out.svg\n") == "cutplan: wrote out.svg\n"
    assert heard_by_cutplan(own) == own


@pytest.mark.parametrize("streams", [">/dev/full", ">&-", "2>&-", "<&-"])
def test_streams_that_are_closed_or_full_end_in_one_line(streams: str, folder: Path) -> None:
    """``check`` prints its answer where it can, and says with status 2 that it cannot."""
    assert fault_of_streams(COMMANDS["check"], streams, folder) is None


def test_a_name_that_no_file_can_have_is_wrong_usage(folder: Path) -> None:
    """300 letters are more than any system takes for a name: one line says so."""
    assert fault_of_name(f"plan {NO_NAMES[0]}", folder) is None
    assert fault_of_name(f"plan wall.toml -o {NO_NAMES[0]}", folder) is None


def test_done_that_is_killed_loses_nothing(tmp_path: Path) -> None:
    """Two kills of ``done`` at random moments: what was answered is recorded, and nothing else."""
    found = kill_commands(2, Random(1), tmp_path)  # noqa: S311

    assert (found["killed"], found["lost"], found["untrue"], found["unreadable"]) == (2, 0, 0, 0)
