"""What an open roll can still give, as a few numbered states.

Two rolls from which the same drops can be cut, in the same orders, are in the same state, however they came
there. That holds when their print runs on alike and the same length of it can be used up; so a state remembers
that length and not what is left of the roll.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from typing import Final, NamedTuple

from msgspec.structs import replace

from cutplan.solve.clock import Clock
from cutplan.solve.instance import Instance, RollType
from cutplan.solve.ordering.faces import Place, RollFace, Span, StretchRest, Values
from cutplan.solve.ordering.printed_face import printed_face

SPENT: Final = 0
"""The state of a roll that can give nothing more."""

NO_FIT: Final = -1

_FRESH: Final = StretchRest(0, 0)
"""Stands for what a stretch can give before its first cut."""


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


class OpenPaper:
    """The states of rolls, and where each cut leads.

    Attributes
    ----------
    unopened
        For each roll type in use, the state of a roll before its first cut.
    worths
        ``worths[state]``: the most that can still be cut, by each list of prices.
    alike
        ``alike[kind]``: the first of the kinds of which each can be cut wherever the others can, with the same left.
    counts
        ``counts[state]``: 1 for an open roll, 0 for a spent one and for an offcut.
    likes, offsets, useds
        What states can be compared by: see :meth:`~cutplan.solve.ordering.in_arrays.PaperInArrays.serves`.

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
        self.alike = self._alike()
        self._firsts = list(dict.fromkeys(self.alike))
        self._rows: dict[int, list[int]] = {}
        self._numbers: dict[Hashable, int] = {}
        self._states: list[_State | None] = [None]
        self.worths: list[Values] = [(0,) * len(prices)]
        self.counts, self.likes, self.offsets, self.useds = [0], [0], [0], [0]
        self._likes: dict[Hashable, int] = {}
        self.unopened = [self._number(self._fresh(self._way(index), index, 0)) for index in roll_types]

    @property
    def repeat(self) -> int:
        """The print's period; 0 for a free match."""
        return self._instance.repeat

    @property
    def kinds(self) -> int:
        """How many kinds there are."""
        return len(self._instance.kinds)

    def after_each(self, state: int) -> list[int]:
        """Return, for each kind, the state after one drop more, :data:`SPENT`, or :data:`NO_FIT`."""
        row = self._rows.get(state)
        if row is None:
            row = self._rows[state] = self._row(state)
        return row

    def best_of(self, states: Sequence[int]) -> int | None:
        """Return a state as good as the best of ``states`` is for each first drop; None where some do not compare."""
        row = [self._best(fits) for fits in zip(*map(self.after_each, states), strict=True)]
        if None in row:
            return None
        number = len(self._states)
        self._states.append(None)
        self._rows[number] = [after for after in row if after is not None]
        self.worths.append(tuple(map(max, zip(*(self.worths[state] for state in states), strict=True))))
        self.counts.append(max(self.counts[state] for state in states))
        self.likes.append(self._likes.setdefault(number, len(self._likes) + 1))
        self.offsets.append(0)
        self.useds.append(max(self.useds[state] for state in states))
        return number

    def _best(self, states: Iterable[int]) -> int | None:
        """Return the state with the most left, if it serves wherever the others do; None if that is not seen."""
        best = max(states, key=lambda state: NO_FIT if state == NO_FIT else self.useds[state])
        like = (self.likes[best], self.offsets[best])
        compare = all(state <= SPENT or (self.likes[state], self.offsets[state]) == like for state in states)
        return best if compare else None

    def _alike(self) -> list[int]:
        roll_types = [self._instance.roll_types[index] for index in self._spans]
        first: dict[Hashable, int] = {}
        return [
            first.setdefault(
                (
                    *(face.likeness(kind) for face in self._faces.values()),
                    *(roll.holds is None or kind in roll.holds for roll in roll_types),
                ),
                kind,
            )
            for kind in range(self.kinds)
        ]

    def _row(self, number: int) -> list[int]:
        row = self._row_of_firsts(number)
        return [row[first] for first in self.alike]

    def _row_of_firsts(self, number: int) -> dict[int, int]:
        """Return the same for the first of the kinds alike."""
        state = self._states[number]
        if state is None or state.place is None or state.stretch + 1 < len(self._spans[state.roll_type]):
            return {kind: self._step(number, kind) for kind in self._firsts}
        row = dict.fromkeys(self._firsts, NO_FIT)
        like = (state.way, None, False)
        face = self._faces[state.way.is_mirrored]
        for kind, after in zip(self._firsts, face.after_each(state.place, self._firsts), strict=True):
            if after is None or (state.way.holds is not None and kind not in state.way.holds):
                continue
            place, rest = after
            known = SPENT if rest is None else self._numbers.get((like, rest))
            row[kind] = self._number(state._replace(place=place)) if known is None else known
        return row

    def _way(self, roll_type: int) -> _Way:
        roll = self._instance.roll_types[roll_type]
        return _Way(roll.is_mirrored, roll.holds, roll_type not in self._offcuts)

    def _face(self, mirrored: bool) -> RollFace:  # noqa: FBT001 - a key of the two faces
        instance = self._instance
        types = [index for index in self._spans if instance.roll_types[index].is_mirrored == mirrored]
        like = instance.roll_types[types[0]]
        spans = dict.fromkeys(span for index in types for span in self._spans[index])
        coming_off = Instance(
            repeat=instance.repeat,
            lead_in=0,
            kinds=tuple(
                replace(wanted, phase=instance.phase_on(kind, like)) for kind, wanted in enumerate(instance.kinds)
            ),
            roll_types=tuple(RollType(span.room, span.datum, None, 0) for span in spans),
        )
        if instance.repeat:
            return printed_face(coming_off, spans, self._prices, self._clock)
        from cutplan.solve.ordering.free_face import free_face  # noqa: PLC0415 - loaded for a free match only

        return free_face(coming_off, self._prices)

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

    def _worth(self, face: RollFace, state: _State, following: Iterable[Span]) -> Values:
        here = self._spans[state.roll_type][state.stretch]
        worths = [face.fresh_worth(here) if state.place is None else face.worth(state.place)]
        worths += [face.fresh_worth(span) for span in following]
        return tuple(map(sum, zip(*worths, strict=True)))

    def _add(self, state: _State, rest: StretchRest, like: int, following: Iterable[Span]) -> None:
        self._states.append(state)
        self.worths.append(self._worth(self._faces[state.way.is_mirrored], state, following))
        self.counts.append(int(state.way.counts))
        self.likes.append(like)
        self.offsets.append(rest.offset)
        self.useds.append(rest.used)
