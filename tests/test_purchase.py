"""Rolls at several prices: which numbers of them to try, the cheapest first, and the least cost in the end."""

from __future__ import annotations

from fractions import Fraction
from itertools import product
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.paper.pattern import FREE
from cutplan.paper.stock import Lot, Paper
from cutplan.plan.proof import Status
from cutplan.solve import solve
from cutplan.solve.instance import DropKind, Instance, RollType
from cutplan.solve.search import purchase
from cutplan.solve.search.purchase import MOST_PURCHASES, Purchases
from noted_stages import after_each
from random_rooms import MATCHES, ROLL_LENGTH, random_room

if TYPE_CHECKING:
    from collections.abc import Sequence

KINDS = (DropKind(0, 7, 3), DropKind(0, 5, 4), DropKind(0, 3, 5))
"""What is wanted: 12 drops, 56 units of length."""


class Weighed:
    """Rolls that can be worth what a table says, whatever the prices; the first price is the number of a row."""

    def __init__(self, rows: Sequence[Sequence[int]]) -> None:
        self.by_type: Sequence[int] = ()
        self.rows = rows

    def worth(self, prices: Sequence[int]) -> Weighed:
        """Return the row that the first price numbers."""
        self.by_type = self.rows[int(prices[0])]
        return self


@given(
    values=st.tuples(*[st.integers(3, 9)] * 3),
    supply=st.tuples(st.integers(0, 4), st.integers(0, 4), st.sampled_from([None, 3, 6])),
    rows=st.lists(st.tuples(*[st.integers(0, 12)] * 3), min_size=1, max_size=4),
    refused=st.lists(st.tuples(*[st.integers(0, 3)] * 3), max_size=4),
    bound=st.integers(0, 40),
)
def test_the_cheapest_purchase_is_that_of_all_listed(
    values: tuple[int, int, int],
    supply: tuple[int, int, int | None],
    rows: list[tuple[int, int, int]],
    refused: list[tuple[int, int, int]],
    bound: int,
) -> None:
    """Of all numbers that are worth enough by every list and more than any that were not enough, the cheapest.

    What costs less than the bound is known not to do.
    """
    below = 60
    types = tuple(RollType(10 + index, 0, supply[index], values[index]) for index in range(3))
    instance = Instance(0, 0, KINDS, types)
    purchases = Purchases(instance, below, bound)
    assert purchases.begin(Weighed(rows), [0, 1, 1])  # type: ignore[arg-type]
    for row in range(1, len(rows)):
        purchases.heed(Weighed(rows), [row, 1, 1])  # type: ignore[arg-type]
    for numbers in refused:
        purchases.rule_out(numbers)

    found = purchases.cheapest()

    costs = [
        cost
        for numbers in product(*(range(21 if most is None else most + 1) for most in supply))
        if bound <= (cost := purchases.cost_of(numbers)) < below
        and all(_worth(numbers, row) >= number * 3 + 4 + 5 for number, row in enumerate(rows))
        and not any(all(map(int.__le__, numbers, fewer)) for fewer in refused)
    ]
    assert (None if found is None else purchases.cost_of(found)) == min(costs, default=None)


def _worth(numbers: Sequence[int], row: Sequence[int]) -> int:
    return sum(number * worth for number, worth in zip(numbers, row, strict=True))


@pytest.mark.parametrize("match", MATCHES)
@pytest.mark.parametrize("seed", range(4))
def test_the_least_cost_of_a_room_is_proved_to_the_penny(seed: int, match: str) -> None:
    """Rolls at £84.35, rolls of three quarters at £61.20 and an opened one at £39.99: the least cost is proved."""
    room = random_room(seed, match=match, stock="sealed", most_columns=50)
    motif = room.paper.pattern.within_repeat(Fraction(135))
    lots = (
        Lot("full", ROLL_LENGTH, count=None, price=Fraction("84.35")),
        Lot("short", ROLL_LENGTH * Fraction(3, 4), count=None, price=Fraction("61.20")),
        Lot("open", ROLL_LENGTH, motif, count=1, price=Fraction("39.99")),
    )

    plan = solve(replace(room, lots=lots))

    assert plan.status is Status.OPTIMAL
    assert plan.at_best is not None
    assert plan.at_best.status is Status.OPTIMAL


def test_no_sum_overflows_where_rolls_are_many_and_dear() -> None:
    """A contract of a million pieces on rolls at two high prices: each purchase asked for holds by exact sums too."""
    types = (RollType(7, 0, 100_000, 2_000_003), RollType(8, 0, None, 2_500_007), RollType(3, 0, None, 0))
    instance = Instance(0, 0, (DropKind(0, 7, 1_000_000),), types)
    purchases = Purchases(instance, 10**13, 0)
    # A roll of each of the first two types holds one piece, the third none.
    assert purchases.begin(PerPiece(), [2**45])  # type: ignore[arg-type]

    numbers = purchases.cheapest()

    assert numbers is not None
    assert sum(numbers[:2]) == 1_000_000


class PerPiece:
    """Rolls of two types that hold one piece each, of a third that holds none."""

    by_type: Sequence[int] = ()

    def worth(self, prices: Sequence[int]) -> PerPiece:
        """Return what each type is worth at the price of the only kind."""
        self.by_type = [int(prices[0]), int(prices[0]), 0]
        return self


ODD = """8.5 1 47.96, 12.5 2 67.12, 15.5 2 103.76, 6.05 2 38.20, 8 2 58.75, 10.5 4 60.56, 7 2 50.24, 6 1 43.78,
6.5 2 42.60, 10.5 3 60.04, 8 2 39.48, 10.05 4 58.86"""
"""Invented rolls in hand: metres, how many there are, and the price of one."""

