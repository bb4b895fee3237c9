"""Pace: when to cut, paste, hang and trim each length, so that every one soaks equally long.

Lengths that soak unequally grow unequally, and their joints open; so each is hung exactly its soak after it was
pasted, and while it soaks the next ones are cut, pasted and hung. One pair of hands does one thing at a time.
"""

from __future__ import annotations

from collections.abc import Iterator
from collections.abc import Sequence as Rows
from enum import Enum
from fractions import Fraction
from itertools import accumulate
from typing import Any, Final, TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from cutplan.job.job import Job
from cutplan.plan.order import CuttingOrder
from cutplan.plan.waiting import turns_of
from cutplan.table.steps import CheckMatch, CutDrop, Sequence

Minutes: TypeAlias = Fraction | int
"""A span of time, or a time counted from midnight of the first day."""

DAY: Final[Minutes] = 24 * 60

USUAL_FOLDED: Final = 3
"""Folded lengths that may wait: three or four (*Radford's Cyclopedia of Construction*)."""

CUT_AHEAD: Final = (0, 1, 2, 4, 6)
"""How many lengths more than are needed are cut where the hands would be idle; up to half a dozen are cut together
(*Radford's Cyclopedia of Construction*)."""

INSPECT_AFTER: Final = 3
"""Lengths after which the work is looked over: BFS-Merkblatt 7."""


class PastedOn(Enum):
    """What the paste is put on."""

    PAPER = "paper"
    WALL = "wall"


class Pace(Struct, frozen=True):
    """How fast somebody works, and what the paper asks for."""

    pasted: PastedOn
    """What the paste is put on. A paper for a pasted wall neither soaks nor waits folded."""
    soak: Minutes
    """From pasting to hanging; 0 on a pasted wall."""
    folded: int = USUAL_FOLDED
    """Pasted and folded lengths that may wait at once, 1 or more."""
    to_cut: Minutes = Fraction(3)
    to_paste: Minutes = Fraction(4)
    """To cut one length; to paste and fold it, or to paste the wall for it."""
    to_hang: Minutes = Fraction(12)
    to_hang_small: Minutes = Fraction(6)
    """To hang and trim a full length, and one of less than half the longest."""
    begin: Minutes = Fraction(8 * 60)
    stop: Minutes | None = None
    """When work begins each day, and by when everything pasted must hang; ``stop`` is None for midnight."""
    has_mate: bool = False
    """True when somebody else cuts and pastes while one hangs."""

    @property
    def longest(self) -> Minutes:
        """From pasting a full length until it is trimmed."""
        return self.to_paste + self.soak + max(self.to_hang, self.to_hang_small)

    @property
    def in_whole_minutes(self) -> Pace:
        """The same with every time that is whole as an integer, which is reckoned with five times as fast."""
        times = {name: getattr(self, name) for name in self.__struct_fields__}
        whole: dict[str, Any] = {
            name: int(time) for name, time in times.items() if isinstance(time, Fraction) and time == int(time)
        }
        return replace(self, **whole)


class ActKind(Enum):
    """What is done."""

    CUT = "cut"
    PASTE = "paste"
    HANG = "hang"
    INSPECT = "inspect"


class Act(Struct, frozen=True):
    """Something done without a break."""

    kind: ActKind
    """Cutting a length, pasting and folding it (or pasting the wall for it), hanging and trimming it; or stepping back
    to look over the first lengths."""
    begin: Minutes
    end: Minutes
    """From midnight of the first day."""
    piece: str
    """What is written on the back of the length; of the last one hung, when looking them over."""
    steps: tuple[int, int] | None = None
    """First and last step of the cutting sequence that this is; None for all but cutting."""


class Timetable(Struct, frozen=True):
    """The acts of a job in order of time, none of them while the same hands are at another."""

    pace: Pace
    """What it keeps."""
    acts: tuple[Act, ...]
    """From the first to the last."""
    idle: Minutes = Fraction(0)
    """How long, within the days, whoever hangs has nothing to do."""


def clock(time: Minutes) -> str:
    """Return the time of day, rounded down to the minute.

    >>> clock(Fraction(485)), clock(DAY + Fraction("61.5"))
    ('08:05', '01:01')

    """
    hours, minutes = divmod(int(time % DAY), 60)
    return f"{hours:02d}:{minutes:02d}"


