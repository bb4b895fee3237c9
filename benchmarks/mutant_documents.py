"""Changes of the judge tried by documents instead of tests: one is seen when any word of any verdict is another.

The documents are the plans that ``tests/`` keeps, as they are and with one thing changed, all that the tests of the
judge give it, and the plans and the record of :mod:`planted_faults` with a fault in them: each sort of fault once, in
the shortest plan that has it, the plans in turn. Of those drawn, the ones that go another way through the judge, or of
which other things are said, are kept.
"""

from __future__ import annotations

import ast
import importlib
import json
import os
import sys
import time
from collections import defaultdict
from functools import cache, partial
from hashlib import sha256
from itertools import chain, islice, zip_longest
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Final, NamedTuple, TypeAlias

import coverage
import pytest

from cutplan import check
from mutant_list import PACKAGE, ROOT
from mutant_reach import LONGEST, OPTIONS, TIMED, Reach, shorten_tests
from mutant_trial import SURVIVED, Trial, forget_modules, limit
from planted_fault import Fault
from planted_faults import RECORD, documents, faults_at, recorded

sys.path.insert(0, str(ROOT / "tests"))
from test_verdicts import CHANGES, TESTS, changed, words

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence
    from types import CodeType

    from mutant_list import Mutant
    from mutant_trial import Report

    HeldUnder: TypeAlias = dict[str, dict[str, object]]
    Words: TypeAlias = Callable[[str], list[str]]

JUDGE: Final = ROOT / PACKAGE / "check"
LARGEST: Final = 400_000
"""Characters of the largest plan that is taken from the tests."""
DRAWN: Final = 4000
"""Faults that are drawn."""
KNOWN_TO_SEE: Final = 4
"""Documents that saw most changes of a module and are judged first; then one of each way through the function."""


class Judged(NamedTuple):
    """A document, what is said of it in how many seconds, and the lines of the judge that it reaches."""

    text: str
    says: list[str]
    seconds: float
    lines: dict[str, list[int]]


def judged_documents() -> dict[str, Judged]:
    """Return the documents by their names, found once for the judge as it is."""
    judge = sha256(b"".join(path.read_bytes() for path in sorted(JUDGE.rglob("*.py")))).hexdigest()[:12]
    file = ROOT / ".mutants" / f"documents-{judge}.jsonl"
    if not file.exists():
        file.parent.mkdir(exist_ok=True)
        part = file.with_suffix(".part")
        with part.open("w", encoding="utf-8") as lines:
            lines.writelines(
                json.dumps(kept) + "\n" for kept in _kept(chain(_in_tests(), _given_by_tests(), _planted()))
            )
        part.rename(file)
    with file.open(encoding="utf-8") as lines:
        return {name: Judged(*held) for name, *held in map(json.loads, lines)}


def _in_tests() -> Iterator[tuple[str, str]]:
    for path in sorted((TESTS / "old_plans").glob("*.json*")):
        yield path.name, path.read_text(encoding="utf-8")
    for number, change in enumerate(CHANGES):
        yield f"verdict {number}", changed(change)


def _given_by_tests() -> Iterator[tuple[str, str]]:
    """Yield the plans that the tests of the judge give it, found by running them once in a fork."""
    file = ROOT / ".mutants" / "given.jsonl"
    if not file.exists():
        child = os.fork()
        if not child:
            try:
                _record_given(file)
            finally:
                os._exit(0)
        os.waitpid(child, 0)
    for number, line in enumerate(file.read_text(encoding="utf-8").splitlines()):
        yield f"given {number}", json.loads(line)


def _record_given(to: Path) -> None:
    given: dict[str, None] = {}
    text_judged, plan_judged = check.check_text, check.check_plan

    def check_text(text: str, end: str | None = None) -> check.Report:
        given.setdefault(text)
        return text_judged(text, end)

    def check_plan(document: dict[str, object]) -> check.Report:
        given.setdefault(json.dumps(document, default=float))
        return plan_judged(document)

    check.check_text, check.check_plan = check_text, check_plan
    texts = {path: path.read_text(encoding="utf-8") for path in sorted(TESTS.glob("test_*.py"))}
    files = [str(path) for path, text in texts.items() if "cutplan.check" in text]
    pytest.main([*OPTIONS, *(file for file in files if not any(part in file for part in TIMED))], plugins=[_Short()])
    short = (text for text in given if len(text) < LARGEST)
    to.write_text("".join(f"{json.dumps(text)}\n" for text in short), encoding="utf-8")


