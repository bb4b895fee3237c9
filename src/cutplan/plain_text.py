r"""Text that may come from anywhere, made safe to show: what would steer a screen is shown as a code instead.

A name with a line break in it could print a verdict of its own, colours could hide one, and signs that turn the
direction of writing could swap two numbers.

>>> one_line("oak\nthe plan holds"), many_lines("oak\x1b[31m\nash\u202e")
('oak\\nthe plan holds', 'oak\\x1b[31m\nash\\u202e')

"""

from __future__ import annotations

import re
from typing import Final

_STEERING: Final = r"\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff"
"""All that steers (C0, DEL and C1; signs of direction; other line breaks; halves of a sign) but tab and line break."""

_IN_LINES: Final = re.compile(f"[{_STEERING}]")
_IN_ONE_LINE: Final = re.compile(f"[\t\n{_STEERING}]")


def many_lines(text: str) -> str:
    """Return a text of our own lines with every other sign that steers a screen shown as its code."""
    return _IN_LINES.sub(_code, text)


def one_line(text: str) -> str:
    """Return a text that must stay on one line, line breaks shown as codes too."""
    return _IN_ONE_LINE.sub(_code, text)


def steers(text: str) -> bool:
    """Return True when a text holds a sign that one line of plain text has no use for."""
    return _IN_ONE_LINE.search(text) is not None


def _code(sign: re.Match[str]) -> str:
    return sign.group().encode("unicode_escape").decode()
