"""The page that text is laid out on: its width, titles, paragraphs and tables."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable
    from collections.abc import Sequence as Rows

WIDTH: Final = 80
_LEAST_DROPS_WIDTH: Final = 20
GAP: Final = 2
"""Spaces between the columns of a table; its headings are padded by as many."""
NO_BREAK: Final = "\N{NO-BREAK SPACE}"
"""Keeps words on one line while a paragraph is wrapped; printed as a plain space."""


def listed_with_and(names: Rows[str]) -> str:
    """Return names as a sentence lists them: ``A, B and C``."""
    return " and ".join([", ".join(names[:-1]), names[-1]]) if len(names) > 1 else names[0]


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
    from tabulate import tabulate  # noqa: PLC0415 - imported late: a plan in JSON needs no table

    widths: list[int | None] = [None] * len(heads)
    if wrapped is not None:
        lines = (tuple(head + " " * GAP for head in heads), *rows)
        taken = [max(len(line[place]) for line in lines) + GAP for place in range(len(heads))]
        widths[wrapped] = max(WIDTH - sum(taken) + taken[wrapped], _LEAST_DROPS_WIDTH)
    left = left or (1 if wrapped is None else wrapped + 1)
    table = tabulate(
        rows,
        headers=heads,
        tablefmt="simple",
        disable_numparse=True,
        maxcolwidths=widths,
        colalign=["left"] * left + ["right"] * (len(heads) - left),
    )
    return table.replace(NO_BREAK, " ")
