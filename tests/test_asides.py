"""What the sequence says to lay aside: at the right step, with what to write on it, and before it is taken up again."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from cutplan.render.words.step_words import words_of
from cutplan.scenario.read import parse_scenario
from cutplan.solve.ordering import order_cuts
from cutplan.table.lay_aside import asides_of
from cutplan.table.left_over import leavings_of
from cutplan.table.sequence import sequence_of
from cutplan.table.steps import CutDrop, CutOff, NextStretch, OpenRoll
from special_scenarios import special_scenario
from test_keeping import ROOM, SHORT
from test_special_stock import solved

if TYPE_CHECKING:
    from cutplan.table.steps import Sequence


def sequence(text: str) -> Sequence:
    """Return the sequence of the plan of a scenario."""
    plan = solved(parse_scenario(text, "job.toml").job)
    assert plan is not None
    return sequence_of(order_cuts(plan))


def said(text: str) -> list[str]:
    """Return the steps of a scenario's plan in words."""
    steps = sequence(text)
    return [words_of(steps, "mm")(step) for step in steps.steps]


def test_a_cut_out_is_laid_aside_with_its_drop_and_taken_up_for_the_piece_cut_from_it() -> None:
    """Drop 1 gives the cut-out, 500 long, from 300 to 530 across; drop 2 is cut from it, 50 below its upper end."""
    cut, taken_up, piece = (line.replace("\N{NO-BREAK SPACE}", " ") for line in said(SHORT)[2:])

    assert cut == (
        'Cut drop 1: 900 mm, motif 20 mm below its top. Write "1 ↑" on its back. When it hangs and is trimmed, lay '
        "aside what comes away (500 mm long, from 300 mm to 530 mm across): write "
        '"cut-out of 1 ↑" on it; drop 2 will be cut from it.'
    )
    assert taken_up == (
        "When drop 1 hangs and is trimmed, take up cut-out of 1 (500 mm, from 300 mm to 530 mm of the strip's width) "
        "and check: motif 70 mm below its end."
    )
    assert piece == 'Cut drop 2: 450 mm, motif 70 mm below its top. Write "2 ↑" on its back.'


def test_what_is_kept_of_a_roll_is_laid_aside_with_its_last_cut() -> None:
    """The end of A would serve as drop 2, and so would the cut-out of drop 1; the loss between them is too short."""
    asides = asides_of(sequence(ROOM))

    assert [(number, [aside.labels.shown for aside in found]) for number, found in asides.items()] == [
        (3, ["cut-out of 1"]),
        (5, ["end of A"]),
    ]


LOSS = """\
units = "mm"
[paper]
roll_length = 2200
match = "700 mm"
[trim]
top = 0
bottom = 0
[[roll]]
label = "A"
first_motif = 650
[[drop]]
label = "1"
height = 1300
first_motif = 0
[[drop]]
label = "2"
height = 25
first_motif = 600
"""
"""Drop 1 starts at 650. Drop 2 may start at 50, 750, 1450 and 2150: it comes behind drop 1, in hanging order."""


def test_a_lead_in_worth_keeping_is_kept_where_it_comes_off() -> None:
    """The 650 before drop 1 hold another drop 2, from 50 on; the 200 between the two drops hold none."""
    assert said(LOSS)[1] == (
        "Cut off 650 mm, to leave the motif exactly at the new end. "
        'Keep what comes off: write "start\N{NO-BREAK SPACE}of\N{NO-BREAK SPACE}A\N{NO-BREAK SPACE}↑" on it.'
    )
    assert list(asides_of(sequence(LOSS))) == [2]


@pytest.mark.parametrize("seed", range(100))
def test_everything_kept_is_laid_aside_once_and_cut_outs_before_they_are_taken_up(seed: int) -> None:
    """On special stock: each kept piece of this job's own paper has one step, and no other step names any."""
    plan = solved(parse_scenario(special_scenario(seed, free=seed % 2 == 0), "special.toml").job)
    if plan is None:
        pytest.skip("no plan for this job")
    steps = sequence_of(order_cuts(plan))
    asides = asides_of(steps)
    kinds = {step.number: step for step in steps.steps}

    named = [aside.labels.shown for found in asides.values() for aside in found]
    used = [layout.lot for layout in steps.plan.layouts if plan.job.lot(layout.lot).cut_from is not None]
    untouched = {lot.label for lot in plan.job.lots if lot.is_offcut}
    kept = [piece.labels.shown for piece in leavings_of(steps.plan).kept if piece.paper.label not in untouched]
    assert sorted(named) == sorted(kept + used)
    for number, found in asides.items():
        for aside in found:
            step = kinds[number]
            assert isinstance(step, CutOff if aside.is_cut_off else (CutDrop, NextStretch))
            taken_up = [
                other.number
                for other in steps.steps
                if isinstance(other, OpenRoll) and other.roll == aside.labels.shown
            ]
            assert all(number < later for later in taken_up)
