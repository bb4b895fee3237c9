"""Paste, adhesive, size and filler: what a pack covers by its label, and how many packs an area or its joints take."""

from __future__ import annotations

from enum import Enum
from fractions import Fraction
from math import ceil
from typing import Final

from msgspec import Struct

SQUARE_METRE: Final = Fraction(1_000_000)
"""Square millimetres in one."""
SQUARE_FOOT: Final = Fraction(1524, 5) ** 2
USUAL_SIZE: Final = 43 * SQUARE_METRE
"""What a packet of size that makes 5 l covers, the wall for 8 rolls — DIY reference, UK: common practice, no label."""
MORE_IN_PRACTICE: Final = Fraction(6, 5)
"""How many times as much paste is used as packets promise — UK tradesman; amateurs use about 20 % more [practice]."""


class Use(Enum):
    """What a material is for."""

    PASTE = "paste"
    ADHESIVE = "adhesive"
    SIZE = "size"
    FILLER = "filler"

    @property
    def is_for_joints(self) -> bool:
        """True for what is bought by the length of joints, and not by area."""
        return self is Use.FILLER


class Material(Struct, frozen=True):
    """A material as its label describes it."""

    name: str
    use: Use
    covers: Fraction | None = None
    """What a pack does for, in square millimetres, of filler in millimetres of joint; None where nobody has read it."""
    pack: str = "pack"
    """What it comes in."""
    price: Fraction | None = None
    """Of a pack; None when not stated."""
    on: tuple[str, ...] = ()
    """The parts of the job that it is for; none for all that it can be for."""


class Packs(Struct, frozen=True):
    """How much of a material a job takes."""

    material: Material
    parts: tuple[str, ...]
    amount: Fraction
    """What it is for: an area in square millimetres, or a length of joints in millimetres."""
    covers: Fraction | None
    """What a pack does for; None where it is still to be read from the label."""
    is_practice: bool
    """True where ``covers`` is common practice, and not read from a label."""
    counts_over: bool = False
    """True where what hangs over the parts takes of it too."""

    @property
    def by_label(self) -> int | None:
        """Packs that are enough if each does what it promises; None where nobody has read that."""
        return None if self.covers is None else ceil(self.amount / self.covers)

    @property
    def buy(self) -> int | None:
        """Packs to buy: of paste, as much as is used in practice."""
        if self.covers is None:
            return None
        more = MORE_IN_PRACTICE if self.material.use is Use.PASTE and not self.is_practice else 1
        return ceil(self.amount * more / self.covers)

    @property
    def returned(self) -> int:
        """Packs that go back unopened if the others do what they promise."""
        return (self.buy or 0) - (self.by_label or 0)

    @property
    def cost(self) -> Fraction | None:
        """What the packs cost; None where their price or number is not known."""
        return None if self.buy is None or self.material.price is None else self.buy * self.material.price


def packs_of(material: Material, parts: tuple[str, ...], amount: Fraction, *, counts_over: bool = False) -> Packs:
    """Return how much of a material is needed; size that nobody has read the label of is taken as it usually is."""
    is_practice = material.covers is None and material.use is Use.SIZE
    return Packs(material, parts, amount, USUAL_SIZE if is_practice else material.covers, is_practice, counts_over)
