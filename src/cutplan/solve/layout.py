"""A layout in the solver's numbers: the kinds cut from one roll, in order, and where each of them falls."""

from __future__ import annotations

from collections import Counter
from typing import NamedTuple

from msgspec import Struct

from cutplan.solve.instance import Instance


class Layout(Struct, frozen=True):
    """Kinds cut from one roll of a type, in order from its outer end (a «pattern» in the literature)."""

    roll_type: int
    kinds: tuple[int, ...]

    @property
    def counts(self) -> Counter[int]:
        """How many of each kind the layout holds."""
        return Counter(self.kinds)

    def within(self, remaining: list[int]) -> Layout:
        """Return the layout without the drops that exceed ``remaining``; what stays keeps its order.

        A layout that loses a drop still fits: the others may stay where they are.
        """
        left = list(remaining)
        kept = []
        for kind in self.kinds:
            if left[kind] > 0:
                left[kind] -= 1
                kept.append(kind)
        return Layout(self.roll_type, tuple(kept))


class DropPlace(NamedTuple):
    """Where a drop falls on its roll.

    ``start`` is measured from the outer end; ``stretch`` counts the roll's stretches from 0; ``limit`` is where that
    stretch ends.
    """

    start: int
    stretch: int
    limit: int


class After(NamedTuple):
    """Where a roll has been cut to: the stretch in hand, its limit, the place, a datum if known, and what was lost."""

    stretch: int
    limit: int
    place: int
    datum: int | None
    start: int
    lost: int


class Cutting:
    """A roll that is being cut, every drop as near the outer end as print and flaws allow."""

    def __init__(self, instance: Instance, roll_type: int) -> None:
        self.instance = instance
        self.roll_type = roll_type
        self.kinds: list[int] = []
        self._roll = instance.roll_types[roll_type]
        self._stretches = self._roll.stretches
        self._now = self._opened(0)

    @property
    def room(self) -> int:
        """How much is left of the stretch in hand."""
        return self._now.limit - self._now.place

    @property
    def offset(self) -> int:
        """Where in the print the paper has been cut to, from a datum; 0 where that is not known."""
        if self._now.datum is None or not self.instance.repeat:
            return 0
        return (self._now.place - self._now.datum) % self.instance.repeat

    def after(self, kind: int) -> After | None:
        """Return where the roll will have been cut to after one drop more; None when it has no room for it."""
        instance = self.instance
        wanted = instance.kinds[kind]
        phase = instance.phase_on(kind, self._roll)
        now = self._now
        while True:
            lost = 0
            if now.datum is not None and instance.repeat:
                lost = (now.datum - phase - now.place) % instance.repeat
            start = now.place + lost
            end = start + wanted.length
            if end <= now.limit:
                datum = start + phase if now.datum is None else now.datum
                return After(now.stretch, now.limit, end, datum, start, lost)
            if now.stretch + 1 == len(self._stretches):
                return None
            now = self._opened(now.stretch + 1)

    def cut(self, kind: int, after: After) -> None:
        """Make the cut of :meth:`after`."""
        self.kinds.append(kind)
        self._now = after

    def _opened(self, number: int) -> After:
        stretch = self._stretches[number]
        limit = stretch.start + stretch.length
        if stretch.datum is None:
            return After(number, limit, stretch.start + self.instance.lead_in, None, 0, 0)
        return After(number, limit, stretch.start, stretch.start + stretch.datum, 0, 0)


def places_of(instance: Instance, layout: Layout) -> list[DropPlace] | None:
    """Return where each drop falls, every one as near the outer end as print and flaws allow; None if one is too many.

    Where nobody has measured a stretch, its first drop starts ``instance.lead_in`` after its beginning.
    """
    cutting = Cutting(instance, layout.roll_type)
    places = []
    for kind in layout.kinds:
        after = cutting.after(kind)
        if after is None:
            return None
        cutting.cut(kind, after)
        places.append(DropPlace(after.start, after.stretch, after.limit))
    return places