def timetable_of(sequence: Sequence, pace: Pace) -> Timetable | None:
    """Return when to do what; None for a plan without an order of its own (a contract).

    Every length soaks exactly ``pace.soak``; no more than ``pace.folded`` wait folded; everything is hung in hanging
    order, and each length is cut as the sequence says. Of the tables tried, which cut none, one or a few lengths more
    than are needed where the hands would be idle, it is the one that ends first, and of those the one that cuts latest.
    """
    order = sequence.plan.order
    if order is None:
        return None
    planners = [_Planner(sequence, order, pace.in_whole_minutes, ahead) for ahead in CUT_AHEAD]
    best = min(planners, key=lambda planner: max(act.end for act in planner.acts))
    return Timetable(pace, tuple(best.acts), _idle(best.acts, pace))


class _Length(Struct, frozen=True):
    """A piece in hanging order, of a ``drop``."""

    drop: str
    label: str
    to_hang: Minutes
    turn: int


class _Cutting(Struct, frozen=True):
    """The steps that cut one piece; ``waits_for`` is the drop whose cut-out it is cut from, if any."""

    label: str
    steps: tuple[int, int]
    waits_for: str | None


class _Planner:
    def __init__(self, sequence: Sequence, order: CuttingOrder, pace: Pace, ahead: int) -> None:
        self.pace = pace
        self.ahead = ahead
        job = sequence.plan.job
        self.lengths = _lengths(job, order, pace)
        self.turn_of = {length.label: length.turn for length in self.lengths}
        self.to_cut = list(_cuttings(sequence))
        self.is_cut = [False] * len(self.to_cut)
        self.first_uncut = self.looked_at = self.cut_in_all = 0
        self.last_of_turn = self._last_of_turns()
        self.cut_out = {each.label: place for place, each in enumerate(self.to_cut) if each.waits_for is not None}
        self.wall = _Hands(pace)
        self.table = _Hands(pace) if pace.has_mate else self.wall
        self.acts: list[Act] = []
        self.hung: list[Act] = []
        self.hung_until: dict[str, Minutes] = {}
        self.last_cut = pace.begin
        self.last_paste = pace.begin
        self.last_pasted_from = pace.begin
        for length in self.lengths:
            self._cut_for(length)
            self._hang(length)
            self._cut_ahead()
        self.acts.sort(key=lambda act: (act.begin, act.end))

    def _last_of_turns(self) -> Rows[int]:
        """Return for each turn the place of the last cut from a roll that it, or a turn before it, needs."""
        last = [-1] * (self.lengths[-1].turn + 1)
        for place, cutting in enumerate(self.to_cut):
            if cutting.waits_for is None:
                last[self.turn_of[cutting.label]] = place
        return list(accumulate(last, max))

    def _cut_ahead(self) -> None:
        """Cut what is needed later where the hands would be idle while the last length soaks, or with a mate hangs."""
        last = self.hung[-1]
        until = last.end - self.pace.soak - self.pace.to_paste if self.pace.has_mate else last.begin
        for place in range(self.first_uncut, len(self.to_cut)):
            if self.is_cut[place]:
                continue
            self.first_uncut = place
            following = self.to_cut[place]
            if self.cut_in_all > len(self.hung) + self.ahead or following.waits_for is not None:
                return
            if self._earliest_cut(following) + self.pace.to_cut > until:
                return
            self._cut(place)

    def _cut_for(self, length: _Length) -> None:
        """Cut whatever must be cut before ``length`` is pasted, in the order of the sequence."""
        own = self.cut_out.get(length.label, -1)
        end = max(self.last_of_turn[length.turn], own) + 1
        if 0 <= own < self.looked_at:
            self._cut(own)
        for place in range(self.looked_at, end):
            if not self.is_cut[place] and (self.to_cut[place].waits_for is None or place == own):
                self._cut(place)
        self.looked_at = max(self.looked_at, end)

    def _earliest_cut(self, cutting: _Cutting) -> Minutes:
        earliest = max(self.last_cut, self.last_pasted_from)
        if cutting.waits_for is not None:
            earliest = max(earliest, self.hung_until[cutting.waits_for])
        return _first_free(earliest, ((self.table, 0, self.pace.to_cut),))

    def _cut(self, place: int) -> None:
        cutting = self.to_cut[place]
        begin = self._earliest_cut(cutting)
        self.last_cut = self._do(ActKind.CUT, begin, self.pace.to_cut, cutting.label, cutting.steps).end
        self.is_cut[place] = True
        self.cut_in_all += 1

    def _hang(self, length: _Length) -> None:
        """Paste at the first moment from which the length can be hung when it has soaked."""
        pace = self.pace
        earliest = max(self.last_cut, self.last_paste)
        if len(self.hung) >= pace.folded:
            earliest = max(earliest, self.hung[-pace.folded].begin - pace.to_paste)
        if self.hung:
            earliest = max(earliest, self.hung[-1].end - pace.soak - pace.to_paste)
        soaked = pace.to_paste + pace.soak
        parts = ((self.table, 0, pace.to_paste), (self.wall, soaked, length.to_hang))
        begin = _first_free(earliest, parts)
        self.last_pasted_from, self.last_paste = begin, begin + pace.to_paste
        self._do(ActKind.PASTE, begin, pace.to_paste, length.label)
        self.hung.append(self._do(ActKind.HANG, begin + soaked, length.to_hang, length.label))
        self.hung_until[length.drop] = self.hung[-1].end
        if len(self.hung) == INSPECT_AFTER:
            end = self.hung[-1].end
            self.acts.append(Act(ActKind.INSPECT, end, end, length.label))

    def _do(
        self, kind: ActKind, begin: Minutes, time: Minutes, piece: str, steps: tuple[int, int] | None = None
    ) -> Act:
        act = Act(kind, begin, begin + time, piece, steps)
        for hands in (self.table, self.wall):
            hands.forget(max(self.last_cut, self.last_pasted_from))
        (self.wall if kind is ActKind.HANG else self.table).busy.append((act.begin, act.end))
        self.acts.append(act)
        return act


