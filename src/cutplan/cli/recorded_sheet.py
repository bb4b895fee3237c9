"""The plan in use of work that is recorded, made once more to be drawn, with what is done and spoiled."""

from __future__ import annotations

from msgspec.structs import replace

from cutplan.cli.plan_work import solved
from cutplan.cli.terminal import UsageError
from cutplan.cli.work_shared import replan_command, work_of
from cutplan.progress.counted import scenario_in_force, state_of
from cutplan.progress.entries import Corrected
from cutplan.progress.plan_in_use import PlanInUse
from cutplan.progress.remains import misfits
from cutplan.progress.state import State
from cutplan.progress.still_enough import sequence_of_rest, still_enough
from cutplan.progress.work import Work
from cutplan.render.sheet.step_cards import Marks
from cutplan.render.words.step_words import words_of
from cutplan.render.written_plan import with_notices
from cutplan.scenario.read import Scenario
from cutplan.table.sequence import sequence_of
from cutplan.table.steps import Sequence
from cutplan.wording import counted


def plan_at_work(scenario: Scenario, time_limit: float) -> tuple[Scenario, Sequence, Marks] | None:
    """Return what the plan in use was made for, its steps, and what the record marks; None before any plan is in use.

    Raises
    ------
    UsageError
        When the plan cannot be found as it was, because its search was stopped.

    """
    work = work_of(scenario)
    state = work.state
    if state is None:
        return None
    before, scenario = _before(work, state.plan, scenario)
    made_for, sequence = _made_again(scenario, before, state.plan, time_limit)
    told = words_of(sequence, scenario.units)
    if [told(step) for step in sequence.steps] != [step.words for step in state.plan.steps]:
        raise UsageError(
            f"{work.path}: plan {state.plan.number} cannot be found once more as it was, for its search was stopped: "
            f"give it more time by --time-limit, or make a plan that can: {replan_command(scenario)}"
        )
    return made_for, sequence, _marks(work, state, before)


def _before(work: Work, plan: PlanInUse, scenario: Scenario) -> tuple[State | None, Scenario]:
    """Return the state that a plan was made in, None for the first; and the scenario as it was then."""
    events = work.counting
    place = next(
        place
        for place, entry in enumerate(events)
        if isinstance(entry.event, PlanInUse) and entry.event.number == plan.number
    )
    if any(isinstance(entry.event, Corrected) for entry in events[place:]):
        scenario = scenario_in_force(events[: place + 1], scenario.source)
    return state_of(events[:place], scenario.job, scenario.units), scenario


def _made_again(
    scenario: Scenario, before: State | None, plan: PlanInUse, time_limit: float
) -> tuple[Scenario, Sequence]:
    if before is None:
        noted = with_notices(scenario, None)
        return scenario, sequence_of(solved(noted, time_limit))
    answer = still_enough(before, scenario, time_limit=time_limit)
    if answer.plan is None:
        raise UsageError("the plan in use cannot be found again")
    made_for = replace(answer.remains.scenario, setting_out=scenario.setting_out, source=scenario.source)
    return made_for, sequence_of_rest(answer.plan, scenario.cutting, before, plan.first)


def _marks(work: Work, state: State, before: State | None) -> Marks:
    done = [step.number for step in state.plan.steps if state.done.get(step.number, 0) >= step.count]
    spoiled = [loss.piece for loss in state.spoiled[0 if before is None else len(before.spoiled) :]]
    said = (
        f"Plan {state.plan.number} of this job, after {counted(len(work.entries), 'entry', 'entries')} of its record: "
    )
    said += f"{len(done)} of {counted(len(state.plan.steps), 'step')} done."
    if misfits(state):
        said += " It no longer holds for all that remains: plan the rest anew by cutplan replan."
    return Marks(frozenset(done), frozenset(spoiled), said)
