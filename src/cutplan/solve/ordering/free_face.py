"""How much paper can be used, and what it can be worth, on rolls without a print to match."""

from __future__ import annotations

from collections.abc import Sequence

from cutplan.solve.instance import Instance
from cutplan.solve.ordering.faces import Place, RollFace, Span, StretchRest, Values
from cutplan.solve.roll.free import FreeRolls


def free_face(instance: Instance, prices: Sequence[Sequence[int]]) -> RollFace:
    """Return the face of the rolls of ``instance``."""
    return _Free(instance, prices)


class _Free:
    """A face without a print to match: a place is the length that is left, and 0.

    What is left serves as far as lengths of drops can add up within it, where no length has to be rounded.
    """

    def __init__(self, instance: Instance, prices: Sequence[Sequence[int]]) -> None:
        rolls = FreeRolls(instance)
        self.lengths = rolls.lengths
        self.cell = rolls.cell
        self.sums = rolls.worth(rolls.lengths).above.values
        self.worths = [rolls.worth(price_of).above.values for price_of in prices]

    def fresh(self, span: Span) -> Place | None:
        return (span.room, 0)

    def begin(self, span: Span, kind: int) -> Place | None:
        return self.cut((span.room, 0), kind)

    def cut(self, place: Place, kind: int) -> Place | None:
        left = place[0] - self.lengths[kind]
        return (left, 0) if left >= 0 else None

    def after_each(self, place: Place) -> list[tuple[Place, StretchRest | None] | None]:
        cuts = [self.cut(place, kind) for kind in range(len(self.lengths))]
        return [after and (after, self.rest(after)) for after in cuts]

    def rest(self, place: Place) -> StretchRest | None:
        used = int(self.sums[place[0]]) if self.cell == 1 else place[0]
        return StretchRest(0, used) if used >= min(self.lengths) else None

    def worth(self, place: Place) -> Values:
        return tuple(int(worths[place[0] // self.cell]) for worths in self.worths)

    def fresh_worth(self, span: Span) -> Values:
        return self.worth((span.room, 0))
