"""The judge's own reading of a label's match: the repeat, and how much lower the next strip right sits."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Final

from msgspec import Struct

from cutplan.check.stated.exact_lengths import exact_number, plain_fractions, read_length, unit_in_mm

PARTS: Final = {"half": Fraction(1, 2), "third": Fraction(1, 3), "quarter": Fraction(1, 4)}
_REVERSE: Final = re.compile(
    r"((free|random)( match)?[,;:]? *)?reversed?( (every (other|second)|alternate)( (length|strip|drop)s?)?)?"
)
_DENOMINATORS: Final = (3, 4, 5, 6, 8)
_NOTHING_TO_MATCH: Final = ("free", "free match", "random", "0")
_HALF_MILLIMETRE: Final = Fraction(1, 2)
_MIXED: Final = re.compile(r"(\d)[\s-]+(\d{1,2})/(\d{1,2})(?![\d.])")
_LAST_UNIT: Final = re.compile(r"[a-z\"'″”′’]+$")
_LAST_PLACE: Final = re.compile(r"⁄(?P<below>\d+)|\.(?P<decimals>\d+)")


class Match(Struct, frozen=True):
    """A match as the label states it: the period of the print along the roll, 0 when there is nothing to match.

    ``offset`` is how much **lower** the print of the strip to the right sits, in [0, repeat); 0 is a straight match.
    """

    repeat: Fraction
    offset: Fraction


def within_repeat(place: Fraction, repeat: Fraction) -> Fraction:
    """Return how far a place lies within its repeat; 0 where there is nothing to match."""
    return place % repeat if repeat else Fraction(0)


def read_match(label: object, units: str | None, direction: object) -> Match:
    """Return what a label such as ``"64/32 cm"``, ``"free"`` or ``"64 cm/third"`` states.

    ``direction`` is ``"down"`` or ``"up"``, the way the strip to the right is shifted, or None. A label that
    prints the offset first is read the other way round, and a third, quarter, fifth, sixth or eighth that the
    label had to round (64/21.3 cm) as that part exactly. What cannot be read, or lacks a direction, is a ValueError.
    """
    text = plain_fractions(label) if isinstance(label, str) else _bare_label(label)
    if text in _NOTHING_TO_MATCH or _REVERSE.fullmatch(text):
        return Match(Fraction(0), Fraction(0))
    figures = [figure.strip() for figure in _MIXED.sub(r"\1 \2⁄\3", text).split("/")]
    if len(figures) > 2 or not all(figures):  # noqa: PLR2004 - a label has a repeat and an offset
        raise ValueError(f"cannot read {label!r} as a match")
    repeat_text, offset_text = (*figures, "0")[:2]
    unit = _unit_of(repeat_text) if offset_text in PARTS else _unit_of(offset_text) or _unit_of(repeat_text)
    unit = unit or units
    repeat = read_length(repeat_text, unit)
    if offset_text in PARTS:
        return _turned(Match(repeat, repeat * PARTS[offset_text]), direction)
    offset = read_length(offset_text, unit)
    if offset == repeat != 0:
        raise ValueError(f"{label!r}: the offset equals the repeat")
    if offset > repeat == 0:
        raise ValueError(f"{label!r}: an offset needs a repeat")
    if offset > repeat:
        repeat, offset, offset_text = offset, repeat, repeat_text
    return _turned(Match(repeat, _unrounded(repeat, offset, _printed_place(offset_text, unit))), direction)


def says_reverse(paper: Mapping[str, object]) -> bool:
    """Return True when the paper says that every second length hangs turned end for end: by a key, or in its match."""
    label = paper.get("match")
    is_printed = isinstance(label, str) and _REVERSE.fullmatch(plain_fractions(label)) is not None
    return is_printed or paper.get("reverse") is True


def _bare_label(label: object) -> str:
    if not isinstance(label, float | Decimal | int) or exact_number(label) is None:
        raise ValueError(f"cannot read {label!r} as a match")
    return str(label or 0)


def _unit_of(figure: str) -> str | None:
    unit = _LAST_UNIT.search(figure)
    return unit.group() if unit else None


def _unrounded(repeat: Fraction, offset: Fraction, place: Fraction) -> Fraction:
    """Return the part of the repeat that a printed offset rounds; the offset itself where it rounds none.

    ``place`` is the last place printed, half of it the rounding; no more than half a millimetre is undone.
    """
    parts = [repeat * part / whole for whole in _DENOMINATORS for part in range(1, whole)]
    if offset in (0, *parts):
        return offset
    tolerance = min(place / 2, _HALF_MILLIMETRE)
    return next((part for part in parts if abs(part - offset) <= tolerance), offset)


def _printed_place(figure: str, unit: str | None) -> Fraction:
    """Return the last place printed: 1 cm of ``21 cm``, 1 mm of ``21.3 cm``, 1/8 in of ``8 3/8 in``."""
    size = unit_in_mm(_unit_of(figure) or unit or "mm")
    printed = _LAST_PLACE.search(figure)
    if printed is None:
        return size
    return size / (int(printed["below"]) if printed["below"] else 10 ** len(printed["decimals"]))


def _turned(match: Match, direction: object) -> Match:
    """Store «higher by d» as «lower by repeat − d»; half a repeat is the same either way."""
    if direction not in (None, "down", "up"):
        raise ValueError(f'offset_direction must be "down" or "up", not {direction!r}')
    if direction is None and match.offset not in (0, match.repeat / 2):
        raise ValueError("this offset needs an offset_direction")
    if direction == "up" and match.offset:
        return Match(match.repeat, match.repeat - match.offset)
    return match
