"""Placements side by side, as a page of plain text: the few worth choosing from, and how to take one of them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from collections.abc import Sequence as Rows
from fractions import Fraction
from typing import Final

from cutplan.comparing.comparison import Comparison
from cutplan.comparing.figures import Compared
from cutplan.comparing.front import beaten_by
from cutplan.comparing.placements import Placement
from cutplan.comparing.proving import Proved
from cutplan.lengths import ZERO, Length, Rounding, show
from cutplan.render.pages.heights_page import heights_section
from cutplan.render.pages.layout_of_page import notes_listed, paragraphs, section, table, wrapped, wrapped_lines
from cutplan.render.words.answer_words import money
from cutplan.render.words.names import listed_with_and
from cutplan.render.words.readings import FEET, on_tape
from cutplan.render.words.sale_words import as_sold, in_unit
from cutplan.render.words.start_lines import start_lines
from cutplan.room.walls import Room
from cutplan.setting_out import Closing, FinishAt, Puts
from cutplan.wording import counted, sits

PUTS: Final = {Puts.MOTIF: "the motif", Puts.JOINT: "a joint", Puts.MIDDLE: "a strip's middle"}


def comparison_page(
    comparison: Comparison, notes: Iterable[str] = (), units: str = "mm", file_units: str = "mm", band: str = ""
) -> str:
    """Return the whole page, with the scenario's notes.

    ``file_units`` are what bare numbers mean in the scenario, in which a chosen start is written; ``band`` is the name
    of the ``[[band]]`` that it is for, empty for a room in one paper.
    """
    parts = [
        wrapped_lines(_answer(comparison)),
        notes_listed(notes),
        section("Places for the start", *_places(comparison, units)),
        *_choosing(comparison, file_units, band),
    ]
    if comparison.heights is not None:
        parts.append(heights_section(comparison, comparison.heights, units))
    return paragraphs(*parts)


# The answer


def _answer(comparison: Comparison) -> Iterator[str]:
    """Yield what was tried and what came of it, in sentences."""
    worth = counted(len(comparison.front), "is", "are")
    yield (
        f"{counted(comparison.tried, 'placement')} worked out; {worth} worth choosing from: no other is as good in "
        "every respect and better in one."
    )
    yield own_sentence(comparison)
    if comparison.unproved:
        yield "Where two figures stand for the rolls, the lower is proved and the upper found."
    elif comparison.unit is not None:
        yield "Every length to order is proved, with what falls out of drops left aside: no shorter order is certain."
    else:
        better = "buys fewer" if comparison.counts_bought else "needs fewer"
        yield f"Every number of rolls is proved: no plan {'costs less' if comparison.counts_cost else better}."
    if comparison.without_plan:
        yield f"{counted(comparison.without_plan, 'placement needs', 'placements need')} more rolls than are in hand."
    if comparison.refused:
        yield (
            f"{counted(comparison.refused, 'placement')} more cannot be: the finish would lie under the first strip, "
            "or the first strip have no wall to hang on."
        )
    if comparison.left:
        why = "Interrupted" if comparison.was_interrupted else "Time was up (allow it more with --time-limit)"
        yield f"{why}: {counted(comparison.left, 'placement')} more would have been tried."


def own_sentence(comparison: Comparison) -> str:
    """Return how the scenario's own placement stands among the others."""
    own = comparison.own
    if own.proved is None:
        return "Your own placement needs more rolls than are in hand."
    takes = f"Your own placement takes {rolls_taken(comparison, own.proved)}"
    if own in comparison.front:
        return f"{takes} and is among them."
    better = beaten_by(own, comparison.front)
    if better is None:
        return f"{takes}; it is not what you ask for here, and is shown for comparison."
    return f"{takes}; number {comparison.front.index(better) + 1} is as good in every respect and better in one."


def rolls_taken(comparison: Comparison, proved: Proved | None) -> str:
    """Return what a placement takes, in words."""
    figure, sale = value_figure(comparison, proved), comparison.setting_out.paper.sale
    if comparison.unit is not None:
        return figure
    to_buy = " to buy" if comparison.counts_bought else ""
    if not sale.is_plain and proved is not None and proved.is_proved and not comparison.counts_cost:
        return f"{as_sold(sale, proved.rolls)}{to_buy}"
    if comparison.counts_cost:
        return f"rolls for {figure}"
    return f"{figure} {'roll' if figure == '1' else 'rolls'}{to_buy}"


