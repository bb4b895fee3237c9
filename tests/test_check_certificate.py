"""The checker's proof of a bound: its longest path against every sequence, and certificates that do not hold."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from itertools import product
from random import Random
from typing import TYPE_CHECKING
from unittest.mock import patch

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from counted_work import calls_counted
from cutplan.check import check_plan, report_lines
from cutplan.check.proof.worth import (
    MOST_STEPS,
    PricedDrop,
    Steps,
    TooLongToFollowError,
    places_on_roll,
    worth_in_turns,
    worth_of_free,
)
from plan_documents import changed, cost_plan, cut, free_plan_in_inches, measured_plan, sealed_plan, third_drop_plan

if TYPE_CHECKING:
    from collections.abc import Callable

    from plan_documents import Document

priced_drops = st.lists(
    st.builds(PricedDrop, length=st.integers(1, 15), place=st.integers(0, 6), price=st.integers(0, 9)),
    min_size=1,
    max_size=4,
)
"""Places up to 6 suit every repeat from 7 on."""

counted_drops = st.lists(
    st.builds(
        PricedDrop,
        length=st.integers(2, 15),
        place=st.just(0),
        price=st.integers(0, 9),
        count=st.integers(1, 4),
    ),
    min_size=1,
    max_size=5,
)
"""Of a free match, each wanted up to four times: 5⁵ choices at most, so that every one can be tried."""

repeats = st.integers(7, 12)
lengths = st.integers(0, 40)


def best_of_every_sequence(drops: list[PricedDrop], repeat: int, start: int, end: int) -> int:
    """Return the most that any sequence of drops is worth in [start, end], tried one after the other.

    Each drop is put at its first place at or beyond ``start``: those s with s ≡ place (mod repeat).
    """
    most = 0
    for drop in drops:
        begins = start + (drop.place - start) % repeat
        if begins + drop.length <= end:
            rest = best_of_every_sequence(drops, repeat, begins + drop.length, end)
            most = max(most, drop.price + rest)
    return most


def best_in_turns(turns: list[list[PricedDrop]], repeat: int, start: int, end: int) -> int:
    """Return the same where no drop may lie before one of an earlier turn."""

    @cache
    def best(turn: int, at: int) -> int:
        most = 0
        for number, drops in enumerate(turns[turn:], turn):
            for drop in drops:
                begins = at + (drop.place - at) % repeat
                if begins + drop.length <= end:
                    most = max(most, drop.price + best(number, begins + drop.length))
        return most

    return best(0, start)


def test_most_in_turns_is_that_of_every_sequence_and_every_start() -> None:
    """Up to three turns of up to four drops, on 300 rolls up to 40 long; and all of the drops in any order."""
    chance = Random(3)  # noqa: S311 - repeatable
    for _ in range(300):
        repeat, length = chance.randint(1, 12), chance.randint(0, 40)
        drops = [
            PricedDrop(chance.randint(1, 20), chance.randrange(min(repeat, 5)), chance.randint(1, 6))
            for _ in range(chance.randint(1, 4))
        ]
        turns = [chance.sample(drops, chance.randint(0, len(drops))) for _ in range(chance.randint(1, 3))]
        in_turns, in_any_order = (
            max(best_in_turns(each, repeat, start, start + length) for start in range(repeat))
            for each in (turns, [drops])
        )

        assert worth_in_turns(turns, repeat, length, Steps()) == in_turns
        assert places_on_roll(drops, repeat).worth_anywhere(length, 0, Steps()) == in_any_order


def test_proof_may_take_as_many_steps_as_there_are() -> None:
    """The last one too, and then none."""
    steps = Steps(3)
    steps.take(3)

    with pytest.raises(TooLongToFollowError):
        steps.take(1)


@given(priced_drops, repeats, st.data(), lengths)
@settings(max_examples=100, deadline=None)
def test_most_on_a_measured_roll_is_that_of_every_sequence(
    drops: list[PricedDrop], repeat: int, data: st.DataObject, length: int
) -> None:
    """From any start of the roll within the repeat, the longest path finds the dearest sequence."""
    start = data.draw(st.integers(0, repeat - 1))

    most = places_on_roll(drops, repeat).worth_from(start, length, Steps())

    assert most == best_of_every_sequence(drops, repeat, start, start + length)


@given(priced_drops, repeats, lengths)
@settings(max_examples=100, deadline=None)
def test_most_on_a_sealed_roll_is_that_of_every_start(drops: list[PricedDrop], repeat: int, length: int) -> None:
    """Where the roll may begin anywhere in its repeat, the dearest sequence of the best beginning counts."""
    most = places_on_roll(drops, repeat).worth_anywhere(length, 0, Steps())

    assert most == max(best_of_every_sequence(drops, repeat, start, start + length) for start in range(repeat))


@given(counted_drops, st.integers(0, 60), st.integers(0, 90))
@settings(max_examples=100, deadline=None)
def test_most_of_a_free_match_is_that_of_every_choice(drops: list[PricedDrop], length: int, enough: int) -> None:
    """Worth above what is enough is found exactly; none is invented where there is no more than enough."""
    choices = product(*(range(drop.count + 1) for drop in drops))
    every = max(
        sum(times * drop.price for times, drop in zip(choice, drops, strict=True))
        for choice in choices
        if sum(times * drop.length for times, drop in zip(choice, drops, strict=True)) <= length
    )

    assert worth_of_free(drops, length, 0, Steps()) == every
    if every > enough:
        assert worth_of_free(drops, length, enough, Steps()) == every
    else:
        assert worth_of_free(drops, length, enough, Steps()) <= every


def test_no_roll_of_a_free_match_holds_a_drop_more_often_than_it_is_wanted() -> None:
    """Two drops of 1 m on a roll of 4 m are worth twice one, though four would fit; three wanted, thrice one."""
    drop = PricedDrop(length=1000, place=0, price=5, count=2)

    assert worth_of_free([drop], 4000, 0, Steps()) == 10
    # The same drop under two labels is wanted 2 + 1 times.
    assert worth_of_free([drop, PricedDrop(length=1000, place=0, price=5)], 4000, 0, Steps()) == 15


def test_any_number_of_a_drop_may_lie_beside_others() -> None:
    """Five of seven, 2 long and worth 1 each, beside one 4 long and worth 100."""
    assert worth_of_free([PricedDrop(4, 0, 100), PricedDrop(2, 0, 1, count=7)], 14, 0, Steps()) == 105


def test_run_of_drops_that_is_worth_no_more_than_another_ends_no_others() -> None:
    """All three fill the roll; either of the two that are alike is worth as much as the other."""
    assert worth_of_free([PricedDrop(1, 0, 1, count=2), PricedDrop(2, 0, 1)], 4, 0, Steps()) == 3


def test_most_anywhere_is_exact_where_it_is_more_than_enough() -> None:
    """200 rolls up to 40 long, with up to five drops, each from any start within the repeat too."""
    chance = Random(5)  # noqa: S311 - repeatable
    for _ in range(200):
        repeat, length = chance.randint(1, 12), chance.randint(0, 40)
        drops = [
            PricedDrop(chance.randint(4, 20), chance.randrange(repeat), chance.randint(0, 6))
            for _ in range(chance.randint(0, 5))
        ]
        places = places_on_roll(drops, repeat)
        found = [best_of_every_sequence(drops, repeat, start, start + length) for start in range(repeat)]

        assert [places.worth_from(start, length, Steps()) for start in range(repeat)] == found
        assert places.worth_anywhere(length, max(found), Steps()) <= max(found)
        assert places.worth_anywhere(length, max(0, max(found) - 1), Steps()) == max(found)


def test_dear_stretch_that_was_found_counts_beside_cheaper_ones() -> None:
    """The third drop, at 4 and 9, alone fits within 8; beginnings at other places are worth it once, or nothing."""
    drops = [PricedDrop(15, 3, 3), PricedDrop(16, 1, 3), PricedDrop(1, 4, 2), PricedDrop(9, 0, 5)]

    assert places_on_roll(drops, 5).worth_anywhere(8, 0, Steps()) == 4


def test_roll_shorter_than_nothing_holds_nothing() -> None:
    """A sealed roll shorter than one repeat leaves a span below 0, and no drop fits it."""
    drops = [PricedDrop(length=1, place=0, price=5)]

    assert places_on_roll(drops, 7).worth_anywhere(-3, 0, Steps()) == 0
    assert places_on_roll(drops, 7).worth_from(0, 0, Steps()) == 0
    assert worth_of_free(drops, -3, 0, Steps()) == 0


def test_drops_without_price_have_no_places() -> None:
    """Where nothing is worth anything, a roll is worth nothing."""
    assert places_on_roll([PricedDrop(length=1, place=0, price=0)], 7).worth_from(0, 20, Steps()) == 0


def proof_faults(document: Document) -> list[tuple[str, Fraction | None]]:
    """Return the faults of the document's proofs, each with its amount."""
    return [
        (violation.line(), violation.amount)
        for violation in check_plan(document).violations
        if violation.where in {"proof", "at_best_proof"}
    ]


