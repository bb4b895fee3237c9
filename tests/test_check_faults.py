"""One fault of every kind, planted in plans that are kept: the judge refuses it, or its reason to pass is known."""

from __future__ import annotations

import json
import sys
from collections import Counter, defaultdict
from functools import cache
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING, Any, Final

import pytest

from cutplan.check import check_text

sys.path.insert(0, str(Path(__file__).parent.parent / "benchmarks"))
from planted_faults import drawn_evenly, faults_of, is_refused, reason_of, taken_on_trust
from planted_keys import Examples, additions_to

if TYPE_CHECKING:
    from cutplan.check import Report
    from planted_fault import Fault

OLD_PLANS: Final = Path(__file__).parent / "old_plans"
PLANS: Final = {path.stem: json.loads(path.read_text(encoding="utf-8")) for path in sorted(OLD_PLANS.glob("*.json"))}


AT_ONCE: Final = 20
"""Faults that one test plants."""


def faults_by_block() -> dict[tuple[str, str, str], list[Fault]]:
    """Return, for each plan and block of it, one fault of each kind that no plan before has, twenty by twenty."""
    blocks: dict[tuple[str, str, str], list[Fault]] = defaultdict(list)
    counted: Counter[tuple[str, str]] = Counter()
    known = set()
    for name, plan in PLANS.items():
        for fault in faults_of(plan):
            kind = fault.name.partition(" to ")[0]
            if kind not in known:
                known.add(kind)
                of = name, str(fault.path[0])
                blocks[*of, str(counted[of] // AT_ONCE)].append(fault)
                counted[of] += 1
    return blocks


BLOCKS: Final = faults_by_block()


@cache
def untouched(name: str) -> Report:
    """Return what the judge says of a plan as it is, asked once for all its blocks."""
    return check_text(json.dumps(PLANS[name]))


@pytest.mark.parametrize(("name", "block", "part"), BLOCKS, ids=map("-".join, BLOCKS))
def test_one_fault_of_every_kind_is_refused(name: str, block: str, part: str) -> None:
    """A fault of each key and change is refused, or is known to pass, or its block is named as taken on trust."""
    plan: dict[str, Any] = PLANS[name]
    as_it_is = untouched(name)

    assert as_it_is.holds
    passed = [fault for fault in BLOCKS[name, block, part] if not is_refused(fault.planted(plan))]
    if any(f"the times of the {block}" in words for words in as_it_is.trusted):
        passed = [fault for fault in passed if fault.change != "swapped"]
    if any("without offcuts" in words for words in as_it_is.searched):
        passed = [fault for fault in passed if not fault.name.startswith("without_offcuts.rolls_needed: ")]
    assert [fault.name for fault in passed if reason_of(f"{name}.toml", fault) is None] == []


ADDED: Final = 12
"""Additions that are tried of each plan."""


@pytest.mark.parametrize("name", PLANS)
def test_whatever_is_added_to_a_plan_is_refused_or_named(name: str) -> None:
    """Keys that other objects have, keys of nobody, entries of lists; or it is true still, for a known reason."""
    plan, examples = PLANS[name], Examples(PLANS)
    as_it_is = taken_on_trust(json.dumps(plan))
    added = drawn_evenly([(name, fault) for fault in additions_to(plan, examples)], ADDED, Random(name))  # noqa: S311
    told = {fault.name: taken_on_trust(json.dumps(fault.planted(plan))) for _, fault in added}

    passed = [fault for _, fault in added if told[fault.name] == as_it_is]
    assert [fault.name for fault in passed if reason_of(f"{name}.toml", fault) is None] == []
