"""Changes tried one after another: each in a fork of one process in which all tests are loaded, and none was run.

A change within functions takes the place of their code; for one outside them, and for code that runs while tests are
loaded, the fork loads everything anew.
"""

from __future__ import annotations

import contextlib
import gc
import importlib
import os
import resource
import select
import signal
import sys
from collections import Counter, defaultdict
from importlib.machinery import SourceFileLoader
from itertools import accumulate
from types import FunctionType
from typing import TYPE_CHECKING, Any, Final, NoReturn, TypeAlias

import pytest

from changed_code import changed_codes, take_place
from mutant_list import ROOT
from mutant_reach import OPTIONS, shorten_tests

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from types import CodeType

    from mutant_list import Mutant
    from mutant_reach import Reach

    Report: TypeAlias = Callable[[Mutant, str], bool]

SURVIVED: Final = "survived"
TIMED_OUT: Final = "timed out"
NO_PROGRAM: Final = "no program"
UNREACHED: Final = "not reached"
NOT_IN_PLACE: Final = "not in place"
"""Of a change that functions cannot be given while they are loaded."""

FILES_LOADED: Final = 5
"""Files of tests that are loaded anew for a change outside functions."""

MEMORY: Final = 6 << 30
"""Bytes that a fork may have."""

LATEST: Final = 90.0
"""Seconds after which a fork is ended that uses no processor."""


