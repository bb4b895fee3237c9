"""A job of several parts as JSON: what each part is, its answer as for any job, and the whole scenario."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Final

from cutplan.render.documents.plan_document import setting_out_document

if TYPE_CHECKING:
    from collections.abc import Iterable

    from cutplan.parts.part import Part, PartedJob
    from cutplan.render.documents.plan_document import Json

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
        "parts": [{"part": part.name, "kind": part.kind.value, **part.told, **_bands(part)} for part in job.parts],
        **(more or {}),
        key: [{"part": part.name, **document} for part, document in answers],
    }
    return json.dumps(document, indent=2, allow_nan=False) + "\n"


def _bands(part: Part) -> Json:
    """Return of bands that are cut from the same rolls what each is, and where its drops hang."""
    if not part.bands:
        return {}
    hung = dict(part.scenario.bands)
    bands = [
        {
            "band": band.name,
            "scenario": band.scenario.document,
            "setting_out": setting_out_document(hung[band.name]),
        }
        for band in part.bands
    ]
    return {"bands": bands}
