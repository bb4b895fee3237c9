"""What answers mean: each kind of them is read by one function, whatever face asked."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection
from fractions import Fraction
from typing import Any, Final, Generic, NamedTuple, TypeVar

from msgspec import Struct

from cutplan.errors import PatternError, RefusedError
from cutplan.lengths import Length, decimal_points, read_length
from cutplan.paper.match_label import DIRECTIONS, PARTS, as_printed, read_match
from cutplan.paper.pattern import Pattern
from cutplan.paper.sale import Sale
from cutplan.parts.rails import line_of
from cutplan.room.profile import Profile
from cutplan.scenario.pace_table import clock_of
from cutplan.scenario.paper_table import MOST_GROWTH
from cutplan.scenario.sale_keys import sold_in_words
from cutplan.scenario.toml_text import decimal, quoted

T = TypeVar("T")

_NUMBER: Final = re.compile(r"(0|[1-9][0-9]{0,7})(\.[0-9]{1,4})?")
_CURRENCY: Final = re.compile(r"[$£€¥]|\b[A-Z]{3}\b")
_SEALED: Final = re.compile(r"([0-9]{1,4})\b[\s,]*(?:rolls?[\s,]*)?(all )?sealed")
_NAME_LENGTH: Final = 60
_MOST: Final = 200
_PAIR: Final = 2
_POINTS: Final = "write a height, or places along the wall with the height at each: 0=1150; 1400=2380; 3000=2380"
SPOKEN: Final = {
    "down": "lower",
    "up": "higher",
    "follow": "as they hang",
    "walls": "wall by wall",
    "once": "to save paper",
    "horizontal": "along the walls",
    "vertical": "up and down",
    "broken": "broken there",
    "round": "carried round",
    "run on": "cut out of one length",
    "least waste": "whichever wastes least",
}
"""What a scenario calls an answer, and what the trade says for it: either is taken."""
_SAYINGS: Final = {**{said: word for word, said in SPOKEN.items()}, "y": "yes", "n": "no"}


class AnswerError(RefusedError):
    """An answer that cannot be taken: the message says why, and what to write instead."""


class AnswerKind(Struct, Generic[T], frozen=True):
    """A kind of answer."""

    name: str
    """In plain words, for a form to choose its field by."""
    read: Callable[[str, str], T]
    """Returns what a text means, its bare numbers in the units given; raises AnswerError, LengthError or PatternError
    for one that means nothing."""
    words: tuple[str, ...] = ()
    """All that may be answered; empty where it is not one of a few words."""


def optional(kind: AnswerKind[T]) -> AnswerKind[T | None]:
    """Return a kind that takes no answer for None."""
    return AnswerKind(kind.name, lambda text, units: kind.read(text, units) if text else None, kind.words)


def choice(words: Collection[str]) -> AnswerKind[str]:
    """Return one of some words, or as many letters of it as tell it from the others."""

    def read(text: str, _units: str = "") -> str:
        if text in words:
            return text
        said = _SAYINGS.get(text.lower(), text.lower())
        found = [word for word in words if word == said] or [word for word in words if word.startswith(said)]
        if len(found) == 1:
            return found[0]
        raise AnswerError(f"{text!r} is none of {', '.join(words)}")

    return AnswerKind("choice", read, tuple(words))


def _length(text: str, units: str) -> Length:
    length = read_length(text, units)
    if not length:
        raise AnswerError("a length here is more than 0")
    return length


def _yes(text: str, _units: str) -> bool:
    if text.lower() not in ("y", "yes", "n", "no"):
        raise AnswerError(f"{text!r} is neither yes nor no")
    return text.lower() in ("y", "yes")


def count_from(least: int, most: int = _MOST) -> AnswerKind[int]:
    """Return whole numbers, from ``least`` to ``most``."""

    def read(text: str, _units: str = "") -> int:
        if re.fullmatch(r"[0-9]{1,4}", text) and least <= int(text) <= most:
            return int(text)
        raise AnswerError(f"{text!r} is no whole number from {least} to {most}")

    return AnswerKind("whole number", read)


def _rolls(text: str, _units: str) -> tuple[int, bool]:
    sealed = _SEALED.fullmatch(text.lower())
    return COUNT.read(text if sealed is None else sealed[1], ""), sealed is not None


def _year(text: str, _units: str) -> int:
    if re.fullmatch(r"[12][0-9]{3}", text):
        return int(text)
    raise AnswerError(f"{text!r} is no year of four digits")


def _name(text: str, _units: str) -> str:
    if len(text) > _NAME_LENGTH or not text.isprintable():
        raise AnswerError(f"a name has at most {_NAME_LENGTH} letters, all of them printable")
    return text


def new_name(taken: Collection[str]) -> AnswerKind[str]:
    """Return names that nothing has yet."""

    def read(text: str, units: str) -> str:
        if text in taken:
            raise AnswerError(f"{text!r} is named already; name them apart")
        return _name(text, units)

    return AnswerKind("name", read)


def _number(text: str, _units: str) -> Fraction:
    plain = decimal_points(text)
    if _NUMBER.fullmatch(plain):
        return Fraction(plain)
    raise AnswerError(f"{text!r} is no plain number; write for example 84.00")


def _price(text: str, units: str) -> Fraction:
    return _number(_CURRENCY.sub("", text).strip(), units)


class Offer(NamedTuple):
    """A price, what it is the price of, and how the paper is then sold; no price where only that is said."""

    price: Fraction | None
    per: str
    sale: Sale


def _offer(text: str, units: str) -> Offer:
    alone = sold_in_words(text)
    if alone is not None:
        return Offer(None, *alone)
    price, _, of = re.sub(r"\s+(?:per|an?)\s+|/", "|", text, count=1).partition("|")
    sold = sold_in_words(of or "roll")
    if sold is None:
        what = "84; 150 per packet of 2; 90 per double; 45 per single of a double; 12.50 per m"
        raise AnswerError(f"the price of what? write for example {what}")
    return Offer(_price(price, units), *sold)


def _clock(text: str, _units: str) -> Fraction:
    time = clock_of(text)
    if time is None:
        raise AnswerError(f"{text!r} is no time of day; write for example 08:00")
    return time


def per_cent(most: int) -> AnswerKind[Fraction]:
    """Return shares told as a number of per cent, from 0 to ``most``."""

    def read(text: str, units: str) -> Fraction:
        share = _number(text.removesuffix("%").strip(), units)
        if share > most:
            raise AnswerError(f"must be from 0 to {most} per cent, not {text}")
        return share / 100

    return AnswerKind("per cent", read)


def _match(text: str, units: str) -> Pattern | None:
    if text.lower() in SHEETS:
        return None
    label = as_printed(text)
    if label.split(" ")[0].rstrip("-") in PARTS:
        raise PatternError(f"{text!r} of which repeat? write it too, such as 64 cm/{label.split(' ')[0]}")
    try:
        return read_match(label, units, None).pattern
    except PatternError:
        return read_match(label, units, DIRECTIONS[0]).pattern  # One that needs its direction is asked for it next.


def _profile(text: str, units: str) -> Profile:
    if "=" not in text:
        return Profile.at_height(read_length(text, units))
    return Profile(tuple((read_length(along, units), read_length(height, units)) for along, height in points(text)))


def points(text: str) -> list[tuple[str, str]]:
    """Return places along a wall and heights, as written, of ``0=1150; 1400=2380``."""
    pairs = [point.split("=") for point in text.rstrip("; ").split(";")]
    if not all(len(pair) == _PAIR for pair in pairs):
        raise AnswerError(f"cannot read {text!r}; {_POINTS}")
    return [(along.strip(), height.strip()) for along, height in pairs]


SHEETS: Final = ("sheets", "numbered sheets", "mural")
"""What is answered of a match where the paper is a set of numbered sheets, and there is none."""
NAME: Final = AnswerKind("name", _name)
NAMES: Final = AnswerKind(
    "names", lambda text, units: tuple(_name(name.strip(), units) for name in text.rstrip("; ").split(";"))
)
"""One or more, in order: ``bed wall; window wall``."""
LENGTH: Final = AnswerKind("length", _length)
DISTANCE: Final = AnswerKind("distance", read_length)
"""A length that may be 0."""
YES_OR_NO: Final = AnswerKind("yes or no", _yes, ("yes", "no"))
COUNT: Final = count_from(0)
STANDING: Final = AnswerKind(
    "openings", lambda text, units: None if text.lower() in ("breast", "chimney breast") else COUNT.read(text, units)
)
"""How many openings a wall has; None for a chimney breast, which parts it."""
ROLLS: Final = AnswerKind("rolls", _rolls)
"""How many, and whether all were said to be sealed: ``6, all sealed``."""
YEAR: Final = AnswerKind("year", _year)
OFFER: Final = AnswerKind("price", _offer)
"""A price, of a roll where nothing else is said: ``84``, ``45 per single of a double``, ``12.50 per m``."""
PRICE: Final = AnswerKind("number", _price)
MINUTES: Final = AnswerKind("number", _number)
CLOCK: Final = AnswerKind("time of day", _clock)
GROWTH: Final = per_cent(MOST_GROWTH)
MATCH: Final = AnswerKind("match", _match)
LINE: Final = AnswerKind("line", line_of)
"""A line along the walls: a height, or ``900 mm above foot``, ``300 mm below top``."""
HEIGHT: Final = AnswerKind("line", lambda text, _units: text)
"""A height above the floor, or above or below something that is named, which only the room can tell."""
PROFILE: Final = AnswerKind("profile", _profile)
"""The line along the top or the foot of a wall: a height, or points ``0=1150; 1400=2380``."""


def toml_answer(kind: AnswerKind[Any], text: str, value: Any) -> str:  # noqa: ANN401, PLR0911 - one for each kind
    """Return an answer as TOML has it: lengths as they were said."""
    match kind.name:
        case "yes or no" | "year" | "whole number":
            return str(value).lower()
        case "number":
            return decimal(value) or quoted(text)
        case "price":
            return (decimal(value.price) if value.price is not None else None) or quoted(text)
        case "per cent":
            return decimal(100 * value) or text
        case "names":
            return f"[{', '.join(map(quoted, value))}]"
        case "match":
            return quoted(as_printed(text))
        case "profile" if "=" in text:
            return f"[{', '.join(f'[{as_toml(along)}, {as_toml(height)}]' for along, height in points(text))}]"
        case "length" | "distance" | "profile" | "line":
            return as_toml(text)
        case "time of day":
            return quoted(text)
        case _:
            return quoted(str(value))


def as_toml(text: str) -> str:
    """Return a length or a number as TOML takes it: a bare number, or a text as it was said.

    >>> as_toml("2400"), as_toml("8 ft 2 1/2 in")
    ('2400', '"8 ft 2 1/2 in"')

    """
    return text if _NUMBER.fullmatch(text) else quoted(text)
