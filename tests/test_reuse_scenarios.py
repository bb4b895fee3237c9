"""The scenarios about reuse: what it saves, or that it cannot be, by trying every share-out of their drops."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

import pytest
from msgspec.structs import replace

import test_special_stock
from cutplan.check import check_text
from cutplan.parts.read_parts import read_scenario
from cutplan.plan.proof import Status
from cutplan.render.documents.plan_document import plan_document, plan_text
from cutplan.solve import solve
from cutplan.solve.ordering import order_cuts
from test_special_stock import fits, least_value, wide_enough

if TYPE_CHECKING:
    from cutplan.job.job import Job

FOLDER: Final = Path(__file__).parent.parent / "scenarios"


def without_cut_outs(job: Job) -> Job:
    """Return the same job with nothing falling out of its drops."""
    return replace(job, drops=tuple(replace(drop, cut_outs=()) for drop in job.drops))


@pytest.mark.parametrize(
    ("name", "with_reuse", "from_rolls"),
    [("reuse-one-roll", 2, 3), ("reuse-two-rolls", 2, 4), ("reuse-misleads", 3, 3)],
)
def test_reuse_saves_as_many_rolls_as_trying_everything_finds(
    name: str, with_reuse: int, from_rolls: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every share-out of the drops among rolls and cut-outs is tried, at every place that the print allows."""
    monkeypatch.setattr(test_special_stock, "WIDTH", 530)  # the strip of these papers, not of the small trials
    scenario = read_scenario(FOLDER / f"{name}.toml")
    assert least_value(scenario.job) == with_reuse
    assert least_value(without_cut_outs(scenario.job)) == from_rolls

    plan = solve(scenario.job)

    assert (plan.rolls_needed, plan.status) == (with_reuse, Status.OPTIMAL)
    assert solve(without_cut_outs(scenario.job)).rolls_needed == from_rolls
    report = check_text(plan_text(plan_document(order_cuts(plan), scenario)))
    assert report.violations == ()


def test_the_reuse_that_misleads_fails_by_the_side_and_by_the_print() -> None:
    """One cut-out is long enough, on the wrong side; the other has the side, and is too short below its lead-in."""
    job = read_scenario(FOLDER / "reuse-misleads.toml").job
    piece = job.drop("over the hatch")
    lots = {
        cut_out.label: replace(
            job.lot("A"),
            label=cut_out.label,
            length=cut_out.length,
            first_motif=cut_out.first_motif,
            left=cut_out.left,
            right=cut_out.right,
        )
        for drop in job.drops
        for cut_out in drop.cut_outs
    }
    door, window = lots["cut-out of 3"], lots["cut-out of 4"]

    assert (fits(job, door, [piece]), wide_enough(door, replace(piece, right=job.paper.roll_width))) == (True, False)
    assert (fits(job, window, [piece]), window.covers(piece.left, piece.right)) == (False, True)
    assert window.length > piece.cut_length
