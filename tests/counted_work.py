"""Work counted in calls, which is the same on every machine and however busy it is, where seconds would not be."""

from __future__ import annotations

from contextlib import contextmanager
from cProfile import Profile
from itertools import count
from typing import TYPE_CHECKING
from unittest.mock import patch

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator


@contextmanager
def calls_counted() -> Iterator[Callable[[], int]]:
    """Within it, every call and every return of this thread is counted; yields what tells how many there were."""
    events = count()
    profile = Profile(events.__next__, 1.0)
    profile.enable()
    try:
        yield events.__next__
    finally:
        profile.disable()


@contextmanager
def time_by_work(seconds_a_call: float) -> Iterator[Callable[[], float]]:
    """Within it the solver's clocks go on with the calls that are made, and not with time; yields what tells it."""
    with calls_counted() as calls, patch("cutplan.solve.clock.time") as time:
        time.monotonic = lambda: calls() * seconds_a_call
        yield time.monotonic
