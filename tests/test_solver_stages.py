"""Every stage of the solver, and every fallback, on a job that needs it: it is reached, it decides, and it is right.

What the plan is worth is found a second time, by trying everything or by another integer programme; and the plan and
its proof are judged by the checker. Jobs are in whole numbers without trims, and small except where a stage serves
large ones only.
"""

from __future__ import annotations

import signal
import threading
import time
from collections import Counter
from fractions import Fraction
from itertools import islice, product
from random import Random
from typing import TYPE_CHECKING, Final

import numpy as np
import pytest
from ortools.linear_solver import pywraplp

from arc_flow_milp import solve_by_arc_flow
from brute_force import least_value
from cutplan.check import check_text
from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Lot, Paper
from cutplan.plan.proof import Status, TooFewRollsError
from cutplan.render.documents.plan_document import plan_document, plan_text
from cutplan.scenario.read import parse_scenario
from cutplan.solve import solve
from cutplan.solve.clock import Clock
from cutplan.solve.instance import DropKind, Instance, RollType, scale
from cutplan.solve.layout import Layout, places_of
from cutplan.solve.roll import filling, fullest
from cutplan.solve.roll.choice import rolls_of
from cutplan.solve.roll.fullest import DropsLeft, filled_rolls
from cutplan.solve.roll.network import WAITING
from cutplan.solve.search import bound, closing, cover, diving, likely_rolls, programme, purchase
from cutplan.solve.search import gap_search as search
from cutplan.solve.search.bound import relax
from cutplan.solve.search.certificate import certificates_by_rule, certify, nothing_proved, paper_taken
from cutplan.solve.search.diving import meet_bound
from cutplan.solve.search.gap_search import GapSearch
from cutplan.solve.search.greedy import fill_rolls, fill_with_corrections
from cutplan.solve.search.grouping import Grouping, group
from cutplan.solve.search.haste import fill_at_once
from cutplan.solve.search.likely_rolls import likely_plans
from cutplan.solve.search.outcome import unknown, value_of
from cutplan.solve.search.programme import LostFolderError, Programme, ProgrammeSolved
from cutplan.solve.search.refilling import refill
from cutplan.solve.search.rounding import round_and_fill, round_and_relax
from cutplan.solve.search.strategy import optimise, with_rolls_for_rest
from noted_stages import after_each, instead_of_cbc, instead_of_glop, stages_noted
from random_rooms import random_small_job
from scenario_text import scenario_text
from test_solver_work import triplets

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from cutplan.plan.plan import Plan
    from cutplan.solve.roll.network import Arc, Network
    from cutplan.solve.search.bound import Relaxation
    from cutplan.solve.search.greedy import Layouts
    from cutplan.solve.search.outcome import Outcome

AT_LEISURE: Final = 60.0
"""Seconds that no job here comes near: what ends the solving is a proof."""

SMALL: Final = 7
"""Up to so many pieces everything can be tried; beyond, HiGHS proves the least value."""


# --- One stage after another ------------------------------------------------------------------------------


def test_first_plan_decides_where_offcuts_hold_every_drop() -> None:
    """A plan that opens no roll can't be beaten, whatever the bound."""
    kept = Lot("kept", Fraction(40), Fraction(0), count=1, is_offcut=True)
    job = job_of(0, [(100, 0, 1)], [(15, 0, 2)], kept)

    outcome = unknown(scale(job, certain=True).instance)
    with pytest.MonkeyPatch.context() as patch:
        stages = stages_noted(patch)
        optimise(outcome, Clock(AT_LEISURE), ignore)

    assert stages == ["first plan"]
    assert (outcome.value, outcome.bound, outcome.is_proved) == (0, 0, True)
    assert solve(job).rolls_needed == 0


def test_share_of_a_roll_decides() -> None:
    """Four pieces of 9 fill a roll of 46, two of 13 do: two of 9 and one of 13 are priced at a whole roll together."""
    plan = decided_by("rule 1", job_of(10, [(46, 8, 3)], [(9, 6, 2), (13, 9, 1)]))

    assert plan.value == 1


def test_paper_taken_decides_where_shares_do_not() -> None:
    """26 + 11 + 18 is 55 of 57, but each loses at least 2 to the print before any other: no roll holds all three."""
    plan = decided_by("rule 2", job_of(7, [(57, 2, 3), (28, 6, 1)], [(26, 2, 1), (11, 2, 1), (18, 6, 1)]))

    assert plan.value == 2


def test_linear_programme_raises_the_bound_to_the_first_plan() -> None:
    """Neither rule proves three rolls for three pieces; the linear programme's prices do."""
    plan = decided_by("relaxation", job_of(12, [(21, 4, 3), (19, 11, 2), (12, 6, 2)], [(16, 3, 1), (2, 5, 2)]))

    assert (plan.rolls_needed, plan.proof.by_search) == (3, False)


