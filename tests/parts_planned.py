"""Jobs of several parts, read from their text and planned."""

from __future__ import annotations

from functools import cache

from cutplan.parts.part import PartedJob
from cutplan.parts.read_parts import parse_job
from cutplan.render.documents.parts_document import PLANS, parts_text
from cutplan.render.documents.plan_document import plan_document
from cutplan.solve import make_plan


def job_of(text: str) -> PartedJob:
    """Return the job of several parts that a text states."""
    job = parse_job(text, "room.toml")
    assert isinstance(job, PartedJob)
    return job


@cache
def planned(text: str) -> str:
    """Return the plans of a job's parts as ``cutplan plan --json`` writes them."""
    job = job_of(text)
    plans = [(part, make_plan(part.scenario.job, part.scenario.cutting)) for part in job.parts]
    return parts_text(job, PLANS, [(part, plan_document(plan, part.scenario)) for part, plan in plans])
