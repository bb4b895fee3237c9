"""``cutplan begin, done, hung, spoiled, measured, bought, undo``: the record of what happens at the table."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from cutplan.cli.app import STATUSES, Debug, TimeLimit, app
from cutplan.cli.terminal import UsageError, faults_told, print_text, tell
from cutplan.cli.work_shared import (
    EntryNumber,
    FirstMotif,
    RecordedScenario,
    answered,
    asked_for,
    first_plan,
    length_if_given,
    length_in,
    numbers_in,
    read_recorded,
    record,
    recording,
    say,
    work_of,
)
from cutplan.progress.entries import Bought, Done, Hung, Measured, Spoiled
from cutplan.progress.purchases import bought_rolls
from cutplan.progress.state import begun_with
from cutplan.progress.work import open_work
from cutplan.render.pages.state_page import event_words, step_lines

if TYPE_CHECKING:
    from cutplan.progress.entries import Event
    from cutplan.progress.plan_in_use import PlanInUse
    from cutplan.progress.state import State
    from cutplan.progress.work import Work
    from cutplan.scenario.read import Scenario


@app.command(epilog=STATUSES)
def begin(
    scenario: RecordedScenario,
    *,
    time_limit: TimeLimit = 10.0,
    debug: Debug = False,
) -> None:
    """Make a scenario's plan the one to work from, and print it.

    Only needed where the search for the plan is stopped before its proof: otherwise the first step done
    begins the work with the plan that `cutplan plan` prints.
    """
    with faults_told(debug=debug):
        read = read_recorded(scenario)
        _refuse_second(work_of(read))
        plan, page = first_plan(read, time_limit)
        with open_work(read) as held:
            _refuse_second(held.work)
            held.record(plan, asked="begin")
        print_text(page)
        answered(read)


@app.command(epilog=STATUSES)
def done(
    scenario: RecordedScenario,
    steps: Annotated[list[str], typer.Argument(metavar="STEP...", help="Numbers of steps, such as 4 or 4-9.")],
    *,
    times: Annotated[
        int, typer.Option(min=1, metavar="N", help="On how many rolls, where steps are for several cut alike.")
    ] = 1,
    first_motif: FirstMotif = None,
    entry: EntryNumber = None,
    debug: Debug = False,
) -> None:
    """Record that steps of the plan are done.

    The first step done begins the work: from then on the plan stays as it is, whatever the program would
    plan later. The first motif of a sealed roll is best measured when it is opened: then what is left
    on it is known exactly.

        cutplan done room.toml 1-3 --first-motif "310 mm"
    """
    with faults_told(debug=debug):
        read = read_recorded(scenario)
        numbers = tuple(number for step in steps for number in numbers_in(step))
        motif = length_if_given(first_motif, read)
        plan = None if work_of(read).state is not None else _plan_to_begin_with(read, Done(1, numbers, times, motif))
        asked = asked_for("done", *numbers, times, motif)
        with recording(read, entry, asked) as held:
            before = held.work.state
            first: list[Event] = [plan] if before is None and plan is not None else []
            number = before.plan.number if before is not None else 1
            state = held.record(*first, Done(number, numbers, times, motif), asked=asked)
        if first:
            tell(f"work is begun: plan 1, with its record in {held.work.path}")
        say(read, state, _done_lines(state, numbers))


@app.command(epilog=STATUSES)
def hung(
    scenario: RecordedScenario,
    drops: Annotated[list[str], typer.Argument(metavar="DROP...", help="What is written on their backs.")],
    *,
    entry: EntryNumber = None,
    debug: Debug = False,
) -> None:
    """Record that drops are hung."""
    with faults_told(debug=debug):
        read = read_recorded(scenario)
        state = record(read, entry, Hung(tuple(drops)))
        say(read, state, [f"Hung: {', '.join(drops)}."])


@app.command(epilog=STATUSES)
def spoiled(
    scenario: RecordedScenario,
    drop: Annotated[str, typer.Argument(metavar="DROP", help="What is written on its back.")],
    *,
    why: Annotated[str, typer.Option(metavar="TEXT", help="What happened.")],
    good: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="Keep so much of it, sound, from its top end.")
    ] = None,
    from_foot: Annotated[bool, typer.Option("--from-foot", help="What is sound is at its foot.")] = False,
    entry: EntryNumber = None,
    debug: Debug = False,
) -> None:
    """Record that a drop is spoiled, on the table or on the wall, so that it is wanted again.

    cutplan spoiled room.toml 7 --why "torn in folding" --good "900 mm"
    """
    with faults_told(debug=debug):
        read = read_recorded(scenario)
        state = record(read, entry, Spoiled(drop, why, length_if_given(good, read), good_at_top=not from_foot))
        say(read, state, [f"Spoiled: drop {drop} ({why})."])


@app.command(epilog=STATUSES)
def measured(
    scenario: RecordedScenario,
    roll: Annotated[str, typer.Argument(metavar="ROLL", help="Its label.")],
    length: Annotated[str, typer.Argument(metavar="LENGTH", help="What is left on it, from its present end.")],
    *,
    first_motif: FirstMotif = None,
    entry: EntryNumber = None,
    debug: Debug = False,
) -> None:
    """Record what is left on a roll: found short, or more certain than it was.

    cutplan measured room.toml roll-2 "7.10 m"
    """
    with faults_told(debug=debug):
        read = read_recorded(scenario)
        state = record(read, entry, Measured(roll, length_in(length, read), length_if_given(first_motif, read)))
        say(read, state, [f"Measured: {roll}."])


@app.command(epilog=STATUSES)
def bought(
    scenario: RecordedScenario,
    count: Annotated[int, typer.Argument(metavar="ROLLS", min=1, max=1000, help="How many rolls.")],
    *,
    length: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="Of each; otherwise as the paper is marked.")
    ] = None,
    batch: Annotated[str | None, typer.Option(metavar="BATCH", help="As printed on the labels.")] = None,
    entry: EntryNumber = None,
    debug: Debug = False,
) -> None:
    """Record that further rolls have come in, where the scenario lists the rolls in hand.

    See that they are of the same batch.
    """
    with faults_told(debug=debug):
        read = read_recorded(scenario)
        work_of(read).begun()
        asked = asked_for("bought", count, length, batch)
        with recording(read, entry, asked) as held:
            rolls = bought_rolls(held.work.begun(), count, length_if_given(length, read), batch)
            state = held.record(Bought(rolls), asked=asked)
        say(read, state, [f"Bought: {', '.join(roll.lot.label for roll in rolls)}."])


@app.command(epilog=STATUSES)
def undo(scenario: RecordedScenario, *, entry: EntryNumber = None, debug: Debug = False) -> None:
    """Take back the last thing recorded. The record keeps both: what was recorded, and that it was undone."""
    with faults_told(debug=debug):
        read = read_recorded(scenario)
        work_of(read).begun()
        with recording(read, entry, "undo") as held:
            last = held.undo("undo")
        say(read, held.work.begun(), [f"Undone: {event_words(last.event)}."])


def _refuse_second(work: Work) -> None:
    if work.state is not None:
        raise UsageError(f"work on it is begun already, by plan {work.state.plan.number}; see: cutplan status")


def _plan_to_begin_with(scenario: Scenario, first: Done) -> PlanInUse:
    """Return the plan that ``cutplan plan`` prints, if ``first`` can be the first thing done by it."""
    plan, _ = first_plan(scenario, None)
    begun_with(plan, scenario.job, scenario.units).after(first)
    return plan


def _done_lines(state: State, numbers: tuple[int, ...]) -> list[str]:
    last = state.plan.step(numbers[-1])
    assert last is not None  # noqa: S101 - it was just done
    heading = "Done:" if len(numbers) == 1 else f"Done: {len(numbers)} steps, the last of them"
    return [heading, *step_lines(last, state.done[last.number] - 1)]
