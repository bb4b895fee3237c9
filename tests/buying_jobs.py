"""Small jobs whose answers can be worked out by eye, shared by the tests of buying."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from msgspec.structs import replace

from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.paper.pattern import FREE, Pattern
from cutplan.paper.stock import Lot, Paper

ROLL: Final = Fraction(10050)


def job_of(drops: tuple[Drop, ...], pattern: Pattern, length: Fraction, price: Fraction | None = None) -> Job:
    """Return a job to be cut from as many sealed rolls of this length as are needed."""
    paper = Paper("Leaf, dusk", pattern, length, price=price)
    return Job(paper, (Lot("roll", length, count=None, price=price),), drops)


def half_drop_four() -> Job:
    """Return two drops A and two drops B in a half-drop of 600 mm, 1100 mm long, on rolls of 2800 mm.

    Let A start at multiples of 600 and B halfway between. On one roll A A needs 1200 + 1100 = 2300 mm from the first
    start, as B B does; A B and B A need 1500 + 1100 = 2600. So:

    * certain, all within 2800 − 600 = 2200: one drop a roll, 4 rolls;
    * at best: two drops a roll, 2 rolls;
    * measured first: a roll that begins just past A has 300 mm before B, and gives B B (300 + 2300 = 2600), but not A A
      (600 + 2300); one that begins just past B gives A A. So any roll gives a pair, any other a single drop of either:
      3 rolls are always enough. Two just past A are not: neither gives a pair with an A.

    A roll gives A A when it begins within 500 mm before A (500 + 2300 = 2800), and B B when within 500 mm before B: so
    100 of 600 mm give A A alone, 100 give B B alone, and 400 both. Two rolls are too few only when both give A A alone
    or both B B alone, which is 2 × (1/6)², 1/18 of all cases.
    """
    trim = Fraction(50)
    pieces = (("A 1", 0), ("B 1", 300), ("A 2", 0), ("B 2", 300))
    drops = tuple(Drop(label, Fraction(1000), Fraction(550 + motif) % 600, trim, trim) for label, motif in pieces)
    return job_of(drops, Pattern(Fraction(600), Fraction(300)), Fraction(2800))


def plain(count: int, height: int, length: Fraction = ROLL, price: Fraction | None = None) -> Job:
    """Return drops alike of a free match, with 50 + 50 mm of trim."""
    drop = Drop("strip", Fraction(height), Fraction(0), Fraction(50), Fraction(50), count)
    return job_of((drop,), FREE, length, price)


def with_rolls(job: Job, *lots: Lot) -> Job:
    """Return the job with these rolls in hand, and no others."""
    return replace(job, lots=lots)
