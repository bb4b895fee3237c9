"""Certificates: prices of drops that no roll beats, and the bound that they prove.

Whatever the prices, the exact value of every roll at them gives a bound that holds (Farley, Operations Research 38
(1990) 922–923), and the prices are its certificate. Prices may come from a linear programme or from a rule of thumb.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import ceil, gcd, inf
from typing import TYPE_CHECKING

from msgspec import Struct

from cutplan.solve.instance import Instance

if TYPE_CHECKING:
    from cutplan.solve.roll.holding import Filler, Prices

SCALE = 720_720 << 12
"""Whole prices per unit of roll value: a multiple of 1 to 16, so that common fractions stay exact."""


class Certificate(Struct, frozen=True):
    """Prices of kinds, premiums of roll types, and the scale at which no roll beats them.

    Every layout of roll type t is worth at most ``scale × value of t + premiums[t]``.
    """

    prices: tuple[int, ...]
    premiums: tuple[int, ...]
    scale: int
    bound: Fraction

    @property
    def whole_bound(self) -> int:
        """The bound rounded up: plans are worth whole numbers."""
        return ceil(self.bound)

    def worth_of_all(self, instance: Instance) -> int:
        """Return what all drops together are worth."""
        return sum(price * kind.demand for price, kind in zip(self.prices, instance.kinds, strict=True))

    def left_at(self, instance: Instance, value: int) -> int:
        """Return what rolls of a plan of this value may waste at the prices; below 0, there is no such plan."""
        premiums = sum(
            premium * (roll.supply or 0) for premium, roll in zip(self.premiums, instance.roll_types, strict=True)
        )
        return self.scale * value + premiums - self.worth_of_all(instance)

    def waste_at(self, instance: Instance, value: int) -> float:
        """Return the part of all worth that may be wasted: the less, the fewer layouts a plan of this value can use."""
        worth = self.worth_of_all(instance)
        return self.left_at(instance, value) / worth if worth else inf


def certify(instance: Instance, prices: Prices, worth: Sequence[int], scale: int) -> Certificate:
    """Return what ``prices`` prove, given the most that a roll of each type can be worth at them.

    Whatever the prices, premiums and, if need be, the scale are raised until the certificate holds.
    """
    for roll_type, most in zip(instance.roll_types, worth, strict=True):
        if roll_type.supply is None and roll_type.value:
            scale = max(scale, -(-most // roll_type.value))
    premiums = tuple(
        max(0, most - scale * roll_type.value) for roll_type, most in zip(instance.roll_types, worth, strict=True)
    )
    if any(premium and roll.supply is None for premium, roll in zip(premiums, instance.roll_types, strict=True)):
        return nothing_proved(instance)
    price_of = [int(price) for price in prices]
    total = sum(price * kind.demand for price, kind in zip(price_of, instance.kinds, strict=True))
    total -= sum(premium * (roll.supply or 0) for premium, roll in zip(premiums, instance.roll_types, strict=True))
    if total <= 0:
        return nothing_proved(instance)
    common = gcd(scale, *price_of, *premiums)
    return Certificate(
        tuple(price // common for price in price_of),
        tuple(premium // common for premium in premiums),
        scale // common,
        Fraction(total, scale),
    )


def proved_by(instance: Instance, rolls: Filler, prices: Sequence[int]) -> Certificate:
    """Return what prices at the scale :data:`SCALE` prove, wherever they come from."""
    return certify(instance, prices, rolls.worth(prices).by_type, SCALE)


def nothing_proved(instance: Instance) -> Certificate:
    """Return the certificate of the bound 0."""
    return Certificate((0,) * len(instance.kinds), (0,) * len(instance.roll_types), 1, Fraction(0))


def filling_prices(instance: Instance, certificate: Certificate) -> list[int]:
    """Return the relaxation's prices, with a little for length, so that drops without a price are cut as well."""
    longest = max(kind.length for kind in instance.kinds)
    little = SCALE >> 10
    return [
        price * SCALE // certificate.scale + little * kind.length // longest + 1
        for price, kind in zip(certificate.prices, instance.kinds, strict=True)
    ]


def certificates_by_rule(instance: Instance, rolls: Filler) -> Iterator[Certificate]:
    """Yield what two rules of thumb prove, which is often enough.

    The first prices a drop by its share of a roll that holds nothing else, the second by the paper it takes up to the
    nearest place at which another drop may follow.
    """
    for prices in (_shares_of_a_roll(instance), paper_taken(instance)):
        by_type = rolls.worth(prices).by_type
        scale = max(
            (-(-most // roll.value) for most, roll in zip(by_type, instance.roll_types, strict=True) if roll.value),
            default=0,
        )
        if scale:
            yield certify(instance, prices, by_type, scale)


def _shares_of_a_roll(instance: Instance) -> list[int]:
    longest = instance.longest_span
    shares = []
    for kind in instance.kinds:
        step = -(-kind.length // instance.repeat) * instance.repeat if instance.repeat else kind.length
        shares.append(SCALE // max(1, (longest - kind.length) // step + 1))
    return shares


def paper_taken(instance: Instance) -> list[int]:
    """Return the paper that a drop of each kind takes up to the nearest place at which another drop may follow."""
    if not instance.repeat:
        return [kind.length for kind in instance.kinds]
    phases = sorted({kind.phase for kind in instance.kinds})
    # Another may follow where the print has run on from the end to its phase: phases count down towards it.
    ends = ((kind.length, (kind.phase - kind.length) % instance.repeat) for kind in instance.kinds)
    return [length + (end - phases[bisect_right(phases, end) - 1]) % instance.repeat for length, end in ends]