class _Short:
    """Plugin of a run of pytest: few examples in each test."""

    def pytest_collection(self) -> None:
        shorten_tests()


def _planted() -> Iterator[tuple[str, str]]:
    plans = dict(documents())
    for path in sorted((TESTS / "old_plans").glob("*.json")):
        plans[path.name] = json.loads(path.read_text(encoding="utf-8"))
    with TemporaryDirectory() as folder:
        record = recorded(Path(folder))
        plans[RECORD], of_record = record.document(), [*record.faults()]
    known: set[str] = set()
    of_plan: list[list[tuple[str, Fault]]] = []
    held = _held_under_keys(plans)
    for name, plan in sorted(plans.items(), key=lambda named: len(json.dumps(named[1]))):
        faults = [*(of_record if name == RECORD else faults_at((), plan)), *_misread((), plan), *_added((), plan, held)]
        of_sort = {fault.name: (name, fault) for fault in Random(1).sample(faults, len(faults))}  # noqa: S311 - repeatable
        of_plan.append([of_sort[sort] for sort in of_sort if sort not in known])
        known |= of_sort.keys()
    for name, fault in islice(filter(None, chain(*zip_longest(*of_plan))), DRAWN):
        document = fault.planted(plans[name])
        text = record.text(document) if name == RECORD else json.dumps(document)
        yield f"{name}: {'/'.join(map(str, fault.path))}: {fault.change}", text


def _misread(path: tuple[str | int, ...], value: object) -> Iterator[Fault]:
    """Yield the faults of what is left out, or of another kind, which leave little to judge."""
    if isinstance(value, dict):
        for key, held in value.items():
            yield Fault((*path, key), "other kind", lambda held: 7 if isinstance(held, str) else "one")
            if path:
                yield Fault(path, f"without {key}", partial(_without, key=key))
            yield from _misread((*path, key), held)
    elif isinstance(value, list):
        for number, held in enumerate(value):
            yield from _misread((*path, number), held)


def _held_under_keys(plans: dict[str, dict[str, object]]) -> HeldUnder:
    """Return what tables of the same name hold in any plan: for each key the shortest that stands there."""
    held: HeldUnder = defaultdict(dict)
    for plan in plans.values():
        for path, table in _tables((), plan):
            for key, value in table.items():
                shortest = held[_last(path)].setdefault(key, value)
                if len(json.dumps(value)) < len(json.dumps(shortest)):
                    held[_last(path)][key] = value
    return held


def _tables(path: tuple[str | int, ...], value: object) -> Iterator[tuple[tuple[str | int, ...], dict[str, object]]]:
    if isinstance(value, dict):
        yield path, value
    for key, held in value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ():
        yield from _tables((*path, key), held)


def _last(path: tuple[str | int, ...]) -> str:
    return next((key for key in reversed(path) if isinstance(key, str)), "")


def _added(path: tuple[str | int, ...], value: object, held: HeldUnder) -> Iterator[Fault]:
    """Yield the faults of a key put in that tables of the same name have in another plan, with what it holds there."""
    for place, table in _tables(path, value):
        for key, other in held[_last(place)].items():
            if place and key not in table:
                yield Fault(place, f"with {key}", partial(_with, key=key, value=other))


def _with(held: object, key: str, value: object) -> object:
    return {**held, key: value} if isinstance(held, dict) else held


def _without(held: object, key: str) -> object:
    return {other: value for other, value in held.items() if other != key} if isinstance(held, dict) else held


