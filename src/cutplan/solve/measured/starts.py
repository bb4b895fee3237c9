"""Where sealed rolls may begin, sorted by what can be cut from them.

Put the datums of the print at multiples of the repeat. A drop may start at one *place* in every repeat, and a
roll's outer end lies somewhere between two places of the drops wanted: up to the next one, paper is lost. As the
end moves towards that place less is lost, and every layout that fitted still fits. So starts differ only in the next
place and in how much is lost before it; the worst lie just past a place. The proof is in
``docs/developers/opened-first.md``.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from msgspec import Struct

from cutplan.solve.instance import Instance, RollType


class Unopened(Struct, frozen=True):
    """Sealed rolls of one length, which may begin anywhere in the repeat."""

    length: int
    """Of one, in the instance's unit."""
    count: int
    """How many of them are in hand."""


class RollStart(Struct, frozen=True):
    """Rolls that begin alike, as far as the drops wanted can tell. Lengths are whole numbers of the instance's unit."""

    place: int
    """Where the first drop may start, from a datum of the print, in [0, repeat)."""
    lost: int
    """Paper between the roll's outer end and that place, never exceeded by these rolls."""
    share: Fraction = Fraction(0)
    """How much of the repeat such rolls begin in: the chance that a roll taken blindly is one of them. 0 where the
    start stands for a bound and not for rolls."""
    length: int = 0
    """Of the rolls."""

    @property
    def usable(self) -> int:
        """What a roll that begins so has from the place on; 0 when it ends before."""
        return max(self.length - self.lost, 0)

    def roll(self, instance: Instance, supply: int) -> RollType:
        """Return ``supply`` rolls that begin so, as the solver sees them: without the paper lost."""
        return RollType(self.usable, -self.place % instance.repeat, supply, 1)

    def example(self, instance: Instance) -> Fraction:
        """Return a first motif, in the instance's units, that a roll beginning so may have.

        The end is half a unit further in than the worst: as all places and lengths are whole, nothing changes in
        between.
        """
        return (self.lost - self.place - Fraction(1, 2)) % instance.repeat


def starts_of_drops(instance: Instance) -> list[int]:
    """Return where the drops of ``instance`` may start, once in every repeat, ascending from a datum."""
    return sorted({-kind.phase % instance.repeat for kind in instance.kinds})


def worst_starts(instance: Instance, length: int) -> tuple[RollStart, ...]:
    """Return, of :func:`all_starts`, those just past each place.

    One is left out when all that can be cut from some other can be cut from it. What suffices for every combination of
    these suffices for every combination of starts.
    """
    worst: dict[int, RollStart] = {}
    for start in all_starts(instance, length):
        worst.setdefault(start.place, start)
    starts = worst.values()
    last_end = {start: ends_from(instance, start.place, start.usable)[-1] for start in starts}
    kept: list[RollStart] = []
    for start in sorted(starts, key=lambda start: -start.lost):
        waits = ((other.place - start.place) % instance.repeat + last_end[other] for other in kept)
        if not any(end <= start.usable for end in waits):
            kept.append(start)
    return tuple(sorted(kept, key=lambda start: start.place))


def fewer_starts(instance: Instance, starts: Sequence[RollStart], most: int) -> tuple[RollStart, ...]:
    """Return at most ``most`` starts, from each of which no more can be cut than from those it stands for.

    Neighbours, the nearest first, are taken as one: the end is supposed past the first of them, and nothing is cut
    before the last. What suffices for these starts suffices for the others.
    """
    merged = list(starts)
    while len(merged) > most:
        gaps = [(start.place - merged[number - 1].place) % instance.repeat for number, start in enumerate(merged)]
        number = min(range(len(merged)), key=gaps.__getitem__)
        start, before = merged[number], merged[number - 1]
        merged[number] = RollStart(start.place, max(start.lost, before.lost + gaps[number]), length=start.length)
        del merged[number - 1]
    return tuple(merged)


def all_starts(instance: Instance, length: int) -> tuple[RollStart, ...]:
    """Return every start that some layout may tell from its neighbours, with the share of rolls that begin so.

    From one place to the next, a layout begins to fit where its last drop ends with the roll.
    """
    repeat = instance.repeat
    places = starts_of_drops(instance)
    starts = []
    for before, place in pairwise([places[-1] - repeat, *places]):
        fits = [place + end - length for end in ends_from(instance, place, length)]
        changes = [before, *(change for change in fits if before < change < place), place]
        starts += [
            RollStart(place, place - begin, Fraction(end - begin, repeat), length) for begin, end in pairwise(changes)
        ]
    return tuple(starts)


def ends_from(instance: Instance, place: int, usable: int) -> list[int]:
    """Return where drops cut from ``place`` on, each as soon as it may be, can end within ``usable``, ascending from 0.

    Measured from ``place``; 0 stands for no drop at all.
    """
    repeat = instance.repeat
    drops = {((-kind.phase - place) % repeat, kind.length) for kind in instance.kinds}
    reached = {0}
    waiting = [0]
    while waiting:
        here = waiting.pop()
        for offset, length in drops:
            end = here + (offset - here) % repeat + length
            if end <= usable and end not in reached:
                reached.add(end)
                waiting.append(end)
    return sorted(reached)
