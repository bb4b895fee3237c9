"""Judging a text: a plan, a document of several, or a record of work."""

from __future__ import annotations

import json
from typing import Final

from cutplan.check.judge import check_plan
from cutplan.check.report import PlanUnreadable, Report
from cutplan.check.stated.fields import Json
from cutplan.check.stated.json_text import parsed_json

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
    document = None if text.startswith(RECORD) else _document(text)
    if document is not None and document.get("format") != PLANS:
        return check_plan(document)
    from cutplan.check.of_several import check_plans, check_record  # noqa: PLC0415 - one plan needs no rules on several

    return check_record(text, end) if document is None else check_plans(document)


def _document(text: str) -> Json:
    try:
        document = parsed_json(text)
    except json.JSONDecodeError as error:
        raise PlanUnreadable([f"not JSON: line {error.lineno}, column {error.colno}: {error.msg}"]) from error
    except (ValueError, RecursionError) as error:
        raise PlanUnreadable([f"not JSON that can be judged: {error}"]) from error
    if not isinstance(document, dict):
        raise PlanUnreadable(["not a plan: the document must be one JSON object"])
    return document
