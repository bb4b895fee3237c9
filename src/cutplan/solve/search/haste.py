"""A plan and a bound at once, in time that grows with the number of kinds: for when there is no time for better.

Roll after roll begins with the longest drop left; then follows, of those whose print comes next, the one that is long
for the paper lost before it. A bound follows from lengths alone.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from typing import Final

from cutplan.solve.instance import Instance
from cutplan.solve.layout import Cutting, Layout
from cutplan.solve.search.certificate import SCALE, Certificate, certify
from cutplan.solve.search.greedy import Layouts, take

COMING_NEXT: Final = 32
"""Kinds whose print comes next that are looked at before each cut."""

LOSS: Final = 3
"""Paper lost weighs so much more than paper used."""

FEW: Final = 5
"""Up to so many drops to a roll are counted in the bounds by rule."""


def fill_at_once(instance: Instance) -> Layouts | None:
    """Return a plan for ``instance``; None when its rolls ran out first, though others may be enough."""
    return _Filling(instance).layouts()


class _Filling:
    """The drops that are left, and the rolls."""

    def __init__(self, instance: Instance) -> None:
        self.instance = instance
        self.left = [kind.demand for kind in instance.kinds]
        self.supply = [roll.supply for roll in instance.roll_types]
        rates = [roll.value / max(instance.room_on(roll), 1) for roll in instance.roll_types]
        self.cheapest_first = sorted(range(len(rates)), key=rates.__getitem__)
        self.coming = {
            is_mirrored: sorted(self._entry(kind, is_mirrored) for kind in range(len(self.left)))
            for is_mirrored in {roll.is_mirrored for roll in instance.roll_types}
        }

    def _entry(self, kind: int, is_mirrored: bool) -> tuple[int, int, int]:  # noqa: FBT001 - a key of ``coming``
        """Return where in the print ``kind`` begins, minus its length, and itself."""
        wanted = self.instance.kinds[kind]
        repeat = self.instance.repeat
        phase = wanted.length - wanted.phase if is_mirrored else wanted.phase
        return -phase % repeat if repeat else 0, -wanted.length, kind

    def layouts(self) -> Layouts | None:
        """Return the layouts that cut all drops; None when the rolls run out."""
        layouts: Layouts = {}
        kinds = self.instance.kinds
        for kind in sorted(range(len(kinds)), key=lambda kind: -kinds[kind].length):
            while self.left[kind]:
                layout = self._layout(kind)
                if layout is None:
                    return None
                take(layouts, layout, self.left, self.supply)
                self._strike_out({cut for cut in layout.kinds if not self.left[cut]})
        return layouts

    def _strike_out(self, kinds: set[int]) -> None:
        for is_mirrored, coming in self.coming.items():
            for kind in kinds:
                del coming[bisect_left(coming, self._entry(kind, is_mirrored))]

    def _layout(self, kind: int) -> Layout | None:
        """Return a roll that begins with ``kind``; None when there is none for it."""
        for roll_type in self.cheapest_first:
            if self.supply[roll_type] == 0 or not self._holds(roll_type, kind):
                continue
            cutting = Cutting(self.instance, roll_type)
            after = cutting.after(kind)
            if after is not None:
                cutting.cut(kind, after)
                self._fill(cutting)
                return Layout(roll_type, tuple(cutting.kinds))
        return None

    def _holds(self, roll_type: int, kind: int) -> bool:
        holds = self.instance.roll_types[roll_type].holds
        return holds is None or kind in holds

    def _fill(self, cutting: Cutting) -> None:
        while True:
            best = max(self._fitting(cutting), default=None)
            if best is None:
                return
            after = cutting.after(best[1])
            if after is None:
                return
            cutting.cut(best[1], after)

    def _fitting(self, cutting: Cutting) -> Iterator[tuple[int, int]]:
        """Yield (merit, kind) for drops that may be cut next from the stretch in hand."""
        coming = self.coming[self.instance.roll_types[cutting.roll_type].is_mirrored]
        room, offset = cutting.room, cutting.offset
        repeat = self.instance.repeat
        begin = bisect_left(coming, (offset, 0, 0)) if repeat else bisect_left(coming, (0, -room, 0))
        for place in range(begin, begin + min(COMING_NEXT, len(coming))):
            if not repeat and place >= len(coming):
                return
            at, minus_length, kind = coming[place % len(coming)]
            lost = (at - offset) % repeat if repeat else 0
            if (
                lost - minus_length <= room
                and self.left[kind] > cutting.kinds.count(kind)
                and self._holds(cutting.roll_type, kind)
            ):
                yield -minus_length - LOSS * lost, kind


def certificates_at_once(instance: Instance) -> Iterator[Certificate]:
    """Yield what lengths alone prove, whatever the print: nothing can be worth more than its share of the roll.

    The first prices a drop by its length, the others by how many such drops fit on a roll, 2 to :data:`FEW`.

    References
    ----------
    The dual feasible functions of Fekete and Schepers, Mathematical Programming 91 (2001) 11–31.

    """
    lengths = [kind.length for kind in instance.kinds]
    yield _certified(instance, lengths, [instance.room_on(roll) for roll in instance.roll_types])
    longest = instance.longest_span
    for few in range(1, FEW):
        shares = [_share(length, longest, few) for length in lengths]
        yield _certified(instance, shares, [SCALE * len(roll.stretches) for roll in instance.roll_types])


def _share(length: int, longest: int, few: int) -> int:
    """Return a price so that what fits in ``longest`` is worth no more than SCALE."""
    whole, rest = divmod((few + 1) * length, longest)
    return SCALE * whole // few if rest else SCALE * length // longest


def _certified(instance: Instance, prices: list[int], worth: list[int]) -> Certificate:
    values = [roll.value for roll in instance.roll_types]
    scale = max((-(-most // value) for most, value in zip(worth, values, strict=True) if value), default=1)
    return certify(instance, prices, worth, scale)
