"""Lengths: exact, in millimetres, read from what people write and shown as people read them.

A length is a :class:`fractions.Fraction` of a millimetre, so an inch is exactly 127/5 and a third of
640 mm exactly 640/3; nothing drifts however often it is added. Rounding happens in two places only,
both here and both by name: :func:`show` for people and :func:`to_float_mm` for JSON.
"""

from __future__ import annotations

import re
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from math import ceil, floor, gcd
from typing import Final, TypeAlias

from cutplan.errors import LengthError

Length: TypeAlias = Fraction
"""A distance in millimetres, exact."""

MINUS: Final = "−"
"""The sign before whatever is less than nothing, wherever it is read by people; files have the hyphen of programs."""

ZERO: Final = Fraction(0)

UNITS: Final[dict[str, Length]] = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction(127, 5),
    "ft": Fraction(1524, 5),
    "yd": Fraction(4572, 5),
}
"""Millimetres in one of each unit (the international inch is 25.4 mm exactly)."""

LONGEST: Final = Fraction(10_000_000)
"""10 km: no roll or wall is longer, and a number beyond it is a slip that could fill the memory."""

_PARTS_OF_A_UNIT: Final = frozenset({2, 3, 4, 6, 8, 16, 32})
MOST_PLACES: Final = 30
"""Decimal places of a number: more would be a slip too."""
_MOST_CHARACTERS: Final = 60
_METRIC: Final = frozenset({"mm", "cm", "m"})
_SPELLINGS: Final = {
    '"': "in", "″": "in", "”": "in", "inch": "in", "inches": "in", "ins": "in",
    "'": "ft", "′": "ft", "’": "ft", "foot": "ft", "feet": "ft",
    "yds": "yd", "yard": "yd", "yards": "yd",
    "metre": "m", "metres": "m", "meter": "m", "meters": "m",
}  # fmt: skip
_VULGAR: Final = {
    "½": "1⁄2", "¼": "1⁄4", "¾": "3⁄4", "⅛": "1⁄8", "⅜": "3⁄8", "⅝": "5⁄8", "⅞": "7⁄8",
    "⅓": "1⁄3", "⅔": "2⁄3",
}  # fmt: skip
EXAMPLES: Final = 'write for example "2.4 m", "2400 mm" or "7 ft 10 1/2 in"'
_PART: Final = re.compile(
    r"""\s*(?:(?P<fraction>\d+/\d+)|(?P<whole>\d+(?:\.\d+)?)(?:(?:\s+|-)(?P<mixed>\d+/\d+))?|(?P<point>\.\d+))
        \s*(?P<unit>[a-z]+|["'″”′’])?\s*""",
    re.VERBOSE,
)
_METRES_RUN_ON: Final = re.compile(r"(?P<metres>\d+)\s*m\s*(?P<rest>\d{2,3})")
_DECIMAL_COMMA: Final = re.compile(r"(?<![\d.,])(?!(?!0)\d{1,3},\d{3}(?!\d))(\d+),(\d+)(?![.,]?\d)")
"""A comma between figures that cannot part thousands: not three of them follow, or more than three or a nought lead."""
_ABBREVIATION_POINT: Final = re.compile(r"(?<=[a-z])\.")


class Rounding(Enum):
    """Which way a shown length may differ from the exact one."""

    NEAREST = "nearest"
    UP = "up"
    DOWN = "down"


def unit_named(name: str) -> str:
    """Return the canonical unit (``mm cm m in ft yd``) for a spelling of it; LengthError when none is spelt like that.

    >>> unit_named("inches")
    'in'

    """
    unit = _SPELLINGS.get(name.lower(), name.lower())
    if unit not in UNITS:
        raise LengthError(f"unknown unit {name!r}; use mm, cm, m, in, ft or yd")
    return unit


