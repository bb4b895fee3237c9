"""``cutplan begin, done, cut, pasted, hung, spoiled …``: the record of what happens at the table."""

from __future__ import annotations

from typing import Annotated, Final, Literal

import typer

from cutplan.cli.app import TimeLimit, command
from cutplan.cli.terminal import UsageError, print_text, tell
from cutplan.cli.work_shared import (
    SCENARIO_HELP,
    EntryNumber,
    FirstMotif,
    RecordedScenario,
    answered,
    asked_for,
    begun_for,
    first_plan,
    job_and_words,
    length_if_given,
    numbers_in,
    read_recorded,
    record,
    recording,
    say,
    work_of,
)
from cutplan.lengths import Length, read_length
from cutplan.progress.entries import AtWork, Bought, Corrected, Done, Event, Flawed, Hung, Measured, Pasted, Spoiled
from cutplan.progress.plan_in_use import PlanInUse
from cutplan.progress.purchases import bought_rolls
from cutplan.progress.record_beside import has_record
from cutplan.progress.state import NotPossibleError, State, begun_with, drop_of
from cutplan.progress.work import RestingError, Work
from cutplan.render.pages.state_page import (
    begins_otherwise,
    correction_lines,
    event_words,
    lying_lines,
    sentence,
    step_lines,
)
from cutplan.scenario.read import Scenario

Pieces = Annotated[
    list[str] | None, typer.Argument(metavar="[SCENARIO] [DROP]...", help="What is written on their backs.")
]
MOST_BOUGHT: Final = 1000


@command
def begin(
    scenario: Annotated[str, typer.Argument(metavar="SCENARIO", help=SCENARIO_HELP)],
    *,
    time_limit: TimeLimit = 10.0,
    entry: EntryNumber = None,
) -> None:
    """Make a scenario's plan the one to work from, and print it.

    Only needed where the search for the plan is stopped before its proof: otherwise the first step done
    begins the work with the plan that `cutplan plan` prints.
    """
    read = read_recorded(scenario)
    _refuse_second(work_of(read))
    plan, page = first_plan(read, time_limit)
    with recording(read, entry, "begin") as held:
        _refuse_second(held.work)
        held.record(plan, asked="begin")
    print_text(page)
    answered(read)


@command
def done(
    words: Annotated[
        list[str] | None, typer.Argument(metavar="[SCENARIO] [STEP]...", help="4, or 4-9; by default the next step.")
    ] = None,
    *,
    times: Annotated[
        int, typer.Option(min=1, metavar="N", help="On how many rolls, where steps are for several cut alike.")
    ] = 1,
    first_motif: FirstMotif = None,
    entry: EntryNumber = None,
) -> None:
    """Record that steps of the plan are done; without a number, the next one.

    The first step done begins the work: from then on the plan stays as it is, whatever the program would
    plan later. The first motif of a sealed roll is best measured when it is opened: then what is left
    on it is known exactly.

        cutplan done room.toml 1-3 --first-motif "310 mm"
    """
    read, named = job_and_words(words)
    numbers = tuple(number for step in named for number in numbers_in(step))
    motif = length_if_given(first_motif, read)
    begun = work_of(read).state
    plan = None if begun is not None else _plan_to_begin_with(read, Done(1, numbers or (1,), times, motif))
    asked = asked_for("done", *numbers, times, motif)
    with recording(read, entry, asked, is_bare=not numbers) as held:
        before = held.work.state
        first: list[Event] = [plan] if before is None and plan is not None else []
        numbers = numbers or (1 if before is None else _next_step(before),)
        number = before.plan.number if before is not None else 1
        state = held.record(*first, Done(number, numbers, times, motif), asked=asked)
    if first:
        tell(f"work is begun: plan 1, with its record in {held.work.path}")
    say(read, state, _done_lines(state, numbers, motif))


@command
def cut(
    words: Annotated[
        list[str] | None, typer.Argument(metavar="[SCENARIO] DROP [LENGTH]", help="How long it was cut; as planned.")
    ] = None,
    *,
    roll: Annotated[str | None, typer.Option("--from", metavar="ROLL", help="Which roll it was cut from.")] = None,
    entry: EntryNumber = None,
) -> None:
    """Record a drop that was cut too long or too short, or from another roll than planned.

    A drop that is cut already is found to be of this length. One that is too short for its place is kept as a rest,
    and wanted again.

        cutplan cut 5 "2.45 m" --from roll-3
    """
    read, named = job_and_words(words)
    drop, length = _two(named, 'give the drop, and its length: cutplan cut 5 "2.45 m"', fewest=1)
    exact = length_if_given(length, read)
    asked = asked_for("cut", drop, exact, roll)
    work_of(read).begun()
    with recording(read, entry, asked) as held:
        event = held.work.begun().cut_of(drop or "", roll, exact)
        state = held.record(event, asked=asked)
    is_lost = event.piece not in state.on_table
    rest = next((label for label in reversed([*state.rolls]) if label.startswith("rest ")), "")
    lines = [sentence(event_words(event, read.units))]
    lines += [f"That is too short for its place: kept as {rest}, and wanted again."] if is_lost else []
    say(read, state, lines)


