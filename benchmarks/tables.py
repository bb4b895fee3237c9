"""Tables of the results, in Markdown."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, exp, log
from statistics import median
from typing import TYPE_CHECKING

from tabulate import tabulate

from measure import CUTPLAN

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from commands import Run
    from instances import Instance
    from measure import Outcome


@dataclass(frozen=True, slots=True)
class Result:
    """What each method made of one instance, by method name."""

    instance: Instance
    outcomes: dict[str, Outcome]


def room_table(results: Sequence[Result], rival: str) -> str:
    """Return a row for each match and stock, and one for all rooms: cutplan beside ``rival``, and the ratio."""
    heads = [
        "match", "rolls", "rooms", "columns and pieces", "cutplan proved", "median", "p99", "worst",
        f"{rival} proved", "median", "p99", "worst", f"{rival} ÷ cutplan: mean", "median", "least",
    ]  # fmt: skip
    rows = [_room_row(group, members, rival) for group, members in grouped(results).items()]
    rows.append(_room_row(("**all**", ""), list(results), rival))
    return markdown(rows, heads, texts=2)


def _room_row(group: tuple[str, ...], results: list[Result], rival: str) -> list[str]:
    pieces = sorted(result.instance.job.drop_count for result in results)
    row = [*group, f"{len(results)}", f"{pieces[0]}–{pieces[-1]}"]
    for method in (CUTPLAN, rival):
        seconds = sorted(result.outcomes[method].seconds for result in results)
        proved = sum(result.outcomes[method].is_proved for result in results)
        times = (median(seconds), percentile(seconds, 99), seconds[-1])
        row += [f"{proved}/{len(results)}", *map(duration, times)]
    ratios = sorted(result.outcomes[rival].seconds / result.outcomes[CUTPLAN].seconds for result in results)
    row += [f"{ratio:.1f}" for ratio in (geometric_mean(ratios), median(ratios), ratios[0])]
    return row


def comparison_table(results: Sequence[Result]) -> str:
    """Return a row for each group and method: how many were proved, how far off the others are, and how long."""
    heads = [
        "set", "jobs", "pieces", "kinds", "method", "proved", "rolls above its bound, in all", "median", "worst",
    ]  # fmt: skip
    rows = []
    for group, members in grouped(results).items():
        jobs = [result.instance.job for result in members]
        size = [span(job.drop_count for job in jobs), span(kind_count(member.instance) for member in members)]
        for method in members[0].outcomes:
            outcomes = [result.outcomes[method] for result in members]
            seconds = [outcome.seconds for outcome in outcomes]
            proved = f"{sum(outcome.is_proved for outcome in outcomes)}/{len(outcomes)}"
            times = [duration(median(seconds)), duration(max(seconds))]
            rows.append([" ".join(group), f"{len(members)}", *size, method, proved, _gap(outcomes), *times])
    return markdown(rows, heads, texts=1)


def _gap(outcomes: list[Outcome]) -> str:
    """Return the sum of the gaps, and how many gave no plan or no bound."""
    figures = [outcome.certain for outcome in outcomes]
    gaps = [f.value - f.bound for f in figures if f.value is not None and f.bound is not None]
    without = len(figures) - len(gaps)
    known = f"{sum(gaps)}" if gaps else "–"
    return known + (f" ({without} without plan)" if without else "")


def command_table(runs: Iterable[Run]) -> str:
    """Return a row for each command: whole process, from start to exit."""
    rows = [
        [f"`{run.command}`", duration(median(run.seconds)), duration(max(run.seconds)), f"{run.megabytes:.0f} MB"]
        for run in runs
    ]
    return markdown(rows, ["command", "median", "worst", "most memory"], texts=1)


def grouped(results: Iterable[Result]) -> dict[tuple[str, ...], list[Result]]:
    """Return the results by group, in order of first appearance."""
    groups: dict[tuple[str, ...], list[Result]] = {}
    for result in results:
        groups.setdefault(result.instance.group, []).append(result)
    return groups


def kind_count(instance: Instance) -> int:
    """Return how many different pieces a job wants: by cut length and place in the print."""
    pattern = instance.job.paper.pattern
    return len({(d.cut_length, pattern.within_repeat(d.motif_below_cut)) for d in instance.job.drops})


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
