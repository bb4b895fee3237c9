"""How much longer the solver may think, and whether the user still wants it to."""

from __future__ import annotations

import signal
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from math import inf
from types import FrameType
from typing import Final, TypeVar

from cutplan.interruption import is_asked
from cutplan.plan.plan import INTERRUPTED, TIME_LIMIT

_Thing = TypeVar("_Thing")

SHARE_FOR_CERTAIN: Final = 0.75
"""Part of the time that the certain plan may take, so that some is left to prove what is possible at best."""


class TimeIsUp(Exception):  # noqa: N818 - not an error: the best plan so far is the answer
    """Raised between two steps of the solver when it must stop; ``reason`` says why."""

    def __init__(self, reason: str) -> None:
        self.reason = reason
        super().__init__(reason)


class Clock:
    """Counts down from a time limit in seconds, from its making; an interruption ends it at once."""

    def __init__(self, seconds: float) -> None:
        self._end = time.monotonic() + seconds
        self.was_interrupted = False
        self.whole = self

    @property
    def left(self) -> float:
        """Seconds left, never below 0."""
        is_interrupted = self.whole.was_interrupted or is_asked()
        return 0.0 if is_interrupted else max(0.0, self._end - time.monotonic())

    def is_over(self) -> bool:
        """Return True when no time is left."""
        return not self.left

    def share(self, part: float) -> Clock:
        """Return a clock that ends after ``part`` of the time left, and whenever this one is interrupted."""
        clock = Clock(self.left * part)
        clock.whole = self.whole
        return clock

    def shared_out(self, things: Sequence[_Thing]) -> Iterator[tuple[_Thing, float]]:
        """Yield each of some things with the seconds that it may take: as many as each that is left."""
        for place, thing in enumerate(things):
            yield thing, self.left / (len(things) - place)

    def check(self) -> None:
        """Raise :class:`TimeIsUp` when no time is left."""
        whole = self.whole
        if whole.was_interrupted or is_asked():
            whole.stop()
        if time.monotonic() >= self._end:
            raise TimeIsUp(TIME_LIMIT)

    def stop(self) -> None:
        """End the work: the best answer so far is wanted."""
        raise TimeIsUp(INTERRUPTED)

    def check_for(self, seconds: float) -> None:
        """Raise :class:`TimeIsUp` when less than ``seconds``, the least that the next step takes, is left."""
        self.check()
        if self.left < seconds:
            raise TimeIsUp(TIME_LIMIT)

    @contextmanager
    def stopped_by_ctrl_c(self) -> Iterator[None]:
        """Let the first Ctrl-C end this clock instead of the program; a second one ends the program as usual.

        Only the main thread can listen, and only while nobody else has taken the signal.
        """
        if (
            threading.current_thread() is not threading.main_thread()
            or signal.getsignal(signal.SIGINT) is not signal.default_int_handler
        ):
            yield
            return
        signal.signal(signal.SIGINT, self._interrupt)
        try:
            yield
        finally:
            signal.signal(signal.SIGINT, signal.default_int_handler)

    def _interrupt(self, _number: int, _frame: FrameType | None) -> None:
        self.whole.was_interrupted = True
        signal.signal(signal.SIGINT, signal.default_int_handler)


def go_on(stopped: str | None) -> None:
    """Raise KeyboardInterrupt where a search was stopped by the user."""
    if stopped == INTERRUPTED:
        raise KeyboardInterrupt


class _Unhurried(Clock):
    """Never runs out: whoever goes by it keeps no best answer so far, so an interruption ends the whole work."""

    def __init__(self) -> None:
        super().__init__(inf)

    def stop(self) -> None:
        """End the whole work."""
        raise KeyboardInterrupt


UNHURRIED: Final = _Unhurried()
