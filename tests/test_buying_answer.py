"""The whole answer: short rolls, what saves a roll, spoiled drops, sizes, spare, rolls in hand, and the advice."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from buying_jobs import ROLL, half_drop_four, job_of, plain, with_rolls
from cutplan.buying.certain import Figure
from cutplan.buying.how_many import Wishes, how_many_rolls
from cutplan.buying.need import Size
from cutplan.buying.savings import LongerRoll, SmallerTrim
from cutplan.buying.sizes import Mixture
from cutplan.buying.spoiled_drop import SpoilingCost
from cutplan.errors import NoPlanError
from cutplan.job.drops import CutOut, Drop
from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Lot
from cutplan.solve import solve

if TYPE_CHECKING:
    from cutplan.job.job import Job

FULL_LENGTH = Wishes(tolerance=Fraction(0))


def exactly(rolls: int) -> Figure:
    """Return the figure of so many rolls, proved."""
    return Figure(rolls, rolls)


# --- Short rolls ------------------------------------------------------------------------------------------


def test_ten_metres_do_not_come_from_a_short_roll() -> None:
    """4 × 2.50 m fit 10.05 m with 50 mm of slack, and not 9.899 m — EN 233 clause 5.2.2, −1.5 %."""
    answer = how_many_rolls(plain(4, 2400))

    assert answer.short is not None
    assert answer.short.length == Fraction("9899.25")
    assert answer.short.figure == exactly(2)
    (tight,) = answer.tight
    assert (tight.roll, tight.slack, tight.lacking) == ("roll-1", Fraction(50), Fraction("100.75"))


def test_tolerance_is_the_one_given() -> None:
    """At 0.4 % the roll may lack 40.2 mm, and 50 mm of slack are enough."""
    answer = how_many_rolls(plain(4, 2400), Wishes(tolerance=Fraction(4, 1000)))

    assert answer.short is not None
    assert (answer.short.length, answer.short.figure, answer.tight) == (Fraction("10009.8"), exactly(1), ())


def test_no_tolerance_says_nothing_of_short_rolls() -> None:
    """Rolls measured are as long as they are."""
    answer = how_many_rolls(plain(4, 2400), FULL_LENGTH)

    assert answer.short is None
    assert answer.recommendation.buy == 1


def test_drop_too_long_for_a_short_roll() -> None:
    """One drop of 9.95 m fits a full roll; no number of short ones is certain."""
    assert how_many_rolls(plain(1, 9850)).short is None


def test_measured_first_on_short_rolls_too() -> None:
    """At 100 mm short, 3.57 %, the half-drop still needs 3 of 4 when measured first: B B is cut from 300 + 2300."""
    short = how_many_rolls(half_drop_four(), Wishes(tolerance=Fraction(1, 28))).short

    assert short is not None
    assert (short.length, short.figure, short.opened) == (Fraction(2700), exactly(4), exactly(3))


# --- What saves a roll ------------------------------------------------------------------------------------


def test_largest_trim_that_saves_a_roll() -> None:
    """4 × 2.55 m are 150 mm too long for 10.05 m; less 38 mm each, they fit: 62 mm of trim instead of 100."""
    answer = how_many_rolls(plain(4, 2450), FULL_LENGTH)

    assert answer.sure.figure == exactly(2)
    assert answer.trim is not None
    assert replace(answer.trim, drops=()) == SmallerTrim(Fraction(31), Fraction(31), is_largest=True, figure=exactly(1))


@pytest.mark.parametrize(("height", "found"), [(2461, 51), (2462, None)])
def test_trim_of_less_than_two_inches_is_not_advised(height: int, found: int | None) -> None:
    """4 × (2461 + 51) = 10 048 fits; 2462 would want 50 mm, less than 2 in, the least that is published."""
    trim = how_many_rolls(plain(4, height), FULL_LENGTH).trim

    assert (None if trim is None else trim.top + trim.bottom) == found


def test_trim_counts_with_the_match() -> None:
    """Half-drop of 600 mm, 900 mm high and 50 + 150 of trim: A A is 1200 + 1100, and certain is 2800 − 600 = 2200.

    With 100 mm of trim in all, shared out as before, two drops fit every roll; a millimetre more, and only one does.
    """
    job = half_drop_four()
    drops = tuple(replace(drop, height=Fraction(900), trim_bottom=Fraction(150)) for drop in job.drops)
    job = replace(job, drops=drops)

    answer = how_many_rolls(job, FULL_LENGTH)

    assert answer.sure.figure == exactly(4)
    assert answer.trim is not None
    assert replace(answer.trim, drops=()) == SmallerTrim(Fraction(25), Fraction(75), is_largest=True, figure=exactly(2))
    assert [rolls_with_trim(job, answer.trim, extra) for extra in (0, 1)] == [2, 4]


def test_what_is_slit_off_a_drop_is_no_longer_than_the_drop_with_less_trim() -> None:
    """Beside a drop 300 mm wide 230 mm are left, as long as it is cut: 2550 mm, and 2512 with 62 mm of trim."""
    (strip,) = plain(4, 2450).drops
    slit = CutOut("right of it", strip.cut_length, Fraction(0), Fraction(300), Fraction(530))
    narrow = replace(strip, label="narrow", count=1, left=Fraction(0), right=Fraction(300), cut_outs=(slit,))
    trim = how_many_rolls(replace(plain(4, 2450), drops=(narrow, replace(strip, count=3))), FULL_LENGTH).trim

    assert trim is not None
    assert [each.length for each in trim.drops[0].cut_outs] == [2512]


def rolls_with_trim(job: Job, trim: SmallerTrim, extra: int) -> int:
    """Return how many rolls the planner needs with this trim and so many millimetres more at the bottom."""
    drops = tuple(replace(drop, trim_top=trim.top, trim_bottom=trim.bottom + extra) for drop in job.drops)
    return solve(replace(job, drops=drops)).rolls_needed


def test_double_length_saves_where_ends_are_wasted() -> None:
    """Seven drops of 2.70 m: three a roll of 10.05 m, 3 rolls; all seven (18.9 m) from one of 20.10 m."""
    assert how_many_rolls(plain(7, 2600)).longer == LongerRoll(2 * ROLL, exactly(1))


def test_spoiled_drop_from_what_is_left_over() -> None:
    """Three drops of 2.50 m leave 2.55 m, enough for one more."""
    assert how_many_rolls(plain(3, 2400)).spoiled == SpoilingCost(exactly(1))


def test_spoiled_drop_that_needs_another_roll() -> None:
    """Four drops of 2.50 m leave 50 mm: a spoiled one takes a second roll."""
    assert how_many_rolls(plain(4, 2400)).spoiled == SpoilingCost(exactly(2), dearest=("strip",))


def test_spoiled_drop_to_be_planned_for() -> None:
    """Straight match of 1 m: C C of 2.1 m is 3 m to the second start, 5.1 m; the plan of one roll of 8.2 m holds two.

    A third C would start at 6 m and end at 8.1, but the lead-in may take 1 m; so it takes another roll.
    """
    drop = Drop("C", Fraction(2000), Fraction(0), Fraction(50), Fraction(50), 2)
    job = job_of((drop,), Pattern(Fraction(1000), Fraction(0)), Fraction(8200))

    assert how_many_rolls(job, FULL_LENGTH).spoiled == SpoilingCost(exactly(2), dearest=("C",))


# --- Sizes, spare, rolls in hand --------------------------------------------------------------------------


def test_cheapest_size() -> None:
    """Seven drops of 2.70 m: 3 × 80 in singles, 150 in one double roll; a roll of 2.5 m is too short for any."""
    wishes = replace(FULL_LENGTH, other_sizes=(Size(2 * ROLL, Fraction(150)), Size(Fraction(2500), Fraction(10))))
    answer = how_many_rolls(plain(7, 2600, price=Fraction(80)), wishes)

    assert [choice.figure for choice in answer.sizes] == [exactly(3), exactly(1), None]
    assert [choice.cost for choice in answer.sizes] == [240, 150, None]


def test_cheapest_mixture_of_sizes() -> None:
    """Ten drops of 2.70 m: a double roll for seven (150) and a single for three (80) beat 4 singles or 2 doubles."""
    wishes = replace(FULL_LENGTH, other_sizes=(Size(2 * ROLL, Fraction(150)),))
    answer = how_many_rolls(plain(10, 2600, price=Fraction(80)), wishes)

    single, double = (choice.size for choice in answer.sizes)
    assert [choice.cost for choice in answer.sizes] == [320, 300]
    assert answer.mixed == Mixture(((single, 1), (double, 1)), Fraction(230), Fraction(230))
    assert answer.mixed.is_proved


def test_mixture_needs_every_price() -> None:
    """What a size costs that has no price nobody knows."""
    wishes = replace(FULL_LENGTH, other_sizes=(Size(2 * ROLL),))

    assert how_many_rolls(plain(10, 2600, price=Fraction(80)), wishes).mixed is None


def test_spare_is_one_more_of_the_longest() -> None:
    """With a spare, four drops of 2.50 m are five, and take two rolls."""
    answer = how_many_rolls(plain(4, 2400), replace(FULL_LENGTH, wants_spare=True))

    spare = answer.need.job.drops[-1]
    assert (spare.label, spare.cut_length, spare.count) == ("spare", Fraction(2500), 1)
    assert answer.recommendation.buy == 2


def test_rolls_in_hand_are_used_first() -> None:
    """Eight drops of 2.50 m are two rolls; one is in hand, one to be bought."""
    answer = how_many_rolls(with_rolls(plain(8, 2400), Lot("A", ROLL)), FULL_LENGTH)

    assert (answer.need.rolls_in_hand, answer.sure.figure, answer.recommendation.buy) == (1, exactly(1), 1)


def test_nothing_to_buy_when_the_rolls_in_hand_are_enough() -> None:
    """Two rolls for eight drops of 2.50 m."""
    answer = how_many_rolls(with_rolls(plain(8, 2400), Lot("A", ROLL, count=2)), FULL_LENGTH)

    assert answer.recommendation.buy == 0
    assert (answer.trim, answer.longer) == (None, None)


def test_rolls_listed_as_needed_in_two_lengths_are_each_worked_out_by_its_own() -> None:
    """Four drops of 3 m: two rolls of 10 m, or four of 5 m; one of the label's 20 m is not to be had."""
    lots = tuple(Lot(f"{metres} m", Fraction(1000 * metres), count=None) for metres in (10, 5))
    job = plain(4, 2900)
    answer = how_many_rolls(
        replace(job, paper=replace(job.paper, roll_length=Fraction(20_000)), lots=lots), FULL_LENGTH
    )

    assert [(int(choice.size.length), choice.figure) for choice in answer.sizes] == [
        (10_000, exactly(2)),
        (5000, exactly(4)),
    ]
    assert answer.recommendation.buy == 2


