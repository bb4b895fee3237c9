"""The chance that rolls taken blindly are enough: exact where that is cheap, else from draws that are decided."""

from __future__ import annotations

from fractions import Fraction
from random import Random
from typing import TYPE_CHECKING

import pytest

from buying_jobs import half_drop_four, job_of, with_rolls
from cutplan.buying import odds as module
from cutplan.buying.certain import certain
from cutplan.buying.need import Need, Size
from cutplan.buying.odds import FEWEST_DRAWS, Odds, odds, wilson
from cutplan.buying.opened_first import oracle_for
from cutplan.errors import NoPlanError
from cutplan.job.drops import Drop
from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Lot
from cutplan.solve import solve
from cutplan.solve.clock import Clock
from roll_starts import chance_of_enough, small_job

if TYPE_CHECKING:
    from cutplan.job.job import Job


def chances(job: Job, rolls: range, draws: int) -> tuple[Odds, ...]:
    """Return the chances of so many rolls, from so many draws where they are not worked out exactly."""
    need = Need(job, Size(job.paper.roll_length))
    oracle = oracle_for(need, certain(need, 10))
    assert oracle is not None
    return odds(
        oracle,
        rolls,
        unopened=need.unopened,
        draws=draws,
        clock=Clock(60),
        progress=lambda _: None,
    )


def room() -> Job:
    """Return a small room in a half-drop: 14 columns of 2.83 m, two over a door; 4 rolls at best, 5 certain."""
    rng = Random(1)  # noqa: S311 - repeatable, nothing secret
    trim = Fraction(50)
    pattern = Pattern(Fraction(640), Fraction(320))
    drops = tuple(
        Drop(
            f"{column}",
            Fraction(400 if column in {3, 4} else 2820 + 5 * rng.randrange(4)),
            pattern.first_motif(column, Fraction(95)),
            trim,
            trim,
        )
        for column in range(14)
    )
    return job_of(drops, pattern, Fraction(10050))


def test_half_drop_by_eye() -> None:
    """Two rolls are too few in 1/18 of all cases: see the job's own reckoning."""
    (two,) = chances(half_drop_four(), range(2, 3), draws=1000)

    assert two == Odds(2, Fraction(17, 18), 17 / 18, 17 / 18, None)
    assert two.is_exact


@pytest.mark.parametrize("seed", [2, 6, 18, 23, 25, 46, 54, 60, 92, 98])
def test_exact_chance_is_the_share_of_all_combinations(seed: int) -> None:
    """Going through every combination of starts gives the same fraction, to the last digit."""
    job = small_job(seed)

    found = chances(job, range(2, 4), draws=100_000)

    assert all(chance.is_exact for chance in found)
    assert [chance.chance for chance in found] == [chance_of_enough(job, 2), chance_of_enough(job, 3)]


def test_simulated_chance_holds_the_exact_one() -> None:
    """The interval of 1000 draws holds 17/18."""
    (two,) = simulated(half_drop_four(), range(2, 3), draws=1000)

    assert two.draws == 1000
    assert two.low < 17 / 18 < two.high
    assert (two.low, two.high) == wilson(int(two.chance * 1000), 1000)


def simulated(job: Job, rolls: range, draws: int) -> tuple[Odds, ...]:
    """Return the chances from draws, however few the combinations."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(module, "comb", lambda *_: draws + 1)
        return chances(job, rolls, draws)


def test_simulated_chance_agrees_with_independent_draws() -> None:
    """Rolls measured at random and planned for one by one are enough about as often."""
    job = room()
    (found,) = simulated(job, range(4, 5), draws=400)

    low, high = wilson(*independent_draws(job, rolls=4, draws=150))

    (exact,) = chances(job, range(4, 5), draws=100_000)
    assert exact.is_exact
    assert low < exact.chance < high
    # Two intervals at 95 % that do not even touch would be a plain contradiction.
    assert found.low < high
    assert low < found.high


def independent_draws(job: Job, rolls: int, draws: int) -> tuple[int, int]:
    """Return for how many draws of rolls the planner finds a plan, and how many there were."""
    rng = Random("independent")  # noqa: S311 - repeatable, nothing secret
    hits = 0
    for _ in range(draws):
        repeat = int(job.paper.pattern.repeat)
        lots = [Lot(f"{number}", job.paper.roll_length, Fraction(rng.random()) * repeat) for number in range(rolls)]
        # Rounded to tenths of a millimetre, so that the planner's whole numbers stay small.
        measured = [
            Lot(lot.label, lot.length, Fraction(round((lot.first_motif or 0) * 10), 10) % repeat) for lot in lots
        ]
        try:
            solve(with_rolls(job, *measured))
        except NoPlanError:
            continue
        hits += 1
    return hits, draws


def test_more_rolls_are_never_less_likely_to_do() -> None:
    """The first rolls of a draw that are enough stay enough with one more."""
    job = small_job(7)  # from 4 at best to 7
    found = simulated(job, range(4, 7), draws=300)

    assert [chance.rolls for chance in found] == [4, 5, 6]
    assert found[0].chance <= found[1].chance <= found[2].chance
    assert found[0].chance < found[2].chance


def test_draws_are_the_same_every_time() -> None:
    """A fixed seed gives everybody the same chance."""
    job = half_drop_four()

    assert simulated(job, range(2, 3), draws=200) == simulated(job, range(2, 3), draws=200)


def test_sealed_rolls_in_hand_are_drawn_too() -> None:
    """One sealed roll in hand and one bought are two rolls that may begin anywhere."""
    job = half_drop_four()

    (one,) = chances(with_rolls(job, Lot("sealed", job.paper.roll_length)), range(1, 2), draws=1000)

    assert one.chance == Fraction(17, 18)


def test_too_few_draws_in_time_state_no_chance() -> None:
    """Without time for a hundred draws nothing is said."""
    job = half_drop_four()
    need = Need(job, Size(job.paper.roll_length))
    oracle = oracle_for(need, certain(need, 10))
    assert oracle is not None

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(module, "comb", lambda *_: FEWEST_DRAWS + 1)
        patch.setattr(oracle, "decide", lambda *_: None)
        rolls, sealed = range(2, 3), need.unopened
        found = odds(oracle, rolls, unopened=sealed, draws=FEWEST_DRAWS, clock=Clock(0), progress=lambda _: None)

    assert found == ()


@pytest.mark.parametrize(
    ("hits", "draws", "low", "high"),
    [
        (0, 10, 0.0, 0.2775),  # z² / (n + z²), with z = 1.96: 3.8415 / 13.8415
        (5, 10, 0.2366, 0.7634),  # ½ ± z √(n/4 + z²/4) / (n + z²): 0.5 ± 0.2634
        (10, 10, 0.7225, 1.0),
    ],
)
def test_wilson_interval(hits: int, draws: int, low: float, high: float) -> None:
    """Worked out by hand from Wilson's formula."""
    assert list(wilson(hits, draws)) == pytest.approx([low, high], abs=5e-5)
