"""How much paper can be used, and what it can be worth, on rolls without a print to match."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Hashable, Iterator, Sequence
from typing import Final

from cutplan.solve.instance import Instance
from cutplan.solve.ordering.faces import Place, RollFace, Span, StretchRest, Values

MOST_STEPS: Final = 200
"""Lengths at which a list's worth rises, up to which arrays take longer to load than they save."""

LONGEST: Final = 20_000
"""Units of length of a roll beyond which its bits take longer to read than an array."""

Most = Callable[[int], int]
"""The most of something that a length of paper gives."""


def free_face(instance: Instance, prices: Sequence[Sequence[int]]) -> RollFace:
    """Return the face of the rolls of ``instance``."""
    return _Free(instance, *(_few_steps(instance, prices) or _in_arrays(instance, prices)))


def _few_steps(instance: Instance, prices: Sequence[Sequence[int]]) -> tuple[Most, list[Most]] | None:
    """Return how much of a length drops can use, and its worth by each list; None where a worth rises in many steps."""
    if instance.longest_span > LONGEST:
        return None
    lengths = [kind.length for kind in instance.kinds]
    used = _used(instance)
    worths = []
    for price_of in prices:
        worth = used if list(price_of) == lengths else _worth(instance, price_of)
        if worth is None:
            return None
        worths.append(worth)
    return used, worths


def _used(instance: Instance) -> Most:
    sums = 1
    """Bit s is set where drops can be s long together."""
    for kind, count in _bundles(instance):
        sums |= sums << count * instance.kinds[kind].length & (2 << instance.longest_span) - 1
    return lambda room: (sums & (2 << room) - 1).bit_length() - 1


def _worth(instance: Instance, price_of: Sequence[int]) -> Most | None:
    steps = [(0, 0)]
    """Lengths from which on drops can be worth more than on any shorter one, and how much."""
    for kind, count in _bundles(instance):
        length, price = count * instance.kinds[kind].length, count * price_of[kind]
        more = [(at + length, worth + price) for at, worth in steps if at + length <= instance.longest_span]
        merged, steps = sorted((at, -worth) for at, worth in (*steps, *more)), []
        for at, worth in merged:
            if not steps or -worth > steps[-1][1]:
                steps.append((at, -worth))
        if len(steps) > MOST_STEPS:
            return None
    lengths, worths = zip(*steps, strict=True)
    return lambda room: worths[bisect_right(lengths, room) - 1]


def _bundles(instance: Instance) -> Iterator[tuple[int, int]]:
    """Yield bundles of 1, 2, 4 … drops of each kind that add up to every number wanted."""
    for kind, wanted in enumerate(instance.kinds):
        left, together = min(wanted.demand, instance.longest_span // wanted.length), 1
        while left > 0:
            yield kind, min(together, left)
            left -= together
            together *= 2


def _in_arrays(instance: Instance, prices: Sequence[Sequence[int]]) -> tuple[Most, list[Most]]:
    """Return the same of any number of steps; of a long roll, taken in cells, what is left counts as all used."""
    from cutplan.solve.roll.free import FreeRolls  # noqa: PLC0415 - late: loads numpy

    rolls = FreeRolls(instance)

    def most(price_of: Sequence[int]) -> Most:
        values = rolls.worth(price_of).above.values
        return lambda room: int(values[room // rolls.cell])

    return most(rolls.lengths) if rolls.cell == 1 else int, [most(price_of) for price_of in prices]


class _Free:
    """A face without a print to match: a place is the length that is left, and 0.

    What is left serves as far as lengths of drops can add up within it, where no length has to be rounded.
    """

    def __init__(self, instance: Instance, used: Most, worths: list[Most]) -> None:
        self.lengths = [kind.length for kind in instance.kinds]
        self.used = used
        self.worths = worths

    def likeness(self, kind: int) -> Hashable:
        # What is worth how much is reckoned for so many drops of each kind.
        return kind

    def fresh(self, span: Span) -> Place | None:
        return (span.room, 0)

    def begin(self, span: Span, kind: int) -> Place | None:
        return self.cut((span.room, 0), kind)

    def cut(self, place: Place, kind: int) -> Place | None:
        left = place[0] - self.lengths[kind]
        return (left, 0) if left >= 0 else None

    def after_each(self, place: Place, kinds: Sequence[int]) -> list[tuple[Place, StretchRest | None] | None]:
        cuts = [self.cut(place, kind) for kind in kinds]
        return [after and (after, self.rest(after)) for after in cuts]

    def rest(self, place: Place) -> StretchRest | None:
        used = self.used(place[0])
        return StretchRest(0, used) if used >= min(self.lengths) else None

    def worth(self, place: Place) -> Values:
        return tuple(worth(place[0]) for worth in self.worths)

    def fresh_worth(self, span: Span) -> Values:
        return self.worth((span.room, 0))
