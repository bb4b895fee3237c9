"""Plans made at once, and the time limit: never without a plan, never with a bound above the truth."""

from __future__ import annotations

from fractions import Fraction
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from counted_work import time_by_work
from cutplan.check import check_text
from cutplan.check.stated.document import STOPS
from cutplan.errors import NoPlanError
from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Lot, Paper
from cutplan.plan.plan import TOO_MANY
from cutplan.plan.proof import Status
from cutplan.render.documents.plan_document import plan_document, plan_text
from cutplan.scenario.read import parse_scenario
from cutplan.solve import solve
from cutplan.solve.clock import Clock, TimeIsUp
from cutplan.solve.instance import scale
from cutplan.solve.layout import places_of
from cutplan.solve.ordering import order_cuts
from cutplan.solve.roll import graph
from cutplan.solve.search.haste import certificates_at_once, fill_at_once
from cutplan.solve.search.outcome import value_of
from random_rooms import MATCHES, STOCKS, random_room, random_small_job
from scenario_text import scenario_text
from test_special_stock import random_job

ROLL = Fraction(10050)

A_CALL = 0.3e-6
"""Seconds that a call or a return counts where a limit is to be kept by work, as long as one takes here."""


def all_different(count: int, repeat: int = 640) -> Job:
    """Return drops of 300–3000 mm that each have a length and a first motif of their own, on sealed rolls."""
    chance = Random(count)  # noqa: S311 - repeatable, nothing secret
    heights = chance.sample(range(30_000, 300_000), count)
    drops = tuple(
        Drop(
            f"{number}",
            Fraction(height, 100),
            Fraction(chance.randrange(100 * repeat), 100),
            Fraction(50),
            Fraction(50),
        )
        for number, height in enumerate(heights, start=1)
    )
    paper = Paper("invented", Pattern(Fraction(repeat), Fraction(0)), ROLL)
    return Job(paper, (Lot("roll", ROLL, count=None),), drops)


def assert_good(job: Job) -> None:
    """Assert that the plan made at once fits and cuts all, and that nothing it proves exceeds the best plan."""
    scaled = scale(job, certain=True)
    instance = scaled.instance
    try:
        best = solve(job)
    except NoPlanError:
        return
    least = int(best.value / scaled.money)
    for certificate in certificates_at_once(instance):
        assert certificate.bound <= least
    layouts = fill_at_once(instance)
    if layouts is None:
        # Rolls in hand may be enough for a better plan.
        assert any(roll.supply is not None for roll in instance.roll_types)
        return
    assert value_of(instance, layouts) >= least
    cut = [0] * len(instance.kinds)
    opened = [0] * len(instance.roll_types)
    for layout, times in layouts.items():
        assert places_of(instance, layout) is not None
        holds = instance.roll_types[layout.roll_type].holds
        assert holds is None or holds >= set(layout.kinds)
        opened[layout.roll_type] += times
        for kind in layout.kinds:
            cut[kind] += times
    assert cut == [kind.demand for kind in instance.kinds]
    assert all(
        roll.supply is None or used <= roll.supply for roll, used in zip(instance.roll_types, opened, strict=True)
    )


@given(seed=st.integers(0, 10**6), match=st.sampled_from(MATCHES), stock=st.sampled_from(STOCKS))
def test_a_plan_at_once_cuts_every_drop_of_a_room(seed: int, match: str, stock: str) -> None:
    """Every match and any stock: each layout fits its roll, and the bounds by length hold."""
    assert_good(random_room(seed, match=match, stock=stock, most_columns=14))


@given(seed=st.integers(0, 10**6))
def test_a_plan_at_once_cuts_every_drop_of_a_small_job(seed: int) -> None:
    """Rolls of one to three lots, some few, some dear."""
    assert_good(random_small_job(seed))


@given(seed=st.integers(0, 10**6), free=st.booleans())
def test_a_plan_at_once_keeps_to_special_stock(seed: int, free: bool) -> None:  # noqa: FBT001
    """Flaws, bolts in pieces, rolls foot first, offcuts and cut-outs."""
    assert_good(random_job(seed, free=free))


