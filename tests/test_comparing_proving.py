"""The proved number of rolls, however it is come by: from drops alike, a neighbour's plan and prices, or anew."""

from __future__ import annotations

from fractions import Fraction
from typing import TypeAlias

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from cutplan.comparing import proving
from cutplan.comparing.proving import Prover
from cutplan.errors import NoPlanError
from cutplan.job.drops import CutOut, Drop
from cutplan.job.job import Job
from cutplan.paper.pattern import Pattern
from cutplan.paper.sale import Sale
from cutplan.paper.stock import Lot, Paper
from cutplan.solve import solve
from random_rooms import ROLL_LENGTH, random_room

SEALED = (Lot("roll", ROLL_LENGTH, count=None),)


def one_by_one(job: Job) -> list[Drop]:
    """Return a job's drops as single pieces, labelled in order."""
    single = [replace(drop, count=1) for drop in job.drops for _ in range(drop.count)]
    return [replace(drop, label=str(number)) for number, drop in enumerate(single, 1)]


def names(drops: list[Drop]) -> list[tuple[int | str, ...]]:
    """Return a name for each drop."""
    return [(drop.label,) for drop in drops]


def moved(drops: list[Drop], repeat: Fraction, by: Fraction) -> list[Drop]:
    """Return the drops with the print of all of them moved down alike."""
    return [
        replace(drop, first_motif=(drop.first_motif + by) % repeat if repeat else drop.first_motif) for drop in drops
    ]


@pytest.mark.parametrize("match", ["straight", "half", "third", "quarter"])
def test_height_of_the_print_costs_no_paper_of_sealed_rolls(match: str) -> None:
    """Adding the same distance to every first motif leaves the proved number of rolls, each planned anew, as it is."""
    job = random_room(3, match=match, stock="sealed", most_columns=16)
    drops, repeat = one_by_one(job), job.paper.pattern.repeat
    at_heights = {
        solve(Job(job.paper, SEALED, tuple(moved(drops, repeat, repeat * part / 7)))).rolls_needed for part in range(7)
    }

    assert len(at_heights) == 1


def test_drops_alike_up_to_the_height_are_solved_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The answer for sealed rolls is remembered for every height of the print."""
    job = random_room(5, match="half", stock="sealed", most_columns=16)
    drops, repeat = one_by_one(job), job.paper.pattern.repeat
    prover = Prover(job.paper, SEALED)
    first = prover.prove(drops, names(drops))
    monkeypatch.delattr(proving, "scale")  # No job is put into whole numbers any more.

    assert prover.prove(moved(drops, repeat, Fraction(1234, 7)), names(drops)) == first


def test_height_matters_where_rolls_are_measured() -> None:
    """One roll of 5000 with its motif at its very end, two drops of 2400 without trim.

    With the motif at the drops' tops both fit at 0 and 2400, four repeats of 600 apart. With it 100 down the first can
    start at 500 only, and 500 + 2 × 2400 is more than the roll.
    """
    job = random_room(1, match="straight", stock="sealed", most_columns=3)
    pattern = replace(job.paper.pattern, repeat=Fraction(600))
    lots = (Lot("A", Fraction(5000), Fraction(0)), Lot("B", Fraction(5000), Fraction(0)))
    drop = replace(
        job.drops[0], height=Fraction(2400), first_motif=Fraction(0), trim_top=Fraction(0), trim_bottom=Fraction(0)
    )
    drops = [replace(drop, label=label, count=1) for label in ("1", "2")]
    prover = Prover(replace(job.paper, pattern=pattern), lots)

    assert prover.prove(drops, names(drops)).rolls == 1
    assert prover.prove(moved(drops, Fraction(600), Fraction(100)), names(drops)).rolls == 2


@settings(max_examples=25, deadline=None)
@given(
    seed=st.integers(0, 400),
    match=st.sampled_from(["free", "straight", "half", "third"]),
    stock=st.sampled_from(["sealed", "measured", "mixed", "prices"]),
    changes=st.lists(st.tuples(st.integers(0, 30), st.integers(-40, 40), st.integers(0, 3)), min_size=1, max_size=3),
)
def test_answer_with_neighbours_known_is_that_of_a_plan(
    seed: int, match: str, stock: str, changes: list[tuple[int, int, int]]
) -> None:
    """Whatever was proved before, each set of drops gets the value that solving it alone gives.

    From one set to the next a drop grows or shrinks by up to 40 mm, the print is moved, and a drop may go or come.
    """
    job = random_room(seed, match=match, stock=stock, most_columns=9)
    drops, repeat = one_by_one(job), job.paper.pattern.repeat
    prover = Prover(job.paper, job.lots)
    for which, longer, what in [(0, 0, 0), *changes]:
        index = which % len(drops)
        drops = moved(drops, repeat, Fraction(longer, 3)) if what == 1 else list(drops)
        drops[index] = replace(drops[index], height=drops[index].height + longer)
        if what == 2 and len(drops) > 1:
            del drops[index]
        if what == 3:
            drops.append(replace(drops[index], label=f"{len(drops)} more {longer} {which}"))
        drops = [replace(drop, label=f"{drop.label}") for drop in {drop.label: drop for drop in drops}.values()]
        alone = Job(job.paper, job.lots, tuple(drops))
        try:
            expected = solve(alone)
        except NoPlanError:
            with pytest.raises(NoPlanError):
                prover.prove(drops, names(drops))
            continue
        proved = prover.prove(drops, names(drops))

        assert proved.value == expected.value
        assert proved.bound == expected.proof.bound


BESIDE_A_DOOR = st.tuples(st.integers(2380, 2440), st.integers(0, 639), st.sampled_from([0, 150, 300]))
"""Height, first motif, and how wide a part of the drop's left falls out at the door."""
NARROW = st.tuples(st.integers(300, 1100), st.integers(0, 639), st.sampled_from([140, 290]))
"""Height, first motif, and width."""
Pieces: TypeAlias = "list[tuple[int, int, int]]"


