"""Ask which small changes of the code no test sees: ``python benchmarks/mutants.py check --sample 300``.

Every change is made in a process of its own, which runs the tests that reach it, those first that saw others before.
What became of it is kept in .mutants/, so that a run goes on where the last one stopped. What no test saw is printed,
but for what ``mutants_explained.toml`` says no test can see, and why.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
import tomllib
from collections import Counter, defaultdict
from functools import cache
from hashlib import sha256
from operator import itemgetter
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING, Final

import pytest

from figures import markdown
from mutant_documents import DocumentTrial
from mutant_list import FOLDERS, ROOT, mutants_of
from mutant_reach import OPTIONS, Reach, find_reach
from mutant_trial import NO_PROGRAM, SURVIVED, TIMED_OUT, UNREACHED, Trial
from provenance import commit, provenance

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from mutant_list import Mutant

TRIED: Final = ROOT / ".mutants" / "tried.jsonl"
EXPLAINED: Final = Path(__file__).with_name("mutants_explained.toml")
UNSEEN: Final = (SURVIVED, UNREACHED)


def main() -> int:
    """Try changes, print the table and what no test saw, and return 1 if that is not explained."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n\n")[0])
    parser.add_argument("folders", nargs="*", choices=FOLDERS, default=list(FOLDERS), help="default: all")
    parser.add_argument("--sample", type=int, default=200, help="changes drawn of each folder (default: %(default)s)")
    parser.add_argument("--all", action="store_true", help="all changes, and no sample")
    parser.add_argument("--seed", type=int, default=1, help="of the sample (default: %(default)s)")
    parser.add_argument("--seconds", type=float, default=36_000, help="stop after these (default: %(default)s)")
    parser.add_argument("--tests", type=float, default=8, help="seconds of tests for each (default: %(default)s)")
    parser.add_argument(
        "--again", action="store_true", help="try once more what no test saw, half of the time by the longest tests"
    )
    parser.add_argument(
        "--by",
        choices=("tests", "documents"),
        default="tests",
        help="what is to see them; by documents the judge alone",
    )
    parser.add_argument("--reach", nargs="*", metavar="TESTS", help="find anew which lines these files of tests reach")
    parser.add_argument("--list", action="store_true", help="list the changes, and try none")
    given = parser.parse_args()
    begun, until = commit(), time.monotonic() + given.seconds
    drawn = {folder: _drawn(folder, None if given.all else given.sample, given.seed) for folder in given.folders}
    if given.list:
        for mutant in (mutant for mutants in drawn.values() for mutant in mutants):
            print(f"{mutant.path}:{mutant.line}: {mutant.change()}")
        return 0
    if given.by == "tests" and not find_reach(given.reach or (), until):
        print("Time was up before all tests were run; the same command goes on.")
        return 1
    known = _known()
    wanted = (None, *UNSEEN) if given.again else (None,)
    left = [m for mutants in drawn.values() for m in mutants if known.get(_name(m)) in wanted]
    _try(left, known, given, until)
    unexplained = _told(drawn, known)
    print(provenance(begun, (), None) + ("" if given.all else f" Seed {given.seed}."))
    return 1 if unexplained else 0


def _drawn(folder: str, size: int | None, seed: int) -> list[Mutant]:
    """Return all changes of a folder, or as many drawn among them; of two sizes the larger holds the smaller.

    Each module has its share of the sample.
    """
    of_module: dict[str, list[Mutant]] = defaultdict(list)
    for mutant in mutants_of(folder):
        of_module[mutant.path].append(mutant)
    places: list[tuple[float, Mutant]] = []
    for mutants in of_module.values():
        Random(seed).shuffle(mutants)  # noqa: S311 - a sample, no secret
        places += [((number + 0.5) / len(mutants), mutant) for number, mutant in enumerate(mutants)]
    return [mutant for _, mutant in sorted(places, key=itemgetter(0))][:size]


def _try(mutants: Sequence[Mutant], known: dict[str, str], given: argparse.Namespace, until: float) -> None:
    """Try changes until time is up, and write down what became of each at once."""
    if not mutants:
        return

    def report(mutant: Mutant, became: str) -> bool:
        known[_name(mutant)] = became
        with TRIED.open("a", encoding="utf-8") as file:
            file.write(json.dumps([_name(mutant), became]) + "\n")
        return time.monotonic() < until

    if given.by == "documents":
        DocumentTrial(mutants, given.tests, report, longest_too=given.again).try_all()
        return
    reach = Reach()
    needed = {test.partition("::")[0] for mutant in mutants for test in reach.tests_for(mutant)}
    screen = os.dup(1)
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    trial = Trial(mutants, reach, given.tests, report, longest_too=given.again)
    pytest.main([*OPTIONS, *sorted(needed)], plugins=[trial])
    os.dup2(screen, 1)


def _told(drawn: dict[str, list[Mutant]], known: dict[str, str]) -> int:
    """Print the table and what no test saw, and return how much of it is not explained."""
    rows, unseen = [], []
    for folder, mutants in drawn.items():
        became = Counter(_kind(known.get(_name(mutant))) for mutant in mutants)
        survivors = [mutant for mutant in mutants if _kind(known.get(_name(mutant))) in UNSEEN]
        unexplained = [mutant for mutant in survivors if not _is_explained(mutant)]
        unseen += unexplained
        tried = became.total() - became[NO_PROGRAM] - became[_LEFT]
        explained = len(survivors) - len(unexplained)
        unreached = sum(known[_name(mutant)] == UNREACHED for mutant in unexplained)
        ended = (became[_KILLED], became[TIMED_OUT], explained, unreached, len(unexplained) - unreached)
        figures = (len(mutants_of(folder)), tried, *ended)
        rows.append([folder, *map(str, figures)])
    for mutant in sorted(unseen, key=lambda mutant: (mutant.path, mutant.line)):
        print(f"{mutant.path}:{mutant.line}: {known[_name(mutant)]}: {mutant.change()}")
    heads = ["folder", "changes", "tried", "seen", "ended on time", "explained", "reached by no test", "unseen"]
    print(markdown(rows, heads, texts=1))
    return len(unseen)


@cache
def _explained() -> tuple[str, ...]:
    entries = tomllib.loads(EXPLAINED.read_text(encoding="utf-8"))["explained"]
    return tuple(change for entry in entries for change in entry["changes"])


def _is_explained(mutant: Mutant) -> bool:
    """Return True for a change that is explained by itself, or whose line is explained before any change."""
    change = f"{mutant.path}: {mutant.change()}"
    return change.startswith(tuple(f"{start} -> " for start in _explained())) or change in _explained()


_KILLED: Final = "killed"
_LEFT: Final = "left"


def _kind(became: str | None) -> str:
    if became is None:
        return _LEFT
    return became if became in (SURVIVED, UNREACHED, TIMED_OUT, NO_PROGRAM) else _KILLED


def _name(mutant: Mutant) -> str:
    """Return the name of a change, another one once its module is another."""
    module = sha256((ROOT / mutant.path).read_bytes()).hexdigest()[:12]
    return f"{mutant.path} {module} {mutant.operator} {mutant.occurrence}"


def _known() -> dict[str, str]:
    lines: Iterable[str] = TRIED.read_text(encoding="utf-8").splitlines() if TRIED.exists() else ()
    return dict(json.loads(line) for line in lines)


if __name__ == "__main__":
    sys.exit(main())
