"""What commands share that answer for every part of a job, or for the one part that is named."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from collections.abc import Sequence as Rows
from contextlib import contextmanager
from typing import TYPE_CHECKING

import cutplan
from cutplan.cli.in_and_out import print_told
from cutplan.cli.terminal import tell_what_is_awaited
from cutplan.errors import NoPlanError
from cutplan.parts.address import address_of

if TYPE_CHECKING:
    from cutplan.parts.part import Part, PartedJob
    from cutplan.parts.shopping import PartRolls
    from cutplan.render.documents.plan_document import Json
    from cutplan.render.drawing.wall_picture import WallPicture
    from cutplan.scenario.read import Scenario
    from cutplan.table.steps import Sequence


def job_from(source: str) -> Scenario | PartedJob:
    """Return the scenario, or the job of several parts, in a file or on standard input."""
    tell_what_is_awaited(source, "the scenario")
    return cutplan.read_job(source)


def overview_of(job: PartedJob, units: str | None) -> tuple[WallPicture, ...]:
    """Return pictures of the whole walls of a job, with the print of each paper that has a photograph."""
    from cutplan.render.drawing.parts_picture import parts_pictures  # noqa: PLC0415 - few commands draw

    prints = {part.name: print_told(part.scenario) for part in (*job.parts, *job.single)}
    return parts_pictures(job, units or job.parts[0].scenario.units, prints=prints)


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
    from cutplan.parts.shopping import shopping_list  # noqa: PLC0415 - for such jobs only
    from cutplan.render.pages.shopping_page import packs_line  # noqa: PLC0415

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
    from cutplan.parts.calendar import calendar_of  # noqa: PLC0415 - for such jobs only
    from cutplan.parts.shopping import shopping_list  # noqa: PLC0415
    from cutplan.render.pages.shopping_page import shopping_document, shopping_page  # noqa: PLC0415

    listed, turns = shopping_list(job, tuple(rolls)), calendar_of(found)
    return shopping_page(listed, turns, units), shopping_document(listed, turns)
