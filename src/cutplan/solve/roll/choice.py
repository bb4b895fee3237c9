"""Which of the ways to reckon what rolls can hold suits an instance."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from cutplan.solve.clock import UNHURRIED

if TYPE_CHECKING:
    from cutplan.solve.clock import Clock
    from cutplan.solve.instance import Instance
    from cutplan.solve.roll.holding import Rolls


def rolls_of(instance: Instance, clock: Clock = UNHURRIED) -> Rolls:
    """Return what the rolls of ``instance`` can hold; whoever reckons with it raises TimeIsUp when ``clock`` ends."""
    sorts = {(roll_type.is_mirrored, roll_type.holds) for roll_type in instance.roll_types}
    if sorts == {(False, None)}:
        return plain_rolls_of(instance, clock)
    from cutplan.solve.roll.mixed import MixedRolls  # noqa: PLC0415 - loaded for special stock only

    return MixedRolls(instance, partial(plain_rolls_of, clock=clock))


def plain_rolls_of(instance: Instance, clock: Clock = UNHURRIED) -> Rolls:
    """Return what rolls can hold that are wide enough for every kind and come off top first."""
    if instance.repeat:
        from cutplan.solve.roll.phased import PhasedRolls  # noqa: PLC0415 - loaded for a print that repeats only

        return PhasedRolls(instance, clock)
    from cutplan.solve.roll.free import FreeRolls  # noqa: PLC0415 - loaded for a free match only

    return FreeRolls(instance, clock)
