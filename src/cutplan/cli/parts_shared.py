"""What commands share that answer for every part of a job, or for the one part that is named."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

import cutplan
from cutplan.cli.terminal import tell_what_is_awaited
from cutplan.errors import NoPlanError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cutplan.parts.part import Part, PartedJob
    from cutplan.scenario.read import Scenario


def job_from(source: str) -> Scenario | PartedJob:
    """Return the scenario, or the job of several parts, in a file or on standard input."""
    tell_what_is_awaited(source, "the scenario")
    return cutplan.read_job(source)


@contextmanager
def named(part: Part, command: str) -> Iterator[None]:
    """Name the part where its rolls are too few."""
    try:
        yield
    except NoPlanError as error:
        more = f"for what they do: cutplan {command} {part.scenario.source}"
        raise NoPlanError(f"{part.name}: {error}; {more}") from error
