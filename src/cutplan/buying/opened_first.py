"""How many rolls are always enough when all of them are opened, and their first motifs measured, before the first cut.

Layouts are then chosen for the rolls as they are. The figure holds for every combination of starts: only the worst
starts, just past each place where a drop may start, need be looked at, and rolls are alike but for their start. The
proof is in ``docs/developers/opened-first.md``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import accumulate, chain, pairwise, product
from math import comb, prod
from typing import Final

from msgspec import Struct

from cutplan.buying.certain import Certain, Figure
from cutplan.buying.need import Need
from cutplan.lengths import Length
from cutplan.solve.clock import Clock
from cutplan.solve.measured.rolls_enough import Enough
from cutplan.solve.measured.starts import all_starts, fewer_starts, starts_of_drops, worst_starts

MOST_COMBINATIONS: Final = 20_000
"""Above so many combinations of worst starts, neighbouring starts are taken as one."""

MOST_ROLLS: Final = 100
"""Nobody opens more rolls than this before the first cut, and every combination of them is beyond reach."""

MOST_VARIETY: Final = 4000
"""Places in the repeat times kinds of drops: with more, starts are too many to be told apart in time."""


class OpenedFirst(Struct, frozen=True):
    """What opening and measuring every roll first makes certain."""

    figure: Figure
    """Rolls to buy."""
    worst: tuple[Length, ...] | None
    """A case for which one roll fewer than ``figure.least`` is too few: the first motif of each roll of the size to be
    bought, those in hand among them. None when that needs no case, because fewer do not suffice even at best."""
    combinations: int
    """How many combinations of starts stand for all others, at ``figure.least`` rolls; 0 when none was looked at."""
    worst_in_hand: tuple[tuple[Length, Length], ...] = ()
    """In the ``worst`` case, length and first motif of each sealed roll in hand of another length."""


def oracle_for(need: Need, sure: Certain) -> Enough | None:
    """Return what knows, for rolls that begin in any way, whether they are enough for ``need``.

    None when measuring first cannot change anything, because fewer do not suffice even at best; when nobody would; when
    it would take too long to find out; and when batches are kept apart, which this does not reckon with.
    """
    if sure.figure.enough == sure.at_best.least or need.job.paper.pattern.is_free or need.to_buy.must_share_batches:
        return None
    instance = need.of_known_paper
    if sure.figure.enough + need.unopened_in_hand > MOST_ROLLS:
        return None
    if len(starts_of_drops(instance)) * len(instance.kinds) > MOST_VARIETY:
        return None
    starts = (start for sort in need.unopened for start in all_starts(instance, sort.length))
    return Enough(instance, need.length, tuple(starts))


def opened_first(need: Need, sure: Certain, oracle: Enough | None, clock: Clock) -> OpenedFirst:
    """Return the least number of rolls to buy that is always enough when all are measured first.

    Without an ``oracle`` of :func:`oracle_for` it is what is known from ``sure``. When the clock runs out, the figure
    is given as bounds.
    """
    if oracle is None:
        least = sure.figure.least if need.job.paper.pattern.is_free else sure.at_best.least
        return OpenedFirst(Figure(sure.figure.enough, least), None, 0)
    found = _Found(need, sure, oracle)
    for rolls in range(found.least, found.enough):
        found.settle(rolls, clock)
        if found.enough == rolls:
            break
    combinations = found.combinations(found.least)
    return OpenedFirst(Figure(found.enough, found.least), found.case, combinations, found.case_in_hand)


class _Found:
    """What is known so far."""

    def __init__(self, need: Need, sure: Certain, oracle: Enough) -> None:
        self.need = need
        self.oracle = oracle
        self.worst = [worst_starts(need.of_known_paper, sort.length) for sort in need.unopened]
        self.least = sure.at_best.least
        self.enough = sure.figure.enough
        self.case: tuple[Length, ...] | None = None
        self.case_in_hand: tuple[tuple[Length, Length], ...] = ()

    def combinations(self, rolls: int) -> int:
        """Return how many combinations of worst starts so many bought rolls have, with those sealed in hand."""
        return _ways(self._counts(rolls), [len(worst) for worst in self.worst])

    def settle(self, rolls: int, clock: Clock) -> None:
        """Find out whether ``rolls`` bought are always enough; leave it open when that takes too long."""
        counts = self._counts(rolls)
        indices = [[self.oracle.starts.index(start) for start in worst] for worst in self.worst]
        if any(self._is_too_few(_rolls_of(counts, alike), rolls, clock) for alike in product(*indices)):
            return
        oracle, starts = self._starts_to_combine(counts)
        sorts = [shared_out(count, len(sort)) for count, sort in zip(counts, starts, strict=True)]
        flat = tuple(chain(*starts))
        waiting = [tuple(chain(*parts)) for parts in product(*sorts)]
        while waiting:
            combination = _rolls_of(waiting[0], flat)
            verdict = oracle.decide(combination, clock)
            if not verdict:
                if oracle is self.oracle:
                    self._is_too_few(combination, rolls, clock)
                return
            waiting = _not_served(waiting[1:], oracle.plans[0].fits, flat)
        self.enough = rolls

    def _is_too_few(self, combination: tuple[int, ...], rolls: int, clock: Clock) -> bool:
        if self.oracle.decide(combination, clock) is not False:
            return False
        if self.need.has_paper_taken_for_certain:
            # Measured too, that paper may be worth more.
            return True
        instance, unit = self.need.scaled.instance, self.need.scaled.unit
        self.least = rolls + 1
        case = [
            (start.length, start.example(instance) * unit) for start in map(self.oracle.starts.__getitem__, combination)
        ]
        self.case = tuple(motif for length, motif in case if length == self.need.length)
        self.case_in_hand = tuple((length * unit, motif) for length, motif in case if length != self.need.length)
        return True

    def _starts_to_combine(self, counts: Sequence[int]) -> tuple[Enough, list[tuple[int, ...]]]:
        """Return starts whose combinations are few enough to be gone through, and who knows about them."""
        all_of_them = most = max(map(len, self.worst))
        while _ways(counts, [min(most, len(worst)) for worst in self.worst]) > MOST_COMBINATIONS and most > 1:
            most -= 1
        if most == all_of_them:
            return self.oracle, [tuple(map(self.oracle.starts.index, worst)) for worst in self.worst]
        instance = self.need.of_known_paper
        standing_in = [fewer_starts(instance, worst, most) for worst in self.worst]
        ends = [0, *accumulate(map(len, standing_in))]
        oracle = Enough(instance, self.need.length, tuple(chain(*standing_in)))
        return oracle, [tuple(range(start, end)) for start, end in pairwise(ends)]

    def _counts(self, rolls: int) -> list[int]:
        """Return how many rolls of each length there are when so many are bought."""
        return [sort.count + (0 if number else rolls) for number, sort in enumerate(self.need.unopened)]


def _rolls_of(counts: Sequence[int], starts: Sequence[int]) -> tuple[int, ...]:
    return tuple(start for start, count in zip(starts, counts, strict=True) for _ in range(count))


def _ways(counts: Sequence[int], starts: Sequence[int]) -> int:
    """Return in how many ways so many rolls of each length can begin at so many starts of each."""
    return prod(comb(count + number - 1, number - 1) for count, number in zip(counts, starts, strict=True))


def shared_out(number: int, among: int, most: int | None = None) -> Iterator[tuple[int, ...]]:
    """Yield every way to share a number out among so many, no more than the ``most`` to one of them.

    >>> list(shared_out(2, 2))
    [(2, 0), (1, 1), (0, 2)]

    """
    most = number if most is None else most
    if among == 1:
        yield from [(number,)] if number <= most else ()
        return
    for first in range(min(number, most), -1, -1):
        yield from ((first, *others) for others in shared_out(number - first, among - 1, most))


def _not_served(
    combinations: Sequence[tuple[int, ...]], fits: Sequence[int], starts: Sequence[int]
) -> list[tuple[int, ...]]:
    """Return the combinations whose rolls cannot be matched with the layouts of a plan.

    A plan serves a combination when, for every set of its layouts, as many rolls fit some layout of the set as there
    are layouts in it (P. Hall, "On representatives of subsets", Journal of the London Mathematical Society 10 (1935)
    26–30). Sets that fit the same starts are judged together.
    """
    own = [sum(1 << place for place, start in enumerate(starts) if fit >> start & 1) for fit in fits]
    unions = {0}
    for fit in set(own):
        unions |= {union | fit for union in unions}
    demands = [
        ([place for place in range(len(starts)) if union >> place & 1], sum(fit | union == union for fit in own))
        for union in unions
        if union
    ]
    return [
        combination
        for combination in combinations
        if any(sum([combination[place] for place in places]) < layouts for places, layouts in demands)
    ]