def read_length(value: object, units: str | None = None) -> Length:
    """Return the length that a scenario's value stands for.

    Parameters
    ----------
    value
        A string with its own unit (``"8 ft 2 1/2 in"``), or a bare number (``int``, ``Decimal``,
        ``Fraction``, or a string of digits) that takes ``units``.
    units
        The unit of a bare number; None when the scenario names none.

    Raises
    ------
    LengthError
        For anything else, saying what was found and what to write.

    >>> read_length("8 ft 2 1/2 in") == read_length("98.5 in") == Fraction("2501.9")
    True

    """
    if isinstance(value, str):
        return _parse(value, units)
    if isinstance(value, bool) or not isinstance(value, int | Decimal | Fraction):
        raise LengthError(f"cannot read {value!r} as a length; {EXAMPLES}")
    if isinstance(value, Decimal) and not value.is_finite():
        raise LengthError(f"cannot read {value} as a length; {EXAMPLES}")
    _refuse_size(value)
    return _within_reason(Fraction(value) * UNITS[_bare_name(str(value), units)], str(value))


def _refuse_size(value: int | Decimal | Fraction) -> None:
    """Refuse a number whose digits alone could fill the memory, before any arithmetic is done on it."""
    if not -LONGEST <= value <= LONGEST:
        raise LengthError(f"so large a number cannot be a length; {EXAMPLES}")
    if isinstance(value, Decimal) and int(value.as_tuple().exponent) < -MOST_PLACES:
        raise LengthError(f"a length has at most {MOST_PLACES} decimal places; {EXAMPLES}")


def _within_reason(length: Length, text: str) -> Length:
    if length > LONGEST:
        raise LengthError(f"{text!r} is longer than any wall or roll; {EXAMPLES}")
    return length


def _parse(text: str, units: str | None) -> Length:
    if len(text) > _MOST_CHARACTERS:
        raise LengthError(f"a text of {len(text)} characters cannot be a length; {EXAMPLES}")
    prepared = _spell_out(text)
    run_on = _METRES_RUN_ON.fullmatch(prepared)
    if run_on:  # "2m40" is how a tape is called out on the Continent
        return _within_reason(Fraction(f"{run_on['metres']}.{run_on['rest']}") * UNITS["m"], text)
    total = ZERO
    seen: list[str] = []
    place = 0
    while place < len(prepared):
        part = _PART.match(prepared, place)
        if part is None or part.end() == place:
            raise LengthError(f"cannot read {text!r} as a length; {EXAMPLES}")
        place = part.end()
        if part["unit"] is None and (seen not in ([], ["ft"]) or place < len(prepared)):
            raise LengthError(f"{text!r} has a number without a unit; {EXAMPLES}")
        bare = "in" if seen else units  # "8 ft 3" is how the trade writes 8 ft 3 in
        unit = _bare_name(text, bare) if part["unit"] is None else unit_named(part["unit"])
        _refuse_mixture(text, seen, unit)
        seen.append(unit)
        total += _number(text, part) * UNITS[unit]
    if not seen:
        raise LengthError(f"an empty text is not a length; {EXAMPLES}")
    return _within_reason(total, text)


def _spell_out(text: str) -> str:
    text = decimal_points(text)
    if text.strip().startswith(("-", MINUS)):
        raise LengthError(f"{text!r} is negative; a length is measured forwards")
    return plain_text(text).replace("⁄", "/")


def decimal_points(text: str) -> str:
    """Return a text with a point for each decimal comma: the only rule for commas in numbers, wherever they are typed.

    LengthError at a comma beside a figure that may part thousands, or parts nothing.

    >>> decimal_points("2,4 m"), decimal_points("0,530 m"), decimal_points("84,50")
    ('2.4 m', '0.530 m', '84.50')

    """
    pointed = _DECIMAL_COMMA.sub(r"\1.\2", text)
    if re.search(r"\d,|,\d", pointed):
        whole = text.replace(",", "")
        raise LengthError(f"{text!r} has a comma; if it parts thousands write {whole!r}, if decimals a point")
    return pointed


def plain_text(text: str) -> str:
    """Return a text in lower case, ``½`` as ``1⁄2`` with a fraction slash, ``in.`` as ``in``, two quotes as one mark.

    >>> plain_text("8 Ft. 2½''")
    '8 ft 2 1⁄2"'

    """
    for sign, plain in _VULGAR.items():
        text = text.replace(sign, f" {plain}")
    return _ABBREVIATION_POINT.sub("", text.replace("''", '"').strip().lower())


def _number(text: str, part: re.Match[str]) -> Fraction:
    whole = part["whole"] or part["point"] or "0"
    broken = part["mixed"] or part["fraction"] or "0"
    if part["mixed"] and "." in whole:
        raise LengthError(f"{text!r} mixes a decimal point and a fraction; {EXAMPLES}")
    if broken != "0":
        _refuse_odd_fraction(text, broken)
    return Fraction(whole if not whole.startswith(".") else f"0{whole}") + Fraction(broken)


