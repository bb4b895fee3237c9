"""How much paper can be used, and what it can be worth, on rolls with a print that repeats."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Hashable, Iterable, Sequence
from typing import TYPE_CHECKING

from cutplan.solve.clock import Clock
from cutplan.solve.instance import Instance
from cutplan.solve.ordering.faces import Place, RollFace, Span, StretchRest, Values
from cutplan.solve.roll.few_places import FewPlaces, are_few
from cutplan.solve.roll.places import Places, places_on

if TYPE_CHECKING:
    from cutplan.solve.roll.phased import PhasedRolls


def printed_face(instance: Instance, spans: Iterable[Span], prices: Sequence[Sequence[int]], clock: Clock) -> RollFace:
    """Return the face of ``spans``, each a roll type of ``instance``; raises TimeIsUp when ``clock`` ends before."""
    return _Printed(instance, spans, prices, clock)


class _Printed:
    """A face with a print that repeats: a place is a node and a window, as in :mod:`~cutplan.solve.roll.graph`."""

    def __init__(
        self, instance: Instance, spans: Iterable[Span], prices: Sequence[Sequence[int]], clock: Clock
    ) -> None:
        places = places_on(instance, clock)
        rolls = _rolls(instance, places, clock)
        self.end = places.end
        self.offsets = places.offsets
        self.coordinates = [places.coordinate(node) for node in range(places.end)]
        self.steps = {step.kind: (number, step) for number, steps in enumerate(places.classes) for step in steps}
        self.windows = dict(zip(spans, (windows for (windows,) in places.by_stretch(instance)), strict=True))
        self.firsts = [window.first for window in places.windows]
        self.limits = [window.limit for window in places.windows]
        self.ends = rolls.last_ends()
        self.worths = [rolls.worth(price_of).by_window for price_of in prices]

    def likeness(self, kind: int) -> Hashable:
        number, step = self.steps[kind]
        latest = [bisect_right(self.coordinates, limit - step.length) - 1 - number for limit in self.limits]
        return number, step.nodes, *(last // len(self.offsets) for last in latest)

    def fresh(self, span: Span) -> Place | None:
        return None if span.datum is None else self._beginning(self.windows[span][0])

    def _beginning(self, window: int) -> Place:
        return self.firsts[window], window

    def begin(self, span: Span, kind: int) -> Place | None:
        return self.cut(self.fresh(span) or self._beginning(self.windows[span][self.steps[kind][0]]), kind)

    def cut(self, place: Place, kind: int) -> Place | None:
        node, window = place
        number, step = self.steps[kind]
        node += (number - node) % len(self.offsets)
        if node >= self.end or self.coordinates[node] + step.length > self.limits[window]:
            return None
        return min(node + step.nodes, self.end), window

    def after_each(self, place: Place, kinds: Sequence[int]) -> list[tuple[Place, StretchRest | None] | None]:
        cuts = [self.cut(place, kind) for kind in kinds]
        rests = {after: self.rest(after) for after in dict.fromkeys(cuts) if after is not None}
        return [after and (after, rests[after]) for after in cuts]

    def rest(self, place: Place) -> StretchRest | None:
        node, window = place
        end = self.ends[window][node]
        return StretchRest(self.offsets[node % len(self.offsets)], end - self.coordinates[node]) if end else None

    def worth(self, place: Place) -> Values:
        node, window = place
        return tuple(worth[window][node] for worth in self.worths)

    def fresh_worth(self, span: Span) -> Values:
        worths = [self.worth(self._beginning(window)) for window in self.windows[span]]
        return tuple(max(by_window) for by_window in zip(*worths, strict=True))


def _rolls(instance: Instance, places: Places, clock: Clock) -> FewPlaces | PhasedRolls:
    if are_few(places):
        return FewPlaces(instance, places, clock)
    from cutplan.solve.roll.phased import PhasedRolls  # noqa: PLC0415 - loaded where arrays save time

    return PhasedRolls(instance, clock)