LENGTHS = [3015] * 4 + [3020] * 3 + [2990] * 3 + [2995] * 3 + [3000] * 2 + [3010] * 2 + [3005, 980, 980, 970, 985, 990]
"""The drops of a room with a door and a window, trims and all."""


def room_at_a_dozen_prices() -> Job:
    """Return a room to be hung from rolls in hand of a dozen prices, and new ones."""
    odd = [
        Lot(f"odd {place}", Fraction(metres) * 1000, count=int(number), price=Fraction(price))
        for place, (metres, number, price) in enumerate(lot.split() for lot in ODD.split(","))
    ]
    lots = (*odd, Lot("new", Fraction(10050), count=None, price=Fraction(84)))
    none = Fraction(0)
    drops = tuple(Drop(f"{place}", Fraction(length), none, none, none) for place, length in enumerate(LENGTHS))
    return Job(Paper("invented", FREE, Fraction(10050)), lots, drops)


@pytest.mark.parametrize("most", [MOST_PURCHASES, 20])
def test_rolls_at_a_dozen_prices_are_proved(most: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Prices leave few purchases of all to be tried; where too many, those in a lower part of the gap come first."""
    monkeypatch.setattr(purchase, "MOST_PURCHASES", most)
    begun: list[bool] = []
    tried: list[int] = []
    after_each(monkeypatch, Purchases, "begin", lambda are_few, _: begun.append(are_few))
    after_each(monkeypatch, Purchases, "trial", lambda trial, _: tried.append(trial.goal))

    plan = solve(room_at_a_dozen_prices(), time_limit=60)

    assert (plan.status, plan.value) == (Status.OPTIMAL, Fraction("330.92"))
    assert (False in begun) == (most < MOST_PURCHASES)
    assert len(tried) <= 10


def test_how_many_are_bought_is_asked_of_rolls_that_hold_every_drop() -> None:
    """Short rolls are bought most, for their price, but hold no drop of 7: however many there are, they do not do."""
    short, long = RollType(5, 0, None, 1), RollType(10, 0, None, 3)

    assert Purchases(Instance(0, 0, KINDS, (short, long)), 30, 0).base == 1


@pytest.mark.parametrize(("length", "holds", "base"), [(16, None, 1), (17, None, 0), (17, frozenset([0, 1, 2]), 1)])
def test_a_roll_holds_every_drop_if_it_is_longer_than_the_longest_by_a_repeat(
    length: int, holds: frozenset[int] | None, base: int
) -> None:
    """Wherever the print begins, 7 are found within 17, where it repeats every 10; a narrow roll may not hold them."""
    cheap, dear = RollType(length, 0, None, 1, holds=holds), RollType(30, 0, None, 9)

    assert Purchases(Instance(10, 0, KINDS, (cheap, dear)), 30, 0).base == base


def test_no_more_rolls_are_thought_of_than_cost_less_than_the_plan() -> None:
    """Nine at 3 are 27, of four there are no more, and rolls that cost nothing are all opened, one for each drop."""
    kinds = (DropKind(0, 7, 100),)
    types = (RollType(70, 0, None, 3), RollType(7, 0, None, 3), RollType(7, 0, 4, 3), RollType(7, 0, None, 0))

    for below in (28, 30):
        assert Purchases(Instance(0, 0, kinds, types), below, 0).choices == [
            range(1),
            range(10),
            range(5),
            range(100, 101),
        ]


def test_no_purchase_is_left_out_that_costs_just_less_than_the_plan() -> None:
    """Of two billion, one part in a billion is more than the least difference between two costs."""
    types = (RollType(10, 0, None, 2_000_000_007), RollType(9, 0, 1, 2_000_000_009))
    purchases = Purchases(Instance(0, 0, KINDS, types), 2_000_000_008, 0)

    assert purchases.begin(Weighed([(9, 9)]), [0, 1, 1])  # type: ignore[arg-type]  # as much as all drops
    numbers = purchases.cheapest()

    assert numbers == (1, 0)


def test_prices_are_coarser_where_rolls_would_be_worth_more_than_whole_numbers_hold() -> None:
    """Of a thousand drops ten are on each of a thousand rolls, worth ten times all that is wanted."""
    types = (RollType(70, 0, None, 3), RollType(71, 0, 1000, 4))
    purchases = Purchases(Instance(0, 0, (DropKind(0, 7, 1000),), types), 10**6, 0)

    assert purchases.begin(TenPieces(), [2**50])  # type: ignore[arg-type]
    (proof,) = purchases.proofs

    assert proof.prices[0] > 0
    assert proof.premiums == (proof.scale, 0)  # of the base type there is no end, so that no premium covers it
    assert 1000 * sum((*proof.premiums, proof.scale)) + proof.prices[0] * 1000 < 2**63


def test_rolls_that_are_enough_by_themselves_lack_nothing_at_any_price() -> None:
    """One roll at 9 holds all that is worth 9, for just less than 10; a roll of the base type at 5 is not needed."""
    types = (RollType(30, 0, None, 5), RollType(10, 0, 1, 9))
    purchases = Purchases(Instance(0, 0, KINDS, types), 10, 0)

    assert purchases.begin(Weighed([(1, 9)]), [0, 1, 1])  # type: ignore[arg-type]
    assert purchases.cheapest() == (0, 1)


class TenPieces:
    """Rolls of two types that hold ten pieces each."""

    by_type: Sequence[int] = ()

    def worth(self, prices: Sequence[int]) -> TenPieces:
        """Return what each type is worth at the price of the only kind."""
        self.by_type = [10 * int(prices[0])] * 2
        return self
