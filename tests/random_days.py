"""Random days on small jobs: every kind of entry, tried, recorded, read again, judged, and replanned."""

from __future__ import annotations

from collections import Counter
from copy import deepcopy
from fractions import Fraction
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any, Final

from msgspec import Struct, field
from msgspec.structs import replace

from cutplan.check import check_text
from cutplan.errors import NoPlanError
from cutplan.faults import ScenarioError
from cutplan.progress.counted import resting_on
from cutplan.progress.entries import AtWork, Bought, Corrected, Done, Event, Flawed, Hung, Measured, Pasted, Spoiled
from cutplan.progress.plan_in_use import Effect, PlanInUse
from cutplan.progress.purchases import bought_rolls
from cutplan.progress.record import read_record
from cutplan.progress.remains import NothingToCutError, remains_of
from cutplan.progress.state import NotPossibleError, State
from cutplan.progress.still_enough import StillEnough, rest_sequence, still_enough
from cutplan.progress.work import OpenWork, Work, open_work, work_on
from cutplan.scenario.read import scenario_of
from cutplan.solve.ordering import order_cuts
from replanned import begun, least_further, put_to_use, scenario_at_random

if TYPE_CHECKING:
    from cutplan.scenario.read import Scenario

ENTRIES: Final = 40
"""Entries that are tried on a day."""


class Day(Struct):
    """A job and the work on it."""

    scenario: Scenario
    chance: Random
    kinds: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)

    def try_entry(self) -> None:
        """Record something, if it can have happened, or take something back with all that rests on it."""
        kind = self.chance.choice("ddddddddddccfhhhhpspmbwurrkk")
        with open_work(self.scenario) as held:
            try:
                if kind == "u":
                    self._undo(held)
                elif kind == "k":
                    self._correct(held)
                else:
                    event = self._plan(held) if kind == "r" else _event(held.work.begun(), kind, self.chance)
                    held.record(event)
            except (NotPossibleError, NothingToCutError, NoPlanError, ScenarioError, IndexError):
                return

    def _undo(self, held: OpenWork) -> None:
        state, counted = held.work.begun(), held.work.counting
        number = self.chance.choice(counted[1:]).number
        gone = {number, *(entry.number for entry in resting_on({number}, counted, state.job, state.units))}
        if more := resting_on(gone, counted, state.job, state.units):
            names = [entry.number for entry in more]
            self.faults.append(f"entries {names} rest on those that were to go with {number}")
            return
        held.undo(tuple(gone))
        self.scenario = held.scenario

    def _plan(self, held: OpenWork) -> PlanInUse:
        state = held.work.begun()
        answer = still_enough(state, self.scenario)
        if answer.plan is None:
            raise NotPossibleError("the rolls are too few")
        return _put_to_use(state, answer, held.work)

    def _correct(self, held: OpenWork) -> None:
        """Make a drop, a wall or an opening up to 40 mm larger or smaller, or begin hanging elsewhere."""
        document: Any = deepcopy(self.scenario.document)
        walls = document.get("wall", [])
        tables = [
            *document.get("drop", []),
            *walls,
            *(opening for wall in walls for opening in wall.get("opening", [])),
        ]
        tables += [document["start"]] if "start" in document else []
        table = self.chance.choice(tables)
        key = self.chance.choice([key for key in ("height", "width", "left", "at", "motif_drop") if key in table])
        table[key] = float(table[key]) + self.chance.randint(-40, 40)
        held.correct_to(scenario_of(document, self.scenario.source), from_new_start=self.chance.random() < 0.5)
        self.scenario = held.scenario

    def judge(self) -> None:
        """Read the record again, judge it, and hold the plan for the rest against an exhaustive search."""
        work = work_on(self.scenario)
        self.kinds.update(entry.kind for entry in read_record(work.path).entries)
        self.faults += [line.line() for line in check_text(work.path.read_text(encoding="utf-8")).violations]
        state = work.begun()
        self.faults += [f"{roll.label} has {roll.left} left" for roll in state.rolls.values() if roll.left < 0]
        if not state.remaining:
            return
        try:
            answer = still_enough(state, self.scenario)
        except NoPlanError:  # a drop that no roll of the paper's length gives
            return
        least = least_further(remains_of(state, self.scenario).job, state)
        found = answer.further if answer.is_enough else None
        self.faults += [] if found == least else [f"{found} further rolls, and {least} do"]
        if answer.plan is not None:
            state.after(_put_to_use(state, answer, work))


def random_day(seed: int) -> Day | None:
    """Return a day on a random job; None where its rolls are too few to begin."""
    scenario = scenario_at_random(seed)
    state = begun(scenario)
    if state is None:
        return None
    with TemporaryDirectory() as name:
        day = Day(replace(scenario, source=str(Path(name) / "job.toml")), Random(seed))  # noqa: S311 - repeatable
        with open_work(day.scenario) as held:
            held.record(state.plan)
        for _ in range(ENTRIES):
            day.try_entry()
        day.judge()
    return day


def _put_to_use(state: State, answer: StillEnough, work: Work) -> PlanInUse:
    """Return the plan for the rest, for the scenario that counts."""
    assert answer.plan is not None
    sequence = rest_sequence(order_cuts(answer.plan), state, work.last_step + 1)
    versions = [entry.event for entry in work.counting if isinstance(entry.event, PlanInUse | Corrected)]
    plan = put_to_use(sequence, answer.remains.scenario, work.last_plan + 1, answer.remains.origins)
    return replace(plan, scenario=versions[-1].scenario)


def _event(state: State, kind: str, chance: Random) -> Event:  # noqa: PLR0911 - one for each kind
    """Return something that may have happened; NotPossibleError or IndexError where it cannot."""
    if kind == "d" and state.next_step is not None:
        step, pattern = state.next_step, state.job.paper.pattern
        is_measured = step.act is Effect.OPEN and not pattern.is_free and chance.random() < 0.5
        motif = Fraction(chance.randrange(int(pattern.repeat))) if is_measured else None
        return Done(state.plan.number, (step.number,), first_motif=motif)
    if kind == "c":
        drop = chance.choice([drop.label for drop in state.job.drops])
        roll = chance.choice([None, None, *state.rolls, *state.unopened])
        whole = state.job.drop(drop).cut_length
        return state.cut_of(drop, roll, chance.choice([None, whole + 1, whole - chance.randint(1, 3)]))
    if kind == "f":
        roll = chance.choice([*state.rolls, *state.unopened])
        at = Fraction(chance.randint(0, int(state.roll(roll).most_left)))
        return Flawed(roll, at, Fraction(chance.randint(1, 3)))
    if kind == "h":
        return Hung((chance.choice(state.on_table),))
    if kind == "p":
        return Pasted((chance.choice(state.on_table),))
    if kind == "s":
        piece = chance.choice([*state.on_table, *state.hung])
        return Spoiled(piece, "torn", chance.choice([None, Fraction(1)]), chance.random() < 0.5)
    if kind == "m":
        roll = chance.choice([*state.rolls])
        return Measured(roll, max(state.rolls[roll].most_left - chance.randint(0, 1), Fraction(0)))
    if kind == "b" and all(lot.count is not None for lot in state.job.rolls):
        return Bought(bought_rolls(state, 1, None, None))
    if kind == "w":
        return AtWork(begins=state.is_off, by=chance.choice([None, "Ann"]))
    raise NotPossibleError("nothing such is left to do")
