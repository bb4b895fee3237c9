"""What entries add up to: which of them count, what rests on which, and the state that they leave."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Final

from msgspec.structs import replace

from cutplan.job.job import Job
from cutplan.progress.entries import AtWork, Bought, Corrected, Event, Flawed, Measured, Recorded, Undone
from cutplan.progress.plan_in_use import PlanInUse
from cutplan.progress.record import Json
from cutplan.progress.state import NotPossibleError, State, begun_with
from cutplan.scenario.read import Scenario, scenario_of

_NAMES_NO_DROP: Final = (AtWork, Bought, Flawed, Measured)


def state_of(events: Iterable[Recorded], job: Job, units: str) -> State | None:
    """Return the state that events add up to; None when no plan has been begun.

    Raises
    ------
    NotPossibleError
        When the record holds what cannot have happened: which entry.

    """
    state: State | None = None
    counted = counting(events)
    first = first_job(counted, job)
    for recorded in counted:
        try:
            state = _next(state, recorded, first, units)
        except NotPossibleError as error:
            raise NotPossibleError(f"entry {recorded.number} of the record: {error}") from error
    return state


def first_job(counted: list[Recorded], job: Job) -> Job:
    """Return the job as it was when work began; ``job`` is what it now is."""
    if any(isinstance(recorded.event, Corrected) for recorded in counted):
        return scenario_in_force(counted[:1], "").job
    return job


def version_in_force(counted: list[Recorded]) -> PlanInUse | Corrected | None:
    """Return the entry that holds the scenario as it now counts: the last correction, or else the first plan."""
    events = [recorded.event for recorded in counted]
    corrected = [event for event in events if isinstance(event, Corrected)]
    return corrected[-1] if corrected else next((event for event in events if isinstance(event, PlanInUse)), None)


def document_of_version(version: PlanInUse | Corrected) -> Json:
    """Return the scenario that an entry holds, as plain JSON."""
    document = version.document if isinstance(version, Corrected) else version.document["scenario"]
    assert isinstance(document, dict)  # noqa: S101 - so it was written
    return document


def scenario_in_force(counted: list[Recorded], source: str) -> Scenario:
    """Return the scenario as it counts after these entries, the first of them a plan, as if read from ``source``."""
    version = version_in_force(counted)
    assert version is not None  # noqa: S101 - nothing is recorded before the first plan
    document = document_of_version(version)
    return replace(scenario_of(document, source), document=document)


def _next(state: State | None, recorded: Recorded, job: Job, units: str) -> State:
    return begun_with(recorded.event, job, units) if state is None else state.after(recorded.event)


def counting(events: Iterable[Recorded]) -> list[Recorded]:
    """Return the events that still count: those not undone, in order.

    Raises
    ------
    NotPossibleError
        When an entry undoes one that does not count.

    """
    still: dict[int, Recorded] = {}
    for recorded in events:
        if not isinstance(recorded.event, Undone):
            still[recorded.number] = recorded
        elif still.pop(recorded.event.entry, None) is None:
            what = f"undoes entry {recorded.event.entry}, which does not count"
            raise NotPossibleError(f"entry {recorded.number} of the record {what}")
    return list(still.values())


def resting_on(numbers: Collection[int], counted: list[Recorded], job: Job, units: str) -> list[Recorded]:
    """Return the entries that could not have happened without those of these ``numbers``, in order.

    A plan and a correction rest on what they were made from; what was done by a plan, on the plan; and what names a
    drop, on the correction that the name is from.
    """
    job, resting = first_job(counted, job), []
    was: State | None = None
    now: State | None = None
    is_renamed = False
    for recorded in counted:
        before, was = was, _next(was, recorded, job, units)
        event = recorded.event
        rests = recorded.number in numbers or (is_renamed and not isinstance(event, _NAMES_NO_DROP))
        rests = rests or _made_from(event, before) != _made_from(event, now)
        try:
            now = now if rests else _next(now, recorded, job, units)
        except NotPossibleError:
            rests = True
        is_renamed = is_renamed or (rests and isinstance(event, Corrected))
        resting += [recorded] if rests and recorded.number not in numbers else []
    return resting


def _made_from(event: Event, state: State | None) -> object:
    if state is None:
        return None
    if isinstance(event, Corrected):
        return state.on_table, state.hung
    return (state.remaining, dict(state.rolls), state.bought) if isinstance(event, PlanInUse) else None
