"""Rolls bought as needed beside rolls in hand: the fewest are bought, and of such plans the fewest opened."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from msgspec.structs import replace

from brute_force import least_value
from cutplan.buying.how_many import Wishes, how_many_rolls
from cutplan.check import check_text
from cutplan.job.bought_beside import in_hand_for_nothing
from cutplan.job.job import Job
from cutplan.paper.pattern import FREE, Pattern
from cutplan.paper.stock import Lot, Paper
from cutplan.plan.order import CuttingHabit
from cutplan.plan.proof import Status
from cutplan.render.documents.plan_document import plan_document
from cutplan.render.words.answer_words import answer
from cutplan.scenario.read import Scenario, parse_scenario
from cutplan.solve import make_plan, solve
from hand_plans import drop
from scenario_text import scenario_text
from strategies import drops, lots
from test_batches import fewest_by_wall, random_job
from test_optimum import judged_plan

if TYPE_CHECKING:
    from collections.abc import Callable

    from cutplan.plan.plan import Plan

OLD: Final = Path(__file__).parent / "old_plans" / "in-hand-and-as-needed.json"
MANY: Final = Fraction(1000)
"""Outweighs all rolls in hand of these small jobs."""

PART_ROLLS: Final = """
units = "mm"
[paper]
name = "Test"
roll_length = "10.05 m"
match = "64 cm"
[[roll]]
label = "P1"
length = 2900
first_motif = 145
[[roll]]
label = "P2"
length = 3500
first_motif = 145
[[roll]]
label = "P3"
length = 2900
first_motif = 145
[[roll]]
label = "new"
count = "as needed"
[[drop]]
label = "a"
height = 2400
first_motif = 95
count = 3
"""
"""Three part rolls, each of which gives one drop of 2500 mm cut; a roll to be bought would give all three."""


def numbers(plan: Plan) -> tuple[int, int]:
    """Return how many rolls a plan buys and opens."""
    return plan.rolls_to_buy, plan.rolls_needed


def weighed(job: Job) -> Job:
    """Return the job with a roll bought at a thousand and one in hand at 1: its least cost says both numbers."""
    return replace(job, lots=tuple(replace(lot, price=MANY if lot.count is None else Fraction(1)) for lot in job.lots))


def with_each(job: Job) -> Job:
    """Return the job with five rolls, each by itself, in the place of as many as needed: enough for five drops."""
    each = (
        [replace(lot, label=f"{lot.label}, {number}", count=1) for number in range(5)] if lot.count is None else [lot]
        for lot in job.lots
    )
    return replace(job, lots=tuple(lot for lots in each for lot in lots))


def both(cost: Fraction | None) -> tuple[int, int]:
    """Return how many rolls are bought and opened at a cost of :func:`weighed`."""
    assert cost is not None
    bought, in_hand = divmod(int(cost), int(MANY))
    return bought, bought + in_hand


def test_a_plan_buys_no_roll_where_rolls_in_hand_do() -> None:
    """A roll to be bought would give all three drops; three part rolls give them too, and nothing is bought."""
    scenario = parse_scenario(PART_ROLLS, "part.toml")

    plan = make_plan(scenario.job, scenario.cutting)

    assert (numbers(plan), plan.status) == ((0, 3), Status.OPTIMAL)
    assert how_many_rolls(scenario.job).plan.layouts == plan.layouts
    found, proved = answer(plan)
    assert found.startswith("Nothing to buy, and 3 parts of rolls in hand to open: certain to be enough, however")
    assert "no plan buys fewer, and none that buys as few opens fewer" in proved


def test_of_plans_that_buy_as_few_the_one_that_opens_fewest_is_taken() -> None:
    """Four drops of 2500 mm all come from the one roll of 10.1 m that must be bought: no part roll is opened."""
    parts = tuple(Lot(label, Fraction(2600)) for label in "AB")
    job = Job(
        Paper("trial", FREE, Fraction(10100)),
        (*parts, Lot("new", Fraction(10100), count=None)),
        (drop("1", 2400, count=4),),
    )

    assert numbers(judged_plan(job)) == (1, 1)
    # Five: the fifth comes from a part roll, and no second one is opened.
    assert numbers(judged_plan(replace(job, drops=(drop("1", 2400, count=5),)))) == (1, 2)


def test_of_sealed_rolls_alike_those_in_hand_are_opened_first() -> None:
    """Two sealed rolls in hand as long as those to be bought: of three that are needed one is bought."""
    lots = (Lot("new", Fraction(10050), count=None), Lot("held", Fraction(10050), count=2))
    job = Job(Paper("trial", FREE, Fraction(10050)), lots, (drop("1", 2900, count=9),))

    plan = judged_plan(job)

    assert sorted((layout.lot, layout.count) for layout in plan.layouts) == [("held", 2), ("new", 1)]
    assert numbers(judged_plan(replace(job, drops=(drop("1", 2900, count=6),)))) == (0, 2)


@st.composite
def mixed_jobs(draw: st.DrawFn, most_bought: int = 1) -> Job:
    """Return up to four pieces, from one to three rolls or lots in hand and rolls bought as needed."""
    pattern = draw(st.sampled_from([FREE, *(Pattern(Fraction(640), Fraction(offset)) for offset in (0, 320, 160))]))
    wanted = [replace(draw(drops(pattern, str(number))), count=1) for number in range(draw(st.integers(1, 4)))]
    held = [
        replace(draw(lots(pattern, f"held {number}")), count=draw(st.integers(1, 2)))
        for number in range(draw(st.integers(1, 2)))
    ]
    # Short enough for a roll to hold one or two pieces, so that rolls in hand matter.
    held = [replace(lot, length=draw(st.sampled_from([3000, 3800, 5600])) * Fraction(1)) for lot in held]
    bought = [
        Lot(f"new {number}", draw(st.sampled_from([3800, 5600, 7000])) * Fraction(1), count=None)
        for number in range(draw(st.integers(1, most_bought)))
    ]
    return Job(Paper("invented", pattern, Fraction(7000)), (*held, *bought), tuple(wanted))


@given(job=st.one_of(mixed_jobs(), mixed_jobs(most_bought=2)))
def test_fewest_bought_and_then_fewest_opened_are_those_of_every_plan(job: Job) -> None:
    """Every plan of a small job is tried: none buys fewer, and none that buys as few opens fewer, nor at best."""
    least = least_value(weighed(job))
    assume(least is not None)

    plan = judged_plan(job)

    assert plan.status is Status.OPTIMAL
    assert numbers(plan) == both(least)
    best = plan.at_best
    if best is not None:
        assert (job.bought_in(best.value), best.rolls) == both(least_value(weighed(job), at_best=True))
    first = solve(replace(job, lots=in_hand_for_nothing(job.lots)))
    assert first.value == plan.rolls_to_buy


@given(job=mixed_jobs())
def test_a_plan_buys_what_buy_says(job: Job) -> None:
    """Both commands speak of the same plan: of the rolls in hand, and of as many more as have to be bought."""
    (new,) = (lot for lot in job.lots if lot.count is None)
    job = replace(job, paper=replace(job.paper, roll_length=new.length))
    assume(least_value(job) is not None)

    bought = how_many_rolls(job, Wishes(draws=10, tolerance=Fraction(0)))

    plan = make_plan(job, CuttingHabit())
    assert bought.sure.figure.enough == bought.sure.figure.least == plan.rolls_to_buy
    assert [layout.cuts for layout in bought.plan.layouts] == [layout.cuts for layout in plan.layouts]


@pytest.mark.parametrize("seed", range(24))
def test_fewest_bought_hold_over_every_choice_of_a_batch_for_each_wall(seed: int) -> None:
    """Some rolls of batches A to C are in hand, more of one of them, or of two, are to be had."""
    job = random_job(seed, free=seed % 2 == 0)
    endless = 1 + seed % 3 // 2
    rolls = [replace(lot, count=None) if number < endless else lot for number, lot in enumerate(job.rolls)]
    rolls = [replace(lot, parts=()) if lot.count is None else lot for lot in rolls]
    kept = tuple(lot for lot in job.lots if lot.is_offcut)
    job = replace(job, lots=(*rolls, *kept))
    least = fewest_by_wall(with_each(weighed(job)))
    if least is None:
        pytest.skip("some wall can be papered from no batch")

    plan = solve(job)

    assert (numbers(plan), plan.status) == (both(least), Status.OPTIMAL)


@pytest.mark.parametrize("batch", "ABC")
def test_the_judge_follows_both_proofs_where_walls_are_of_one_batch(batch: str) -> None:
    """Two walls of three drops and of two; in hand a roll each of A and B, for two drops; more of one batch."""
    rolls = [f'[[roll]]\nlabel = "{label}"\nbatch = "{label}"\n' for label in "AB"]
    rolls += [f'[[roll]]\nlabel = "new"\ncount = "as needed"\nbatch = "{batch}"\n']
    walls = [
        f'[[drop]]\nlabel = "{number}"\nwall = "{wall}"\nheight = 2400\n'
        for number, wall in enumerate(["one"] * 3 + ["other"] * 2)
    ]
    text = 'units = "mm"\n[paper]\nroll_length = 5100\nmatch = "free"\n' + "".join([*rolls, *walls])
    scenario = parse_scenario(text, "batches.toml")

    plan = solve(scenario.job)

    report = check_text(json.dumps(plan_document(plan, scenario)))
    assert report.violations == ()
    assert plan.status is Status.OPTIMAL
    assert both(fewest_by_wall(with_each(weighed(scenario.job)))) == numbers(plan)


def test_an_offcut_of_the_batch_of_rolls_not_bought_serves_its_wall() -> None:
    """The offcut of batch C is enough for the first wall, so of A and B in hand one roll is opened, and none of C."""
    rolls = [f'[[roll]]\nlabel = "{batch}"\nbatch = "{batch}"\n' for batch in "ABC"]
    kept = 'count = "as needed"\n[[offcut]]\nlabel = "kept"\nlength = 2600\nbatch = "C"\n'
    walls = [
        f'[[drop]]\nlabel = "{number}"\nwall = "{wall}"\nheight = 2400\n'
        for number, wall in enumerate(["one", "other", "other"])
    ]
    text = 'units = "mm"\n[paper]\nroll_length = 6000\nmatch = "free"\n' + "".join([*rolls, kept, *walls])
    scenario = parse_scenario(text, "batches.toml")

    plan = solve(scenario.job)

    assert (numbers(plan), plan.status) == ((0, 1), Status.OPTIMAL)
    document: Any = json.loads(json.dumps(plan_document(plan, scenario)))
    assert check_text(json.dumps(document)).violations == ()
    document["batches"]["certificates"] = [
        prices for prices in document["batches"]["certificates"] if prices["batch"] != "C"
    ]
    [missed] = check_text(json.dumps(document)).violations
    assert "prices prove only 0 rolls for 'one' from C" in missed.message


@pytest.mark.parametrize("seed", range(4))
def test_cost_decides_in_each_batch_though_its_own_rolls_be_of_one_price(seed: int) -> None:
    """Rolls of one batch, some in hand and some to be had at the same price, beside dearer ones of others."""
    job = random_job(seed, free=seed % 2 == 0)
    price = {
        batch: Fraction(10 * number) for number, batch in enumerate(dict.fromkeys(lot.batch for lot in job.rolls), 1)
    }
    lots = [lot if lot.is_offcut else replace(lot, price=price[lot.batch]) for lot in job.lots]
    first = next(lot for lot in lots if not lot.is_offcut)
    job = replace(job, lots=(*lots, replace(first, label="new", parts=(), count=None)))
    least = fewest_by_wall(with_each(job))
    if least is None:
        pytest.skip("some wall can be papered from no batch")

    plan = solve(job)

    assert (plan.value, plan.status) == (least, Status.OPTIMAL)


def test_where_prices_are_told_cost_decides() -> None:
    """Three part rolls at 10 each against one to be bought at 20: cheaper is the one that is bought."""
    priced = PART_ROLLS.replace("first_motif = 145\n", "first_motif = 145\nprice = 10\n")
    priced = priced.replace('count = "as needed"', 'count = "as needed"\nprice = 20')

    plan = solve(parse_scenario(priced, "part.toml").job)

    assert (numbers(plan), plan.value) == ((1, 1), Fraction(20))


def test_a_price_told_for_some_rolls_only_is_refused() -> None:
    """Nobody knows what the others cost."""
    with pytest.raises(Exception, match="price every roll or none"):
        parse_scenario(PART_ROLLS.replace("length = 3500", "length = 3500\nprice = 10"), "part.toml")


def test_only_what_is_bought_comes_in_packets() -> None:
    """Nine drops of 2500 mm: two rolls in hand give a drop each, two more are bought, which is a packet of three."""
    text = """
