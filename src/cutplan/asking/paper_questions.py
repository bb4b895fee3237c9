"""Asking about the paper, its trims and the rolls in hand."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import cutplan.asking.questions as q
from cutplan.asking.answers import Offer, new_name
from cutplan.asking.surveyor import Surveyor
from cutplan.lengths import ZERO, Length
from cutplan.paper.match_label import as_printed, says_reverse
from cutplan.paper.pattern import Pattern
from cutplan.paper.sale import BY_THE_ROLL, Edges
from cutplan.paper.stock import Paper
from cutplan.scenario.paper_table import beyond_strip, read_paper
from cutplan.scenario.sale_keys import lost_width, sale_keys
from cutplan.scenario.toml_text import decimal, length_value, quoted
from cutplan.scenario.trim_table import USUAL_TRIM

_ALPHABET: Final = 26


def ask_paper(surveyor: Surveyor) -> Paper:
    """Return the paper as its label describes it."""
    surveyor.interview.section("The paper")
    paper = surveyor.settle(lambda: _ask_label(surveyor), lambda root: read_paper(root).paper)
    assert paper is not None  # noqa: S101 - else the reader had found a fault
    return paper


def _ask_label(surveyor: Surveyor) -> None:
    surveyor.notes.table("[paper]")
    surveyor.ask(q.PAPER_NAME)
    length, width = surveyor.ask(q.PAPER_LENGTH).value, surveyor.ask(q.PAPER_WIDTH).value
    edges = _ask_edges(surveyor, width)
    label = surveyor.interview.ask(q.PAPER_MATCH)
    if label.value is not None:
        _ask_pattern(surveyor, label.text, label.value)
    ask_price(surveyor, is_set=label.value is None)
    if label.value is not None and not label.value.is_free:
        _ask_motif(surveyor, width, edges)
    surveyor.ask(q.GROWS)
    surveyor.ask(q.FOIL)
    if label.value is None:
        surveyor.notes.table("[sheets]")
        count = surveyor.ask(q.SHEET_COUNT).value
        surveyor.ask(q.FIRST_SHEET, check=lambda number: f"the set has {count} sheets only" if number > count else None)
        beyond = "that is below the foot of the sheet"
        surveyor.ask(q.SHEET_POINT, check=lambda point: None if point < length else beyond)
    elif label.value.is_free and not edges.overlap:
        said = surveyor.interview.ask(q.EDGE_TRIM)
        if said.value is not None:
            surveyor.notes.table("[equal_strips]")
            surveyor.note(q.EDGE_TRIM, said)


def _ask_edges(surveyor: Surveyor, width: Length) -> Edges:
    """Return what a strip loses of its width as sold."""

    def most(times: int, before: Length = ZERO) -> Callable[[Length], str | None]:
        return lambda length: lost_width(before + times * length, width, surveyor.units)

    selvedge = surveyor.ask(q.SELVEDGE, check=most(2)).value
    return Edges(selvedge, selvedge, surveyor.ask(q.OVERLAP, check=most(1, 2 * selvedge)).value)


def ask_price(surveyor: Surveyor, *, is_set: bool) -> None:
    """Ask what the paper costs, and by what it is sold, where that matters."""

    def in_rolls(offer: Offer | None) -> str | None:
        is_sheet = offer is None or offer.sale == BY_THE_ROLL
        return None if is_sheet or not is_set else "numbered sheets are priced one by one; write the price of a sheet"

    said = surveyor.interview.ask(q.PAPER_PRICE, check=in_rolls)
    offer = said.value
    if offer is None:
        return
    if offer.price is not None:
        surveyor.notes.key("price", decimal(offer.price) or said.text, f"of one {offer.per}")
    for key, value in sale_keys(offer.sale):
        surveyor.notes.key(key, value)
    if offer.price is not None and offer.sale != BY_THE_ROLL:
        surveyor.notes.key("price_per", quoted(offer.per))
    if offer.sale.unit is not None:
        surveyor.ask(q.ORDER_LEAST)
        surveyor.ask(q.ORDER_STEP)


def _ask_pattern(surveyor: Surveyor, said: str, pattern: Pattern) -> None:
    """Note the match as ``said``, and ask what its label may leave open."""
    label = as_printed(said)
    surveyor.notes.key("match", quoted(label), q.PAPER_MATCH.remark)
    if pattern.is_free and not says_reverse(label):
        surveyor.ask(q.REVERSE)
    elif pattern.needs_direction:
        surveyor.ask(q.DIRECTION)


def _ask_motif(surveyor: Surveyor, width: Length, edges: Edges) -> None:
    """Ask where the motif is on a strip, its width, and how far it reaches from its datum."""
    strip = width - edges.lost

    def beyond(length: Length | None) -> str | None:
        return beyond_strip(length, strip, surveyor.units)

    def off_strip(length: Length | None) -> str | None:
        if length is not None and length < edges.before_strip:
            return "that lies in what is cut off its left edge; measure from the edge as sold"
        return beyond_strip(length, strip + edges.before_strip, surveyor.units)

    if surveyor.ask(q.MOTIF_FROM_LEFT, check=off_strip).value is not None:
        surveyor.ask(q.MOTIF_WIDTH, check=beyond)
        surveyor.ask(q.MOTIF_ABOVE)
        surveyor.ask(q.MOTIF_BELOW)


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
                surveyor.ask(q.FIRST_MOTIF, check=within_repeat(surveyor, paper.pattern))


def within_repeat(surveyor: Surveyor, pattern: Pattern) -> Callable[[Length | None], str | None]:
    """Return what tells why a distance down to a first motif cannot be."""
    return lambda length: None if length is None else pattern.beyond_repeat(length, surveyor.units)
