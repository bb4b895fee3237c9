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
from typing import TYPE_CHECKING, Final

import numpy as np
from msgspec.structs import replace

from cutplan.solve.clock import Clock, TimeIsUp
from cutplan.solve.instance import Instance, RollType
from cutplan.solve.search.certificate import Certificate
from cutplan.solve.search.outcome import Outcome, say_nothing, unknown

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from cutplan.solve.roll.holding import Rolls

    Optimise = Callable[[Outcome, Clock, Callable[[Outcome], None], Rolls | None], None]
    """Improves an outcome until it is settled or the clock has run out."""

MOST_PURCHASES: Final = 200_000
"""With more ways to buy than this, the numbers are not settled first."""

_ROUNDED: Final = 1 - 1e-9
"""Taken off a cost in floating point, so that it is never too high."""

_MOST_WORTH: Final = 2**62
"""Rolls and drops that could be worth more than this together are priced more coarsely, so that no sum overflows."""

_NEVER: Final = 2**40
"""More rolls than anybody opens."""


def buy_cheapest(outcome: Outcome, rolls: Rolls, clock: Clock, optimise: Optimise) -> Iterator[None]:
    """Raise the bound to the cost of one purchase after another, until one is enough; yield after each step.

    Ends without a proof where this does not serve: rolls of one price only, too many ways to buy, or drops that
    no type can hold for certain.
    """
    while outcome.instance.has_several_prices and not outcome.is_proved:
        purchases = _begun(outcome, rolls)
        if purchases is None:
            return
        while outcome.bound < min(outcome.value, purchases.below):
            numbers = purchases.cheapest()
            cost = purchases.below if numbers is None else purchases.cost_of(numbers)
            if cost > outcome.bound:
                outcome.bound, outcome.by_search = min(cost, outcome.value), True
                yield
            if numbers is None or outcome.is_proved:
                continue
            trial = purchases.trial(numbers)
            optimise(trial, clock, say_nothing, rolls)
            if trial.layouts is None:
                return
            if trial.value <= purchases.most_of_base:
                outcome.offer(trial.layouts)
            if trial.value > numbers[purchases.base]:
                if trial.stopped is not None:
                    raise TimeIsUp(trial.stopped)
                purchases.rule_out(numbers)
                purchases.heed(rolls, trial.certificate.prices)
            yield


def _begun(outcome: Outcome, rolls: Rolls) -> Purchases | None:
    """Return the purchases that cost less than the plan; where they are too many, less than the lower half of the gap.

    Where these are too many as well, less than half of that, and so on.
    """
    gap = outcome.value - outcome.bound
    while gap:
        purchases = Purchases(outcome.instance, outcome.bound + gap, outcome.bound)
        if purchases.begin(rolls, outcome.certificate.prices):
            return purchases
        gap //= 2
    return None


class Purchases:
    """Numbers of rolls of each type that may be enough, for less than ``below`` and no less than ``bound``."""

    def __init__(self, instance: Instance, below: int, bound: int) -> None:
        self.instance = instance
        self.below = below
        self.bound = bound
        # No roll is opened for nothing.
        pieces = sum(kind.demand for kind in instance.kinds)
        most = [min(pieces, _most(roll_type.value, roll_type.supply, below)) for roll_type in instance.roll_types]
        costed = [index for index, roll_type in enumerate(instance.roll_types) if roll_type.value]
        holding = [index for index in costed if _holds_every_kind(instance, instance.roll_types[index])]
        self.base = max(
            holding or costed, key=lambda index: (most[index] * instance.room_on(instance.roll_types[index]), -index)
        )
        """The type bought most, of those that hold any drop: how many of it is found for each choice of the others."""
        self.most_of_base = most[self.base]
        self.choices = [
            range(1) if index == self.base else range(number if roll_type.value == 0 else 0, number + 1)
            for index, (roll_type, number) in enumerate(zip(instance.roll_types, most, strict=True))
        ]
        """For each type, the numbers of it to choose among; of the base type, and of paper that costs nothing, one."""

    def begin(self, rolls: Rolls, prices: Sequence[int]) -> bool:
        """Write out the choices that these prices of kinds do not rule out; return False when they are too many.

        Types are added one after another, the cheapest for their worth first: what is still lacking costs no less than
        parts of the cheapest of those to come.
        """
        proof = self._proof(rolls, prices)
        worth, wanted = np.array(proof.premiums, dtype=np.int64), proof.worth_of_all(self.instance)
        worth[self.base] = proof.scale
        values = np.array([roll_type.value for roll_type in self.instance.roll_types], dtype=np.int64)
        costs_of_worth = values * _ROUNDED / np.maximum(worth, 1)
        in_turn = sorted(set(range(len(values))) - {self.base}, key=lambda index: costs_of_worth[index])
        others = np.zeros((1, len(values)), dtype=np.int64)
        for place, index in enumerate(in_turn, 1):
            numbers = self.choices[index]
            if len(others) * len(numbers) > MOST_PURCHASES:
                return False
            others = np.repeat(others, len(numbers), axis=0)
            others[:, index] = np.resize(numbers, len(others))
            lacking = np.maximum(wanted - others @ worth, 0)
            cheapest = min(costs_of_worth[[*in_turn[place:], self.base]])
            others = others[lacking * cheapest < self.below - others @ values]
        self.others: NDArray[np.int64] = others
        self.costs: NDArray[np.int64] = others @ values
        self.needed: NDArray[np.int64] = np.maximum(0, -((self.costs - self.bound) // values[self.base]))
        self.proofs: list[Certificate] = []
        self._ask(proof)
        return True

    def heed(self, rolls: Rolls, prices: Sequence[int]) -> None:
        """Ask of every purchase that its rolls can be worth as much as all drops, at these prices of kinds."""
        self._ask(self._proof(rolls, prices))

    def _proof(self, rolls: Rolls, prices: Sequence[int]) -> Certificate:
        """Return what rolls are worth at these prices, as a certificate of how many of the base type are needed."""
        by_type = rolls.worth(prices).by_type
        wanted = sum(price * kind.demand for price, kind in zip(prices, self.instance.kinds, strict=True))
        largest = wanted + sum(numbers[-1] * most for numbers, most in zip(self.choices, by_type, strict=True))
        if largest >= _MOST_WORTH:
            # Coarser prices hold as well, and prove nearly as much.
            coarser = largest.bit_length() - _MOST_WORTH.bit_length() + 1
            return self._proof(rolls, [price >> coarser for price in prices])
        premiums = [0 if index == self.base else most for index, most in enumerate(by_type)]
        return Certificate(tuple(prices), tuple(premiums), by_type[self.base], Fraction(0))

    def _ask(self, proof: Certificate) -> None:
        """Ask of every purchase as many of the base type as this certificate of a trial says."""
        self.proofs.append(proof)
        worth, of_base = np.array(proof.premiums, dtype=np.int64), proof.scale
        lacking = np.maximum(proof.worth_of_all(self.instance) - self.others @ worth, 0)
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
        if costs.min(initial=self.below) >= self.below:
            return None
        best = int(np.argmin(costs))
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


def _holds_every_kind(instance: Instance, roll_type: RollType) -> bool:
    """Return True when a drop of any kind fits on a roll of this type, wherever its print begins."""
    longest = max(kind.length for kind in instance.kinds) + instance.repeat
    return roll_type.holds is None and max(map(instance.span, roll_type.stretches)) >= longest


def _most(value: int, supply: int | None, below: int) -> int:
    """Return how many rolls a plan cheaper than ``below`` can open."""
    affordable = (below - 1) // value if value else _NEVER
    return affordable if supply is None else min(supply, affordable)
