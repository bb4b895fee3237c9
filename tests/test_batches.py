"""One batch for each wall: the fewest rolls over every choice, against exhaustive search; what is said of shortages."""

from __future__ import annotations

import json
import random
from fractions import Fraction
from itertools import product
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from cutplan.check import check_plan, check_text
from cutplan.errors import NoPlanError
from cutplan.faults import ScenarioError
from cutplan.job.drops import Drop
from cutplan.job.job import Job, Neighbours
from cutplan.paper.pattern import FREE, Pattern
from cutplan.paper.stock import Lot, Paper
from cutplan.plan.proof import Status
from cutplan.render.documents.plan_document import plan_document, plan_text
from cutplan.render.pages.plan_page import plan_page
from cutplan.scenario.read import parse_scenario
from cutplan.solve import solve
from cutplan.solve.batches.batch_shares import NEVER, Shares
from cutplan.solve.clock import UNHURRIED
from cutplan.solve.ordering import order_cuts
from cutplan.table.left_over import leavings_of
from cutplan.table.sequence import sequence_of
from hostile_scenario import hostile_room
from test_special_stock import (
    REPEAT,
    WIDTH,
    ShareOut,
    length,
    random_drop,
    random_roll,
)

if TYPE_CHECKING:
    from cutplan.plan.plan import Plan

WALLS = ("north", "east", "south")


def random_job(seed: int, *, free: bool) -> Job:
    """Return up to five drops on three walls, from up to five rolls of every sort, of two or three batches."""
    chance = random.Random(seed)  # noqa: S311 - repeatable, nothing secret
    repeat = 0 if free else REPEAT
    batches = chance.choice(["AB", "AB", "ABC"])
    drops = [random_drop(chance, str(number), repeat) for number in range(1, chance.randint(4, 6))]
    walls = sorted(chance.randrange(len(WALLS)) for _ in drops)
    rolls = [
        replace(random_roll(chance, f"roll {number}", repeat), batch=batches[number % len(batches)])
        for number in range(len(batches), len(batches) + chance.randint(2, 4))
    ]
    if chance.random() < 0.5:
        left, right = sorted(chance.sample(range(WIDTH + 1), 2))
        rolls.append(
            Lot(
                "kept",
                length(chance.randint(6, 20)),
                None if free else length(chance.randrange(REPEAT)),
                batch=chance.choice("AB"),
                left=length(left),
                right=length(right),
                is_offcut=True,
            )
        )
    paper = Paper("trial", Pattern(length(repeat), Fraction(0)), length(40), length(WIDTH))
    placed = tuple(replace(drop, wall=WALLS[wall]) for drop, wall in zip(drops, walls, strict=True))
    return Job(paper, tuple(rolls), placed)


def fewest_by_wall(job: Job) -> Fraction | None:
    """Return the fewest rolls over every choice of a batch for each wall; None when no choice will do."""
    share_out = ShareOut(job)
    fewest: list[Fraction] = []
    walls = sorted({drop.wall or "" for drop in job.drops})
    for chosen in product(job.batches, repeat=len(walls)):
        found = share_out.least([chosen[walls.index(drop.wall or "")] for drop in job.drops])
        fewest += [] if found is None else [found]
    return min(fewest, default=None)


def assert_one_batch_a_wall(plan: Plan) -> None:
    """Require every drop to be cut from the batch of its wall, a piece from a cut-out included."""
    assert plan.batches is not None
    for layout in plan.layouts:
        lot = plan.job.lot(layout.lot)
        for cut in layout.cuts:
            assert lot.batch == plan.batches.of_walls[plan.job.drop(cut.drop).wall or ""]


