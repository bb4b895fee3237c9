"""Which tests reach which lines, and how long each takes: found once, for every change that stands on them."""

from __future__ import annotations

import json
import os
import signal
import time
from collections import defaultdict
from pathlib import Path
from typing import TYPE_CHECKING, Final, NoReturn

import coverage
import pytest
from hypothesis import Phase, settings

from mutant_list import FOLDERS, PACKAGE, ROOT

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from mutant_list import Mutant

FOUND: Final = ROOT / ".mutants" / "reach"

PAGES: Final = (
    *(
        "asking",
        "asides",
        "benchmarks",
        "browser",
        "buying",
        "cli",
        "compar",
        "docs",
        "drawing",
        "examples",
        "given_up",
    ),
    *("keeping", "layers", "materials", "notebook", "page", "photograph", "plain_text", "public_names", "quantity"),
    *("readme", "readings", "render", "scenario_write", "sheet.", "sheet_read", "toml", "whole_file"),
)
"""Parts of names of files whose tests are of what is shown, or ask the solver too long to be run for each change."""

TIMED: Final = ("hard_to_break", "in_haste", "at_the_table", "solver_work", "interrupted")
"""Parts of names of files whose tests fail by themselves on a loaded machine, or would be ended for that."""

LONGEST: Final = 2.0
"""Seconds after which a test is too long to be run for each change, and is ended here."""


OPTIONS: Final = (
    *("-q", "-p", "no:cacheprovider", f"--basetemp={ROOT / '.mutants' / 'tmp'}"),
    *("-W", "ignore::pytest.PytestAssertRewriteWarning", "-W", "ignore::DeprecationWarning"),
)
"""What pytest is told whenever it runs here."""

FEW: Final = 10
"""Examples of Hypothesis in each test."""


def shorten_tests() -> None:
    """Ask Hypothesis for few examples, and for no shorter one than the first that fails."""
    phases = (Phase.explicit, Phase.generate)
    settings.register_profile("short", settings.get_profile("cutplan"), max_examples=FEW, phases=phases)
    settings.load_profile("short")


class Reach:
    """What was found: for each line the tests that reach it, each with its seconds."""

    def __init__(self) -> None:
        self.seconds: dict[str, float] = {}
        self.lines: dict[str, dict[int, list[str]]] = defaultdict(lambda: defaultdict(list))
        self.when_loaded: dict[str, set[int]] = defaultdict(set)
        for file in sorted(FOUND.glob("*.json")):
            found = json.loads(file.read_text(encoding="utf-8"))
            self.seconds |= {test: seconds for test, seconds in found["tests"].items() if seconds <= LONGEST}
            tests = list(found["tests"])
            for path, numbers in found["when_loaded"].items():
                self.when_loaded[path] |= set(numbers)
            for path, lines in found["lines"].items():
                for line, numbers in lines.items():
                    self.lines[path][int(line)] += [test for n in numbers if (test := tests[n]) in self.seconds]

    def runs_when_loaded(self, mutant: Mutant) -> bool:
        """Return True for a change that is also reached while tests are loaded."""
        return any(line in self.when_loaded[mutant.path] for line in range(mutant.first, mutant.last + 1))

    def tests_for(self, mutant: Mutant) -> list[str]:
        """Return the tests that reach a change, quickest first; of a change outside functions, those of its module."""
        lines = self.lines[mutant.path]
        places = range(mutant.first, mutant.last + 1) if mutant.is_inside else lines
        tests = {test for place in places for test in lines.get(place, ())}
        return sorted(tests, key=lambda test: (self.seconds[test], test))


def find_reach(anew: Sequence[str], until: float) -> bool:
    """Run each file of tests that is not known yet, or is named in ``anew``; return False when time was up before."""
    FOUND.mkdir(parents=True, exist_ok=True)
    for file in _files():
        if time.monotonic() > until:
            return False
        if file in anew or not (FOUND / f"{Path(file).stem}.json").exists():
            child = os.fork()
            if not child:
                try:
                    _find(file)
                finally:
                    os._exit(0)
            os.waitpid(child, 0)
            if not (FOUND / f"{Path(file).stem}.json").exists():
                raise SystemExit(f"no test of {file} was run")
    return True


def _files() -> Iterator[str]:
    for file in sorted((ROOT / "tests").glob("test_*.py")):
        if not any(part in file.name for part in PAGES + TIMED):
            yield str(file.relative_to(ROOT))


class _Watch:
    """Notes the seconds of each test that passes, and tells coverage which test runs."""

    def __init__(self, lines: coverage.Coverage) -> None:
        self.lines = lines
        self.seconds: dict[str, float] = {}
        self.failed: set[str] = set()

    def pytest_collection(self) -> None:
        shorten_tests()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        self.lines.switch_context(item.nodeid)
        begun = time.process_time()
        signal.setitimer(signal.ITIMER_PROF, LONGEST)
        try:
            return (yield)
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)
            self.seconds[item.nodeid] = time.process_time() - begun
            self.lines.switch_context("")

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if not report.passed:
            self.failed.add(report.nodeid)


def _end_test(*_: object) -> NoReturn:
    pytest.fail(f"takes more than {LONGEST} s")


def _find(file: str) -> None:
    """Run one file of tests and write down what its tests reach."""
    sources = [str(ROOT / PACKAGE / pattern) for patterns in FOLDERS.values() for pattern in patterns]
    lines = coverage.Coverage(data_file=None, include=sources, config_file=False)
    watch = _Watch(lines)
    signal.signal(signal.SIGPROF, _end_test)
    lines.start()
    pytest.main([*OPTIONS, file], plugins=[watch])
    lines.stop()
    data = lines.get_data()
    if not watch.seconds:
        return
    passed = {test: seconds for test, seconds in watch.seconds.items() if test not in watch.failed}
    number = {test: n for n, test in enumerate(passed)}
    reached = {
        str(Path(path).relative_to(ROOT)): {
            line: sorted(number[test] for test in set(tests) & passed.keys())
            for line, tests in data.contexts_by_lineno(path).items()
        }
        for path in data.measured_files()
    }
    when_loaded = {
        str(Path(path).relative_to(ROOT)): [
            line for line, tests in data.contexts_by_lineno(path).items() if "" in tests
        ]
        for path in data.measured_files()
    }
    found = {"tests": passed, "lines": reached, "when_loaded": when_loaded}
    (FOUND / f"{Path(file).stem}.json").write_text(json.dumps(found), encoding="utf-8")
