"""Plans already found, and how they serve rolls that begin otherwise."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

Drops = tuple[int, ...]
"""The drops cut from one roll: their kinds, ascending."""


class KnownPlan(Struct, frozen=True):
    """Drops by roll, each with the starts of rolls from which they can be cut."""

    rolls: tuple[Drops, ...]
    """The drops on each roll."""
    fits: tuple[int, ...]
    """For each roll, a bit for every start, by its index."""


def hand_out_rolls(fits: Sequence[int], starts: Sequence[int]) -> list[int]:
    """Give as many layouts as possible a roll of their own that they fit.

    ``fits`` holds a bit for every start for each layout, ``starts`` the start of each roll. Returns, for each roll,
    the index of its layout, or -1. The number of layouts served is the most possible (augmenting paths: H. W. Kuhn,
    "The Hungarian method for the assignment problem", Naval Research Logistics Quarterly 2 (1955) 83–97).

    >>> hand_out_rolls([0b11, 0b01], [0, 1])
    [1, 0]

    """
    rolls_at: dict[int, int] = {}
    for roll, start in enumerate(starts):
        rolls_at[1 << start] = rolls_at.get(1 << start, 0) | 1 << roll
    allowed = [sum(rolls for start, rolls in rolls_at.items() if fit & start) for fit in fits]
    layout_on = [-1] * len(starts)
    free = (1 << len(starts)) - 1
    unserved = []
    for layout, rolls in enumerate(allowed):
        lowest = rolls & free & -(rolls & free)
        if lowest:
            free ^= lowest
            layout_on[lowest.bit_length() - 1] = layout
        else:
            unserved.append(layout)
    for layout in unserved:
        _make_room(layout, allowed, layout_on, 0)
    return layout_on


def _make_room(layout: int, allowed: Sequence[int], layout_on: list[int], tried: int) -> int:
    """Give ``layout`` a roll, moving others if need be. Returns the rolls tried, or -1 when it was given one."""
    while rolls := allowed[layout] & ~tried:
        lowest = rolls & -rolls
        tried |= lowest
        roll = lowest.bit_length() - 1
        if layout_on[roll] >= 0:
            tried = _make_room(layout_on[roll], allowed, layout_on, tried)
        if layout_on[roll] < 0 or tried < 0:
            layout_on[roll] = layout
            return -1
    return tried


class Exchange(Struct, frozen=True):
    """The drops of two layouts, which may be shared out anew between two rolls; ``lengths`` are those of the kinds."""

    one: Drops
    other: Drops
    lengths: Sequence[int]

    def ways(self, room: int, other_room: int) -> Iterator[tuple[Drops, Drops]]:
        """Yield what may go on the one roll and on the other, at most one drop going each way between the layouts.

        Of the rolls only so much is looked at as their ``room``: that they are as long as the drops together.
        """
        this_length, that_length = (sum([self.lengths[kind] for kind in drops]) for drops in (self.one, self.other))
        for given in (None, *dict.fromkeys(self.one)):
            for taken in (None, *dict.fromkeys(self.other)):
                if given is not None and given == taken:
                    continue
                more = self._length(taken) - self._length(given)
                is_straight = this_length + more <= room and that_length - more <= other_room
                is_crossed = that_length - more <= room and this_length + more <= other_room
                if is_straight or is_crossed:
                    this, that = _swapped(self.one, given, taken), _swapped(self.other, taken, given)
                    if is_straight:
                        yield this, that
                    if is_crossed:
                        yield that, this

    def _length(self, kind: int | None) -> int:
        return 0 if kind is None else self.lengths[kind]


def _swapped(drops: Drops, given: int | None, taken: int | None) -> Drops:
    changed = list(drops)
    if given is not None:
        changed.remove(given)
    if taken is not None:
        changed.append(taken)
    return tuple(sorted(changed))