@pytest.mark.parametrize("free", [False, True])
@pytest.mark.parametrize("seed", range(100))
def test_choice_of_batches_matches_exhaustive_search(seed: int, free: bool) -> None:  # noqa: FBT001 - parametrized
    """The plan needs as few rolls as the best of every choice of one batch for each wall, whatever the rolls are."""
    job = random_job(seed, free=free)
    expected = fewest_by_wall(job)

    plan: Plan | None = None
    try:
        plan = solve(job)
    except NoPlanError:
        assert expected is None
    if plan is not None and job.must_share_batches:
        assert plan.rolls_needed == expected
        assert plan.status is Status.OPTIMAL
        assert_one_batch_a_wall(plan)
        assert_one_batch_a_wall(order_cuts(plan))


# Choices that can be made by eye: rolls of 1000 mm, a free match, no trims


def walls(rolls: str, *drops: tuple[str, int, int], neighbours: tuple[Neighbours, ...] = ()) -> Job:
    """Return a job: a roll of 1000 mm for each letter of ``rolls``, its batch; of drops the wall, height and count."""
    lots = tuple(Lot(f"{batch}{number}", length(1000), batch=batch) for number, batch in enumerate(rolls, 1))
    wanted = tuple(
        Drop(str(number), length(height), Fraction(0), Fraction(0), Fraction(0), count, wall=wall)
        for number, (wall, height, count) in enumerate(drops, 1)
    )
    return Job(Paper("trial", FREE, length(1000)), lots, wanted, neighbours)


def chosen(job: Job) -> dict[str, str]:
    """Return the batch of each wall in the plan of a job."""
    batches = solve(job).batches
    assert batches is not None
    return batches.of_walls


def test_a_room_that_one_batch_is_enough_for_has_one() -> None:
    """Two rolls do in any case, so the batch never changes, although the first batch comes first."""
    job = walls("ABB", ("north", 500, 2), ("east", 500, 2))

    assert chosen(job) == {"north": "B", "east": "B"}


def test_a_batch_on_each_wall_may_cost_a_roll() -> None:
    """Three drops of 400 mm on each wall fit three rolls of any batch; with two of each batch they need four."""
    plan = solve(walls("AABB", ("north", 400, 3), ("east", 400, 3)))

    assert plan.rolls_needed == 4
    assert plan.status is Status.OPTIMAL
    assert plan.proof.by_search


def test_batches_change_at_an_internal_corner_by_preference() -> None:
    """Three walls of a roll each, two rolls of A: of the two corners that may change, the internal one does."""
    corner = (Neighbours("north", "east", is_internal=False), Neighbours("east", "south"))
    job = walls("AAB", ("north", 900, 1), ("east", 900, 1), ("south", 900, 1), neighbours=corner)
    other = (Neighbours("north", "east"), Neighbours("east", "south", is_internal=False))

    assert chosen(job) == {"north": "A", "east": "A", "south": "B"}
    assert chosen(replace(job, neighbours=other)) == {"north": "B", "east": "A", "south": "A"}


def test_the_cheaper_batch_is_taken_where_prices_differ() -> None:
    """Both walls from B cost 2 × 30; from A 2 × 50; the batch is not changed for nothing."""
    job = walls("AABB", ("north", 900, 1), ("east", 900, 1))
    priced = tuple(replace(lot, price=Fraction(50 if lot.batch == "A" else 30)) for lot in job.lots)
    plan = solve(replace(job, lots=priced))

    assert plan.value == 60
    assert plan.status is Status.OPTIMAL
    assert plan.batches is not None
    assert plan.batches.of_walls == {"north": "B", "east": "B"}


def test_paper_without_a_batch_number_counts_as_a_batch_of_its_own() -> None:
    """Nobody knows whether its shade is that of A or of B, so it is not mixed with either."""
    job = walls("ABB", ("north", 900, 1), ("east", 900, 2))
    job = replace(job, lots=(*job.lots, Lot("C", length(1000))))

    assert chosen(job) == {"north": "A", "east": "B"}
    assert chosen(replace(job, drops=(*job.drops, replace(job.drops[0], label="3", wall="south")))) == {
        "north": "A", "east": "B", "south": "",
    }  # fmt: skip


