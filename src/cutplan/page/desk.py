"""The job that the page is about: its scenario's file as it is now, the plan for it, and the work recorded.

The file is the only truth: it is looked at again before every answer, so that whoever edits it by hand, or by another
command, is seen here at once. No other file but this one, the rooms that it names, and their records is ever read or
written.
"""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path
from threading import Lock, RLock

from msgspec import Struct, field

from cutplan.contract.read_contract import read_contract
from cutplan.contract.rooms import Contract
from cutplan.errors import CutplanError
from cutplan.faults import Fault, ScenarioError
from cutplan.page.editing import listed_at
from cutplan.parts.part import Part, PartedJob
from cutplan.parts.read_parts import parse_job
from cutplan.plan.proof import TooFewRollsError
from cutplan.progress.plan_in_use import PlanInUse
from cutplan.progress.record import fingerprint
from cutplan.progress.record_beside import has_record, record_path
from cutplan.progress.state import State, begun_with
from cutplan.progress.work import Work, work_on
from cutplan.render.documents.plan_document import document_of
from cutplan.render.written_plan import covered_by, plan_in_use, with_notices
from cutplan.scenario.read import Scenario
from cutplan.scenario.toml_file import parse_toml, read_text
from cutplan.solve import make_plan
from cutplan.table.sequence import sequence_of
from cutplan.table.steps import Sequence
from cutplan.too_few import Covered
from cutplan.whole_file import write_whole

TIME_LIMIT = 10.0
"""Seconds for a plan."""


class NotReadyError(CutplanError):
    """A scenario that holds faults, so that nothing can be planned from it yet."""


class Survey(Struct, frozen=True):
    """A scenario's text as it is now."""

    text: str
    document: dict[str, object]
    """What it holds as TOML; empty where it is none."""
    scenario: Scenario | None
    """What it means; None where it holds faults."""
    faults: tuple[Fault, ...]
    whole: PartedJob | Contract | None = None
    """What it is where it holds several parts, or names several rooms, each of which has a page of its own."""


class Planned(Struct, frozen=True):
    """A plan of a scenario, and how it is recorded once it is worked from."""

    sequence: Sequence
    scenario: Scenario
    first: PlanInUse


class PartlyPlanned(Struct, frozen=True):
    """What too few rolls do, and in which steps; None where they give nothing."""

    covered: Covered
    sequence: Sequence | None


class Desk(Struct, eq=False):
    """The job on the desk."""

    path: Path | None
    """The scenario's file; None while it has no name yet."""
    part: str | None = None
    """Which part of it is meant, where it has several."""
    draft: str = ""
    """Its text while it has no name."""
    lock: RLock = field(default_factory=RLock)
    """Held by whoever writes."""
    _planning: Lock = field(default_factory=Lock)
    _survey: Survey | None = None
    _planned: dict[str, Planned | TooFewRollsError] = field(default_factory=dict)
    _partly: dict[str, PartlyPlanned] = field(default_factory=dict)
    _within: dict[str, Desk] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """What the file is called; empty where it has no name yet."""
        return "" if self.path is None else self.path.name

    @property
    def address(self) -> str:
        """The file, or the part of it, as commands take it."""
        return str(self.path) if self.part is None else f"{self.path}/{self.part}"

    @property
    def holder(self) -> tuple[str | int, ...]:
        """Where in the file the tables of this part stand that it has to itself; empty for the top of the file."""
        part = self.as_part
        name = part.sharing[0].name if part is not None and part.sharing else self.part
        for key in ("band", "border", "damp_lining"):
            for number, entry in enumerate(listed_at(self.survey().document, (key,)) if self.part else ()):
                if isinstance(entry, dict) and entry.get("name") == name:
                    return key, number
        return ()

    @property
    def as_part(self) -> Part | None:
        """The part that this is; None for a whole job, and while there is none."""
        whole = self.survey().whole
        return whole.part(self.part) if self.part is not None and isinstance(whole, PartedJob) else None

    def within(self, name: str) -> Desk | None:
        """Return the desk of one of the parts, or of one of the rooms of a contract; None where there is none."""
        whole, path = self.survey().whole, self.path
        if path is None or self.part is not None:
            return None
        found: tuple[Path, str | None] | None = None
        if isinstance(whole, PartedJob) and whole.part(name) is not None:
            found = path, name
        elif isinstance(whole, Contract):
            rooms = {kind.name: kind.scenario for kind in whole.kinds if kind.surveyed is None}
            found = None if name not in rooms else (Path(rooms[name].source), None)
        if found is None:
            return None
        if name not in self._within or self._within[name].path != found[0]:
            self._within[name] = Desk(*found, lock=self.lock)
        return self._within[name]

    def text(self) -> str:
        """Return the scenario's text as its file has it now; CutplanError when it cannot be read."""
        return self.draft if self.path is None else read_text(self.path)[0]

    def survey(self) -> Survey:
        """Return the scenario as it is now."""
        with self.lock:
            text = self.text()
            if self._survey is None or self._survey.text != text or isinstance(self._survey.whole, Contract):
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
                try:
                    self._planned = {mark: _planned(scenario)}
                except TooFewRollsError as short:
                    if not short.is_proved:
                        raise
                    self._planned = {mark: short}
            found = self._planned[mark]
        if isinstance(found, TooFewRollsError):
            raise found.with_traceback(None)
        return found

    def partly(self, short: TooFewRollsError) -> PartlyPlanned:
        """Return what the rolls of the scenario cover that are too few for it."""
        scenario = self.scenario()
        mark = fingerprint(scenario.document)
        with self._planning:
            if mark not in self._partly:
                covered = covered_by(scenario, short, TIME_LIMIT)
                steps = None if covered.plan is None else sequence_of(covered.plan)
                self._partly = {mark: PartlyPlanned(covered, steps)}
            return self._partly[mark]

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
            return [sha256(self.draft.encode()).hexdigest()[:16], ""]
        return [_mark(self.path), _mark(record_path(self.address))]


def _planned(scenario: Scenario) -> Planned:
    noted = with_notices(scenario, None)
    sequence = sequence_of(make_plan(noted.job, noted.cutting, time_limit=TIME_LIMIT))
    first = plan_in_use(scenario, 1, sequence, document_of(sequence, noted), {})
    return Planned(sequence, noted, first)


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
        job = read_contract(source) if "rooms" in document else parse_job(text, source)
        if part is not None and not isinstance(job, Contract):
            return Survey(text, document, _part_of(job, part, source), (), job if isinstance(job, PartedJob) else None)
    except ScenarioError as error:
        return Survey(text, document, None, error.faults)
    if isinstance(job, Scenario):
        return Survey(text, document, job, ())
    if isinstance(job, Contract):
        what = f"This job has several rooms, each with a page of its own: {', '.join(kind.name for kind in job.kinds)}"
        return Survey(text, document, None, (Fault("", what),), job)
    what = f"This job has several parts, each with a page of its own: cutplan page {', or '.join(job.addresses)}"
    return Survey(text, document, None, (Fault("", what),), job)


def _part_of(job: Scenario | PartedJob, name: str, source: str) -> Scenario:
    part = job.part(name) if isinstance(job, PartedJob) else None
    if part is None:
        names = ", ".join(part.name for part in job.parts) if isinstance(job, PartedJob) else ""
        there = f"its parts are {names}" if names else "it has no parts"
        raise ScenarioError(source, (Fault("", f"has no part {name} any more; {there}"),))
    return part.scenario
