"""Which rolls go to which room: a plan's layouts dealt out, and each roll cut in the order of its rooms."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from itertools import groupby
from random import Random
from typing import Final, NamedTuple, TypeAlias

from msgspec import Struct

from cutplan.job.job import Job
from cutplan.job.print_along import place_along
from cutplan.plan.plan import Cut, RollLayout

_Layout: TypeAlias = "tuple[str, tuple[str, ...]]"
"""A lot, and the pieces cut from a roll of it."""
_NOBODY: Final = -1
_PATIENCE: Final = 400
"""How many takings of one room are tried before it is dealt to otherwise."""
_TRIES: Final = 120
"""How often the rooms of one turn are dealt to anew."""
_MOST_TRIED: Final = 16
"""Open rolls that are looked at for one piece, those opened first before others."""


class Share(NamedTuple):
    """A piece on a roll: what it is called in the pooled plan, and for which room, numbered from 0, it is cut."""

    label: str
    room: int


class SharedRoll(Struct):
    """One roll of a lot, and what is cut from it, in order along it; where each begins and ends."""

    lot: str
    shares: list[Share]
    cuts: tuple[Cut, ...] = ()

    @property
    def rooms(self) -> list[int]:
        """For which rooms it is cut, in order along it."""
        return [share.room for share in self.shares]


class Placing:
    """Places pieces along rolls of a job, remembering what it has placed: most rolls are cut like another."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self._known: dict[tuple[str, tuple[str, ...]], tuple[Cut, ...] | None] = {}

    def cuts(self, lot: str, pieces: tuple[str, ...]) -> tuple[Cut, ...] | None:
        """Return where pieces lie that are cut from a roll in this order; None when they do not all fit."""
        key = lot, pieces
        if key not in self._known:
            placed = place_along(self.job, self.job.lot(lot), pieces)
            self._known[key] = None if placed is None else tuple(Cut(p.drop.label, p.start, p.end) for p in placed)
        return self._known[key]

    def settle(self, roll: SharedRoll) -> bool:
        """Cut a roll in the order of its rooms, if it holds its pieces so; return whether it does."""
        in_order = sorted(roll.shares, key=lambda share: share.room)
        cuts = self.cuts(roll.lot, tuple(share.label for share in in_order))
        if cuts is not None:
            roll.shares, roll.cuts = in_order, cuts
            return True
        roll.cuts = self.cuts(roll.lot, tuple(share.label for share in roll.shares)) or ()
        return False


class _Dealer:
    """Hands pieces to rooms one after another: from rolls that are open, else from the roll that gives it most.

    A piece is taken, where that can be, so that its roll still holds all pieces when it is cut in the order of rooms.
    """

    def __init__(self, layouts: Iterable[RollLayout], placing: Placing) -> None:
        self.placing = placing
        self.left: Counter[_Layout] = Counter()
        for layout in layouts:
            self.left[layout.lot, tuple(cut.drop for cut in layout.cuts)] += layout.count
        self.cutting: dict[str, list[_Layout]] = defaultdict(list)
        for key in self.left:
            for label in dict.fromkeys(key[1]):
                self.cutting[label].append(key)
        self.rolls: list[SharedRoll] = []
        self.free: dict[str, list[tuple[int, int]]] = defaultdict(list)

    def deal(self, room: int, wanted: Counter[str]) -> None:
        for label in wanted:
            while wanted[label] and self._give(label, room, wanted):
                pass
        for label in wanted:
            while wanted[label]:
                if not self._open(label, room, wanted):
                    self._give(label, room, wanted, is_last=True)

    def _give(self, label: str, room: int, wanted: Counter[str], *, is_last: bool = False) -> bool:
        """Give the room such a piece from an open roll that stays in order, or ``is_last`` from any."""
        for roll, place in self.free[label][:_MOST_TRIED]:
            if is_last or self._stays_in_order(self.rolls[roll], place, room):
                self.free[label].remove((roll, place))
                self.rolls[roll].shares[place] = Share(label, room)
                wanted[label] -= 1
                return True
        return False

    def _stays_in_order(self, roll: SharedRoll, place: int, room: int) -> bool:
        shares = [*roll.shares[:place], Share(roll.shares[place].label, room), *roll.shares[place + 1 :]]
        order = sorted(shares, key=lambda share: (share.room < 0, share.room))
        return self.placing.cuts(roll.lot, tuple(share.label for share in order)) is not None

    def _open(self, label: str, room: int, wanted: Counter[str]) -> bool:
        """Open the roll that gives the room most of what it wants, this piece too, and least that it does not."""
        self.cutting[label] = choice = [layout for layout in self.cutting[label] if self.left[layout]]
        if not choice:
            return False
        best = max(choice, key=lambda each: ((Counter(each[1]) & wanted).total() - len(each[1]), len(each[1])))
        self.left[best] -= 1
        roll = SharedRoll(best[0], [Share(piece, _NOBODY) for piece in best[1]])
        self.rolls.append(roll)
        for place, piece in enumerate(best[1]):
            if wanted[piece] and self._stays_in_order(roll, place, room):
                roll.shares[place] = Share(piece, room)
                wanted[piece] -= 1
            else:
                self.free[piece].append((len(self.rolls) - 1, place))
        return True