@pytest.mark.parametrize("seed", range(40))
def test_steadied_prices_prove_what_the_linear_programme_would_prove_without(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The bound in whole rolls is the same, and the columns in use cut every drop, for none is replaced at last."""
    instance = house_of(Random(seed), kinds=12)  # noqa: S311 - repeatable, nothing secret
    plain = relaxed(instance)
    monkeypatch.setattr(bound, "MANY_KINDS", 0)
    steadied = relaxed(instance)
    cut = [sum(use * layout.counts.get(kind, 0) for layout, use in steadied.use.items()) for kind in range(12)]

    assert steadied.certificate.whole_bound == plain.certificate.whole_bound
    assert all(amount >= wanted.demand - 1e-6 for amount, wanted in zip(cut, instance.kinds, strict=True))


def test_rounding_betters_the_first_plan() -> None:
    """Filling the rolls one by one takes three, rounding what the linear programme says takes two."""
    job = job_of(10, [(37, 0, 5), (26, 4, 2), (31, 8, 5)], [(17, 0, 2), (4, 5, 1), (12, 4, 1), (2, 4, 1)])

    plan = decided_by("rounding", job)

    assert (first_value(job), plan.rolls_needed, plan.proof.by_search) == (3, 2, False)


def test_corrected_prices_better_the_plans_rounded(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 39 pieces more than 5 000 part-layouts may have part: with that limit, corrected prices are tried first."""
    monkeypatch.setattr(cover, "MOST_PATHS", 5_000)
    drops = [
        *[(81, 6, 2), (99, 6, 1), (92, 0, 1), (113, 9, 1), (101, 6, 1), (96, 6, 1), (104, 0, 1), (118, 0, 1)],
        *[(119, 3, 3), (84, 0, 1), (102, 9, 1), (100, 5, 3), (104, 4, 1), (94, 2, 1), (108, 6, 3), (95, 1, 2)],
        *[(94, 7, 1), (98, 5, 1), (91, 8, 1), (119, 0, 3), (120, 6, 3), (113, 8, 3), (100, 0, 3)],
    ]

    plan = decided_by("corrections", job_of(10, [(400, 0, 39)], drops))

    assert (plan.rolls_needed, plan.proof.by_search) == (11, False)


def test_diving_betters_the_plans_with_corrected_prices() -> None:
    """Twelve passes with corrected prices end at eight rolls for 42 pieces; cutting the most used columns at seven."""
    drops = [
        *[(37, 1, 3), (84, 1, 3), (57, 3, 1), (99, 3, 1), (77, 4, 1), (69, 3, 1), (35, 2, 1), (80, 0, 2)],
        *[(37, 3, 3), (28, 3, 1), (54, 2, 1), (78, 0, 2), (55, 4, 2), (60, 3, 1), (86, 2, 1), (34, 2, 1)],
        *[(28, 1, 1), (94, 0, 1), (97, 0, 1), (83, 0, 1), (86, 1, 2), (75, 0, 2), (51, 1, 1), (93, 0, 2)],
        *[(49, 3, 1), (74, 0, 1), (77, 2, 1), (76, 2, 3)],
    ]

    plan = decided_by("round and relax", job_of(5, [(400, 0, 42)], drops))

    assert (plan.rolls_needed, plan.proof.by_search) == (7, False)


def test_listed_layouts_give_the_plan_that_meets_the_bound() -> None:
    """What plans by rule cut from three rolls, an integer programme over the layouts listed cuts from two."""
    job = needs_a_search()

    plan = decided_by("list", job)

    assert (first_value(job), plan.rolls_needed, plan.proof.by_search) == (3, 2, True)


def test_listed_layouts_prove_that_the_bound_cannot_be_met() -> None:
    """No prices prove three rolls for eight pieces; that no layouts listed make a plan of two proves it."""
    drops = [(6, 6, 3), (5, 6, 3), (6, 3, 2)]

    plan = decided_by("list", job_of(7, [(29, 2, 8), (23, 4, 2), (29, 4, 1)], drops))

    assert (plan.rolls_needed, plan.proof.by_search) == (3, True)
    assert proved_by_prices(plan) == 2


def test_steps_decide_where_layouts_are_too_many_to_list(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 30 pieces, 4 to 14 to a roll, more than 20 000 part-layouts remain after every cheaper stage has failed."""
    monkeypatch.setattr(cover, "MOST_PATHS", 20_000)
    drops = [
        *[(94, 4, 3), (89, 3, 1), (89, 9, 2), (75, 1, 2), (28, 9, 3), (54, 7, 3), (34, 3, 1), (89, 5, 1), (89, 7, 3)],
        *[(41, 4, 1), (53, 9, 1), (37, 8, 2), (88, 3, 1), (57, 8, 1), (53, 7, 1), (70, 9, 1), (57, 8, 1), (62, 5, 2)],
    ]

    plan, stages = followed(job_of(10, [(400, 0, 30)], drops))

    assert list(dict.fromkeys(stages)) == [
        *(
            "first plan",
            "rule 1",
            "rule 2",
            "relaxation",
            "rounding",
            "too many to list",
            "corrections",
            "round and relax",
            "steps",
        )
    ]
    assert (plan.rolls_needed, plan.proof.by_search) == (5, True)


@pytest.mark.parametrize("seed", [2, 4, 5, 6, 7])
def test_a_plan_is_found_in_layouts_that_hardly_waste_anything(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 24 drops all layouts are 301 to 1 208, and more than may be listed here; a plan is found in 164 of them."""
    rng = Random(seed)  # noqa: S311 - repeatable, nothing secret
    kinds = tuple(DropKind(0, length, 1) for length in sorted(rng.sample(range(10, 80), 24)))
    instance = Instance(0, 0, kinds, (RollType(100, 0, None, 1),))
    certificate = relaxed(instance).certificate
    monkeypatch.setattr(search, "MOST_LAYOUTS", 164)
    stages = stages_noted(monkeypatch)

    seeking = GapSearch(instance, rolls_of(instance), certificate)
    is_small = seeking.is_small(certificate.whole_bound)
    found = seeking.of_few_layouts(certificate.whole_bound, Clock(AT_LEISURE))

    assert not is_small
    assert stages[:2] == ["too many to list", "list"]
    assert found is not None
    assert_cuts_every_drop(instance, found)
    assert value_of(instance, found) == certificate.whole_bound


# --- The search by itself ---------------------------------------------------------------------------------


@pytest.mark.parametrize("way", ["list", "list, any plan", "steps"])
@pytest.mark.parametrize("seed", range(0, 200, 8))
def test_search_finds_the_least_value_and_nothing_below(seed: int, way: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """With nothing known beforehand, either integer programme finds what trying everything finds, and no less."""
    job = random_small_job(seed)
    expected = least_value(job)
    scaled = scale(job, certain=True)
    if way == "steps":
        monkeypatch.setattr(cover, "MOST_PATHS", 0)
    monkeypatch.setattr(cover, "MANY_LAYOUTS", 0 if way == "list, any plan" else cover.MOST_LAYOUTS)
    target = 10**6 if expected is None else int(expected / scaled.money)

    seeking = GapSearch(scaled.instance, rolls_of(scaled.instance), nothing_proved(scaled.instance))
    found = seeking.plan_of(target, Clock(AT_LEISURE), is_bound=expected is not None)
    below = seeking.plan_of(target - 1, Clock(AT_LEISURE), is_bound=False)
    above = seeking.plan_of(10 * target, Clock(AT_LEISURE), is_bound=False)

    assert (below.layouts, below.is_decided) == (None, True)
    for answer in (found, above):
        assert answer.is_decided
        assert (answer.layouts is None) == (expected is None)
        if answer.layouts is not None:
            assert_cuts_every_drop(scaled.instance, answer.layouts)
            assert value_of(scaled.instance, answer.layouts) == target


@pytest.mark.parametrize("seed", [1, 6, 9])
def test_search_from_far_above_ends_at_a_value_below_which_there_is_none(seed: int) -> None:
    """Of rolls of three lengths at three prices the first plan found is rarely the cheapest: the search goes on."""
    instance = of_three_prices(seed)

    seeking = GapSearch(instance, rolls_of(instance), nothing_proved(instance))
    found = seeking.plan_of(10_000, Clock(AT_LEISURE), is_bound=False)
    assert found.layouts is not None
    below = seeking.plan_of(value_of(instance, found.layouts) - 1, Clock(AT_LEISURE), is_bound=False)

    assert found.is_decided
    assert (below.layouts, below.is_decided) == (None, True)


@pytest.mark.parametrize("seed", range(0, 60, 3))
def test_list_holds_every_layout_that_is_worth_enough_and_that_no_other_holds(seed: int) -> None:
    """Walking every path of the steps finds the same sets of drops, most valuable rolls or all of them."""
    instance = scale(random_small_job(seed), certain=True).instance
    rng = Random(seed)  # noqa: S311 - repeatable
    prices = [rng.randint(0, 9) for _ in instance.kinds]
    for spare in (0, 4, 60):
        least = [max(0, most - spare) for most in rolls_of(instance).worth(prices).by_type]
        for network in rolls_of(instance).networks(prices, least):
            listed = cover.layouts_of(network, instance, prices, least[network.roll_type])
            walked = walked_layouts(network, instance, prices, least[network.roll_type])
            less_one = {key[:place] + key[place + 1 :] for key in walked for place in range(len(key))}

            assert sorted(tuple(sorted(layout.kinds)) for layout in listed) == sorted(walked - less_one)


def test_list_that_is_too_long_is_given_up_before_much_of_the_roll_was_looked_along(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Sixty lengths, each with a print of its own: hundreds of places are passed for every piece that may come next."""
    drops = tuple(DropKind(place, 200 + 3 * place, 1) for place in range(60))
    instance = Instance(61, 0, drops, (RollType(1005, None, None, 1),))
    walked: list[int] = []
    soonest = cover._soonest  # noqa: SLF001 - what it looks along is counted

    def counted(node: int, leaving: dict[int, list[Arc]]) -> tuple[list[tuple[int, int]], int]:
        found = soonest(node, leaving)
        walked.append(found[1])
        return found

    monkeypatch.setattr(cover, "_soonest", counted)
    monkeypatch.setattr(cover, "MOST_PATHS", 5_000)
    rolls = rolls_of(instance)
    (network,) = rolls.networks([1] * 60, [0])

    with pytest.raises(cover.TooManyError):
        cover.layouts_of(network, instance, [1] * 60, 0)
    assert sum(walked) <= 5_000 + max(walked)


def walked_layouts(network: Network, instance: Instance, prices: list[int], least: int) -> set[tuple[int, ...]]:
    """Return the drops of every path that cuts none too often and is worth ``least``."""
    leaving: dict[int, list[Arc]] = {}
    for arc in network.arcs:
        leaving.setdefault(arc.tail, []).append(arc)
    found: set[tuple[int, ...]] = set()
    begun: set[tuple[int, tuple[int, ...]]] = {(network.first, ())}
    while begun:
        node, kinds = begun.pop()
        if node == network.last and sum(prices[kind] for kind in kinds) >= least:
            found.add(kinds)
        for arc in leaving.get(node, []):
            longer = kinds if arc.kind == WAITING else tuple(sorted((*kinds, arc.kind)))
            if all(longer.count(kind) <= instance.kinds[kind].demand for kind in set(longer)):
                begun.add((arc.head, longer))
    return found


@pytest.mark.parametrize("seed", range(0, 40, 4))
def test_prices_leave_nothing_to_waste_below_their_bound_and_something_at_it(seed: int) -> None:
    """At one less than the bound rolls are worth less than all drops; at the bound they are worth as much or more."""
    instance = scale(random_small_job(seed), certain=True).instance
    for certificate in certificates_by_rule(instance, rolls_of(instance)):
        assert (
            certificate.left_at(instance, certificate.whole_bound - 1)
            < 0
            <= certificate.left_at(instance, certificate.whole_bound)
        )


@pytest.mark.parametrize("way", ["list", "steps"])
@pytest.mark.parametrize("seed", range(0, 120, 24))
def test_prices_leave_no_step_out_that_a_plan_of_least_value_takes(
    seed: int, way: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With steps thinned at the prices of either rule the search finds what trying everything finds."""
    job = random_small_job(seed)
    expected, scaled = least_value(job), scale(job, certain=True)
    if way == "steps":
        monkeypatch.setattr(cover, "MOST_PATHS", 0)
    if expected is None:
        return
    target = int(expected / scaled.money)

    for certificate in certificates_by_rule(scaled.instance, rolls_of(scaled.instance)):
        found = GapSearch(scaled.instance, rolls_of(scaled.instance), certificate).plan_of(
            target, Clock(AT_LEISURE), is_bound=False
        )
        assert found.layouts is not None
        assert value_of(scaled.instance, found.layouts) == target


def test_prices_leave_out_no_layout_that_a_plan_of_least_value_takes() -> None:
    """At the shares of a roll many layouts are left out as too poor; six rolls hold the drops all the same."""
    kinds = ((0, 36, 2), (7, 38, 1), (0, 44, 3), (7, 49, 2), (0, 37, 3), (4, 15, 2), (4, 5, 1))
    instance = Instance(10, 0, tuple(DropKind(*kind) for kind in kinds), (RollType(90, None, None, 1),))
    shares = next(certificates_by_rule(instance, rolls_of(instance)))

    found = GapSearch(instance, rolls_of(instance), shares).plan_of(6, Clock(AT_LEISURE), is_bound=False)
    assert found.layouts is not None
    assert_cuts_every_drop(instance, found.layouts)
    assert value_of(instance, found.layouts) == 6


def test_prices_too_high_by_any_factor_prove_the_same() -> None:
    """Thrice the prices make every roll worth thrice as much: the scale is raised, and the bound stays."""
    instance = Instance(10, 0, (DropKind(0, 30, 5), DropKind(4, 20, 4)), (RollType(90, None, None, 1),))
    prices = paper_taken(instance)
    (most,) = rolls_of(instance).worth(prices).by_type

    fair, dear = (
        certify(instance, prices, [most], most),
        certify(instance, [3 * price for price in prices], [3 * most], most),
    )
    assert fair.bound == dear.bound > 1


def test_search_finds_nothing_below_the_bound_of_its_prices() -> None:
    """At prices that prove two rolls no step is left for a plan of one."""
    instance = scale(needs_a_search(), certain=True).instance
    outcome = unknown(instance)
    optimise(outcome, Clock(AT_LEISURE), ignore)

    seeking = GapSearch(instance, rolls_of(instance), outcome.certificate)
    answer = seeking.plan_of(1, Clock(AT_LEISURE), is_bound=False)

    assert outcome.certificate.whole_bound == 2
    assert (answer.layouts, answer.is_decided) == (None, True)


def test_search_lists_a_layout_behind_a_drop_that_is_cut_already() -> None:
    """Of a roll of 25 the 9 come first, and the 11 from 10 to 21, where a second 9, not wanted, could begin as well.

    The other way round the 9 would begin at 20, and end at 29.
    """
    instance = Instance(10, 0, (DropKind(0, 9, 1), DropKind(0, 11, 1)), (RollType(25, 0, 2, 1),))

    seeking = GapSearch(instance, rolls_of(instance), nothing_proved(instance))

    assert seeking.plan_of(1, Clock(AT_LEISURE), is_bound=True).layouts is not None


def test_search_asked_for_more_than_before_takes_up_what_it_had_left_out() -> None:
    """No plan has the two rolls that prices prove; three hold the eight pieces, of layouts too poor for two."""
    job = job_of(7, [(29, 2, 8), (23, 4, 2), (29, 4, 1)], [(6, 6, 3), (5, 6, 3), (6, 3, 2)])
    instance = scale(job, certain=True).instance
    outcome = unknown(instance)
    optimise(outcome, Clock(AT_LEISURE), ignore)
    seeking = GapSearch(instance, rolls_of(instance), outcome.certificate)

    assert seeking.plan_of(2, Clock(AT_LEISURE), is_bound=True).layouts is None
    found = seeking.plan_of(3, Clock(AT_LEISURE), is_bound=False)
    assert found.layouts is not None
    assert value_of(instance, found.layouts) == 3


@pytest.mark.parametrize("steps", [0, 100])
def test_any_plan_will_do_at_the_bound_and_nowhere_above_it(steps: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Above the bound the least is asked for: what is found there is called the best."""
    monkeypatch.setattr(purchase, "MOST_PURCHASES", 0)
    monkeypatch.setattr(closing, "STEPS", steps)  # up to this gap the bound itself is asked for
    outcome = unknown(of_three_prices(3))
    asked: list[tuple[bool, bool]] = []
    plan_of = GapSearch.plan_of

    def asking(seeking: GapSearch, target: int, clock: Clock, *, is_bound: bool) -> ProgrammeSolved:
        asked.append((is_bound, target == outcome.bound))
        return plan_of(seeking, target, clock, is_bound=is_bound)

    monkeypatch.setattr(GapSearch, "plan_of", asking)
    optimise(outcome, Clock(AT_LEISURE), ignore)

    assert outcome.is_proved
    assert set(asked) == {(steps > 0, steps > 0)}


def test_one_price_unit_proves_a_roll() -> None:
    """The least worth that there can be is more than nothing, and rolls are whole."""
    instance = Instance(10, 0, (DropKind(0, 30, 1),), (RollType(90, None, None, 1),))

    assert certify(instance, [1], [1], 1).bound == 1


def test_where_nothing_is_proved_rolls_may_waste_all_that_they_are_worth() -> None:
    """Three rolls waste three, however many there are; and no part of all worth can be told."""
    instance = Instance(10, 0, (DropKind(0, 30, 1),), (RollType(90, None, 5, 1),))
    nothing = nothing_proved(instance)

    assert nothing.bound == 0
    assert nothing.left_at(instance, 3) == 3
    assert nothing.waste_at(instance, 3) == float("inf")


@pytest.mark.parametrize("limit", ["MOST_PATHS", "MOST_LAYOUTS"])
def test_either_limit_of_the_list_leads_to_steps(limit: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where no layout may be listed, be it a whole one or its beginning, steps find the same two rolls."""
    monkeypatch.setattr(cover if limit == "MOST_PATHS" else search, limit, 0)
    # The stages before it would do for a job so small.
    monkeypatch.setattr(closing, "PASSES", 0)
    monkeypatch.setattr(closing, "round_and_relax", lambda *_: None)

    plan = decided_by("steps", needs_a_search())

    assert plan.value == 2


# --- Grouped kinds ----------------------------------------------------------------------------------------


def test_last_drops_are_handed_out_tightest_first_where_hanging_order_fails() -> None:
    """In hanging order the longest of a group would come last on its roll, where there is no room; another one fits."""
    job = job_of(7, [(22, 2, 3), (17, 1, 2), (14, 1, 1)], [(2, 3, 1), (2, 4, 1), (7, 4, 1)])

    with pytest.MonkeyPatch.context() as patch:
        ways: list[tuple[bool, bool]] = []
        after_each(patch, Grouping, "_expand", lambda full, given: ways.append((given["tightest_first"], bool(full))))
        plan = decided_by("rule 1", job)

    assert ways == [(False, False), (True, True)]
    assert plan.value == 1


def test_kinds_are_planned_one_by_one_where_a_last_drop_is_too_long() -> None:
    """The grouped plan proves four rolls and can't be handed out; a first plan of the kinds themselves takes four."""
    job = job_of(12, [(50, 10, 7), (32, 7, 1)], [(8, 4, 1), (35, 9, 3), (11, 4, 3)])

    plan, stages = followed(job)

    assert stages == ["first plan", "rule 1", "not handed out", "first plan"]
    assert plan.value == 4


def test_kinds_planned_one_by_one_may_need_a_roll_more() -> None:
    """Grouped, four pieces would take two rolls; the linear programme proves three for the kinds themselves."""
    plan, stages = followed(job_of(7, [(45, 4, 4)], [(22, 6, 1), (19, 5, 2), (17, 5, 1)]))

    assert stages == [*("first plan", "rule 1", "not handed out", "first plan", "rule 1", "rule 2", "relaxation")]
    assert plan.value == 3


# --- Few rolls, dear rolls --------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(40))
def test_what_groups_leave_over_is_cut_from_more_rolls(seed: int) -> None:
    """Handed out in part, a plan for groups holds every drop but those counted as left; with more rolls, all."""
    instance = house_of(Random(seed), kinds=20)  # noqa: S311 - repeatable, nothing secret
    grouping = group(instance)
    outcome = unknown(grouping.grouped)
    optimise(outcome, Clock(0.0), ignore)
    assert outcome.layouts is not None

    in_part, left = grouping.expand_in_part(outcome.layouts)
    whole = with_rolls_for_rest(grouping, outcome.layouts)

    assert whole is not None
    assert_cuts_every_drop(instance, whole)
    cut = [kind.demand - number for kind, number in zip(instance.kinds, left, strict=True)]
    assert_cuts_every_drop(instance.with_demands(cut, [None]), in_part)
    assert any(left) == (grouping.expand(outcome.layouts) is None)


@pytest.mark.parametrize("seed", range(20))
def test_wasteful_rolls_filled_anew_hold_the_same_drops(seed: int) -> None:
    """Of a plan with one drop on each roll some are saved, and every drop is still cut."""
    instance = house_of(Random(seed), kinds=12)  # noqa: S311 - repeatable, nothing secret
    outcome = unknown(instance)
    outcome.offer({Layout(0, (number,)): kind.demand for number, kind in enumerate(instance.kinds)})
    before = outcome.value

    refill(outcome, Clock(AT_LEISURE), optimise)

    assert outcome.layouts is not None
    assert outcome.value < before
    assert_cuts_every_drop(instance, outcome.layouts)


def test_special_stock_is_not_filled_anew() -> None:
    """Where rolls differ in price, saving one says nothing of the cost."""
    types = (RollType(90, None, 2, 3), RollType(90, None, None, 5))
    outcome = unknown(Instance(10, 0, (DropKind(0, 20, 4),), types))
    outcome.offer({Layout(1, (0,)): 4})

    refill(outcome, Clock(AT_LEISURE), optimise)

    assert outcome.layouts == {Layout(1, (0,)): 4}


def test_rolls_in_hand_are_searched_where_filling_them_runs_out() -> None:
    """Three rolls are just enough for six pieces, and filling one after another leaves a piece over."""
    job = job_of(7, [(20, 0, 3)], [(8, 2, 1), (6, 0, 1), (8, 5, 3), (6, 1, 1)])

    plan, stages = followed(job)

    # Filled once in groups and once kind by kind.
    assert stages[:3] == ["first plan", "first plan", "rolls in hand"]
    assert first_value(job) is None
    assert plan.value == 3


def test_no_plan_is_made_where_the_supply_runs_out() -> None:
    """With two rolls where three are needed, no stage that makes plans offers one, and none of them fails."""
    instance = scale(job_of(7, [(20, 0, 2)], [(8, 2, 1), (6, 0, 1), (8, 5, 3), (6, 1, 1)]), certain=True).instance
    enough = scale(job_of(7, [(20, 0, 6)], [(8, 2, 1), (6, 0, 1), (8, 5, 3), (6, 1, 1)]), certain=True).instance
    rolls = rolls_of(instance)
    prices = np.array([kind.length for kind in instance.kinds], dtype=np.int64)
    relaxation = relaxed(enough)

    assert fill_rolls(instance, rolls, prices, [kind.demand for kind in instance.kinds], [2]) is None
    assert list(fill_with_corrections(instance, rolls, prices, 3)) == []
    assert list(round_and_fill(instance, rolls, relaxation)) == []
    assert round_and_relax(instance, rolls, relaxation, Clock(AT_LEISURE)) is None


def test_drop_longer_than_every_roll_is_proof_that_they_are_too_few() -> None:
    """No time is needed to see that a piece of 60 is not on rolls of 50."""
    with pytest.raises(TooFewRollsError) as caught:
        solve(job_of(10, [(50, 0, 3)], [(60, 0, 1)]))

    assert caught.value.is_proved


def test_premium_of_a_scarce_roll_proves_the_bound() -> None:
    """One roll suits better than all others, which its premium allows for: three rolls for four pieces."""
    plan = decided_by("relaxation", job_of(12, [(23, 8, 4), (19, 1, 1)], [(3, 9, 3), (5, 10, 1)]))

    assert plan.value == 3
    assert plan.proof.prices is not None
    assert list(plan.proof.prices.premiums) == ["B"]


@pytest.mark.parametrize("most_purchases", [0, 1000])
@pytest.mark.parametrize(
    ("numbers", "cost"),
    [
        ((3, [(55, 2, 3, 7), (27, 1, 1, 1)], [(4, 1, 2), (23, 0, 1)]), 7),
        ((12, [(49, 3, 3, 5), (49, 10, 3, 2), (38, 2, 1, 1)], [(3, 0, 1), (13, 4, 1), (28, 2, 1)]), 3),
        ((6, [(35, 2, 3, 3), (28, 2, 2, 3), (34, 1, 2, 5)], [(2, 4, 2), (5, 4, 1)]), 3),
    ],
)
def test_lots_at_several_prices_are_proved_cheapest(
    numbers: tuple[int, list[tuple[int, ...]], list[tuple[int, int, int]]],
    cost: int,
    most_purchases: int,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Purchases tried from the cheapest on, or else a search for the cost, close the gap that prices leave."""
    monkeypatch.setattr(purchase, "MOST_PURCHASES", most_purchases)

    plan, stages = followed(job_of(*numbers))

    assert (int(plan.value), plan.proof.by_search) == (cost, True)
    assert ("purchases" in stages) == (most_purchases > 0)
    assert ("list" in stages) == (most_purchases == 0)


def test_rolls_that_cost_nothing_and_never_run_out_leave_the_proof_to_the_others() -> None:
    """At either rule's prices a roll for nothing is worth something, and no premium covers endless rolls."""
    # The piece of 20 needs the roll at 5; the one of 8 may come from either.
    paper = Paper("invented", Pattern(Fraction(0), Fraction(0)), Fraction(30))
    lots = (
        Lot("A", Fraction(30), None, None, price=Fraction(5)),
        Lot("B", Fraction(10), None, None, price=Fraction(0)),
    )
    job = Job(paper, lots, (drop_of("1", 8, 0, 1), drop_of("2", 20, 0, 1)))

    outcome = unknown(scale(job, certain=True).instance)
    bounds: list[int] = []
    optimise(outcome, Clock(AT_LEISURE), lambda known: bounds.append(known.bound))

    assert bounds[:3] == [0, 0, 0]
    assert (outcome.value, outcome.bound) == (1, 1)  # in units of 5, the only price there is
    assert least_value(job) == 5


# --- A free match on whole rolls --------------------------------------------------------------------------


def test_longest_drop_that_fits_first_decides_a_room() -> None:
    """Three of 30 leave 10 of a roll of 100, and one of 9 fits beside them: two rolls, and lengths prove it."""
    plan = decided_by("filling 1", job_of(0, [(100, 0, 9)], [(30, 0, 6), (9, 0, 2)]))

    assert plan.value == 2


def test_rolls_as_full_as_can_be_decide_where_the_longest_first_waste() -> None:
    """50 + 30 leaves 20 of 100, which 50 + 25 + 25 fills, and 30 + 35 + 35 too."""
    plan = decided_by("filling 2", job_of(0, [(100, 0, 9)], [(50, 0, 1), (35, 0, 2), (30, 0, 1), (25, 0, 2)]))

    assert plan.value == 2


def test_wasting_a_little_of_a_roll_decides_where_as_full_as_can_be_takes_one_more() -> None:
    """50 + 25 + 25 is full and leaves 45 three times; 50 + 45 wastes the 5 to spare, 45 + 30 + 25 fills two more."""
    plan = decided_by("filling 4", job_of(0, [(100, 0, 9)], [(50, 0, 1), (45, 0, 3), (30, 0, 2), (25, 0, 2)]))

    assert plan.value == 3


@pytest.mark.parametrize("seed", range(60))
def test_every_filling_cuts_every_drop_from_rolls_of_any_lengths(seed: int) -> None:
    """Of two lots of different lengths, of which the first may run out, each plan is one that can be cut."""
    rng = Random(seed)  # noqa: S311 - repeatable, nothing secret
    kinds = tuple(DropKind(0, length, rng.randint(1, 6)) for length in rng.sample(range(3, 40), rng.randint(1, 9)))
    types = (RollType(60, 0, rng.choice([1, 3, 50]), 1), RollType(rng.choice([41, 90]), 0, None, 1))
    instance = Instance(0, 0, kinds, types)

    plans = list(filled_rolls(instance, 3, Clock(AT_LEISURE)))

    assert len(plans) == fullest.PASSES + 1
    for layouts in plans:
        assert_cuts_every_drop(instance, layouts)


@pytest.mark.parametrize("seed", range(30))
def test_each_roll_is_filled_as_full_as_any_choice_round_the_longest_drop(seed: int) -> None:
    """No choice of the drops left that holds the longest leaves less of a roll, the first or a later one."""
    rng = Random(seed)  # noqa: S311 - repeatable, nothing secret
    kinds = tuple(DropKind(0, length, rng.randint(1, 4)) for length in rng.sample(range(11, 60), 6))
    instance = Instance(0, 0, kinds, (RollType(100, 0, None, 1),))

    for layouts in islice(filled_rolls(instance, 0, Clock(AT_LEISURE)), 1, None):
        left = Counter({kind.length: kind.demand for kind in kinds})
        for layout, times in layouts.items():
            longest = max(length for length, number in left.items() if number)
            totals = {longest}
            for length in (left - Counter([longest])).elements():
                totals |= {total + length for total in totals if total + length <= 100}
            cut = Counter(kinds[kind].length for kind in layout.kinds)
            assert sum(cut.elements()) == max(totals)
            left -= Counter({length: number * times for length, number in cut.items()})


def test_no_filling_is_made_where_whole_rolls_of_one_price_run_out() -> None:
    """Three pieces of 60 need three rolls of 100, and there are two."""
    instance = Instance(0, 0, (DropKind(0, 60, 3),), (RollType(100, 0, 2, 1),))

    assert list(filled_rolls(instance, 3, Clock(AT_LEISURE))) == []


def test_likely_rolls_are_settled_where_no_filling_leaves_nothing_over() -> None:
    """Either filling leaves something over of the last but one of six rolls that 18 drops can fill to the end."""
    plan = decided_by("likely 1", triplets(Random("triplets 18 5"), 18))  # noqa: S311 - repeatable, nothing secret

    assert (plan.rolls_needed, plan.proof.by_search) == (6, False)


def test_full_rolls_decide_where_no_likely_ones_go_together(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same drops, without a try at the likeliest rolls."""
    monkeypatch.setattr(likely_rolls, "TRIES", 0)
    plan = decided_by("full rolls", triplets(Random("triplets 18 5"), 18))  # noqa: S311 - repeatable, nothing secret

    assert (plan.rolls_needed, plan.proof.by_search) == (6, False)


def test_full_rolls_prove_a_roll_more_where_they_cannot_all_be_full() -> None:
    """Three rolls would be full: only 68 + 16 + 16, 42 + 42 + 16 and 42 + 26 + 16 + 16 fill one, without a 52 or 38."""
    wanted = [(68, 0, 1), (52, 0, 1), (42, 0, 2), (38, 0, 1), (26, 0, 1), (16, 0, 2)]
    plan = decided_by("full rolls", job_of(0, [(100, 0, 9)], wanted))

    assert (plan.rolls_needed, plan.proof.by_search) == (4, True)


@pytest.mark.parametrize("seed", range(30))
def test_every_choice_that_fills_a_roll_is_listed_once(seed: int) -> None:
    """The list is what trying every number of each drop finds, whether nothing may be wasted or a few units."""
    rng = Random(seed)  # noqa: S311 - repeatable, nothing secret
    waste = seed % 3
    kinds = tuple(DropKind(0, length, rng.randint(1, 3)) for length in rng.sample(range(5, 40), 6))
    instance = Instance(0, 0, kinds, (RollType(60, 0, None, 1),))
    numbers = product(*(range(kind.demand + 1) for kind in kinds))
    taken = ((n, sum(kind.length * count for kind, count in zip(kinds, n, strict=True))) for n in numbers)
    filling = [n for n, length in taken if 60 - waste <= length <= 60]

    listed = DropsLeft(instance, seed, 1).all_filling(60, waste, Clock(AT_LEISURE))

    assert sorted(tuple(chosen.count(kind) for kind in range(6)) for chosen in listed) == filling


@pytest.mark.parametrize("most_listed", [0, fullest.MOST_LISTED])
@pytest.mark.parametrize("seed", range(4))
def test_likely_rolls_are_full_and_hold_every_drop(
    seed: int, most_listed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of 60 rolls are settled until 30 drops are left, whose choices are listed anew, of any number or of four."""
    monkeypatch.setattr(likely_rolls, "LAST", 30)
    monkeypatch.setattr(fullest, "MOST_LISTED", most_listed)
    instance = scale(triplets(Random(f"triplets 60 {seed}"), 60), certain=True).instance  # noqa: S311 - repeatable, nothing secret

    layouts = next(likely_plans(instance, 20, Clock(AT_LEISURE)))

    assert_cuts_every_drop(instance, layouts)
    assert value_of(instance, layouts) == 20


def test_likely_rolls_hold_drops_alike_and_any_number_of_them() -> None:
    """Three rolls of 100 are full of 60 + 40, of 25 four times, and of 20 five times or with others."""
    kinds = tuple(DropKind(0, length, demand) for length, demand in ((60, 1), (40, 1), (25, 4), (20, 5)))
    instance = Instance(0, 0, kinds, (RollType(100, 0, 3, 1),))

    layouts = next(likely_plans(instance, 3, Clock(AT_LEISURE)))

    assert_cuts_every_drop(instance, layouts)
    assert value_of(instance, layouts) == 3


@pytest.mark.parametrize(("length", "supply"), [(50, 1), (45, None)])
def test_no_roll_is_likely_where_there_are_too_few_or_none_can_be_full(length: int, supply: int | None) -> None:
    """Two rolls of 100 hold four of 50, of which there is one; two of 45 leave something over."""
    instance = Instance(0, 0, (DropKind(0, length, 4),), (RollType(100, 0, supply, 1),))

    assert list(likely_plans(instance, 2, Clock(AT_LEISURE))) == []


def test_no_try_at_likely_rolls_is_begun_without_time_for_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """With no part of the time for tries there is none, though two of 50 fill a roll of 100."""
    instance = Instance(0, 0, (DropKind(0, 50, 4),), (RollType(100, 0, None, 1),))

    assert len(list(likely_plans(instance, 2, Clock(AT_LEISURE)))) == likely_rolls.LAST_TRIES
    monkeypatch.setattr(likely_rolls, "FOR_TRIES", 0)
    assert list(likely_plans(instance, 2, Clock(AT_LEISURE))) == []


@pytest.mark.parametrize("most_ways", [0, diving.MOST_WAYS])
def test_rolls_are_settled_as_long_as_the_others_hold_the_rest(monkeypatch: pytest.MonkeyPatch, most_ways: int) -> None:
    """60 triplets fill 20 rolls, found by linear programmes to the last drop, or the last drops by whole numbers."""
    monkeypatch.setattr(diving, "MOST_WAYS", most_ways)
    instance = scale(triplets(Random("triplets 60 0"), 60), certain=True).instance  # noqa: S311 - repeatable, nothing secret
    outcome = begun(instance, bound=20, supply=30)

    for _ in meet_bound(outcome, outcome.layouts or {}, diving.FIRST, Clock(AT_LEISURE)):
        if outcome.is_proved:
            break

    assert outcome.layouts is not None
    assert_cuts_every_drop(instance, outcome.layouts)
    assert outcome.value == outcome.bound == 20


def test_rolls_that_cannot_hold_the_rest_raise_the_bound() -> None:
    """Of 100, no two of 51 share a roll: two bounds too low are raised to 5 before anything is settled."""
    instance = Instance(0, 0, (DropKind(0, 51, 5),), (RollType(100, 0, None, 1),))
    outcome = begun(instance, bound=3, supply=None)

    next(meet_bound(outcome, outcome.layouts or {}, diving.FIRST, Clock(AT_LEISURE)))

    assert (outcome.bound, outcome.by_search, outcome.is_proved) == (5, False, True)


# --- A free match on a grid coarser than the unit ---------------------------------------------------------


def test_what_rounding_up_left_room_for_is_taken_too() -> None:
    """10.001 m and 10 m fill a roll of 20.001 m; in cells of 2 mm, rounded up, they would not fit together."""
    job = job_of(0, [(20_001, 0, 2)], [(10_001, 0, 1), (10_000, 0, 1)])
    instance = scale(job, certain=True).instance

    layouts = fill_rolls(instance, rolls_of(instance), [10_001, 10_000], [1, 1], [2])

    assert layouts == {Layout(0, (0, 1)): 1}
    assert decided_by("filling 1", job).value == 1


@pytest.mark.parametrize("seed", range(20))
def test_layouts_of_a_free_match_offered_together_are_each_worth_their_place(seed: int) -> None:
    """Each fits its roll, holds no more of a kind than is wanted, is worth enough, and holds a drop of its own."""
    rng = Random(seed)  # noqa: S311 - repeatable, nothing secret
    kinds = tuple(DropKind(0, length, rng.randint(1, 3)) for length in rng.sample(range(5, 60), 8))
    instance = Instance(0, 0, kinds, (RollType(100, 0, None, 1),))
    prices = [rng.randrange(40) for _ in kinds]

    worth = rolls_of(instance).worth(prices)
    asked = int(worth.by_type[0] * 3 / 4)
    layouts = worth.layouts_above([asked])

    assert sum(prices[kind] for kind in layouts[0].kinds) == worth.by_type[0]
    for number, layout in enumerate(layouts):
        assert places_of(instance, layout) is not None
        assert all(count <= kinds[kind].demand for kind, count in layout.counts.items())
        assert sum(prices[kind] for kind in layout.kinds) > asked
        assert set(layout.kinds) - {kind for before in layouts[:number] for kind in before.kinds}


def test_search_knows_exact_places_where_cells_prove_too_little() -> None:
    """11.501 and 8.501 m are a millimetre too long for a roll of 20.001 m; rounded down to cells of 2 mm they fit."""
    lots: list[tuple[int, ...]] = [
        (20_001, 0, 3),
        (11_501, 0, 1),
    ]  # of one lot alone it is asked whether all rolls can be full
    plan = decided_by("list", job_of(0, lots, [(11_501, 0, 2), (8_501, 0, 1), (8_499, 0, 1)]))

    assert (plan.rolls_needed, plan.proof.by_search) == (3, True)
    assert proved_by_prices(plan) == 2


# --- Sealed rolls -----------------------------------------------------------------------------------------


def test_certain_prices_prove_what_is_possible_at_best() -> None:
    """Where no start saves a roll, prices of the certain plan prove it, and no stage is taken a second time."""
    paper = Paper("invented", Pattern(Fraction(10), Fraction(0)), Fraction(100))
    job = Job(paper, (Lot("roll", Fraction(100), None, None),), (drop_of("1", 35, 0, 4),))

    plan, stages = followed(job)

    assert stages == ["first plan", "rule 1"]
    assert plan.at_best is not None
    assert (plan.rolls_needed, plan.at_best.rolls, plan.at_best.status) == (2, 2, Status.OPTIMAL)
    assert plan.at_best.value == least_value(job, at_best=True)


# --- Stopped ----------------------------------------------------------------------------------------------


def test_a_first_plan_is_made_in_no_time() -> None:
    """Without any time left there is a plan of three rolls, with a bound that holds, and why it is not better."""
    plan = solved(needs_a_search(), time_limit=0.0)

    assert (plan.rolls_needed, plan.status, plan.stopped) == (3, Status.FEASIBLE, "time limit")
    assert plan.proof.bound <= 2


def test_a_plan_proved_as_time_runs_out_is_not_called_stopped() -> None:
    """Where the first plan meets the bound that is proved with it, no limit has kept anything from the user."""
    plan = solved(job_of(10, [(46, 8, 3)], [(9, 6, 2), (13, 9, 1)]), time_limit=0.0)

    assert (plan.status, plan.stopped) == (Status.OPTIMAL, None)


def test_ctrl_c_ends_with_the_best_plan_so_far() -> None:
    """Interrupted when the first plan is told, the solver returns it instead of going on to the two rolls."""
    if signal.getsignal(signal.SIGINT) is not signal.default_int_handler:
        pytest.skip("somebody else listens for Ctrl-C")

    told: list[str] = []

    def interrupt_once(news: str) -> None:
        told.append(news)
        if len(told) == 1:
            signal.raise_signal(signal.SIGINT)

    plan = solve(needs_a_search(), progress=interrupt_once)

    assert told[0] == "3 rolls, bound 0"
    assert (plan.rolls_needed, plan.status, plan.stopped) == (3, Status.FEASIBLE, "interrupted")
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler


def test_integer_programme_that_ends_without_an_answer_leaves_the_gap() -> None:
    """When CBC gives up, the plan so far stands, with the bound of the prices and nothing claimed by search."""
    with pytest.MonkeyPatch.context() as patch:
        instead_of_cbc(patch, lambda _solve: pywraplp.Solver.NOT_SOLVED)
        plan = solved(needs_a_search())

    assert (plan.rolls_needed, int(plan.proof.bound), plan.proof.by_search) == (3, 2, False)
    assert (plan.status, plan.stopped) == (Status.FEASIBLE, "time limit")


def test_integer_programme_that_does_not_end_is_left_to_itself() -> None:
    """CBC may not heed its limit: a third of a second after the time is up the plan so far is returned."""
    asked, ended = threading.Event(), threading.Event()
    waited_for: list[bool] = []
    may_be_left: list[bool] = []

    def hang(_solve: Callable[[], int]) -> int:
        asked.set()
        may_be_left.append(threading.current_thread().daemon)
        waited_for.append(not ended.wait(AT_LEISURE))
        return int(pywraplp.Solver.NOT_SOLVED)

    with pytest.MonkeyPatch.context() as patch:
        instead_of_cbc(patch, hang)
        begun = time.monotonic()
        plan = solved(needs_a_search(), time_limit=1.0)
        taken = time.monotonic() - begun
        ended.set()

    assert asked.is_set()
    assert taken >= 1.0
    assert waited_for != [True]  # the plan was there before the programme had ended
    assert may_be_left == [True]  # Python does not wait for it at its end
    assert (plan.rolls_needed, int(plan.proof.bound)) == (3, 2)
    assert (plan.status, plan.stopped) == (Status.FEASIBLE, "time limit")


def test_programme_that_takes_several_looks_at_the_clock_is_waited_for() -> None:
    """There is time left."""

    def slowly(solve: Callable[[], int]) -> int:
        time.sleep(4 * programme.STEP)
        return solve()

    with pytest.MonkeyPatch.context() as patch:
        instead_of_cbc(patch, slowly)
        plan = solved(needs_a_search())

    assert (plan.rolls_needed, plan.proof.by_search) == (2, True)


def test_a_programme_that_does_not_end_is_left_within_half_a_second() -> None:
    """The time limit is kept within half a second: the patience with CBC, and the step in which it is looked at."""
    assert programme.PATIENCE + programme.STEP <= 0.5


def test_plan_found_in_time_is_kept_though_the_programme_is_not_decided() -> None:
    """A plan that CBC had when its time was up is no less good for that."""
    with pytest.MonkeyPatch.context() as patch:
        instead_of_cbc(patch, lambda solve: solve() * 0 + pywraplp.Solver.FEASIBLE)
        plan = solved(needs_a_search())

    assert (plan.rolls_needed, int(plan.proof.bound), plan.proof.by_search) == (2, 2, False)


# --- When parts fail --------------------------------------------------------------------------------------


def test_linear_programme_that_ends_abnormally_is_solved_plainly() -> None:
    """GLOP sometimes ends as «abnormal» after presolve; without presolve the bound is what it should be."""
    plain: list[bool] = []

    def abnormal_at_first(solve: Callable[..., int], *parameters: pywraplp.MPSolverParameters) -> int:
        status = solve(*parameters)
        plain.append(bool(parameters))
        return status if parameters else int(pywraplp.Solver.ABNORMAL)

    with pytest.MonkeyPatch.context() as patch:
        instead_of_glop(patch, abnormal_at_first)
        plan = decided_by("relaxation", job_of(12, [(23, 8, 4), (19, 1, 1)], [(3, 9, 3), (5, 10, 1)]))

    assert plan.value == 3
    assert plain == [False, True] * (len(plain) // 2)
    assert plain


@pytest.mark.parametrize("status", [pywraplp.Solver.FEASIBLE, pywraplp.Solver.NOT_SOLVED])
def test_linear_programme_stopped_by_its_own_clock_leaves_a_plan(status: int) -> None:
    """GLOP is told whole milliseconds, so its time may be up a moment before ours: the plan found by then holds."""
    with pytest.MonkeyPatch.context() as patch:
        instead_of_glop(patch, lambda _solve, *_: int(status))
        plan = solve(job_of(12, [(23, 8, 4), (19, 1, 1)], [(3, 9, 3), (5, 10, 1)]), time_limit=1000)

    assert (plan.rolls_needed, plan.stopped) == (3, "time limit")


def test_linear_programme_is_given_the_time_that_is_left(monkeypatch: pytest.MonkeyPatch) -> None:
    """In milliseconds; a machine that needs a tenth of the time for all else is left enough."""
    limits: list[int] = []
    monkeypatch.setattr(pywraplp.Solver, "SetTimeLimit", lambda _self, limit: limits.append(limit))

    assert solve(job_of(12, [(23, 8, 4), (19, 1, 1)], [(3, 9, 3), (5, 10, 1)]), time_limit=1000).rolls_needed == 3
    assert 900_000 < min(limits) <= max(limits) <= 1_000_000


def test_linear_programme_that_cannot_be_solved_is_an_error() -> None:
    """Nothing is guessed from a linear programme that ends without an optimum twice."""
    with pytest.MonkeyPatch.context() as patch:
        instead_of_glop(patch, lambda _solve, *_: int(pywraplp.Solver.ABNORMAL))
        with pytest.raises(ArithmeticError) as caught:
            solve(job_of(12, [(23, 8, 4), (19, 1, 1)], [(3, 9, 3), (5, 10, 1)]))

    assert str(caught.value) == "the linear programme ended with status 4"


@pytest.mark.parametrize("seed", range(3, 200, 13))
def test_filling_that_loses_patience_at_once_costs_no_roll(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """First plans are worse when a roll's filling stops after two drops tried; the proved value is the same."""
    job = random_small_job(seed)
    expected = least_value(job)
    if expected is None:
        pytest.skip("no plan exists")
    monkeypatch.setattr(filling, "PATIENCE", 2)

    assert solved(job).value == expected


# --- Jobs, plans and what is noted on the way -------------------------------------------------------------


def decided_by(stage: str, job: Job) -> Plan:
    """Return the proved plan of ``job``, whose proof was complete at ``stage`` and not before."""
    plan, stages = followed(job)
    assert stages[-1] == stage
    return plan


def followed(job: Job) -> tuple[Plan, list[str]]:
    """Return the plan, proved and judged, and the stages that were taken, in turn."""
    with pytest.MonkeyPatch.context() as patch:
        stages = stages_noted(patch)
        plan = solved(job)
    assert (plan.status, plan.stopped) == (Status.OPTIMAL, None)
    assert plan.proof.bound == plan.value == least_elsewhere(job)
    return plan, stages


def solved(job: Job, time_limit: float = AT_LEISURE) -> Plan:
    """Return the plan of ``job`` after the independent checker has found no fault with it and its proofs."""
    scenario = parse_scenario(scenario_text(job), "stage.toml")
    assert scenario.job == job
    plan = solve(scenario.job, time_limit=time_limit)
    assert check_text(plan_text(plan_document(plan, scenario))).violations == ()
    assert plan.proof.bound <= plan.value
    return plan


def least_elsewhere(job: Job) -> Fraction | None:
    """Return the least value of ``job`` as found without the solver."""
    if sum(drop.count for drop in job.drops) <= SMALL:
        return least_value(job)
    answer = solve_by_arc_flow(job, time_limit=AT_LEISURE)
    assert answer.value == answer.bound
    return answer.value


def first_value(job: Job) -> int | None:
    """Return the value of the plan made first, by filling one roll after another; None when rolls run out."""
    outcome = unknown(scale(job, certain=True).instance)
    optimise(outcome, Clock(0.0), ignore)
    return None if outcome.layouts is None else outcome.value


def proved_by_prices(plan: Plan) -> int:
    """Return the rolls that a plan's prices prove by themselves, for a job without premiums."""
    prices = plan.proof.prices
    assert prices is not None
    assert not prices.premiums
    return -(-sum(prices.drops.get(drop.label, 0) * drop.count for drop in plan.job.drops) // prices.scale)


def relaxed(instance: Instance) -> Relaxation:
    """Return the linear relaxation of an instance that has rolls enough."""
    rolls = rolls_of(instance)
    outcome = unknown(instance)
    optimise(outcome, Clock(0.0), ignore)
    assert outcome.layouts is not None
    return relax(instance, rolls, outcome.layouts, Clock(AT_LEISURE), start=nothing_proved(instance))


def begun(instance: Instance, *, bound: int, supply: int | None) -> Outcome:
    """Return the outcome of an instance with so many rolls, of which a plan made at once and a bound are known."""
    limited = instance.with_demands((kind.demand for kind in instance.kinds), [supply])
    outcome = unknown(limited)
    outcome.offer(fill_at_once(limited))
    outcome.bound = bound
    return outcome


def assert_cuts_every_drop(instance: Instance, layouts: Layouts) -> None:
    """Fail unless the layouts hold every drop, each where its roll has room for it, on no more rolls than there are."""
    cut: Counter[int] = Counter()
    opened: Counter[int] = Counter()
    for layout, times in layouts.items():
        assert layout.roll_type in range(len(instance.roll_types))
        assert places_of(instance, layout) is not None
        opened[layout.roll_type] += times
        for kind, count in layout.counts.items():
            cut[kind] += count * times
    assert [cut[kind] for kind in range(len(instance.kinds))] == [kind.demand for kind in instance.kinds]
    for number, roll_type in enumerate(instance.roll_types):
        assert roll_type.supply is None or opened[number] <= roll_type.supply


def ignore(_: object) -> None:
    """Take no notice."""


def house_of(rng: Random, kinds: int) -> Instance:
    """Return an instance of so many kinds, of lengths all different and of three places in the print."""
    lengths = rng.sample(range(5, 50), kinds)
    drops = [DropKind(rng.choice([0, 4, 7]), length, rng.randint(1, 3)) for length in lengths]
    return Instance(10, rng.choice([0, 10]), tuple(drops), (RollType(90, None, None, 1),))


def of_three_prices(seed: int) -> Instance:
    """Return seven kinds of drops, and rolls of three lengths at three prices."""
    rng = Random(seed)  # noqa: S311 - repeatable, nothing secret
    drops = (DropKind(rng.choice([0, 4, 7]), length, rng.randint(1, 4)) for length in rng.sample(range(8, 40), 7))
    kinds = tuple(drops)
    prices = (rng.randint(80, 100), rng.randint(50, 66), rng.randint(33, 45))
    types = tuple(RollType(length, None, None, price) for length, price in zip((90, 60, 41), prices, strict=True))
    return Instance(10, 0, kinds, types)


def needs_a_search() -> Job:
    """Return six pieces for which prices prove two rolls and plans by rule take three; a search finds two."""
    return job_of(6, [(20, 0, 6)], [(6, 0, 2), (4, 0, 1), (3, 3, 2), (5, 1, 1)])


def job_of(repeat: int, lots: list[tuple[int, ...]], drops: list[tuple[int, int, int]], *more: Lot) -> Job:
    """Return a job of measured lots (length, first motif, count, price or none) and drops (height, motif, count)."""
    pattern = Pattern(Fraction(repeat), Fraction(0))
    stock = [
        Lot("ABC"[number], Fraction(length), Fraction(motif), count, price=Fraction(*price) if price else None)
        for number, (length, motif, count, *price) in enumerate(lots)
    ]
    wanted = [drop_of(f"{number}", *drop) for number, drop in enumerate(drops, start=1)]
    return Job(Paper("invented", pattern, Fraction(lots[0][0])), (*stock, *more), tuple(wanted))


def drop_of(label: str, height: int, motif: int, count: int) -> Drop:
    """Return a drop without trims."""
    return Drop(label, Fraction(height), Fraction(motif), Fraction(0), Fraction(0), count)


def test_a_folder_that_is_gone_is_told_before_the_integer_programme(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """CBC ends the whole program where the folder it works in was removed."""
    gone = tmp_path / "gone"
    gone.mkdir()
    monkeypatch.chdir(gone)
    gone.rmdir()

    with pytest.raises(LostFolderError, match="change to one that is there") as told:
        Programme(scale(needs_a_search(), certain=True).instance).decide(Clock(1), dict)
    assert told.value.exit_status == 2
