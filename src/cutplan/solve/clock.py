"""How much longer the solver may think."""

from __future__ import annotations

import time


class TimeIsUp(Exception):  # noqa: N818 - not an error: the best plan so far is the answer
    """Raised between two steps of the solver when the time limit has passed."""


class Clock:
    """Counts down from a time limit in seconds, from its making."""

    def __init__(self, seconds: float) -> None:
        self._end = time.monotonic() + seconds

    @property
    def left(self) -> float:
        """Seconds left, never below 0."""
        return max(0.0, self._end - time.monotonic())

    def check(self) -> None:
        """Raise :class:`TimeIsUp` when no time is left."""
        if self.left <= 0:
            raise TimeIsUp
