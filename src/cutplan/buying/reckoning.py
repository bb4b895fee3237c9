"""How many rolls of one size are enough, on every assumption."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from fractions import Fraction
from typing import Final

from msgspec import Struct

from cutplan.buying.certain import Certain, certain
from cutplan.buying.need import Need
from cutplan.buying.opened_first import OpenedFirst, opened_first, oracle_for
from cutplan.buying.short_rolls import ShortRolls, short_rolls
from cutplan.errors import NoPlanError
from cutplan.plan.plan import Plan
from cutplan.solve.clock import Clock
from cutplan.solve.measured.rolls_enough import Enough

SHARE_FOR_SURE: Final = 0.6
"""Part of the time that what is certain may take."""


class Reckoning(Struct, frozen=True):
    """Rolls to buy for a need."""

    need: Need
    sure: Certain
    opened: OpenedFirst
    """Certain, cut as they come; and certain when opened and measured first."""
    oracle: Enough | None
    """What knows whether rolls that begin in given ways are enough; None where nobody need ask."""
    short: ShortRolls | None
    """For rolls as short as they may be; None when none is short, or when some drop would be too long for them."""

    @property
    def buy(self) -> int:
        """Rolls to buy: certain if measured first, even when every roll is as short as it may be."""
        return max(self.opened.figure.enough, 0 if self.short is None else self.short.opened.enough)

    @property
    def as_they_come(self) -> int:
        """Rolls to buy: certain, cut one after another, even when every roll is as short as it may be."""
        return max(self.sure.figure.enough, 0 if self.short is None else self.short.figure.enough)

    @property
    def plan(self) -> Plan:
        """The certain plan for rolls as short as they may be."""
        return self.sure.plan if self.short is None else self.short.plan


class SureOnly(KeyboardInterrupt):
    """Ctrl-C when no more was known than what is certain: ``sure`` says it of ``need``."""

    def __init__(self, need: Need, sure: Certain) -> None:
        self.need = need
        self.sure = sure
        super().__init__("interrupted")


@contextmanager
def keeping(need: Need, sure: Certain) -> Iterator[None]:
    """Let an interruption of what is done within bring what is certain."""
    try:
        yield
    except KeyboardInterrupt:
        raise SureOnly(need, sure) from None


def reckon(need: Need, tolerance: Fraction, clock: Clock, progress: Callable[[str], None] | None = None) -> Reckoning:
    """Return how many rolls to buy, ``tolerance`` being by how much of its length one may be short.

    What is certain takes :data:`SHARE_FOR_SURE` of the time at most. When that runs out figures are bounds.

    NoPlanError when a drop is longer than a roll is sure to give; SureOnly when it was interrupted later than that.
    """
    sure = certain(need, clock.left * SHARE_FOR_SURE, progress)
    with keeping(need, sure):
        return _beyond(need, sure, tolerance, clock, tell=progress or (lambda _: None))


def _beyond(need: Need, sure: Certain, tolerance: Fraction, clock: Clock, *, tell: Callable[[str], None]) -> Reckoning:
    tell("every combination of starts")
    oracle = oracle_for(need, sure)
    opened = opened_first(need, sure, oracle, clock.share(0.5))
    short = None
    if tolerance:
        tell("short rolls")
        with suppress(NoPlanError):
            short = short_rolls(need, tolerance, clock)
    return Reckoning(need, sure, opened, oracle, short)
