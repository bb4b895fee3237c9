"""Changes of the judge tried by documents instead of tests: one is seen when any word of any verdict is another.

The documents are the plans that ``tests/`` keeps, as they are and with one thing changed, and the plans and the record
of :mod:`planted_faults` with a fault in them: each sort of fault once, in the shortest plan that has it, the plans in
turn. Of those drawn, the ones that go another way through the judge, or of which other things are said, are kept.
"""

from __future__ import annotations

import importlib
import json
import sys
import time
from collections import defaultdict
from functools import partial
from hashlib import sha256
from itertools import chain, islice, zip_longest
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Final, NamedTuple, TypeAlias

import coverage

from mutant_list import PACKAGE, ROOT
from mutant_reach import LONGEST, Reach
from mutant_trial import SURVIVED, Trial, forget_modules, limit
from planted_faults import RECORD, Fault, documents, faults_at, recorded

sys.path.insert(0, str(ROOT / "tests"))
from test_verdicts import CHANGES, TESTS, changed, words

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence
    from types import CodeType

    from mutant_list import Mutant
    from mutant_trial import Report

    Words: TypeAlias = Callable[[str], list[str]]

JUDGE: Final = ROOT / PACKAGE / "check"
DRAWN: Final = 4000
"""Faults that are drawn."""


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
            lines.writelines(json.dumps(kept) + "\n" for kept in _kept(chain(_in_tests(), _planted())))
        part.rename(file)
    with file.open(encoding="utf-8") as lines:
        return {name: Judged(*held) for name, *held in map(json.loads, lines)}


def _in_tests() -> Iterator[tuple[str, str]]:
    for path in sorted((TESTS / "old_plans").glob("*.json*")):
        yield path.name, path.read_text(encoding="utf-8")
    for number, change in enumerate(CHANGES):
        yield f"verdict {number}", changed(change)


def _planted() -> Iterator[tuple[str, str]]:
    plans = dict(documents())
    for path in sorted((TESTS / "old_plans").glob("*.json")):
        plans[path.name] = json.loads(path.read_text(encoding="utf-8"))
    with TemporaryDirectory() as folder:
        record = recorded(Path(folder))
        plans[RECORD], of_record = record.document(), [*record.faults()]
    known: set[str] = set()
    of_plan: list[list[tuple[str, Fault]]] = []
    for name, plan in sorted(plans.items(), key=lambda named: len(json.dumps(named[1]))):
        faults = [*(of_record if name == RECORD else faults_at((), plan)), *_misread((), plan)]
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
    """Which documents reach which lines, and by which way they go through a module."""

    def __init__(self, judged: dict[str, Judged]) -> None:
        self.seconds = {name: document.seconds for name, document in judged.items()}
        self.lines = defaultdict(lambda: defaultdict(list))
        self.when_loaded = defaultdict(set)
        self.ways: dict[tuple[str, str], int] = {}
        for name, document in judged.items():
            for path, lines in document.lines.items():
                self.ways[path, name] = hash(tuple(lines))
                for line in lines:
                    self.lines[path][line].append(name)

    def tests_for(self, mutant: Mutant) -> list[str]:
        """Return the documents that reach a change: the quickest of each way through its module, then the next."""
        of_way: dict[int, list[str]] = defaultdict(list)
        for name in super().tests_for(mutant):
            of_way[self.ways[mutant.path, name]].append(name)
        return [name for turn in zip_longest(*of_way.values()) for name in turn if name is not None]


class DocumentTrial(Trial):
    """Tries changes by documents, and needs no pytest for it."""

    def __init__(self, mutants: Sequence[Mutant], seconds: float, report: Report, *, longest_too: bool) -> None:
        self.judged = judged_documents()
        super().__init__(mutants, DocumentReach(self.judged), seconds, report, longest_too=longest_too)
        self.known = set(self.judged)

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
