"""Lettering: how much room a text takes in a picture, and what is done with one that is too long or too strange.

Nobody knows which font a phone or a printer will use, so widths are reckoned a little wider than those of Arial, Roboto
and Liberation Sans.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache
from typing import Final

from msgspec import Struct

from cutplan.render.words.names import Script

LINE: Final = 1.25
"""Height of a line of text, for one unit of size, from the top of its tallest letter to below its lowest."""
_ABOVE_BASELINE: Final = 0.97
_BOLD: Final = 1.1
_REPLACEMENT: Final = "\N{REPLACEMENT CHARACTER}"
_RTL: Final = frozenset({"R", "AL", "AN", "RLE", "RLO", "RLI", "LRE", "LRO", "LRI", "FSI", "PDF", "PDI"})
_FIRST_STRONG: Final = "\N{FIRST STRONG ISOLATE}"
_POP: Final = "\N{POP DIRECTIONAL ISOLATE}"
_WIDTHS: Final = {
    **dict.fromkeys("iljI.,;:'|!′", 0.33),
    **dict.fromkeys("frt()[]/-″ ", 0.4),
    **dict.fromkeys("mwMWÆŒ%@—", 0.95),
    **dict.fromkeys("abcdeghknopqsuvxyz0123456789", 0.59),
}
_CAPITAL: Final = 0.76
_OTHER: Final = 0.85
_WIDE: Final = 1.4


class Box(Struct, frozen=True):
    """A rectangle of a picture, in its units: to the right and down."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """From its left to its right edge."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From its upper to its lower edge."""
        return self.bottom - self.top

    def meets(self, other: Box) -> bool:
        """Return True when the two have more than an edge in common."""
        return (
            self.left < other.right and other.left < self.right and self.top < other.bottom and other.top < self.bottom
        )

    def lies_in(self, other: Box) -> bool:
        """Return True when no part of it is outside ``other``."""
        return (
            self.left >= other.left
            and self.right <= other.right
            and self.top >= other.top
            and self.bottom <= other.bottom
        )

    def grown(self, by: float) -> Box:
        """Return it with a margin all round."""
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)


class Lettering(Struct, frozen=True):
    """A text at its size, about a middle; ``is_upright`` when it reads from the bottom to the top."""

    text: str
    size: float
    x: float
    y: float
    is_bold: bool = False
    is_upright: bool = False

    @property
    def box(self) -> Box:
        """The room that it takes."""
        along, across = width_of(self.text, self.size, is_bold=self.is_bold) / 2, self.size * LINE / 2
        if self.is_upright:
            along, across = across, along
        return Box(self.x - along, self.y - across, self.x + along, self.y + across)

    @property
    def baseline(self) -> float:
        """How far below its middle, across its lines, the letters stand."""
        return self.size * (_ABOVE_BASELINE - LINE / 2)


def width_of(text: str, size: float, *, is_bold: bool = False) -> float:
    """Return how wide a text is at most, in the units of ``size``."""
    return _ems(text) * size * (_BOLD if is_bold else 1)


@lru_cache(4096)
def _ems(text: str) -> float:
    """Return how wide a text is at most at a size of 1: asked again for each place that it may stand at."""
    return sum(map(_width, text))


def _width(sign: str) -> float:
    known = _WIDTHS.get(sign)
    if known is not None:
        return known
    if unicodedata.combining(sign) or unicodedata.category(sign) == "Cf":
        return 0
    if unicodedata.east_asian_width(sign) in "WF" or ord(sign) > 0xFFFF:  # noqa: PLR2004 - emoji and their like
        return _WIDE
    return _CAPITAL if sign.isupper() else _OTHER


def fitted(text: str, width: float, size: float, *, is_bold: bool = False) -> str:
    """Return a text, shortened to ``width`` with an ellipsis; empty when not even one sign of it has room."""
    if width_of(text, size, is_bold=is_bold) <= width:
        return text
    kept = text
    while kept:
        kept = _without_last_sign(kept)
        shown = f"{kept.rstrip()}…"
        if kept and width_of(shown, size, is_bold=is_bold) <= width:
            return shown
    return ""


def _without_last_sign(text: str) -> str:
    """Return a text less its last sign, with whatever is joined to it; isolates opened in it are closed again."""
    last = len(text) - 1
    while last > 0 and (unicodedata.combining(text[last]) or unicodedata.category(text[last]) in {"Cf", "Sk"}):
        last -= 1
    return text[:last]


def on_one_line(text: str) -> str:
    r"""Return a text on one line with no sign that SVG or HTML forbids; its other signs as they are.

    >>> on_one_line("a\nb\x00")
    'a b�'

    """
    return "".join(_plain_sign(sign) for sign in text)


def _plain_sign(sign: str) -> str:
    if sign.isspace():
        return " " if sign != "\N{NO-BREAK SPACE}" else sign
    code = ord(sign)
    is_forbidden = unicodedata.category(sign) in {"Cc", "Cs"} or code & 0xFFFE == 0xFFFE or 0xFDD0 <= code <= 0xFDEF  # noqa: PLR2004 - the code points that are no characters
    return _REPLACEMENT if is_forbidden else sign


def isolated(text: str) -> str:
    """Return a text that keeps its own direction to itself, so that figures beside it stay in their order.

    Text that reads from left to right throughout comes back as it is.
    """
    if not any(unicodedata.bidirectional(sign) in _RTL for sign in text):
        return text
    balanced = "".join(sign for sign in text if unicodedata.bidirectional(sign) not in {"PDI", "LRI", "RLI", "FSI"})
    return f"{_FIRST_STRONG}{balanced}{_POP}"


def isolated_piece(piece: str) -> str:
    """Return what is written on a piece, its label isolated: of ``1 (2 of 3)`` the part before `` (``.

    >>> isolated_piece("1 (2 of 3)")
    '1 (2 of 3)'

    """
    label, bracket, which = piece.partition(" (")
    return f"{isolated(label)}{bracket}{which}"


ISOLATED: Final = Script(isolated, isolated_piece, ("“", "”"))
"""How names are set on a page or a picture that is read beside other scripts."""
