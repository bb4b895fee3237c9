from __future__ import annotations

from collections import Counter
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING

from hypothesis import given, settings
from msgspec.structs import replace

from cutplan.paper.stock import Lot
from cutplan.plan.order import USUAL_OPEN_ROLLS
from cutplan.plan.plan import Cut
from cutplan.table.hanging_order import walk
from dealt_plans import plans
from hand_plans import HALF_DROP, drop, free_match_wall, half_drop_wall, job, packed

if TYPE_CHECKING:
    from cutplan.plan.plan import Plan, RollLayout


def labels_in_cutting_order(plan: Plan) -> list[str]:
    """Return the labels of a plan's drops in the order in which they are cut."""
    walked = walk(plan)
    made: Counter[int] = Counter()
    labels = []
    for index in walked.moves:
        labels.append(walked.plan.layouts[index].cuts[made[index]].drop)
        made[index] += 1
    return labels


def test_half_drop_is_cut_in_hanging_order_from_two_open_rolls() -> None:
    """Odd and even columns come from two rolls in turn, so that drops come off in order 1 2 3 4."""
    assert labels_in_cutting_order(half_drop_wall()) == ["1", "2", "3", "4"]


def test_rolls_are_numbered_as_they_are_opened() -> None:
    """The roll that holds drop 1 is opened first, so it becomes roll 1 of its lot."""
    ordered = walk(half_drop_wall()).plan

    assert [(layout.first_number, layout.cuts[0].drop) for layout in ordered.layouts] == [(1, "1"), (2, "2")]


def test_drops_alike_trade_places() -> None:
    """Six columns alike, dealt out at random, are cut 1 to 6: any of them fits any of the cuts."""
    alike = [drop(str(column), 2400, 95) for column in range(1, 7)]
    plan = packed(job(alike), [("roll", 1, "526"), ("roll", 1, "413")])

    assert labels_in_cutting_order(plan) == ["1", "2", "3", "4", "5", "6"]


def test_drops_differing_in_print_do_not_trade_places() -> None:
    """Drops 1 and 2 are as long as each other, but a half-drop apart: each keeps its own kind of cut."""
    ordered = walk(half_drop_wall()).plan

    assert [[cut.drop for cut in layout.cuts] for layout in ordered.layouts] == [["1", "3"], ["2", "4"]]


def test_whole_repeats_do_not_make_another_kind() -> None:
    """Under 50 mm of trim a first motif of 590 puts a motif on the cut top; so does 0 under 640 mm."""
    low = replace(drop("1", 2400, 590), trim_bottom=Fraction(640))
    high = replace(drop("2", 2400, 0), trim_top=Fraction(640))
    plan = packed(job([low, high]), [("roll", 1, "21")])

    assert labels_in_cutting_order(plan) == ["1", "2"]


def test_free_match_is_cut_in_hanging_order_along_the_roll() -> None:
    """With nothing to match, the order on a roll costs nothing, so it is the hanging order."""
    ordered = walk(free_match_wall()).plan

    # 2500, then 500, then 2500 mm.
    assert ordered.layouts[0].cuts == (
        Cut("1", Fraction(0), Fraction(2500)),
        Cut("2 over door", Fraction(2500), Fraction(3000)),
        Cut("3", Fraction(3000), Fraction(5500)),
    )


def test_order_along_a_patterned_roll_changes_only_where_it_costs_no_paper() -> None:
    """Two of one print and one of the other lose less when the two lie together, so they stay together."""
    # Alike: 60 mm lost between them. Unlike: (95 - 2500 - 415) mod 640 = 380 mm.
    drops = [drop("1", 2400, 95), drop("2", 2400, 415), drop("3", 2400, 95)]
    lots = (Lot("roll", Fraction(8700), count=None),)
    plan = packed(job(drops, HALF_DROP, lots), [("roll", 1, "213")])
    ordered = walk(plan).plan

    assert [cut.drop for cut in ordered.layouts[0].cuts] == ["1", "3", "2"]
    assert ordered.layouts[0].end == plan.layouts[0].end == 640 + 3 * 2500 + 60 + 380