@pytest.mark.parametrize(
    ("plan", "drop", "fault"),
    [
        # Roll A or B: drop 2 at 300–2800, then drop 1 at 3000–5500, worth 2 + 1 against 2·1.
        (measured_plan, "2", "drops worth 3 can lie together on a roll of lot A, the prices allow 2"),
        # Both drops lie on roll A, worth 1 + 2 against 2·1.
        (third_drop_plan, "2", "drops worth 3 can lie together on a roll of lot A, the prices allow 2"),
        # Three drops on a sealed roll, worth 3·2 against 3·1.
        (sealed_plan, "1", "drops worth 6 can lie together on a roll of lot roll, the prices allow 3"),
        # Three drops of 100 in on 396 in, worth 3·2 against 3·1.
        (free_plan_in_inches, "W", "drops worth 6 can lie together on a roll of lot roll, the prices allow 3"),
        # Two drops on the long roll, worth 2·26 against its price of 50; one is still below a short roll's 30.
        (cost_plan, "1", "drops worth 52 can lie together on a roll of lot L, the prices allow 50"),
    ],
)
def test_price_raised_by_one_unit_is_refused(plan: Callable[[], Document], drop: str, fault: str) -> None:
    """Each certificate is tight: any price one unit higher lets some roll hold more than it allows."""
    document = plan()
    price = document["proof"]["prices"]["drops"][drop]

    faults = check_plan(changed(document, "proof", "prices", "drops", drop, to=price + 1)).violations

    assert faults[0].line() == f"proof: {fault}"
    worth, allowed = (int(word) for word in fault.replace(",", "").split() if word.isdigit())
    assert faults[0].amount == worth - allowed


