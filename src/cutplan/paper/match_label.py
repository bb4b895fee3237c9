"""Match labels: what a roll's label prints of its match, read as a pattern."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from typing import Final

from msgspec import Struct

from cutplan.errors import LengthError, PatternError
from cutplan.lengths import EXAMPLES as LENGTH_EXAMPLES
from cutplan.lengths import (
    LONGEST,
    MOST_PLACES,
    UNITS,
    ZERO,
    Length,
    decimal_points,
    exact_mm,
    plain_text,
    read_length,
    show,
    unit_named,
)
from cutplan.paper.pattern import FREE, Pattern

FREE_WORDS: Final = frozenset({"free", "free match", "0", "random"})
_REVERSED: Final = re.compile(
    r"((free|random)( match)?[,;:]? *)?reversed?( (every (other|second)|alternate)( (length|strip|drop)s?)?)?"
)
"""What labels print where every second length is turned end for end: a free match."""
PARTS: Final = {"half": Fraction(1, 2), "third": Fraction(1, 3), "quarter": Fraction(1, 4)}
DIRECTIONS: Final = ("down", "up")
_EXAMPLES: Final = 'write it as the label prints it: "free", "64 cm", "64/0 cm", "64/32 cm" or "64 cm/third"'
_MIXED: Final = re.compile(r"(?<=\d)(?:\s+|-)(\d{1,2})/(\d{1,2})(?![\d.])")
_UNIT: Final = re.compile(r"[a-z\"'″”′’]+$")
_SAID: Final = re.compile(r"\b(half|third|quarter|straight|set|free|random)\b(?:[\s-]+(?:across|drop|match))*")
_WITHOUT_MEANING: Final = re.compile(r"\b(?:repeat|match)\b|(?<=\s)of\b")
_UNDONE: Final = Fraction(1)
_NOTED: Final = Fraction(10)
_ROUNDED_PARTS: Final = tuple(Fraction(part, whole) for whole in (3, 4, 5, 6, 8) for part in range(1, whole))


class MatchLabel(Struct, frozen=True):
    """A label's match as read: the pattern, and a note when the label had to be interpreted."""

    pattern: Pattern
    note: str | None


def read_match(label: object, units: str | None, direction: str | None) -> MatchLabel:
    """Return the pattern that a roll's label states.

    That is ``"free"``, ``"64 cm"`` or ``"64/0 cm"`` (straight), ``"64/32 cm"`` (repeat/offset). ``"32/64 cm"`` is read
    as 64/32, since an offset is less than its repeat, and the note says so. Each figure may carry its own unit; a last
    unit serves both; ``units`` are those of bare numbers. The offset may also be a part of the repeat:
    ``"64 cm/half"``, ``"64 cm/third"``, ``"64 cm/quarter"``. ``"reverse every other length"`` is a free match.

    The ``direction`` is ``"down"`` when the print of the strip to the right sits lower, ``"up"`` when higher; None when
    not said, which only free, straight and half-drop matches allow.

    Raises
    ------
    PatternError
        When the label cannot be read or the direction is needed and missing.

    """
    text = _label_text(label, units)
    shown = f"'{str(label).strip()}'"
    if text in FREE_WORDS or says_reverse(label):
        return MatchLabel(FREE, None)
    figures = [figure.strip() for figure in _MIXED.sub(" \\1⁄\\2", text).split("/")]
    if len(figures) > 2 or not all(figures):  # noqa: PLR2004 - a label has a repeat and an offset
        raise PatternError(f"cannot read {shown} as a match; {_EXAMPLES}")
    first, second = figures if len(figures) == 2 else (figures[0], "0")  # noqa: PLR2004
    unit = _UNIT.search(second) or _UNIT.search(first)
    shared = unit.group() if unit is not None and second not in PARTS else units
    try:
        repeat = _Figure(read_length(first, shared), _printed_step(first, shared))
        if second in PARTS:
            offset = _Figure(repeat.length * PARTS[second], ZERO)
        else:
            offset = _Figure(read_length(second, shared), _printed_step(second, shared))
    except LengthError as error:
        reason = str(error).removesuffix(f"; {LENGTH_EXAMPLES}")
        raise PatternError(f"cannot read {shown} as a match: {reason}; {_EXAMPLES}") from error
    return _with_direction(_in_order(shown, repeat, offset), direction)


def says_reverse(label: object) -> bool:
    """Return True for a label that says to turn every second length end for end.

    >>> says_reverse("Reverse every other length"), says_reverse("free, reverse alternate"), says_reverse("64 cm")
    (True, True, False)

    """
    return isinstance(label, str) and _REVERSED.fullmatch(plain_text(label)) is not None


