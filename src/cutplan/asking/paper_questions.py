"""Asking about the paper, its trims and the rolls in hand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final

import cutplan.asking.questions as q
from cutplan.asking.answers import Offer, new_name
from cutplan.asking.surveyor import Surveyor
from cutplan.lengths import ZERO, Length
from cutplan.paper.match_label import as_printed, read_match, says_reverse
from cutplan.paper.pattern import FREE, Pattern
from cutplan.paper.sale import BY_THE_ROLL, Edges, Sale
from cutplan.paper.stock import Paper, SheetSet
from cutplan.scenario.paper_table import beyond_strip
from cutplan.scenario.sale_keys import lost_width, sale_keys
from cutplan.scenario.toml_text import decimal, length_value, quoted
from cutplan.scenario.trim_table import USUAL_TRIM

_ALPHABET: Final = 26


def ask_paper(surveyor: Surveyor) -> Paper:
    """Return the paper as its label describes it."""
    surveyor.interview.section("The paper")
    surveyor.notes.table("[paper]")
    name = surveyor.ask(q.PAPER_NAME).value
    length, width = surveyor.ask(q.PAPER_LENGTH).value, surveyor.ask(q.PAPER_WIDTH).value
    edges = _ask_edges(surveyor, width)
    label = surveyor.interview.ask(q.PAPER_MATCH)
    pattern, is_reversed = Pattern(length, ZERO), False
    if label.value is not None:
        pattern, is_reversed = _ask_pattern(surveyor, label.text, label.value)
    is_set = label.value is None
    offer = ask_price(surveyor, is_set=is_set)
    from_left, motif_width, above, below = _ask_motif(surveyor, FREE if is_set else pattern, width, edges)
    growth, is_foil = surveyor.ask(q.GROWS).value, surveyor.ask(q.FOIL).value
    sheets = _ask_sheets(surveyor, pattern) if is_set else None
    edge_trim = _ask_edge_trim(surveyor) if pattern.is_free and not edges.overlap else None
    return Paper(
        name,
        pattern,
        length,
        width - edges.lost,
        motif_from_left=from_left,
        motif_above=above,
        motif_below=below,
        wet_growth=growth,
        is_foil=is_foil,
        is_reversed=is_reversed,
        motif_width=motif_width,
        sheets=sheets,
        edge_trim=edge_trim,
        sale=BY_THE_ROLL if offer is None else offer.sale,
        edges=edges,
    )


def _ask_edges(surveyor: Surveyor, width: Length) -> Edges:
    """Return what a strip loses of its width as sold."""

    def most(times: int, before: Length = ZERO) -> Callable[[Length], str | None]:
        return lambda length: lost_width(before + times * length, width, surveyor.units)

    selvedge = surveyor.ask(q.SELVEDGE, check=most(2)).value
    return Edges(selvedge, selvedge, surveyor.ask(q.OVERLAP, check=most(1, 2 * selvedge)).value)


def ask_price(surveyor: Surveyor, *, is_set: bool) -> Offer | None:
    """Return what the paper costs, and by what it is sold; None where that does not matter."""

    def in_rolls(offer: Offer | None) -> str | None:
        is_sheet = offer is None or offer.sale == BY_THE_ROLL
        return None if is_sheet or not is_set else "numbered sheets are priced one by one; write the price of a sheet"

    said = surveyor.interview.ask(q.PAPER_PRICE, check=in_rolls)
    offer = said.value
    if offer is None:
        return None
    if offer.price is not None:
        surveyor.notes.key("price", decimal(offer.price) or said.text, f"of one {offer.per}")
    for key, value in sale_keys(offer.sale):
        surveyor.notes.key(key, value)
    if offer.price is not None and offer.sale != BY_THE_ROLL:
        surveyor.notes.key("price_per", quoted(offer.per))
    return offer if offer.sale.unit is None else offer._replace(sale=_ask_steps(surveyor, offer.sale))


def _ask_steps(surveyor: Surveyor, sale: Sale) -> Sale:
    """Return how a paper that is cut to order is sold, with the least and the step of an order."""
    least, step = surveyor.ask(q.ORDER_LEAST).value, surveyor.ask(q.ORDER_STEP).value
    step = step or sale.step
    return replace(sale, least=least or step, step=step)


def _ask_sheets(surveyor: Surveyor, pattern: Pattern) -> SheetSet:
    """Return the set of numbered sheets, whose print is as long as one of them."""
    surveyor.notes.table("[sheets]")
    count = surveyor.ask(q.SHEET_COUNT).value
    first = surveyor.ask(
        q.FIRST_SHEET, check=lambda number: f"the set has {count} sheets only" if number > count else None
    ).value
    point = surveyor.ask(
        q.SHEET_POINT, check=lambda length: None if length < pattern.repeat else "that is below the foot of the sheet"
    ).value
    return SheetSet(count, first, point)


def _ask_edge_trim(surveyor: Surveyor) -> Length | None:
    """Return what comes off each edge where walls are hung in equal strips; None where they are not."""
    said = surveyor.interview.ask(q.EDGE_TRIM)
    if said.value is not None:
        surveyor.notes.table("[equal_strips]")
        surveyor.note(q.EDGE_TRIM, said)
    return said.value


def _ask_pattern(surveyor: Surveyor, said: str, pattern: Pattern) -> tuple[Pattern, bool]:
    """Return the match as ``said``, and whether every second length hangs turned end for end."""
    label = as_printed(said)
    surveyor.notes.key("match", quoted(label), q.PAPER_MATCH.remark)
    if pattern.is_free:
        return pattern, says_reverse(label) or surveyor.ask(q.REVERSE).value
    if not pattern.needs_direction:
        return pattern, False
    return read_match(label, surveyor.units, surveyor.ask(q.DIRECTION).value).pattern, False


def _ask_motif(
    surveyor: Surveyor, pattern: Pattern, width: Length, edges: Edges
) -> tuple[Length | None, Length, Length, Length]:
    """Return where the motif is on a strip as it hangs, its width, and how far it reaches from its datum."""
    strip = width - edges.lost
    if pattern.is_free:
        return None, ZERO, ZERO, ZERO

    def beyond(length: Length | None) -> str | None:
        return beyond_strip(length, strip, surveyor.units)

    def off_strip(length: Length | None) -> str | None:
        if length is not None and length < edges.before_strip:
            return "that lies in what is cut off its left edge; measure from the edge as sold"
        return beyond_strip(length, strip + edges.before_strip, surveyor.units)

    from_left = surveyor.ask(q.MOTIF_FROM_LEFT, check=off_strip).value
    if from_left is None:
        return None, ZERO, ZERO, ZERO
    motif = surveyor.ask(q.MOTIF_WIDTH, check=beyond).value
    reach = surveyor.ask(q.MOTIF_ABOVE).value, surveyor.ask(q.MOTIF_BELOW).value
    return (from_left - edges.before_strip, motif, *reach)


def ask_trims(surveyor: Surveyor) -> None:
    """Ask what is added at the top and the foot of each drop."""
    surveyor.interview.section("Trims")
    surveyor.notes.table("[trim]")
    usual = None if surveyor.units in q.IMPERIAL else length_value(USUAL_TRIM, surveyor.units)
    surveyor.ask(q.TRIM_TOP, usual)
    surveyor.ask(q.TRIM_BOTTOM, usual)


def ask_rolls(surveyor: Surveyor, paper: Paper) -> None:
    """Ask which rolls are in hand, if any; of a numbered set every sheet is taken to be."""
    if paper.sheets is not None:
        return
    surveyor.interview.section("Rolls in hand")
    count, is_sealed = surveyor.interview.ask(q.ROLLS_IN_HAND).value
    if is_sealed and count:
        surveyor.notes.table("[[roll]]")
        surveyor.notes.key("label", quoted("A"))
        surveyor.notes.key("count", str(count), "all sealed")
        return
    labels: list[str] = []
    for index in range(count):
        with surveyor.interview.part(f"roll {index + 1}"):
            surveyor.notes.table("[[roll]]")
            usual = chr(ord("A") + index) if index < _ALPHABET else str(index + 1)
            labels.append(surveyor.ask(q.ROLL_LABEL, usual, kind=new_name(labels)).value)
            if not paper.pattern.is_free:
                surveyor.ask(q.FIRST_MOTIF, check=lambda length: beyond_repeat(paper.pattern, length))


def beyond_repeat(pattern: Pattern, length: Length | None) -> str | None:
    """Return why a distance down to a first motif cannot be; None when it can."""
    if length is None or length < pattern.repeat:
        return None
    return "the first motif lies less than a repeat down; measure to the one nearest to the end"