def test_a_second_batch_in_hand_forbids_nothing_that_was_allowed_without_it() -> None:
    """A batch not told is one of its own beside a single other too: a roll more then never costs one.

    North takes two rolls of one batch: A and an untold roll are none. A roll of B changes nothing; another of A does.
    """
    job = walls("A", ("north", 900, 2))
    job = replace(job, lots=(*job.lots, Lot("untold", length(1000))))

    for more, rolls in ((), None), (("B",), None), (("B", "A"), 2), ((None,), 2):
        lots = tuple(Lot(f"more {number}", length(1000), batch=batch) for number, batch in enumerate(more))
        stocked = replace(job, lots=(*job.lots, *lots))
        if rolls is None:
            with pytest.raises(NoPlanError, match="the rolls without a batch number lack 1 more roll"):
                solve(stocked)
        else:
            assert solve(stocked).rolls_needed == rolls


def test_one_batch_only_changes_nothing() -> None:
    """With one batch, or without walls, there is nothing to choose."""
    job = walls("AA", ("north", 900, 1), ("east", 900, 1))
    without = tuple(replace(drop, wall=None) for drop in walls("AB", ("north", 900, 2)).drops)

    assert solve(job).batches is None
    assert solve(replace(walls("AB", ("north", 900, 2)), drops=without)).batches is None


def test_a_wall_too_large_for_any_batch_is_named_with_what_is_lacking() -> None:
    """Three drops of 900 mm need three rolls of one batch; A lacks one, B two."""
    job = walls("AAB", ("north", 900, 3))

    with pytest.raises(NoPlanError) as caught:
        solve(job)

    assert str(caught.value) == (
        'wall "north": no batch has enough paper for all of it, and batches change at corners only: '
        "batch A lacks 1 more roll (not cut: 1 (1 of 3)); batch B lacks 2 more rolls (not cut: 1 (2 of 3))"
    )


def test_walls_that_cannot_be_shared_out_are_told_with_the_nearest_choice() -> None:
    """Two walls of three drops of 400 mm each: two rolls of A and one of B are enough only when mixed."""
    job = walls("AAB", ("north", 400, 3), ("east", 400, 3))

    with pytest.raises(NoPlanError) as caught:
        solve(job)

    assert str(caught.value) == (
        "one batch for each wall is not possible with these rolls, and batches change at corners only; "
        'nearest to it is "north", "east" from batch A: batch A lacks 1 more roll (not cut: 2 (2 of 3))'
    )


def test_too_few_rolls_of_all_batches_are_told_as_ever() -> None:
    """When even mixing batches is not enough, batches are not blamed."""
    job = walls("AB", ("north", 900, 3))

    with pytest.raises(NoPlanError) as caught:
        solve(job)

    assert str(caught.value) == "the 2 rolls listed are not enough: 1 more roll needed; not cut: 1 (1 of 3)"


def test_drop_without_a_wall_is_refused_beside_others_with_one() -> None:
    """Of rolls of two batches a wall takes one, so a drop that may hang on any wall cannot be planned for."""
    text = (
        'units = "mm"\n[paper]\nroll_length = 10050\nmatch = "free"\n'
        '[[roll]]\nlabel = "A1"\nbatch = "A"\n[[roll]]\nlabel = "B1"\nbatch = "B"\n'
        '[[drop]]\nlabel = "1"\nheight = 2500\nwall = "n"\n[[drop]]\nlabel = "2"\nheight = 2500\n'
    )

    with pytest.raises(ScenarioError, match="2 has no wall, and of the paper, of batch A and batch B, a wall"):
        parse_scenario(text, "job.toml")
    assert parse_scenario(f'{text}wall = "s"\n', "job.toml").job.must_share_batches


def test_paper_of_which_a_wall_takes_one_batch_may_be_an_offcut_or_not_told() -> None:
    """Rolls of a batch that nobody has told, beside an offcut of batch A: no roll is of another."""
    text = (
        'units = "mm"\n[paper]\nroll_length = 10050\nmatch = "free"\n[[roll]]\nlabel = "1"\n'
        '[[offcut]]\nlabel = "left"\nlength = 3000\nbatch = "A"\n'
        '[[drop]]\nlabel = "1"\nheight = 2500\nwall = "n"\n[[drop]]\nlabel = "2"\nheight = 2500\n'
    )

    with pytest.raises(ScenarioError, match="2 has no wall, and of the paper, of a batch not told and batch A, a wall"):
        parse_scenario(text, "job.toml")


