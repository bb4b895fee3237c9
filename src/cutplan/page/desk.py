"""The job that the page is about: its scenario's file as it is now, the plan for it, and the work recorded.

The file is the only truth: it is looked at again before every answer, so that whoever edits it by hand, or by another
command, is seen here at once. No other file but this one and its record is ever read or written.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from hashlib import sha256
from threading import Lock, RLock
from typing import TYPE_CHECKING

from cutplan.errors import CutplanError, Fault, ScenarioError
from cutplan.parts.read_parts import parse_job
from cutplan.progress.record import fingerprint
from cutplan.progress.record_beside import has_record, record_path
from cutplan.progress.state import State, begun_with
from cutplan.progress.work import Work, work_on
from cutplan.render.documents.plan_document import document_of
from cutplan.render.written_plan import plan_in_use, with_notices
from cutplan.scenario.read import Scenario
from cutplan.scenario.toml_file import parse_toml, read_text
from cutplan.solve import make_plan
from cutplan.table.sequence import sequence_of
from cutplan.whole_file import write_whole

if TYPE_CHECKING:
    from pathlib import Path

    from cutplan.progress.plan_in_use import PlanInUse
    from cutplan.table.steps import Sequence

TIME_LIMIT = 10.0
"""Seconds for a plan."""


class NotReadyError(CutplanError):
    """A scenario that holds faults, so that nothing can be planned from it yet."""


@dataclass(frozen=True, slots=True)
class Survey:
    """A scenario's text as it is now.

    Attributes
    ----------
    text
        The whole text.
    document
        What it holds as TOML; empty where it is none.
    scenario
        What it means; None where it holds faults.
    faults
        Everything wrong in it.

    """

    text: str
    document: dict[str, object]
    scenario: Scenario | None
    faults: tuple[Fault, ...]


@dataclass(frozen=True, slots=True)
class Planned:
    """A plan of a scenario, and how it is recorded once it is worked from."""

    sequence: Sequence
    scenario: Scenario
    first: PlanInUse


@dataclass(slots=True)
class Desk:
    """The job on the desk.

    Attributes
    ----------
    path
        The scenario's file; None while it has no name yet.
    part
        Which part of it is meant, where it has several.
    draft
        Its text while it has no name.
    lock
        Held by whoever writes.

    """

    path: Path | None
    part: str | None = None
    draft: str = ""
    lock: RLock = field(default_factory=RLock)
    _planning: Lock = field(default_factory=Lock)
    _survey: Survey | None = None
    _planned: dict[str, Planned] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """What the file is called; empty where it has no name yet."""
        return "" if self.path is None else self.path.name

    @property
    def address(self) -> str:
        """The file, or the part of it, as commands take it."""
        return str(self.path) if self.part is None else f"{self.path}/{self.part}"

    def text(self) -> str:
        """Return the scenario's text as its file has it now; CutplanError when it cannot be read."""
        return self.draft if self.path is None else read_text(self.path)[0]

    def survey(self) -> Survey:
        """Return the scenario as it is now."""
        with self.lock:
            text = self.text()
            if self._survey is None or self._survey.text != text:
                self._survey = _surveyed(text, str(self.path or "room.toml"), self.part)
            return self._survey

    def write(self, text: str) -> None:
        """Write the scenario's text, whole or not at all."""
        with self.lock:
            if self.path is None:
                self.draft = text
            else:
                write_whole(str(self.path), text)

    def scenario(self) -> Scenario:
        """Return the scenario; NotReadyError when it holds faults."""
        scenario = self.survey().scenario
        if scenario is None:
            raise NotReadyError("The survey is not whole yet: what is missing stands beside the figures above.")
        return scenario

    def planned(self) -> Planned:
        """Return the plan of the scenario; CutplanError when there is none."""
        scenario = self.scenario()
        mark = fingerprint(scenario.document)
        with self._planning:  # Several parts ask at once; one plan serves them all.
            if mark not in self._planned:
                noted = with_notices(scenario, None)
                sequence = sequence_of(make_plan(noted.job, noted.cutting, time_limit=TIME_LIMIT))
                first = plan_in_use(scenario, 1, sequence, document_of(sequence, noted), {})
                self._planned = {mark: Planned(sequence, noted, first)}
            return self._planned[mark]

    def is_begun(self) -> bool:
        """Return True when work on the scenario has been recorded."""
        return self.path is not None and has_record(self.address)

    def work(self) -> Work | None:
        """Return the work recorded; None before there is any."""
        if not self.is_begun():
            return None
        work = work_on(self.scenario())
        return work if work.state is not None else None

    def state(self) -> State:
        """Return where the work stands: at the beginning of the plan where nothing is recorded."""
        work = self.work()
        if work is not None:
            return work.begun()
        planned = self.planned()
        return begun_with(planned.first, planned.scenario.job, planned.scenario.units)

    def marks(self) -> list[str]:
        """Return what changes whenever one of the job's files does."""
        if self.path is None:
            return [_digest(self.draft), ""]
        return [_mark(self.path), _mark(record_path(self.address))]


def _digest(text: str) -> str:
    return sha256(text.encode()).hexdigest()[:16]


def _mark(path: Path) -> str:
    try:
        found = path.stat()
    except OSError:
        return ""
    return f"{found.st_mtime_ns}-{found.st_size}"


def _surveyed(text: str, source: str, part: str | None) -> Survey:
    try:
        document = parse_toml(text, source)
    except ScenarioError as error:
        return Survey(text, {}, None, error.faults)
    try:
        job = parse_job(text, source, part)
    except ScenarioError as error:
        return Survey(text, document, None, error.faults)
    if isinstance(job, Scenario):
        return Survey(text, document, job, ())
    what = f"This job has several parts, each with a page of its own: cutplan page {', or '.join(job.addresses)}"
    return Survey(text, document, None, (Fault("", what),))
