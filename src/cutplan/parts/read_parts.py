"""Reading a job of one part or of several: the one door for every command's scenario."""

from __future__ import annotations

from os import PathLike

from cutplan.faults import Fault, ScenarioError
from cutplan.parts.address import address_of
from cutplan.parts.part import PART_KEYS, PartedJob
from cutplan.scenario.read import Scenario, parsed_scenario
from cutplan.scenario.tables import describe
from cutplan.scenario.toml_file import parse_toml, read_text


def read_job(path: str | PathLike[str]) -> Scenario | PartedJob:
    """Return what a file holds, or the part that ``FILE/PART`` names, or what stands on standard input for ``-``.

    ScenarioError when it cannot be read or says something that cannot be planned, or has no such part.
    """
    file, name = address_of(str(path))
    return parse_job(*read_text(file), name)


def parse_job(text: str, source: str, name: str | None = None) -> Scenario | PartedJob:
    """Return what a TOML text holds, or the part ``name`` of it; raises as :func:`read_job` does."""
    document = parse_toml(text, source)
    if not any(key in document for key in PART_KEYS):
        if name is not None:
            raise ScenarioError(source, (Fault("", f"has no parts, so none called {describe(name)}; give the file"),))
        return parsed_scenario(document, text, source)
    from cutplan.parts.several_parts import parted_job  # noqa: PLC0415 - a job in one paper needs none of it

    job = parted_job(document, text, source)
    if name is None:
        return job
    part = job.part(name)
    if part is None:
        known = ", ".join(describe(part.name) for part in job.parts)
        raise ScenarioError(source, (Fault("", f"has no part {describe(name)}; its parts are {known}"),))
    return part.scenario


def read_scenario(path: str | PathLike[str]) -> Scenario:
    """Return the scenario in the file at ``path``, on standard input for ``-``, or the part that ``FILE/PART`` names.

    Raises
    ------
    ScenarioError
        When the file cannot be read, is not UTF-8, is not TOML, says something that cannot be planned, or has several
        parts of which none is named.

    """
    job = read_job(path)
    if isinstance(job, Scenario):
        return job
    what = f"has several parts; name one of them: {', '.join(job.addresses)}"
    raise ScenarioError(job.source, (Fault("", what),))