def test_proof_at_best_may_use_the_whole_roll() -> None:
    """Four drops span 10 180 of 10 200 mm: at best they lie on one roll, so a scale of 3 is not enough."""
    document = changed(sealed_plan(), "at_best_proof", "prices", "scale", to=3)

    assert proof_faults(document) == [
        ("at_best_proof: drops worth 4 can lie together on a roll of lot roll, the prices allow 3", Fraction(1))
    ]


def test_prices_that_prove_less_than_is_claimed_are_refused() -> None:
    """Drops at 1/3 of a roll prove 3·1/3 = 1 roll; the plan claims 2."""
    document = changed(measured_plan(), "proof", "prices", "scale", to=3)

    assert proof_faults(document) == [("proof: the prices prove 1 roll, the bound claimed is 2 rolls", Fraction(1))]


def test_cost_bound_is_rounded_up_to_what_prices_can_add_up_to() -> None:
    """Worth 75 proves 80, since rolls at 50 and 30 cost multiples of 10; it does not prove 81."""
    document = changed(cost_plan(), "proof", "bound", to="81")

    assert proof_faults(document) == [
        ("proof: the prices prove 80 in cost, the bound claimed is 81 in cost", Fraction(1))
    ]


def test_bound_weaker_than_the_prices_prove_is_no_fault() -> None:
    """A plan may claim less than its prices prove, as long as it then does not call itself optimal."""
    document = changed(changed(measured_plan(), "proof", "bound", to="1"), "lower_bound", to=1)

    assert check_plan(changed(document, "status", to="feasible")).violations == ()


def test_bound_by_search_is_said_in_the_first_line() -> None:
    """Prices of a third prove 1 roll; the search is said to have closed 2, and the first line says so."""
    document = changed(measured_plan(), "proof", "by", to="search")

    report = check_plan(changed(document, "proof", "prices", "scale", to=3))

    assert report.violations == ()
    assert report.facts[-1] == "optimal: 2 rolls needed, which is its bound, if the search was right"
    first = "NOT PROVED HERE: proof: the bound of 2 rolls is the word of a search; prices prove 1 roll"
    assert report_lines(report)[0] == first


def test_search_cannot_claim_less_than_its_prices_prove() -> None:
    """A search that ends below what prices prove would contradict them."""
    document = changed(changed(measured_plan(), "proof", "by", to="search"), "proof", "bound", to="1")

    assert proof_faults(document) == [("proof: the prices prove 2 rolls, more than the bound of 1 roll", Fraction(1))]


