"""Every sentence of ``buy`` that states a number or promises a piece, worked out again from what is printed.

``benchmarks/buying_sentences.py`` does the same for 300 small rooms and as many larger ones as wanted.
"""

from __future__ import annotations

import pytest

from buying_asked import judged, judged_large
from buying_jobs import half_drop_four
from buying_judge import Piece, Room, chance_of, least_measured_first, least_to_buy


@pytest.mark.parametrize("seed", [1, 5, 16, 22, 27, 36, 38, 43, 47, 49, 57])
def test_what_is_said_of_a_small_room_is_true(seed: int) -> None:
    """Rooms of every stock, with rolls of full length and 10 % short: numbers, names and promises."""
    faults, stated = judged(seed)

    assert faults == []
    assert stated > 8


@pytest.mark.parametrize("seed", [0, 1])
def test_what_is_said_of_a_usual_room_is_true_of_the_printed_plan(seed: int) -> None:
    """Tight rolls, and drops that can and cannot be cut again, are those of the plan that ``plan`` prints."""
    faults, stated = judged_large(seed)

    assert faults == []
    assert stated > 4


def test_judge_agrees_with_the_reckoning_by_eye() -> None:
    """Of the half-drop: 4 certain, 2 at best, 3 measured first, and 17 of 18 cases with 2."""
    job = half_drop_four()
    pieces = tuple(Piece(drop.label, drop.cut_length, drop.motif_below_cut, None) for drop in job.drops)
    room = Room(job.paper.roll_length, job.paper.pattern.repeat, pieces, (), (job.drops[0].trim_top,) * 2)

    assert (least_to_buy(room, []), least_to_buy(room, [], at_best=True), least_measured_first(room)) == (4, 2, 3)
    assert chance_of(room, 2) * 18 == 17
