"""What to open where rolls differ in price: the cheapest numbers of rolls first, until some are enough.

The linear programme says little here, since it opens parts of the rolls that are cheap for their length, and a bound on
a cost cannot be rounded up as one on rolls can. So the numbers of rolls of each type are settled first, and then, as
where all rolls cost the same, whether the drops can be cut from so many. A «no» rules out more than the one purchase:
fewer rolls are not enough either, and the prices that prove it hold for every purchase (J. F. Benders, Numerische
Mathematik 4 (1962) 238–252; with a search where prices do not prove it, J. N. Hooker and G. Ottosson, Mathematical
Programming 96 (2003) 33–60).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from math import prod
from typing import TYPE_CHECKING, Final

import numpy as np
from msgspec.structs import replace

from cutplan.solve.clock import Clock, TimeIsUp
from cutplan.solve.instance import Instance
from cutplan.solve.search.certificate import Certificate
from cutplan.solve.search.outcome import Outcome, say_nothing, unknown

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from cutplan.solve.roll.holding import Rolls

    Optimise = Callable[[Outcome, Clock, Callable[[Outcome], None], Rolls | None], None]
    """Improves an outcome until it is settled or the clock has run out."""

MOST_PURCHASES: Final = 200_000
"""With more ways to buy than this, the numbers are not settled first."""

_MOST_WORTH: Final = 2**62
"""Rolls and drops that could be worth more than this together are priced more coarsely, so that no sum overflows."""

_NEVER: Final = 2**40
"""More rolls than anybody opens."""


def buy_cheapest(outcome: Outcome, rolls: Rolls, clock: Clock, optimise: Optimise) -> Iterator[None]:
    """Raise the bound to the cost of one purchase after another, until one is enough; yield after each step.

    Ends without a proof where this does not serve: rolls of one price only, too many ways to buy, or drops that
    the type bought most can't hold.
    """
    instance = outcome.instance
    if not instance.has_several_prices:
        return
    purchases = Purchases(instance, outcome.value)
    if prod(len(numbers) for numbers in purchases.choices) > MOST_PURCHASES:
        return
    purchases.begin()
    purchases.heed(rolls, outcome.certificate.prices)
    while not outcome.is_proved:
        numbers = purchases.cheapest()
        cost = outcome.value if numbers is None else min(purchases.cost_of(numbers), outcome.value)
        if cost > outcome.bound:
            outcome.bound, outcome.by_search = cost, True
            yield
        if numbers is None or outcome.is_proved:
            continue
        trial = purchases.trial(numbers)
        optimise(trial, clock, say_nothing, rolls)
        if trial.layouts is None:
            return
        if trial.value <= numbers[purchases.base]:
            outcome.offer(trial.layouts)
        elif trial.stopped is not None:
            raise TimeIsUp(trial.stopped)
        else:
            purchases.rule_out(numbers)
            purchases.heed(rolls, trial.certificate.prices)
        yield


class Purchases:
    """Numbers of rolls of each type that may be enough, for less than ``below``.

    Attributes
    ----------
    base
        The type bought most: how many of it is found for each choice of the others.
    choices
        For each type, the numbers of it to choose among; of the base type, and of paper that costs nothing, one.

    """

    def __init__(self, instance: Instance, below: int) -> None:
        self.instance = instance
        self.below = below
        # No roll is opened for nothing.
        pieces = sum(kind.demand for kind in instance.kinds)
        most = [min(pieces, _most(roll_type.value, roll_type.supply, below)) for roll_type in instance.roll_types]
        costed = [index for index, roll_type in enumerate(instance.roll_types) if roll_type.value]
        self.base = max(costed, key=lambda index: (most[index] * instance.room_on(instance.roll_types[index]), -index))
        self.most_of_base = most[self.base]
        self.choices = [
            range(1) if index == self.base else range(number if roll_type.value == 0 else 0, number + 1)
            for index, (roll_type, number) in enumerate(zip(instance.roll_types, most, strict=True))
        ]

    def begin(self) -> None:
        """Write all choices out."""
        grid = np.meshgrid(*(np.array(numbers) for numbers in self.choices), indexing="ij")
        self.others: NDArray[np.int64] = np.stack([axis.ravel() for axis in grid], axis=1).astype(np.int64)
        values = np.array([roll_type.value for roll_type in self.instance.roll_types], dtype=np.int64)
        self.costs: NDArray[np.int64] = self.others @ values
        self.needed: NDArray[np.int64] = np.zeros(len(self.others), dtype=np.int64)
        self.proofs: list[Certificate] = []

    def heed(self, rolls: Rolls, prices: Sequence[int]) -> None:
        """Ask of every purchase that its rolls can be worth as much as all drops, at these prices of kinds."""
        by_type = rolls.worth(prices).by_type
        wanted = sum(price * kind.demand for price, kind in zip(prices, self.instance.kinds, strict=True))
        largest = wanted + sum(numbers[-1] * most for numbers, most in zip(self.choices, by_type, strict=True))
        if largest >= _MOST_WORTH:
            # Coarser prices hold as well, and prove nearly as much.
            coarser = largest.bit_length() - _MOST_WORTH.bit_length() + 1
            self.heed(rolls, [price >> coarser for price in prices])
            return
        worth = np.array(by_type, dtype=np.int64)
        lacking = np.maximum(wanted - self.others @ worth, 0)
        of_base = int(worth[self.base])
        premiums = [0 if index == self.base else most for index, most in enumerate(by_type)]
        self.proofs.append(Certificate(tuple(prices), tuple(premiums), of_base, Fraction(0)))
        needed = -(-lacking // of_base) if of_base else np.where(lacking > 0, self.most_of_base + 1, 0)
        np.maximum(self.needed, needed, out=self.needed)

    def rule_out(self, numbers: tuple[int, ...]) -> None:
        """Ask of every purchase with no more of all the other types that it has more of the base type."""
        others = np.array(numbers, dtype=np.int64)
        others[self.base] = 0
        fewer = (self.others <= others).all(axis=1)
        self.needed[fewer] = np.maximum(self.needed[fewer], numbers[self.base] + 1)

    def cheapest(self) -> tuple[int, ...] | None:
        """Return the cheapest purchase not ruled out; None when there is none below."""
        costs = self.costs + self.needed * self.instance.roll_types[self.base].value
        costs[self.needed > self.most_of_base] = self.below
        best = int(np.argmin(costs))
        if costs[best] >= self.below:
            return None
        numbers: list[int] = self.others[best].tolist()
        numbers[self.base] = int(self.needed[best])
        return tuple(numbers)

    def trial(self, numbers: tuple[int, ...]) -> Outcome:
        """Return the question whether ``numbers`` are enough: how many of the base type are, with so many others."""
        types = (
            replace(roll_type, value=1, supply=None)
            if index == self.base
            else replace(roll_type, value=0, supply=number)
            for index, (roll_type, number) in enumerate(zip(self.instance.roll_types, numbers, strict=True))
        )
        trial = unknown(replace(self.instance, roll_types=tuple(types)))
        trial.goal = numbers[self.base]
        trial.hints = tuple(self.proofs)
        return trial

    def cost_of(self, numbers: tuple[int, ...]) -> int:
        """Return what ``numbers`` of rolls cost."""
        return sum(
            roll_type.value * number for roll_type, number in zip(self.instance.roll_types, numbers, strict=True)
        )


def _most(value: int, supply: int | None, below: int) -> int:
    """Return how many rolls a plan cheaper than ``below`` can open."""
    affordable = (below - 1) // value if value else _NEVER
    return affordable if supply is None else min(supply, affordable)
