"""Choices of a batch for each wall, and the search for the cheapest by what is known of each batch."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise, product
from typing import TYPE_CHECKING, Final, Protocol

from msgspec import Struct

from cutplan.job.job import Job, Neighbours
from cutplan.solve.clock import Clock

if TYPE_CHECKING:
    from cutplan.solve.batches.batch_shares import Amount, Walls

MOST_TRIED: Final = 100_000
"""Steps in which a choice is looked for: beyond them the best one found is taken, and nothing more is proved."""


class Choice(Struct, frozen=True):
    """A batch for each wall, as the walls of each batch."""

    walls: tuple[Walls, ...]
    """For each batch, its walls."""
    key: tuple[Amount, int, int]
    """Its bound, at how many external corners the batch changes, and at how many in all: the less the better."""

    @property
    def bound(self) -> Amount:
        """No plan of this choice has a smaller value."""
        return self.key[0]


class Bounds(Protocol):
    """What is known of each batch."""

    def __call__(self, batch: int, walls: Walls, *, is_least: bool) -> Amount:
        """Return a bound for these walls; with ``is_least``, for them and whatever is added to them."""


class Chooser:
    """Looks for the cheapest choice, wall by wall."""

    def __init__(
        self, walls: Sequence[str], batches: int, allowed: Sequence[Sequence[int]], neighbours: Sequence[Neighbours]
    ) -> None:
        self.count = len(walls)
        self.batches = batches
        self.allowed = allowed
        """For each wall, by number, the batches from which it may be papered."""
        numbers = {name: number for number, name in enumerate(walls)}
        pairs = [
            (numbers[pair.left], numbers[pair.right], not pair.is_internal)
            for pair in neighbours
            if pair.left in numbers and pair.right in numbers
        ]
        self.corners = [(max(one, other), min(one, other), int(external)) for one, other, external in pairs]
        """For each pair of neighbouring walls, by number: the later one, the earlier one, and 1 for an external
        corner."""
        self.steps = 0

    def cheapest(self, bounds: Bounds, clock: Clock) -> Choice | None:
        """Return the choice with the least key; None when it takes too long to be sure, by steps or by ``clock``."""
        best: list[Choice] = []
        self.steps = 0

        def descend(
            walls: tuple[Walls, ...], chosen: tuple[int, ...], changes: tuple[int, int], least: tuple[Amount, ...]
        ) -> None:
            self.steps += 1
            if self.steps > MOST_TRIED or not clock.left:
                self.steps = MOST_TRIED + 1
                return
            is_whole = len(chosen) == self.count
            if is_whole:
                least = tuple(bounds(batch, held, is_least=False) for batch, held in enumerate(walls))
            bound: Amount = sum(least, Fraction(0))
            key = (bound, *changes)
            if best and key >= best[0].key:
                return
            if is_whole:
                best[:] = [Choice(walls, key)]
                return
            wall = len(chosen)
            last = chosen[-1] if chosen else 0
            for batch in sorted(self.allowed[wall], key=last.__ne__):  # the likeliest first
                further = self._changes(wall, batch, chosen)
                held = walls[batch] | 1 << wall
                descend(
                    (*walls[:batch], held, *walls[batch + 1 :]),
                    (*chosen, batch),
                    (changes[0] + further[0], changes[1] + further[1]),
                    (*least[:batch], bounds(batch, held, is_least=True), *least[batch + 1 :]),
                )

        descend((0,) * self.batches, (), (0, 0), (Fraction(0),) * self.batches)
        return best[0] if best and self.steps <= MOST_TRIED else None

    def every(self) -> Iterator[tuple[Walls, ...]]:
        """Yield every choice."""
        for chosen in product(*self.allowed):
            walls = [0] * self.batches
            for wall, batch in enumerate(chosen):
                walls[batch] |= 1 << wall
            yield tuple(walls)

    def _changes(self, wall: int, batch: int, chosen: tuple[int, ...]) -> tuple[int, int]:
        meets = [external for later, earlier, external in self.corners if later == wall and chosen[earlier] != batch]
        return sum(meets), len(meets)


def neighbours_of(job: Job) -> tuple[Neighbours, ...]:
    """Return the walls that meet: as the job tells, or those whose drops follow one another in the hanging order."""
    if job.neighbours:
        return job.neighbours
    walls = [drop.wall for drop in job.drops if drop.wall is not None]
    pairs = {(one, other): None for one, other in pairwise(walls) if one != other}
    return tuple(Neighbours(one, other) for one, other in pairs)
