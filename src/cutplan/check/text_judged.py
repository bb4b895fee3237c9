"""Judging a text: a plan, a document of several, or a record of work."""

from __future__ import annotations

from typing import Final

from cutplan.check.judge import check_plan
from cutplan.check.report import Report
from cutplan.check.stated.json_text import json_object

PLANS: Final = "cutplan-plans/1"
"""Format of a document of several plans."""
RECORD: Final = '{"format":"cutplan-record/1",'
"""How a record of work begins, by which it is told from a plan."""


def check_text(text: str, end: str | None = None) -> Report:
    """Return the judgement of a plan from the text of its JSON document, or of a record of work from that of its file.

    ``end`` is the text of the small file beside a record, which counts its entries; None where there is none.

    Raises
    ------
    PlanUnreadable
        When the text is not JSON, or not a plan; it holds every fault of structure found.

    """
    document = None if text.startswith(RECORD) else json_object(text, "", "a plan")
    if document is not None and document.get("format") != PLANS:
        return check_plan(document)
    from cutplan.check.of_several import check_plans, check_record  # noqa: PLC0415 - one plan needs no rules on several

    return check_record(text, end) if document is None else check_plans(document)
