"""The least value of a tiny job, by trying every set of pieces in every order on every kind of roll.

Nothing of the solver is used: where a piece may lie on a roll is worked out here, from the definition alone.
"""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from itertools import product
from math import lcm
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

if TYPE_CHECKING:
    from cutplan.job.job import Job
    from cutplan.paper.stock import Lot


class Piece(Struct, frozen=True, order=True):
    """A piece in whole steps: its cut length, and how far below its cut top a motif datum lies."""

    length: int
    datum: int


def least_value(job: Job, *, at_best: bool = False) -> Fraction | None:
    """Return the fewest rolls (the least cost, where prices differ) for ``job``; None when no plan exists.

    ``at_best`` lets every sealed roll begin wherever its layout wants. Meant for up to seven pieces: the time
    grows with the factorial of their number.
    """
    steps = steps_per_mm(job)
    repeat = int(job.paper.pattern.repeat * steps)
    pieces = [
        Piece(int(drop.cut_length * steps), int((drop.trim_top + drop.first_motif) * steps))
        for drop in job.drops
        for _ in range(drop.count)
    ]
    least: dict[int, Fraction] = {0: Fraction(0)}
    for lot in job.lots:
        sets = sets_on_one_roll(lot, pieces, repeat, steps, at_best=at_best)
        for _ in range(len(pieces) if lot.count is None else min(lot.count, len(pieces))):
            least = _with_one_roll_more(least, sets, job.value_of(lot))
    return least.get((1 << len(pieces)) - 1)


def steps_per_mm(job: Job) -> int:
    """Return the least number of equal steps in a millimetre that makes every length of ``job`` whole."""
    lengths = [job.paper.pattern.repeat]
    for lot in job.lots:
        lengths += [lot.length, lot.first_motif or Fraction(0)]
    for drop in job.drops:
        lengths += [drop.trim_top, drop.trim_bottom, drop.height, drop.first_motif]
    return lcm(*(length.denominator for length in lengths))


def sets_on_one_roll(lot: Lot, pieces: list[Piece], repeat: int, steps: int, *, at_best: bool) -> set[int]:
    """Return each set of pieces (bit k stands for piece k) that some order fits on one roll of ``lot``."""
    room = int(lot.length * steps)
    if lot.first_motif is None and not at_best:
        room -= repeat
    found = {0}

    def lay(taken: int, end: int, motif: int) -> None:
        """Add each piece not taken at the first place from ``end`` on where its print agrees."""
        for number, piece in enumerate(pieces):
            if taken >> number & 1:
                continue
            start = end + (motif - piece.datum - end) % repeat if repeat else end
            if start + piece.length <= room:
                found.add(taken | 1 << number)
                lay(taken | 1 << number, start + piece.length, motif)

    if lot.first_motif is not None:
        lay(0, 0, int(lot.first_motif * steps))
    else:
        # A span is counted from the first start, so a sealed roll may begin at the print of any piece.
        for motif in {piece.datum for piece in pieces}:
            lay(0, 0, motif)
    return found


def _with_one_roll_more(least: dict[int, Fraction], sets: set[int], value: Fraction) -> dict[int, Fraction]:
    more = dict(least)
    for done, before in least.items():
        for added in sets:
            if not done & added and (done | added not in more or before + value < more[done | added]):
                more[done | added] = before + value
    return more


def least_with_rests(job: Job) -> Fraction | None:
    """Return the fewest rolls of a lining, trying every rest of an earlier length for every length that it holds.

    A rest is as wide as what is ripped off leaves of the paper that its own length comes from, and holds what is
    laid along it end to end.
    """
    rests = {rest.label: (drop.label, rest) for drop in job.drops for rest in drop.cut_outs}
    at = {drop.label: number for number, drop in enumerate(job.drops)}
    strip = job.paper.roll_width or Fraction(0)
    options = [
        [None, *(label for label, (source, _) in rests.items() if at[source] < number and drop.left is not None)]
        for number, drop in enumerate(job.drops)
    ]
    best: Fraction | None = None
    for chosen in product(*options):
        from_rest = {drop.label: rest for drop, rest in zip(job.drops, chosen, strict=True) if rest is not None}

        taken: Counter[str] = Counter()
        fits = True
        for drop in job.drops:
            label = from_rest.get(drop.label)
            if label is not None:
                taken[label] += int(drop.cut_length)
            while label is not None:
                source, rest = rests[label]
                fits &= rest.left <= (drop.left or 0) and (drop.right or strip) <= rest.right
                label = from_rest.get(source)
        if fits and all(length <= rests[label][1].length for label, length in taken.items()):
            rolls = tuple(replace(drop, cut_outs=()) for drop in job.drops if drop.label not in from_rest)
            value = least_value(replace(job, drops=rolls))
            best = value if best is None or (value is not None and value < best) else best
    return best