def deal(layouts: Iterable[RollLayout], rooms: Iterable[Counter[str]], placing: Placing) -> list[SharedRoll]:
    """Return the rolls of a plan with the room of each piece; ``rooms`` say what each room takes, in order.

    Rolls stand in the order in which they are opened.
    """
    dealer = _Dealer(layouts, placing)
    for room, wanted in enumerate(rooms):
        dealer.deal(room, Counter(wanted))
    return dealer.rolls


class _Taken(NamedTuple):
    """What a room takes of a roll: the pieces left on it for this turn before, and which of them, by their places."""

    rest: tuple[str, ...]
    places: tuple[int, ...]


def _taken_in_turn(rests: Counter[tuple[str, ...]], rooms: int, asked: Counter[str]) -> list[list[_Taken]]:
    """Return what each of the rooms of a turn, all alike, takes of the rolls.

    ``rests`` are the pieces that rolls have for the turn. Where a room would have to take a piece from behind others,
    it is tried otherwise, and now and then some rooms before it too, as often as ``_TRIES`` allows. Rolls cut alike of
    which each room can have one, and some are left over, are not tried but given out.
    """
    alike = Counter({rest: max(times // rooms - 1, 0) for rest, times in rests.items()})
    same = [_Taken(rest, tuple(range(len(rest)))) for rest in alike.elements()]
    rests, asked = rests.copy(), asked.copy()
    for each in same:
        rests[each.rest] -= rooms
        asked.subtract(each.rest)
    random = Random(1)  # noqa: S311 - the same on every run
    found: list[list[_Taken]] = []
    before = [rests]
    tries = 0
    while len(found) < rooms:
        room = _Room(Counter(before[-1]), random if tries else None)
        taken = room.served(Counter(asked))
        if taken is None and tries < _TRIES:
            tries += 1
            if not tries % 3:
                back = max(len(found) - random.randint(1, 4), 0)
                del found[back:], before[back + 1 :]
            continue
        found.append(room.served_anyhow(Counter(asked)) if taken is None else taken)
        before.append(+room.left)
    return [same + takings for takings in found]


class _Room:
    """One room, and what is ``left`` of rolls for its turn; ``random`` changes what is tried first."""

    def __init__(self, left: Counter[tuple[str, ...]], random: Random | None) -> None:
        self.left = left
        self.random = random
        self.patience = _PATIENCE

    def served(self, wanted: Counter[str]) -> list[_Taken] | None:
        """Return takings from the fronts of rolls that together are what is wanted; None where none are found."""
        wanted = +wanted
        if not wanted:
            return []
        fronts = {rest: rest[: _front(rest, wanted)] for rest, times in self.left.items() if times}
        there = {label: sum(front.count(label) * self.left[rest] for rest, front in fronts.items()) for label in wanted}
        label = min(wanted, key=lambda each: (there[each] - wanted[each], each))
        self.patience -= 1
        if there[label] < wanted[label] or self.patience < 0:
            return None
        for rest in sorted((rest for rest, front in fronts.items() if label in front), key=self._last):
            taken = _Taken(rest, tuple(range(rest.index(label) + 1)))
            self._take(taken, wanted)
            others = self.served(wanted)
            if others is not None:
                return [taken, *others]
            self._take(taken, wanted, back=True)
        return None

    def served_anyhow(self, wanted: Counter[str]) -> list[_Taken]:
        """Return takings that together are what is wanted, each from in front where that can be."""
        takings = []
        while wanted := +wanted:
            fronts = {rest: _front(rest, wanted) for rest, times in self.left.items() if times}
            rest = max(fronts, key=fronts.__getitem__)
            places = tuple(range(fronts[rest]))
            if not places:
                rest, place = next((each, at) for each in fronts for at, label in enumerate(each) if wanted[label])
                places = (place,)
            takings.append(_Taken(rest, places))
            self._take(takings[-1], wanted)
        return takings

    def _last(self, rest: tuple[str, ...]) -> float:
        """Return the more, the later a roll with these pieces left is to be tried: rolls that are many come first."""
        return -self.left[rest] * (self.random.random() if self.random else 1)

    def _take(self, taken: _Taken, wanted: Counter[str], *, back: bool = False) -> None:
        step = -1 if back else 1
        kept = tuple(label for place, label in enumerate(taken.rest) if place not in taken.places)
        self.left[taken.rest] -= step
        if kept:
            self.left[kept] += step
        for place in taken.places:
            wanted[taken.rest[place]] -= step


def _front(labels: Sequence[str], wanted: Counter[str]) -> int:
    """Return how many pieces in front are wanted."""
    left = Counter(wanted)
    for count, label in enumerate(labels):
        if not left[label]:
            return count
        left[label] -= 1
    return len(labels)


def deal_turns(
    rolls: Iterable[tuple[str, ...]], lot: str, turns: Iterable[tuple[int, Counter[str]]]
) -> list[SharedRoll]:
    """Return rolls with the room of each piece: ``rolls`` are the pieces along each, bound to turns.

    ``turns`` say how many rooms each has, and what one of them takes. A piece that no roll has in front is taken from
    behind others.
    """
    shared = [SharedRoll(lot, [Share(label, _NOBODY) for label in pieces]) for pieces in rolls]
    dealt = 0
    for rooms, asked in turns:
        having: dict[tuple[str, ...], list[tuple[int, tuple[int, ...]]]] = defaultdict(list)
        for number, roll in enumerate(shared):
            places = tuple(place for place, share in enumerate(roll.shares) if share.label in asked)
            if places:
                having[tuple(roll.shares[place].label for place in places)].append((number, places))
        rests = Counter({rest: len(there) for rest, there in having.items()})
        for room, taken in enumerate(_taken_in_turn(rests, rooms, asked), dealt):
            for rest, of_rest in taken:
                number, places = having[rest].pop()
                for place in of_rest:
                    shared[number].shares[places[place]] = Share(rest[place], room)
                kept = [place for place in range(len(rest)) if place not in of_rest]
                having[tuple(rest[place] for place in kept)].append((number, tuple(places[place] for place in kept)))
        dealt += rooms
    return shared


def room_after_room(rolls: Iterable[SharedRoll], placing: Placing) -> list[SharedRoll]:
    """Return rolls from which nothing is cut for a room before the room ahead of it is done.

    What a roll cannot hold in that order is cut from further rolls, each piece from the first that holds it behind
    what is cut before.
    """
    kept: list[SharedRoll] = []
    over: list[tuple[str, Share]] = []
    for roll in rolls:
        if not placing.settle(roll):
            held: list[Share] = []
            for share in sorted(roll.shares, key=lambda share: share.room):
                fits = placing.cuts(roll.lot, tuple(piece.label for piece in (*held, share))) is not None
                held.append(share) if fits else over.append((roll.lot, share))
            roll.shares = held
            placing.settle(roll)
        kept.append(roll)
    further: list[SharedRoll] = []
    for lot, share in sorted(over, key=lambda piece: piece[1].room):
        for roll in further:
            if roll.lot == lot and placing.cuts(lot, (*(piece.label for piece in roll.shares), share.label)):
                roll.shares.append(share)
                break
        else:
            further.append(SharedRoll(lot, [share]))
    for roll in further:
        placing.settle(roll)
    return sorted((*kept, *further), key=lambda roll: min(roll.rooms))


def as_layouts(rolls: Iterable[SharedRoll]) -> tuple[tuple[RollLayout, ...], list[SharedRoll]]:
    """Return rolls as layouts, those cut alike together, and the rolls as the layouts number them."""
    alike: dict[tuple[str, tuple[Cut, ...]], list[SharedRoll]] = {}
    for roll in rolls:
        alike.setdefault((roll.lot, roll.cuts), []).append(roll)
    layouts, numbered, opened = [], [], Counter[str]()
    for (lot, cuts), same in alike.items():
        layouts.append(RollLayout(lot, opened[lot] + 1, len(same), cuts))
        opened[lot] += len(same)
        numbered += same
    return tuple(layouts), numbered


def runs(roll: SharedRoll) -> list[tuple[int, list[int]]]:
    """Return the stretches of a roll that are cut for one room each: the room, and the places of its cuts along it."""
    return [
        (room, [place for place, _ in places])
        for room, places in groupby(enumerate(roll.rooms), key=lambda numbered: numbered[1])
    ]
