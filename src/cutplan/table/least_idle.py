"""The least time that hands are idle in any table of one day: an exhaustive search, to hold a timetable against.

What must be cut before what, and by when, is left out, so that it is a bound for every order of cutting. Minute by
minute it keeps all that may have been begun; what has been met no later with as much cut is not followed again.
"""

from __future__ import annotations

from collections.abc import Iterator
from collections.abc import Sequence as Rows
from fractions import Fraction
from math import gcd, lcm
from typing import Final, NamedTuple

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


def least_idle(
    cut: Fraction, paste: Fraction, soak: Fraction, hang: Rows[Fraction], folded: int, *, has_mate: bool
) -> Fraction | None:
    """Return the least time that whoever hangs has nothing to do, before the last length hangs; None when given up."""
    scale = lcm(*(time.denominator for time in (cut, paste, soak, *hang)))
    times = [int(time * scale) for time in (cut, paste, soak, *hang)]
    unit = gcd(*times)
    to_cut, to_paste, to_soak, *to_hang = (time // unit for time in times)
    span = ActTimes(to_cut, to_paste, to_soak, tuple(to_hang), folded, has_mate)
    end = _least_end(span)
    if end is None:
        return None
    mine = sum(span.hang) + (0 if has_mate else len(hang) * (span.cut + span.paste))
    return Fraction((end - mine) * unit, scale)


def _least_end(span: ActTimes) -> int | None:
    met: dict[_Begun, int] = {}
    here = {_Begun(0, 0, 0)}
    now = 0
    while len(met) < MOST_MET:
        new = set()
        for begun in {after for before in here for after in _following(before, span)}:
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