@settings(max_examples=40, deadline=None)
@given(
    repeat=st.sampled_from([0, 530, 640]),
    roll_length=st.sampled_from([5_000, 7_600, 10_050]),
    packet=st.sampled_from([1, 2]),
    rooms=st.lists(
        st.tuples(st.lists(BESIDE_A_DOOR, min_size=2, max_size=6), st.lists(NARROW, min_size=1, max_size=4)),
        min_size=2,
        max_size=3,
    ),
)
def test_answer_with_cut_outs_and_neighbours_known_is_that_of_a_plan(
    repeat: int, roll_length: int, packet: int, rooms: list[tuple[Pieces, Pieces]]
) -> None:
    """Whether what falls out of drops saves a roll or none, each room comes to what planning it alone comes to.

    Drops out of which 1500 mm fall, 800 mm below their tops, hang first, and narrow ones of up to 1100 mm after them.
    """
    pattern = Pattern(Fraction(repeat), Fraction(0))
    paper = Paper("Invented", pattern, Fraction(roll_length), Fraction(530), sale=Sale(packet=packet))
    lots = (Lot("roll", paper.roll_length, count=None),)
    prover = Prover(paper, lots)
    for tall, narrow in rooms:
        drops: list[Drop] = []
        for height, motif, width in (*tall, *narrow):
            first = pattern.within_repeat(Fraction(motif))
            drop = Drop(str(len(drops) + 1), Fraction(height), first, Fraction(50), Fraction(50))
            if height < 2000:
                drop = replace(drop, left=Fraction(0), right=Fraction(width))
            elif width:
                motif_out = pattern.within_repeat(first - 800)
                fallen = CutOut(f"cut-out of {drop.label}", Fraction(1500), motif_out, Fraction(0), Fraction(width))
                drop = replace(drop, cut_outs=(fallen,))
            drops.append(drop)
        plan = solve(Job(paper, lots, tuple(drops)))
        proved = prover.prove(drops, names(drops))

        assert proved.value == proved.bound == paper.sale.bought(plan.rolls_needed)


def test_drop_longer_than_any_roll_is_refused() -> None:
    """Both lengths are named, as for a plan."""
    job = random_room(2, match="free", stock="sealed", most_columns=3)
    drops = [replace(job.drops[0], label="1", count=1, height=Fraction(12_000))]

    with pytest.raises(NoPlanError) as refused:
        Prover(job.paper, SEALED).prove(drops, names(drops))
    assert str(refused.value) == (
        "drop 1 needs 12100 mm with its trims, but no roll gives more than 10050 mm, 2050 mm short: "
        "the longest roll is 10050 mm"
    )