units = "mm"
[paper]
roll_length = 10100
match = "free"
packet = 3
[[roll]]
label = "held"
length = 2600
count = 2
[[roll]]
label = "new"
count = "as needed"
[[drop]]
label = "1"
height = 2400
count = 9
"""
    scenario = parse_scenario(text, "packets.toml")
    plan = solve(scenario.job)
    document = plan_document(plan, scenario)

    assert check_text(json.dumps(document)).violations == ()
    assert numbers(plan) == (2, 3)
    assert document["to_buy"] == {"packets": 1, "packets_lower_bound": 1, "rolls": 3}


def test_a_plan_of_an_earlier_version_that_counts_every_roll_still_holds() -> None:
    """It said that one roll is opened, which is to be bought, and proved that no plan opens fewer."""
    assert check_text(OLD.read_text(encoding="utf-8")).holds


def _bought() -> Scenario:
    """Return a job that buys two rolls, beside two of three in hand."""
    lots = (*(Lot(label, Fraction(2700)) for label in "ABC"), Lot("new", Fraction(5400), count=None))
    job = Job(Paper("trial", FREE, Fraction(5400)), lots, (drop("1", 2500, count=5), drop("2", 2400, count=2)))
    return parse_scenario(scenario_text(job), "bought.toml")


def _document() -> dict[str, Any]:
    """Return a proved plan that buys two rolls, beside two of three in hand, each with its proof by prices."""
    scenario = _bought()
    document: dict[str, Any] = json.loads(json.dumps(plan_document(solve(scenario.job), scenario)))
    assert check_text(json.dumps(document)).holds
    assert (document["rolls_to_buy"], document["rolls_needed"], document["status"]) == (2, 5, "optimal")
    return document


FALSE: Final[dict[str, Callable[[dict[str, Any]], object]]] = {
    "fewer bought": lambda told: told.update(rolls_to_buy=1),
    "more bought": lambda told: told.update(rolls_to_buy=3),
    "nothing said of what is bought": lambda told: told.pop("rolls_to_buy"),
    "no bound on what is bought": lambda told: told.pop("rolls_to_buy_lower_bound"),
    "a lower bound on what is bought": lambda told: told.update(rolls_to_buy_lower_bound=1),
    "a higher bound on what is bought": lambda told: told["proof"]["to_buy"].update(bound="3"),
    "no proof of what is bought": lambda told: told["proof"].pop("to_buy"),
    "dearer prices of what is bought": lambda told: told["proof"]["to_buy"]["prices"]["drops"].update({"1": 10**9}),
    "no prices of what is bought": lambda told: told["proof"]["to_buy"].update(prices=None),
    "a higher bound on what is opened": lambda told: told["proof"].update(bound="6"),
    "a lower bound on what is opened": lambda told: told.update(lower_bound=4),
    "fewer bought at best": lambda told: told.update(at_best_to_buy=1),
    "more bought at best": lambda told: told.update(at_best_to_buy=3),
    "that every roll is counted": lambda told: told.update(objective="rolls"),
}


@pytest.mark.parametrize("fault", FALSE)
def test_the_judge_refuses_false_numbers_of_rolls_bought(fault: str) -> None:
    """Each number, each bound and each price of both proofs is one that the judge works out himself."""
    document = _document()

    FALSE[fault](document)

    assert not check_text(json.dumps(document)).holds


def test_the_judge_refuses_a_plan_that_buys_a_roll_too_many() -> None:
    """The three drops come from one roll that is bought; that nothing need be bought the judge finds by himself."""
    scenario = parse_scenario(PART_ROLLS, "part.toml")
    alone = replace(scenario.job, lots=scenario.job.lots[-1:])
    plan = replace(solve(alone), job=scenario.job)

    report = check_text(json.dumps(plan_document(plan, scenario)))

    assert not report.holds


@pytest.mark.parametrize("where", ["proof", "at_best_proof"])
def test_the_judge_refuses_a_proof_of_rolls_bought_where_all_are_in_hand(where: str) -> None:
    """It would stand there judged by nobody."""
    scenario = parse_scenario(
        scenario_text(replace(_bought().job, lots=(Lot("A", Fraction(5400), count=9),))), "a.toml"
    )
    document = json.loads(json.dumps(plan_document(solve(scenario.job), scenario)))
    assert check_text(json.dumps(document)).holds
    document.setdefault(where, dict(document["proof"]))["to_buy"] = {"by": "none", "bound": "99", "prices": None}

    assert not check_text(json.dumps(document)).holds


def test_the_judge_names_a_proof_within_the_proof_of_rolls_bought_as_unknown() -> None:
    """Only one number is proved there."""
    document = _document()
    document["proof"]["to_buy"]["to_buy"] = {"by": "none", "bound": "99", "prices": None}

    assert any("proof.to_buy.to_buy" in told for told in check_text(json.dumps(document)).trusted)


def test_rolls_to_buy_are_as_long_as_those_listed_as_needed() -> None:
    """A roll listed as needed is 7.5 m long and gives three drops of 2.5 m; the paper's own, of 5 m, would give two."""
    text = PART_ROLLS.replace('match = "64 cm"', 'match = "free"').replace('"10.05 m"', '"5 m"')
    text = text.replace('count = "as needed"', 'count = "as needed"\nlength = 7500').replace("count = 3", "count = 9")
    text = "\n".join(line for line in text.splitlines() if not line.startswith("first_motif"))
    scenario = parse_scenario(text, "longer.toml")

    bought = how_many_rolls(scenario.job)

    assert bought.need.size.length == Fraction(7500)
    assert bought.sure.figure.enough == make_plan(scenario.job, scenario.cutting).rolls_to_buy == 2
