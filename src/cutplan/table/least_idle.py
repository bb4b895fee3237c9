"""The least time that hands are idle in any table of one day: an exhaustive search, to hold a timetable against.

What must be cut before what, and by when, is left out, so that it is a bound for every order of cutting. Minute by
minute it keeps all that may have been begun; what has been met no later with as much cut is not followed again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from collections.abc import Sequence as Rows
from fractions import Fraction
from itertools import accumulate, takewhile
from math import gcd, lcm
from typing import Final, NamedTuple

from cutplan.table.timetable import DAY, ActKind, Minutes, Pace, Timetable

MOST_MET: Final = 3_000
"""Ways to have begun the work that are gone through before the search is given up."""


class ActTimes(NamedTuple):
    """How long each act takes, in units of the search; how many may wait folded; and whether a mate cuts and pastes."""

    cut: int
    paste: int
    soak: int
    hang: tuple[int, ...]
    folded: int
    has_mate: bool


class _Begun(NamedTuple):
    """Cut, pasted, hung; how long until each length that soaks is to hang, table and wall are free."""

    cut: int
    pasted: int
    hung: int
    soaking: tuple[int, ...] = ()
    table: int = 0
    wall: int = 0

    def later(self) -> _Begun:
        soaking = tuple(wait - 1 for wait in self.soaking)
        return self._replace(soaking=soaking, table=max(self.table - 1, 0), wall=max(self.wall - 1, 0))


class LeastIdle(NamedTuple):
    """Minutes that no table idles less than, and whether the search for more such minutes was stopped."""

    minutes: Minutes
    was_stopped: bool


def least_idle_of(timetable: Timetable, is_over: Callable[[], bool] | None = None) -> LeastIdle:
    """Return the least time that whoever hangs has nothing to do, in any table that keeps every soak.

    A few sums give a bound at once. Only where it is below what the timetable has, and that is of one day, is more
    searched for, and the bound stays where the search is given up or stopped. ``is_over`` tells when to stop it; None
    for never.
    """
    pace, acts = timetable.pace, timetable.acts
    hang = [act.end - act.begin for act in acts if act.kind is ActKind.HANG]
    is_of_one_day = acts[0].begin // DAY == acts[-1].begin // DAY
    # With a mate whoever hangs waits for the first length, which may be cut the day before.
    waits = (pace.to_cut if is_of_one_day else Fraction(0)) + pace.to_paste + pace.soak
    least = waits if pace.has_mate else _least_alone(hang, pace)
    if least >= timetable.idle or not is_of_one_day:
        return LeastIdle(least, was_stopped=False)
    over = is_over or (lambda: False)
    found = _searched(hang, pace, over)
    return LeastIdle(least if found is None else found, found is None and over())


def _least_alone(hang: Rows[Minutes], pace: Pace) -> Minutes:
    """Return idle minutes of one pair of hands that no table has less of.

    Nothing is pasted while a length soaks that takes longer to hang than to soak, for the two would have to hang at
    once. So such soaks lie apart, and each holds nothing but cuts for later, and the hanging of short lengths just
    before it, no more than may wait.
    """
    least = unfilled = Fraction(0)
    for place, to_hang in enumerate(hang):
        if to_hang > pace.soak:
            hung = accumulate(reversed(hang[max(0, place - pace.folded + 1) : place]))
            rooms = [pace.soak, *(pace.soak - time for time in takewhile(lambda time: time <= pace.soak, hung))]
            unfilled += rooms[-1]
            later = len(hang) - place - 1
            least += min(room - min(room // pace.to_cut, later) * pace.to_cut for room in rooms)
    return max(least, unfilled - (len(hang) - 1) * pace.to_cut, Fraction(0))


def _searched(hang: Rows[Minutes], pace: Pace, is_over: Callable[[], bool]) -> Minutes | None:
    """Return the least idle time on one day; None when the search is given up or stopped."""
    scale = lcm(*(time.denominator for time in (pace.to_cut, pace.to_paste, pace.soak, *hang)))
    times = [int(time * scale) for time in (pace.to_cut, pace.to_paste, pace.soak, *hang)]
    unit = gcd(*times)
    to_cut, to_paste, to_soak, *to_hang = (time // unit for time in times)
    span = ActTimes(to_cut, to_paste, to_soak, tuple(to_hang), pace.folded, pace.has_mate)
    end = _least_end(span, is_over)
    if end is None:
        return None
    mine = sum(span.hang) + (0 if pace.has_mate else len(hang) * (span.cut + span.paste))
    return Fraction((end - mine) * unit, scale)


def _least_end(span: ActTimes, is_over: Callable[[], bool]) -> int | None:
    met: dict[_Begun, int] = {}
    here = {_Begun(0, 0, 0)}
    now = 0
    while len(met) < MOST_MET:
        following: set[_Begun] = set()
        for before in here:
            if is_over():
                return None
            following.update(_following(before, span))
        new = set()
        for begun in following:
            alike = begun._replace(cut=0)
            if begun.cut > met.get(alike, -1):
                met[alike] = begun.cut
                new.add(begun)
        ends = [now + begun.wall for begun in new if begun.hung == len(span.hang)]
        if ends:
            return min(ends)
        here = {begun.later() for begun in new if not begun.soaking or begun.soaking[0] > 0}
        now += 1
    return None


def _following(begun: _Begun, span: ActTimes) -> Iterator[_Begun]:
    """Yield what may have been begun this minute: nothing more, or one act, and what may be with it."""
    yield begun
    is_free = begun.table == 0 and (span.has_mate or begun.wall == 0)
    if begun.soaking and begun.soaking[0] == begun.wall == 0 and (span.has_mate or begun.table == 0):
        hung = begun._replace(hung=begun.hung + 1, soaking=begun.soaking[1:], wall=span.hang[begun.hung])
        yield from _following(hung, span)
    if is_free and begun.cut < len(span.hang):
        yield from _following(begun._replace(cut=begun.cut + 1, table=span.cut), span)
    if is_free and begun.pasted < begun.cut:
        due = span.paste + span.soak
        waiting = sum(wait > span.paste for wait in begun.soaking)
        if waiting < span.folded and (not begun.soaking or begun.soaking[-1] + span.hang[begun.pasted - 1] <= due):
            pasted = begun._replace(pasted=begun.pasted + 1, soaking=(*begun.soaking, due), table=span.paste)
            yield from _following(pasted, span)
