"""A drop joined of two pieces, where no single one is left: only ever offered, the choice is the customer's."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from math import floor
from typing import Final

from msgspec import Struct

from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.job.print_along import agree_in_batch, rest_after
from cutplan.lengths import ZERO, Length
from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Lot

LEAST_JOINED: Final = Fraction(300)
"""Neither part of a joined piece is shorter: a joint so near an end would show more, not less [practice]."""

JOINT_OVERLAP: Final = Fraction(20)
"""How far the two parts of a joined piece overlap, to be cut through together [practice]."""


class Joined(Struct, frozen=True):
    """A drop made of two pieces, its print met across the joint."""

    drop: str
    """Label of the drop, or of one of those alike."""
    top_roll: str
    top_length: Length
    """From which roll the upper piece would be cut, and how long, trim and overlap included."""
    bottom_roll: str
    bottom_length: Length
    """The same of the lower piece."""


def joined_from(job: Job, held: Mapping[str, Sequence[str]], drop: Drop) -> Joined | None:
    """Return ``drop`` joined of two pieces; None when it cannot be.

    They are from what is left of the rolls in hand when the drops of ``held``, by roll, are cut from them.
    """
    ends = [end for end in _ends(job, held) if agree_in_batch(end, drop)]
    pairs = ((top, bottom) for top in ends for bottom in ends if top is not bottom)
    joins = (_join(job.paper.pattern, drop, top, bottom) for top, bottom in pairs)
    return next((joined for joined in joins if joined is not None), None)


def _ends(job: Job, held: Mapping[str, Sequence[str]]) -> list[Lot]:
    """Return what is left of each roll in hand, in one piece and of known print, longest first."""
    rests = (rest_after(job, job.lot(label), drops) for label, drops in held.items())
    left = [rest for rest in rests if rest is not None]
    whole = [rest for rest in left if not rest.parts and not rest.is_foot_first]
    known = [rest for rest in whole if rest.first_motif is not None or job.paper.pattern.is_free]
    return sorted(known, key=lambda end: -end.length)


def _join(pattern: Pattern, drop: Drop, top: Lot, bottom: Lot) -> Joined | None:
    """Return ``drop`` joined of a piece from ``top`` and one below it from ``bottom``; None when it cannot be.

    The joint is as low as the upper piece reaches: what the lower one takes of its roll, up to its foot, is never more
    for a lower joint, since its lead-in grows no faster than it gets shorter.
    """
    lead_in = pattern.within_repeat((top.first_motif or ZERO) - drop.motif_below_cut)
    reach = Fraction(floor(top.length - lead_in - drop.trim_top - JOINT_OVERLAP))
    joint = min(reach, drop.height - LEAST_JOINED)
    start = pattern.within_repeat((bottom.first_motif or ZERO) - (drop.first_motif - joint))
    length = drop.height - joint + drop.trim_bottom
    if joint < LEAST_JOINED or start + length > bottom.length:
        return None
    return Joined(drop.label, top.label, drop.trim_top + joint + JOINT_OVERLAP, bottom.label, length)
