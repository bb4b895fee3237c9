"""How a paper is sold: roll by roll, several rolls in one packet, or cut to order off a long roll.

One roll is always one continuous piece. A *double roll* is one roll, twice as long as what the trade counts as a
single; a *packet* of two is two rolls. Both are bought by twos, and only one of them gives a long drop.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from msgspec import Struct

from cutplan.lengths import ZERO, Length


class Sale(Struct, frozen=True):
    """How a paper is sold."""

    packet: int = 1
    """Rolls in one packet, each a piece by itself; no packet is broken. Of paper that is cut to order, how many strips
    it has side by side, which are slit apart."""
    singles: int = 1
    """As how many singles one roll, in one piece, is counted and priced: 2 for a double roll, 3 for a triple."""
    unit: str | None = None
    """What it is measured in where it is cut to order, ``m`` or ``yd``; None where it is sold by the roll."""
    least: Length = ZERO
    step: Length = ZERO
    """Of an order of such paper: it is ``least``, or that and so many steps more. 0 for paper sold by the roll."""

    @property
    def is_plain(self) -> bool:
        """True when a roll is a roll: bought, counted and priced one by one."""
        return self == BY_THE_ROLL

    def packets(self, rolls: int) -> int:
        """Return how many packets hold so many rolls, the last one full too."""
        return -(-rolls // self.packet)

    def bought(self, rolls: int) -> int:
        """Return how many rolls are in those packets.

        >>> Sale(packet=2).bought(5)
        6

        """
        return self.packets(rolls) * self.packet

    def cost(self, rolls: int, price: Fraction | None) -> Fraction | None:
        """Return what so many rolls come to at this price of one roll, no packet broken; None without a price."""
        return None if price is None else self.bought(rolls) * price

    def orderable(self, length: Length) -> Length:
        """Return the shortest order that is not less than ``length``."""
        return self.least + max(-(-(length - self.least) // self.step), 0) * self.step


BY_THE_ROLL: Final = Sale()
"""A roll is a roll."""


class Edges(Struct, frozen=True):
    """What a strip loses of its width as sold."""

    left: Length = ZERO
    right: Length = ZERO
    """Selvedge, trimmed off at the table by knife and straightedge."""
    overlap: Length = ZERO
    """By how much neighbours share their print: one is lapped over the other, and both are cut through the middle of
    the lap on the wall. Strips then hang at a pitch of so much less than their width."""

    @property
    def lost(self) -> Length:
        """How much wider the paper is as sold than as it hangs."""
        return self.left + self.right + self.overlap

    @property
    def before_strip(self) -> Length:
        """From the left edge of the paper as sold to where the strip begins as it hangs."""
        return self.left + self.overlap / 2

    @property
    def has_selvedge(self) -> bool:
        """True when something is trimmed off at the table."""
        return bool(self.left or self.right)


NO_EDGES: Final = Edges()
"""Hung as it is sold."""
