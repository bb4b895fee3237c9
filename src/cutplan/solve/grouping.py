"""Kinds that may stand in for one another, planned as one.

Two kinds with the same places that lead to the same next place, whichever kind comes next, differ only as the
last of a roll. Planned as one kind, of the shortest length among them, they give a smaller instance that asks no
more: its bound holds for the full one, and its plan becomes a plan of the full one when the last drop of each roll
can be chosen short enough.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

from cutplan.solve.graph import graph_of
from cutplan.solve.handing import hand_out, split
from cutplan.solve.instance import Kind
from cutplan.solve.layout import Layout, starts_of

if TYPE_CHECKING:
    from cutplan.solve.bound import Certificate
    from cutplan.solve.greedy import Layouts
    from cutplan.solve.handing import Runs
    from cutplan.solve.instance import Instance


@dataclass(frozen=True, slots=True)
class Grouping:
    """A grouped instance and the kinds of the full one behind each of its kinds, in hanging order."""

    full: Instance
    grouped: Instance
    members: tuple[tuple[int, ...], ...]

    def prices_of_full(self, certificate: Certificate) -> Certificate:
        """Return the certificate with a price for each kind of the full instance."""
        prices = [0] * len(self.full.kinds)
        for price, members in zip(certificate.prices, self.members, strict=True):
            for kind in members:
                prices[kind] = price
        return replace(certificate, prices=tuple(prices))

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
        return self._expand(layouts, tightest_first=False) or self._expand(layouts, tightest_first=True)

    def _expand(self, layouts: Layouts, *, tightest_first: bool) -> Layouts | None:
        slots = [slot for layout, times in layouts.items() for slot in self._slots(layout, times)]
        order = list(range(len(slots)))
        length_of = [kind.length for kind in self.full.kinds]
        members = self.members
        if tightest_first:
            order = sorted(order, key=lambda index: slots[index].room)
            members = tuple(tuple(sorted(kinds, key=lambda kind: (length_of[kind], kind))) for kinds in members)
        left = [kind.demand for kind in self.full.kinds]
        handed: list[Runs] = [()] * len(slots)
        for index in order:
            slot = slots[index]
            short_enough = [kind for kind in members[slot.kind] if length_of[kind] <= slot.room]
            runs = hand_out(short_enough, left, slot.times)
            if runs is None:
                return None
            handed[index] = runs
        full: Layouts = {}
        queue = iter(handed)
        for layout in layouts:
            for kinds, times in split([next(queue) for _ in layout.kinds]):
                whole = Layout(layout.roll_type, kinds)
                full[whole] = full.get(whole, 0) + times
        return full

    def _slots(self, layout: Layout, times: int) -> list[_Slot]:
        """Return the places of a layout; only the last limits how long its drop may be."""
        longest = max(kind.length for kind in self.full.kinds)
        last = self.grouped.roll_types[layout.roll_type].length - starts_of(self.grouped, layout)[-1]
        rooms = [longest] * (len(layout.kinds) - 1) + [last]
        return [_Slot(kind, room, times) for kind, room in zip(layout.kinds, rooms, strict=True)]


@dataclass(frozen=True, slots=True)
class _Slot:
    """One place in a layout that is cut ``times`` times."""

    kind: int
    room: int
    times: int


def group(instance: Instance) -> Grouping:
    """Return ``instance`` with the kinds of each group planned as one; a free match has no groups."""
    if not instance.repeat:
        return Grouping(instance, instance, tuple((kind,) for kind in range(len(instance.kinds))))
    members: list[tuple[int, ...]] = []
    for phase_class in graph_of(instance).classes:
        bounds = [*phase_class.group_starts.tolist(), len(phase_class.kinds)]
        kinds = phase_class.kinds.tolist()
        members += [tuple(sorted(kinds[start:stop])) for start, stop in pairwise(bounds)]
    members.sort()
    grouped = tuple(
        Kind(
            instance.kinds[group[0]].phase,
            min(instance.kinds[kind].length for kind in group),
            sum(instance.kinds[kind].demand for kind in group),
        )
        for group in members
    )
    return Grouping(instance, replace(instance, kinds=grouped), tuple(members))
