"""The rules of thumb, against the examples that the trade has printed."""

from __future__ import annotations

from fractions import Fraction
from math import ceil
from typing import Final

import pytest

from buying_jobs import job_of, plain
from cutplan.buying.thumb_rules import (
    ThumbRule,
    drops_per_roll,
    rolls_by_area,
    thumb_rules,
    whole_lengths,
    whole_repeats,
)
from cutplan.job.drops import Drop
from cutplan.lengths import read_length
from cutplan.materials.material import SQUARE_FOOT
from cutplan.paper.pattern import Pattern

METRIC_WIDTH: Final = read_length("0.53 m")


def test_room_of_1914() -> None:
    """46 ft net of 18 in paper, 5 strips of 9 ft to a double roll of 48 ft — *New Student's Reference Work* (1914)."""
    count = ceil(read_length("46 ft") / read_length("18 in"))
    per_roll = drops_per_roll(read_length("48 ft"), read_length("9 ft"))

    assert (count, per_roll) == (31, 5)
    assert Fraction(count, per_roll) == Fraction(31, 5)  # printed as 6 1/5
    assert ceil(2 * Fraction(count, per_roll)) == 13  # single rolls of 24 ft, as printed


def test_room_of_1914_holds_for_trim_up_to_7_2_inches() -> None:
    """5 × (9 ft + 7.2 in) is 48 ft exactly — the same source."""
    assert drops_per_roll(read_length("48 ft"), read_length("9 ft") + read_length("7.2 in")) == 5
    assert drops_per_roll(read_length("48 ft"), read_length("9 ft") + read_length("7.25 in")) == 4


def test_handyman_s_room() -> None:
    """486 in net of 21 in paper: 24 lengths of 8 ft, 4 to 11 1/2 yd, 6 rolls — *The Handyman's Pocket Book*."""
    count = ceil(read_length("486 in") / read_length("21 in"))
    per_roll = drops_per_roll(read_length("11.5 yd"), read_length("8 ft"))

    assert (count, per_roll, ceil(Fraction(count, per_roll))) == (24, 4, 6)


@pytest.mark.parametrize(("height", "per_roll"), [("8 ft", 4), ("8 ft 1 in", 4), ("10 ft", 3), ("10 ft 6 in", 3)])
def test_handyman_s_drops_per_roll_leave_something_to_spare(height: str, per_roll: int) -> None:
    """Up to 8 ft 4, 8–10 ft 3, over 10 ft 2 — *The Handyman's Pocket Book*: never more than the length gives."""
    printed = (
        4 if read_length(height) <= read_length("8 ft") else 3 if read_length(height) <= read_length("10 ft") else 2
    )

    assert drops_per_roll(read_length("11.5 yd"), read_length(height)) == per_roll
    assert printed <= per_roll


TABLE: Final = {
    # Perimeter in m: rolls for walls of 2.10–2.35, 2.40–3.05 and 3.10–4.00 m [practice].
    6: (3, 4, 5),
    10: (5, 7, 9),
    12: (6, 8, 11),
    15: (8, 10, 14),
    18: (9, 12, 17),
    20: (10, 14, 19),
    24: (12, 16, 23),
}
"""Table for rolls of 10.05 × 0.53 m, doors and windows counted as wall [practice]."""


def test_table_for_metric_rolls_is_that_of_drops_per_roll() -> None:
    """4, 3 or 2 drops a roll give 16 of the 21 cells; the others are at 20 m (2nd) and 6, 10, 12, 15 m (3rd)."""
    differing = {
        (perimeter, column)
        for perimeter, cells in TABLE.items()
        for column, (printed, per_roll) in enumerate(zip(cells, (4, 3, 2), strict=True))
        if printed != ceil(Fraction(ceil(perimeter * 1000 / METRIC_WIDTH), per_roll))
    }

    assert differing == {(20, 1), (6, 2), (10, 2), (12, 2), (15, 2)}


def test_area_of_a_room_under_buys() -> None:
    """15 × 12 × 10 ft by area is 540 ÷ 63, 9 pieces [household manual]; by drops it is 11 [derived]."""
    by_area = rolls_by_area(2 * (15 + 12) * 10 * SQUARE_FOOT, 63 * SQUARE_FOOT)
    # 21 in × 12 yd, the older English piece, is the 63 sq ft; 3 drops of 10 ft from 36 ft.
    count = ceil(read_length("54 ft") / read_length("21 in"))
    by_drops = ceil(Fraction(count, drops_per_roll(read_length("12 yd"), read_length("10 ft"))))

    assert by_area == 9
    assert by_drops == 11


def test_cut_length_in_whole_repeats() -> None:
    """2.50 m at a repeat of 640 mm is cut as 4 × 640; a free match needs no repeats."""
    assert whole_repeats(Fraction(2500), Fraction(640)) == 2560
    assert whole_repeats(Fraction(2560), Fraction(640)) == 2560
    assert whole_repeats(Fraction(2500), Fraction(0)) == 2500


def test_short_pieces_are_joined_to_whole_lengths() -> None:
    """Three pieces of 500 mm (600 cut) over a door come to 1800 mm: one length of 2500 (2600 cut) beside the five."""
    trim = Fraction(50)
    long = Drop("wall", Fraction(2500), Fraction(0), trim, trim, 5)
    short = Drop("over door", Fraction(500), Fraction(0), trim, trim, 3)

    assert whole_lengths(job_of((long, short), Pattern(Fraction(640), Fraction(0)), Fraction(10050))) == 6


def test_rules_beside_a_job() -> None:
    """20 drops of 2.40 m (2500 cut) at a repeat of 640 mm, from 10.05 m.

    4 a roll without the match, 5 rolls; 2560 in whole repeats, 3 a roll, 7 rolls; 48 m of wall and 15 % is 55.2 m, 6
    rolls; and a quarter, 60 m, 6 rolls.
    """
    drop = Drop("wall", Fraction(2400), Fraction(0), Fraction(50), Fraction(50), 20)
    job = job_of((drop,), Pattern(Fraction(640), Fraction(0)), Fraction(10050))

    assert thumb_rules(job, Fraction(10050)) == (
        ThumbRule("drops per roll (20 whole lengths, 4 a roll)", 5),
        ThumbRule("drops per roll, cut in whole repeats (3 a roll)", 7),
        ThumbRule("area and 15 %", 6),
        ThumbRule("area and 1 roll in 4, for a large pattern", 6),
    )


def test_rules_that_a_drop_is_too_long_for_are_left_out() -> None:
    """A drop of 5 m cannot be counted by the roll of 4 m; the area rule counts it all the same."""
    assert thumb_rules(plain(1, 4900), Fraction(4000)) == (ThumbRule("area and 15 %", 2),)  # 4.9 m × 1.15 = 5.635
