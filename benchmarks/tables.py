"""Tables of the results, in Markdown."""

from __future__ import annotations

from statistics import median
from typing import TYPE_CHECKING, Final

from figures import duration, geometric_mean, markdown, percentile, span
from measure import CUTPLAN
from nested import ALONE, COUNTED

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from commands import Run
    from instances import Instance
    from measure import Outcome
    from race import Result

NOT_ASKED: Final = "—"


def room_tables(results: Sequence[Result], rivals: Sequence[str]) -> str:
    """Return a row for each match and stock: cutplan's times, and the rivals' by them; then a row for each method."""
    groups = {**grouped(results), ("**all**", ""): list(results)}
    heads = ["match", "rolls", "rooms", "pieces", "proved", "median", "p99", "worst"]
    heads += [f"{rival} ÷ cutplan" for rival in rivals]
    rows = []
    for group, members in groups.items():
        size = [f"{len(members)}", span(member.instance.job.drop_count for member in members)]
        ratios = [_mean_and_least(members, rival) for rival in rivals]
        rows.append([*group, *size, *_times(_outcomes(members, CUTPLAN)), *ratios])
    tables = [markdown(rows, heads, texts=2)]
    if rivals:
        heads = ["method", "proved", "median", "p99", "worst", "÷ cutplan: mean", "median", "least"]
        rows = [[name, *_times(_outcomes(results, name)), *_ratios(results, name)] for name in (CUTPLAN, *rivals)]
        tables.append(markdown(rows, heads, texts=1))
    return "\n\n".join(tables)


def nested_table(results: Sequence[Result], rivals: Sequence[str]) -> str:
    """Return a row for each match and stock, of rooms each planned with its offcuts counted on and left alone."""
    heads = [
        "match", "rolls", "rooms", "pieces", "cut-outs", "offcuts cut from", "rolls saved",
        f"{COUNTED}: proved", "median", "p99", "worst", f"{ALONE}: proved", "median", "p99", "worst",
        *(f"{rival} ÷ cutplan, {ALONE}" for rival in rivals),
    ]  # fmt: skip
    groups: dict[tuple[str, ...], list[Result]] = {}
    for (match, stock, _), members in grouped(results).items():
        groups.setdefault((match, stock), []).extend(members)
    groups["**all**", ""] = list(results)
    rows = []
    for group, members in groups.items():
        counted = [result for result in members if result.instance.group[-1] == COUNTED]
        alone = [result for result in members if result.instance.group[-1] == ALONE]
        jobs = [result.instance.job for result in counted]
        rows.append(
            [
                *group,
                f"{len(counted)}",
                span(job.drop_count for job in jobs),
                span(sum(len(drop.cut_outs) for drop in job.drops) for job in jobs),
                f"{sum(outcome.from_offcuts for outcome in _outcomes(counted, CUTPLAN))}",
                f"{_saved(counted, alone)}",
                *_times(_outcomes(counted, CUTPLAN)),
                *_times(_outcomes(alone, CUTPLAN)),
                *(_mean_and_least(alone, rival) for rival in rivals),
            ]
        )
    return markdown(rows, heads, texts=2)


def _saved(counted: Sequence[Result], alone: Sequence[Result]) -> int:
    """Return how many rolls fewer all rooms together take when their offcuts are counted on."""
    pairs = zip(_outcomes(counted, CUTPLAN), _outcomes(alone, CUTPLAN), strict=True)
    values = [(one.certain.value, other.certain.value) for one, other in pairs]
    return sum(int(other - one) for one, other in values if one is not None and other is not None)


def comparison_table(results: Sequence[Result], methods: Sequence[str]) -> str:
    """Return a row for each group and method: how many were proved, how far off the others are, and how long."""
    heads = [
        "set", "jobs", "pieces", "kinds", "method", "proved", "rolls above its bound, in all", "median", "worst",
        "÷ cutplan: mean",
    ]  # fmt: skip
    rows = []
    for group, members in grouped(results).items():
        jobs = [result.instance.job for result in members]
        size = [span(job.drop_count for job in jobs), span(kind_count(member.instance) for member in members)]
        for method in methods:
            outcomes = _outcomes(members, method)
            proved, middle, _, worst = _times(outcomes)
            mean = _ratios(members, method)[0]
            rows.append(
                [" ".join(group), f"{len(members)}", *size, method, proved, _gap(outcomes), middle, worst, mean]
            )
    return markdown(rows, heads, texts=1)


def _outcomes(results: Iterable[Result], method: str) -> list[Outcome]:
    return [result.outcomes[method] for result in results if method in result.outcomes]


def _times(outcomes: Sequence[Outcome]) -> list[str]:
    """Return how many of those asked were proved, and the median, the 99th percentile and the worst of the times."""
    if not outcomes:
        return [NOT_ASKED] * 4
    seconds = sorted(outcome.seconds for outcome in outcomes)
    proved = sum(outcome.is_proved for outcome in outcomes)
    times = (median(seconds), percentile(seconds, 99), seconds[-1])
    return [f"{proved}/{len(outcomes)}", *map(duration, times)]


def _ratios(results: Iterable[Result], rival: str) -> list[str]:
    """Return the geometric mean, the median and the least of a rival's times by cutplan's."""
    ratios = [ratio for result in results if (ratio := result.ratio(rival)) is not None]
    if rival == CUTPLAN or not ratios:
        return [NOT_ASKED] * 3
    return [_times_over(ratio) for ratio in (geometric_mean(ratios), median(ratios), min(ratios))]


def _mean_and_least(results: Iterable[Result], rival: str) -> str:
    mean, _, least = _ratios(results, rival)
    return mean if mean == NOT_ASKED else f"{mean} ({least})"


def _times_over(ratio: float) -> str:
    return f"{ratio:.2f}" if ratio < 1 else f"{ratio:.1f}"


def _gap(outcomes: Sequence[Outcome]) -> str:
    """Return the sum of the gaps, and how many gave no plan or no bound."""
    figures = [outcome.certain for outcome in outcomes]
    gaps = [f.value - f.bound for f in figures if f.value is not None and f.bound is not None]
    without = len(figures) - len(gaps)
    known = f"{sum(gaps)}" if gaps else NOT_ASKED
    return known + (f" ({without} without plan)" if without else "")


def command_table(runs: Iterable[Run]) -> str:
    """Return a row for each command: whole process, from start to exit."""
    rows = [
        [
            run.command,
            f"{run.jobs}",
            duration(median(run.seconds)),
            duration(max(run.seconds)),
            f"{run.megabytes:.0f} MB",
        ]
        for run in runs
    ]
    return markdown(rows, ["command", "jobs", "median", "worst", "most memory"], texts=1)


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
