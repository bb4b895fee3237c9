"""Is there still enough paper? And if not: how much is short, and what would do."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from fractions import Fraction
from math import floor
from typing import TYPE_CHECKING, Final

from cutplan.errors import NoPlanError
from cutplan.job.print_along import rest_after
from cutplan.lengths import ZERO
from cutplan.progress.remains import FURTHER, further_lot, remains_of
from cutplan.progress.replan import replan

if TYPE_CHECKING:
    from collections.abc import Callable

    from cutplan.job.drops import Drop
    from cutplan.job.job import Job
    from cutplan.lengths import Length
    from cutplan.paper.stock import Lot
    from cutplan.progress.remains import Remains
    from cutplan.progress.replan import Replan

LEAST_JOINED: Final = Fraction(300)
"""Neither part of a joined piece is shorter: a joint so near an end would show more, not less [practice]."""

JOINT_OVERLAP: Final = Fraction(20)
"""How far the two parts of a joined piece overlap, to be cut through together [practice]."""


@dataclass(frozen=True, slots=True)
class Joined:
    """A drop made of two pieces, its print met across the joint: only ever offered, the choice is the customer's.

    Attributes
    ----------
    drop
        Label of the drop, or of one of those alike.
    top_roll, top_length
        From which roll the upper piece would be cut, None for one not opened yet, and how long, trim and overlap
        included.
    bottom_roll, bottom_length
        The same of the lower piece.

    """

    drop: str
    top_roll: str | None
    top_length: Length
    bottom_roll: str | None
    bottom_length: Length


@dataclass(frozen=True, slots=True)
class Shortage:
    """What is short of the rolls in hand.

    Attributes
    ----------
    rolls
        Further rolls that would do, beyond those in hand.
    is_proved
        True when it is proved that fewer would not.
    drops
        By label, the pieces for which there is no paper otherwise.
    length
        Their cut lengths together.
    price
        What the further rolls would cost; None when not known.
    to_measure
        Rolls of which more may be left than is certain: if what is left on them is measured first,
        ``rolls_if_measured`` may do.
    rolls_if_measured
        Fewest further rolls that can come out of it; None when measuring cannot help.
    joined
        A joined piece that would do instead, if there is one.

    """

    rolls: int
    is_proved: bool
    drops: dict[str, int]
    length: Length
    price: Fraction | None
    to_measure: tuple[str, ...] = ()
    rolls_if_measured: int | None = None
    joined: Joined | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """The answer to whether there is still enough paper.

    Attributes
    ----------
    found
        How the rest is cut; None when the rolls in hand are too few to go on with.
    counted_on
        Rolls not opened yet that are in hand, or, where rolls are bought as needed, that the plan in use still
        counts on.
    shortage
        What is short; None when there is enough.

    """

    found: Replan | None
    counted_on: int
    shortage: Shortage | None

    @property
    def is_enough(self) -> bool:
        """True when nothing is short."""
        return self.shortage is None


def still_enough(
    remains: Remains, *, time_limit: float = 10.0, progress: Callable[[str], None] | None = None
) -> Answer:
    """Return whether what is in hand is enough for what remains, with the new plan where one is possible.

    Where rolls are bought as needed a plan is always possible, and what it needs beyond what the plan in use counts
    on is short.

    Raises
    ------
    NoPlanError
        When a drop wanted is longer than any roll could give.

    """
    in_hand = _in_hand(remains)
    counted_on = sum(lot.count or 0 for lot in in_hand if remains.is_further(lot.label))
    found: Replan | None
    try:
        found = replan(remains, time_limit=time_limit, progress=progress)
    except NoPlanError:
        found = None
    if found is not None and not _lacks_rolls(found, remains, counted_on):
        return Answer(found, counted_on, None)
    if remains.bought_as_needed is None:
        found = None
    return Answer(found, counted_on, _shortage(remains, in_hand, time_limit))


def _lacks_rolls(found: Replan, remains: Remains, counted_on: int) -> bool:
    if remains.bought_as_needed is not None:
        return found.further > counted_on
    return any(cutting.lot == FURTHER and cutting.drops for cutting in found.cuttings)


def _in_hand(remains: Remains) -> tuple[Lot, ...]:
    """Return the rolls in hand; of a lot bought as needed, those that the plan in use still counts on."""
    state = remains.state
    lots = []
    for lot in remains.job.lots:
        count = lot.count
        if count is None:
            unopened = [roll for roll in state.to_be_cut if roll not in state.rolls]
            count = sum(state.roll(roll).of == lot.label for roll in unopened)
        if count:
            lots.append(replace(lot, count=count))
    return tuple(lots)


def _shortage(remains: Remains, in_hand: tuple[Lot, ...], time_limit: float) -> Shortage:
    hoped = _with_further(remains, in_hand, time_limit)
    missing = Counter[str]()
    for cutting in hoped.cuttings:
        if cutting.lot == FURTHER:
            for label in cutting.drops:
                missing[label] += cutting.count
    rolls = _further(hoped)
    price = _price(remains)
    to_measure, fewer = _if_measured(remains, rolls, time_limit)
    return Shortage(
        rolls=rolls,
        is_proved=hoped.value <= hoped.fresh.proof.bound,
        drops=dict(missing),
        length=sum((remains.job.drop(label).cut_length * count for label, count in missing.items()), ZERO),
        price=None if price is None else price * rolls,
        to_measure=to_measure,
        rolls_if_measured=fewer,
        joined=_joined(hoped, missing),
    )


def _with_further(remains: Remains, in_hand: tuple[Lot, ...], time_limit: float) -> Replan:
    """Return how to cut what the rolls in hand give, and the rest from the fewest further rolls."""
    free = [replace(lot, price=ZERO) for lot in in_hand]
    job = replace(remains.job, lots=(*free, further_lot(remains.job)))
    return replan(replace(remains, job=job), time_limit=time_limit)


def _further(found: Replan) -> int:
    return sum(cutting.count for cutting in found.cuttings if cutting.lot == FURTHER)


def _price(remains: Remains) -> Fraction | None:
    """Return what one further roll costs: the paper's price, else the dearest of the rolls listed."""
    listed = [lot.price for lot in remains.whole.values() if lot.price is not None]
    return remains.job.paper.price or max(listed, default=None)


