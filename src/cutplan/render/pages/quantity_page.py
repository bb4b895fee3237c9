"""Quantity before a survey, as a page of plain text, and as JSON, in which exact lengths stand as text, in mm."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from cutplan.lengths import Rounding, exact_mm, show
from cutplan.quantity.answer_before_survey import BeforeSurvey
from cutplan.quantity.sizes_told import Gap, Notebook
from cutplan.render.documents.plan_document import Json
from cutplan.render.pages.layout_of_page import bullets, paragraphs, questions, section, table, wrapped
from cutplan.render.words.names import listed_with_and
from cutplan.render.words.sale_words import as_sold, in_unit
from cutplan.room.walls import INTERNAL_TURN, OpeningKind
from cutplan.wording import counted


def quantity_page(found: BeforeSurvey, units: str) -> str:
    """Return the page, its lengths in ``units``."""
    parts = [
        *questions(found.doubts),
        wrapped(_headline(found)),
        wrapped(
            "Before a survey: these numbers hold for any place of the start and of the openings. Survey the room, and "
            "cutplan plan proves its own number, which lies between them."
        ),
        section("Why so many", bullets(_why(found, units))),
        section("Taken for granted", bullets(_assumed(found.notebook, units))),
    ]
    if found.rules:
        rows = [(rule.name, str(rule.rolls)) for rule in found.rules]
        words = "For the room as it was drawn. None of them knows where a roll begins or where its print is right."
        parts.append(section("Rules of thumb", wrapped(words), table(("rule", "rolls"), rows)))
    return paragraphs(*parts)


def _headline(found: BeforeSurvey) -> str:
    sale, order = found.notebook.paper.sale, found.range.order
    most, least = (as_sold(sale, rolls) for rolls in (found.range.certain, found.range.least))
    is_are = "is" if most.startswith("1 ") else "are"
    if order is not None:
        unit = sale.unit or "m"
        most, least = in_unit(order.length, unit), in_unit(order.least, unit, Rounding.DOWN)
        is_are = "is"
    certain = f"{most} {is_are} certain to be enough, wherever hanging starts"
    certain += " and wherever the openings stand" if found.notebook.gaps else ""
    if most == least:
        return f"{certain}; no start does with fewer. Proved."
    end = f"{least} {'is' if order is not None or least.startswith('1 ') else 'are'} the bound"
    if found.is_attained:
        return f"{certain}; {end} below which no start can go, and one start attains it. Both are proved."
    return f"{certain}; {end} below which no start can go. Both are proved; whether the bound can be had is not known."


def _why(found: BeforeSurvey, units: str) -> Iterator[str]:
    notebook = found.notebook
    turn = show(INTERNAL_TURN, units)
    turns = f" and {counted(notebook.corners, 'turn')} of {turn} into corners" if notebook.corners else ""
    if notebook.reach:
        turns = f" less {show(notebook.reach, units)}, by which the outer strips reach beyond their joints"
    around = show(notebook.around, units)
    yield (
        f"At most {notebook.most_columns} strips of {show(notebook.strip, units)}: {around}{turns}, and one strip "
        "more, since hanging both ways may end on a cut strip on either side."
    )
    if notebook.gaps:
        reckoned = "count as wall" if found.range.counts_gaps_as_wall else "save what is sure to hang over them only"
        yield f"In the certain number openings {reckoned}."
    yield (
        f"At least {notebook.fewest_full} full lengths of {show(notebook.cut_length, units)}, trims included, for the "
        f"wall that no opening breaks; in the bound nothing is counted over and under openings."
    )
    if found.rolls_shown is not None and found.shown is not None:
        at = show(found.shown.placement.start.at, units)
        wall = f"wall {found.shown.placement.start.wall + 1}"
        yield (f"Drawn as a plain room, with hanging begun {at} from the left of {wall}, it takes {_shown(found)}.")


def _shown(found: BeforeSurvey) -> str:
    sale, proved = found.notebook.paper.sale, None if found.shown is None else found.shown.proved
    if found.range.order is not None and proved is not None:
        return in_unit(proved.value, sale.unit or "m")
    return as_sold(sale, found.rolls_shown or 0)


def _assumed(notebook: Notebook, units: str) -> Iterator[str]:
    trims = show(notebook.trim_top, units)
    yield f"Trims of {trims} at the top and {show(notebook.trim_bottom, units)} at the foot of each drop."
    where = f"{notebook.corners} internal corners" if notebook.corners else "one wall, open at both ends"
    yield f"A level ceiling and floor {show(notebook.height, units)} apart; {where}; no papered reveals."
    gaps = [_gap(gap, units) for gap in dict.fromkeys(notebook.gaps) if gap.is_assumed]
    if gaps:
        yield f"Sizes that nobody has measured: {listed_with_and(gaps)} [common practice]."
    yield "Sealed rolls as long and as wide as the label says, all of one batch."


def _gap(gap: Gap, units: str) -> str:
    what = "a door" if gap.kind is OpeningKind.DOOR else "a window"
    return f"{what} {show(gap.width, units)} wide and {show(gap.height, units)} high"


FORMAT: Final = "cutplan-quantity/1"


def quantity_document(found: BeforeSurvey) -> Json:
    """Return the answer as plain JSON types."""
    notebook = found.notebook
    return {
        "format": FORMAT,
        "doubts": list(found.doubts),
        "certain": found.range.certain,
        "bound": found.range.least,
        **_as_sold(found),
        "attained": found.is_attained,
        "counts_openings_as_wall": found.range.counts_gaps_as_wall,
        "most_strips": notebook.most_columns,
        "fewest_full_lengths": notebook.fewest_full,
        "cut_length": exact_mm(notebook.cut_length),
        "around": exact_mm(notebook.around),
        "openings": [
            {
                "kind": gap.kind.value,
                "width": exact_mm(gap.width),
                "height": exact_mm(gap.height),
                "assumed": gap.is_assumed,
            }
            for gap in notebook.gaps
        ],
        "shown": _shown_exactly(found),
        "rules_of_thumb": [{"rule": rule.name, "rolls": rule.rolls} for rule in found.rules],
        "scenario": found.text or None,
    }


def _as_sold(found: BeforeSurvey) -> Json:
    """Return the same range in packets, or as a length to order in mm, where the paper is sold so."""
    sale, order = found.notebook.paper.sale, found.range.order
    if order is not None:
        return {"order": exact_mm(order.length), "order_bound": exact_mm(order.least)}
    if sale.packet == 1:
        return {}
    return {"packets": sale.packets(found.range.certain), "packets_bound": sale.packets(found.range.least)}


def _shown_exactly(found: BeforeSurvey) -> Json | None:
    """Return what the room as it is drawn takes, in rolls or as a length to order in mm, and where hanging begins."""
    if found.shown is None or found.shown.proved is None:
        return None
    proved, start = found.shown.proved, found.shown.placement.start
    takes: Json = {"rolls": proved.rolls} if found.range.order is None else {"order": exact_mm(proved.value)}
    return {**takes, "wall": start.wall + 1, "at": exact_mm(start.at), "puts": start.puts.value}
