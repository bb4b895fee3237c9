"""What answers mean: lengths, numbers, names, and one of a few words."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from cutplan.asking.interview import AnswerError
from cutplan.lengths import read_length
from cutplan.room.profile import Profile
from cutplan.scenario.toml_text import quoted

if TYPE_CHECKING:
    from collections.abc import Callable, Collection

    from cutplan.lengths import Length
    from cutplan.scenario.usual import Usual

_NUMBER: Final = re.compile(r"(0|[1-9][0-9]{0,7})(\.[0-9]{1,4})?")
_NAME_LENGTH: Final = 60
_MOST: Final = 200
_PAIR: Final = 2
_POINTS: Final = "write a height, or places along the wall with the height at each: 0=1150; 1400=2380; 3000=2380"

YES: Final = frozenset({"y", "yes"})
NO: Final = frozenset({"n", "no"})


def length_in(units: str, *, zero: bool = False) -> Callable[[str], Length]:
    """Return a reader of lengths whose bare numbers are ``units``; ``zero`` lets them be 0."""

    def parse(text: str) -> Length:
        length = read_length(text, units)
        if not length and not zero:
            raise AnswerError("a length here is more than 0")
        return length

    return parse


def doubts(usual: Usual, units: str) -> Callable[[Length | None], str | None]:
    """Return what asks back about a length that is unusual for its kind; None is no length."""
    return lambda length: None if length is None else usual.doubt(length, units)


def optional(parse: Callable[[str], Length]) -> Callable[[str], Length | None]:
    """Return a reader that takes no answer for None."""
    return lambda text: parse(text) if text else None


def one_of(words: Collection[str]) -> Callable[[str], str]:
    """Return a reader of one of some words, or of as many letters of it as tell it from the others."""

    def parse(text: str) -> str:
        if text in words:
            return text
        found = [word for word in words if word.startswith(text.lower())]
        if len(found) == 1:
            return found[0]
        raise AnswerError(f"{text!r} is none of {', '.join(words)}")

    return parse


def yes_or_no(text: str) -> bool:
    """Return True for yes, False for no."""
    if text.lower() in YES | NO:
        return text.lower() in YES
    raise AnswerError(f"{text!r} is neither yes nor no")


def count_from(least: int) -> Callable[[str], int]:
    """Return a reader of whole numbers, ``least`` or more."""

    def parse(text: str) -> int:
        if re.fullmatch(r"[0-9]{1,4}", text) and least <= int(text) <= _MOST:
            return int(text)
        raise AnswerError(f"{text!r} is no whole number from {least} to {_MOST}")

    return parse


def optional_year(text: str) -> int | None:
    """Return a year; None for no answer."""
    if not text:
        return None
    if re.fullmatch(r"[12][0-9]{3}", text):
        return int(text)
    raise AnswerError(f"{text!r} is no year of four digits")


def new_name(taken: Collection[str]) -> Callable[[str], str]:
    """Return a reader of names that nothing has yet."""

    def parse(text: str) -> str:
        if text in taken:
            raise AnswerError(f"{text!r} is named already; name them apart")
        if len(text) > _NAME_LENGTH or not text.isprintable():
            raise AnswerError(f"a name has at most {_NAME_LENGTH} letters, all of them printable")
        return text

    return parse


def number(text: str) -> Fraction:
    """Return a plain number with at most four decimal places, such as a price."""
    if _NUMBER.fullmatch(text):
        return Fraction(text)
    raise AnswerError(f"{text!r} is no plain number; write for example 84.00")


def optional_number(text: str) -> Fraction | None:
    """Return a number; None for no answer."""
    return number(text) if text else None


def profile_in(units: str) -> Callable[[str], Profile]:
    """Return a reader of the line along the top or the foot of a wall: a height, or points ``0=1150; 1400=2380``."""
    parse_length = length_in(units, zero=True)

    def parse(text: str) -> Profile:
        if "=" not in text:
            return Profile.at_height(parse_length(text))
        return Profile(tuple((parse_length(along), parse_length(height)) for along, height in points(text)))

    return parse


def points(text: str) -> list[tuple[str, str]]:
    """Return places along a wall and heights, as written, of ``0=1150; 1400=2380``."""
    pairs = [point.split("=") for point in text.rstrip("; ").split(";")]
    if not all(len(pair) == _PAIR for pair in pairs):
        raise AnswerError(f"cannot read {text!r}; {_POINTS}")
    return [(along.strip(), height.strip()) for along, height in pairs]


def written(text: str) -> str:
    """Return a length or a number as TOML takes it: a bare number, or a text as it was said.

    >>> written("2400"), written("8 ft 2 1/2 in")
    ('2400', '"8 ft 2 1/2 in"')

    """
    return text if _NUMBER.fullmatch(text) else quoted(text)
