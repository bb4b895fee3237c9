"""A layout in the solver's numbers: the kinds cut from one roll, in order, and where each of them falls."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from cutplan.solve.instance import Instance, Stretch


@dataclass(frozen=True, slots=True)
class Layout:
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


class Place(NamedTuple):
    """Where a drop falls on its roll.

    ``start`` is measured from the outer end; ``stretch`` counts the roll's stretches from 0; ``limit`` is where that
    stretch ends.
    """

    start: int
    stretch: int
    limit: int


def places_of(instance: Instance, layout: Layout) -> list[Place] | None:
    """Return where each drop falls, every one as near the outer end as print and flaws allow; None if one is too many.

    Where nobody has measured a stretch, its first drop starts ``instance.lead_in`` after its beginning.
    """
    roll_type = instance.roll_types[layout.roll_type]
    stretches = iter(enumerate(roll_type.stretches))
    number, stretch = next(stretches)
    place, datum = _open(instance, stretch)
    places = []
    for kind in layout.kinds:
        phase = instance.phase_on(kind, roll_type)
        while True:
            start = place if datum is None or not instance.repeat else place + (datum - phase - place) % instance.repeat
            end = start + instance.kinds[kind].length
            if end <= stretch.start + stretch.length:
                break
            following = next(stretches, None)
            if following is None:
                return None
            number, stretch = following
            place, datum = _open(instance, stretch)
        datum = start + phase if datum is None else datum
        places.append(Place(start, number, stretch.start + stretch.length))
        place = end
    return places


def _open(instance: Instance, stretch: Stretch) -> tuple[int, int | None]:
    """Return where cutting begins on a stretch, and a datum of its print from the roll's end, if it is known."""
    if stretch.datum is None:
        return stretch.start + instance.lead_in, None
    return stretch.start, stretch.start + stretch.datum
