"""Values as a scenario writes them: the inverse of reading one, without any rounding."""

from __future__ import annotations

import json
from fractions import Fraction
from typing import Final

from cutplan.lengths import UNITS, Length, unit_named

_ON_A_TAPE: Final = (2, 4, 8, 16, 32)
"""Parts of an inch that a tape shows."""
_MOST_PLACES: Final = 6


def quoted(text: str) -> str:
    r"""Return a text as a TOML string.

    >>> quoted('the "long" wall'), quoted("küche")
    ('"the \\"long\\" wall"', '"küche"')

    """
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def length_value(length: Length, units: str) -> str:
    """Return a length as the value of a key, exact, in a file whose bare numbers are ``units``.

    A decimal that ends is a bare number; parts of an inch, and any other fraction, are a text with its unit.

    >>> from fractions import Fraction
    >>> length_value(Fraction(2360), "mm"), length_value(Fraction("107.5"), "cm"), length_value(Fraction(640, 3), "mm")
    ('2360', '10.75', '"213 1/3 mm"')
    >>> length_value(Fraction("669.925"), "in")
    '"26 3/8 in"'

    """
    unit = unit_named(units)
    number = length / UNITS[unit]
    whole, rest = divmod(number, 1)
    if not rest:
        return str(whole)
    written = None if unit == "in" and rest.denominator in _ON_A_TAPE else decimal(number)
    return written or f'"{whole or ""} {rest} {unit}"'.replace('" ', '"')


def decimal(number: Fraction) -> str | None:
    """Return a number that is not negative as a decimal; None when it does not end within a few places.

    >>> from fractions import Fraction
    >>> decimal(Fraction(84)), decimal(Fraction(1, 8)), decimal(Fraction(1, 3))
    ('84', '0.125', None)

    """
    shifted = number * 10**_MOST_PLACES
    if shifted.denominator != 1:
        return None
    whole, rest = divmod(shifted.numerator, 10**_MOST_PLACES)
    return f"{whole}.{rest:0{_MOST_PLACES}d}".rstrip("0").rstrip(".")