def test_premium_lets_a_roll_hold_more_and_weakens_the_bound() -> None:
    """Roll A at a premium of 1 may hold drops worth 3, and the bound loses it: (3·2 − 1)/4 → 2 rolls."""
    document = measured_plan()
    # In quarters, drops at 2: two of them are worth 4, as a roll allows.
    document["proof"]["prices"] = {"scale": 4, "drops": {"1": 2, "2": 2}, "premiums": {"A": 1, "B": 0}}
    assert check_plan(document).violations == ()

    # Drop 2 at 3: with drop 1 worth 5, which roll A allows and roll B does not.
    document["proof"]["prices"]["drops"]["2"] = 3

    assert proof_faults(document) == [
        ("proof: drops worth 5 can lie together on a roll of lot B, the prices allow 4", Fraction(1))
    ]


def test_premium_of_a_lot_counts_once_for_each_roll_of_it() -> None:
    """Two short rolls at a premium of 10 cost the bound 20: 75 − 20 → 60."""
    document = changed(cost_plan(), "proof", "prices", "premiums", to={"S": 10})

    assert proof_faults(document) == [
        ("proof: the prices prove 60 in cost, the bound claimed is 80 in cost", Fraction(20))
    ]


def test_premium_of_an_unlimited_lot_is_refused() -> None:
    """Rolls bought as needed have no number by which a premium could be charged."""
    document = changed(sealed_plan(), "proof", "prices", "premiums", to={"roll": 1})

    assert proof_faults(document) == [
        ("proof: lot roll has no limit, so it can have no premium; it has 1", Fraction(1))
    ]


def test_prices_of_strangers_are_refused() -> None:
    """A price must be that of a drop wanted, a premium that of a lot in stock."""
    document = changed(measured_plan(), "proof", "prices", "drops", "9", to=1)
    document["proof"]["prices"]["premiums"]["Z"] = 1

    assert proof_faults(document) == [
        ("proof: there is a price for drop 9, which is not in the scenario", None),
        ("proof: there is a premium for lot Z, which is not in the stock", None),
    ]


def large_plan(*, repeat: int, kinds: int, phases: int) -> Document:
    """Return a plan document of ``kinds`` different drops in ``phases`` places of the repeat, not yet cut.

    Prices are the cut lengths in parts of the roll's 10 050 mm, so that length alone keeps them fair.
    """
    drops = [
        {
            "label": str(number),
            # Heights from 300 to 3000 mm, spread by a step that meets each millimetre before any twice.
            "height": 300 + number * 1699 % 2701,
            "first_motif": number % phases * repeat // phases if repeat else 0,
            "count": 2500,
        }
        for number in range(kinds)
    ]
    prices = {drop["label"]: int(str(drop["height"])) + 100 for drop in drops}
    document = sealed_plan()
    document["scenario"] = {
        "units": "mm",
        "paper": {"roll_length": 10050, "match": f"{repeat} mm" if repeat else "free"},
        "drop": drops,
    }
    document["proof"]["prices"] = {"scale": 10050, "drops": prices, "premiums": {}}
    return document


@pytest.mark.parametrize(
    ("repeat", "kinds", "phases"),
    [(640, 60, 30), (640, 400, 100), (0, 400, 1)],
    ids=["a room of 60 columns", "a million drops of 400 kinds", "400 kinds of a free match"],
)
def test_certificate_of_a_large_job_is_judged_quickly(repeat: int, kinds: int, phases: int) -> None:
    """Kinds and not pieces set the work: at most 450 000 calls, 0.25 s; four times that would be another algorithm."""
    document = large_plan(repeat=repeat, kinds=kinds, phases=phases)
    with calls_counted() as calls, patch.object(Steps, "take", autospec=True) as taken:
        faults = proof_faults(document)
        assert calls() < 1_800_000

    assert sum(asked.args[1] for asked in taken.call_args_list) < 10_000  # 1 584 at most
    # Fair prices prove far more than the 3 rolls claimed, which is allowed; nothing else is amiss with them.
    assert faults == []


