"""The order of cutting: every piece once, along each roll, and as near to the hanging order as the plan says."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from fractions import Fraction
from heapq import heappop, heappush
from itertools import groupby
from typing import Final

from cutplan.check.report import Report, Violation, counted
from cutplan.check.roll_rules.rolls_and_drops import drop_label, piece_number
from cutplan.check.roll_rules.rolls_there import lot_of
from cutplan.check.stated.document import ListedOrder, ListedPlan
from cutplan.check.stated.echo import Wanted

MOST_FOLLOWED: Final = 1_000_000
"""Pieces whose order is followed one by one; a larger job's figures are taken on trust."""

_WHERE: Final = "order"


def judge_order(wanted: Wanted, plan: ListedPlan, *, is_sound: bool) -> Report:
    """Return the judgement of a plan's order of cutting; an empty one where it states none.

    Only where the rolls themselves are sound (``is_sound``) can be told how far the order runs ahead; then, if nothing
    is wrong with it, a fact says so.
    """
    order = plan.order
    if order is None:
        return Report()
    followed = _Followed(plan, order)
    violations = [*followed.violations, *open_rule(wanted, plan, order, followed), *bounds_rule(order)]
    if followed.violations or not is_sound:
        return Report(tuple(violations))
    if sum(drop.count for drop in wanted.drops.values()) > MOST_FOLLOWED:
        return Report(tuple(violations), (), (), (f"how far the order of {len(order.cuts)} cuts runs ahead",))
    violations += figures_rule(order, ahead_of_hanging(wanted, plan, order, followed.rolls))
    if violations:
        return Report(tuple(violations))
    fact = f"order: {counted(len(order.cuts), 'cut')}, along each roll, "
    fact += f"{counted(order.most_waiting or 0, 'piece')} waiting at most"
    return Report((), (fact,), tuple(_searched(order)))


def _searched(order: ListedOrder) -> Iterator[str]:
    """Yield each bound of the order above 0: only a search vouches for it."""
    if order.most_waiting_bound:
        least = counted(order.most_waiting_bound, "piece")
        yield f"that no order has fewer than {least} waiting is the word of a search"
    if order.furthest_ahead_bound:
        yield f"that no order runs less than {order.furthest_ahead_bound} ahead is the word of a search"


class _Followed:
    """The listed order followed cut by cut: ``rolls`` holds, for each cut, the number of its entry in the plan's rolls.

    A piece that stands on several rolls, which is then written without a number, is taken from the roll that was cut
    last, if it is next there, and else from the first roll listed on which it is next.
    """

    def __init__(self, plan: ListedPlan, order: ListedOrder) -> None:
        self.plan = plan
        self.violations: list[Violation] = []
        self.rolls: list[int] = []
        self.next = [0] * len(plan.rolls)
        self.is_cut = [[False] * len(roll.cuts) for roll in plan.rolls]
        self.ready: defaultdict[str, list[int]] = defaultdict(list)
        self.uncut: defaultdict[str, list[tuple[int, int]]] = defaultdict(list)
        for number, roll in reversed(list(enumerate(plan.rolls))):
            self._offer(number)
            for place in reversed(range(len(roll.cuts))):
                self.uncut[roll.cuts[place].piece].append((number, place))
        for piece in order.cuts:
            self._cut(piece)
        self._nothing_left()

    def _offer(self, number: int) -> None:
        """Let the next cut of a roll be found by its piece."""
        cuts, done = self.plan.rolls[number].cuts, self.is_cut[number]
        while self.next[number] < len(cuts) and done[self.next[number]]:
            self.next[number] += 1
        if self.next[number] < len(cuts):
            heappush(self.ready[cuts[self.next[number]].piece], number)

    def _cut(self, piece: str) -> None:
        number = self._roll_ready(piece)
        if number is not None:
            self._make(number, self.next[number])
            return
        held = self.uncut.get(piece, [])
        while held and self.is_cut[held[-1][0]][held[-1][1]]:
            held.pop()
        if not held:
            self._wrong(f"piece {piece} has a turn, and no roll listed has it still to be cut")
            return
        number, place = held.pop()
        roll = self.plan.rolls[number]
        before = roll.cuts[self.next[number]].piece
        self._wrong(f"piece {piece} is cut before piece {before}, which lies above it on roll {roll.label}")
        self._make(number, place)

    def _roll_ready(self, piece: str) -> int | None:
        if self.rolls and self._is_next(self.rolls[-1], piece):
            return self.rolls[-1]
        ready = self.ready.get(piece, [])
        while ready:
            number = heappop(ready)
            if self._is_next(number, piece):
                return number
        return None

    def _is_next(self, number: int, piece: str) -> bool:
        cuts = self.plan.rolls[number].cuts
        return self.next[number] < len(cuts) and cuts[self.next[number]].piece == piece

    def _make(self, number: int, place: int) -> None:
        self.is_cut[number][place] = True
        self.rolls.append(number)
        self._offer(number)

    def _nothing_left(self) -> None:
        for number, roll in enumerate(self.plan.rolls):
            for cut, is_cut in zip(roll.cuts, self.is_cut[number], strict=True):
                if not is_cut:
                    self._wrong(f"piece {cut.piece} of roll {roll.label} has no turn")

    def _wrong(self, message: str) -> None:
        self.violations.append(Violation("cutting order", _WHERE, message))


