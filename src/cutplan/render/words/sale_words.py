"""What is bought, in the words in which a paper is sold: rolls, doubles, packets, metres and yards."""

from __future__ import annotations

from fractions import Fraction
from math import ceil, floor
from typing import Final

from cutplan.lengths import UNITS, Length, Rounding, exact_number, show
from cutplan.paper.sale import Sale
from cutplan.paper.stock import Paper
from cutplan.wording import counted

_COUNTED_IN_SINGLES: Final = {1: "roll", 2: "double", 3: "triple", 4: "quadruple"}


def as_sold(sale: Sale, rolls: int) -> str:
    """Return so many rolls, no packet broken, as they are asked for in the shop.

    >>> from cutplan.paper.sale import Sale
    >>> as_sold(Sale(), 5), as_sold(Sale(singles=2), 5), as_sold(Sale(packet=2), 5)
    ('5 rolls', '5 doubles (10 singles)', '3 packets (6 rolls)')
    >>> as_sold(Sale(packet=2, singles=2), 1)
    '1 packet (2 doubles, 4 singles)'

    """
    bought = sale.bought(rolls)
    parts = [counted(sale.packets(rolls), "packet")] if sale.packet > 1 else []
    parts.append(counted(bought, _COUNTED_IN_SINGLES[sale.singles]))
    if sale.singles > 1:
        parts.append(counted(bought * sale.singles, "single"))
    first, *others = parts
    return f"{first} ({', '.join(others)})" if others else first


def width_words(paper: Paper, units: str) -> str:
    """Return how wide a paper is, as sold and as it hangs where that differs; empty where it is not told."""
    sold, hung = paper.width_as_sold, paper.roll_width
    if sold is None or hung is None:
        return ""
    return show(sold, units) if sold == hung else f"{show(sold, units)} (hung at {show(hung, units)})"


def in_unit(length: Length, unit: str, rounding: Rounding = Rounding.UP) -> str:
    """Return a length that is ordered, in the unit that it is ordered in; to the hundredth where no decimal ends.

    >>> from fractions import Fraction
    >>> in_unit(Fraction(24500), "m"), in_unit(60 * UNITS["yd"], "yd"), in_unit(Fraction(50000), "yd", Rounding.DOWN)
    ('24.50 m', '60 yd', '54.68 yd')

    """
    number = length / UNITS[unit]
    if "/" in exact_number(number):
        number = Fraction((floor if rounding is Rounding.DOWN else ceil)(number * 100), 100)
    return f"{number if number.denominator == 1 else exact_number(number)} {unit}"
