"""How much paper a set of drops takes up when it is cut from one roll in the best order."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise
from typing import Final

from cutplan.solve.instance import Instance

MOST_SUBSETS: Final = 400
"""Sets with more subsets than this are measured in a good order instead of the best: more paper, never less."""


class PaperNeeded:
    """Measures sets of drops, each given as its kinds in ascending order. What was measured once is remembered."""

    def __init__(self, instance: Instance) -> None:
        self._repeat = instance.repeat
        self._offsets = [-kind.phase for kind in instance.kinds]
        self._lengths = [kind.length for kind in instance.kinds]
        self._ends: dict[int, dict[tuple[int, ...], int]] = {}

    def after(self, place: int, kinds: tuple[int, ...]) -> int:
        """Return how far beyond ``place`` the drops reach when the first of them is cut from there on."""
        ends = self._ends.setdefault(place, {(): place})
        if kinds not in ends and _subsets(kinds) > MOST_SUBSETS:
            ends[kinds] = self._end_of_good_order(place, kinds)
        return self._end(ends, kinds) - place

    def _end(self, ends: dict[tuple[int, ...], int], kinds: tuple[int, ...]) -> int:
        """Return the least end: whichever drop is last, an earlier end of the others is never worse."""
        known = ends.get(kinds)
        if known is None:
            known = ends[kinds] = min(
                self._next_end(self._end(ends, (*kinds[:index], *kinds[index + 1 :])), kind)
                for index, kind in enumerate(kinds)
                if index == 0 or kinds[index - 1] != kind
            )
        return known

    def _end_of_good_order(self, place: int, kinds: tuple[int, ...]) -> int:
        """Return the end when the drop that wastes least comes next."""
        left = list(kinds)
        end = place
        while left:
            best = min(left, key=lambda kind: (self._next_end(end, kind) - self._lengths[kind], -self._lengths[kind]))
            left.remove(best)
            end = self._next_end(end, best)
        return end

    def _next_end(self, end: int, kind: int) -> int:
        return end + (self._offsets[kind] - end) % self._repeat + self._lengths[kind]


def _subsets(kinds: tuple[int, ...]) -> int:
    if all(one != other for one, other in pairwise(kinds)):
        return 1 << len(kinds)
    subsets = 1
    for count in Counter(kinds).values():
        subsets *= count + 1
    return subsets
