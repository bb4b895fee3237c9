"""The part of the page that lies on the pasting table: the next step, large, what can have happened, and the clock."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import datetime, timedelta
from fractions import Fraction
from itertools import chain, groupby
from typing import Any, Final

from msgspec import Struct
from msgspec.structs import replace

from cutplan.lengths import Rounding, show
from cutplan.page.at_table import enough
from cutplan.page.desk import Desk
from cutplan.plan.proof import TooFewRollsError
from cutplan.progress.entries import Pasted
from cutplan.progress.plan_in_use import Effect, PlanInUse, TableStep
from cutplan.progress.remains import misfits
from cutplan.progress.roll_now import RollAtTable
from cutplan.progress.state import State
from cutplan.progress.still_enough import StillEnough
from cutplan.progress.work import Work
from cutplan.render.drawing.lettering import isolated, isolated_piece
from cutplan.render.pages.state_page import answer_lines, event_words, lying_lines, sentence, warnings
from cutplan.render.pages.timetable_page import act_in_words
from cutplan.render.words.answer_words import answer
from cutplan.render.words.names import capital
from cutplan.render.words.readings import left_over, place, to_cut
from cutplan.render.words.step_words import words_of
from cutplan.render.words.too_few_words import too_few_lines
from cutplan.table.timetable import DAY, Act, ActKind, Pace, clock

_COMMAND: Final = re.compile(r"\s*\((?:cutplan \w+|see --json|--[^)]*)\)|[;:] allow it more with --time-limit")
"""What tells the reader of a terminal what to type: on the page there are buttons."""
_ON_THE_PAGE: Final = {
    "cutplan compare shows": "Start shows",
    "measure first_motif on each, write it into the scenario and plan again":
        "measure the first motif of each, and put them on the list below",
    "add it as a [[material]]": "add it under Paste, size, filler",
}  # fmt: skip
"""What is done otherwise here than in a file or by a command."""


class StepCard(Struct, frozen=True):
    """A step as it is shown: its words, the figure to read across a table, and how often it is done of how often."""

    number: int
    words: str
    figure: str
    times: int
    count: int
    asks_motif: bool = False

    @property
    def is_done(self) -> bool:
        """True when nothing of it is left to do."""
        return self.times >= self.count


class RollInUse(Struct, frozen=True):
    """A roll that is open, with what is left on it and what will still be cut from it."""

    label: str
    left: str
    motif: str
    waits: str


def table_content(desk: Desk) -> dict[str, object]:
    """Return what the part shows; CutplanError where there is no plan."""
    work = desk.work()
    state = desk.state()
    units = state.units
    cards = [_card(state, step) for step in state.plan.steps if state.is_right(step)]
    following = state.next_step
    counting = [] if work is None else work.counting[1:]
    now = datetime.now().astimezone()
    scenario = desk.scenario()
    amiss = warnings(state, misfits(state), "")
    return {
        "is_begun": work is not None,
        "plan": state.plan.number,
        "entries": 0 if work is None else len(work.entries),
        "answer": said(answer(desk.planned().sequence.plan)) if work is None else [],
        "cards": cards,
        "done": sum(card.is_done for card in cards),
        "next": None if following is None else _card(state, following),
        "on_table": [(piece, isolated_piece(piece), piece in state.pasted) for piece in state.on_table],
        "hung": [(piece, isolated_piece(piece)) for piece in state.hung],
        "spoiled": [f"{isolated_piece(loss.piece)}: {isolated(loss.why)}" for loss in state.spoiled],
        "rolls": list(_rolls(state)),
        "unopened": list(_unopened(state)),
        "amiss": said(amiss[:-1]),
        "lying": said(lying_lines(state)) if state.is_off or state.overnight else [],
        "is_off": state.is_off,
        "last": sentence(event_words(counting[-1].event, units)) if counting else "",
        "last_entry": counting[-1].number if counting else 0,
        "is_free": state.job.paper.pattern.is_free,
        "is_listed": all(lot.count is not None for lot in state.job.rolls),
        "timetable": list(_timetable(state, scenario.pace)),
        "due": None if work is None else next_by_timetable(work, state, scenario.pace, now),
        "soaking": [] if work is None else list(soaking(work, state, scenario.pace, now)),
        "to_cut": [(drop, isolated(drop)) for drop in dict.fromkeys(chain(*state.to_be_cut.values()))],
        "log": [
            (entry.number, f"{local(entry.at, now):%H:%M}", sentence(event_words(entry.event, units)))
            for entry in reversed(counting[-30:])
        ],
    }


def too_few_content(desk: Desk, short: TooFewRollsError) -> dict[str, object]:
    """Return what the part shows where the rolls are too few to begin: what they cover, and in which steps."""
    partly = desk.partly(short)
    lines = said(too_few_lines(partly.covered))
    if partly.sequence is None:
        return {"lines": lines, "steps": []}
    words = words_of(partly.sequence, desk.scenario().units)
    return {"lines": lines, "steps": [words(step) for step in partly.sequence.steps]}


def said(lines: list[str]) -> list[str]:
    """Return lines wrapped for a terminal as sentences of a page."""
    text = "\n".join(_COMMAND.sub("", " ".join(line.split())) for line in lines)
    for elsewhere, here in _ON_THE_PAGE.items():
        text = text.replace(elsewhere, here)
    return text.split("\n") if lines else []


def enough_content(desk: Desk) -> dict[str, object]:
    """Return the answer to whether the paper is enough for what remains, and whether it can be gone on with."""
    found: StillEnough = enough(desk)
    work = desk.work()
    lines = [line.lstrip("- ") for text in answer_lines(found, desk.state().units) for line in text.split("\n- ")]
    return {
        "answer": said(lines),
        "is_enough": found.is_enough,
        "can_go_on": found.plan is not None and work is not None,
        "entries": 0 if work is None else len(work.entries),
    }


def _card(state: State, step: TableStep) -> StepCard:
    times = state.done.get(step.number, 0)
    roll = state.roll(state.plan.roll(step, min(times, step.count - 1)))
    asks = step.act is Effect.OPEN and roll.first_motif is None and not state.job.paper.pattern.is_free
    return StepCard(step.number, step.words, _figure(state, step), times, step.count, asks)


def _figure(state: State, step: TableStep) -> str:
    """Return the one length to measure; empty where there is none."""
    if step.act is Effect.CUT and step.length is not None:
        return to_cut(step.length, state.units)
    if step.act is Effect.CUT_OFF:
        length = state.comes_off_first(step) or step.length or step.motif_below
        return "" if length is None else place(length, state.units)
    return ""


def _unopened(state: State) -> Iterator[str]:
    """Yield the rolls that nobody has touched: those that follow one another by the first and the last of them."""
    for lot, held in groupby(state.unopened.items(), key=lambda each: each[1][0]):
        numbers = sorted(1 if lot.count == 1 else int(label.rpartition("-")[2]) for label, _ in held)
        for _, run in groupby(enumerate(numbers), key=lambda each: each[1] - each[0]):
            following = [number for _, number in run]
            yield isolated(lot.roll_labels(following[0], len(following)))


def _rolls(state: State) -> Iterator[RollInUse]:
    for roll in state.rolls.values():
        waits = ", ".join(isolated(drop) for drop in state.to_be_cut.get(roll.label, ()))
        motif = "" if roll.first_motif is None else place(roll.first_motif, state.units)
        yield RollInUse(roll.label, _left(roll, state.units), motif, waits)


def _left(roll: RollAtTable, units: str) -> str:
    least = left_over(roll.left, units)
    return least if roll.is_certain else f"{least} to {show(roll.most_left, units, Rounding.DOWN)}"


def _timetable(state: State, pace: Pace | None) -> Iterator[tuple[str, str]]:
    """Yield when to do what, where the scenario tells the pace of the work."""
    if pace is not None:
        for act in acts_of(state.plan):
            yield clock(act.begin), capital(act_in_words(act, pace))


class Moment(Struct, frozen=True):
    """Something with its time: ``by`` is when it is due."""

    what: str
    at: str
    by: datetime


def acts_of(plan: PlanInUse) -> list[Act]:
    """Return the timetable that a plan was written with; none where its scenario tells no pace."""
    acts: Any = plan.document.get("timetable", ())
    return [
        Act(
            ActKind(told["act"]),
            begin := Fraction(told["begin"]),
            begin + Fraction(str(told["minutes"])),
            told["piece"],
            tuple(told["steps"]) if "steps" in told else None,
        )
        for told in acts
    ]


def next_by_timetable(work: Work, state: State, pace: Pace | None, now: datetime) -> Moment | None:
    """Return what the timetable has next; None where none is kept.

    A plan for the rest has days of its own, of which the first is the next after that on which it was made.
    """
    following = next((act for act in acts_of(state.plan) if not _is_done(act, state)), None)
    taken_up = [entry for entry in work.counting if isinstance(entry.event, PlanInUse)][-1:]
    if following is None or pace is None or not taken_up:
        return None
    # The timetable's days are those on which somebody works: no day off makes one late.
    made = local(taken_up[0].at, now).date()
    days = {local(entry.at, now).date() for entry in work.counting} - {now.date()}
    days = {day for day in days if day >= made}
    if state.plan.number > 1:
        days.discard(made)
        if made == now.date():
            return None
    day = timedelta(days=int(following.begin // DAY) - len(days))
    due = datetime.combine(now.date(), datetime.min.time(), now.tzinfo) + day
    due += timedelta(minutes=float(following.begin % DAY))
    named = replace(following, piece=isolated_piece(following.piece))
    return Moment(capital(act_in_words(named, pace)).rstrip("."), clock(following.begin), due)


def _is_done(act: Act, state: State) -> bool:
    if act.kind is ActKind.CUT:
        first, last = act.steps or (0, -1)
        steps = (state.plan.step(number) for number in range(first, last + 1))
        return all(step is None or state.done.get(step.number, 0) >= step.count for step in steps)
    if act.kind is ActKind.PASTE:
        return act.piece in (*state.pasted, *state.hung)
    return act.piece in state.hung


def soaking(work: Work, state: State, pace: Pace | None, now: datetime) -> Iterator[Moment]:
    """Yield what lies pasted, in the order in which it was, each with when it has soaked."""
    if pace is None or not pace.soak:
        return
    for entry in work.counting:
        if isinstance(entry.event, Pasted):
            until = local(entry.at, now) + timedelta(minutes=float(pace.soak))
            for piece in entry.event.pieces:
                if piece in state.pasted:
                    yield Moment(f"Drop {isolated_piece(piece)}", f"{until:%H:%M}", until)


def local(at: str, now: datetime) -> datetime:
    """Return when something was recorded, by the clock on the wall."""
    return datetime.fromisoformat(at).astimezone(now.tzinfo)
