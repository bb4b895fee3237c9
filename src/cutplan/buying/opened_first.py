"""How many rolls are always enough when all of them are opened, and their first motifs measured, before the first cut.

Layouts are then chosen for the rolls as they are. The figure holds for every combination of starts: only the worst
starts, just past each place where a drop may start, need be looked at, and rolls are alike but for their start. The
proof is in ``docs/developers/opened-first.md``.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import comb
from typing import TYPE_CHECKING, Final

from cutplan.buying.certain import Figure
from cutplan.solve.measured.rolls_enough import Enough
from cutplan.solve.measured.starts import all_starts, fewer_starts, places_of, worst_starts

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cutplan.buying.certain import Certain
    from cutplan.buying.need import Need
    from cutplan.lengths import Length
    from cutplan.solve.clock import Clock

MOST_COMBINATIONS: Final = 20_000
"""Above so many combinations of worst starts, neighbouring starts are taken as one."""

MOST_ROLLS: Final = 100
"""Nobody opens more rolls than this before the first cut, and every combination of them is beyond reach."""

MOST_VARIETY: Final = 4000
"""Places in the repeat times kinds of drops: with more, starts are too many to be told apart in time."""


@dataclass(frozen=True, slots=True)
class OpenedFirst:
    """What opening and measuring every roll first makes certain.

    Attributes
    ----------
    figure
        Rolls to buy.
    worst
        A case for which one roll fewer than ``figure.least`` is too few: the first motif of each roll, those sealed in
        hand among them. None when that needs no case, because fewer do not suffice even at best.
    combinations
        How many combinations of starts stand for all others, at ``figure.least`` rolls; 0 when none was looked at.

    """

    figure: Figure
    worst: tuple[Length, ...] | None
    combinations: int


def oracle_for(need: Need, sure: Certain) -> Enough | None:
    """Return what knows, for rolls that begin in any way, whether they are enough for ``need``.

    None when measuring first cannot change anything, because fewer do not suffice even at best; when nobody would; and
    when it would take too long to find out.
    """
    if sure.figure.enough == sure.at_best.least or need.job.paper.pattern.is_free:
        return None
    instance = need.of_known_paper
    if sure.figure.enough + need.sealed_in_hand > MOST_ROLLS:
        return None
    if len(places_of(instance)) * len(instance.kinds) > MOST_VARIETY:
        return None
    return Enough(instance, need.length, all_starts(instance, need.length))


def opened_first(need: Need, sure: Certain, oracle: Enough | None, clock: Clock) -> OpenedFirst:
    """Return the least number of rolls to buy that is always enough when all are measured first.

    Parameters
    ----------
    need
        The drops and the size to buy.
    sure
        What is certain of it.
    oracle
        From :func:`oracle_for`; without one, what is known from ``sure`` is returned.
    clock
        When it runs out, the figure is given as bounds.

    """
    if oracle is None:
        least = sure.figure.least if need.job.paper.pattern.is_free else sure.at_best.least
        return OpenedFirst(Figure(sure.figure.enough, least), None, 0)
    found = _Found(need, sure, oracle)
    for rolls in range(found.least, found.enough):
        found.settle(rolls, clock)
        if found.enough == rolls:
            break
    return OpenedFirst(Figure(found.enough, found.least), found.case, found.combinations(found.least))


class _Found:
    """What is known so far."""

    def __init__(self, need: Need, sure: Certain, oracle: Enough) -> None:
        self.need = need
        self.oracle = oracle
        self.worst = worst_starts(need.of_known_paper, need.length)
        self.least = sure.at_best.least
        self.enough = sure.figure.enough
        self.case: tuple[Length, ...] | None = None

    def combinations(self, rolls: int) -> int:
        """Return how many combinations of worst starts so many bought rolls have, with those sealed in hand."""
        return comb(self._all(rolls) + len(self.worst) - 1, len(self.worst) - 1)

    def settle(self, rolls: int, clock: Clock) -> None:
        """Find out whether ``rolls`` bought are always enough; leave it open when that takes too long."""
        total = self._all(rolls)
        indices = [self.oracle.starts.index(start) for start in self.worst]
        if any(self._is_too_few((start,) * total, clock) for start in indices):
            return
        oracle, starts = self._starts_to_combine(total)
        waiting = _every_combination(total, len(starts))
        while len(waiting):
            combination = tuple(start for start, count in zip(starts, waiting[0], strict=True) for _ in range(count))
            verdict = oracle.decide(combination, clock)
            if not verdict:
                if oracle is self.oracle:
                    self._is_too_few(combination, clock)
                return
            waiting = _not_served(waiting[1:], oracle.plans[0].fits, starts)
        self.enough = rolls

    def _is_too_few(self, combination: tuple[int, ...], clock: Clock) -> bool:
        if self.oracle.decide(combination, clock) is not False:
            return False
        instance, unit = self.need.scaled.instance, self.need.scaled.unit
        self.least = len(combination) - self.need.sealed_in_hand + 1
        self.case = tuple(self.oracle.starts[start].example(instance) * unit for start in combination)
        return True

    def _starts_to_combine(self, total: int) -> tuple[Enough, list[int]]:
        """Return starts whose combinations are few enough to be gone through, and who knows about them."""
        most = len(self.worst)
        while comb(total + most - 1, most - 1) > MOST_COMBINATIONS:
            most -= 1
        if most == len(self.worst):
            return self.oracle, [self.oracle.starts.index(start) for start in self.worst]
        instance = self.need.of_known_paper
        standing_in = fewer_starts(instance, self.worst, most)
        return Enough(instance, self.need.length, standing_in), list(range(most))

    def _all(self, rolls: int) -> int:
        return rolls + self.need.sealed_in_hand


def _every_combination(rolls: int, starts: int) -> list[tuple[int, ...]]:
    """Return every way in which so many rolls can begin: how many of them have each start."""
    if starts == 1:
        return [(rolls,)]
    return [
        (count, *others) for count in range(rolls, -1, -1) for others in _every_combination(rolls - count, starts - 1)
    ]


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
