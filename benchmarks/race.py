"""Every method on the same jobs, taking turns, and what of their answers cannot be true."""

from __future__ import annotations

import sys
from collections import Counter
from typing import TYPE_CHECKING, Protocol

from msgspec import Struct

from figures import duration
from measure import CUTPLAN

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from instances import Instance
    from measure import Outcome


class Method(Protocol):
    """Whatever answers jobs."""

    def answer(self, instance: Instance) -> Outcome | None:
        """Return what the method makes of the job; None when it cannot state it."""


class Result(Struct, frozen=True):
    """What each method that was asked made of one instance, by method name."""

    instance: Instance
    outcomes: dict[str, Outcome]

    def ratio(self, rival: str) -> float | None:
        """Return the rival's time by cutplan's; None when it was not asked."""
        outcome = self.outcomes.get(rival)
        return None if outcome is None else outcome.seconds / self.outcomes[CUTPLAN].seconds


def race(instances: Iterable[Instance], methods: Mapping[str, Method], patience: int) -> Iterator[Result]:
    """Yield each instance with what every method makes of it, one after the other, so that all meet one load.

    A rival that proves none of ``patience`` jobs of a group in a row is not asked about the rest of the group; 0 asks
    about all.
    """
    failures: Counter[tuple[str, tuple[str, ...]]] = Counter()
    for instance in instances:
        outcomes = {}
        for name, method in methods.items():
            place = (name, instance.group)
            if name != CUTPLAN and 0 < patience <= failures[place]:
                continue
            outcome = method.answer(instance)
            if outcome is not None:
                outcomes[name] = outcome
                failures[place] = 0 if outcome.is_proved else failures[place] + 1
        times = ", ".join(f"{name} {duration(out.seconds)}" for name, out in outcomes.items())
        print(f"{instance.name}: {times}", file=sys.stderr, flush=True)
        yield Result(instance, outcomes)


def faults_of(result: Result) -> Iterator[str]:
    """Yield what cannot be true of a result: plans at fault, bounds above values, optima missed."""
    ours = result.outcomes[CUTPLAN]
    name, optimum = result.instance.name, result.instance.optimum
    yield from (f"{name}: the checker says: {fault}" for fault in ours.faults)
    for method, outcome in result.outcomes.items():
        if outcome.contradicts(ours):
            yield f"{name}: {CUTPLAN} says {ours.certain}, {method} says {outcome.certain}"
        if optimum is not None and outcome.is_proved and outcome.certain.value != optimum:
            yield f"{name}: {method} says {outcome.certain.value} is proved, and the optimum is {optimum}"
