"""A new plan for what remains: fewest further rolls, proved, and as little changed as that allows.

First what the plan in use will still cut is left where it is, and drops wanted again are cut from what is over;
then one roll is laid out anew, then all. The first of these that opens no more further rolls than a fresh plan
is taken, so the least change never costs a roll.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from enum import Enum
from typing import TYPE_CHECKING, Final

from cutplan.errors import NoPlanError
from cutplan.job.print_along import place_along, rest_after
from cutplan.lengths import ZERO
from cutplan.solve import solve

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from fractions import Fraction

    from cutplan.job.job import Job
    from cutplan.lengths import Length
    from cutplan.paper.stock import Lot
    from cutplan.plan.plan import Plan
    from cutplan.progress.remains import Remains

MOST_NAMED_SINGLY: Final = 60
"""Rolls not yet opened that are each planned under their own label; more are planned by the lot, in blocks."""

_MOST_TRIED: Final = 12
"""Rolls of which it is tried whether laying out that one anew is enough."""


class Change(Enum):
    """How much of the plan in use was changed."""

    NONE = "none"
    ADDED = "added"
    ONE_ROLL = "one roll"
    ALL = "all"


@dataclass(frozen=True, slots=True)
class Cutting:
    """What is cut from one roll, or from each of ``count`` alike.

    Attributes
    ----------
    lot
        Label of the lot within what remains.
    drops
        Labels of the drops, in order along the roll; none where the roll is left alone.
    roll
        Label of the roll where it must be this one, since the plan in use has it so; None for any of the lot.
    count
        How many rolls are cut like this.

    """

    lot: str
    drops: tuple[str, ...]
    roll: str | None = None
    count: int = 1


@dataclass(frozen=True, slots=True)
class Replan:
    """What was found for what remains.

    Attributes
    ----------
    remains
        What remains.
    fresh
        The plan made afresh, which has the proof.
    cuttings
        What is cut from which roll.
    change
        How much of the plan in use that changes.
    relaid
        The roll that is laid out anew, where it is one.

    """

    remains: Remains
    fresh: Plan
    cuttings: tuple[Cutting, ...]
    change: Change
    relaid: str | None = None

    @property
    def value(self) -> Fraction:
        """What the further rolls count or cost."""
        return value_of(self.remains, self.cuttings)

    @property
    def further(self) -> int:
        """How many rolls that nobody has opened yet will be opened."""
        return sum(cutting.count for cutting in self.cuttings if self.remains.is_further(cutting.lot) and cutting.drops)


def replan(remains: Remains, *, time_limit: float = 10.0, progress: Callable[[str], None] | None = None) -> Replan:
    """Return a plan for what remains that opens the fewest further rolls, or the cheapest.

    Parameters
    ----------
    remains
        What remains.
    time_limit
        Seconds for each attempt.
    progress
        As :func:`cutplan.solve.solve` takes it.

    Raises
    ------
    NoPlanError
        When the rolls in hand are too few.

    """
    fresh = solve(remains.job, time_limit=time_limit, progress=progress)
    anew = tuple(_cuttings_of(fresh))
    planned = _planned(remains)
    least = value_of(remains, anew)
    for change, relaid, kept in _attempts(remains, planned):
        filled = _filled(remains, kept, time_limit)
        if filled is not None and value_of(remains, filled) <= least:
            has_grown = sum(len(cutting.drops) * cutting.count for cutting in kept) < _pieces(remains)
            return Replan(remains, fresh, tuple(filled), change if relaid or has_grown else Change.NONE, relaid)
    return Replan(remains, fresh, anew, Change.ALL)


def value_of(remains: Remains, cuttings: tuple[Cutting, ...] | list[Cutting]) -> Fraction:
    """Return what the rolls that are cut count or cost together."""
    values = {lot.label: remains.job.value_of(lot) for lot in remains.job.all_lots}
    return sum((cutting.count * values[cutting.lot] for cutting in cuttings if cutting.drops), ZERO)


def _pieces(remains: Remains) -> int:
    return remains.job.drop_count


def _cuttings_of(plan: Plan) -> Iterator[Cutting]:
    for layout in plan.layouts:
        yield Cutting(layout.lot, tuple(cut.drop for cut in layout.cuts), None, layout.count)


# What the plan in use still cuts


def _planned(remains: Remains) -> list[Cutting]:
    """Return what the plan in use still cuts from each roll, as far as it is wanted and still fits there."""
    state, job = remains.state, remains.job
    lots = {lot.label: lot for lot in job.all_lots}
    wanted = Counter(state.remaining)
    to_be_cut = {roll: drops for roll, drops in state.to_be_cut.items() if drops}
    cuttings = []
    for roll, planned in to_be_cut.items():
        label = roll if roll in state.rolls else state.roll(roll).of
        if label in lots:
            drops = _that_fit(job, lots[label], planned, wanted)
            wanted.subtract(drops)
            cuttings.append(Cutting(label, drops, roll))
    if sum(not state.is_opened(roll) for roll in to_be_cut) > MOST_NAMED_SINGLY:
        cuttings = _grouped(remains, cuttings)
    seen = {cutting.lot for cutting in cuttings}
    return cuttings + [Cutting(label, (), label) for label in lots if label in state.rolls and label not in seen]


def _that_fit(job: Job, lot: Lot, planned: tuple[str, ...], wanted: Counter[str]) -> tuple[str, ...]:
    """Return the first of the drops planned on a roll that are wanted and fit on it as it now is."""
    drops: list[str] = []
    for label in planned:
        if drops.count(label) < wanted[label]:
            if place_along(job, lot, [*drops, label]) is None:
                break
            drops.append(label)
    return tuple(drops)


def _grouped(remains: Remains, cuttings: list[Cutting]) -> list[Cutting]:
    """Put rolls not touched and cut alike together, where there are too many to name each."""
    counts: dict[tuple[str, tuple[str, ...]], int] = {}
    singles = []
    for cutting in cuttings:
        if cutting.lot in remains.whole and cutting.lot not in remains.state.rolls:
            key = cutting.lot, cutting.drops
            counts[key] = counts.get(key, 0) + 1
        else:
            singles.append(cutting)
    return singles + [Cutting(lot, drops, None, count) for (lot, drops), count in counts.items()]


# Attempts, from the least change to more


def _attempts(remains: Remains, planned: list[Cutting]) -> Iterator[tuple[Change, str | None, list[Cutting]]]:
    """Yield what is left as it is: all that is planned, then all but one roll, those with the fewest cuts first."""
    yield Change.ADDED, None, planned
    for cutting in sorted(planned, key=lambda cutting: len(cutting.drops))[:_MOST_TRIED]:
        if cutting.drops and cutting.roll is not None:
            others = [other for other in planned if other is not cutting]
            emptied = [replace(cutting, drops=())] if cutting.lot in remains.state.rolls else []
            yield Change.ONE_ROLL, cutting.roll, others + emptied


def _filled(remains: Remains, kept: list[Cutting], time_limit: float) -> list[Cutting] | None:
    """Return ``kept`` with the drops that it lacks cut from what it leaves over; None when that cannot be."""
    lacking = Counter(remains.state.remaining)
    for cutting in kept:
        for label in cutting.drops:
            lacking[label] -= cutting.count
    drops = tuple(replace(drop, count=lacking[drop.label]) for drop in remains.job.drops if lacking[drop.label])
    if not drops:
        return kept
    spread = _spread(remains, kept, [drop.label for drop in drops for _ in range(drop.count)])
    if spread is not None:
        return spread
    over = [*_over(remains, kept), *_not_planned(remains, kept)]
    shortest = min(drop.cut_length for drop in drops)
    lots = [replace(lot, label=str(place)) for place, (lot, _) in enumerate(over) if lot.length >= shortest]
    if not lots:
        return None
    try:
        plan = solve(replace(remains.job, lots=tuple(lots), drops=drops), time_limit=time_limit)
    except NoPlanError:
        return None
    return _added(kept, plan, over)


def _spread(remains: Remains, kept: list[Cutting], labels: list[str]) -> list[Cutting] | None:
    """Return ``kept`` with drops added to rolls that are cut or open anyway, each where it leaves the most slack.

    None when some drop does not fit so; other ways of adding them may then do.
    """
    job = remains.job
    cuttings = list(kept)
    for label in sorted(labels, key=lambda label: -job.drop(label).cut_length):
        slacks = {
            place: slack
            for place, cutting in enumerate(cuttings)
            if (slack := _slack(remains, cutting, label)) is not None
        }
        if not slacks:
            return None
        place = max(slacks, key=lambda place: slacks[place])
        cuttings[place] = replace(cuttings[place], drops=(*cuttings[place].drops, label))
    return cuttings


def _slack(remains: Remains, cutting: Cutting, label: str) -> Length | None:
    """Return what a single roll has left when a drop is added; None when it is not cut anyway or has no room."""
    lot = remains.job.lot(cutting.lot)
    is_used = cutting.drops or not remains.is_further(cutting.lot)
    if cutting.count > 1 or not is_used or place_along(remains.job, lot, (*cutting.drops, label)) is None:
        return None
    rest = rest_after(remains.job, lot, (*cutting.drops, label), None)
    return ZERO if rest is None else rest.length


def _over(remains: Remains, kept: list[Cutting]) -> Iterator[tuple[Lot, Cutting]]:
    """Yield what is over on each roll of ``kept``, as a lot that costs nothing where the roll is cut anyway."""
    lots = {lot.label: lot for lot in remains.job.all_lots}
    for cutting in kept:
        lot = lots[cutting.lot]
        price = ZERO if cutting.drops else remains.job.value_of(lot)
        rest = rest_after(remains.job, lot, cutting.drops, price)
        if rest is not None:
            yield replace(rest, count=cutting.count, batch=None), cutting


def _not_planned(remains: Remains, kept: list[Cutting]) -> Iterator[tuple[Lot, Cutting]]:
    """Yield the rolls of each lot, and the offcuts that are there already, from which ``kept`` cuts nothing."""
    used: Counter[str] = Counter()
    for cutting in kept:
        used[cutting.lot] += cutting.count
    for lot in remains.job.all_lots:
        count = None if lot.count is None else lot.count - used[lot.label]
        if lot.cut_from is None and (count is None or count > 0):
            yield replace(lot, count=count, price=remains.job.value_of(lot), batch=None), Cutting(lot.label, ())


def _added(kept: list[Cutting], plan: Plan, over: list[tuple[Lot, Cutting]]) -> list[Cutting]:
    left = list(kept)
    added = []
    for layout in plan.layouts:
        _, cutting = over[int(layout.lot)]
        drops = tuple(cut.drop for cut in layout.cuts)
        added.append(replace(cutting, drops=cutting.drops + drops, count=layout.count))
        place = next((place for place, other in enumerate(left) if other is cutting), None)
        if place is not None:
            left[place] = replace(cutting, count=cutting.count - layout.count)
            over[int(layout.lot)] = (over[int(layout.lot)][0], left[place])
    return [cutting for cutting in left if cutting.count] + added
