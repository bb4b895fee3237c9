"""Work on one scenario: its record opened, held against the scenario as it now is, and added to."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from msgspec import Struct

from cutplan.errors import CutplanError
from cutplan.interruption import undisturbed
from cutplan.plain_text import one_line
from cutplan.progress.corrected_survey import changes, correction
from cutplan.progress.counted import (
    counting,
    document_of_version,
    resting_on,
    scenario_in_force,
    state_of,
    version_in_force,
)
from cutplan.progress.entries import Corrected, Event, Recorded, Undone, facts_of, recorded
from cutplan.progress.plan_in_use import PlanInUse
from cutplan.progress.record import OpenRecord, RecordError, RecordRead, fingerprint, open_record, read_record
from cutplan.progress.record_beside import end_path, record_path
from cutplan.progress.state import NotPossibleError, State, begun_with
from cutplan.scenario.read import Scenario


class ChangedScenarioError(CutplanError):
    """A record that was made for another version of its scenario: the message says what changed."""

    exit_status = 2


class RestingError(NotPossibleError):
    """Entries that cannot be taken back alone: ``resting`` are those that rest on them."""

    def __init__(self, resting: list[Recorded], numbers: tuple[int, ...]) -> None:
        super().__init__("other entries rest on it")
        self.resting = resting
        self.numbers = numbers


class NotBegunError(CutplanError):
    """No work has been recorded for this scenario."""

    exit_status = 2


class Work(Struct, frozen=True):
    """The work recorded for a scenario."""

    path: Path
    """The record."""
    entries: tuple[Recorded, ...]
    """All that was recorded, in order."""
    state: State | None
    """Where that leaves the job; None when no plan was begun."""
    notes: tuple[str, ...] = ()
    """What the user should hear about the record."""
    unanswered: tuple[Recorded, ...] = ()
    """What the last command recorded, which was stopped before it could say so; empty when it did."""
    asked: str = ""
    """The words of that command."""

    @property
    def counting(self) -> list[Recorded]:
        """Entries that still count, in order."""
        return counting(self.entries)

    @property
    def last_step(self) -> int:
        """The highest number that a step of any plan, undone ones included, has had; 0 when there was none."""
        plans = (entry.event for entry in self.entries if isinstance(entry.event, PlanInUse))
        return max((plan.last for plan in plans), default=0)

    @property
    def last_plan(self) -> int:
        """The highest number that a plan, undone ones included, has had; 0 when there was none."""
        plans = (entry.event for entry in self.entries if isinstance(entry.event, PlanInUse))
        return max((plan.number for plan in plans), default=0)

    def begun(self) -> State:
        """Return the state.

        Raises
        ------
        NotBegunError
            When nothing was recorded yet.

        """
        if self.state is None:
            raise NotBegunError(f"{self.path}: there is no record yet; it begins with the first step done")
        return self.state


def work_on(scenario: Scenario) -> Work:
    """Return the work recorded for a scenario.

    Raises
    ------
    RecordError
        When the record cannot be read.
    ChangedScenarioError
        When the scenario is not what it was when the record was begun.

    """
    path = record_path(scenario.source)
    return _work(read_record(path), path, scenario)


def _work(reading: RecordRead, path: Path, scenario: Scenario) -> Work:
    entries = recorded(reading, path)
    _refuse_changes(entries, path, scenario)
    try:
        state = state_of(entries, scenario.job, scenario.units)
    except KeyError as error:
        what = f"it tells of {one_line(str(error))}, which is not in its plan or its scenario"
        raise RecordError(f"{path}: {what}; put back the record as it was, from a copy") from error
    unanswered = entries[reading.answered :]
    asked = reading.entries[-1].asked if unanswered else ""
    return Work(path, entries, state, tuple(reading.notes(path)), unanswered, asked)


def _refuse_changes(entries: tuple[Recorded, ...], path: Path, scenario: Scenario) -> None:
    version = version_in_force(counting(entries))
    if version is None or version.scenario == fingerprint(scenario.document):
        return
    lines = [f"{scenario.source} has changed since work on it was first recorded in {path}:"]
    lines += [f"  {change}" for change in changes(document_of_version(version), scenario.document)]
    lines.append(
        f"if the walls proved so, record it: cutplan corrected {scenario.source}; else put it back as it was: what "
        "happens at the table is recorded, not written into the scenario (cutplan measured, cutplan bought); or begin "
        f"afresh, with {path} and {end_path(path).name} moved away"
    )
    raise ChangedScenarioError("\n".join(lines))


class OpenWork:
    """Work that this process alone may add to, until its ``with`` block ends."""

    def __init__(self, held: OpenRecord, path: Path, scenario: Scenario) -> None:
        self._held = held
        self._path = path
        self.scenario = scenario
        """What it is work on."""
        self.work = _work(held.reading, path, scenario)
        """As it stands, with what was just recorded."""

    def record(self, *events: Event, asked: str = "") -> State:
        """Record events one after another, and return the state after them; ``asked`` is the command that does so.

        Raises
        ------
        NotBegunError
            When no plan was begun, and the first of them is none.
        NotPossibleError
            When one of them cannot have happened; none is recorded then.
        RecordError
            When the record cannot be written.

        """
        state = self.work.state
        for event in events:
            if state is None and isinstance(event, PlanInUse):
                state = begun_with(event, self.scenario.job, self.scenario.units)
            else:
                state = (state or self.work.begun()).after(event, is_new=True)
        with undisturbed():
            for event in events:
                self._held.append(*facts_of(event), asked)
        self.work = _work(self._held.reading, self._path, self.scenario)
        return self.work.begun()

    def undo(self, numbers: tuple[int, ...] = (), asked: str = "") -> list[Recorded]:
        """Record that entries do not count, by default the last that does, and return them; ``asked`` is the command.

        Raises
        ------
        NotPossibleError
            When one of them cannot be taken back, or others rest on them, which the message lists.

        """
        state = self.work.begun()
        first, *later = self.work.counting
        by_number = {entry.number: entry for entry in later}
        if not later:
            raise NotPossibleError("there is nothing to undo")
        numbers = numbers or (later[-1].number,)
        for number in numbers:
            if number == first.number:
                raise NotPossibleError(f"entry {number} is the plan that the work began with; it stays")
            if number not in by_number:
                raise NotPossibleError(f"there is no entry {number} that counts; see: cutplan status --entries")
        resting = resting_on(numbers, self.work.counting, state.job, state.units)
        if resting:
            raise RestingError(resting, numbers)
        taken_back = [by_number[number] for number in sorted(set(numbers), reverse=True)]
        with undisturbed():
            for entry in taken_back:
                self._held.append(*facts_of(Undone(entry.number)), asked)
        if any(isinstance(entry.event, Corrected) for entry in taken_back):
            counted = counting(recorded(self._held.reading, self._path))
            self.scenario = scenario_in_force(counted, self.scenario.source)
        self.work = _work(self._held.reading, self._path, self.scenario)
        return taken_back

    def correct_to(
        self, scenario: Scenario, *, from_new_start: bool | None = None, asked: str = ""
    ) -> Corrected | None:
        """Record that ``scenario`` is the one that counts, and return the entry; None where it is what it was.

        Raises as :meth:`record` does, and :exc:`NotPossibleError` for a change that is no correction of walls or drops.
        """
        state = self.work.begun()
        if scenario.document == self.scenario.document:
            return None
        event = correction(state, self.scenario, scenario, from_new_start=from_new_start)
        self.scenario = scenario
        self.record(event, asked=asked)
        return event

    def answer(self) -> None:
        """Note that the user was told of all that is recorded."""
        self._held.answer()


@contextmanager
def open_work(scenario: Scenario, *, as_it_was: bool = False) -> Iterator[OpenWork]:
    """Hold the work recorded for a scenario, so that no other process adds to it meanwhile.

    Raises
    ------
    RecordError
        When the record cannot be opened or read.
    ChangedScenarioError
        When the scenario is not what it was when the record was begun; ``as_it_was`` opens the work on that.

    """
    path = record_path(scenario.source)
    with open_record(path) as held:
        counted = counting(recorded(held.reading, path)) if as_it_was else []
        yield OpenWork(held, path, scenario_in_force(counted, scenario.source) if counted else scenario)
