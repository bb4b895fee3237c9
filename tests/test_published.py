"""Numbers that the trade has printed, each with its source, against what a plan says."""

from __future__ import annotations

from fractions import Fraction
from math import ceil, floor
from typing import TYPE_CHECKING, NamedTuple

import pytest

from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.lengths import read_length
from cutplan.paper.match_label import read_match
from cutplan.paper.pattern import FREE, Pattern
from cutplan.paper.stock import Lot, Paper
from cutplan.plan.proof import Status
from cutplan.solve import solve

if TYPE_CHECKING:
    from cutplan.lengths import Length
    from cutplan.plan.plan import Plan

NO_TRIM = Fraction(0)
METRIC_ROLL = read_length("10.05 m")
METRIC_WIDTH = read_length("0.53 m")
SHORTEST_LEGAL_ROLL = METRIC_ROLL * (1 - Fraction("0.015"))
"""Length may be 1.5 % under what is marked: EN 233 clause 5.2.2."""


def test_stair_takes_three_rolls_where_its_area_is_of_two() -> None:
    """Rise 190, going 225 mm: each strip of 0.53 m hangs 0.4476 m less than the one before [derived].

    Longest edges 4.60 to 2.36 m with 0.10 m of trim come to 21.49 m; by area 10.36 m², less than two rolls of 5.33.
    """
    heights = map(Fraction, (4600, 4150, 3710, 3260, 2810, 2360))
    drops = tuple(Drop(str(n), height, NO_TRIM, Fraction(50), Fraction(50)) for n, height in enumerate(heights))
    job = Job(Paper("", FREE, METRIC_ROLL), (Lot("roll", METRIC_ROLL, count=None),), drops)

    assert sum(drop.cut_length for drop in drops) == 21490
    plan = solve(job)
    assert (plan.rolls_needed, plan.status) == (3, Status.OPTIMAL)
    middles = sum(drop.height - METRIC_WIDTH * 95 / 225 for drop in drops) * METRIC_WIDTH
    assert ceil(middles / (METRIC_ROLL * METRIC_WIDTH)) == 2


# --- Rooms by drops ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("trim", ["0 in", "2 in", "7.2 in"])
def test_room_of_1914_takes_seven_double_rolls(trim: str) -> None:
    """46 ft net is 31 strips, 5 to a double roll: 6 1/5, so 7 — *New Student's Reference Work* (1914).

    The room is 16 × 15 ft and 9 ft high, less two doors of 3 1/2 ft and three windows of 3 ft; the paper is
    18 in wide, a double roll 48 ft. Holds for trim up to 7.2 in a strip (5 × 9 ft 7.2 in = 48 ft).
    """
    net = read_length("62 ft") - 2 * read_length("3.5 ft") - 3 * read_length("3 ft")
    strips = ceil(net / read_length("18 in"))

    plan = plan_of_alike(strips, read_length("9 ft"), read_length("48 ft"), trim=read_length(trim))

    assert net == read_length("46 ft")
    assert strips == 31
    assert most_on_one_roll(plan) == 5
    assert Fraction(strips, most_on_one_roll(plan)) == Fraction(31, 5)  # 6 1/5
    assert plan.rolls_needed == 7


def test_room_of_1914_takes_eight_double_rolls_with_more_trim() -> None:
    """At 7.25 in of trim only 4 strips fit a double roll, and 31 of them take 8."""
    plan = plan_of_alike(31, read_length("9 ft"), read_length("48 ft"), trim=read_length("7.25 in"))

    assert most_on_one_roll(plan) == 4
    assert plan.rolls_needed == 8


def test_handyman_s_room_takes_six_pieces() -> None:
    """486 in net by 21 in is 24 lengths of 8 ft, 4 a piece of 11 1/2 yd: 6 — *The Handyman's Pocket Book*."""
    lengths = ceil(read_length("486 in") / read_length("21 in"))

    plan = plan_of_alike(lengths, read_length("8 ft"), read_length("11.5 yd"))

    assert lengths == 24
    assert most_on_one_roll(plan) == 4
    assert plan.rolls_needed == 6