def test_a_proof_that_is_too_long_to_follow_is_no_proof_here(monkeypatch: pytest.MonkeyPatch) -> None:
    """With steps for nothing the plan stands, and the first line says that its bound is not proved here."""
    monkeypatch.setattr(Steps, "take", _too_long)

    report = check_plan(sealed_plan())

    assert report.holds
    first = "NOT PROVED HERE: proof: the bound of 3 rolls has a proof that is too long to be followed here"
    assert report_lines(report)[0] == first


def test_a_proof_too_long_to_follow_still_may_not_claim_more_than_its_prices(monkeypatch: pytest.MonkeyPatch) -> None:
    """Eight drops worth a third of a roll each come to three rolls, however long the proof of fairness is."""
    monkeypatch.setattr(Steps, "take", _too_long)
    document = changed(sealed_plan(), "proof", "bound", to="4")

    lines = [violation.line() for violation in check_plan(document).violations]

    assert "proof: the prices prove 3 rolls, the bound claimed is 4 rolls" in lines


def _too_long(*_: object) -> None:
    raise TooLongToFollowError


def test_beginnings_taken_together_give_the_dearest_stretch() -> None:
    """Whatever is enough, the answer is that of each beginning by itself, or no more than what is enough."""
    chance = Random(7)  # noqa: S311 - repeatable
    for _ in range(200):
        drops = [PricedDrop(chance.randint(3, 40), chance.randrange(20), chance.randint(1, 9)) for _ in range(8)]
        places, length = places_on_roll(drops, 20), chance.randint(1, 90)
        dearest = max(places.worth_from(place, length, Steps()) for place in places.places)
        enough = chance.randrange(dearest + 3)

        assert places.worth_anywhere(length, 0, Steps()) == dearest
        assert max(places.worth_anywhere(length, enough, Steps()), enough) == max(dearest, enough)


@pytest.mark.parametrize("spare", [0, 3], ids=["priced as long", "and a little for what is lost"])
def test_rolls_of_many_different_drops_are_judged_in_few_passes(spare: int) -> None:
    """However many places drops may start at, all are judged by a few passes along a roll; halves take one for each."""
    few, many = (_passes_along_a_roll(classes, spare) for classes in (60, 300))

    assert few < 10
    assert many < 10


def _passes_along_a_roll(classes: int, spare: int) -> float:
    """Return how often a roll of 10 m is gone along to prove the least that is enough for four drops of each class."""
    chance = Random(11)  # noqa: S311 - repeatable
    drops = [
        PricedDrop(height, place=number % classes, price=height + chance.randint(0, spare))
        for number, height in enumerate(chance.sample(range(400, 3100), 4 * classes))
    ]
    places = places_on_roll(drops, 640)
    dearest = places.worth_anywhere(10_000, 0, Steps())
    steps = Steps()
    assert places.worth_anywhere(10_000, enough=dearest, steps=steps) == 0  # nothing is worth more
    return (MOST_STEPS - steps.left) / places.index_at(10_000)


def test_judging_takes_time_in_proportion_to_the_layouts() -> None:
    """Four times as many layouts, all different, take no more than five times the work; squared it would be 16."""
    few, many = _work_to_judge(150), _work_to_judge(600)

    assert many < 5 * few


def _work_to_judge(count: int) -> int:
    """Return the calls for a plan with a drop, a layout and a cut-out of its own for each of ``count`` rolls."""
    document = sealed_plan()
    heights = [1500 + number * 37 % 1900 for number in range(count)]
    document["scenario"]["paper"]["roll_width"] = 530
    fallen = {"from_top": 300, "length": 500, "left": 0, "right": 200}
    document["scenario"]["drop"] = [
        {"label": str(number), "height": height, "first_motif": number * 37 % 640, "cut_outs": [fallen]}
        for number, height in enumerate(heights)
    ]
    document["rolls"] = [
        {"roll": f"roll-{number + 1}", "lot": "roll", "cuts": [cut(str(number), 640, 740 + height)]}
        for number, height in enumerate(heights)
    ]
    prices = {str(number): height + 100 for number, height in enumerate(heights)}
    bound = -(-sum(prices.values()) // 10200)
    proof = {"by": "prices", "bound": str(bound), "prices": {"scale": 10200, "drops": prices}}
    document |= {"proof": proof, "lower_bound": bound, "status": "feasible", "rolls_needed": count}
    document |= {"cost": 84 * count, "at_best": None, "at_best_lower_bound": None, "at_best_status": None}
    del document["at_best_proof"]
    with calls_counted() as calls:
        assert check_plan(document).violations == ()
        return calls()
