"""How many rolls are always enough when all are measured first: exact, and never beyond its two neighbours."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations_with_replacement
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from buying_jobs import half_drop_four, plain, with_rolls
from cutplan.buying import opened_first as module
from cutplan.buying.certain import Figure, certain
from cutplan.buying.need import Need, Size
from cutplan.buying.opened_first import opened_first, oracle_for
from cutplan.paper.stock import Lot
from cutplan.solve import solve
from cutplan.solve.clock import Clock
from cutplan.solve.measured.starts import all_starts, worst_starts
from roll_starts import are_enough, chance_of_enough, least_opened_first, sets_by_start, small_job

if TYPE_CHECKING:
    from cutplan.buying.certain import Certain
    from cutplan.buying.opened_first import OpenedFirst
    from cutplan.job.job import Job

SAVING = (2, 23, 25, 39, 46, 54, 56, 57, 74, 82, 92, 96, 98, 103, 105)
"""Small jobs in which measuring first saves a roll; in 54, 57 and 96 it does not go all the way to the best."""

NOT_SAVING = (0, 1, 3, 5, 8, 10, 13, 19, 29, 34, 40, 55, 62, 83, 90)
"""Small jobs in which some combination of starts needs as many rolls as are certain without measuring."""


def answered(job: Job) -> tuple[Certain, OpenedFirst]:
    """Return what is certain of a job, and what is when all rolls are measured first."""
    need = Need(job, Size(job.paper.roll_length))
    sure = certain(need, 10)
    return sure, opened_first(need, sure, oracle_for(need, sure), Clock(10))


@pytest.mark.parametrize("seed", SAVING + NOT_SAVING)
def test_figure_is_that_of_every_combination_on_a_fine_grid(seed: int) -> None:
    """Trying all rolls of starts a quarter of a millimetre apart gives the same least number."""
    job = small_job(seed)

    sure, opened = answered(job)

    least = least_opened_first(job)
    assert opened.figure == Figure(least, least)
    assert sure.at_best.least <= least <= sure.figure.enough
    assert (least < sure.figure.enough) == (seed in SAVING)


def test_half_drop_saves_one_of_four_rolls() -> None:
    """Four are certain, three when measured first, two at best: see the job's own reckoning."""
    sure, opened = answered(half_drop_four())

    assert sure.figure == Figure(4, 4)
    assert opened.figure == Figure(3, 3)
    assert sure.at_best == Figure(2, 2)
    # Two kinds of worst start, just past A and just past B, make 4 combinations of three rolls.
    assert opened.combinations == 4


def test_worst_case_can_be_planned_for_and_takes_another_roll() -> None:
    """The rolls given as too few, measured so, are too few for the planner too, and one more of any start is enough."""
    job = half_drop_four()
    _, opened = answered(job)
    assert opened.worst is not None
    assert len(opened.worst) == 2

    measured = tuple(Lot(f"{number}", job.paper.roll_length, motif) for number, motif in enumerate(opened.worst))
    more = Lot("more", job.paper.roll_length, count=None, price=Fraction(1))
    lots = (*(replace(lot, price=Fraction(0)) for lot in measured), more)

    assert solve(with_rolls(job, *lots)).value == 1


@pytest.mark.parametrize("seed", SAVING)
def test_starts_just_past_a_place_are_the_worst(seed: int) -> None:
    """Every start on the grid gives all that one of the worst starts gives."""
    job = small_job(seed)
    need = Need(job, Size(job.paper.roll_length))
    instance, unit = need.scaled.instance, need.scaled.unit
    by_start = sets_by_start(job)
    # The examples lie half a unit past a place, on the grid because the unit is a whole millimetre.
    worst = {by_start[start.example(instance) * unit] for start in worst_starts(need.of_known_paper, need.length)}

    assert all(any(bad <= sets for bad in worst) for sets in by_start.values())


def test_shares_of_all_starts_make_up_the_repeat() -> None:
    """A roll begins in exactly one of them."""
    for seed in range(30):
        job = small_job(seed)
        need = Need(job, Size(job.paper.roll_length))

        assert sum(start.share for start in all_starts(need.of_known_paper, need.length)) == 1


def test_free_match_has_nothing_to_measure() -> None:
    """Where a roll of a free match begins does not matter: all three figures are the same."""
    sure, opened = answered(plain(count=7, height=2600))

    assert sure.figure == opened.figure == sure.at_best == Figure(3, 3)  # three of 2.70 m to a roll


def test_places_taken_together_give_bounds_that_hold(monkeypatch: pytest.MonkeyPatch) -> None:
    """With too many combinations to go through, the figure lies between what is proved either way."""
    monkeypatch.setattr(module, "MOST_COMBINATIONS", 1)
    exact = 0
    for seed in SAVING + NOT_SAVING:
        job = small_job(seed)

        sure, opened = answered(job)

        assert opened.figure.least <= least_opened_first(job) <= opened.figure.enough <= sure.figure.enough
        exact += opened.figure.is_exact
    assert 0 < exact < len(SAVING + NOT_SAVING)


def test_nothing_is_claimed_when_time_is_up() -> None:
    """Without any time the figure stays between at best and certain."""
    job = half_drop_four()
    need = Need(job, Size(job.paper.roll_length))
    sure = certain(need, 10)

    opened = opened_first(need, sure, oracle_for(need, sure), Clock(0))

    assert opened.figure.least <= 3 <= opened.figure.enough


def test_measured_roll_in_hand_is_used_as_it_is() -> None:
    """A roll in hand that gives A A alone leaves B B: one roll may be too few for that, two are always enough."""
    job = half_drop_four()
    in_hand = Lot("open", job.paper.roll_length, Fraction(250))  # 250 mm before A, 550 before B

    sure, opened = answered(with_rolls(job, in_hand))

    assert sure.figure == Figure(2, 2)
    assert opened.figure == Figure(2, 2)
    assert sure.at_best == Figure(1, 1)
    assert opened.worst is not None
    assert len(opened.worst) == 1


def test_sealed_roll_in_hand_may_begin_anywhere_too() -> None:
    """One sealed roll in hand is one fewer to buy."""
    job = half_drop_four()

    sure, opened = answered(with_rolls(job, Lot("sealed", job.paper.roll_length)))

    assert sure.figure == Figure(3, 3)
    assert opened.figure == Figure(2, 2)


def test_grid_itself_agrees_with_the_reckoning_by_eye() -> None:
    """The exhaustive check is right about three rolls, two rolls, and the chance of two."""
    job = small_job(54)
    different = set(sets_by_start(job).values())
    least = least_opened_first(job)

    assert all(are_enough(job, rolls) for rolls in combinations_with_replacement(different, least))
    assert chance_of_enough(job, least) == 1
    assert chance_of_enough(job, least - 1) < 1
