"""The timetable: one pair of hands, every length hung when it has soaked, in hanging order and within the day."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise
from typing import Final

from msgspec import Struct

from cutplan.check.report import Report, Violation, exact_text
from cutplan.check.roll_rules.rolls_and_drops import drop_label
from cutplan.check.roll_rules.rolls_there import lot_of, rolls_known
from cutplan.check.roll_rules.what_fits_where import StockLot
from cutplan.check.stated.document import ListedAct, ListedCut, ListedOrder, ListedPlan
from cutplan.check.stated.echo import Wanted
from cutplan.check.stated.fields import NOTHING, Table
from cutplan.check.table_rules.cutting_order import turns_wanted

INSPECT_AFTER: Final = 3
"""Lengths after which the work is looked over: BFS-Merkblatt 7."""
_WHERE: Final = "timetable"
DAY: Final = Fraction(24 * 60)
"""A day, in minutes, in which every time here is counted."""
USUAL: Final = {"minutes_cut": 3, "minutes_paste": 4, "minutes_full": 12, "minutes_small": 6}
USUAL_BEGIN: Final = Fraction(8 * 60)
USUAL_FOLDED: Final = 3
_CLOCK: Final = re.compile(r"\s*([0-9]{1,2}):([0-9]{2})\s*")


class Done(Struct, frozen=True):
    """An act with its exact time, in minutes from midnight of the first day."""

    listed: ListedAct
    begin: Fraction
    end: Fraction


def judge_timetable(wanted: Wanted, plan: ListedPlan, pace: PaceWanted | None, *, is_followed: bool) -> Report:
    """Return the judgement of a plan's timetable; an empty one where it states none.

    Where its order of cutting is too long to be followed (not ``is_followed``) it is taken on trust.
    """
    if not plan.timetable:
        return Report()
    if pace is None or plan.order is None:
        missing = "the scenario gives no pace" if pace is None else "the plan gives no order of cutting"
        return Report((_fault(f"there is one, but {missing}"),))
    violations = [*acts_rule(wanted, plan, plan.order), *steps_rule(wanted, plan, plan.order)] if is_followed else []
    if violations or not is_followed:
        told = () if is_followed else ("the timetable, whose order of cutting is not followed here",)
        return Report(tuple(violations), trusted=told)
    if not pace.is_whole and any(act.begin is None for act in plan.timetable):
        return Report(trusted=("the times of the timetable, which are shown to the minute below",))
    clock = _Clock(wanted, plan, plan.order, pace)
    violations += clock.violations()
    if violations:
        return Report(tuple(violations))
    hands = "one hangs, one cuts and pastes" if pace.has_mate else "one thing at a time"
    fact = f"timetable: {hands}, every length hung when it has soaked, in hanging order"
    return Report((), (fact,))


def acts_rule(wanted: Wanted, plan: ListedPlan, order: ListedOrder) -> Iterator[Violation]:
    """Require each piece to be cut, pasted and hung once, in its order, and the work looked over after the third."""
    pieces = _in_hanging_order(wanted)
    late = set(_from_cut_outs(wanted, plan))
    cut = _pieces(plan, "cut")
    for what, done, right in (
        ("cut", [piece for piece in cut if piece not in late], [piece for piece in order.cuts if piece not in late]),
        ("cut", sorted(piece for piece in cut if piece in late), sorted(late)),
        ("pasted", _pieces(plan, "paste"), pieces),
        ("hung", _pieces(plan, "hang"), pieces),
        ("looked over", _pieces(plan, "inspect"), pieces[INSPECT_AFTER - 1 : INSPECT_AFTER]),
    ):
        if done != right:
            pairs = enumerate(zip([*done, None], [*right, None], strict=False))
            turn, (listed, due) = next((turn, pair) for turn, pair in pairs if pair[0] != pair[1])
            said = "nothing" if listed is None else f"piece {listed}"
            message = f"{said} is {what} as number {turn + 1}, where {due or 'nothing'} has its turn"
            yield _fault(message)


def _in_hanging_order(wanted: Wanted) -> list[str]:
    return [
        drop.label if drop.count == 1 else f"{drop.label} ({number} of {drop.count})"
        for drop in wanted.drops.values()
        for number in range(1, drop.count + 1)
    ]


def _pieces(plan: ListedPlan, act: str) -> list[str]:
    return [done.piece for done in plan.timetable if done.act == act]


def _from_cut_outs(wanted: Wanted, plan: ListedPlan) -> dict[str, str]:
    """Return the pieces that are cut from what is there only once a drop hangs, with that drop."""
    rolls = rolls_known(wanted, plan)
    return {cut.piece: lot.waits_for for roll, lot in rolls if lot.waits_for for cut in roll.cuts}


def steps_rule(wanted: Wanted, plan: ListedPlan, order: ListedOrder) -> Iterator[Violation]:
    """Require cuttings to be the steps that they take: the roll opened, what is cut off, the cut, the check."""
    steps = {act.piece: act.steps for act in plan.timetable if act.act == "cut"}
    lots = {cut.piece: (lot_of(wanted, roll), roll.cuts) for roll in plan.rolls for cut in roll.cuts}
    last: int | None = None
    checks = 1 if wanted.match.repeat else 0
    for piece in order.cuts:
        held, (lot, cuts) = steps.get(piece), lots[piece]
        if held is None or lot is None:
            yield _fault(f"nothing says which steps cut piece {piece}")
            continue
        if last is not None and held[0] != last + 1:
            yield _fault(f"piece {piece} begins with step {held[0]}, the one before ends with step {last}")
        needed, taken = _steps_needed(wanted, lot, cuts, piece), held[1] - held[0] + 1
        checks -= taken - needed
        if taken < needed or checks < 0:
            yield _fault(f"piece {piece} is said to take {taken} steps, it takes {needed}")
        last = held[1]


def _steps_needed(wanted: Wanted, lot: StockLot, cuts: tuple[ListedCut, ...], piece: str) -> int:
    """Return the steps that lead up to a cut, and the cut itself; the check of the match is not among them."""
    place = next(number for number, cut in enumerate(cuts) if cut.piece == piece)
    cut, before = cuts[place], cuts[place - 1] if place else None
    stretch = lot.stretch_at(cut.start)
    now = 0 if before is None else lot.stretch_at(before.start)
    if before is not None and stretch <= now:
        cuts_off = cut.start != before.end
    else:
        begun = lot.stretches[stretch]
        cuts_off = bool(begun.datum is None and wanted.match.repeat) or cut.start != begun.start
    return (before is None) + (stretch - now) + cuts_off + 1


class _Clock:
    """The acts with their exact times, and every rule that they must keep."""

    def __init__(self, wanted: Wanted, plan: ListedPlan, order: ListedOrder, pace: PaceWanted) -> None:
        self.wanted, self.plan, self.order, self.pace = wanted, plan, order, pace
        self.acts = [self._timed(act) for act in plan.timetable]
        self.of = {(act.listed.act, act.listed.piece): act for act in self.acts}

    def _timed(self, act: ListedAct) -> Done:
        begin = act.begin
        if begin is None:
            begin = DAY * (act.day - 1) + (_on_the_clock(act.at) or 0)
        return Done(act, begin, begin + self._minutes(act))

    def _minutes(self, act: ListedAct) -> Fraction:
        """Return how long an act takes at the pace; a length of less than half the longest is a small one."""
        if act.act == "hang":
            height = self.wanted.drops[drop_label(act.piece)].height
            longest = max(drop.height for drop in self.wanted.drops.values())
            return self.pace.hang_small if 2 * height < longest else self.pace.hang
        return {"cut": self.pace.cut, "paste": self.pace.paste, "inspect": Fraction(0)}[act.act]

    def violations(self) -> Iterator[Violation]:
        yield from self._shown()
        yield from self._one_at_a_time()
        yield from self._within_the_day()
        yield from self._soaked()
        yield from self._cut_before_pasted()

    def _shown(self) -> Iterator[Violation]:
        for act in self.acts:
            listed, name = act.listed, self._name(act)
            days, rest = divmod(act.begin, DAY)
            at = f"{int(rest) // 60:02d}:{int(rest) % 60:02d}"
            if listed.begin is None and _on_the_clock(listed.at) is None:
                yield _fault(f"{name} is said to begin at {listed.at!r}, which is no time of day")
            elif (listed.day, listed.at) != (days + 1, at):
                yield _fault(f"{name} is said to begin on day {listed.day} at {listed.at}, not {days + 1} at {at}")
            if float(listed.minutes) != float(act.end - act.begin):
                said, right = exact_text(listed.minutes), exact_text(act.end - act.begin)
                yield _fault(f"{name} is said to take {said} minutes; it takes {right}", listed.minutes)

    def _one_at_a_time(self) -> Iterator[Violation]:
        """Require one thing at a time, or with a mate one at the table and one at the wall."""
        whose = [self.acts]
        if self.pace.has_mate:
            hung = [act for act in self.acts if act.listed.act in ("hang", "inspect")]
            whose = [hung, [act for act in self.acts if act not in hung]]
        for before, after in (pair for acts in whose for pair in pairwise(acts)):
            if after.begin < before.end:
                shared = before.end - after.begin
                yield _fault(f"{self._name(after)} begins before {self._name(before)} is done", shared)

    def _within_the_day(self) -> Iterator[Violation]:
        for act in self.acts:
            begun = act
            if act.listed.act == "hang":
                begun = self.of["paste", act.listed.piece]
            morning = begun.begin // DAY * DAY
            early, late = morning + self.pace.begin - begun.begin, act.end - morning - self.pace.stop
            if max(early, late) > 0:
                when = "before the day begins" if early > 0 else "beyond the end of its day"
                yield _fault(f"{self._name(act)} lies {when}", max(early, late))

    def _soaked(self) -> Iterator[Violation]:
        hung = [act for act in self.acts if act.listed.act == "hang"]
        for number, act in enumerate(hung):
            pasted = self.of["paste", act.listed.piece]
            excess = act.begin - pasted.end - self.pace.soak
            if excess:
                way = "long" if excess > 0 else "short"
                yield _fault(f"piece {act.listed.piece} soaks {exact_text(abs(excess))} minutes too {way}", abs(excess))
            if number >= self.pace.folded and hung[number - self.pace.folded].begin > pasted.end:
                yield _fault(f"more than {self.pace.folded} lengths wait folded when piece {act.listed.piece} does")
        for third in hung[INSPECT_AFTER - 1 : INSPECT_AFTER]:
            if self.of["inspect", third.listed.piece].begin != third.end:
                yield _fault(f"the work is not looked over when piece {third.listed.piece} hangs")

    def _cut_before_pasted(self) -> Iterator[Violation]:
        """Require what is cut to be there when it is pasted, with all of its turn; and a cut-out to have fallen."""
        late = _from_cut_outs(self.wanted, self.plan)
        pieces, turns = _in_hanging_order(self.wanted), turns_wanted(self.wanted, self.order.follow)
        hung: defaultdict[str, list[Fraction]] = defaultdict(list)
        for act in self.acts:
            if act.listed.act == "hang":
                hung[drop_label(act.listed.piece)].append(act.end)
        furthest, there = min(act.begin for act in self.acts), {}
        for piece, turn in zip(pieces, turns, strict=True):
            if piece not in late:
                furthest = max(furthest, self.of["cut", piece].end)
            there[turn] = furthest
        for piece, turn in zip(pieces, turns, strict=True):
            pasted, cut = self.of["paste", piece].begin, self.of["cut", piece]
            needed = max(there[turn], cut.end)
            if pasted < needed:
                yield _fault(f"piece {piece} is pasted before what is cut with it", needed - pasted)
            if piece in late and any(end > cut.begin for end in hung[late[piece]]):
                yield _fault(f"piece {piece} is cut before drop {late[piece]} hangs, which it is to fall out of")

    def _name(self, act: Done) -> str:
        verbs = {"cut": "cutting", "paste": "pasting", "hang": "hanging", "inspect": "looking over"}
        return f"{verbs[act.listed.act]} piece {act.listed.piece}"


def _fault(message: str, amount: Fraction | None = None) -> Violation:
    return Violation("timetable", _WHERE, message, amount)


class PaceWanted(Struct, frozen=True):
    """The minutes of each act, of soaking, and of when a day begins and ends; how many may wait folded; a mate."""

    soak: Fraction
    folded: int
    cut: Fraction
    paste: Fraction
    hang: Fraction
    hang_small: Fraction
    begin: Fraction
    stop: Fraction
    has_mate: bool

    @property
    def is_whole(self) -> bool:
        """True when every act begins on a whole minute."""
        times = (self.soak, self.cut, self.paste, self.hang, self.hang_small)
        return all(time.denominator == 1 for time in times)


def read_pace(scenario: Table) -> PaceWanted | None:
    """Return the pace that a scenario gives; None where it gives none."""
    table = scenario.table("pace")
    if table is None:
        return None
    cut, paste, hang, small = (table.number(key) or Fraction(usual) for key, usual in USUAL.items())
    soak, folded = table.number("soak") or Fraction(0), table.whole("folded", 1) or USUAL_FOLDED
    begin, stop = _time_of_day(table, "begin", USUAL_BEGIN), _time_of_day(table, "stop", DAY)
    return PaceWanted(soak, folded, cut, paste, hang, small, begin, stop, bool(table.flag("mate")))


def _time_of_day(table: Table, key: str, usual: Fraction) -> Fraction:
    text = table.optional_text(key)
    time = usual if text is None else _on_the_clock(text)
    if time is None:
        table.fault(key, f"must be a time of day such as 08:00, not {text!r}")
    return time or NOTHING


def _on_the_clock(text: str) -> Fraction | None:
    """Return a time of day in minutes; None for what is none."""
    found = _CLOCK.fullmatch(text)
    return None if found is None else Fraction(60 * int(found[1]) + int(found[2]))
