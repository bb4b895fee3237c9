"""Quantity before a survey, as the JSON document that other programs read. Exact lengths stand as text, in mm."""

from __future__ import annotations

from typing import Final

from cutplan.lengths import exact_mm
from cutplan.quantity.answer_before_survey import BeforeSurvey
from cutplan.render.documents.plan_document import Json

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
        "shown": _shown(found),
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


def _shown(found: BeforeSurvey) -> Json | None:
    """Return what the room as it is drawn takes, in rolls or as a length to order in mm, and where hanging begins."""
    if found.shown is None or found.shown.proved is None:
        return None
    proved, start = found.shown.proved, found.shown.placement.start
    takes: Json = {"rolls": proved.rolls} if found.range.order is None else {"order": exact_mm(proved.value)}
    return {**takes, "wall": start.wall + 1, "at": exact_mm(start.at), "puts": start.puts.value}