@pytest.mark.parametrize("job", [all_different(200), all_different(20, repeat=1)], ids=["all different", "tiny repeat"])
def test_no_time_limit_ends_without_a_plan(job: Job) -> None:
    """Even without any time there is a plan, judged good, whose bound lies within one roll in eight of it."""
    scenario = parse_scenario(scenario_text(job), "haste.toml")
    plan = solve(scenario.job, time_limit=0.0)
    assert plan.stopped == (None if plan.status is Status.OPTIMAL else "time limit")
    ordered = order_cuts(plan, clock=Clock(0.0))
    assert check_text(plan_text(plan_document(ordered, scenario))).violations == ()
    assert plan.proof.bound >= plan.value * 7 / 8 - 1


def test_a_time_limit_is_kept() -> None:
    """600 drops all different took 19 s where 1 s was allowed: now no step is longer than a fraction of a second.

    Time goes by with the work, so that it is the same on a busy machine. Half a second is allowed for the last step,
    and another for what grows with the file.
    """
    with time_by_work(A_CALL) as now:
        plan = order_cuts(solve(all_different(600), time_limit=1.0), clock=Clock(0.1))
        assert now() < 1.0 + 0.1 + 1.0
    assert plan.layouts


@pytest.mark.parametrize(("count", "seconds"), [(300, 0.0), (600, 1.0)])
def test_a_time_limit_is_kept_where_batches_have_prices(count: int, seconds: float) -> None:
    """600 drops all different on 6 walls took 34 s where 1 s was allowed, for 46 000 ways to share out the batches.

    Time goes by with the work. Half a second is allowed for the last step, and one for what grows with the file.
    """
    job = all_different(count)
    drops = tuple(replace(drop, wall=f"wall {number % 6}") for number, drop in enumerate(job.drops))
    lots = (Lot(f"lot {kind}", ROLL, None, count // 4, f"{kind % 6}", Fraction(40 + kind)) for kind in range(12))
    with time_by_work(A_CALL) as now:
        plan = solve(replace(job, lots=tuple(lots), drops=drops), time_limit=seconds)
        assert now() < seconds + 1.5
    assert plan.batches is not None
    assert set(plan.batches.of_walls) == {f"wall {number}" for number in range(6)}
    assert 0 < plan.proof.bound <= plan.value


def test_too_many_places_are_not_reckoned_with() -> None:
    """5 000 drops all different have 75 000 places in 5 000 windows: the plan is made at once, and says why."""
    plan = solve(all_different(5_000), time_limit=60.0)
    assert plan.stopped == TOO_MANY
    assert plan.value >= plan.proof.bound >= plan.value * 9 / 10
    assert plan.stopped in STOPS  # which the judge knows


def test_a_graph_is_not_begun_that_would_take_too_long() -> None:
    """20 drops with a repeat of 1 mm have 200 000 places in 20 windows, at least 0.4 s of work."""
    instance = scale(all_different(20, repeat=1), certain=True).instance
    with pytest.raises(TimeIsUp, match="time limit"):
        graph.graph_of(instance, Clock(0.1))


def test_an_order_stopped_by_the_clock_says_so() -> None:
    """Without time the order is as it comes, and no bound above 0 is claimed."""
    plan = solve(random_room(1, match="third", stock="measured", most_columns=30))
    stopped = order_cuts(plan, clock=Clock(0.0))
    assert stopped.order is not None
    assert stopped.stopped == "time limit" or stopped.order.is_proved


def test_time_that_one_does_not_take_is_left_to_the_others(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 12 s for three parts the first has 4; it takes 2, so the others share 10. The second takes too long."""
    now = 0.0
    monkeypatch.setattr("cutplan.solve.clock.time.monotonic", lambda: now)
    given = []
    for takes, seconds in Clock(12).shared_out([2, 11, 1]):
        given.append(seconds)
        now += takes

    assert given == [4, 5, 0]
