"""More paper never makes an answer worse: an offcut takes away no cut-out that is counted on."""

from __future__ import annotations

import pytest

from cutplan.check import check_text
from cutplan.render.documents.plan_document import plan_document, plan_text
from cutplan.scenario.read import parse_scenario
from cutplan.solve import solve
from cutplan.solve.ordering import order_cuts

CUT_OUTS = "cut_outs = [{ from_top = 1100, length = 2000, right = 230 }, { from_top = 970, length = 2100, left = 300 }]"

TWO_ROLLS = (
    'units = "mm"\n[paper]\nroll_length = "10.05 m"\nroll_width = 530\nmatch = "64 cm"\n'
    '[[roll]]\nlabel = "A"\nfirst_motif = 200\n[[roll]]\nlabel = "B"\nfirst_motif = 250\n'
    + "".join(
        f'[[drop]]\nlabel = "{number}"\nheight = 3100\nfirst_motif = 95\n{CUT_OUTS if number == 3 else ""}\n'
        for number in range(1, 7)
    )
    + '[[drop]]\nlabel = "7"\nheight = 1600\nfirst_motif = 95\nright = 200\n'
    + '[[drop]]\nlabel = "8"\nheight = 1600\nfirst_motif = 95\nleft = 330\n'
)
"""Six drops of 3100 fill both rolls, three to each; the two narrow ones come from the cut-outs of drop 3."""

OFFCUT = '[[offcut]]\nlabel = "K"\nlength = 3300\nfirst_motif = 145\n'
"""As long as a drop of 3200 with its trims: drop 3 could come from it."""

THIRD = '[[roll]]\nlabel = "C"\nfirst_motif = 130\n'


@pytest.mark.parametrize("more", ["", OFFCUT, OFFCUT + THIRD])
def test_offcut_that_a_drop_with_cut_outs_could_come_from_costs_no_roll(more: str) -> None:
    """Two rolls are proved, with an offcut more and with a third roll in hand as well, and the judge agrees."""
    scenario = parse_scenario(TWO_ROLLS + more, "job.toml")

    plan = solve(scenario.job)

    assert (plan.rolls_needed, plan.lower_bound) == (2, 2)
    assert check_text(plan_text(plan_document(order_cuts(plan), scenario))).violations == ()
