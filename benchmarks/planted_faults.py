"""Plant faults in plans and see the judge refuse them: ``python benchmarks/planted_faults.py``.

Every scenario of ``scenarios/`` is planned, with a pace where it has none, and a job with batches and prices; and those
of several parts (bands, borders, lining), a contract of rooms, and what too few rolls do, by their commands.
In each plan every figure stated is changed, every list shuffled, shortened and doubled, and every cut moved, one at a
time; of all these faults so many as asked for are drawn. A fault that is not refused must be one of :data:`TRUE_STILL`
or :data:`ON_TRUST`, with its reason; any other ends the run with exit status 1.
"""

from __future__ import annotations

import argparse
import copy
import json
import re
import subprocess
import sys
from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from itertools import islice, zip_longest
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING, Final, TypeAlias

from cutplan.check import PlanUnreadable, check_text
from cutplan.render.documents.plan_document import plan_document, plan_text
from cutplan.scenario.read import parse_scenario
from cutplan.solve import solve
from cutplan.solve.ordering import order_cuts

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    Document = dict[str, object]

Key: TypeAlias = "str | int"

SCENARIOS: Final = Path(__file__).parent.parent / "scenarios"
FAULTS: Final = 5000
PACE: Final = '\n[pace]\npasted = "paper"\nsoak = 8.5\n'
BATCHES: Final = """\
units = "mm"
[paper]
roll_length = 5600
match = "60/30 cm"
price = 40
[[roll]]
label = "A"
count = 4
batch = "1"
[[roll]]
label = "B"
count = 4
batch = "2"
price = 45
[[drop]]
label = "north"
height = 1400
first_motif = 80
count = 5
wall = "north"
[[drop]]
label = "east"
height = 900
first_motif = 380
count = 6
wall = "east"
"""

SEVERAL: Final = {
    "dado room": "plan parts/dado-room.toml",
    "stair hall": "plan parts/stair-hall.toml",
    "lined room": "plan parts/lined-room.toml",
    "contract": "contract guest-house/contract.toml",
    "too few": "plan too-few/bedroom.toml",
}
"""What makes plans of several parts, of several rooms and of too few rolls."""

TRUE_STILL: Final = {
    r"rolls: (swapped|reversed)": "in which order rolls are listed says nothing",
    r"order\.open_rolls: [+-]1": "no more than that are open all the same",
    r"order\.follow: .*": "figures are the same for what else could be followed",
    r"order\.status.*": "a bound that is reached was called reached",
    r"(at_best_)?proof\.by: a word to search": "it is worth less to have searched than to have prices, which are there",
    r"(at_best_)?proof\.prices\.(drops|premiums|scale).*": "the prices still prove the bound",
    r"batches\.certificates.*": "the prices by batch still prove the bound, or none is needed",
    r"timetable\.(begin|at|day|minutes).*": "nothing stands in the way at that time either",
    r"(at_best_)?status: (optimal|a word) to feasible": "what is optimal is feasible",
    r"setting_out\.pieces\.paper_(from|to): .*": "the piece is said to need more of the strip's width than it shows",
    r"rolls\.lot: .*": "the label tells the lot",
    r"plans: (swapped|reversed)": "each is found by its name",
    r".*\.wall\.(foot|top): first doubled": "a point told twice is the one point",
    r"contract/plans\.scenario\.wall\.opening.*": "the question is another, and the plan answers it too",
    r"contract/plans\.scenario\.drop: (swapped|reversed)": "which drop is asked for first says nothing",
    r"(ways|ways\.rooms|ways\.rooms\.rolls|whole_walls): (swapped|reversed)": "only «in order» says one",
    r"ways\.rooms\.rolls\.(cuts|drops): (swapped|reversed)": "the pieces are alike, and either serves",
    r"shortage_prices\.(scale|drops|premiums).*": "the prices still prove that the rolls are too few",
    r"given_up: (swapped|reversed)": "the dearest stands last all the same",
    r"status: infeasible to unknown": "what is proved is no longer said",
    r"ways: last left out": "a way is no longer told",
    r"covers_most: turned round": "it is no longer said that no more fits",
}
"""What a fault may be and remain true, by the path of what is changed and the change; for one plan after its name."""