def test_rolls_cut_alike_stay_one_layout() -> None:
    """A layout for 37 rolls is taken whole, when its first drop is wanted, and never expanded."""
    drops = [drop("sample", 2400, 95), drop("full", 2400, 415, count=111)]
    plan = packed(job(drops), [("roll", 37, ["full"] * 3), ("roll", 1, ["sample"])])
    walked = walk(plan)

    assert [(layout.first_number, layout.count) for layout in walked.plan.layouts] == [(1, 1), (2, 37)]
    assert walked.moves == (0, 1, 1, 1)


def kinds_of(plan: Plan, layout: RollLayout) -> Counter[tuple[Fraction, Fraction]]:
    """Return how many drops of each cut length and first motif below the cut top a layout has."""
    found = (plan.job.drop(cut.drop) for cut in layout.cuts)
    within = plan.job.paper.pattern.within_repeat
    return Counter((piece.cut_length, within(piece.motif_below_cut)) for piece in found)


@settings(max_examples=50, deadline=None)
@given(plans())
def test_hanging_order_keeps_every_roll_its_kinds_and_its_room(plan: Plan) -> None:
    """Whatever is traded, each drop is cut once, each roll gives the same kinds, and none is used further."""
    ordered = walk(plan).plan

    assert sorted(cut.drop for layout in ordered.layouts for cut in layout.cuts) == sorted(
        piece.label for piece in plan.job.drops
    )
    unmatched = list(plan.layouts)
    for layout in ordered.layouts:
        twin = next(
            (
                other
                for other in unmatched
                if (other.lot, kinds_of(plan, other)) == (layout.lot, kinds_of(plan, layout))
                and layout.end <= other.end
            ),
            None,
        )
        assert twin is not None
        unmatched.remove(twin)


@settings(max_examples=50, deadline=None)
@given(plans())
def test_hanging_order_keeps_every_cut_in_its_place_in_the_print(plan: Plan) -> None:
    """Start + trim + first motif falls on a motif of the roll (design: s + trim + f = m mod R); none overlap."""
    repeat = plan.job.paper.pattern.repeat
    for layout in walk(plan).plan.layouts:
        for cut in layout.cuts:
            piece = plan.job.drop(cut.drop)
            assert cut.end - cut.start == piece.cut_length
        for before, after in pairwise(layout.cuts):
            assert after.start >= before.end
            if repeat:
                first, second = plan.job.drop(before.drop), plan.job.drop(after.drop)
                apart = after.start + second.motif_below_cut - before.start - first.motif_below_cut
                assert apart % repeat == 0
        motif = plan.job.lot(layout.lot).first_motif
        if repeat and motif is not None:
            start = layout.cuts[0].start + plan.job.drop(layout.cuts[0].drop).motif_below_cut
            assert (start - motif) % repeat == 0


@settings(max_examples=50, deadline=None)
@given(plans())
def test_hanging_order_of_a_plan_in_hanging_order_is_itself(plan: Plan) -> None:
    """Doing it twice changes nothing, so a plan read back prints the same sequence."""
    ordered = walk(plan).plan

    assert walk(ordered).plan == ordered


@settings(max_examples=50, deadline=None)
@given(plans())
def test_no_more_than_two_rolls_are_ever_open(plan: Plan) -> None:
    """From its first cut to its last a roll is open; USUAL_OPEN_ROLLS is 2."""
    moves = walk(plan).moves
    for now in range(len(moves)):
        are_open = {index for index in moves[: now + 1] if index in moves[now:]}
        assert len(are_open) <= USUAL_OPEN_ROLLS


def test_rolls_already_open_are_cut_from_before_another_is_opened() -> None:
    """Rolls A, B and C are each planned for one drop; with C open already, drop 1 comes from C, not from A."""
    lots = tuple(Lot(label, Fraction(2500), Fraction(95)) for label in "ABC")
    drops = [drop(label, 2000, 95) for label in "123"]
    plan = packed(job(drops, lots=lots), [("A", 1, "1"), ("B", 1, "2"), ("C", 1, "3")])
    walked = walk(plan, opened=("C",))

    assert [(layout.lot, layout.cuts[0].drop) for layout in walked.plan.layouts] == [("C", "1"), ("A", "2"), ("B", "3")]
