"""The page that text is laid out on: its width, titles, paragraphs and tables."""

from __future__ import annotations

import textwrap
import unicodedata
from itertools import zip_longest
from typing import TYPE_CHECKING, Final

from cutplan.render.words.names import NO_BREAK

if TYPE_CHECKING:
    from collections.abc import Iterable
    from collections.abc import Sequence as Rows

WIDTH: Final = 80
_LEAST_DROPS_WIDTH: Final = 20
GAP: Final = 2
"""Spaces between the columns of a table; its headings are padded by as many."""


def section(title: str, *parts: str) -> str:
    """Return parts of a page below their underlined title."""
    return "\n\n".join([f"{title}\n{'=' * len(title)}", *parts])


def wrapped_lines(lines: Iterable[str]) -> str:
    """Return lines, each wrapped to the page by itself."""
    return "\n".join(wrapped(line) for line in lines)


def wrapped(text: str, first: str = "", then: str = "") -> str:
    """Return a paragraph wrapped to the page, its first line and the others indented as given."""
    filled = textwrap.fill(
        text,
        WIDTH,
        initial_indent=first,
        subsequent_indent=then,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return filled.replace(NO_BREAK, " ")


def table(
    heads: tuple[str, ...], rows: Rows[tuple[str, ...]], wrapped: int | None = None, left: int | None = None
) -> str:
    """Return a table.

    ``wrapped`` is the column that takes what width the others leave, and is wrapped; ``left`` is how many columns are
    words and so aligned at the left, by default up to the wrapped one.
    """
    titles, lines = _split(heads), [line for row in rows for line in _split(row)]
    if wrapped is not None:
        others = sum(width for place, width in enumerate(_widths(titles, lines)) if place != wrapped)
        room = max(WIDTH - others - GAP * (len(heads) - 1), _LEAST_DROPS_WIDTH)
        lines = [line for row in rows for line in _split(row, wrapped, room)]
    widths = _widths(titles, lines)
    left = left or (1 if wrapped is None else wrapped + 1)
    page = [*titles, ["-" * width for width in widths], *lines]
    return "\n".join(_line(line, widths, left) for line in page).replace(NO_BREAK, " ")


def _split(row: Rows[str], wrapped: int | None = None, room: int = WIDTH) -> Rows[Rows[str]]:
    """Return a row as lines, one of its cells wrapped to the room there is, if any is to be."""
    cells = [textwrap.wrap(cell, room) if place == wrapped else cell.split("\n") for place, cell in enumerate(row)]
    return list(zip_longest(*cells, fillvalue=""))


def _widths(titles: Rows[Rows[str]], lines: Rows[Rows[str]]) -> list[int]:
    """Return how wide each column of a table is, its title padded."""
    padded = [[cell + " " * GAP for cell in title] for title in titles]
    return [max(_width(line[place]) for line in (*padded, *lines)) for place in range(len(titles[0]))]


def _line(cells: Rows[str], widths: Rows[int], left: int) -> str:
    """Return one line of a table, its first ``left`` cells at the left of their columns and the others at the right."""
    padding = [" " * (width - _width(cell)) for cell, width in zip(cells, widths, strict=True)]
    words = [cell + pad for cell, pad in zip(cells[:left], padding[:left], strict=True)]
    figures = [pad + cell for cell, pad in zip(cells[left:], padding[left:], strict=True)]
    return (" " * GAP).join([*words, *figures]).rstrip()


def _width(text: str) -> int:
    """Return how many columns of a screen a text takes: none for an accent set on a letter, two for a wide sign."""
    return sum(0 if unicodedata.combining(sign) else 1 + (unicodedata.east_asian_width(sign) in "WF") for sign in text)