ON_TRUST: Final = {
    r"order\.(most_waiting|furthest_ahead)_lower_bound: -1.*": "bounds of the order are the word of a search",
    r"at_best.*": "the plan does not list the layouts of its best case",
    r"without_offcuts\..*": "the plan does not list what it needs without offcuts",
    r"stopped: .*": "why the planner stopped is its own word",
    r"notes.*": "notes are words",
    r"reason.*": "why the rolls are too few is told in words",
    r"given_up\.what: .*": "what could be given up is told in words",
    r"given_up\.(more_rolls_.*|rolls_of_another_batch): [+-]1": "the plans of what could be given up are not listed",
    r"given_up: last left out": "what could be given up is not all told",
}
"""What the judge names as taken on trust, by the path of what is changed and the change."""


@dataclass(frozen=True)
class Fault:
    """A change of a document: where, and what."""

    path: tuple[Key, ...]
    change: str
    make: Callable[[object], object]

    @property
    def name(self) -> str:
        """The path without places in lists, and the change."""
        return f"{'.'.join(str(key) for key in self.path if isinstance(key, str))}: {self.change}"

    def planted(self, document: Document) -> Document:
        """Return the document with the fault in it."""
        changed = copy.deepcopy(document)
        place: object = changed
        for key in self.path[:-1]:
            place = _at(place, key)
        held, last = place, self.path[-1]
        if isinstance(held, dict | list):
            held[last] = self.make(held[last])  # type: ignore[index]
        return changed


def _at(place: object, key: Key) -> object:
    if isinstance(place, dict):
        return place[key]
    if isinstance(place, list) and isinstance(key, int):
        return place[key]
    raise TypeError(f"nothing at {key!r}")


def faults_of(document: Document) -> Iterator[Fault]:
    """Yield every fault that can be planted in a plan document; its echoed scenario is the question, and left alone."""
    for key, value in document.items():
        if key not in ("scenario", "format"):
            yield from _faults_at((key,), value)


def _faults_at(path: tuple[Key, ...], value: object) -> Iterator[Fault]:
    if isinstance(value, dict):
        if "from_mm" in value:
            for by in (1, -1, 640):
                yield Fault(path, f"cut moved by {by}", partial(_moved, by=by))
        for key, held in value.items():
            yield from _faults_at((*path, key), held)
    elif isinstance(value, list):
        yield from _faults_of_list(path, value)
        for place, held in enumerate(value):
            yield from _faults_at((*path, place), held)
    else:
        yield from _faults_of_value(path, value)


def _faults_of_list(path: tuple[Key, ...], value: list[object]) -> Iterator[Fault]:
    if value:
        yield Fault(path, "last left out", lambda held: _as_list(held)[:-1])
        yield Fault(path, "first doubled", lambda held: [_as_list(held)[0], *_as_list(held)])
    if len(value) > 1 and value[0] != value[1]:
        yield Fault(path, "swapped", lambda held: [_as_list(held)[1], _as_list(held)[0], *_as_list(held)[2:]])
    if len(value) > 1 and value != value[::-1]:
        yield Fault(path, "reversed", lambda held: _as_list(held)[::-1])


def _faults_of_value(path: tuple[Key, ...], value: object) -> Iterator[Fault]:
    if isinstance(value, bool):
        yield Fault(path, "turned round", lambda held: not held)
    elif isinstance(value, int | float):
        for by in (1, -1):
            yield Fault(path, f"{by:+}", partial(_plus, by=by))
    elif value is None:
        yield Fault(path, "1 for nothing", lambda _: 1)
    elif isinstance(value, str) and re.fullmatch(r"-?\d+(\.\d+)?(/\d+)?", value):
        for by in (1, -1):
            yield Fault(path, f"{by:+}", partial(_plus_exactly, by=by))
    else:
        for word in ("optimal", "feasible", "unknown", "prices", "search", "walls", "once", "external"):
            if word != value:
                yield Fault(path, f"{value if len(path) == 1 else 'a word'} to {word}", partial(_instead, word=word))


def _plus(held: object, by: int) -> object:
    return held + by if isinstance(held, int | float) else held