@pytest.mark.parametrize(
    ("height", "lengths"),
    [
        ("7 ft", 4),
        ("8 ft", 4),  # up to 8 ft: 4
        ("8 ft 1/16 in", 3),
        ("10 ft", 3),  # 8–10 ft: 3
        ("10 ft 10 9/16 in", 2),
        ("13 ft", 2),  # over 10 ft: 2
    ],
)
def test_handyman_s_lengths_per_piece(height: str, lengths: int) -> None:
    """Lengths of a height in a piece of 11 1/2 yd — *The Handyman's Pocket Book*.

    A trim of 7 1/2 in a length makes the table's first step exact: 4 × (8 ft + 7 1/2 in) = 11 1/2 yd. Its
    last step is then on the safe side: three lengths still fit up to 10 ft 10 1/2 in, where it allows two.
    """
    plan = plan_of_alike(12, read_length(height), read_length("11.5 yd"), trim=read_length("7.5 in"))

    assert most_on_one_roll(plan) == lengths
    assert plan.rolls_needed == 12 // lengths


def test_rooms_by_area_are_short_of_paper() -> None:
    """A 15 × 12 × 10 ft room is 9 pieces by area [household manual], and 11 by drops [derived]."""
    # A piece is 12 yd × 21 in = 63 sq ft; the walls are 54 ft round.
    by_area = ceil(Fraction(54 * 10, 63))
    strips = ceil(read_length("54 ft") / read_length("21 in"))

    plan = plan_of_alike(strips, read_length("10 ft"), read_length("12 yd"))

    assert by_area == 9
    assert strips == 31
    assert plan.rolls_needed == 11


# --- The table for 10.05 m × 0.53 m rolls [practice] ------------------------------------------------------

PERIMETERS = (6, 10, 12, 15, 18, 20, 24)
"""Metres round the room, doors and windows counted as wall."""

TABLE = {
    "2.35 m": (3, 5, 6, 8, 9, 10, 12),  # 2.10–2.35 m high
    "3.05 m": (4, 7, 8, 10, 12, 14, 16),  # 2.40–3.05 m high
    "4.00 m": (5, 9, 11, 14, 17, 19, 23),  # 3.10–4.00 m high
}
"""Rolls by the greatest height of each of the table's columns, and by perimeter [practice]."""

DIFFERING = {("3.05 m", 20): 13, ("4.00 m", 6): 6, ("4.00 m", 10): 10, ("4.00 m", 12): 12, ("4.00 m", 15): 15}
"""Where a plan differs from the table, and what it takes.

At 20 m the table has a roll to spare: 38 strips of 3.05 m, 3 a roll, are 13 rolls. In the other four it is a
roll short at 4.00 m, where a roll holds 2: 12, 19, 23 and 29 strips are 6, 10, 12 and 15 rolls, and the table
takes the half of 6 m, 10 m, 12 m and 15 m ÷ 0.53 m without going up to a whole strip and a whole roll.
"""


@pytest.mark.parametrize("perimeter", PERIMETERS)
@pytest.mark.parametrize("height", TABLE)
def test_table_for_metric_rolls(height: str, perimeter: int) -> None:
    """16 of the table's 21 cells [practice] are what a plan with 50 + 50 mm of trim takes; five differ."""
    strips = ceil(1000 * perimeter / METRIC_WIDTH)
    printed = TABLE[height][PERIMETERS.index(perimeter)]

    plan = plan_of_alike(strips, read_length(height), METRIC_ROLL, trim=read_length("100 mm"))

    assert plan.rolls_needed == DIFFERING.get((height, perimeter), printed)
    assert (plan.rolls_needed != printed) == ((height, perimeter) in DIFFERING)


def test_three_strips_of_the_table_s_highest_rooms_fit_a_roll_at_first() -> None:
    """From 3.10 m up to 3.25 m three strips fit a roll: the table has a roll too many."""
    at_least = plan_of_alike(12, read_length("3.10 m"), METRIC_ROLL, trim=read_length("100 mm"))
    at_most = plan_of_alike(12, read_length("3.25 m"), METRIC_ROLL, trim=read_length("100 mm"))
    beyond = plan_of_alike(12, read_length("3.251 m"), METRIC_ROLL, trim=read_length("100 mm"))

    # 6 m round the room is 12 strips, for which the table has 5 rolls.
    assert [plan.rolls_needed for plan in (at_least, at_most, beyond)] == [4, 4, 6]


# --- Half-drop: odd and even lengths from separate rolls, or in turn from one -----------------------------


class HalfDrop(NamedTuple):
    """A row of the half-drop table [derived]: 12 drops, trim 50 + 50 mm, rolls opening exactly at a datum."""

    label: str
    height: str
    separate: int
    alternating: int


