"""The work against the clock: what is next by the timetable and when, and how long what lies pasted soaks yet."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from fractions import Fraction
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from cutplan.progress.entries import Pasted
from cutplan.progress.plan_in_use import PlanInUse
from cutplan.progress.state import State
from cutplan.progress.work import Work
from cutplan.render.drawing.lettering import isolated_piece
from cutplan.render.pages.timetable_page import act_in_words
from cutplan.render.words.names import capital
from cutplan.table.timetable import DAY, Act, ActKind, Pace, clock


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
