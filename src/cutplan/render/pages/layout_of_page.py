"""The page that text is laid out on: its width, titles, paragraphs, lists and tables."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from collections.abc import Sequence as Rows
from shutil import get_terminal_size
from typing import Final

from cutplan.render.words.names import NO_BREAK

WIDTH: Final = 80
"""Signs on the longest line; fewer where the terminal is narrower (see :func:`page_width`)."""
_LEAST_WIDTH: Final = 40
_LEAST_CELL: Final = 8
_LONGEST_WORD: Final = 20
"""Signs of a word in a table that is never broken."""
_HEAD: Final = 10
GAP: Final = 2
"""Spaces between the columns of a table; its headings are padded by as many."""


def page_width() -> int:
    """Return how many signs a line may have: 80, or what a narrower terminal (or ``COLUMNS``) has, but 40 at least."""
    return min(max(get_terminal_size((WIDTH, 0)).columns, _LEAST_WIDTH), WIDTH)


def paragraphs(*parts: str | None) -> str:
    """Return a page of those of its parts that say anything."""
    return "\n\n".join(filter(None, parts)) + "\n"


def section(title: str, *parts: str) -> str:
    """Return those parts of a page that say anything below their underlined title; nothing where none does."""
    given, title = [part for part in parts if part], wrapped(title)
    return "\n\n".join([f"{title}\n{'=' * max(map(len, title.splitlines()))}", *given]) if given else ""


def questions(doubts: Iterable[str]) -> list[str]:
    """Return the paragraphs that a page opens with where figures are doubted."""
    return [wrapped(f"Is this so? {doubt}") for doubt in doubts]


def wrapped_lines(lines: Iterable[str]) -> str:
    """Return lines, each wrapped to the page by itself."""
    return "\n".join(wrapped(line) for line in lines)


def wrapped(text: str, first: str = "", then: str = "") -> str:
    """Return a paragraph wrapped to the page, its first line and the others indented as given."""
    filled = textwrap.fill(
        text,
        page_width(),
        initial_indent=first,
        subsequent_indent=then,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return filled.replace(NO_BREAK, " ")


def table(
    heads: tuple[str, ...], rows: Rows[tuple[str, ...]], wrapped: int | None = None, left: int | None = None
) -> str:
    """Return a table no wider than the page; its rows one by one where its figures leave too little for words.

    ``wrapped`` is the column that takes what width the others leave, and is wrapped, by default the widest one of
    words; ``left`` is how many columns are words and so aligned at the left, by default up to the wrapped one. Where
    that is not enough, the other columns of words are wrapped too, the widest first, between words; then ranges are
    broken at «to», and other figures before what stands in brackets.
    """
    from tabulate import tabulate  # noqa: PLC0415 - late: a plan in JSON needs no table

    left = left or (1 if wrapped is None else wrapped + 1)
    as_told, taken = (heads, rows), _taken(heads, rows)
    if sum(taken) + GAP * (len(heads) - 1) > page_width():
        heads = tuple(head if "\n" in head else textwrap.fill(head, _HEAD, break_long_words=False) for head in heads)
        taken = _taken(heads, rows)
    if wrapped is None:
        wrapped = max(range(left), key=lambda place: taken[place])
    widths: list[int | None] = [None] * len(heads)
    words = _taken(heads, [[cell.replace(" ", "\n") for cell in row] for row in rows])
    over = sum(taken) + GAP * (len(heads) - 1) - page_width()
    for place in sorted(range(left), key=lambda place: (place != wrapped, -taken[place])):
        if over <= 0:
            break
        least = max(_LEAST_CELL, min(words[place], _LONGEST_WORD))
        narrower = max(taken[place] - over, min(taken[place], least))
        widths[place], over = narrower, over - taken[place] + narrower
    if over > 0:
        rows = [
            (*row[:left], *(figure.replace(" to ", " to\n").replace(" (", "\n(") for figure in row[left:]))
            for row in rows
        ]
        kept = [narrow or width for narrow, width in zip(widths, _taken(heads, rows), strict=True)]
        if sum(kept) + GAP * (len(heads) - 1) > page_width():
            return _row_by_row(*as_told)
    page = tabulate(
        rows,
        headers=heads,
        tablefmt="simple",
        disable_numparse=True,
        maxcolwidths=widths,
        colalign=["left"] * left + ["right"] * (len(heads) - left),
    )
    return page.replace(NO_BREAK, " ")


def _row_by_row(heads: Rows[str], rows: Rows[tuple[str, ...]]) -> str:
    """Return the rows of a table as a list: each figure behind its heading."""
    named = (zip(heads, row, strict=True) for row in rows)
    told = ([cell if cell.startswith(head) else f"{head} {cell}" for head, cell in row if cell] for row in named)
    return bullets(f"{first}: {'; '.join(rest)}".replace("\n", " ") for first, *rest in told)


def _taken(heads: Rows[str], rows: Rows[Rows[str]]) -> list[int]:
    """Return how wide each column of a table is on a terminal, its heading padded."""
    from wcwidth import wcswidth  # noqa: PLC0415 - late, as its table is

    padded = [tuple(line + " " * GAP for line in head.split("\n")) for head in heads]
    columns = [[*lines, *column] for lines, *column in zip(padded, *rows, strict=True)]
    return [max(wcswidth(line) for cell in column for line in cell.split("\n")) for column in columns]


def bullets(lines: Iterable[str]) -> str:
    """Return lines as a list, each wrapped by itself."""
    return "\n".join(wrapped(line, "  - ", "    ") for line in lines)


def notes_listed(notes: Iterable[str]) -> str:
    """Return the list of what the reader should know about how the scenario was read; empty without any."""
    listed = bullets(notes)
    return f"Notes\n{listed}" if listed else ""
