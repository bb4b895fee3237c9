from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import pytest

from arc_flow_milp import solve_by_arc_flow
from brute_force import least_value
from cutplan.check import check_text
from cutplan.errors import NoPlanError
from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Lot, Paper
from cutplan.plan.proof import Status
from cutplan.render.documents.plan_document import plan_document, plan_text
from cutplan.scenario.read import parse_scenario
from cutplan.solve import solve
from random_rooms import MATCHES, STOCKS, random_room, random_small_job
from scenario_text import scenario_text

if TYPE_CHECKING:
    from arc_flow_milp import Answer
    from cutplan.plan.plan import Plan

SECONDS = 2.0
"""For a plan or a programme of HiGHS: the median small room takes a twentieth of that; then the bounds count."""


@pytest.mark.parametrize("seed", range(200))
def test_small_jobs_take_what_trying_everything_takes(seed: int) -> None:
    """Up to six pieces on any stock take exactly the least value that exhaustion finds, or have no plan."""
    job = random_small_job(seed)

    expected = least_value(job)

    if expected is None:
        assert_has_no_plan(job)
        return
    plan = judged_plan(job)
    assert (plan.value, plan.proof.bound, plan.status) == (expected, expected, Status.OPTIMAL)
    if job.has_sealed_rolls:
        assert plan.at_best is not None
        assert plan.at_best.value == plan.at_best.proof.bound == least_value(job, at_best=True)
    else:
        assert plan.at_best is None


@pytest.mark.parametrize("stock", STOCKS)
@pytest.mark.parametrize("match", MATCHES)
@pytest.mark.parametrize("seed", range(8))
def test_rooms_agree_with_an_independent_integer_programme(seed: int, match: str, stock: str) -> None:
    """In a small room of any match and stock both find the same optimum; a bound cut short crosses no value."""
    job = random_room(seed, match=match, stock=stock, most_columns=9)

    certain = solve_by_arc_flow(job, time_limit=SECONDS)

    if certain.bound is None:
        assert_has_no_plan(job)
        return
    plan = judged_plan(job, time_limit=SECONDS)
    assert_agree(plan.value, plan.proof.bound, certain)
    if plan.at_best is not None:
        at_best = solve_by_arc_flow(job, at_best=True, time_limit=SECONDS)
        assert_agree(plan.at_best.value, plan.at_best.proof.bound, at_best)


@pytest.mark.parametrize("stock", ["sealed", "mixed", "prices"])
@pytest.mark.parametrize("match", MATCHES)
def test_large_rooms_do_not_cross_an_independent_integer_programme(match: str, stock: str) -> None:
    """In a room of up to 60 columns the plan is proved, and what HiGHS knows after a second does not contradict it."""
    job = random_room(0, match=match, stock=stock, most_columns=60)

    plan = judged_plan(job)

    assert plan.status is Status.OPTIMAL
    assert_agree(plan.value, plan.proof.bound, solve_by_arc_flow(job, time_limit=1))


def test_certain_and_at_best_differ_where_the_lead_in_costs_a_roll() -> None:
    """Two 4.9 m pieces alike fill 9.9 m of a 10 m roll: two rolls are certain to do, one at best."""
    # Repeat 0.5 m: the second starts 5.0 m after the first, the span is 9.9 m; 10.0 − 0.5 = 9.5 m is certain.
    drop = Drop("1", Fraction(4900), Fraction(0), Fraction(0), Fraction(0), count=2)
    paper = Paper("invented", Pattern(Fraction(500), Fraction(0)), Fraction(10000))

    plan = judged_plan(Job(paper, (Lot("roll", Fraction(10000), count=None),), (drop,)))

    assert (plan.rolls_needed, plan.status) == (2, Status.OPTIMAL)
    assert plan.at_best is not None
    assert (plan.at_best.rolls, plan.at_best.status) == (1, Status.OPTIMAL)


def judged_plan(job: Job, time_limit: float = 10.0) -> Plan:
    """Return the plan for ``job`` after the independent checker has found nothing wrong with it or its proofs."""
    scenario = parse_scenario(scenario_text(job), "random.toml")
    plan = solve(scenario.job, time_limit=time_limit)

    assert scenario.job == job
    assert check_text(plan_text(plan_document(plan, scenario))).violations == ()
    assert plan.proof.bound <= plan.value
    assert (plan.status is Status.OPTIMAL) == (plan.proof.bound == plan.value)
    if plan.at_best is not None:
        assert plan.at_best.proof.bound <= plan.at_best.value <= plan.value
    return plan


def assert_has_no_plan(job: Job) -> None:
    """Fail unless the solver, too, says that no plan can exist."""
    with pytest.raises(NoPlanError):
        solve(job)


def assert_agree(value: Fraction, bound: Fraction, answer: Answer) -> None:
    """Fail when either side's bound lies above the other's value; where both are proved they are then equal."""
    assert answer.bound is not None
    assert answer.bound <= value
    assert answer.value is None or bound <= answer.value