def test_new_rolls_are_called_unlike_those_in_hand() -> None:
    """A roll in hand called «roll» does not take the name of those to be bought."""
    answer = how_many_rolls(with_rolls(plain(8, 2400), Lot("roll", ROLL)))

    assert {layout.lot for layout in answer.sure.plan.layouts} == {"roll", "new roll"}


# --- Advice -----------------------------------------------------------------------------------------------


def test_likely_number_is_opened_first() -> None:
    """Three of the half-drop's rolls are certain if measured first, and two do in 17 of 18 cases: expect one back."""
    advised = how_many_rolls(half_drop_four(), FULL_LENGTH).recommendation

    assert (advised.buy, advised.open_first, advised.returned) == (3, 2, 1)
    assert advised.must_measure
    assert advised.chance == Fraction(17, 18)


def test_roll_in_hand_changes_what_is_likely() -> None:
    """A measured roll in hand that gives A A alone leaves B B, which two rolls are certain to give, and one likely."""
    job = half_drop_four()
    lots = (Lot("open", job.paper.roll_length, Fraction(250)),)  # gives A A alone

    advised = how_many_rolls(with_rolls(job, *lots), FULL_LENGTH).recommendation

    # One roll bought gives B B unless it begins within 100 mm past 300: 5 of 6; so one is expected back.
    assert (advised.buy, advised.open_first, advised.chance) == (2, 1, Fraction(5, 6))
    assert not advised.must_measure  # two are certain as they come, too: each gives one B


def test_reserve_for_short_rolls_is_bought_and_returned() -> None:
    """One roll does for 4 × 2.50 m if it is not short: buy two, at 80 each, and expect one back."""
    advised = how_many_rolls(plain(4, 2400, price=Fraction(80))).recommendation

    assert (advised.buy, advised.open_first, advised.returned) == (2, 1, 1)
    assert (advised.cost, advised.refund) == (Fraction(160), Fraction(80))
    assert not advised.must_measure


def test_drop_longer_than_a_roll_cannot_be_bought_for() -> None:
    """The message names both lengths, as planning does."""
    with pytest.raises(
        NoPlanError, match=r"drop strip needs 11100 mm with its trims, but no roll gives more than 10050"
    ):
        how_many_rolls(plain(1, 11000))


def test_progress_is_told() -> None:
    """Each stage is named, so that nobody wonders what takes so long."""
    told: list[str] = []

    how_many_rolls(half_drop_four(), progress=told.append)

    assert told[-3:] == ["short rolls", "putting the cuts in order", "what would save a roll"]
