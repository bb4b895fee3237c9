"""The work against the clock: what is next by the timetable and when, and how long what lies pasted soaks yet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from cutplan.progress.entries import Pasted
from cutplan.progress.state import State
from cutplan.progress.work import Work
from cutplan.render.drawing.lettering import isolated_piece
from cutplan.render.pages.timetable_page import act_in_words
from cutplan.render.words.names import capital
from cutplan.table.timetable import DAY, Act, ActKind, Pace, clock, timetable_of

if TYPE_CHECKING:
    from cutplan.page.desk import Desk


@dataclass(frozen=True, slots=True)
class Moment:
    """Something with its time: ``by`` is when it is due, ``is_soak`` tells the end of a soak from a time to begin."""

    what: str
    at: str
    by: datetime
    is_soak: bool = False


def next_by_timetable(desk: Desk, work: Work, state: State, now: datetime) -> Moment | None:
    """Return what the timetable has next; None where none is kept, or the work goes on by another plan."""
    planned = desk.planned()
    pace = planned.scenario.pace
    if pace is None or state.plan.number != 1 or planned.first.steps != state.plan.steps:
        return None
    timetable = timetable_of(planned.sequence, pace)
    following = next((act for act in timetable.acts if not _is_done(act, state)), None) if timetable else None
    if following is None:
        return None
    # The timetable's days are those on which somebody works: no day off makes one late.
    days = {local(entry.at, now).date() for entry in work.counting} - {now.date()}
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
                    yield Moment(f"Drop {isolated_piece(piece)}", f"{until:%H:%M}", until, is_soak=True)


def local(at: str, now: datetime) -> datetime:
    """Return when something was recorded, by the clock on the wall."""
    return datetime.fromisoformat(at).astimezone(now.tzinfo)
