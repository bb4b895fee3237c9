"""What an open roll can still give, as a few numbered states.

Two rolls from which the same drops can be cut, in the same orders, are in the same state, however they came
there. That holds when their print runs on alike and the same length of it can be used up; so a state remembers
that length and not what is left of the roll.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple, TypeVar

import numpy as np

from cutplan.solve.ordering.faces import Rest, Shape, Span, face_of

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterable, Sequence

    from numpy.typing import NDArray

    from cutplan.solve.clock import Clock
    from cutplan.solve.instance import Instance
    from cutplan.solve.ordering.faces import Face, Place, Values

SPENT: Final = 0
"""The state of a roll that can give nothing more."""

NO_FIT: Final = -1

_UNKNOWN: Final = -2

_FRESH: Final = Rest(0, 0)
"""Stands for what a stretch can give before its first cut."""

MOST_COMPARED: Final = 3_000
"""States up to which all are compared with one another once and for all."""

T = TypeVar("T", bound=np.generic)


class _Way(NamedTuple):
    """How rolls come off, which kinds they are wide enough for (None: all), and whether they count as open."""

    is_mirrored: bool
    holds: frozenset[int] | None
    counts: bool


class _State(NamedTuple):
    """A stretch of a roll and the place to which it has been cut; None for a fresh one nobody has measured.

    ``roll_type`` says which stretches follow; so it only matters where some do.
    """

    way: _Way
    roll_type: int
    stretch: int
    place: Place | None


class Paper:
    """The states of rolls, and where each cut leads.

    Attributes
    ----------
    unopened
        For each roll type in use, the state of a roll before its first cut.
    steps
        ``steps[state, kind]``: the state after one drop more, :data:`SPENT`, or :data:`NO_FIT`. Call :meth:`reach`
        first.
    worths
        ``worths[state]``: the most that can still be cut, by each list of prices.
    counts
        ``counts[state]``: 1 for an open roll, 0 for a spent one and for an offcut.
    likes, offsets, useds
        What states can be compared by: see :meth:`serves`.

    """

    def __init__(
        self,
        instance: Instance,
        roll_types: Sequence[int],
        offcuts: Iterable[int],
        prices: Sequence[Sequence[int]],
        clock: Clock,
    ) -> None:
        self._instance = instance
        self._clock = clock
        self._prices = prices
        self._offcuts = frozenset(offcuts)
        self._spans = {
            index: [Span(instance.span(stretch), stretch.datum) for stretch in instance.roll_types[index].stretches]
            for index in roll_types
        }
        self._faces = {mirrored: self._face(mirrored) for mirrored in {self._way(index)[0] for index in roll_types}}
        self._reached: set[int] = set()
        self._numbers: dict[Hashable, int] = {}
        self._states: list[_State | None] = [None]
        kinds = len(instance.kinds)
        self.steps: NDArray[np.int32] = np.full((1, kinds), NO_FIT, dtype=np.int32)
        self.worths: NDArray[np.int64] = np.zeros((1, len(prices)), dtype=np.int64)
        self.counts: NDArray[np.int64] = np.zeros(1, dtype=np.int64)
        self.likes: NDArray[np.int64] = np.zeros(1, dtype=np.int64)
        self.offsets: NDArray[np.int64] = np.zeros(1, dtype=np.int64)
        self.useds: NDArray[np.int64] = np.zeros(1, dtype=np.int64)
        self._likes: dict[Hashable, int] = {}
        self._serving: NDArray[np.bool_] = np.zeros((0, 0), dtype=bool)
        self.unopened = [self._number(self._fresh(self._way(index), index, 0)) for index in roll_types]

    def reach(self, states: Iterable[int]) -> None:
        """Work out where cuts lead from ``states``."""
        for state in states:
            if state not in self._reached:
                self._reached.add(state)
                # States are numbered on the way, so that the table may be another one afterwards.
                row = self._row(state)
                self.steps[state] = row

    def after(self, state: int, kind: int) -> int:
        """Return the state after one drop more, :data:`SPENT`, or :data:`NO_FIT`."""
        self.reach((state,))
        return int(self.steps[state, kind])

    def _row(self, number: int) -> list[int]:
        """Return the state after one drop more of each kind."""
        kinds = range(len(self._instance.kinds))
        state = self._states[number]
        if state is None or state.place is None or state.stretch + 1 < len(self._spans[state.roll_type]):
            return [self._step(number, kind) for kind in kinds]
        row = [NO_FIT] * len(kinds)
        like = (state.way, None, False)
        for kind, after in enumerate(self._faces[state.way.is_mirrored].after_each(state.place)):
            if after is None or (state.way.holds is not None and kind not in state.way.holds):
                continue
            place, rest = after
            known = SPENT if rest is None else self._numbers.get((like, rest))
            row[kind] = self._number(state._replace(place=place)) if known is None else known
        return row

    def _way(self, roll_type: int) -> _Way:
        roll = self._instance.roll_types[roll_type]
        return _Way(roll.is_mirrored, roll.holds, roll_type not in self._offcuts)

    def _face(self, mirrored: bool) -> Face:  # noqa: FBT001 - a key of the two faces
        instance = self._instance
        types = [index for index in self._spans if instance.roll_types[index].is_mirrored == mirrored]
        shapes = [
            Shape(instance.phase_on(kind, instance.roll_types[types[0]]), wanted.length)
            for kind, wanted in enumerate(instance.kinds)
        ]
        return face_of(
            instance.repeat, shapes, [span for index in types for span in self._spans[index]], self._prices, self._clock
        )

    def _fresh(self, way: _Way, roll_type: int, stretch: int) -> _State:
        return _State(way, roll_type, stretch, self._faces[way.is_mirrored].fresh(self._spans[roll_type][stretch]))

    def _step(self, number: int, kind: int) -> int:
        """Cut ``kind`` from the first stretch, from where the roll has been cut to, that has room for it."""
        state = self._states[number]
        if state is None or (state.way.holds is not None and kind not in state.way.holds):
            return NO_FIT
        face = self._faces[state.way.is_mirrored]
        spans = self._spans[state.roll_type]
        place = face.begin(spans[state.stretch], kind) if state.place is None else face.cut(state.place, kind)
        stretch = state.stretch
        while place is None:
            stretch += 1
            if stretch == len(spans):
                return NO_FIT
            place = face.begin(spans[stretch], kind)
        return self._number(state._replace(stretch=stretch, place=place))

    def _number(self, state: _State) -> int:
        """Return the number of a state, a new one when nothing like it is known."""
        face = self._faces[state.way.is_mirrored]
        spans = self._spans[state.roll_type]
        following = spans[state.stretch + 1 :]
        rest = _FRESH if state.place is None else face.rest(state.place)
        if rest is None:
            if not following:
                return SPENT
            return self._number(self._fresh(state.way, state.roll_type, state.stretch + 1))
        where = (state.roll_type, state.stretch) if following or rest == _FRESH else None
        like = (state.way, where, rest == _FRESH)
        known = self._numbers.get((like, rest))
        if known is None:
            known = self._numbers[like, rest] = len(self._states)
            self._add(state, rest, self._likes.setdefault(like, len(self._likes) + 1), following)
        return known

    def serves(self, state: NDArray[np.int64], other: NDArray[np.int64]) -> NDArray[np.bool_]:
        """Return where whatever can be cut from ``other`` can be cut from ``state`` too, as far as is easily seen."""
        count = len(self._states)
        if count > MOST_COMPARED:
            return self._serves(state, other)
        known = len(self._serving)
        if known < count:
            every, new = np.arange(count), np.arange(known, count)
            grown = np.empty((count, count), dtype=bool)
            grown[:known, :known] = self._serving
            grown[:, known:] = self._serves(every[:, None], new)
            grown[known:, :known] = self._serves(new[:, None], every[:known])
            self._serving = grown
        return self._serving[state, other]

    def _serves(self, state: NDArray[np.int64], other: NDArray[np.int64]) -> NDArray[np.bool_]:
        wait = self.offsets[other] - self.offsets[state]
        wait += self._instance.repeat * (wait < 0)
        is_enough = (self.likes[state] == self.likes[other]) & (self.useds[state] >= self.useds[other] + wait)
        served: NDArray[np.bool_] = is_enough | (other == SPENT)
        return served

    def _worth(self, face: Face, state: _State, following: Iterable[Span]) -> Values:
        here = self._spans[state.roll_type][state.stretch]
        worths = [face.fresh_worth(here) if state.place is None else face.worth(state.place)]
        worths += [face.fresh_worth(span) for span in following]
        return tuple(map(sum, zip(*worths, strict=True)))

    def _add(self, state: _State, rest: Rest, like: int, following: Iterable[Span]) -> None:
        number = len(self._states)
        self._states.append(state)
        if number == len(self.steps):
            self.steps = _doubled(self.steps, _UNKNOWN)
            self.worths = _doubled(self.worths, 0)
            self.counts, self.likes = _doubled(self.counts, 0), _doubled(self.likes, 0)
            self.offsets, self.useds = _doubled(self.offsets, 0), _doubled(self.useds, 0)
        self.worths[number] = self._worth(self._faces[state.way.is_mirrored], state, following)
        self.counts[number], self.likes[number] = state.way.counts, like
        self.offsets[number], self.useds[number] = rest


def _doubled(table: NDArray[T], value: int) -> NDArray[T]:
    return np.concatenate([table, np.full_like(table, value)])