def value_figure(comparison: Comparison, proved: Proved | None) -> str:
    """Return rolls or cost as a figure; two of them where the bound does not meet the value."""
    if proved is None:
        return "too few"
    value, bound = (_shown(comparison, amount) for amount in (proved.value, proved.bound))
    return value if proved.is_proved else f"{bound} to {value}"


def _shown(comparison: Comparison, amount: Fraction) -> str:
    if comparison.unit is not None:
        return in_unit(amount, comparison.unit)
    return money(amount) if comparison.counts_cost else str(amount)


# The placements


def _places(comparison: Comparison, units: str) -> list[str]:
    """Return the table of placements, and what each gives and takes against the scenario's own."""
    wall = comparison.setting_out.room.walls[comparison.focus.wall].name
    shown = [(str(number), compared) for number, compared in enumerate(comparison.front, 1)]
    if comparison.own not in comparison.front:
        shown.append(("-", comparison.own))
    parts = [wrapped(f"Starts are measured from the left of {wall}."), _table(comparison, shown, units)]
    if closings := wrapped_lines(_closings(shown, units)):
        parts.append(closings)
    against = [
        wrapped(f"{number}: {line}.", "  ", "     ")
        for number, compared in shown
        if not compared.placement.is_own and (line := "; ".join(_against(comparison, compared, units)))
    ]
    return [*parts, "\n".join(["Against yours:", *against])] if against else parts


def _table(comparison: Comparison, shown: Rows[tuple[str, Compared]], units: str) -> str:
    """Return the table of figures, without the columns that have none."""
    rolls = "to buy" if comparison.counts_bought else "rolls"
    value = "cost" if comparison.counts_cost else rolls if comparison.unit is None else "order"
    heads = (
        "no",
        "start",
        "closes",
        value,
        "narrowest\nstrip",
        "joint to\nopening",
        "near\nlining's",
        "cut at\nthe top",
    )
    rows = [(number, *_figures(comparison, compared, units)) for number, compared in shown]
    columns = [column for column in zip(heads, *rows, strict=True) if any(column[1:])]
    first, *others = zip(*columns, strict=True)
    return table(first, others, left=sum(head in ("no", "start", "closes") for head in first))


def _figures(comparison: Comparison, compared: Compared, units: str) -> tuple[str, ...]:
    cut = str(compared.cut_at_top) if _measures_motif(comparison) else ""
    start = start_named(comparison, compared.placement, units)
    return (
        f"{start} (yours)" if compared.placement.is_own else start,
        "" if compared.closing is None else finish_named(comparison.setting_out.room, compared.placement, units),
        value_figure(comparison, compared.proved),
        _brief(compared.narrowest, units),
        "" if compared.to_opening is None else _brief(compared.to_opening, units),
        "" if compared.clashes is None else str(compared.clashes),
        cut,
    )


def _brief(length: Length, units: str) -> str:
    """Return a length that is there at least, feet and inches by their signs: a table has no room for the words."""
    return (on_tape if units in FEET else show)(length, units, Rounding.DOWN)


def _measures_motif(comparison: Comparison) -> bool:
    paper = comparison.setting_out.paper
    return bool(paper.motif_above + paper.motif_below) and not paper.pattern.is_free


def start_named(comparison: Comparison, placement: Placement, units: str) -> str:
    """Return what is put where: ``the motif at 670 mm``."""
    start = placement.start
    wall = comparison.setting_out.room.walls[start.wall]
    where = f"at {show(start.at, units)}"
    if start.puts is Puts.JOINT and start.at in (0, wall.width):
        where = f"in the {'left' if start.at == 0 else 'right'} corner"
    if start.wall != comparison.focus.wall:
        where += f" on {wall.name}"
    return f"{PUTS[start.puts]} {where}"


def finish_named(room: Room, placement: Placement, units: str) -> str:
    """Return where a room closes: ``over door``."""
    finish = placement.finish
    if finish is None:
        return "at the first strip"
    wall = room.walls[finish.wall]
    if not isinstance(finish, FinishAt):
        return f"over {wall.openings[finish.opening].name}"
    if finish.at in (0, wall.width):
        return f"in the {'left' if finish.at == 0 else 'right'} corner of {wall.name}"
    return f"{show(finish.at, units)} from the left of {wall.name}"