@command
def pasted(words: Pieces = None, *, entry: EntryNumber = None) -> None:
    """Record that drops are pasted and folded; without a name, the next one to hang."""
    read, named = job_and_words(words)
    state = begun_for(read, entry, is_bare=not named)
    drops = named or [_next_of(state, [piece for piece in state.on_table if piece not in state.pasted])]
    state = record(read, entry, Pasted(tuple(drops)), is_bare=not named)
    say(read, state, [f"Pasted and folded: {', '.join(drops)}."])


@command
def hung(words: Pieces = None, *, entry: EntryNumber = None) -> None:
    """Record that drops are hung; without a name, the next in hanging order of those on the table."""
    read, named = job_and_words(words)
    state = begun_for(read, entry, is_bare=not named)
    drops = named or [_next_of(state, list(state.on_table))]
    state = record(read, entry, Hung(tuple(drops)), is_bare=not named)
    say(read, state, [f"Hung: {', '.join(drops)}."])


@command
def spoiled(
    words: Annotated[
        list[str] | None, typer.Argument(metavar="[SCENARIO] [DROP]", help="By default the one on the table.")
    ] = None,
    *,
    why: Annotated[str, typer.Option(metavar="TEXT", help="What happened.")] = "not told why",
    good: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="Keep so much of it, sound, from its top end.")
    ] = None,
    from_foot: Annotated[bool, typer.Option("--from-foot", help="What is sound is at its foot.")] = False,
    entry: EntryNumber = None,
) -> None:
    """Record that a drop is spoiled, on the table or on the wall, so that it is wanted again.

    cutplan spoiled room.toml 7 --why "torn in folding" --good "900 mm"
    """
    read, named = job_and_words(words)
    lying = begun_for(read, entry, is_bare=not named).on_table
    if len(named) > 1 or (not named and len(lying) != 1):
        raise UsageError(f"say which drop is spoiled; on the table: {', '.join(lying) or 'none'}")
    drop = named[0] if named else lying[0]
    event = Spoiled(drop, why, length_if_given(good, read), good_at_top=not from_foot)
    say(read, record(read, entry, event, is_bare=not named), [f"Spoiled: drop {drop} ({why})."])


@command
def measured(
    words: Annotated[
        list[str] | None,
        typer.Argument(metavar="[SCENARIO] ROLL LENGTH", help="What is left on it, from its present end."),
    ] = None,
    *,
    first_motif: FirstMotif = None,
    entry: EntryNumber = None,
) -> None:
    """Record what is left on a roll: found short, or more certain than it was.

    cutplan measured room.toml roll-2 "7.10 m"
    """
    read, named = job_and_words(words)
    roll, length = _two(named, 'give the roll, and what is left on it: cutplan measured roll-2 "7.10 m"')
    work_of(read).begun()
    event = Measured(roll or "", read_length(length or "", read.units), length_if_given(first_motif, read))
    say(read, record(read, entry, event), [f"Measured: {roll}."])


@command
def flaw(
    words: Annotated[
        list[str] | None,
        typer.Argument(metavar="[SCENARIO] ROLL LENGTH", help="How much paper is of no use, along the roll."),
    ] = None,
    *,
    at: Annotated[str, typer.Option("--at", metavar="LENGTH", help="From the roll's present end to the flaw.")],
    entry: EntryNumber = None,
) -> None:
    """Record a flaw that was found on a roll: what lies before and beyond it is still cut.

    cutplan flaw roll-2 "150 mm" --at "1.80 m"
    """
    read, named = job_and_words(words)
    roll, length = _two(named, 'give the roll, and how long the flaw is: cutplan flaw roll-2 "150 mm" --at "1.8 m"')
    work_of(read).begun()
    event = Flawed(roll or "", read_length(at, read.units), read_length(length or "", read.units))
    say(read, record(read, entry, event), [sentence(event_words(event, read.units))])


@command
def bought(
    words: Annotated[list[str] | None, typer.Argument(metavar="[SCENARIO] ROLLS", help="How many rolls.")] = None,
    *,
    length: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="Of each; otherwise as the paper is marked.")
    ] = None,
    batch: Annotated[str | None, typer.Option(metavar="BATCH", help="As printed on the labels.")] = None,
    sheet: Annotated[int | None, typer.Option(metavar="NUMBER", help="Which sheet of a numbered set it is.")] = None,
    entry: EntryNumber = None,
) -> None:
    """Record that further rolls have come in, where the scenario lists the rolls in hand.

    See that they are of the same batch.
    """
    read, named = job_and_words(words)
    if len(named) != 1 or named[0] not in map(str, range(1, MOST_BOUGHT + 1)):
        raise UsageError(f"say how many rolls came in, 1 to {MOST_BOUGHT}: cutplan bought 2")
    work_of(read).begun()
    asked = asked_for("bought", named[0], length, batch, *(() if sheet is None else (str(sheet),)))
    with recording(read, entry, asked) as held:
        rolls = bought_rolls(held.work.begun(), int(named[0]), length_if_given(length, read), batch, sheet)
        state = held.record(Bought(rolls), asked=asked)
    say(read, state, [sentence(event_words(Bought(rolls)))])


