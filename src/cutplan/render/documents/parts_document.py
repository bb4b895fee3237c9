"""A job of several parts as JSON: what each part is, its answer as for any job, and the whole scenario."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from cutplan.parts.part import Part, PartedJob
from cutplan.render.documents.plan_document import Json, plan_text, setting_out_document

PLANS: Final = ("cutplan-plans/1", "plans")
BUYING: Final = ("cutplan-buys/1", "buys")
COMPARING: Final = ("cutplan-compares/1", "compares")


def parts_text(
    job: PartedJob, kind: tuple[str, str], answers: Iterable[tuple[Part, Json]], more: Json | None = None
) -> str:
    """Return the answers of a job's parts as one JSON text, in ASCII; ``kind`` is its format and what they are.

    ``more`` is what is said of all of them together.
    """
    form, key = kind
    document: Json = {
        "format": form,
        "scenario": job.document,
        "parts": [{"part": part.name, "kind": part.kind.value, **part.told, **_sharing(part)} for part in job.parts],
        **(more or {}),
        key: [{"part": part.name, **document} for part, document in answers],
    }
    return plan_text(document)


def _sharing(part: Part) -> Json:
    """Return of parts that are cut from the same rolls what each is, and where its drops hang."""
    hung = dict(part.scenario.bands)
    shared = [
        {
            "band": each.name,
            "kind": each.kind.value,
            "scenario": each.scenario.document,
            **({"setting_out": setting_out_document(hung[each.name])} if each.name in hung else each.told),
        }
        for each in part.sharing
    ]
    return {"bands": shared} if shared else {}
