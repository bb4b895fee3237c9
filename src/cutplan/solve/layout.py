"""A layout in the solver's numbers: the kinds cut from one roll, in order, and where each of them falls."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from cutplan.solve.instance import Instance


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


def starts_of(instance: Instance, layout: Layout) -> list[int]:
    """Return where each drop starts, from the roll's outer end, every drop as near the end as the print allows.

    On a sealed roll the first drop starts at ``instance.lead_in``.
    """
    roll_type = instance.roll_types[layout.roll_type]
    repeat = instance.repeat
    starts: list[int] = []
    place = instance.lead_in if roll_type.datum is None else 0
    datum = roll_type.datum
    for index in layout.kinds:
        kind = instance.kinds[index]
        if datum is None:
            datum = place + kind.phase
        start = place + (datum - kind.phase - place) % repeat if repeat else place
        starts.append(start)
        place = start + kind.length
    return starts


def fits(instance: Instance, layout: Layout) -> bool:
    """Return True when the layout ends on its roll."""
    if not layout.kinds:
        return True
    end = starts_of(instance, layout)[-1] + instance.kinds[layout.kinds[-1]].length
    return end <= instance.roll_types[layout.roll_type].length
