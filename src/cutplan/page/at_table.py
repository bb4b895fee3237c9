"""What happens at the table, recorded from the page: each thing once, however often and from wherever it is sent."""

from __future__ import annotations

from cutplan.errors import CutplanError
from cutplan.lengths import Length, read_length
from cutplan.page.asked import Asked
from cutplan.page.desk import Desk
from cutplan.progress.entries import AtWork, Bought, Done, Event, Flawed, Hung, Measured, Pasted, Spoiled
from cutplan.progress.purchases import bought_rolls
from cutplan.progress.record import read_record
from cutplan.progress.record_beside import record_path
from cutplan.progress.state import State
from cutplan.progress.still_enough import StillEnough, still_enough
from cutplan.progress.work import RestingError, open_work
from cutplan.render.pages.state_page import event_words, sentence
from cutplan.render.written_plan import rest_in_use
from cutplan.scenario.read import Scenario


class MeanwhileError(CutplanError):
    """Something else was recorded meanwhile, so that what is asked may no longer be what is meant."""


def record_once(desk: Desk, asked: Asked) -> None:
    """Record what is asked, unless it stands in the record already.

    CutplanError when it cannot have happened, or cannot be written.
    """
    mark = f"page {asked.text('id')}"
    with desk.lock:
        scenario = desk.scenario()
        if desk.path is None:
            raise MeanwhileError("Give the job a name first: the record is kept beside its file.")
        if any(entry.asked == mark for entry in read_record(record_path(scenario.source)).entries):
            return
        what = asked.text("what")
        if what == "corrected":
            _correct(scenario, asked.text("hung_from", ""), mark)
        elif what == "undo":
            _undo(scenario, asked.whole("entry"), mark)
        elif what == "take back":
            _take_back(scenario, asked.whole("entry"), mark, with_rest=asked.flag("with_rest"))
        elif what == "replan":
            _replan(desk, scenario, asked.whole("entry"), mark)
        else:
            state = desk.state()
            if not _is_recorded(state, what, asked):
                event = _event(state, what, asked, scenario)
                state.after(event, is_new=True)  # So that what cannot be begins no record.
                _add(scenario, state, event, mark)


def _add(scenario: Scenario, seen: State, event: Event, mark: str) -> None:
    with open_work(scenario) as held:
        first: list[Event] = [seen.plan] if held.work.state is None else []
        held.record(*first, event, asked=mark)
        held.answer()


def _is_recorded(state: State, what: str, asked: Asked) -> bool:
    """Return True when somebody else, or the same hand before, has recorded it already.

    Of rolls cut alike several pieces have one name: then each may be hung that still lies on the table.
    """
    if what == "done":
        return state.plan.number > asked.whole("plan") or state.done.get(asked.whole("step"), 0) > asked.whole("times")
    if what == "hung":
        return asked.text("piece") in state.hung and asked.text("piece") not in state.on_table
    if what == "pasted":
        return asked.text("piece") in (*state.pasted, *state.hung) and asked.text("piece") not in state.unpasted
    if what == "spoiled":
        return asked.text("piece") not in (*state.on_table, *state.hung) and any(
            loss.piece == asked.text("piece") for loss in state.spoiled
        )
    return False


def _event(state: State, what: str, asked: Asked, scenario: Scenario) -> Event:  # noqa: PLR0911 - one for each kind
    if what == "done":
        return Done(state.plan.number, (asked.whole("step"),), 1, _length(asked, "first_motif", scenario))
    if what == "hung":
        return Hung((asked.text("piece"),))
    if what == "pasted":
        return Pasted((asked.text("piece"),))
    if what == "spoiled":
        why = asked.text("why", "").strip() or "not told why"
        good = _length(asked, "good", scenario)
        return Spoiled(asked.text("piece"), why, good, good_at_top=asked.text("good_at", "top") == "top")
    if what == "bought":
        return Bought(bought_rolls(state, asked.whole("rolls"), None, asked.text("batch", "").strip() or None))
    if what in ("stop", "resume"):
        return AtWork(begins=what == "resume", by=asked.text("by", "").strip() or None)
    return _of_a_roll(state, what, asked, scenario)


def _of_a_roll(state: State, what: str, asked: Asked, scenario: Scenario) -> Event:
    if what == "measured":
        left = _length(asked, "left", scenario)
        if left is None:
            raise MeanwhileError("Say how much is left on the roll.")
        return Measured(asked.text("roll"), left, _length(asked, "first_motif", scenario))
    if what == "flawed":
        at, long = _length(asked, "at", scenario), _length(asked, "length", scenario)
        if at is None or long is None:
            raise MeanwhileError("Say where the flaw begins, and how long it is.")
        return Flawed(asked.text("roll"), at, long)
    if what == "cut":
        return state.cut_of(asked.text("piece"), asked.text("roll", "") or None, _length(asked, "length", scenario))
    raise MeanwhileError("Nothing of that kind can be recorded.")


def _length(asked: Asked, key: str, scenario: Scenario) -> Length | None:
    text = asked.text(key, "").strip()
    return read_length(text, scenario.units) if text else None


def _undo(scenario: Scenario, entry: int, mark: str) -> None:
    with open_work(scenario) as held:
        held.work.begun()
        last = held.work.counting[-1]
        if last.number != entry:
            raise MeanwhileError("Something else was recorded meanwhile; look at what was last, and undo that.")
        held.undo((), mark)
        held.answer()


def _take_back(scenario: Scenario, entry: int, mark: str, *, with_rest: bool) -> None:
    """Undo any entry; what rests on it goes with it only where that is wanted."""
    with open_work(scenario) as held:
        try:
            held.undo((entry,), mark)
        except RestingError as error:
            if not with_rest:
                rest = "; ".join(sentence(event_words(one.event, scenario.units)) for one in error.resting)
                raise MeanwhileError(
                    f"What rests on it has to go with it: {rest} Tick that, and take it back."
                ) from error
            held.undo(tuple({entry, *(one.number for one in error.resting)}), mark)
        held.answer()


def _correct(scenario: Scenario, hung_from: str, mark: str) -> None:
    is_new = {"new": True, "old": False}.get(hung_from)
    with open_work(scenario, as_it_was=True) as held:
        held.correct_to(scenario, from_new_start=is_new, asked=mark)
        held.answer()


def enough(desk: Desk) -> StillEnough:
    """Return whether the paper is enough for what remains."""
    return still_enough(desk.state(), desk.scenario(), time_limit=10.0)


def _replan(desk: Desk, scenario: Scenario, entries: int, mark: str) -> None:
    """Put a new plan for the rest to use, made of the record as the asker saw it."""
    work = desk.work()
    if work is None:
        return
    answer = enough(desk)
    if answer.plan is None:
        raise MeanwhileError("The rolls in hand are too few to go on with: buy what is short, and record it first.")
    _, in_use = rest_in_use(scenario, work, answer)
    with open_work(scenario) as held:
        if len(held.work.entries) != entries:
            raise MeanwhileError("Something was recorded meanwhile; look at it, and plan once more.")
        held.record(in_use, asked=mark)
        held.answer()
