"""Random days on small jobs: every kind of entry, tried, recorded, read again, judged, and replanned."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

from cutplan.check import check_text
from cutplan.errors import NoPlanError
from cutplan.progress.counted import resting_on
from cutplan.progress.entries import AtWork, Bought, Done, Event, Flawed, Hung, Measured, Pasted, Spoiled
from cutplan.progress.purchases import bought_rolls
from cutplan.progress.remains import remains_of
from cutplan.progress.rest_sequence import rest_sequence
from cutplan.progress.state import NotPossibleError, State
from cutplan.progress.still_enough import still_enough
from cutplan.progress.work import OpenWork, open_work, work_on
from cutplan.solve.ordering import order_cuts
from replanned import begun, least_further, put_to_use, scenario_at_random

ENTRIES = 30
"""Entries that are tried on a day."""


@dataclass(frozen=True)
class Day:
    """How many entries were recorded, and what is amiss."""

    entries: int
    faults: tuple[str, ...]


def random_day(seed: int) -> Day:
    """Return a day on a random job: of each state the record says the same when it is read again."""
    scenario = scenario_at_random(seed)
    state = begun(scenario)
    if state is None:
        return Day(0, ())
    chance = Random(seed)  # noqa: S311 - repeatable, nothing secret
    faults: list[str] = []
    with TemporaryDirectory() as name:
        scenario = replace(scenario, source=str(Path(name) / "job.toml"))
        with open_work(scenario) as held:
            held.record(state.plan)
            for _ in range(ENTRIES):
                faults += _entry(held, chance)
        work = work_on(scenario)
        record = Path(name, "job.record.jsonl").read_text(encoding="utf-8")
        faults += [violation.line() for violation in check_text(record).violations]
        state = work.begun()
    faults += _paper(state)
    if state.remaining:
        try:
            answer = still_enough(state, scenario)
        except NoPlanError:
            return Day(len(work.entries), tuple(faults))
        least = least_further(remains_of(state, scenario).job, state)
        found = answer.further if answer.is_enough else None
        faults += [] if found == least else [f"{found} further rolls, and {least} do"]
        if answer.plan is not None:
            sequence = rest_sequence(order_cuts(answer.plan), state, state.plan.last + 1)
            rest = put_to_use(sequence, answer.remains.scenario, state.plan.number + 1, answer.remains.origins)
            state.after(rest)
    return Day(len(work.entries), tuple(faults))


def _entry(held: OpenWork, chance: Random) -> list[str]:
    """Record something, if it can have happened, or take something back with all that rests on it."""
    state = held.work.begun()
    if chance.random() < 0.08 and len(held.work.counting) > 1:
        number = chance.choice(held.work.counting[1:]).number
        resting = resting_on({number}, held.work.counting, state.job, state.units)
        gone = {number, *(entry.number for entry in resting)}
        more = resting_on(gone, held.work.counting, state.job, state.units)
        if more:
            return [f"entries {[entry.number for entry in more]} rest on those that were to go with {number}"]
        held.undo(tuple(gone))
        return []
    try:
        held.record(_event(state, chance))
    except (NotPossibleError, IndexError):
        return []
    return []


def _event(state: State, chance: Random) -> Event:  # noqa: PLR0911 - one for each kind
    """Return something that may have happened; NotPossibleError or IndexError where it cannot."""
    step = state.next_step
    pieces = [*state.on_table, *state.hung]
    kind = chance.choice("dddddccfhhpsmbw")
    if kind == "d" and step is not None:
        return Done(state.plan.number, (step.number,))
    if kind == "c":
        drop = chance.choice([drop.label for drop in state.job.drops])
        roll = chance.choice([None, None, *state.rolls, *state.unopened])
        whole = state.job.drop(drop).cut_length
        return state.cut_of(drop, roll, chance.choice([None, whole + 1, whole - chance.randint(1, 3)]))
    if kind == "f":
        roll = chance.choice([*state.rolls, *state.unopened])
        return Flawed(
            roll, Fraction(chance.randint(0, int(state.roll(roll).most_left))), Fraction(chance.randint(1, 3))
        )
    if kind == "h":
        return Hung((chance.choice(state.on_table),))
    if kind == "p":
        return Pasted((chance.choice(state.on_table),))
    if kind == "s":
        return Spoiled(chance.choice(pieces), "torn", chance.choice([None, Fraction(1)]), chance.random() < 0.5)
    if kind == "m":
        roll = chance.choice([*state.rolls])
        return Measured(roll, max(state.rolls[roll].most_left - chance.randint(0, 1), Fraction(0)))
    if kind == "b" and all(lot.count is not None for lot in state.job.rolls):
        return Bought(bought_rolls(state, 1, None, None))
    return AtWork(begins=state.is_off, by=chance.choice([None, "Ann"]))


def _paper(state: State) -> list[str]:
    """Return where more paper was cut from a roll than it had."""
    return [f"{roll.label} has {roll.left} left" for roll in state.rolls.values() if roll.left < 0]
