"""Kinds that may stand in for one another, planned as one.

Two kinds with the same places that lead to the same next place, whichever kind comes next, differ only as the
last of a roll. Planned as one kind, of the shortest length among them, they give a smaller instance that asks no
more: its bound holds for the full one, and its plan becomes a plan of the full one when the last drop of each roll
can be chosen short enough.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from cutplan.solve.clock import UNHURRIED, Clock
from cutplan.solve.instance import DropKind, Instance
from cutplan.solve.layout import Layout, places_of
from cutplan.solve.roll.places import places_on
from cutplan.solve.search.certificate import Certificate
from cutplan.solve.search.greedy import Layouts

Runs = tuple[tuple[int, int], ...]
"""Things by index, each with how many times it is handed out in a row."""


class Grouping(Struct, frozen=True):
    """A grouped instance and the kinds of the full one behind each of its kinds, in hanging order."""

    full: Instance
    grouped: Instance
    members: tuple[tuple[int, ...], ...]

    def prices_of_full(self, certificate: Certificate) -> Certificate:
        """Return the certificate with a price for each kind of the full instance."""
        of_members = zip(certificate.prices, self.members, strict=True)
        price_of = {kind: price for price, members in of_members for kind in members}
        return replace(certificate, prices=tuple(price_of[kind] for kind in range(len(self.full.kinds))))

    def gather(self, layouts: Layouts) -> Layouts:
        """Return a plan of the full instance in the grouped instance's kinds."""
        group_of = {kind: number for number, members in enumerate(self.members) for kind in members}
        gathered: Layouts = {}
        for layout, times in layouts.items():
            grouped = Layout(layout.roll_type, tuple(group_of[kind] for kind in layout.kinds))
            gathered[grouped] = gathered.get(grouped, 0) + times
        return gathered

    def expand(self, layouts: Layouts) -> Layouts | None:
        """Return the plan in the full instance's kinds, or None when some last drop cannot be short enough.

        Kinds are handed out in hanging order, roll by roll, as far as the last drops' room allows.
        """
        if len(self.members) == len(self.full.kinds):
            return layouts
        left = [kind.demand for kind in self.full.kinds]
        return self._expand(layouts, left[:], tightest_first=False) or self._expand(layouts, left, tightest_first=True)

    def expand_in_part(self, layouts: Layouts) -> tuple[Layouts, list[int]]:
        """Return the plan without the last drops that cannot be short enough, and how many of each kind are left."""
        left = [*(kind.demand for kind in self.full.kinds), sum(kind.demand for kind in self.full.kinds)]
        return self._expand(layouts, left, tightest_first=True, otherwise=(len(self.full.kinds),)) or {}, left[:-1]

    def _expand(
        self, layouts: Layouts, left: list[int], *, tightest_first: bool, otherwise: tuple[int, ...] = ()
    ) -> Layouts | None:
        """Hand out what is ``left`` of each kind; what is put ``otherwise`` where none is short enough is no drop."""
        slots = [slot for layout, times in layouts.items() for slot in self._slots(layout, times)]
        order = list(range(len(slots)))
        length_of = [kind.length for kind in self.full.kinds]
        members = self.members
        if tightest_first:
            order = sorted(order, key=lambda index: slots[index].room)
            members = tuple(tuple(sorted(kinds, key=lambda kind: (length_of[kind], kind))) for kinds in members)
        handed: list[Runs] = [()] * len(slots)
        for index in order:
            slot = slots[index]
            short_enough = [kind for kind in members[slot.kind] if length_of[kind] <= slot.room]
            runs = hand_out((*short_enough, *otherwise), left, slot.times)
            if runs is None:
                return None
            handed[index] = runs
        full: Layouts = {}
        queue = iter(handed)
        for layout in layouts:
            for kinds, times in split([next(queue) for _ in layout.kinds]):
                whole = Layout(layout.roll_type, tuple(kind for kind in kinds if kind not in otherwise))
                full[whole] = full.get(whole, 0) + times
        return full

    def _slots(self, layout: Layout, times: int) -> list[_Slot]:
        """Return the places of a layout; only the last of a stretch limits how long its drop may be."""
        places = places_of(self.grouped, layout)
        if places is None:
            raise ArithmeticError(f"a layout does not fit its roll: {layout}")
        longest = max(kind.length for kind in self.full.kinds)
        lasts = [
            place.stretch != following
            for place, following in zip(places, [*(p.stretch for p in places[1:]), None], strict=True)
        ]
        return [
            _Slot(kind, place.limit - place.start if is_last else longest, times)
            for kind, place, is_last in zip(layout.kinds, places, lasts, strict=True)
        ]


class _Slot(Struct, frozen=True):
    """One place in a layout that is cut ``times`` times."""

    kind: int
    room: int
    times: int


def group(instance: Instance, clock: Clock = UNHURRIED) -> Grouping:
    """Return ``instance`` with the kinds of each group planned as one.

    A free match has no groups, nor have kinds of which some roll comes off foot first. Kinds of a group are held by the
    same rolls. Raises TimeIsUp when ``clock`` leaves no time for it.
    """
    members = _members(instance, clock)
    group_of = {kind: number for number, kinds in enumerate(members) for kind in kinds}
    grouped = tuple(
        DropKind(
            instance.kinds[kinds[0]].phase,
            min(instance.kinds[kind].length for kind in kinds),
            sum(instance.kinds[kind].demand for kind in kinds),
        )
        for kinds in members
    )
    roll_types = tuple(
        roll_type
        if roll_type.holds is None
        else replace(roll_type, holds=frozenset(group_of[kind] for kind in roll_type.holds))
        for roll_type in instance.roll_types
    )
    return Grouping(instance, replace(instance, kinds=grouped, roll_types=roll_types), members)


def _members(instance: Instance, clock: Clock) -> tuple[tuple[int, ...], ...]:
    if not instance.repeat or any(roll_type.is_mirrored for roll_type in instance.roll_types):
        return tuple((kind,) for kind in range(len(instance.kinds)))
    narrow = [roll_type.holds for roll_type in instance.roll_types if roll_type.holds is not None]
    members: dict[tuple[int, int, tuple[bool, ...]], list[int]] = {}
    for number, steps in enumerate(places_on(instance, clock).classes):
        for kind, nodes, _ in steps:
            key = (number, nodes, tuple(kind in holds for holds in narrow))
            members.setdefault(key, []).append(kind)
    return tuple(sorted(tuple(sorted(kinds)) for kinds in members.values()))


def hand_out(things: Iterable[int], left: list[int], wanted: int) -> Runs | None:
    """Take ``wanted`` of ``things``, the first ones first, from what is ``left`` of each.

    Returns None, and takes some, when too few are left.
    """
    runs = []
    for thing in things:
        if not wanted:
            break
        if number := min(left[thing], wanted):
            left[thing] -= number
            wanted -= number
            runs.append((thing, number))
    return None if wanted else tuple(runs)


def split(places: Sequence[Runs]) -> Iterator[tuple[tuple[int, ...], int]]:
    """Yield what stands at all places together, and how many times in a row.

    Every place must be handed the same number in all.

    >>> list(split([((7, 2), (8, 1)), ((9, 3),)]))
    [((7, 9), 2), ((8, 9), 1)]

    """
    queues = [list(reversed(runs)) for runs in places]
    while queues and queues[0]:
        times = min(queue[-1][1] for queue in queues)
        yield tuple(queue[-1][0] for queue in queues), times
        for queue in queues:
            thing, number = queue.pop()
            if number > times:
                queue.append((thing, number - times))
