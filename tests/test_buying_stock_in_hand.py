"""Rolls in hand when more are bought: sealed ones may be short, part rolls are measured, batches are kept apart."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

import pytest
from msgspec.structs import replace

from buying_jobs import ROLL, half_drop_four, job_of, plain, with_rolls
from cutplan.buying.certain import Figure
from cutplan.buying.how_many import Wishes, how_many_rolls
from cutplan.buying.need import Need, Size
from cutplan.job.drops import Drop
from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Lot, Stretch
from cutplan.plan.order import CuttingHabit
from cutplan.render.pages.buying_page import advice, buying_page
from cutplan.scenario.read import parse_scenario
from cutplan.solve import make_plan
from cutplan.table.left_over import leavings_of
from cutplan.table.sequence import sequence_of
from roll_starts import are_enough, sets_by_start, small_job

if TYPE_CHECKING:
    from cutplan.job.job import Job

FULL_LENGTH: Final = Wishes(tolerance=Fraction(0))
STRAIGHT: Final = Pattern(Fraction(640), Fraction(0))
TRIM: Final = Fraction(50)


def strips(wall: str | None, count: int, height: int = 2500) -> Drop:
    """Return drops alike on a wall, their first motif 95 mm below the finished top."""
    return Drop(f"{wall} {height}", Fraction(height), Fraction(95), TRIM, TRIM, count, wall=wall)


def two_walls(*lots: Lot, wall: str | None = "n", other: str | None = "s") -> Job:
    """Return four drops on one wall and two on another, 2600 mm as cut.

    At a repeat of 640 mm the next starts 5 × 640 = 3200 mm further, so a roll of 10.05 m gives three, whether its first
    motif is at 100 (the first starts at 595, the third ends at 9595) or it is sealed (640 + 2 × 3200 + 2600 = 9640).
    """
    return with_rolls(job_of((strips(wall, 4), strips(other, 2, 2501)), STRAIGHT, ROLL), *lots)


def roll(label: str, batch: str | None) -> Lot:
    """Return a measured roll of a batch."""
    return Lot(label, ROLL, Fraction(100), batch=batch)


# --- Sealed rolls in hand are short too ---------------------------------------------------------------------


def test_sealed_rolls_in_hand_may_be_short_too() -> None:
    """Three of 3000 mm every 3200 end at 640 + 6400 + 3000 = 10 040: of 9899 mm come two, so six need a third roll."""
    answer = how_many_rolls(with_rolls(job_of((strips(None, 6, 2900),), STRAIGHT, ROLL), Lot("S", ROLL, count=2)))

    assert answer.sure.figure == Figure(0, 0)
    assert answer.short is not None
    assert answer.short.figure == Figure(1, 1)
    assert answer.recommendation.buy == 1
    assert [(tight.roll, tight.slack) for tight in answer.tight] == [("S-1", Fraction(10)), ("S-2", Fraction(10))]


def test_measured_roll_in_hand_is_as_long_as_it_is_written_down() -> None:
    """Of the same two rolls, measured, each gives three however short others may be."""
    measured = Lot("S", ROLL, Fraction(145), count=2)  # the first drop starts at 0
    answer = how_many_rolls(with_rolls(job_of((strips(None, 6, 2900),), STRAIGHT, ROLL), measured))

    assert answer.short is not None
    assert answer.short.figure == Figure(0, 0)
    assert answer.tight == ()


# --- A part roll in hand -------------------------------------------------------------------------------------


def part_roll_job() -> Job:
    """Return seven drops of 2.8 and 2.9 m at two places of a repeat of 1200, a sealed part roll of 3.8 m in hand."""
    drops = tuple(
        Drop(label, Fraction(height), Fraction(motif), Fraction(0), Fraction(0), count)
        for label, height, motif, count in (("1", 2800, 900, 1), ("2", 2900, 600, 4), ("4", 2900, 900, 2))
    )
    job = job_of(drops, Pattern(Fraction(1200), Fraction(0)), Fraction(5600))
    return with_rolls(job, Lot("half", Fraction(3800)))


def test_part_roll_in_hand_is_measured_too() -> None:
    """Wherever the part roll begins it gives one of the drops: 3800 − 2900 = 900 are lost at most before either place.

    Of the places 600 and 900 the next is never further than 900 away. So six rolls for six drops always do.
    """
    answer = how_many_rolls(part_roll_job(), FULL_LENGTH)

    assert answer.sure.figure == Figure(7, 7)
    assert answer.opened.figure == Figure(6, 6)
    assert answer.odds == ()
    assert answer.recommendation.buy == 6
    assert advice(answer) == (
        "Buy 6 rolls of Leaf, dusk, all of one batch, and open and measure all of them, "
        "and the sealed ones in hand, before the first cut."
    )


@pytest.mark.parametrize("seed", range(40))
def test_part_roll_agrees_with_every_start_on_a_grid(seed: int) -> None:
    """What is certain when measured first, and every exact chance, are those of trying all starts of both lengths."""
    job = small_job(seed)
    job = replace(job, drops=tuple(replace(drop, count=1) for drop in job.drops[:5]))
    shorter = job.paper.roll_length - 1 - seed % 4
    in_hand = with_rolls(job, Lot("part", shorter))

    answer = how_many_rolls(in_hand, replace(FULL_LENGTH, draws=100_000))

    parts = list(sets_by_start(replace(job, paper=replace(job.paper, roll_length=shorter))).items())
    wholes = list(sets_by_start(job).items())

    def chance(rolls: int) -> Fraction:
        """Return the share of all starts in the middle of a step for which so many rolls bought are enough."""
        known = {frozenset([0]): Fraction(1)}
        for starts in [parts, *[wholes] * rolls]:
            middles = [sets for start, sets in starts if start % 1 == Fraction(1, 2)]
            more: dict[frozenset[int], Fraction] = {}
            for done, share in known.items():
                for sets in middles:
                    reached = frozenset(one | other for one in done for other in sets if not one & other)
                    more[reached] = more.get(reached, Fraction(0)) + share / len(middles)
            known = more
        everything = (1 << len(job.drops)) - 1
        return sum((share for done, share in known.items() if everything in done), Fraction(0))

    least = next(rolls for rolls in range(6) if chance(rolls) == 1)
    assert answer.opened.figure == Figure(least, least)
    for odds in answer.odds:
        assert odds.is_exact
        assert odds.chance == chance(odds.rolls)
    if answer.opened.worst is not None:
        case = [dict(wholes)[motif] for motif in answer.opened.worst]
        case += [dict(parts)[motif] for _, motif in answer.opened.worst_in_hand]
        assert not are_enough(job, tuple(case))


def test_paper_in_pieces_is_taken_for_certain_and_called_a_bound() -> None:
    """Pieces of 1500 mm are certain of 900, and may give a drop of 1100 once measured: fewer rolls may be enough."""
    job = half_drop_four()
    pieces = (Stretch(Fraction(0), Fraction(1500), None), Stretch(Fraction(1500), Fraction(1500), None))
    answer = how_many_rolls(with_rolls(job, Lot("bolt", Fraction(3000), parts=pieces)), FULL_LENGTH)

    assert answer.opened.figure.least < answer.opened.figure.enough
    assert answer.opened.worst is None
    assert all(odds.is_at_least for odds in answer.odds)
    assert "Some paper in hand, in pieces or foot first, is not measured" in buying_page(answer)


# --- Batches -------------------------------------------------------------------------------------------------


def test_rolls_bought_are_of_the_batch_that_they_must_join() -> None:
    """The wall of four wants one more beside the three from A1; without batch A it takes two rolls of another."""
    answer = how_many_rolls(two_walls(roll("A1", "A")), FULL_LENGTH)

    assert answer.sure.figure == Figure(1, 1)
    assert answer.recommendation.of_batches == (("A", 1),)
    assert advice(answer) == "Buy 1 roll of Leaf, dusk of batch A."
    assert answer.otherwise is not None
    assert answer.otherwise.buy == 2
    assert "If batch A is sold\n    out, buy 2 rolls, all of one batch" in buying_page(answer)


def test_rolls_of_any_batch_will_do_where_no_wall_is_shared() -> None:
    """Three drops on one wall are all from A1, two on the other from a roll bought: no batch need be joined."""
    job = two_walls(roll("A1", "A"))
    answer = how_many_rolls(replace(job, drops=(strips("n", 3), strips("s", 2, 2501))), FULL_LENGTH)

    assert answer.recommendation.of_batches == ()
    assert answer.otherwise is None
    assert advice(answer) == "Buy 1 roll of Leaf, dusk."


def test_where_walls_are_not_told_rolls_of_another_batch_serve_alone() -> None:
    """Nobody knows which of the six hang side by side: one roll joins batch A, or two of another do it alone."""
    answer = how_many_rolls(two_walls(roll("A1", "A"), wall=None, other=None), FULL_LENGTH)

    assert advice(answer) == "Buy 1 roll of Leaf, dusk of batch A."
    assert answer.otherwise is not None
    assert answer.otherwise.buy == 2


def test_each_batch_in_hand_may_need_a_roll_of_its_own() -> None:
    """Six drops on each of two walls, a roll of A and one of B: one more of each, not three of either."""
    job = with_rolls(job_of((strips("n", 6), strips("s", 6, 2501)), STRAIGHT, ROLL), roll("A1", "A"), roll("B1", "B"))
    answer = how_many_rolls(job, FULL_LENGTH)

    assert answer.sure.figure == Figure(2, 2)
    assert advice(answer) == "Buy 2 rolls of Leaf, dusk: 1 of batch A and 1 of batch B."


def test_rolls_listed_as_needed_are_bought_of_the_batch_that_is_listed() -> None:
    """The wall of four cannot be shared by A1 and rolls of B: two of B are bought, as the plan says."""
    for wall, other, bought in (("n", "s", 2), (None, None, 1)):
        job = two_walls(roll("A1", "A"), Lot("N", ROLL, count=None, batch="B"), wall=wall, other=other)
        answer = how_many_rolls(job, FULL_LENGTH)
        plan = make_plan(job, CuttingHabit())

        assert plan.job.bought_in(plan.proof.bound) == answer.sure.figure.enough == bought
        assert answer.recommendation.of_batches == (("B", bought),)
        assert answer.otherwise is None


def test_a_wall_that_is_settled_wants_its_own_batch() -> None:
    """The wall of four must be of A, of which there is none: no roll of another batch can stand in."""
    job = two_walls(roll("B1", "B"))
    settled = replace(job, drops=(replace(job.drops[0], batch="A"), job.drops[1]))
    answer = how_many_rolls(settled, FULL_LENGTH)

    assert advice(answer) == "Buy 2 rolls of Leaf, dusk of batch A."
    assert answer.otherwise is None


def test_trim_is_not_proposed_against_the_batches() -> None:
    """Both rolls together give six at any trim, and the wall of four never from one: no trim saves the roll."""
    answer = how_many_rolls(two_walls(roll("A1", "A"), roll("B1", "B")), FULL_LENGTH)

    assert answer.sure.figure == Figure(1, 1)
    assert answer.trim is None


def test_spare_drop_is_not_promised_from_another_batch() -> None:
    """A1 gives the three of one wall, B1 one of the other and leaves room for two: not for the wall of A."""
    job = with_rolls(job_of((strips("n", 3), strips("s", 1, 2501)), STRAIGHT, ROLL), roll("A1", "A"), roll("B1", "B"))
    answer = how_many_rolls(job, FULL_LENGTH)

    assert answer.sure.figure == Figure(0, 0)
    assert answer.spoiled.dearest == ("n 2500",)
    assert "If drop n 2500 is spoiled, 1 roll must be bought, of batch A or B." in " ".join(buying_page(answer).split())


def test_what_is_kept_serves_only_walls_of_its_own_batch() -> None:
    """The end of B1 could be any drop by its print, and is none of the wall that hangs from A."""
    job = with_rolls(job_of((strips("n", 3), strips("s", 1, 2501)), STRAIGHT, ROLL), roll("A1", "A"), roll("B1", "B"))
    kept = leavings_of(make_plan(job, CuttingHabit())).kept

    serves = {(piece.paper.batch, drop.wall) for piece in kept for drop in piece.serves}
    assert serves == {("B", "s")}


def test_offcut_without_batch_is_said_to_be_left_out() -> None:
    """Where the batch of every roll is told, nobody knows whether such a piece is of it, be they of one or of two."""
    text = (
        'units = "mm"\n[paper]\nroll_length = 10050\nmatch = "free"\n'
        '[[roll]]\nlabel = "A1"\nbatch = "A"\n[[roll]]\nlabel = "B1"\nbatch = "B"\n'
        '[[offcut]]\nlabel = "kept"\nlength = 3000\n'
        '[[drop]]\nlabel = "1"\nwall = "n"\nheight = 2500\n'
    )
    said = 'offcut["kept"].batch: is not told, and that of every roll is, so nothing is cut from this offcut; add it'

    assert said in parse_scenario(text, "two.toml").notes
    assert said in parse_scenario(text.replace('batch = "B"\n', 'batch = "A"\n'), "one.toml").notes
    assert said not in parse_scenario(text.replace('batch = "B"\n', ""), "untold.toml").notes


# --- The plan that is spoken of, and what could go back --------------------------------------------------------


def test_plan_spoken_of_is_the_one_that_is_printed() -> None:
    """With rolls in hand or without, it is laid out, ordered and labelled as the command ``plan`` does."""
    for job in (half_drop_four(), with_rolls(plain(8, 2400), Lot("X", ROLL, count=3))):
        habit = CuttingHabit()
        printed = sequence_of(make_plan(job, habit)).plan

        assert how_many_rolls(job).plan.layouts == printed.layouts


def test_rolls_that_stay_sealed_could_be_returned() -> None:
    """Eight of 2.50 m from three rolls of 10.05 m: two give four each, and one stays; 9.899 m give three each."""
    answer = how_many_rolls(with_rolls(plain(8, 2400), Lot("X", ROLL, count=3)))

    assert answer.returning is not None
    assert (answer.returning.opened, answer.returning.unopened) == (2, ("X-3",))
    assert answer.returning.must_stay == 1
    page = buying_page(answer)
    assert "The plan opens 2 of the 3 rolls in hand; X-3 could be returned." in page
    assert "If every roll is 1.5 % short, it will be needed" in page


def test_what_returning_one_more_would_take() -> None:
    """Four of 2.55 m are 150 mm too long for one roll; with 31 mm of trim at either end a single roll does."""
    answer = how_many_rolls(with_rolls(plain(4, 2450), Lot("X", ROLL, count=3)), FULL_LENGTH)

    assert answer.returning is not None
    assert answer.returning.unopened == ("X-3",)
    assert answer.returning.trim is not None
    assert (answer.returning.trim.top, answer.returning.trim.bottom) == (Fraction(31), Fraction(31))
    assert "Trim of 31 mm at the top and 31 mm at the bottom: 1 roll" in buying_page(answer)


def test_too_few_rolls_in_hand_are_not_sent_to_compare() -> None:
    """Which drops are short is said instead, and the command that would refuse is not named."""
    answer = how_many_rolls(with_rolls(plain(8, 2400), Lot("X", ROLL)), FULL_LENGTH)
    page = buying_page(answer, is_room=True)

    said = "What is bought is, in the plan, for 4 of the 8 of drop strip."
    assert said in " ".join(page.split())
    assert "cutplan compare" not in page


# --- Sizes on offer --------------------------------------------------------------------------------------------


def test_cheaper_size_is_in_the_headline() -> None:
    """Seven of 2.70 m: one roll of 20.10 m for 150 is cheaper than three of 10.05 m at 80."""
    wishes = replace(FULL_LENGTH, other_sizes=(Size(2 * ROLL, Fraction(150)),))
    answer = how_many_rolls(plain(7, 2600, price=Fraction(80)), wishes)

    assert advice(answer) == "Buy 1 roll of 20100 mm, Leaf, dusk (150.00)."
    assert "The figures below are for rolls of 10050 mm, which would cost 240.00" in buying_page(answer)


def test_cheapest_mixture_is_in_the_headline() -> None:
    """Ten of 2.70 m: a double roll for seven and a single one for three."""
    wishes = replace(FULL_LENGTH, other_sizes=(Size(2 * ROLL, Fraction(150)),))
    answer = how_many_rolls(plain(10, 2600, price=Fraction(80)), wishes)

    assert advice(answer) == "Buy 1 roll of 10050 mm and 1 roll of 20100 mm, Leaf, dusk, all of one batch (230.00)."


def test_sizes_are_compared_measured_first_as_the_headline_is() -> None:
    """Measured first three rolls of 2800 mm at 40 are 120; as they come they are 160, and one of 5600 mm is 150."""
    job = half_drop_four()
    job = replace(job, paper=replace(job.paper, price=Fraction(40)))
    wishes = replace(FULL_LENGTH, other_sizes=(Size(Fraction(5600), Fraction(150)),))
    answer = how_many_rolls(job, wishes)

    assert [choice.measured_cost for choice in answer.sizes] == [120, 150]
    assert [choice.cost for choice in answer.sizes] == [160, 150]
    assert advice(answer).startswith("Buy 3 rolls of Leaf, dusk, all of one batch (120.00), open and measure 2")


def test_every_drop_that_is_dear_when_spoiled_is_named() -> None:
    """Four different drops of 2.50 m and less leave 56 mm of a roll of 10.05 m: whichever is spoiled costs a roll."""
    drops = tuple(Drop(f"{number}", Fraction(2400 - number), Fraction(0), TRIM, TRIM) for number in range(4))
    answer = how_many_rolls(replace(plain(1, 2400), drops=drops), FULL_LENGTH)

    assert answer.spoiled.dearest == ("0", "1", "2", "3")
    assert "If any drop is spoiled, 2 rolls are needed instead of 1." in buying_page(answer)


def test_need_shortens_what_nobody_has_measured() -> None:
    """Rolls to be bought and sealed ones in hand are shorter by the part; measured ones and offcuts are not."""
    lots = (Lot("S", ROLL), roll("M", None), Lot("kept", Fraction(3000), Fraction(0), is_offcut=True))
    short = Need(two_walls(*lots), Size(ROLL)).shortened(Fraction(1, 10))

    assert short.size.length == Fraction(9045)
    assert [lot.length for lot in short.in_hand] == [9045, 10050, 3000]