def _plus_exactly(held: object, by: int) -> object:
    return str(Fraction(str(held)) + by)


def _instead(_: object, word: str) -> object:
    return word


def _as_list(value: object) -> list[object]:
    return value if isinstance(value, list) else []


def _moved(cut: object, by: int) -> object:
    if not isinstance(cut, dict):
        return cut
    places = {key: str(Fraction(cut[key]) + by) for key in ("from", "to")}
    return {**cut, **places, **{f"{key}_mm": float(Fraction(place)) for key, place in places.items()}}


def is_refused(document: Document) -> bool:
    """Return whether the judge refuses a document."""
    try:
        return not check_text(json.dumps(document)).holds
    except PlanUnreadable:
        return True


def documents() -> Iterator[tuple[str, Document]]:
    """Yield the name of each plan, and the plan."""
    texts = {path.name: path.read_text(encoding="utf-8") for path in sorted(SCENARIOS.glob("*.toml"))}
    texts["batches"] = BATCHES
    for name, text in texts.items():
        read = parse_scenario(text if "[pace]" in text else text + PACE, name)
        plan = order_cuts(solve(read.job), follow=read.cutting.follow, open_rolls=read.cutting.open_rolls)
        yield name, json.loads(plan_text(plan_document(plan, read)))
    for name, words in SEVERAL.items():
        command = [sys.executable, "-m", "cutplan", *words.split(), "--json"]
        printed = subprocess.run(command, cwd=SCENARIOS, check=False, capture_output=True, text=True).stdout  # noqa: S603 - ours
        yield name, json.loads(printed)


def reason_of(name: str, fault: Fault) -> str | None:
    """Return why a fault of a plan may pass: it remains true, or is named as taken on trust; None where it may not."""
    whole = f"{name}/{fault.name}"
    for reasons in (TRUE_STILL, ON_TRUST):
        for pattern, reason in reasons.items():
            if re.fullmatch(rf"((plans|partial)\.)?({pattern})", fault.name) or re.fullmatch(pattern, whole):
                return f"{'true still' if reasons is TRUE_STILL else 'on trust'}: {reason}"
    return None


def drawn_evenly(every: list[tuple[str, Fault]], count: int, chance: Random) -> list[tuple[str, Fault]]:
    """Return ``count`` faults, each plan, block and change in turn: long timetables count no more than bounds."""
    kinds: dict[tuple[str, str], list[tuple[str, Fault]]] = {}
    for name, fault in chance.sample(every, len(every)):
        kinds.setdefault((name, fault.name), []).append((name, fault))
    rounds = zip_longest(*kinds.values())
    return list(islice((drawn for turn in rounds for drawn in turn if drawn is not None), count))


def main() -> int:
    """Plant faults, print what became of them, and return the exit status."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--faults", type=int, default=FAULTS, help="how many faults are planted")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", metavar="PLAN", help="in this plan alone")
    options = parser.parse_args()
    plans = {name: document for name, document in documents() if options.only in (None, name)}
    for name, document in plans.items():
        if is_refused(document):
            raise SystemExit(f"{name}: the judge refuses the plan before any fault is planted in it")
    every = [(name, fault) for name, document in plans.items() for fault in faults_of(document)]
    drawn = drawn_evenly(every, options.faults, Random(options.seed))  # noqa: S311 - repeatable
    refused: Counter[str] = Counter()
    passed: Counter[str] = Counter()
    missed: Counter[str] = Counter()
    for name, fault in drawn:
        if is_refused(fault.planted(plans[name])):
            refused[str(fault.path[0])] += 1
        else:
            reason = reason_of(name, fault)
            (missed if reason is None else passed)[reason or f"{name}: {fault.path} {fault.change}"] += 1
    print("| block | refused |\n|:--|--:|")
    for block, count in sorted(refused.items()):
        print(f"| {block} | {count} |")
    print(f"{len(drawn)} faults of {len(every)} planted in {len(plans)} plans; {refused.total()} refused.")
    for reason, count in passed.most_common():
        print(f"{count} passed, {reason}")
    for what, count in missed.most_common():
        print(f"MISSED {count} × {what}")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
