"""The timetable as a section of the page."""

from __future__ import annotations

from collections.abc import Callable

from cutplan.render.pages.layout_of_page import section, wrapped, wrapped_lines
from cutplan.table.least_idle import LeastIdle, least_idle_of
from cutplan.table.timetable import DAY, Act, ActKind, Minutes, Pace, PastedOn, Timetable, clock


def timetable_section(timetable: Timetable, is_over: Callable[[], bool] | None = None) -> str:
    """Return the section that says when to do what; times are rounded down to the minute.

    ``is_over`` tells when to stop proving that no hands could be idle for less; None for never.
    """
    lines = []
    day = 0
    for act in timetable.acts:
        if act.begin // DAY != day:
            day = int(act.begin // DAY)
            lines.append(f"Day {day + 1}")
        lines.append(wrapped(act_in_words(act, timetable.pace), f"  {clock(act.begin)}  ", " " * 9))
    lines.append(f"  {clock(max(act.end for act in timetable.acts))}  Done.")
    preface = [*_preface(timetable.pace), _idle_words(timetable, least_idle_of(timetable, is_over))]
    return section("Timetable", wrapped_lines(preface), "\n".join(lines))


def _preface(pace: Pace) -> list[str]:
    if pace.pasted is PastedOn.WALL:
        lines = ["The wall is pasted, not the paper: no length soaks or waits, each is hung as soon as its wall is."]
        paste = f"{_shown(pace.to_paste)} to paste the wall for it"
    else:
        soak = f"exactly {_shown(pace.soak)} min" if pace.soak else "not at all"
        wait = "1 waits" if pace.folded == 1 else f"{pace.folded} wait"
        first = f"Every length soaks {soak}, so that all grow alike and the joints stay closed; no more than {wait} "
        lines = [first + "pasted and folded. Should you fall behind, paste later."]
        paste = f"{_shown(pace.to_paste)} to paste and fold it"
    lines.append(
        f"Minutes counted for each: {_shown(pace.to_cut)} to cut it, {paste}, {_shown(pace.to_hang)} to hang and trim "
        f"it ({_shown(pace.to_hang_small)} where it is less than half the longest)."
    )
    return lines


def _idle_words(timetable: Timetable, least: LeastIdle) -> str:
    """Return how long the hands are idle, and how far that is proved to be the least."""
    idle = timetable.idle
    if timetable.pace.has_mate:
        what = f"One hangs while a mate cuts and pastes; idle for {_shown(idle)} min in all, waiting to hang"
    else:
        what = f"Idle for {_shown(idle)} min in all, while lengths soak" if idle else "Never idle"
    if idle == least.minutes:
        return f"{what}. Proved: no table that keeps every soak has less." if idle else f"{what}."
    stopped = ". Not proved, for the search was stopped" if least.was_stopped else ""
    return f"{what}{stopped}; no table that keeps every soak has less than {_shown(least.minutes)}."


def act_in_words(act: Act, pace: Pace) -> str:
    """Return what is done in one act."""
    if act.kind is ActKind.CUT:
        first, last = act.steps or (0, 0)
        return f"Cut {act.piece} ({f'step {first}' if first == last else f'steps {first} to {last}'})."
    if act.kind is ActKind.PASTE:
        return f"Paste {'the wall for' if pace.pasted is PastedOn.WALL else 'and fold'} {act.piece}."
    if act.kind is ActKind.HANG:
        return f"Hang and trim {act.piece}."
    return "Three lengths hang: step back and look them over before going on."


def _shown(minutes: Minutes) -> str:
    return f"{float(minutes):g}"
