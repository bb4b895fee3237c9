"""What commands share that answer for every part of a job, or for the one part that is named."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from collections.abc import Sequence as Rows
from contextlib import contextmanager

import cutplan
from cutplan.errors import NoPlanError
from cutplan.parts.address import address_of
from cutplan.parts.part import Part, PartedJob
from cutplan.parts.shopping import PartRolls, calendar_of, shopping_list
from cutplan.render.documents.plan_document import Json
from cutplan.render.pages.shopping_page import packs_line, shopping_document, shopping_page
from cutplan.scenario.read import Scenario
from cutplan.table.steps import Sequence


def whole_of(source: str) -> PartedJob | None:
    """Return the whole job of which ``source`` names a part; None where it names none."""
    file, part = address_of(source)
    job = None if part is None else cutplan.read_job(file)
    return job if isinstance(job, cutplan.PartedJob) else None


@contextmanager
def named(part: Part, command: str) -> Iterator[None]:
    """Name the part where its rolls are too few."""
    try:
        yield
    except NoPlanError as error:
        more = f"for what they do: cutplan {command} {part.scenario.source}"
        raise NoPlanError(f"{part.name}: {error}; {more}") from error


def hung_with(job: PartedJob, scenario: Scenario, units: str | None) -> list[str]:
    """Return what one part of a job takes beside its rolls, a line for each material; the scenario is that part's."""
    if not job.has_list:
        return []
    called = (part for part in (*job.parts, *job.single) if part.scenario.source == scenario.source)
    names = {each.name for part in called for each in part.sharing or (part,)}
    packs = shopping_list(job, ()).packs
    return [packs_line(each, units or scenario.units) for each in packs if names & {*each.parts}]


def bought_together(
    job: PartedJob, rolls: Iterable[PartRolls], units: str, found: Rows[tuple[Part, Sequence]] = ()
) -> tuple[str, Json]:
    """Return the shopping list of a job as a page and as JSON, with the days where sequences tell them.

    Both are empty for a job that takes papers alone, of which each part says what to buy.
    """
    if not job.has_list:
        return "", {}
    listed, turns = shopping_list(job, tuple(rolls)), calendar_of(found)
    return shopping_page(listed, turns, units), shopping_document(listed, turns)