@command
def corrected(
    scenario: RecordedScenario = None,
    *,
    hung_from: Annotated[
        Literal["old", "new"] | None,
        typer.Option("--hung-from", help="From which start what hangs was hung, where it has moved."),
    ] = None,
    entry: EntryNumber = None,
) -> None:
    """Record that the scenario was corrected: a wall or an opening proved otherwise, or hanging begins elsewhere.

    What is hung stays. What is cut is kept for its place, where it still serves there, and otherwise as paper.
    """
    read = read_recorded(scenario)
    if not has_record(read.source):
        work_of(read).begun()
    with recording(read, entry, "corrected", as_it_was=True) as held:
        before = held.work.begun()
        is_new = None if hung_from is None else hung_from == "new"
        event = held.correct_to(read, from_new_start=is_new, asked="corrected")
        state = held.work.begun()
    if event is None:
        raise UsageError(f"{read.source} is what it was: correct it there first, then record it")
    say(read, state, correction_lines(event, before, state))


@command
def stop(scenario: RecordedScenario = None, *, entry: EntryNumber = None) -> None:
    """Record the day's end, and say what is not to be left overnight."""
    read = read_recorded(scenario)
    work_of(read).begun()
    state = record(read, entry, AtWork(begins=False))
    say(read, state, ["The day's end.", *lying_lines(state)])


@command
def resume(
    scenario: RecordedScenario = None,
    *,
    by: Annotated[str | None, typer.Option(metavar="NAME", help="Who is at work from now on.")] = None,
    entry: EntryNumber = None,
) -> None:
    """Record the day's start, or that somebody else takes the work up, and say what lies ready."""
    read = read_recorded(scenario)
    work_of(read).begun()
    state = record(read, entry, AtWork(begins=True, by=by))
    say(read, state, [f"Work is taken up{'' if by is None else f' by {by}'}.", *lying_lines(state)])


@command
def undo(
    words: Annotated[
        list[str] | None, typer.Argument(metavar="[SCENARIO] [ENTRY]...", help="Numbers; by default the last.")
    ] = None,
    *,
    entry: EntryNumber = None,
) -> None:
    """Take back the last thing recorded, or any by its number, saying first what rests on it.

    The record keeps both: what was recorded, and that it was undone. `cutplan status --entries` shows the numbers.
    """
    read, named = job_and_words(words)
    numbers = tuple(number for word in named for number in numbers_in(word, "entry"))
    work_of(read).begun()
    asked = asked_for("undo", *numbers)
    with recording(read, entry, asked) as held:
        try:
            gone = held.undo(numbers, asked)
        except RestingError as error:
            lines = [f"entry {other.number}, {event_words(other.event, read.units)}" for other in error.resting]
            every = " ".join(str(number) for number in sorted({*numbers, *(one.number for one in error.resting)}))
            raise UsageError(
                "\n".join(["what rests on it has to go with it:", *lines, f"to take all back: cutplan undo {every}"])
            ) from error
    lines = [f"Undone: {event_words(old.event, read.units)}." for old in gone]
    if any(isinstance(old.event, PlanInUse) for old in gone):
        lines.append("The plan before it is in use again.")
    if any(isinstance(old.event, Corrected) for old in gone):
        lines.append(f"Put {read.source} back as it was, or record anew how it is: cutplan corrected.")
    say(read, held.work.begun(), lines)


def _refuse_second(work: Work) -> None:
    if work.state is not None:
        raise UsageError(f"work on it is begun already, by plan {work.state.plan.number}; see: cutplan status")


def _plan_to_begin_with(scenario: Scenario, first: Done) -> PlanInUse:
    """Return the plan that ``cutplan plan`` prints, if ``first`` can be the first thing done by it."""
    plan, _ = first_plan(scenario, None)
    begun_with(plan, scenario.job, scenario.units).after(first)
    return plan


def _next_step(state: State) -> int:
    if state.next_step is None:
        raise NotPossibleError("no step of the plan is left to do")
    return state.next_step.number


def _next_of(state: State, pieces: list[str]) -> str:
    """Return the piece that is hung before the others."""
    if not pieces:
        raise NotPossibleError("nothing such lies on the table")
    labels = [drop.label for drop in state.job.drops]
    return min(pieces, key=lambda piece: labels.index(drop_of(piece)))


def _two(words: list[str], usage: str, fewest: int = 2) -> tuple[str | None, str | None]:
    if not fewest <= len(words) <= 2:  # noqa: PLR2004 - two
        raise UsageError(usage)
    first, second = [*words, None][:2]
    return first, second


def _done_lines(state: State, numbers: tuple[int, ...], motif: Length | None) -> list[str]:
    last = state.plan.step(numbers[-1])
    assert last is not None  # noqa: S101 - it was just done
    heading = "Done:" if len(numbers) == 1 else f"Done: {len(numbers)} steps, the last of them"
    return [heading, *step_lines(last, state.done[last.number] - 1), *begins_otherwise(state, numbers, motif)]