def _closings(shown: Rows[tuple[str, Compared]], units: str) -> Iterator[str]:
    """Yield how far the print is out at the closing joint, placements alike taken together."""
    out: dict[str, list[str]] = {}
    for number, compared in shown:
        if compared.closing is not None:
            by = " and ".join(_out(compared.closing, units)) or "the print goes on as if it matched"
            out.setdefault(by, []).append(number if number != "-" else "yours")
    for by, numbers in out.items():
        which = "" if len(out) == 1 else f" of {listed_with_and(numbers)}"
        yield f"On the right of the closing joint{which}, {by}."


def _out(closing: Closing, units: str) -> Iterator[str]:
    """Yield by how much the print on the right of a closing joint is out, unless a tape cannot tell."""
    nothing = show(ZERO, units)
    height, sideways = (show(abs(by), units) for by in (closing.height, closing.sideways))
    if height != nothing:
        yield f"the print {sits(closing.height).read(units)}"
    if sideways != nothing:
        yield f"{sideways} of the print {'is missing' if closing.sideways > 0 else 'comes twice'}"


def _against(comparison: Comparison, compared: Compared, units: str) -> Iterator[str]:
    """Yield what a placement gives and takes against the scenario's own."""
    own, before, after = comparison.own, comparison.own.placement, compared.placement
    yield from _saved(comparison, own.proved, compared.proved)
    if before.on_focus is not after.on_focus:
        yield f"{'nothing' if after.on_focus is None else PUTS[after.on_focus]} on the focal point"
    if before.finish_rank != after.finish_rank:
        yield f"closes where it shows {'less' if after.finish_rank < before.finish_rank else 'more'}"
    yield from _longer("the narrowest strip", "wider", "narrower", compared.narrowest - own.narrowest, units)
    if compared.to_opening is not None and own.to_opening is not None:
        nearest = compared.to_opening - own.to_opening
        yield from _longer("the nearest joint", "further from an opening", "nearer to an opening", nearest, units)
    if _measures_motif(comparison):
        yield from _fewer("motif", "cut at the top", own.cut_at_top - compared.cut_at_top)
    if compared.clashes is not None and own.clashes is not None:
        yield from _fewer("joint", "near one of the lining's", own.clashes - compared.clashes)


def _saved(comparison: Comparison, own: Proved | None, other: Proved | None) -> Iterator[str]:
    if own is None or other is None or own.value == other.value:
        return
    less = own.value - other.value
    if comparison.counts_cost:
        yield f"{money(abs(less))} {'cheaper' if less > 0 else 'dearer'}"
    elif comparison.unit is not None:
        yield f"{in_unit(abs(less), comparison.unit)} {'less' if less > 0 else 'more'} to order"
    else:
        yield f"{counted(int(abs(less)), 'roll')} {'fewer' if less > 0 else 'more'}"


def _fewer(what: str, where: str, by: int) -> Iterator[str]:
    if by:
        yield f"{counted(abs(by), what)} {'fewer' if by > 0 else 'more'} {where}"


def _longer(what: str, more: str, less: str, by: Length, units: str) -> Iterator[str]:
    """Yield by how much one length differs from another, unless a tape cannot tell."""
    reading = show(abs(by), units)
    if reading != show(ZERO, units):
        yield f"{what} {reading} {more if by > 0 else less}"


# How to choose one


def _choosing(comparison: Comparison, file_units: str, band: str) -> Iterator[str]:
    """Yield the lines of TOML for each placement but the scenario's own."""
    room, way = comparison.setting_out.room, comparison.setting_out.way
    others = [compared for compared in comparison.front if not compared.placement.is_own]
    if not others:
        return
    holder = "band." if band else ""
    tables = f"[{holder}start]" + (f" and [{holder}finish]" if others[0].placement.finish is not None else "")
    intro = f"Write its lines into the scenario in place of your {tables}, and plan again."
    if band:
        intro = f"Write its lines below the [[band]] {band}, in place of any {tables} that it has, and plan again."
    blocks = [
        "\n".join(
            [
                f"# no {comparison.front.index(compared) + 1}",
                *start_lines(room, compared.placement, way, file_units, holder),
            ]
        )
        for compared in others
    ]
    yield section("To choose one", wrapped(intro), *blocks)
