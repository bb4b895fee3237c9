"""Days at the table that are kept: what becomes of each thing told, and every word of where that leaves the work.

``kept_days.jsonl`` has a line for each day: its scenario; the plan that it began with and what was told after it, each
as the record has it (but for a plan's own document) or as it was asked; then what was said. After a change of how a
record is read or added up, ``python tests/test_kept_days.py`` writes down what is said now: read the difference before
you keep it.
"""

from __future__ import annotations

import json
from copy import deepcopy
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, TypeAlias

import pytest

from cutplan.errors import CutplanError
from cutplan.lengths import exact_mm, read_length
from cutplan.progress.corrected_survey import changes
from cutplan.progress.counted import resting_on
from cutplan.progress.entries import Bought, recorded
from cutplan.progress.purchases import bought_rolls
from cutplan.progress.record import Entry, Json, OpenRecord, RecordRead
from cutplan.progress.remains import misfits, remains_of
from cutplan.progress.still_enough import still_enough
from cutplan.progress.work import OpenWork, RestingError
from cutplan.render.pages.state_page import answer_lines, next_lines, status_page
from cutplan.scenario.read import scenario_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cutplan.lengths import Length
    from cutplan.progress.roll_now import RollAtTable
    from cutplan.progress.state import State
    from cutplan.scenario.read import Scenario

DAYS: Final = Path(__file__).parent / "kept_days.jsonl"
RECORD: Final = Path("day.record.jsonl")

Told: TypeAlias = "dict[str, Any]"


class InMemory(OpenRecord):
    """A record that lies in no file."""

    def __init__(self) -> None:
        self.reading = RecordRead(())

    def append(self, kind: str, facts: Json, asked: str = "") -> Entry:
        """Add an entry, as it would be read again."""
        entry = Entry(len(self.reading.entries) + 1, "", kind, json.loads(json.dumps(facts)), asked)
        self.reading = RecordRead((*self.reading.entries, entry), answered=len(self.reading.entries) + 1)
        return entry


def days() -> list[Told]:
    """Return the days, each with what is said of it."""
    return [json.loads(line) for line in DAYS.read_text(encoding="utf-8").splitlines()]


def scenario_from(document: Json) -> Scenario:
    """Return a scenario of a day."""
    return scenario_of(document, "day.toml")


def said(day: Told) -> Iterator[str]:
    """Yield what is said of each thing told, and of where it leaves the work."""
    work = OpenWork(InMemory(), RECORD, scenario_from(day["scenario"]))
    for told in day["told"]:
        try:
            yield "; ".join(tell(work, told))
        except (CutplanError, LookupError) as error:
            yield f"refused: {error}"
    yield from where_it_stands(work)


def tell(work: OpenWork, told: Told) -> Iterator[str]:
    """Record one thing, and yield what becomes of it."""
    match told:
        case {"kind": kind, **facts}:
            if kind == "plan":
                facts["document"] = {"scenario": work.scenario.document}
            work.record(recorded(RecordRead((Entry(1, "", kind, facts),)), RECORD)[0].event)
        case {"cut": [piece, roll, length]}:
            work.record(work.work.begun().cut_of(piece, roll, exact(length)))
        case {"bought": [count, length, batch, sheet]}:
            work.record(Bought(bought_rolls(work.work.begun(), count, exact(length), batch, sheet)))
        case {"undo": numbers}:
            try:
                yield f"undone: {[entry.number for entry in work.undo(tuple(numbers))]}"
            except RestingError as error:
                yield f"on it rest {[entry.number for entry in error.resting]}"
        case {"correct": place, "is": value, **how}:
            before, document = work.scenario.document, deepcopy(work.scenario.document)
            *way, last = place.split("/")
            table: Any = document
            for key in way:
                table = table[int(key) if isinstance(table, list) else key]
            table[last] = value
            event = work.correct_to(scenario_from(document), from_new_start=how.get("from_new_start"))
            yield from changes(before, document)
            yield "nothing is corrected" if event is None else f"now: {event.pieces}"
        case _:
            raise AssertionError(told)
    state = work.work.begun()
    yield from (line.strip() for line in next_lines(state, misfits(state)))


def exact(length: str | None) -> Length | None:
    """Return a length as it is told."""
    return None if length is None else read_length(length, "mm")


def where_it_stands(work: OpenWork) -> Iterator[str]:
    """Yield all that can be asked of the work."""
    state, counted = work.work.begun(), work.work.counting
    yield from status_page(state, misfits(state), "replan", "mm").splitlines()
    yield from map(roll_words, state.rolls.values())
    yield from (f"{piece} is of {lot.label}, {state.is_short(piece)} short" for piece, lot in state.papers.items())
    yield from (f"{loss.piece} {'hung' if loss.was_hung else 'lay'} when it was lost" for loss in state.spoiled)
    yield f"fallen: {[*state.fallen]}; not opened: {[*state.unopened]}; of {state.version} versions"
    for entry in counted[1:]:
        resting = resting_on({entry.number}, counted, state.job, state.units)
        if resting:
            yield f"on {entry.number} rest {[other.number for other in resting]}"
    yield from rest_words(state, work.scenario)


def roll_words(roll: RollAtTable) -> str:
    """Return all that is known of a roll."""
    marks = ("open" if roll.is_open else "", "measured" if roll.is_measured else "", f"last {roll.last}")
    ahead = [[str(stretch.start), str(stretch.length), str(stretch.first_motif)] for stretch in roll.ahead]
    left = f"{exact_mm(roll.left)} to {exact_mm(roll.most_left)} of {roll.until}, motif {roll.first_motif}"
    return f"{roll.label} of {roll.of}: {left}, then {ahead}, {', '.join(filter(None, marks))}"


def rest_words(state: State, scenario: Scenario) -> Iterator[str]:
    """Yield what remains of the job, for certain, at most and with two rolls more, and whether the paper does."""
    known: set[str] = set()
    for hoped, further in ((False, 0), (True, 0), (False, 2)):
        try:
            rest = remains_of(state, scenario, hoped=hoped, further=further)
        except CutplanError as error:
            yield str(error)
            return
        entries: Any = rest.scenario.document
        lots = [f"{lot.label} of {rest.origins.get(lot.label)} at {lot.price}, {lot.after}" for lot in rest.job.lots]
        lines = [json.dumps(entry) for key in ("roll", "offcut", "drop") for entry in entries.get(key, ())]
        batches = [f"{drop.label} of {drop.batch}, turned {drop.is_turned}" for drop in rest.job.drops]
        words = dict.fromkeys([*lots, *lines, *batches, *rest.scenario.notes, f"{rest.in_hand} in hand"])
        yield from (line for line in words if line not in known)
        known |= words.keys()
    try:
        yield from "\n".join(answer_lines(still_enough(state, scenario), "mm")).splitlines()
    except CutplanError as error:
        yield str(error)


KEPT: Final = days()


@pytest.mark.parametrize("day", KEPT, ids=map(str, range(1, len(KEPT) + 1)))
def test_a_day_that_is_kept_comes_out_as_it_did(day: Told) -> None:
    """In every word: another is no fault by itself, and is to be read before it is kept."""
    assert list(said(day)) == day["says"]


def main() -> None:
    """Write down what is said now."""
    lines = [json.dumps({**day, "says": list(said(day))}, ensure_ascii=False) for day in days()]
    DAYS.write_text("".join(f"{line}\n" for line in lines), encoding="utf-8")


if __name__ == "__main__":
    main()