@pytest.mark.parametrize(("told", "rolls"), [("", 2), ('batch = "7"\n', 1)])
def test_rolls_to_be_bought_of_a_batch_not_told_are_noted(told: str, rolls: int) -> None:
    """Beside one roll of batch 7 for one wall: two of B by themselves, or one more of batch 7."""
    scenario = parse_scenario(
        'units = "mm"\n[paper]\nroll_length = 6000\nmatch = "free"\n[[roll]]\nlabel = "A"\nbatch = "7"\n'
        f'[[roll]]\nlabel = "B"\ncount = "as needed"\n{told}'
        '[[drop]]\nlabel = "1"\nheight = 2500\ncount = 4\nwall = "n"\n',
        "job.toml",
    )
    plan = solve(scenario.job)

    note = 'roll: B tells no batch, so no wall takes it beside paper of batch 7; give it batch = "7" where that is sold'
    assert plan.rolls_to_buy == rolls
    assert [each for each in scenario.notes if "batch" in each] == ([] if told else [f"{note} still"])


def test_keep_list_promises_no_piece_to_a_wall_of_another_batch() -> None:
    """What is left of a roll of batch A would serve again only the drops of the wall that is of batch A."""
    plan = solve(walls("AABB", ("north", 450, 3), ("east", 400, 3)))

    kept = leavings_of(plan).kept

    assert kept
    assert all(drop.batch == piece.paper.batch for piece in kept for drop in piece.serves)


# What falls out on one wall, for another


def fallen_for_another_wall(seed: int) -> str:
    """Return the TOML of four or five drops, the first ones wide with two cut-outs side by side, the others narrow."""
    chance = random.Random(f"fallen {seed}")  # noqa: S311 - repeatable, nothing secret
    free = chance.random() < 0.5

    def motif() -> str:
        return "" if free else f"first_motif = {chance.randrange(REPEAT)}\n"

    head = 'units = "mm"\n[trim]\ntop = 0\nbottom = 0\n[paper]\nroll_length = 40\n'
    blocks = [f'{head}roll_width = {WIDTH}\nmatch = "{"free" if free else f"{REPEAT} mm"}"\n']
    for number in range(chance.randint(2, 4)):
        batch = "ABAB"[number]
        size = f"length = {chance.randint(20, 30)}\n"
        blocks.append(f'[[roll]]\nlabel = "{batch}{number}"\n{size}{motif()}batch = "{batch}"\n')
    walls = chance.choice([["s", "e", "n"], ["s", "n"], ["s", "e", "n", "e"]])
    for number in range(chance.randint(4, 5)):
        is_wide = number < 2 and chance.random() < 0.8
        height = chance.randint(12, 20) if is_wide else chance.randint(5, 14)
        wall = f'wall = "{chance.choice(walls)}"\n'
        blocks.append(f'[[drop]]\nlabel = "{number + 1}"\nheight = {height}\n{motif()}{wall}')
        if is_wide:
            sides = ("left = 0, right = 9", "left = 11, right = 20")
            fallen = ", ".join(f"{{from_top = 0, length = {height}, {side}}}" for side in sides)
            blocks[-1] += f"cut_outs = [{fallen}]\n"
        elif chance.random() < 0.8:
            blocks[-1] += chance.choice(["right = 9\n", "left = 11\n"])
    return "\n".join(blocks)


