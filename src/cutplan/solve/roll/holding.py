"""What one roll can hold: the face that the phased and the free match share."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Protocol

from cutplan.solve.layout import Layout

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from cutplan.solve.roll.network import Network

    Prices = NDArray[np.int64] | Sequence[int]
    """Price of each kind, whole and not negative."""


class Valued(Protocol):
    """What rolls are worth at given prices."""

    @property
    def by_type(self) -> Sequence[int]:
        """The most that the drops on one roll of each type can be worth together; never too low."""


class Fillable(Valued, Protocol):
    """What rolls are worth at given prices, and layouts of it: all that first plans and their bounds are made of."""

    def fill(self, roll_type: int, remaining: Sequence[int]) -> Layout:
        """Return a valuable layout of one roll with no more than ``remaining`` of each kind."""


class Filler(Protocol):
    """Whatever fills the rolls of one instance."""

    def worth(self, prices: Prices) -> Fillable:
        """Return what rolls can be worth, exactly."""


class Priced(Valued, Protocol):
    """The dearest layouts at given prices: all that columns and a bound are made of."""

    def layouts_above(self, allowance: Sequence[int]) -> list[Layout]:
        """Return layouts worth more than the allowance of their roll type, each worth the most it can be."""


class Worth(Priced, Fillable, Protocol):
    """What rolls can be worth at given prices."""


class Pricing(Protocol):
    """Whatever prices the layouts of one instance, and knows the steps that they may take."""

    def worth(self, prices: Prices) -> Priced:
        """Return the dearest layouts, exactly."""

    def networks(self, prices: Sequence[int], least: Sequence[int]) -> list[Network]:
        """Return, for each roll type, the steps through which some layout is worth ``least`` of it."""


class Rolls(Pricing, Protocol):
    """What the rolls of one instance can hold."""

    def worth(self, prices: Prices) -> Worth:
        """Return what rolls can be worth, exactly."""
