"""What offcuts save, in the plan, on the page and in JSON; and that cut-outs are left alone where they save nothing."""

from __future__ import annotations

from fractions import Fraction

from msgspec.structs import replace

from cutplan.job.drops import CutOut, Drop
from cutplan.job.job import Job
from cutplan.paper.pattern import FREE
from cutplan.paper.stock import Lot, Paper
from cutplan.plan.plan import Plan, WithoutOffcuts
from cutplan.render.documents.plan_document import plan_document
from cutplan.render.words.answer_words import answer
from cutplan.scenario.read import Scenario
from cutplan.solve import solve

ZERO = Fraction(0)


def falls_out(label: str, length: int, width: int) -> CutOut:
    """Return what falls out of a drop, from the strip's left edge."""
    return CutOut(f"cut-out of {label}", Fraction(length), ZERO, ZERO, Fraction(width))


def room(rolls: int | None, length: int, *, kept: bool = False) -> Job:
    """Return two drops of 900 mm, 300 by 500 mm falling out of each, and two of 250 mm that need 100 to 200 mm across.

    ``rolls`` of ``length`` mm are there; ``kept`` is an offcut of 260 mm, full width.
    """
    wide = [
        Drop(label, Fraction(900), ZERO, ZERO, ZERO, cut_outs=(falls_out(label, 500, 300),)) for label in ("1", "2")
    ]
    over = [Drop(label, Fraction(250), ZERO, ZERO, ZERO, left=Fraction(100), right=Fraction(200)) for label in "34"]
    lots = [Lot("A", Fraction(length), count=rolls)]
    if kept:
        lots.append(Lot("K", Fraction(260), is_offcut=True))
    return Job(Paper("trial", FREE, Fraction(length), Fraction(530)), tuple(lots), (*wide, *over))


def figures_without(plan: Plan) -> tuple[Fraction | int, int, bool]:
    """Return the value and the rolls of the same job without offcuts, and whether that is proved."""
    without = plan.without_offcuts
    assert without is not None
    assert without.plan is not None
    return without.plan.value, without.plan.rolls_needed, without.is_proved


def test_a_roll_saved_is_told_with_its_pieces() -> None:
    """Two rolls of 1000 mm hold one wide drop each, a third would hold both small ones: both come from a cut-out."""
    plan = solve(room(None, 1000))

    assert plan.rolls_needed == 2
    assert figures_without(plan) == (3, 3, True)
    assert answer(plan)[2] == (
        "Offcuts save 1 roll: without them it takes 3 rolls. From them come drops 3 and 4 from cut-out of 1."
    )


def test_cut_outs_are_left_alone_where_they_save_nothing() -> None:
    """Two rolls of 1200 mm hold a small drop each beside the wide one, so nobody need wait for a cut-out."""
    plan = solve(room(None, 1200))

    assert plan.rolls_needed == 2
    assert not plan.uses_offcuts
    assert plan.without_offcuts is None
    assert len(answer(plan)) == 2


def test_offcuts_kept_are_used_although_they_save_no_roll() -> None:
    """The offcut lies there dry: it is used up, and the page says that it need not be."""
    plan = solve(room(None, 1200, kept=True))

    assert figures_without(plan) == (2, 2, True)
    assert answer(plan)[2] == "Offcuts are used, but 2 rolls would do without them too: drop 4 from offcut K."


def test_rolls_too_few_without_offcuts_are_told() -> None:
    """With two rolls of 1000 mm in hand the job can be done only because of the cut-outs."""
    plan = solve(room(2, 1000))

    assert plan.without_offcuts == WithoutOffcuts(None, is_proved=True)
    assert answer(plan)[2] == "Without offcuts the rolls are too few: drops 3 and 4 from cut-out of 1."


def test_money_saved_is_told_where_prices_differ() -> None:
    """A third roll would be one of the dear ones at 50."""
    job = room(2, 1000)
    cheap, dear = replace(job.lots[0], price=Fraction(30)), Lot("B", Fraction(1000), price=Fraction(50))
    plan = solve(replace(job, lots=(cheap, dear)))

    assert answer(plan)[2] == (
        "Offcuts save money: without them it takes 3 rolls costing 110.00. "
        "From them come drops 3 and 4 from cut-out of 1."
    )


def test_json_has_the_figures() -> None:
    """Beside the rolls needed stand those that it would take without offcuts."""
    plan = solve(room(None, 1000))
    document = plan_document(plan, Scenario(plan.job, "mm", (), {}, "room.toml"))

    without = document["without_offcuts"]
    assert isinstance(without, dict)
    assert (without["rolls_needed"], without["proved"], without["plan"]["rolls_needed"]) == (3, True, 3)
    assert "without_offcuts" not in plan_document(
        solve(room(None, 1200)), Scenario(plan.job, "mm", (), {}, "room.toml")
    )
