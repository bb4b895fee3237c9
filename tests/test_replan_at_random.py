"""Planning again after random work and random spoiling; ``benchmarks/replanning.py`` takes more of the same."""

from __future__ import annotations

from fractions import Fraction

import pytest
from msgspec.structs import replace

from cutplan.paper.stock import Lot
from cutplan.progress.entries import Bought
from cutplan.progress.plan_in_use import StockLot
from cutplan.progress.still_enough import still_enough
from replanned import Replanned, replanned


@pytest.mark.parametrize("first", range(0, 120, 10))
def test_answers_are_those_of_trying_everything_and_plans_hold_with_nothing_lost(first: int) -> None:
    """Small jobs with special stock, batches and surveys, in several plans: rolls, judgement and echo are right."""
    wrong = [
        (seed, found.answer.further, found.least, found.faults)
        for seed in range(first, first + 10)
        if (found := replanned(seed)) is not None and not found.is_right
    ]

    assert wrong == []


@pytest.mark.parametrize("first", range(0, 60, 10))
def test_more_paper_never_turns_a_yes_into_a_no(first: int) -> None:
    """One more roll, or one more offcut, of each batch: what was enough still is, with no more rolls opened."""
    for seed in range(first, first + 10):
        found = replanned(seed)
        if found is not None and found.answer.is_enough:
            for answer in more_paper(found):
                assert answer <= found.answer.further, seed


def more_paper(found: Replanned) -> list[int]:
    """Return how many rolls the rest opens with one more roll, or offcut, of each batch."""
    state, job = found.state, found.state.job
    further = []
    for batch in {lot.batch for lot in job.rolls}:
        roll = Lot("one more", Fraction(30), batch=batch, price=job.rolls[0].price)
        bought = state.after(Bought((StockLot(roll, roll.label),)))
        offcut = Lot("one more", Fraction(9), Fraction(0), batch=batch, is_offcut=True)
        kept = replace(state, job=replace(job, lots=(*job.lots, offcut)))
        for richer in (bought, kept):
            answer = still_enough(richer, found.scenario)
            assert answer.is_enough
            further.append(answer.further)
    return further
