"""The shortest piece that all drops can be cut from, by how often each of them passes each point of the print.

A piece passes a point of the print once in every repeat. It must pass each as often as all drops together do; where it
passes one more often, paper between two drops does. That paper and the drops can be cut in one go if they join up.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from cutplan.check.stated.echo import Wanted


class _Alike(NamedTuple):
    """Drops alike: where in the print they start and end, how long and how many they are."""

    start: Fraction
    end: Fraction
    length: Fraction
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
    drops = [_Alike(start, (start + length) % repeat, length, count) for (start, length), count in alike.items()]
    return repeat + min(_spans(drops, repeat))


def _spans(drops: list[_Alike], repeat: Fraction) -> Iterator[Fraction]:
    """Yield the shortest span from each place where a drop starts to each where one ends."""
    places = sorted({place for drop in drops for place in (drop.start, drop.end)})
    passed = [sum(drop.number * _passes(place, drop.start, drop.length, repeat) for drop in drops) for place in places]
    for start in {drop.start for drop in drops}:
        for end in {drop.end for drop in drops}:
            span = (end - start) % repeat
            own = [_passes(place, start, span, repeat) for place in places]
            rounds = max(0, *(due - once for due, once in zip(passed, own, strict=True)))
            spare = [once + rounds - due for due, once in zip(passed, own, strict=True)]
            yield span + (rounds if _hang_together(drops, places, spare) else rounds + 1) * repeat


def _passes(place: Fraction, start: Fraction, length: Fraction, repeat: Fraction) -> int:
    """Return how often a length from ``start`` on passes the stretch of the print that begins at ``place``."""
    whole, rest = divmod(length, repeat)
    return int(whole) + ((place - start) % repeat < rest)


def _hang_together(drops: Iterable[_Alike], places: list[Fraction], spare: list[int]) -> bool:
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