@pytest.mark.parametrize("seed", [*range(20), 156, 393, 567])
def test_what_falls_out_on_one_wall_counts_for_the_others_of_its_batch(seed: int) -> None:
    """Values are those of trying every choice, and the judge finds the prices of each batch fair for every cut-out.

    In the last three, prices learnt of one wall alone once took what falls out on another for worth nothing.
    """
    scenario = parse_scenario(fallen_for_another_wall(seed), "job.toml")
    expected = fewest_by_wall(scenario.job)

    plan: Plan | None = None
    try:
        plan = order_cuts(solve(scenario.job))
    except NoPlanError:
        assert expected is None
    if plan is not None:
        assert plan.rolls_needed == expected
        assert plan.status is Status.OPTIMAL
        assert check_text(plan_text(plan_document(plan, scenario))).violations == ()


def test_what_is_certain_is_possible_at_best_even_where_time_ends() -> None:
    """The best case, looked for when no time is left, is never worse than the plan that is printed."""
    job = parse_scenario(hostile_room(), "room.toml").job
    plan = solve(job, time_limit=0.2)

    assert plan.at_best is not None
    assert plan.at_best.value <= plan.value


OFFCUT_AND_WALLS = """\
units = "mm"
[paper]
roll_length = 6000
match = "free"
[[roll]]
label = "A"
batch = "11"
[[roll]]
label = "B"
[[offcut]]
label = "X"
length = 2600
batch = "33"
[[drop]]
label = "1"
height = 2400
wall = "north"
[[drop]]
label = "2"
height = 2400
count = 2
wall = "south"
"""
"""Drops are 2500 mm as cut: two come off a roll, and one off the offcut."""


def _held(text: str) -> tuple[Plan, str]:
    """Return the plan of a scenario, which the judge holds, and what its page says."""
    scenario = parse_scenario(text, "offcut.toml")
    plan = order_cuts(solve(scenario.job))
    assert check_text(plan_text(plan_document(plan, scenario))).violations == ()
    assert plan.status is Status.OPTIMAL
    return plan, " ".join(plan_page(sequence_of(plan)).split())


def test_an_offcut_of_a_batch_that_no_roll_tells_papers_a_wall_of_its_own() -> None:
    """It holds the one drop of the north wall; B may be of its batch, so it is not another than every roll's."""
    plan, page = _held(OFFCUT_AND_WALLS)

    assert plan.proof.bound == 1
    assert plan.batches is not None
    assert plan.batches.of_walls["north"] == "33"
    assert "No roll is told to be of batch 33, as offcut X is: no wall has both. If one is, tell its batch." in page


def test_a_wall_too_much_for_an_offcut_is_known_to_be_so_before_it_is_asked() -> None:
    """Else every choice of walls for its batch would be gone through."""
    shares = Shares(parse_scenario(OFFCUT_AND_WALLS, "offcut.toml").job, UNHURRIED, certain=True)
    of_offcut = shares.batches.index("33")

    assert [shares.bound(of_offcut, 1 << wall) for wall in range(2)] == [0, NEVER]


def test_an_offcut_whose_batch_is_told_shares_no_wall_with_rolls_whose_batch_is_not() -> None:
    """Of three drops on a wall a roll gives two: the offcut gives the third only where the roll is of its batch."""
    untold = OFFCUT_AND_WALLS.replace('batch = "11"\n', "").replace('"north"', '"south"')
    plan, page = _held(untold)

    assert plan.proof.bound == 2
    assert "See that every roll bears the same batch number." in page
    assert "No roll is told to be of batch 33, as offcut X is" in page
    assert _held(untold.replace('label = "B"', 'label = "B"\nbatch = "33"'))[0].proof.bound == 1


def test_a_plan_that_hangs_an_offcut_beside_rolls_of_no_told_batch_is_refused() -> None:
    """Both batches are read as one where the offcut tells none; told again, the wall has two."""
    mixed = OFFCUT_AND_WALLS.replace('batch = "11"\n', "").replace('"north"', '"south"').replace('batch = "33"\n', "")
    scenario = parse_scenario(mixed, "offcut.toml")
    document = json.loads(plan_text(plan_document(order_cuts(solve(scenario.job)), scenario)))
    document["scenario"]["offcut"][0]["batch"] = "33"

    assert document["rolls_needed"] == 1
    assert any(broken.rule == "batches" for broken in check_plan(document).violations)