def open_rule(wanted: Wanted, plan: ListedPlan, order: ListedOrder, followed: _Followed) -> Iterator[Violation]:
    """Require no more rolls to be open at once than is said: each from its first cut to its last; offcuts are none."""
    first: dict[int, int] = {}
    last: dict[int, int] = {}
    for moment, number in enumerate(followed.rolls):
        lot = lot_of(wanted, plan.rolls[number])
        if lot is None or not lot.is_offcut:
            first.setdefault(number, moment)
            last[number] = moment
    opened, closed = set(first.values()), set(last.values())
    now = most = 0
    for moment in range(len(followed.rolls)):
        now += moment in opened
        most = max(most, now)
        now -= moment in closed
    if order.open_rolls is not None and most > order.open_rolls:
        message = f"open_rolls says {order.open_rolls}, and {counted(most, 'roll')} are open at once"
        yield Violation("cutting order", _WHERE, message, Fraction(most - order.open_rolls))


def _figures(order: ListedOrder) -> Iterator[tuple[str, int | None, int | None]]:
    """Yield the key of each figure of an order, what is claimed, and its bound."""
    yield "most_waiting", order.most_waiting, order.most_waiting_bound
    yield "furthest_ahead", order.furthest_ahead, order.furthest_ahead_bound


def figures_rule(order: ListedOrder, found: tuple[int, int]) -> Iterator[Violation]:
    """Require the figures claimed to be those of the order listed."""
    for (key, said, _), is_so in zip(_figures(order), found, strict=True):
        if said is not None and said != is_so:
            message = f"{key} says {said}, the order listed has {is_so}"
            yield Violation("cutting order", _WHERE, message, Fraction(abs(said - is_so)))


def bounds_rule(order: ListedOrder) -> Iterator[Violation]:
    """Require bounds that the figures keep, and the status that follows from both."""
    for key, figure, bound in _figures(order):
        if figure is not None and bound is not None and bound > figure:
            message = f"{key}_lower_bound says {bound}, more than the {figure} of the order listed"
            yield Violation("cutting order", _WHERE, message, Fraction(bound - figure))
    is_reached = all(figure == bound for _, figure, bound in _figures(order))
    if order.status is not None and (order.status == "optimal") != is_reached:
        message = f"status says {order.status}, but its figures are{'' if is_reached else ' not'} its bounds"
        yield Violation("cutting order", _WHERE, message)


def turns_wanted(wanted: Wanted, follow: str) -> list[int]:
    """Return the turn of each piece in hanging order, from 0: pieces of one turn are cut before any of them hangs."""
    walls = [drop.wall for drop in wanted.drops.values() for _ in range(drop.count)]
    if follow == "walls":
        return [turn for turn, (_, alike) in enumerate(groupby(walls)) for _ in alike]
    return list(range(len(walls))) if follow == "follow" else [0] * len(walls)


def ahead_of_hanging(wanted: Wanted, plan: ListedPlan, order: ListedOrder, rolls: Sequence[int]) -> tuple[int, int]:
    """Return how many pieces wait at most for one of an earlier turn to be cut, and how many turns one is early."""
    turns = turns_wanted(wanted, order.follow)
    to_cut = Counter(turns)
    ahead: Counter[int] = Counter()
    now = waiting = most = furthest = 0
    for place in _places(wanted, plan, order, rolls):
        turn = turns[place]
        to_cut[turn] -= 1
        if turn > now:
            ahead[turn] += 1
            waiting += 1
            most, furthest = max(most, waiting), max(furthest, turn - now)
        while now <= turns[-1] and not to_cut[now]:
            now += 1
            waiting -= ahead[now]
    return most, furthest


def _places(wanted: Wanted, plan: ListedPlan, order: ListedOrder, rolls: Sequence[int]) -> Iterator[int]:
    """Yield the place in the hanging order, from 0, of every piece cut: its number tells it.

    Pieces without a number of their own take those that are left, the lowest first.
    """
    begins, place = {}, 0
    for drop in wanted.drops.values():
        begins[drop.label] = place
        place += drop.count
    numbers = [piece_number(piece) for piece in order.cuts]
    taken = {(drop_label(piece), number) for piece, number in zip(order.cuts, numbers, strict=True) if number}
    free: Counter[str] = Counter()
    for piece, number, roll in zip(order.cuts, numbers, rolls, strict=True):
        label = drop_label(piece)
        for _ in range(plan.rolls[roll].count):
            place = number or free[label] + 1
            while not number and (label, place) in taken:
                place += 1
            if not number:
                free[label] = place
            yield begins[label] + place - 1