def _if_measured(remains: Remains, rolls: int, time_limit: float) -> tuple[tuple[str, ...], int | None]:
    uncertain = tuple(roll.label for roll in remains.state.rolls.values() if not roll.is_certain)
    if not uncertain:
        return (), None
    hoped = remains_of(remains.state, hoped=True)
    found = _with_further(hoped, _in_hand(hoped), time_limit)
    used = {cutting.lot for cutting in found.cuttings if cutting.drops}
    fewer = _further(found)
    return (tuple(roll for roll in uncertain if roll in used), fewer) if fewer < rolls else ((), None)


# A joined piece


@dataclass(frozen=True, slots=True)
class _End:
    """What a roll has left when all that can be cut from the rolls in hand is cut; ``roll`` None: any unopened."""

    roll: str | None
    left: Length
    first_motif: Length | None


def _joined(found: Replan, missing: Counter[str]) -> Joined | None:
    """Return a piece joined of two that would do, where a single piece is missing."""
    if missing.total() != 1:
        return None
    job = found.remains.job
    drop = job.drop(next(iter(missing)))
    ends = list(_ends(found))
    pairs = ((top, bottom) for top in ends for bottom in ends if top is not bottom)
    return next((joined for pair in pairs if (joined := _join(job, drop, *pair)) is not None), None)


def _ends(found: Replan) -> list[_End]:
    """Return what is left of each roll, on which the print is known, longest first."""
    job, rolls = found.remains.job, found.remains.state.rolls
    cut = {cutting.lot: cutting for cutting in found.cuttings if cutting.drops}
    whole = [roll for roll in rolls.values() if roll.label not in cut and not roll.like.is_foot_first]
    ends = [_End(roll.label, roll.left, roll.first_motif) for roll in whole]
    for cutting in cut.values():
        if cutting.lot != FURTHER:
            rest = rest_after(job, job.lot(cutting.lot), cutting.drops, None)
            roll = cutting.lot if cutting.lot in rolls else cutting.roll
            if rest is not None and not rest.parts and not rest.is_foot_first:
                ends.append(_End(roll, rest.length, rest.first_motif))
    known = [end for end in ends if end.first_motif is not None or job.paper.pattern.is_free]
    return sorted(known, key=lambda end: -end.left)


def _join(job: Job, drop: Drop, top: _End, bottom: _End) -> Joined | None:
    """Return ``drop`` joined of a piece from ``top`` and one below it from ``bottom``; None when it cannot be."""
    pattern = job.paper.pattern
    lead_in = pattern.within_repeat((top.first_motif or ZERO) - drop.motif_below_cut)
    most = Fraction(floor(top.left - lead_in - drop.trim_top - JOINT_OVERLAP))
    most = min(most, drop.height - LEAST_JOINED)
    # The joint as low as the upper piece reaches, or where the lower one needs no lead-in.
    above = most - pattern.within_repeat(most - (drop.first_motif - (bottom.first_motif or ZERO)))
    for joint in (most, above):
        motif = pattern.within_repeat(drop.first_motif - joint)
        start = pattern.within_repeat((bottom.first_motif or ZERO) - motif)
        length = drop.height - joint + drop.trim_bottom
        if joint >= LEAST_JOINED and start + length <= bottom.left:
            return Joined(drop.label, top.roll, drop.trim_top + joint + JOINT_OVERLAP, bottom.roll, length)
    return None
