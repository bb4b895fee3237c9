"""Which rolls go to which room: a plan's layouts dealt out, and each roll cut in the order of its rooms."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING, Final, NamedTuple, TypeAlias

from cutplan.job.print_along import place_along
from cutplan.plan.plan import Cut, RollLayout

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from cutplan.job.job import Job


_Layout: TypeAlias = "tuple[str, tuple[str, ...]]"
"""A lot, and the pieces cut from a roll of it."""
_NOBODY: Final = -1
_MOST_TRIED: Final = 16
"""Open rolls that are looked at for one piece, those opened first before others."""


class Share(NamedTuple):
    """A piece on a roll: what it is called in the pooled plan, and for which room, numbered from 0, it is cut."""

    label: str
    room: int


@dataclass(slots=True)
class SharedRoll:
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
        best = max(choice, key=lambda layout: (_gives(layout[1], wanted) - len(layout[1]), len(layout[1])))
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


def _gives(layout: Sequence[str], wanted: Counter[str]) -> int:
    return sum(min(times, wanted[piece]) for piece, times in Counter(layout).items())


def deal(layouts: Iterable[RollLayout], rooms: Iterable[Counter[str]], placing: Placing) -> list[SharedRoll]:
    """Return the rolls of a plan with the room of each piece; ``rooms`` say what each room takes, in order.

    Rolls stand in the order in which they are opened.
    """
    dealer = _Dealer(layouts, placing)
    for room, wanted in enumerate(rooms):
        dealer.deal(room, Counter(wanted))
    return dealer.rolls


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


def layouts_of(rolls: Iterable[SharedRoll]) -> tuple[tuple[RollLayout, ...], list[SharedRoll]]:
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
