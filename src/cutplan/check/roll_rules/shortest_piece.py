"""The shortest piece that all drops can be cut from, by how often each of them passes each point of the print.

A piece passes a point of the print once in every repeat. It must pass each as often as all drops together do; where it
passes one more often, paper between two drops does. That paper and the drops can be cut in one go if they join up.
"""

from __future__ import annotations

from fractions import Fraction
from math import lcm
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterable

    from cutplan.check.stated.echo import Wanted


class _Alike(NamedTuple):
    """Drops alike: where in the print they start and end, how long and how many they are."""

    start: int
    end: int
    length: int
    number: int


def shortest_piece(wanted: Wanted) -> Fraction:
    """Return the least length that is certain to give all drops in one piece, wherever in its repeat it begins."""
    repeat = wanted.match.repeat
    if not repeat:
        return sum((drop.count * drop.cut_length for drop in wanted.drops.values()), Fraction(0))
    alike: dict[tuple[Fraction, Fraction], int] = {}
    for drop in wanted.drops.values():
        kind = (-drop.datum % repeat, drop.cut_length)
        alike[kind] = alike.get(kind, 0) + drop.count
    # In whole units, for there may be many.
    unit = Fraction(1, lcm(repeat.denominator, *(length.denominator for kind in alike for length in kind)))
    around = int(repeat / unit)
    drops = [
        _Alike(int(start / unit), int((start + length) / unit) % around, int(length / unit), count)
        for (start, length), count in alike.items()
    ]
    return repeat + _shortest_span(drops, around) * unit


def _shortest_span(drops: list[_Alike], repeat: int) -> int:
    """Return the shortest span from a place where a drop starts to one where a drop ends."""
    places = sorted({place for drop in drops for place in (drop.start, drop.end)})
    due = [sum(drop.number * _passes(place, drop.start, drop.length, repeat) for drop in drops) for place in places]
    most = max(due)
    fullest = [place for place, times in zip(places, due, strict=True) if times == most]
    ways = []
    for start in {drop.start for drop in drops}:
        for end in {drop.end for drop in drops}:
            span = (end - start) % repeat
            # The rest of a round passes what lies on it once more.
            rounds = most - all(_passes(place, start, span, repeat) for place in fullest)
            ways += [(span + more * repeat, start) for more in (rounds, rounds + 1)]
    for span, start in sorted(ways):
        spare = [_passes(place, start, span, repeat) - times for place, times in zip(places, due, strict=True)]
        if _hang_together(drops, places, spare):
            return span
    raise AssertionError("with one round more than is due everything hangs together")


def _passes(place: int, start: int, length: int, repeat: int) -> int:
    """Return how often a length from ``start`` on passes the stretch of the print that begins at ``place``."""
    whole, rest = divmod(length, repeat)
    return whole + ((place - start) % repeat < rest)


def _hang_together(drops: Iterable[_Alike], places: list[int], spare: list[int]) -> bool:
    """Return True when every drop can be reached from every other along drops and the paper to spare between them."""
    joined = [(drop.start, drop.end) for drop in drops]
    wanted = {start for start, _ in joined}
    joined += [
        (place, after) for place, after, more in zip(places, places[1:] + places[:1], spare, strict=True) if more
    ]
    reached = {joined[0][0]}
    while True:
        further = {place for pair in joined for place in pair if reached.intersection(pair)} - reached
        if not further:
            return wanted <= reached
        reached |= further
