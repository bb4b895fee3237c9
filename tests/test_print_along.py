"""Where along paper a piece may start, and which paper may serve which piece."""

from __future__ import annotations

from fractions import Fraction

from cutplan.job.drops import CutOut, Drop
from cutplan.job.job import Job
from cutplan.job.offcuts import cut_out_lots
from cutplan.job.print_along import could_hold, first_start, lead_in, place_along, rest_after
from cutplan.lengths import ZERO
from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Lot, Paper
from cutplan.solve import solve

STRAIGHT = Pattern(Fraction(640), ZERO)
STRIP = Fraction(530)


def drop(label: str, height: int, first_motif: int = 0, left: int | None = None, right: int | None = None) -> Drop:
    """Return a drop without trims."""
    begin, end = (None if side is None else Fraction(side) for side in (left, right))
    return Drop(label, Fraction(height), Fraction(first_motif), ZERO, ZERO, left=begin, right=end)


def job_of(pattern: Pattern, lots: tuple[Lot, ...], drops: tuple[Drop, ...]) -> Job:
    """Return a job on a strip of 530 mm."""
    return Job(Paper("trial", pattern, Fraction(10050), STRIP), lots, drops)


def test_full_drop_is_cut_from_no_narrow_roll() -> None:
    """What is left of a narrow piece serves narrow drops only, though it counts as a roll: 300 mm of 530 are there."""
    rest = Lot("rest", Fraction(9000), left=ZERO, right=Fraction(300))
    lots = (rest, Lot("whole", Fraction(9000)))
    plan = solve(job_of(Pattern(ZERO, ZERO), lots, (drop("narrow", 2400, 0, 0, 300), drop("full", 2400))))

    cut_from = {cut.drop: layout.lot for layout in plan.layouts for cut in layout.cuts}

    assert cut_from["full"] == "whole"


def test_print_that_nobody_measured_may_cost_a_whole_repeat() -> None:
    """An unmeasured offcut of 3000 mm is sure of 2360 mm, one repeat of 640 less, and holds no longer drop."""
    unknown = Lot("kept", Fraction(3000), None, is_offcut=True)

    assert lead_in(STRAIGHT, unknown, drop("1", 2360)) == 640
    assert could_hold(STRAIGHT, unknown, drop("1", 2360))
    assert not could_hold(STRAIGHT, unknown, drop("1", 2361))


def test_second_drop_waits_for_its_print_and_the_rest_begins_with_it() -> None:
    """On a roll with its motif at 100, drops of 1000 with theirs at 0 start at 100 and 1380: 360 lost to the match."""
    roll = Lot("A", Fraction(3000), Fraction(100))
    job = job_of(STRAIGHT, (roll,), (drop("1", 1000), drop("2", 1000)))

    placed = place_along(job, roll, ("1", "2"))
    rest = rest_after(job, roll, ("1", "2"))

    assert placed is not None
    assert [at.start for at in placed] == [100, 1380]
    assert first_start(STRAIGHT, roll, roll.stretches[0], drop("3", 1000), placed[-1]) is None  # it would end at 3660
    # 620 mm behind 2380, and motifs at 100 + 4 × 640 = 2660, which is 280 below that end.
    assert rest is not None
    assert rest.length == 620
    assert rest.first_motif == 280


def test_cut_out_has_the_width_and_batch_of_what_its_drop_is_cut_from() -> None:
    """Beside a piece cut from paper that ends at 400 only 300 to 400 is slit off, and it is of that paper's batch."""
    beside = CutOut("right of 1", Fraction(2000), ZERO, Fraction(300), STRIP)
    narrow = Drop("1", Fraction(2000), ZERO, ZERO, ZERO, left=ZERO, right=Fraction(300), cut_outs=(beside,))
    paper = job_of(STRAIGHT, (Lot("A", Fraction(9000)),), (narrow,)).paper
    source = Lot("kept", Fraction(2500), ZERO, batch="11", left=ZERO, right=Fraction(400), is_offcut=True)

    (cut_out,) = cut_out_lots(narrow, paper, source)

    assert cut_out.left == 300
    assert cut_out.right == 400
    assert cut_out.batch == "11"
    assert not cut_out_lots(narrow, paper, Lot("300 wide", Fraction(2500), left=ZERO, right=Fraction(300)))
