"""Figures as the tables say them."""

from __future__ import annotations

from math import ceil, exp, log
from typing import TYPE_CHECKING

from tabulate import tabulate

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence


def span(numbers: Iterable[int]) -> str:
    """Return the least and the greatest of some numbers, once when they are the same."""
    ordered = sorted(numbers)
    return f"{ordered[0]}" if ordered[0] == ordered[-1] else f"{ordered[0]}–{ordered[-1]}"


def percentile(ordered: Sequence[float], percent: int) -> float:
    """Return the least of the ``ordered`` numbers that ``percent`` in a hundred of them do not exceed."""
    return ordered[max(0, ceil(len(ordered) * percent / 100) - 1)]


def geometric_mean(numbers: Sequence[float]) -> float:
    """Return the geometric mean, the fair one for ratios."""
    return exp(sum(map(log, numbers)) / len(numbers))


def duration(seconds: float) -> str:
    """Return seconds as people read them, to two or three figures."""
    if seconds < 1:
        return f"{1000 * seconds:.3g} ms" if seconds < 0.1 else f"{1000 * seconds:.0f} ms"  # noqa: PLR2004 - 100 ms
    return f"{seconds:.3g} s"


def markdown(rows: list[list[str]], heads: list[str], texts: int) -> str:
    """Return a table whose first ``texts`` columns are words, the others figures."""
    align: Callable[[int], str] = lambda column: "left" if column < texts else "right"  # noqa: E731
    columns = [align(column) for column in range(len(heads))]
    return tabulate(rows, heads, tablefmt="pipe", colalign=columns, disable_numparse=True)
