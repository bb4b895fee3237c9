"""Which of the ways to reckon what rolls can hold suits an instance."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from cutplan.solve.clock import UNHURRIED, Clock
from cutplan.solve.instance import Instance
from cutplan.solve.roll.few_places import FewPlaces, are_few
from cutplan.solve.roll.places import places_on

if TYPE_CHECKING:
    from cutplan.solve.roll.holding import Filler, Rolls


def rolls_of(instance: Instance, clock: Clock = UNHURRIED) -> Rolls:
    """Return what the rolls of ``instance`` can hold; whoever reckons with it raises TimeIsUp when ``clock`` ends."""
    sorts = {(roll_type.is_mirrored, roll_type.holds) for roll_type in instance.roll_types}
    if sorts == {(False, None)}:
        return plain_rolls_of(instance, clock)
    from cutplan.solve.roll.mixed import MixedRolls  # noqa: PLC0415 - loaded for special stock only

    return MixedRolls(instance, partial(plain_rolls_of, clock=clock))


def filler_of(instance: Instance, clock: Clock = UNHURRIED) -> Filler:
    """Return what fills the rolls of ``instance``, without arrays where few places and kinds need none."""
    if instance.repeat and not any(roll.is_mirrored or roll.holds is not None for roll in instance.roll_types):
        places = places_on(instance, clock)
        if are_few(places):
            return FewPlaces(instance, places, clock)
    return rolls_of(instance, clock)


def plain_rolls_of(instance: Instance, clock: Clock = UNHURRIED) -> Rolls:
    """Return what rolls can hold that are wide enough for every kind and come off top first."""
    if instance.repeat:
        from cutplan.solve.roll.phased import PhasedRolls  # noqa: PLC0415 - loaded for a print that repeats only

        return PhasedRolls(instance, clock)
    from cutplan.solve.roll.free import FreeRolls  # noqa: PLC0415 - loaded for a free match only

    return FreeRolls(instance, clock)
