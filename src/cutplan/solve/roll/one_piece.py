"""The shortest single piece that holds all drops of an instance, and their order along it, exactly.

Go along the piece and look at the print: it runs through its repeat again and again, a circle on which each drop is an
arc from where it starts to where it ends, and what lies between two drops an arc from the end of one to the start of
the next. Over the whole piece every point of the circle is passed equally often, but for where the piece begins and
ends. So what lies between drops is settled by how often they pass each point, up to whole rounds; and any such arcs can
be walked in one go if they hang together (L. Euler, 1736). The least is taken over every first and last drop: nothing
is searched. Going from drop to drop costs as in P. C. Gilmore and R. E. Gomory, "Sequencing a one state-variable
machine", Operations Research 12 (1964) 655–679, which needs no search either.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import accumulate, chain, pairwise
from typing import Final, NamedTuple

from cutplan.solve.instance import Instance, RollType
from cutplan.solve.layout import Cutting, Layout

MOST_ROLLS: Final = 40
"""Of more rolls than this a plan is found in other ways."""


class OnePiece(NamedTuple):
    """Kinds in order along one piece, and the distance from the first start to the last end."""

    kinds: tuple[int, ...]
    span: int


def one_piece(instance: Instance) -> OnePiece:
    """Return all drops of an instance cut from one piece, in an order than which none takes less of it."""
    paper = sum(kind.length * kind.demand for kind in instance.kinds)
    if not instance.repeat:
        kinds = chain.from_iterable([number] * kind.demand for number, kind in enumerate(instance.kinds))
        return OnePiece(tuple(kinds), paper)
    circle = _Circle(instance)
    lost, start, between = next(way for way in circle.ways() if circle.hangs_together(way.between))
    return OnePiece(tuple(circle.walked(start, between)), paper + lost)


def in_one_order(instance: Instance, *, is_tight: bool) -> dict[Layout, int] | None:
    """Return the best order along one piece cut out of few sealed rolls of one price; None where it does not fit so.

    Of a single roll it is a plan whenever there is one. ``is_tight`` asks for it only where the rolls have hardly any
    paper to spare, for else other plans are found as soon.
    """
    types = enumerate(instance.roll_types)
    sealed = [(roll, index) for index, roll in types if roll == RollType(roll.length, None, roll.supply, roll.value)]
    count = sum(roll.supply or MOST_ROLLS + 1 for roll, _ in sealed)
    if count > MOST_ROLLS or len({roll.value for roll, _ in sealed}) != 1:
        return None
    longest_first = sorted(sealed, key=lambda pair: -pair[0].length)
    rolls = [index for roll, index in longest_first for _ in range(roll.supply or 0)]
    order, span = one_piece(instance)
    room = sum(instance.room_on(instance.roll_types[index]) for index in rolls)
    if is_tight and room > span + 2 * len(rolls) * max(kind.length for kind in instance.kinds):
        return None
    layouts, place = Counter[Layout](), 0
    for index in rolls:
        cutting = Cutting(instance, index)
        while place < len(order) and (after := cutting.after(order[place])) is not None:
            cutting.cut(order[place], after)
            place += 1
        if cutting.kinds:
            layouts[Layout(index, tuple(cutting.kinds))] += 1
    return layouts if place == len(order) else None


class _Way(NamedTuple):
    """How much lies between drops, where the first starts, and how often what lies between passes each stretch."""

    lost: int
    start: int
    between: list[int]


class _Circle:
    """The repeat of the print, cut at every place where a drop starts or ends."""

    def __init__(self, instance: Instance) -> None:
        self.repeat = repeat = instance.repeat
        self.arcs = [
            (-kind.phase % repeat, (kind.length - kind.phase) % repeat, kind.demand) for kind in instance.kinds
        ]
        self.places = sorted({place for start, end, _ in self.arcs for place in (start, end)})
        self.index = {place: number for number, place in enumerate(self.places)}
        self.widths = [after - place for place, after in pairwise((*self.places, self.places[0] + repeat))]
        surplus = Counter[int]()
        for start, end, demand in self.arcs:
            surplus[end] += demand
            surplus[start] -= demand
        passing = list(accumulate(surplus[place] for place in self.places))
        # How often what lies between drops passes each stretch, when the last drop is followed by the first again.
        self.between = [number - min(passing) for number in passing]

    def ways(self) -> Iterator[_Way]:
        """Yield what may lie between drops, for every last and first drop and number of rounds, the shortest first."""
        closed = sum(width * times for width, times in zip(self.widths, self.between, strict=True))
        bare = list(accumulate((not times for times in self.between), initial=0))
        ways = []
        for end in {end for _, end, _ in self.arcs}:
            for start in {start for start, _, _ in self.arcs}:
                first, last = self.index[end], self.index[start]
                # One round more where something between would be passed less than never.
                short = bare[last] - bare[first] + (bare[-1] if first > last else 0) > 0
                lost = closed - (start - end) % self.repeat + self.repeat * short
                ways += [(lost + more * self.repeat, start, end, short + more) for more in range(2)]
        for lost, start, end, rounds in sorted(ways):
            skipped = Counter(self._path(end, start))
            yield _Way(lost, start, [times + rounds - skipped[at] for at, times in enumerate(self.between)])

    def _path(self, end: int, start: int) -> range | list[int]:
        """Return the stretches from where the last drop ends on to where the first one starts."""
        first, last = self.index[end], self.index[start]
        return range(first, last) if first <= last else [*range(first, len(self.places)), *range(last)]

    def hangs_together(self, between: list[int]) -> bool:
        """Return True when drops and what lies between them can be walked in one go."""
        leader = {place: place for place in self.places}

        def root(place: int) -> int:
            while leader[place] != place:
                place = leader[place]
            return place

        for place, after, times in (*self._onward(between), *self.arcs):
            if times:
                leader[root(place)] = root(after)
        return len({root(start) for start, _, _ in self.arcs}) == 1

    def walked(self, start: int, between: list[int]) -> list[int]:
        """Return the kinds in the order in which one walk passes them all, begun at ``start``.

        References
        ----------
        C. Hierholzer, "Über die Möglichkeit, einen Linienzug ohne Wiederholung und ohne Unterbrechung zu umfahren",
        Mathematische Annalen 6 (1873) 30–32.

        """
        ahead: dict[int, list[tuple[int, int | None]]] = {place: [] for place in self.places}
        for place, after, times in self._onward(between):
            ahead[place] += [(after, None)] * times
        for number, (place, after, demand) in enumerate(self.arcs):
            ahead[place] += [(after, number)] * demand
        walk: list[tuple[int, int | None]] = [(start, None)]
        passed = []
        while walk:
            place, kind = walk[-1]
            if ahead[place]:
                walk.append(ahead[place].pop())
            else:
                walk.pop()
                passed.append(kind)
        return [kind for kind in reversed(passed) if kind is not None]

    def _onward(self, between: list[int]) -> Iterator[tuple[int, int, int]]:
        return zip(self.places, (*self.places[1:], self.places[0]), between, strict=True)