def _refuse_odd_fraction(text: str, broken: str) -> None:
    """Refuse "64/32 cm", which is how a label prints a match, not 2 cm; allow "640/3 mm" and "1/2 in"."""
    above, below = (int(figure) for figure in broken.split("/"))
    if below == 0:
        raise LengthError(f"{text!r} divides by zero; {EXAMPLES}")
    if above >= below and (below not in _PARTS_OF_A_UNIT or gcd(above, below) > 1):
        raise LengthError(f"{text!r} looks like a match (repeat/offset), not a length; {EXAMPLES}")


def _refuse_mixture(text: str, seen: list[str], unit: str) -> None:
    if not seen:
        return
    if (unit in _METRIC) != (seen[-1] in _METRIC):
        raise LengthError(f"{text!r} mixes metric and imperial units; {EXAMPLES}")
    if UNITS[unit] >= UNITS[seen[-1]]:
        raise LengthError(f"{text!r} must name the larger unit first, each once; {EXAMPLES}")


def _bare_name(text: str, units: str | None) -> str:
    if units is None:
        raise LengthError(
            f'{text} has no unit; write it with one ("{text} mm"), or put units = "mm" at the top of the file'
        )
    return unit_named(units)


def to_float_mm(length: Length) -> float:
    """Return ``length`` in millimetres as the nearest float, for JSON."""
    return float(length)


def exact_mm(length: Length) -> str:
    """Return ``length`` in millimetres without any rounding: ``"2560"`` or ``"640/3"``."""
    return str(length)


def exact_number(value: Fraction) -> str:
    """Return a number without any rounding: a decimal where one ends, else a fraction.

    >>> from fractions import Fraction
    >>> exact_number(Fraction(588)), exact_number(Fraction("7.125")), exact_number(Fraction(1, 3))
    ('588.00', '7.125', '1/3')

    """
    places = 2
    while (value * 10**places).denominator != 1:
        places += 1
        if places > value.denominator.bit_length() + 2:
            return str(value)
    digits = f"{abs(value.numerator) * 10**places // value.denominator:0{places + 1}d}"
    return f"{'-' if value < 0 else ''}{digits[:-places]}.{digits[-places:]}"


def show(length: Length, units: str = "mm", rounding: Rounding = Rounding.NEAREST) -> str:
    """Return ``length`` as a tape reads it: whole mm, cm to 0.1, m to 0.001, or feet and inches to 1/16 in.

    Negative lengths have a minus sign; ``in``, ``ft`` and ``yd`` all read on a tape of feet and inches. ``rounding``
    says which way the reading may differ from the exact length.

    >>> show(Fraction(640, 3)), show(Fraction("2501.9"), "in"), show(Fraction(2400), "m")
    ('213 mm', '8 ft 2 1/2 in', '2.400 m')

    """
    unit = unit_named(units)
    size = abs(length)
    if length < 0 and rounding is not Rounding.NEAREST:
        rounding = Rounding.UP if rounding is Rounding.DOWN else Rounding.DOWN
    is_metric = unit in _METRIC
    steps = _rounded(size if is_metric else size / UNITS["in"] * 16, rounding)
    sign = MINUS if length < 0 and steps else ""
    if is_metric:
        digits = {"mm": 0, "cm": 1, "m": 3}[unit]
        return f"{sign}{Decimal(steps) / int(UNITS[unit]):.{digits}f} {unit}"
    return sign + _feet_and_inches(steps)


def _rounded(value: Fraction, rounding: Rounding) -> int:
    if rounding is Rounding.UP:
        return ceil(value)
    if rounding is Rounding.DOWN:
        return floor(value)
    return floor(value + Fraction(1, 2))


def _feet_and_inches(sixteenths: int) -> str:
    feet, rest = divmod(sixteenths, 12 * 16)
    inches, part = divmod(rest, 16)
    broken = f"{Fraction(part, 16)}" if part else ""
    words = f"{inches} {broken}".strip() if inches and broken else broken or str(inches)
    if not feet:
        return f"{words} in"
    return f"{feet} ft" if not rest else f"{feet} ft {words} in"
