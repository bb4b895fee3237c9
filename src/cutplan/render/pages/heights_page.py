"""The vertical question in words: what each height of the first motif cuts, and what it costs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby

from cutplan.comparing.comparison import Comparison
from cutplan.comparing.heights import HeightRange, Heights, MotifCut
from cutplan.lengths import Length, show
from cutplan.render.pages.layout_of_page import section, table, wrapped_lines
from cutplan.render.words.answer_words import money
from cutplan.render.words.readings import FEET, between
from cutplan.render.words.start_lines import height_told
from cutplan.setting_out import Edge
from cutplan.wording import signed

_ALL = "all"


def heights_section(comparison: Comparison, heights: Heights, units: str) -> str:
    """Return the section on how high the print hangs."""
    paper = comparison.setting_out.paper
    measures = _table(heights, units) if paper.motif_above + paper.motif_below else ""
    return section("How high the print hangs", wrapped_lines(_sentences(comparison, heights, units)), measures)


def _sentences(comparison: Comparison, heights: Heights, units: str) -> Iterator[str]:
    motif_at = comparison.setting_out.start.motif_at
    told = "" if motif_at is None else f"On the first strip a motif hangs {height_told(motif_at, units)}, as asked. "
    yield (
        f"{told}motif_drop is {show(heights.now, units)} now: on the first strip a motif stands "
        f"{show(comparison.setting_out.level_line - heights.now, units)} above the floor line. Reckoned where hanging "
        f"starts, for level edges: the ceiling at {show(heights.ceiling, units)}, the foot at "
        f"{show(heights.foot, units)}."
    )
    paper = comparison.setting_out.paper
    if paper.motif_above + paper.motif_below:
        yield _cut_now(heights, units)
        yield _whole_at_top(heights, units)
        if heights.whole:
            yield f"Nothing is cut in any column {_listed_runs(heights.whole, units)}."
        else:
            yield "No height leaves every motif whole at ceiling and foot."
    else:
        yield "Give motif_above and motif_below under [paper] to learn what ceiling and foot cut."
    yield from _balance(heights, units)
    yield from _cost(comparison, units)


def _cut_now(heights: Heights, units: str) -> str:
    cuts = [
        f"the {'ceiling' if cut.edge is Edge.TOP else 'foot'} cuts {show(cut.cut_off, units)} off a motif in columns "
        f"{class_named(number, heights.classes)}"
        for number, cut_off in enumerate(heights.cut_now)
        for cut in cut_off
    ]
    return f"Now {', and '.join(cuts)}." if cuts else "Now no motif is cut."


def _whole_at_top(heights: Heights, units: str) -> str:
    if not heights.whole_at_top:
        return "No height keeps the motif whole at the top of the focal length."
    runs = _listed_runs(heights.whole_at_top, units)
    return f"The motif is whole at the top of the focal length {runs}."


def _listed_runs(runs: Iterable[tuple[Length, Length]], units: str) -> str:
    return " and ".join(
        f"at {show(low, units)}" if low == high else f"from {show(low, units)} to {show(high, units)}"
        for low, high in runs
    )


def _balance(heights: Heights, units: str) -> Iterator[str]:
    """Yield whether top and bottom can be balanced, and at which heights."""
    if not heights.balanced:
        yield (
            f"No height balances top and bottom in every column: in {heights.classes} classes the print hangs at "
            "as many heights, and one height can serve two of them at most."
        )
        return
    one, other = (show(drop, units) for drop in heights.balanced)
    yield f"Top and bottom balance in every column at {one} and at {other}: the same stands off, or is cut, at both."
    whole = [
        show(drop, units) for drop in heights.balanced if any(low <= drop <= high for low, high in heights.whole_at_top)
    ]
    kept = " and ".join(whole) if whole else "Neither"
    yield f"{kept} {'keep' if len(whole) > 1 else 'keeps'} the motif whole at the top of the focal length."


def _cost(comparison: Comparison, units: str) -> Iterator[str]:
    """Yield what paper the height costs."""
    if not comparison.by_height:
        yield "Your rolls are sealed, so the height costs no paper: it takes the same rolls at every height."
        return
    runs = []
    for value, group in groupby(comparison.by_height, key=lambda at: None if at.proved is None else at.proved.value):
        drops = [at.placement.start.motif_drop for at in group]
        span = _listed_runs([(drops[0], drops[-1])], units)
        if value is None:
            runs.append(f"more than are in hand {span}")
        else:
            runs.append(f"{money(value) if comparison.counts_cost else value} {span}")
    rolls = "rolls to buy" if comparison.counts_bought else "rolls needed"
    what = "cost of the rolls" if comparison.counts_cost else rolls
    yield (
        "Your rolls are measured, or cut for another part too, so the height can cost paper. Tried every "
        f"{show(comparison.step, units)}, the {what}: {'; '.join(runs)}."
    )


# The table


def _table(heights: Heights, units: str) -> str:
    rows = [row for height in heights.ranges for row in _rows(heights, height, units)]
    return table(("motif_drop", "columns", "ceiling cuts off", "foot cuts off"), rows, left=2)


def _rows(heights: Heights, height: HeightRange, units: str) -> Iterator[tuple[str, ...]]:
    """Yield a line for each class of columns that has a motif cut at these heights; one line where none has."""
    span = _span(height.low, height.high, units)
    if height.low <= heights.now < height.high:
        span += " (now)"
    if height.is_whole:
        yield span, _ALL, "-", "-"
        return
    for number, cuts in enumerate(height.classes):
        if cuts.ceiling is not None or cuts.skirting is not None:
            yield span, class_named(number, heights.classes), _cut(cuts.ceiling, units), _cut(cuts.skirting, units)
            span = ""


def class_named(number: int, classes: int) -> str:
    """Return which columns hang alike: ``1, 4, −2 …`` for the second of three classes.

    >>> class_named(1, 3), class_named(0, 1)
    ('1, 4, −2 …', 'all')

    """
    return _ALL if classes == 1 else f"{number}, {number + classes}, {signed(number - classes)} …"


def _cut(cut: MotifCut | None, units: str) -> str:
    if cut is None:
        return "-"
    if cut.at_low == cut.at_high:
        return show(cut.at_low, units)
    return _span(cut.at_low, cut.at_high, units)


def _span(low: Length, high: Length, units: str) -> str:
    """Return from where to where, on two lines in feet and inches: a table has no room for more."""
    reading = between(low, high, units)
    return reading.replace(" to ", "\nto ") if units in FEET else reading
