"""How much to order of a paper that is cut to order, as a page of plain text and as JSON."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from cutplan.buying.by_length import Order
from cutplan.buying.how_much import OrderAnswer
from cutplan.lengths import Rounding, exact_mm
from cutplan.render.documents.buying_document import FORMAT
from cutplan.render.documents.plan_document import Json, order_document
from cutplan.render.pages.layout_of_page import bullets, paragraphs, section, table, wrapped
from cutplan.render.words.answer_words import order_line, order_proof
from cutplan.render.words.names import listed_with_and
from cutplan.render.words.sale_words import in_unit
from cutplan.scenario.read import Scenario


def ordering_page(answer: OrderAnswer, notes: Iterable[str]) -> str:
    """Return how much to order, with the scenario's notes, as plain text."""
    rules = [(name, f"{number} {answer.job.paper.sale.unit}") for name, number in answer.rules]
    words = "None of them knows where the print is right; what is lost between drops is in none."
    return paragraphs(
        wrapped(order_line(answer.job, answer.order)),
        bullets(_reasons(answer)),
        section("Notes", bullets(notes)),
        section("Rules of thumb", wrapped(words), table(("rule", "that would be"), rules)),
    )


def ordering_document(answer: OrderAnswer, scenario: Scenario) -> Json:
    """Return the same as plain JSON types."""
    paper = answer.job.paper
    unit = paper.sale.unit or "m"
    return {
        "format": FORMAT,
        "order": {"unit": unit, **order_document(answer.order, paper)},
        "in_two_pieces": None if answer.in_two is None else order_document(answer.in_two, paper),
        "each_further_cut_at_most": None if answer.in_two is None else exact_mm(answer.for_a_cut),
        "with_spare_drop": order_document(answer.with_spare, paper),
        "rules_of_thumb": [{"rule": name, unit: number} for name, number in answer.rules],
        "notes": list(scenario.notes),
        "scenario": scenario.document,
    }


def _reasons(answer: OrderAnswer) -> Iterator[str]:
    job, order = answer.job, answer.order
    sale = job.paper.sale
    unit = sale.unit or "m"
    in_hand = [lot.label for lot in job.rolls if lot.count is not None]
    if in_hand:
        yield f"Used first, beside it: {listed_with_and(in_hand)}."
    if order.length:
        yield order_proof(job.paper, order)
        step, least, most = (
            in_unit(length, unit, Rounding.DOWN) for length in (sale.step, sale.least, job.paper.roll_length)
        )
        yield f"Orders go by steps of {step}, from {least} on; one piece is {most} at most."
    if answer.in_two is not None:
        yield f"Ask for one piece. Cut in two, wherever that is, {_certain(answer.in_two, unit)}."
        yield f"Each further cut, wherever it is, takes {in_unit(answer.for_a_cut, unit)} more at most."
    if answer.with_spare.length == order.length:
        yield "One more of the longest drop comes off the same order."
    else:
        yield f"With one more of the longest drop, {_certain(answer.with_spare, unit)} (--spare)."
    if order.length:
        yield "Measure what comes before the first cut: it is cut by hand, and another batch would show."


def _certain(order: Order, unit: str) -> str:
    """Return a length to order in words, with its bound where a shorter one is not known to be too short."""
    words = f"{in_unit(order.length, unit)} would be certain"
    if order.is_proved:
        return words
    least = in_unit(order.least, unit, Rounding.DOWN)
    return f"{words}; whether less would, down to {least}, was not found out in time"
