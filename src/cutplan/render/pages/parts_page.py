"""A job of several parts as a page: what they come to, then the page of each."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from cutplan.parts.part import Part, PartedJob
from cutplan.plan.plan import Plan
from cutplan.render.pages.layout_of_page import bullets, page_width, paragraphs, wrapped
from cutplan.render.pages.lining_page import lining_page
from cutplan.render.words.answer_words import needed, order_line
from cutplan.render.words.names import capital, listed_with_and

if TYPE_CHECKING:
    from cutplan.buying.by_length import Order


def parts_page(command: str, job: PartedJob, answers: Sequence[tuple[Part, str, str]], after: str = "") -> str:
    """Return the page of the answers that ``command`` gave for each part: in a sentence, and as a page.

    ``after`` is what is said of all of them together.
    """
    answered = {each.name for part, _, _ in answers for each in (part, *part.sharing)}
    order = f"In the order in which they hang: {listed_with_and([name for name in job.hanging if name in answered])}."
    source = answers[0][0].scenario.source
    address = f'"{source}"' if " " in source else source
    each = f"Each is a job by itself, for every command: cutplan {command} {address}"
    sums = bullets(f"{part.name}: {sentence}" for part, sentence, _ in answers)
    head = [wrapped(order), sums, wrapped(each, then="  ")]
    alike = [
        f"{listed_with_and([part.name for part in parts])} are in one paper and planned apart: each figure is "
        "for one of them alone. Together less might do, though never less than the greatest of them takes."
        for parts in job.apart
    ]
    pages = [f"{title(part)}\n\n{page.rstrip()}" for part, _, page in answers]
    return paragraphs(*head, *map(wrapped, alike), *pages, after)


def title(part: Part) -> str:
    """Return what stands over the page of a part."""
    said = f"{capital(part.name)}: {part.what} of {part.scenario.job.paper.name}"
    line = "#" * min(len(said), page_width())
    return f"{line}\n{wrapped(said)}\n{line}"


def sentence_of(plan: Plan, order: Order | None) -> str:
    """Return what a part needs, in a sentence."""
    return f"{plan.job.paper.name}: {needed(plan)}" if order is None else order_line(plan.job, order)


def with_lining(part: Part, page: str, units: str) -> str:
    """Return the page of a part; of a lining after where its lengths hang."""
    return page if part.lining is None else f"{lining_page(part.lining, units)}\n\n{page}"
