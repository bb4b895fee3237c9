"""How many rolls are enough when they are measured first, by trying every way they may begin on a fine grid.

Nothing of the planner is used: what fits on a roll of a given start is found by trying every order of the pieces.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations_with_replacement, product
from random import Random
from typing import TYPE_CHECKING

from brute_force import Piece, sets_on_one_roll
from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Lot, Paper

if TYPE_CHECKING:
    from collections.abc import Iterator

FINENESS = 4
"""Steps of the grid in a millimetre; the lengths of a small job are whole millimetres."""

Sets = frozenset[int]
"""Each set of pieces, a bit for each, that can be cut from one roll."""


def small_job(seed: int) -> Job:
    """Return three to seven pieces of whole millimetres, at two to four places of a repeat of 5 to 9 mm."""
    rng = Random(seed)  # noqa: S311 - repeatable, nothing secret
    repeat = rng.randint(5, 9)
    places = rng.sample(range(repeat), rng.randint(2, 4))
    heights = [rng.randint(3, 9) for _ in range(2)]
    drops = tuple(
        Drop(f"{number}", Fraction(rng.choice(heights)), Fraction(rng.choice(places)), Fraction(1), Fraction(1))
        for number in range(1, rng.randint(3, 7) + 1)
    )
    length = Fraction(max(drop.cut_length for drop in drops) + repeat + rng.randint(0, 12))
    paper = Paper("invented", Pattern(Fraction(repeat), Fraction(0)), length)
    return Job(paper, (Lot("roll", length, count=None),), drops)


def sets_by_start(job: Job) -> dict[Fraction, Sets]:
    """Return, for every first motif on the grid, what can be cut from a roll that has it."""
    pieces = pieces_of(job)
    repeat = job.paper.pattern.repeat
    starts = [Fraction(step, FINENESS) for step in range(int(repeat) * FINENESS)]
    length = job.paper.roll_length
    return {
        start: frozenset(
            sets_on_one_roll(Lot("", length, start), pieces, int(repeat) * FINENESS, FINENESS, at_best=False)
        )
        for start in starts
    }


def pieces_of(job: Job) -> list[Piece]:
    """Return the pieces of a job in steps of the grid."""
    return [
        Piece(int(drop.cut_length * FINENESS), int((drop.trim_top + drop.first_motif) * FINENESS))
        for drop in job.drops
        for _ in range(drop.count)
    ]


def least_opened_first(job: Job) -> int:
    """Return the least number of rolls that is enough for every combination of starts on the grid."""
    different = set(sets_by_start(job).values())
    rolls = 1
    while not all(are_enough(job, combination) for combination in combinations_with_replacement(different, rolls)):
        rolls += 1
    return rolls


def chance_of_enough(job: Job, rolls: int) -> Fraction:
    """Return the share of all combinations of starts, in the middle of a step, for which ``rolls`` are enough."""
    # An end between two whole millimetres lies on no place and ends no drop: the middle stands for the millimetre.
    middles = [sets for start, sets in sets_by_start(job).items() if start % 1 == Fraction(1, 2)]
    verdicts: dict[tuple[Sets, ...], bool] = {}
    hits = 0
    for combination in product(middles, repeat=rolls):
        key = tuple(sorted(combination, key=hash))
        if key not in verdicts:
            verdicts[key] = are_enough(job, combination)
        hits += verdicts[key]
    return Fraction(hits, len(middles) ** rolls)


def are_enough(job: Job, rolls: tuple[Sets, ...]) -> bool:
    """Return True when the job's pieces can be shared out among rolls from which these sets can be cut."""
    everything = (1 << len(pieces_of(job))) - 1
    done = {0}
    for sets in rolls:
        done = set(_more(done, sets))
    return everything in done


def _more(done: set[int], sets: Sets) -> Iterator[int]:
    for before in done:
        for added in sets:
            if not before & added:
                yield before | added