def _kept(named: Iterable[tuple[str, str]]) -> Iterator[tuple[str, str, list[str], float, dict[str, list[int]]]]:
    """Yield each document that goes another way than those before it, or of which other things are said."""
    known: set[str] = set()
    for name, text in named:
        watch = coverage.Coverage(data_file=None, include=[f"{JUDGE}/*"], config_file=False)
        begun = time.process_time()
        with watch.collect():
            says = _said(text, words)
        seconds = time.process_time() - begun
        data = watch.get_data()
        lines = {str(Path(path).relative_to(ROOT)): sorted(data.lines(path) or ()) for path in data.measured_files()}
        way = json.dumps([says, sorted(lines.items())])
        if way not in known and seconds <= LONGEST:
            known.add(way)
            yield name, text, says, seconds, lines


def _said(text: str, words: Words) -> list[str]:
    """Return all that is said of a document, or how the judge ends on it."""
    try:
        return words(text)
    except Exception as fault:  # noqa: BLE001 - a change may raise anything
        return [f"{type(fault).__name__}: {fault}"]


class DocumentReach(Reach):
    """Which documents reach which lines, and by which way they go through a function."""

    def __init__(self, judged: dict[str, Judged]) -> None:
        self.seconds = {name: document.seconds for name, document in judged.items()}
        self.lines = defaultdict(lambda: defaultdict(list))
        self.when_loaded = defaultdict(set)
        self.reached = {name: document.lines for name, document in judged.items()}
        for name, document in judged.items():
            for path, lines in document.lines.items():
                for line in lines:
                    self.lines[path][line].append(name)

    def tests_for(self, mutant: Mutant) -> list[str]:
        """Return the documents that reach a change: the quickest of each way through its function, then the next.

        The ways that fewest documents go stand first.
        """
        first, last = _function_around(mutant)
        of_way: dict[tuple[int, ...], list[str]] = defaultdict(list)
        for name in super().tests_for(mutant):
            of_way[tuple(line for line in self.reached[name][mutant.path] if first <= line <= last)].append(name)
        ways = sorted(of_way.values(), key=len)
        return [name for turn in zip_longest(*ways) for name in turn if name is not None]


@cache
def _functions_of(path: str) -> tuple[tuple[int, int], ...]:
    tree = ast.parse((ROOT / path).read_text(encoding="utf-8"))
    return tuple(
        (node.lineno, node.end_lineno or node.lineno) for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)
    )


def _function_around(mutant: Mutant) -> tuple[int, int]:
    """Return the first and the last line of the innermost function around a change; of the module, where none is."""
    around = [span for span in _functions_of(mutant.path) if span[0] <= mutant.line <= span[1]]
    return max(around, default=(0, sys.maxsize))


class DocumentTrial(Trial):
    """Tries changes by documents, and needs no pytest for it."""

    def __init__(self, mutants: Sequence[Mutant], seconds: float, report: Report, *, longest_too: bool) -> None:
        self.judged = judged_documents()
        super().__init__(mutants, DocumentReach(self.judged), seconds, report, longest_too=longest_too)
        self.known = set(self.judged)

    def _tests(self, mutant: Mutant) -> list[str]:
        """Return the documents to judge: those few that saw most changes of the module, then one of each way."""
        kills, left = self.kills[mutant.path], self.seconds
        known = [name for name in self.reach.tests_for(mutant) if name in self.known]
        few = sorted((name for name in known if kills[name]), key=lambda name: -kills[name])[:KNOWN_TO_SEE]
        chosen: list[str] = []
        for name in dict.fromkeys([*few, *known]):
            if self.reach.seconds[name] <= left or not chosen:
                left -= self.reach.seconds[name]
                chosen.append(name)
        return chosen

    def _first_failing(self, tests: Sequence[str]) -> str:
        return next((name for name in tests if self._is_seen_by(name, words)), SURVIVED)

    def _is_seen_by(self, name: str, words: Words) -> bool:
        document = self.judged[name]
        limit(document.seconds)
        return _said(document.text, words) != document.says

    def _anew(self, mutant: Mutant, changed: CodeType, tests: Sequence[str]) -> str:
        forget_modules(mutant, changed)
        anew: Words = importlib.import_module(words.__module__).words
        return next((name for name in tests if self._is_seen_by(name, anew)), SURVIVED)