class _Hands:
    """One pair of hands, and when they are busy."""

    def __init__(self, pace: Pace) -> None:
        self.pace = pace
        self.busy: list[tuple[Minutes, Minutes]] = []

    def forget(self, before: Minutes) -> None:
        """Forget what was done before a moment to which no work will go back."""
        self.busy = [(begin, end) for begin, end in self.busy if end > before]

    def after_busy(self, begin: Minutes, time: Minutes) -> Minutes:
        """Return ``begin``, or the end of something that is in the way of ``time`` from then on."""
        for busy, end in self.busy:
            if busy < begin + time and begin < end:
                begin = end
        return begin

    def on_a_day(self, moment: Minutes, needed: Minutes) -> Minutes:
        """Return ``moment``, or the next morning when work begun then would not be done by the day's end."""
        stop = DAY if self.pace.stop is None else self.pace.stop
        morning = moment // DAY * DAY
        if moment < morning + self.pace.begin:
            return morning + self.pace.begin
        return moment if moment + needed <= morning + stop else morning + DAY + self.pace.begin


def _first_free(earliest: Minutes, parts: Rows[tuple[_Hands, Minutes, Minutes]]) -> Minutes:
    """Return the first moment for parts of work, each (whose, how long after that moment, how long), on one day."""
    hands, after, time = parts[-1]
    moment: Minutes | None = None
    later = earliest
    while later != moment:
        moment = later
        later = hands.on_a_day(moment, after + time)
        for whose, behind, long in parts:
            later = whose.after_busy(later + behind, long) - behind
    return later


def _idle(acts: Rows[Act], pace: Pace) -> Minutes:
    """Return how long whoever hangs has nothing to do, each day until the last act."""
    mine = [act for act in acts if not pace.has_mate or act.kind is ActKind.HANG]
    until: dict[int, Minutes] = {}
    for act in mine:
        day = act.begin // DAY
        until[day] = max(act.end, until.get(day, act.end))
    spans = (end - day * DAY - pace.begin for day, end in until.items())
    return sum(spans, Fraction(0)) - sum((act.end - act.begin for act in mine), Fraction(0))


def _lengths(job: Job, order: CuttingOrder, pace: Pace) -> Rows[_Length]:
    turns = iter(turns_of(job, order.follow))
    longest = max(drop.height for drop in job.drops)
    return [
        _Length(
            drop.label,
            drop.piece_label(number),
            pace.to_hang_small if 2 * drop.height < longest else pace.to_hang,
            next(turns),
        )
        for drop in job.drops
        for number in range(1, drop.count + 1)
    ]


def _cuttings(sequence: Sequence) -> Iterator[_Cutting]:
    """Yield the steps that belong to each cut: those that lead up to it, and the check that follows it."""
    lots = {
        lot.roll_label(layout.first_number): lot
        for layout in sequence.plan.layouts
        for lot in [sequence.plan.job.lot(layout.lot)]
    }
    first = 0
    cut: CutDrop | None = None
    for place, step in enumerate(sequence.steps):
        if cut is not None and not isinstance(step, CheckMatch):
            yield _Cutting(cut.piece, _numbers(sequence, first, place - 1), lots[cut.roll].waits_for)
            first, cut = place, None
        if isinstance(step, CutDrop):
            cut = step
    if cut is not None:
        yield _Cutting(cut.piece, _numbers(sequence, first, len(sequence.steps) - 1), lots[cut.roll].waits_for)


def _numbers(sequence: Sequence, first: int, last: int) -> tuple[int, int]:
    return sequence.steps[first].number, sequence.steps[last].number