def as_printed(said: str) -> str:
    """Return what the trade says of a match as labels print it; whatever is said otherwise stays as it is.

    >>> as_printed("half drop 64 cm"), as_printed("straight match, 64 cm"), as_printed("64/32")
    ('64 cm/half', '64 cm', '64/32')

    """
    plain = said.strip().lower()
    kinds = _SAID.findall(plain)
    figure = _WITHOUT_MEANING.sub("", _SAID.sub("", plain)).strip(" ,;/")
    if len(kinds) != 1 or "/" in _MIXED.sub("", figure) or bool(figure) == (kinds[0] in FREE_WORDS):
        return said
    return kinds[0] if not figure else f"{figure}/{kinds[0]}" if kinds[0] in PARTS else figure


class _Figure(Struct, frozen=True):
    """One figure of a label, and the step it is printed in: 10 mm for "64 cm", 1/8 in for "8 3/8 in"."""

    length: Length
    step: Length


def _label_text(label: object, units: str | None) -> str:
    if isinstance(label, str) and label.strip():
        try:
            return plain_text(decimal_points(label))
        except LengthError as error:
            raise PatternError(f"cannot read '{label.strip()}' as a match: {error}; {_EXAMPLES}") from error
    if isinstance(label, int | Decimal | Fraction) and not isinstance(label, bool):
        if label != label or not -LONGEST <= label <= LONGEST:  # noqa: PLR0124 - the sign of a NaN
            raise PatternError(f"so large a number cannot be a match; {_EXAMPLES}")
        if isinstance(label, Decimal) and int(label.as_tuple().exponent) < -MOST_PLACES:
            raise PatternError(f"a match has at most {MOST_PLACES} decimal places; {_EXAMPLES}")
        figure = f"{label:f}" if isinstance(label, Decimal) else str(label)
        return f"{figure} {units}" if units and label else figure if label else "0"
    raise PatternError(f"cannot read {label!r} as a match; {_EXAMPLES}")


def _printed_step(figure: str, shared: str | None) -> Length:
    unit = _UNIT.search(figure)
    name = unit.group() if unit is not None else shared
    broken = re.search(r"⁄(\d+)|\.(\d+)", figure)
    if name is None or broken is None:
        return UNITS[unit_named(name)] if name is not None else ZERO
    parts = int(broken[1]) if broken[1] else 10 ** len(broken[2])
    return UNITS[unit_named(name)] / parts


def _in_order(label: str, repeat: _Figure, offset: _Figure) -> MatchLabel:
    """Swap figures printed the wrong way round, and undo the label's rounding of a part of the repeat."""
    if repeat.length == 0 == offset.length:
        return MatchLabel(FREE, None)
    if offset.length == repeat.length:
        raise PatternError(
            f'{label}: the offset equals the repeat; for a straight match write the repeat alone, such as "64 cm"'
        )
    if repeat.length == 0:
        raise PatternError(f"{label}: the repeat is 0, so there is nothing to offset; {_EXAMPLES}")
    notes = []
    if offset.length > repeat.length:
        repeat, offset = offset, repeat
        figures = f"repeat {show(repeat.length)}, offset {show(offset.length)}"
        notes.append(f"{label} read as {figures}: an offset is less than its repeat")
    pattern, note = _unrounded(label, repeat.length, offset)
    notes += [note] if note else []
    return MatchLabel(pattern, "; ".join(notes) or None)


def _unrounded(label: str, repeat: Length, offset: _Figure) -> tuple[Pattern, str | None]:
    """Undo the rounding of an offset that is a simple part of the repeat, and say so.

    Up to half a millimetre of rounding is undone; more, up to half of the last printed place, is only noted.
    """
    as_printed = Pattern(repeat, offset.length)
    if offset.length in {ZERO, *(repeat * part for part in _ROUNDED_PARTS)}:
        return as_printed, None
    for part in _ROUNDED_PARTS:
        exact = repeat * part
        away = abs(offset.length - exact)
        if away <= min(offset.step, _UNDONE) / 2:
            note = f"{label} read as {part} of the repeat, {exact_mm(exact)} mm exactly: the label rounds it"
            return Pattern(repeat, exact), note
    for name, part in PARTS.items():
        if abs(offset.length - repeat * part) <= min(offset.step, _NOTED) / 2:
            return (
                as_printed,
                f'{label} read as printed; if it rounds a {name} of the repeat, write "…/{name}"',
            )
    return as_printed, None


def _with_direction(label: MatchLabel, direction: str | None) -> MatchLabel:
    pattern = label.pattern
    if direction is not None and direction not in DIRECTIONS:
        raise PatternError(f'offset_direction must be "down" or "up", not {direction!r}')
    if direction is None and pattern.needs_direction:
        raise PatternError(
            f"an offset of {show(pattern.offset)} in a repeat of {show(pattern.repeat)} "
            'needs offset_direction: "down" if the print of the strip to the right sits lower, '
            '"up" if it sits higher; look at the roll'
        )
    if direction == "up" and pattern.offset:
        return MatchLabel(Pattern(pattern.repeat, pattern.repeat - pattern.offset), label.note)
    return label