class Trial:
    """A plugin of pytest that tries changes instead of running the tests that were loaded.

    ``report`` takes each change with what became of it: a constant of this module, or the test that failed; it says
    whether to go on. A change has to survive tests of as many ``seconds``.
    """

    def __init__(
        self,
        mutants: Sequence[Mutant],
        reach: Reach,
        seconds: float,
        report: Report,
        *,
        longest_too: bool,
    ) -> None:
        self.mutants = mutants
        self.reach = reach
        self.seconds = seconds
        self.longest_too = longest_too
        self.report = report
        self.items: dict[str, pytest.Item] = {}
        self.known: set[str] = set()
        self.functions: dict[str, list[FunctionType]] = defaultdict(list)
        self.kills: dict[str, Counter[str]] = defaultdict(Counter)
        self.sound: set[str] = set()

    def pytest_collection(self) -> None:
        """Keep tests short."""
        shorten_tests()

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Try the changes instead."""
        self.items = {item.nodeid: item for item in session.items}
        self.known = set(self.items)
        self.try_all()
        return True

    def try_all(self) -> None:
        """Try each change, until ``report`` says that it is enough."""
        for module in {mutant.module for mutant in self.mutants}:
            importlib.import_module(module)
        for found in gc.get_objects():
            if isinstance(found, FunctionType):
                self.functions[found.__code__.co_filename].append(found)
        gc.freeze()
        for mutant in self.mutants:
            if not self.report(mutant, self._became(mutant)):
                break

    def _became(self, mutant: Mutant) -> str:
        try:
            changed = compile(mutant.source(), str(ROOT / mutant.path), "exec", dont_inherit=True)
        except (SyntaxError, ValueError, AttributeError):  # the last of an exception with a dot in its name
            return NO_PROGRAM
        tests = self._tests(mutant)
        if not tests:
            return UNREACHED
        became = _forked(lambda: self._swapped(mutant, changed, tests)) if mutant.is_inside else SURVIVED
        if became in self.known and not self._holds(became):
            return self._became(mutant)
        is_anew = not mutant.is_inside or self.reach.runs_when_loaded(mutant)
        if became == NOT_IN_PLACE or (became == SURVIVED and is_anew):
            became = _forked(lambda: self._anew(mutant, changed, tests))
        if became not in (SURVIVED, TIMED_OUT):
            self.kills[mutant.path][became] += 1
        return became

    def _holds(self, test: str) -> bool:
        """Return True when a test passes alone without any change; one that does not is run no more."""
        if test not in self.sound and _forked(lambda: self._first_failing([test])) != SURVIVED:
            self.known.remove(test)
            return False
        self.sound.add(test)
        return True

    def _tests(self, mutant: Mutant) -> list[str]:
        """Return the tests to run: first those that failed for changes of the same module, then as they are short."""
        kills, left = self.kills[mutant.path], self.seconds
        known = [test for test in self.reach.tests_for(mutant) if test in self.known]
        if self.longest_too:
            sums = accumulate(self.reach.seconds[test] for test in known)
            quick = sum(so_far < self.seconds / 2 for so_far in sums)
            known = [*known[:quick], *reversed(known[quick:])]
        chosen: list[str] = []
        for test in sorted(known, key=lambda test: -kills[test]):
            if self.reach.seconds[test] <= left or not chosen:
                left -= self.reach.seconds[test]
                chosen.append(test)
        return chosen

    def _anew(self, mutant: Mutant, changed: CodeType, tests: Sequence[str]) -> str:
        """Load the package and the tests anew with the module changed, and run the tests."""
        limit(2 * self.seconds)
        forget_modules(mutant, changed)
        first = _FirstFailure()
        status = pytest.main(["-x", *OPTIONS, *self._in_few_files(tests)], plugins=[first])
        return f"{mutant.path} loads no more" if first.test == SURVIVED and status else first.test

    @staticmethod
    def _in_few_files(tests: Sequence[str]) -> list[str]:
        """Return the tests of those files that hold most of them."""
        files = Counter(test.partition("::")[0] for test in tests)
        few = {file for file, _ in files.most_common(FILES_LOADED)}
        return [test for test in tests if test.partition("::")[0] in few]

    def _swapped(self, mutant: Mutant, changed: CodeType, tests: Sequence[str]) -> str:
        """Give the functions of a module their changed code, and run the tests."""
        path = str(ROOT / mutant.path)
        original = compile((ROOT / mutant.path).read_text(encoding="utf-8"), path, "exec", dont_inherit=True)
        if not take_place(self.functions[path], changed_codes(original, changed)):
            return NOT_IN_PLACE
        return self._first_failing(tests)

    def _first_failing(self, tests: Sequence[str]) -> str:
        following = [*(self.items[test] for test in tests[1:]), None]
        for test, after in zip(tests, following, strict=True):
            limit(self.reach.seconds[test])
            setattr(self.items[test], "repr_failure", _untold)  # noqa: B010 - a method, for this item alone
            if any(report.failed for report in _reports(self.items[test], after)):
                return test
        return SURVIVED


class _FirstFailure:
    """Plugin of a run of pytest within a fork: which test failed first."""

    def __init__(self) -> None:
        self.test = SURVIVED

    def pytest_collection(self) -> None:
        shorten_tests()

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed and self.test == SURVIVED:
            self.test = report.nodeid


def forget_modules(mutant: Mutant, changed: CodeType) -> None:
    """Have the package and the tests loaded anew when they are asked for next, with a module changed."""
    usual = SourceFileLoader.get_code
    path = str(ROOT / mutant.path)

    def code(loader: SourceFileLoader, name: str) -> CodeType | None:
        return changed if loader.get_filename(name) == path else usual(loader, name)

    SourceFileLoader.get_code = code  # type: ignore[assignment, method-assign]
    folder = str(ROOT / "tests")
    for name, module in list(sys.modules.items()):
        if name.partition(".")[0] == "cutplan" or (getattr(module, "__file__", None) or "").startswith(folder):
            del sys.modules[name]


def _reports(item: pytest.Item, after: pytest.Item | None) -> list[pytest.TestReport]:
    from _pytest.runner import runtestprotocol  # noqa: PLC0415 - pytest has no public name for it

    return runtestprotocol(item, log=False, nextitem=after)


def _untold(*_: object) -> str:
    """Tell nothing of a failure: telling it takes ten times as long as most tests."""
    return ""


def limit(seconds: float) -> None:
    """End this process once it has used much more of a processor than the tests need without a change."""
    signal.setitimer(signal.ITIMER_PROF, 1 + 3 * seconds)


def _forked(trial: Callable[[], str]) -> str:
    """Return what a trial says that runs in a fork, or that its time or memory was up."""
    read, write = os.pipe()
    child = os.fork()
    if not child:
        os.close(read)
        _run(trial, write)
    os.close(write)
    with os.fdopen(read, encoding="utf-8") as pipe:
        said = pipe.read() if select.select([pipe], [], [], LATEST)[0] else ""
    with contextlib.suppress(ProcessLookupError):
        os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return said or TIMED_OUT


def _run(trial: Callable[[], str], write: int) -> NoReturn:
    try:
        signal.signal(signal.SIGPROF, signal.SIG_DFL)
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, 1)
        os.dup2(nowhere, 2)
        said: Any = trial()
    except BaseException as fault:  # noqa: BLE001 - whatever ends a test in this way has noticed the change
        said = f"ended by {type(fault).__name__}: {fault}"
    os.write(write, said.encode())
    os._exit(0)
