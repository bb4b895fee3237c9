"""Small jobs whose rolls are too few: lists of drops, walls with a wardrobe before them, and plain paper over doors."""

from __future__ import annotations

from fractions import Fraction
from random import Random
from typing import TYPE_CHECKING, Final

from msgspec.structs import replace

from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Lot
from cutplan.scenario.read import parse_scenario
from hand_plans import drop, job

if TYPE_CHECKING:
    from cutplan.job.job import Job
    from cutplan.scenario.read import Scenario

SHORT_ROLL: Final = Fraction(4000)
"""Rolls of 4 m hold one or two drops, so that few pieces are too many for the rolls."""


LISTS: Final = (3, 9, 13, 21, 22, 49)
ROOMS: Final = (1, 11, 15, 23, 32, 44, 48, 50)
"""Seeds of jobs among which every kind of step occurs; most jobs have two kinds only."""


def list_job(seed: int) -> Job:
    """Return five or six pieces on two walls, two of them short, and a roll or two of 4 m."""
    random = Random(seed)  # noqa: S311 - repeatable, nothing secret
    pattern = Pattern(Fraction(600), random.choice([Fraction(0), Fraction(300)]))
    high = random.choice([1040, 1240, 1340, 1540])
    drops = [drop(str(number), high, 300 * (number % 2)) for number in range(4)]
    drops += [
        drop(str(number), random.randrange(300, high // 2, 50), 100 * random.randrange(6))
        for number in range(4, random.choice([5, 6]))
    ]
    drops = [replace(each, wall=f"wall {number % 2}") for number, each in enumerate(drops)]
    motif = random.choice([None, Fraction(random.randrange(0, 600, 100))])
    lots = (Lot("A", SHORT_ROLL, motif, count=random.choice([1, 2])),)
    made = job(drops, pattern, lots)
    return replace(made, paper=replace(made.paper, roll_length=SHORT_ROLL))


def free_job(seed: int) -> Job:
    """Return two tall pieces and four short narrow ones of a plain paper that may lie sideways, and a roll of 4 m."""
    random = Random(seed)  # noqa: S311 - repeatable, nothing secret
    strip = random.choice([500, 900, 1300])
    drops = [drop(str(number), random.choice([1200, 1300, 1400])) for number in range(2)]
    for number in range(2, 6):
        left = random.randrange(0, strip - 250, 50)
        each = drop(str(number), random.choice([250, 350, 600]))
        right = Fraction(left + random.randrange(50, 250, 50))
        drops.append(replace(each, left=Fraction(left), right=right, wall=random.choice(["a", "a", "b"])))
    made = job(drops, Pattern(Fraction(0), Fraction(0)), (Lot("A", SHORT_ROLL, count=1),))
    paper = replace(made.paper, roll_length=SHORT_ROLL, roll_width=Fraction(strip), may_lie_sideways=True)
    return replace(made, paper=paper)


ROOM: Final = """\
units = "mm"
[paper]
roll_length = 4200
roll_width = 500
match = "60/30 cm"
[[wall]]
name = "long wall"
width = {width}
height = {height}
{thing}
[start]
wall = "long wall"
at = {at}
puts = "joint"
motif_drop = 100
[[roll]]
label = "A"
count = {count}
{motif}
"""
WARDROBE: Final = """[[wall.fitting]]
kind = "fitting"
name = "wardrobe"
left = {left}
width = 700
height = 2000
"""


def room(seed: int) -> Scenario:
    """Return the room of :func:`room_text`."""
    return parse_scenario(room_text(seed), "here")


def room_text(seed: int) -> str:
    """Return a wall of five or six drops with a wardrobe before it, and a few rolls of 4.20 m, sealed or measured.

    Of a piece cut 1500–1800 mm long two lie on a sealed roll, 4200 − 600, when their prints are alike, else one.
    """
    random = Random(seed)  # noqa: S311 - repeatable, nothing secret
    at = random.choice([500, 1000, 1500]) + 100 * (seed % 2) * random.randrange(1, 5)  # whole strips, where even
    thing = WARDROBE.format(left=random.randrange(600, 1800, 100))
    width, height, count = (
        random.choice([2500, 3000]),
        random.choice([1250, 1450, 1550, 1950]),
        random.choice([1, 2, 3]),
    )
    motif = random.choice(["", f"first_motif = {random.randrange(0, 600, 100)}"])
    return ROOM.format(width=width, height=height, thing=thing, at=at, count=count, motif=motif)