HALF_DROPS = (
    HalfDrop("64/32 cm", "3.10 m", 4, 6),
    HalfDrop("64/32 cm", "3.00 m", 4, 6),
    HalfDrop("64/32 cm", "2.50 m", 4, 4),
    HalfDrop("53/26.5 cm", "2.20 m", 4, 3),
    HalfDrop("70/35 cm", "2.35 m", 4, 3),
)


@pytest.mark.parametrize("row", HALF_DROPS)
def test_half_drop_takes_the_better_of_two_rules(row: HalfDrop) -> None:
    """A plan takes what the better rule of the half-drop table [derived] takes, whichever that is."""
    pattern = read_match(row.label, None, None).pattern
    cut_length = read_length(row.height) + 100
    separate = rolls_by_rule(cut_length, pattern, [[0] * 6, [1] * 6])
    alternating = rolls_by_rule(cut_length, pattern, [[0, 1] * 6])

    plan = solve(half_drop_job(row, pattern))

    assert (separate, alternating) == (row.separate, row.alternating)
    assert plan.status is Status.OPTIMAL
    assert plan.rolls_needed == min(separate, alternating)


def half_drop_job(row: HalfDrop, pattern: Pattern) -> Job:
    """Return 12 columns cut from open rolls whose ends are where an even column's cut top belongs."""
    trim = Fraction(50)
    drops = tuple(
        Drop(f"{column}", read_length(row.height), pattern.first_motif(column, Fraction(0)), trim, trim)
        for column in range(12)
    )
    lot = Lot("roll", METRIC_ROLL, first_motif=pattern.within_repeat(trim), count=None)
    return Job(Paper("invented", pattern, METRIC_ROLL), (lot,), drops)


def rolls_by_rule(cut_length: Length, pattern: Pattern, queues: list[list[int]]) -> int:
    """Return the rolls that a paperhanger opens who cuts each queue in its order from rolls of its own.

    A queue names the class of each length: 0 begins at a datum, 1 half a repeat below one.
    """
    rolls = 0
    for queue in queues:
        end = METRIC_ROLL  # no roll is open yet
        for kind in queue:
            start = next_place(end, kind, pattern)
            if start + cut_length > METRIC_ROLL:
                rolls += 1
                start = next_place(Fraction(0), kind, pattern)
            end = start + cut_length
    return rolls


def next_place(end: Length, kind: int, pattern: Pattern) -> Length:
    """Return the first place at or below ``end`` where a length of class ``kind`` may begin."""
    begins = kind * pattern.offset
    return begins + max(0, ceil((end - begins) / pattern.repeat)) * pattern.repeat


# --- The shortest roll that may be sold -------------------------------------------------------------------


def test_shortest_legal_roll() -> None:
    """A roll marked 10.05 m may be 9.899 m long — [derived] from EN 233."""
    assert floor(SHORTEST_LEGAL_ROLL) == 9899


def test_ten_metres_fit_the_marked_roll_and_not_the_shortest_legal_one() -> None:
    """Four lengths of 2.50 m fit 10.05 m with 50 mm of slack, and need a second roll at 9.899 m."""
    marked = plan_of_alike(4, read_length("2.40 m"), METRIC_ROLL, trim=read_length("100 mm"))
    shortest = plan_of_alike(4, read_length("2.40 m"), SHORTEST_LEGAL_ROLL, trim=read_length("100 mm"))

    assert marked.rolls_needed == 1
    assert marked.slack(marked.layouts[0]) == 50
    assert marked.slack(marked.layouts[0]) < METRIC_ROLL - SHORTEST_LEGAL_ROLL
    assert shortest.rolls_needed == 2


def plan_of_alike(count: int, height: Length, roll_length: Length, trim: Length = NO_TRIM) -> Plan:
    """Return the proved plan for ``count`` free-match drops alike; ``trim`` is top and bottom together."""
    drop = Drop("strip", height, Fraction(0), trim, NO_TRIM, count)
    lot = Lot("roll", roll_length, count=None)
    plan = solve(Job(Paper("invented", FREE, roll_length), (lot,), (drop,)))

    assert plan.status is Status.OPTIMAL
    return plan


def most_on_one_roll(plan: Plan) -> int:
    """Return the most drops that any of the plan's rolls gives."""
    return max(len(layout.cuts) for layout in plan.layouts)
