"""The judge's own reading of lengths and numbers: exact fractions, lengths in millimetres."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from math import isfinite
from typing import Final

MILLIMETRES: Final = {
    **dict.fromkeys(("mm",), Fraction(1)),
    **dict.fromkeys(("cm",), Fraction(10)),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), Fraction(1000)),
    **dict.fromkeys(("in", "ins", "inch", "inches", '"', "″", "”"), Fraction("25.4")),
    **dict.fromkeys(("ft", "foot", "feet", "'", "′", "’"), Fraction("304.8")),
    **dict.fromkeys(("yd", "yds", "yard", "yards"), Fraction("914.4")),
}
"""Millimetres in one of each unit, by every spelling of it; the international inch is 25.4 mm exactly."""

_FRACTION_SIGNS: Final = {"½": "1⁄2", "¼": "1⁄4", "¾": "3⁄4", "⅛": "1⁄8", "⅜": "3⁄8", "⅝": "5⁄8", "⅞": "7⁄8",
                          "⅓": "1⁄3", "⅔": "2⁄3"}  # fmt: skip
_TOKEN: Final = re.compile(
    r"""(?P<broken>\d{1,30}[/⁄]\d{1,30}) | (?P<whole>\d{0,30}\.\d{1,30}|\d{1,30})
        | (?P<unit>[a-z]+|["'″”′’]) | (?P<gap>[\s-]+)""",
    re.VERBOSE,
)
_ABBREVIATION: Final = re.compile(r"([a-z])\.")
_CALLED_OUT: Final = re.compile(r"(\d{1,9})\s*m\s*(\d{2,3})")
_NUMBER: Final = re.compile(r"-?[0-9]{1,30}(?:\.[0-9]{1,30})?(?:/[0-9]{1,30})?")
_COMMA: Final = re.compile(r"(?<![\d.,])(\d+),(\d+)(?![.,]?\d)")
_MOST_DIGITS: Final = 60
_COARSEST: Final = 10_000
"""Up to this denominator a float stands for the simplest fraction near it: 213.33333333333334 for 640/3."""


def exact_number(value: object) -> Fraction | None:
    """Return a JSON number, or a text such as ``"640/3"`` or ``"588.00"``, exactly; None if it is none.

    A float stands for the shortest decimal that prints like it. Numbers of absurd size are refused.
    """
    if isinstance(value, str):
        return _number_written(value)
    if isinstance(value, bool):
        return None
    if isinstance(value, int | Fraction):
        return Fraction(value)
    if isinstance(value, float):
        value = Decimal(repr(value)) if isfinite(value) else None
    if isinstance(value, Decimal):
        sane = value.is_finite() and abs(value.adjusted()) + len(value.as_tuple().digits) <= _MOST_DIGITS
        return Fraction(value) if sane else None
    return None


def _number_written(text: str) -> Fraction | None:
    top, _, below = text.partition("/")
    if not _NUMBER.fullmatch(text) or not (parts := int(below or 1)):
        return None
    return Fraction(Fraction(top) if "." in top else int(top), parts)


def simplest_near(shown: Fraction) -> Fraction:
    """Return the exact length that a float shows, where the plan gives no exact text beside it."""
    return shown.limit_denominator(_COARSEST)


def plain_fractions(text: str) -> str:
    """Return a text in lower case with ``½`` and the like written out around the fraction slash ``⁄``.

    A decimal comma becomes a point; one that may part thousands, with three figures behind it, is left to be refused.
    """
    text = _COMMA.sub(_pointed, text)
    for sign, written in _FRACTION_SIGNS.items():
        text = text.replace(sign, f" {written}")
    return _ABBREVIATION.sub(r"\1", text.strip().lower().replace("''", '"'))


def _pointed(number: re.Match[str]) -> str:
    may_part_thousands = len(number[2]) == 3 and len(number[1]) <= 3 and number[1][0] != "0"  # noqa: PLR2004 - as written
    return number[0] if may_part_thousands else f"{number[1]}.{number[2]}"


def unit_in_mm(name: str) -> Fraction:
    """Return the millimetres in one unit of this name; ValueError where there is no such unit."""
    size = MILLIMETRES.get(name.strip().lower())
    if size is None:
        raise ValueError(f"unknown unit {name!r}")
    return size


def read_length(value: object, units: str | None) -> Fraction:
    """Return the millimetres that a scenario's value stands for.

    ``value`` is a text with its own units (``"8 ft 2 1/2 in"``, ``'98½"'``) or a bare number in ``units``; no length,
    or a bare number without units, is a ValueError.

    >>> read_length("8 ft 2 1/2 in", None) == read_length(Decimal("98.5"), "in") == Fraction("2501.9")
    True

    """
    if not isinstance(value, str):
        number = exact_number(value)
        if number is None or number < 0:
            raise ValueError(f"cannot read {value!r} as a length")
        return number * _bare(str(value), units)
    called_out = _CALLED_OUT.fullmatch(plain_fractions(value))
    if called_out is not None:  # "2m40", metres and centimetres
        return Fraction(f"{called_out[1]}.{called_out[2]}") * unit_in_mm("m")
    total = Fraction(0)
    for number, unit in _terms(value):
        total += number * (_bare(value, units) if unit is None else unit_in_mm(unit))
    return total


def _bare(text: str, units: str | None) -> Fraction:
    if units is None:
        raise ValueError(f"{text} has no unit, and the scenario names none")
    return unit_in_mm(units)


def _terms(text: str) -> list[tuple[Fraction, str | None]]:
    """Split ``8 ft 2 1/2 in`` into (8, ft), (5/2, in); a last number without unit only where it is alone."""
    terms: list[tuple[Fraction, str | None]] = []
    pending: list[Fraction] = []
    for kind, written in _tokens(text):
        if kind == "unit":
            terms.append((_quantity(text, pending), written))
            pending = []
        elif kind == "broken":
            top, below = re.split("[/⁄]", written)
            if not int(below):
                raise ValueError(f"{text!r} divides by zero")
            pending.append(Fraction(int(top), int(below)))
        else:
            pending.append(Fraction(f"0{written}"))
    if pending and not terms:
        return [(_quantity(text, pending), None)]
    if pending and [MILLIMETRES.get(unit or "") for _, unit in terms] == [MILLIMETRES["ft"]]:
        return [*terms, (_quantity(text, pending), "in")]  # "8 ft 3"
    if pending or not terms:
        raise ValueError(f"cannot read {text!r} as a length")
    return terms


def _tokens(text: str) -> list[tuple[str, str]]:
    plain = plain_fractions(text)
    tokens: list[tuple[str, str]] = []
    place = 0
    while place < len(plain):
        token = _TOKEN.match(plain, place)
        if token is None or (place == 0 and token.lastgroup == "gap"):
            raise ValueError(f"cannot read {text!r} as a length")
        place = token.end()
        if token.lastgroup != "gap":
            tokens.append((str(token.lastgroup), token.group()))
    return tokens


def _quantity(text: str, numbers: list[Fraction]) -> Fraction:
    """Add up ``2`` and ``1/2`` of a mixed number; anything else before one unit is refused."""
    match numbers:
        case [number]:
            return number
        case [whole, broken] if whole.denominator == 1 != broken.denominator:
            return whole + broken
        case _:
            raise ValueError(f"cannot read {text!r} as a length")
