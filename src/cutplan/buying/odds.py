"""The chance that rolls taken blindly are enough when all are measured before the first cut.

A sealed roll is as likely to begin in one place of the repeat as in another. Starts that no layout tells apart are
taken together, with the share of the repeat that they make up; where the combinations of those are few the chance is
worked out exactly, otherwise rolls are drawn, each time the same ones, and every draw is decided for certain.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from fractions import Fraction
from itertools import accumulate, chain, combinations_with_replacement, product
from math import comb, factorial, lcm, prod, sqrt
from random import Random
from typing import Final

from msgspec import Struct

from cutplan.solve.clock import Clock
from cutplan.solve.measured.rolls_enough import Enough
from cutplan.solve.measured.starts import RollStart, Unopened

DRAWS: Final = 1000
SEED: Final = 20_260_101
"""Any number would do; a fixed one gives everybody the same draws."""

_DEVIATIONS: Final = 1.959_963_984_540_054
"""Standard deviations either side of the mean of a normal distribution that hold 95 % of it."""

FEWEST_DRAWS: Final = 100
"""With fewer draws than this decided in time, no chance is stated."""


class Odds(Struct, frozen=True):
    """The chance that so many rolls are enough, opened and measured first."""

    rolls: int
    chance: Fraction
    """The chance, exactly, or the share of the draws that were enough."""
    low: float
    high: float
    """An interval that holds the true chance in 95 of 100 such simulations; both are the chance when it is exact."""
    draws: int | None
    """How many draws that rests on; None when it is exact."""
    is_at_least: bool = False
    """True when some paper in hand is taken for what is certain of it, so that the chance may be better."""

    @property
    def is_exact(self) -> bool:
        """True when nothing was drawn."""
        return self.draws is None


class TakenBlindly(Struct, frozen=True):
    """Rolls of one length, taken blindly, and how many of them are in hand.

    ``starts`` are how they may begin, as indices of the starts that are known.
    """

    starts: tuple[int, ...]
    in_hand: int


def drawn_of(unopened: Sequence[Unopened], starts: Sequence[RollStart]) -> tuple[TakenBlindly, ...]:
    """Return the rolls that are drawn, those of the size to be bought first."""
    return tuple(
        TakenBlindly(tuple(index for index, start in enumerate(starts) if start.length == sort.length), sort.count)
        for sort in unopened
    )


def odds(
    enough: Enough,
    rolls: range,
    *,
    unopened: Sequence[Unopened],
    draws: int,
    clock: Clock,
    progress: Callable[[str], None],
) -> tuple[Odds, ...]:
    """Return the chance for each number of ``rolls`` bought, ascending, as far as time allows.

    The starts that ``enough`` knows make up the whole repeat, for each length of rolls. ``unopened`` rolls may begin
    anywhere: those of the size to be bought first, with how many of them are in hand. Where a chance is not worked out
    exactly so many ``draws`` are made; when the clock runs out, those decided so far are used.
    """
    if not rolls:
        return ()
    sorts = drawn_of(unopened, enough.starts)
    most = [sort.in_hand + (rolls[-1] if not number else 0) for number, sort in enumerate(sorts)]
    ways = (comb(count + len(sort.starts) - 1, len(sort.starts) - 1) for count, sort in zip(most, sorts, strict=True))
    if prod(ways) <= draws:
        return tuple(_exact(enough, rolls, sorts, clock))
    drawn = _draws(enough.starts, sorts, most, draws)
    return _simulated(enough, rolls, sorts[0].in_hand, _reported(drawn, draws, progress), clock)


def _exact(enough: Enough, rolls: range, sorts: Sequence[TakenBlindly], clock: Clock) -> Iterator[Odds]:
    for bought in rolls:
        chance = Fraction(0)
        for parts in product(
            *(
                combinations_with_replacement(sort.starts, sort.in_hand + (0 if number else bought))
                for number, sort in enumerate(sorts)
            )
        ):
            verdict = enough.decide(tuple(chain(*parts)), clock)
            if verdict is None:
                return
            if verdict:
                chance += prod((_chance_of(part, enough.starts) for part in parts), start=Fraction(1))
        yield Odds(bought, chance, float(chance), float(chance), None)


def _chance_of(combination: Sequence[int], starts: Sequence[RollStart]) -> Fraction:
    """Return the chance of drawing these starts in any order: the multinomial distribution."""
    counts = Counter(combination)
    orders = factorial(len(combination)) // prod(factorial(count) for count in counts.values())
    return prod((starts[start].share ** count for start, count in counts.items()), start=Fraction(orders))


def _simulated(
    enough: Enough,
    rolls: range,
    in_hand: int,
    draws: Iterable[tuple[list[int], list[int]]],
    clock: Clock,
) -> tuple[Odds, ...]:
    """Find for each draw how many of its rolls, in the order drawn, are enough."""
    decided = 0
    sufficient = Counter[int]()
    for drawn in draws:
        needed = _least(enough, drawn, rolls, in_hand, clock)
        if needed is None:
            break
        decided += 1
        sufficient[needed] += 1
    if decided < FEWEST_DRAWS:
        return ()
    hits = accumulate(sufficient[bought] for bought in rolls)
    return tuple(
        Odds(bought, Fraction(hit, decided), *wilson(hit, decided), decided)
        for bought, hit in zip(rolls, hits, strict=True)
    )


def _draws(
    starts: Sequence[RollStart], sorts: Sequence[TakenBlindly], most: Sequence[int], draws: int
) -> Iterator[tuple[list[int], list[int]]]:
    """Yield the starts, by index, of rolls drawn blindly: those of the size to be bought, and the others."""
    rng = Random(SEED)  # noqa: S311 - repeatable, nothing secret
    edges = []
    for sort in sorts:
        parts = lcm(*(starts[start].share.denominator for start in sort.starts))
        edges.append(list(accumulate(int(starts[start].share * parts) for start in sort.starts)))
    for _ in range(draws):
        drawn = [
            [sort.starts[bisect_right(edge, rng.randrange(edge[-1]))] for _ in range(count)]
            for sort, edge, count in zip(sorts, edges, most, strict=True)
        ]
        yield drawn[0], list(chain(*drawn[1:]))


def _reported(
    draws: Iterable[tuple[list[int], list[int]]], number: int, progress: Callable[[str], None]
) -> Iterator[tuple[list[int], list[int]]]:
    for done, drawn in enumerate(draws):
        if done % 50 == 0:
            progress(f"odds: {done} of {number} draws")
        yield drawn


def _least(enough: Enough, drawn: tuple[list[int], list[int]], rolls: range, in_hand: int, clock: Clock) -> int | None:
    """Return how many rolls of a draw are enough, one more than the most asked about if none; None when time is up."""
    of_size, others = drawn
    for bought in rolls:
        verdict = enough.decide(of_size[: bought + in_hand] + others, clock)
        if verdict is None:
            return None
        if verdict:
            return bought
    return rolls[-1] + 1


def wilson(hits: int, draws: int) -> tuple[float, float]:
    """Return the interval for a chance that came up ``hits`` times in ``draws``, at 95 % confidence.

    References
    ----------
    E. B. Wilson, "Probable inference, the law of succession, and statistical inference", Journal of the American
    Statistical Association 22 (1927) 209–212.

    >>> low, high = wilson(10, 10)
    >>> round(low, 4), high
    (0.7225, 1.0)

    """
    square = _DEVIATIONS**2
    centre = hits + square / 2
    reach = _DEVIATIONS * sqrt(hits * (draws - hits) / draws + square / 4)
    return max(0.0, (centre - reach) / (draws + square)), min(1.0, (centre + reach) / (draws + square))
