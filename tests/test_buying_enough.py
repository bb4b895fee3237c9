"""Deciding whether rolls are enough: every short cut gives what the long way round would."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations_with_replacement, permutations
from random import Random
from typing import TYPE_CHECKING

import pytest

from buying_jobs import half_drop_four
from cutplan.buying.need import Need, Size
from cutplan.solve.clock import Clock
from cutplan.solve.instance import DropKind, Instance
from cutplan.solve.measured.known_plans import Exchange, hand_out_rolls
from cutplan.solve.measured.rolls_enough import Enough
from cutplan.solve.measured.starts import RollStart, all_starts, ends_from, fewer_starts, starts_of_drops, worst_starts
from cutplan.solve.roll import paper_needed
from cutplan.solve.roll.paper_needed import PaperNeeded
from roll_starts import are_enough, sets_by_start, small_job

if TYPE_CHECKING:
    from cutplan.job.job import Job

HALF_DROP = Instance(6, 6, (DropKind(0, 11, 2), DropKind(3, 11, 2)), ())
"""Two kinds of drop, half a repeat of 6 apart."""


def need_of(job: Job) -> Need:
    """Return the job as rolls of its own length are bought for it."""
    return Need(job, Size(job.paper.roll_length))


@pytest.mark.parametrize("seed", [2, 23, 46, 54, 57, 74])
def test_verdicts_are_those_of_trying_everything(seed: int) -> None:
    """Whatever two or three starts are asked about, in whatever order, the answer is the exhaustive one."""
    job = small_job(seed)
    need = need_of(job)
    instance, unit = need.scaled.instance, need.scaled.unit
    starts = all_starts(need.of_known_paper, need.length)
    oracle = Enough(need.of_known_paper, need.length, starts)
    sets = sets_by_start(job)
    asked = [rolls for count in (2, 3) for rolls in combinations_with_replacement(range(len(starts)), count)]
    Random(seed).shuffle(asked)  # noqa: S311 - repeatable, nothing secret

    verdicts = set()
    for rolls in asked:
        expected = are_enough(job, tuple(sets[starts[start].example(instance) * unit] for start in rolls))
        verdict = oracle.decide(rolls, Clock(10))
        verdicts.add(verdict)
        assert verdict == expected, rolls
    assert verdicts == {True, False}
    assert oracle.solved < len(asked) / 2  # most are answered by what is known already


def test_order_in_which_rolls_are_named_does_not_matter() -> None:
    """Rolls are alike but for their start."""
    need = need_of(half_drop_four())
    starts = all_starts(need.of_known_paper, need.length)
    oracle = Enough(need.of_known_paper, need.length, starts)

    for one in range(len(starts)):
        for other in range(len(starts)):
            assert oracle.decide((one, other), Clock(10)) == oracle.decide((other, one), Clock(10))


def test_starts_of_the_half_drop() -> None:
    """Places at 0 and 300, and a layout of two drops ends with the roll 100 before each: four starts, by eye."""
    need = need_of(half_drop_four())
    unit = need.scaled.unit

    starts = all_starts(need.of_known_paper, need.length)

    assert unit == 100
    by_place = {(start.place * unit, start.lost * unit): start.share for start in starts}
    # Before 300: 0 to 100 gives B B alone, from 100 on B A too; likewise before 600.
    assert sum(share for (place, lost), share in by_place.items() if place == 300 and lost > 200) == Fraction(1, 6)
    assert {place for place, _ in by_place} == {0, 300}
    assert {start.lost * unit for start in worst_starts(need.of_known_paper, need.length)} == {300}


def test_start_with_no_less_is_left_out() -> None:
    """Kinds at 0 (4 long) and at 5 of 6 (11 long), on rolls of 17: the start that loses only 1 is left out.

    Just past 0 five are lost, and what is then cut from 5 on ends 11 further at most, within 12. Just past 5 only one
    is lost, and from 0 on 16 are left: wait for 5, and all of that can be cut, 5 + 11.
    """
    instance = Instance(6, 6, (DropKind(0, 4, 1), DropKind(1, 11, 1)), ())

    assert starts_of_drops(instance) == [0, 5]
    assert [(start.place, start.lost) for start in worst_starts(instance, 17)] == [(5, 5)]


def test_fewer_starts_give_no_more() -> None:
    """Of places at 0, 2 and 6 of 10 the nearest two become one: from past 6 nothing is cut before 2, and 6 are lost."""
    starts = (RollStart(0, 4), RollStart(2, 2), RollStart(6, 4))
    instance = Instance(10, 10, (DropKind(0, 1, 1),), ())

    assert fewer_starts(instance, starts, 2) == (RollStart(2, 6), RollStart(6, 4))
    assert fewer_starts(instance, starts, 3) == starts


def test_ends_from_a_place() -> None:
    """From 0 a drop of 11 ends at 11; the next starts at 12, like the first, or at 15, and ends at 23 or 26."""
    assert ends_from(HALF_DROP, 0, 26) == [0, 11, 14, 23, 26]  # 14: the other kind first, from 3
    assert ends_from(HALF_DROP, 0, 10) == [0]


def test_paper_needed_is_that_of_the_best_order() -> None:
    """No order of up to five random drops takes less."""
    rng = Random(5)  # noqa: S311 - repeatable, nothing secret
    for _ in range(30):
        repeat = rng.randint(3, 12)
        kinds = tuple(DropKind(rng.randrange(repeat), rng.randint(2, 20), 5) for _ in range(4))
        drops = tuple(sorted(rng.randrange(4) for _ in range(rng.randint(1, 5))))
        place = rng.randrange(repeat)

        found = PaperNeeded(Instance(repeat, repeat, kinds, ())).after(place, drops)

        assert found == min(laid_out(order, kinds, repeat, place) for order in permutations(drops))


def laid_out(order: tuple[int, ...], kinds: tuple[DropKind, ...], repeat: int, place: int) -> int:
    """Return how far drops in this order reach from ``place``, each cut as soon as its print comes."""
    end = place
    for kind in order:
        while (end + kinds[kind].phase) % repeat:
            end += 1
        end += kinds[kind].length
    return end - place


def test_many_drops_are_measured_in_a_good_order(monkeypatch: pytest.MonkeyPatch) -> None:
    """With too many orders to try, what is measured is an order that fits: never less than the best."""
    drops = (0, 0, 1, 1)
    best = PaperNeeded(HALF_DROP).after(0, drops)
    monkeypatch.setattr(paper_needed, "MOST_SUBSETS", 1)

    found = PaperNeeded(HALF_DROP).after(0, drops)

    # A A B B from 0: 0–11, 12–23, 27–38, 39–50.
    assert best == 50
    assert found >= best


def test_layouts_are_handed_rolls_of_their_own() -> None:
    """The number of layouts served is the most possible: as many as some way of handing out serves."""
    rng = Random(3)  # noqa: S311 - repeatable, nothing secret
    for _ in range(200):
        starts = [rng.randrange(4) for _ in range(rng.randint(1, 5))]
        fits = [rng.randrange(16) for _ in range(rng.randint(1, 5))]

        layout_on = hand_out_rolls(fits, starts)

        served = [layout for layout in layout_on if layout >= 0]
        assert len(served) == len(set(served)) == most_served(fits, starts)
        assert all(layout < 0 or fits[layout] >> start & 1 for layout, start in zip(layout_on, starts, strict=True))


def most_served(fits: list[int], starts: list[int]) -> int:
    """Return how many layouts can get a roll, by trying every order of serving them."""
    best = 0
    padded = [*starts, *[-1] * len(fits)]
    for order in set(permutations(padded, len(fits))):
        best = max(best, sum(start >= 0 and fit >> start & 1 for fit, start in zip(fits, order, strict=True)))
    return best


def test_exchange_moves_at_most_one_drop_each_way() -> None:
    """Of layouts 0 0 and 1, with rooms for 7 and 5: kinds are 3 and 4 long."""
    exchange = Exchange((0, 0), (1,), (3, 4))

    ways = set(exchange.ways(7, 5))

    # 0 0 is 6 long and 1 is 4; the rest is 0 1 (7) with 0 (3).
    assert ways == {((0, 0), (1,)), ((0, 1), (0,))}


def test_verdict_is_left_open_without_time() -> None:
    """Rolls not decided by lengths alone are neither enough nor too few when the clock has run out."""
    need = need_of(half_drop_four())
    starts = all_starts(need.of_known_paper, need.length)
    oracle = Enough(need.of_known_paper, need.length, starts)

    verdicts = {oracle.decide((one, one), Clock(0)) for one in range(len(starts))}

    assert verdicts <= {None, True, False}
    assert oracle.decide((0,), Clock(0)) is False  # 4 drops of 1100 mm are longer than one roll of 2800
