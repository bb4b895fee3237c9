"""What remains of a job is a job: the drops still wanted, and all paper as it now is, as a scenario of its own.

It goes through the same solver, the same order of cutting, the same writer and the same judge as a first plan. A roll
once opened is paid for, so it costs nothing more; a plan for what remains therefore counts, or costs, further rolls.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from fractions import Fraction
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from cutplan.errors import CutplanError
from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.job.print_along import could_hold, place_along
from cutplan.lengths import ZERO
from cutplan.paper.stock import Lot
from cutplan.progress.state import State, drop_of
from cutplan.scenario.read import Scenario
from cutplan.scenario.survey import SURVEY_KEYS
from cutplan.scenario.write import drop_entry, offcut_entry, plain, roll_entry

MOST_NAMED_SINGLY: Final = 60
"""Rolls not yet opened that are each planned under their own label; more are planned by the lot."""


class NothingToCutError(CutplanError):
    """There is nothing to plan, since every drop wanted has been cut."""

    exit_status = 2


class Remains(Struct, frozen=True):
    """What remains of a job."""

    state: State
    """The state that this is the remainder of."""
    scenario: Scenario
    """The drops still wanted, every roll in hand under its own label, and offcuts: leftovers, sound parts of spoiled
    drops, and what fell or will fall out of drops that are cut."""
    origins: dict[str, str]
    """For each roll, the scenario's lot that it belongs to, or the lot bought since."""
    has_rolls: bool
    """False when no roll is left; the scenario then lists none."""

    @property
    def job(self) -> Job:
        """The job of the scenario."""
        return self.scenario.job

    @property
    def in_hand(self) -> int:
        """How many rolls in hand have not been opened."""
        return sum(lot.count or 0 for lot in self.job.rolls if not self.state.is_opened(lot.label))


def remains_of(state: State, scenario: Scenario, *, hoped: bool = False, further: int = 0) -> Remains:
    """Return what remains of a scenario: of each roll what is certain to be left, or, if ``hoped``, all that may be.

    ``further`` rolls are to be bought besides, where the scenario takes them as they are needed.

    Raises
    ------
    NothingToCutError
        When every drop wanted has been cut.

    """
    if not state.remaining:
        raise NothingToCutError("every drop is cut, and none is wanted again: there is nothing to plan")
    origins: dict[str, str] = {}
    rolls = [*_begun(state, origins, hoped=hoped), *_unopened(state, origins, further)]
    has_rolls = bool(rolls)
    if not has_rolls:
        rolls = [Lot("roll", state.job.paper.roll_length, count=None, price=state.job.paper.price)]
    lots = (*_priced(state, rolls), *_offcuts(state))
    drops = tuple(_settled(state, lots, [_wanted(state, label, count) for label, count in state.remaining.items()]))
    job = replace(state.job, lots=lots, drops=drops, neighbours=())
    rest = replace(
        scenario,
        job=job,
        notes=tuple(_notes(state, job)),
        document=_document(scenario, job, has_rolls=has_rolls),
        setting_out=None,
        ordered=None,
    )
    return Remains(state, rest, origins, has_rolls)


def misfits(state: State) -> dict[str, tuple[str, ...]]:
    """Return, by roll, the drops that the plan in use will cut from it and that it can no longer give."""
    found = {}
    to_be_cut = state.to_be_cut
    to_come = {drop for drops in to_be_cut.values() for drop in drops}
    for label, drops in to_be_cut.items():
        if label in state.rolls:
            lot = state.rolls[label].as_lot(state.job.paper.pattern, None)
            fit = 0 if lot is None else _number_that_fit(state.job, lot, drops)
            if fit < len(drops):
                found[label] = drops[fit:]
        elif state.is_lost(label) and state.falls_from[label] not in to_come:
            found[label] = drops
    return found


def _number_that_fit(job: Job, lot: Lot, drops: tuple[str, ...]) -> int:
    return next(fit for fit in range(len(drops), -1, -1) if place_along(job, lot, drops[:fit]) is not None)


# The rolls


def _begun(state: State, origins: dict[str, str], *, hoped: bool) -> Iterator[Lot]:
    """Yield what is left of rolls that were opened, or measured."""
    for roll in state.rolls.values():
        if roll.like.is_offcut or not state.is_in_hand(roll.label):
            continue
        price = None if roll.is_open else _price_of(state, roll.of)
        lot = roll.as_lot(state.job.paper.pattern, price, hoped=hoped)
        if lot is not None:
            origins[lot.label] = roll.of
            yield lot


def _unopened(state: State, origins: dict[str, str], further: int) -> Iterator[Lot]:
    """Yield rolls that nobody has touched, each under its own label, or by the lot where they are many."""
    held = dict(state.unopened)
    for lot in state.job.lots:
        if lot.count is None and further:
            numbers = range(1, len(state.rolls) + len(held) + further + 1)
            free = [label for label in map(lot.roll_label, numbers) if label not in state.rolls and label not in held]
            held |= dict.fromkeys(free[:further], (lot, lot.label))
    if len(held) <= MOST_NAMED_SINGLY:
        for label, (lot, of) in held.items():
            origins[label] = of
            yield replace(lot, label=label, count=1, price=_price_of(state, of))
        return
    likes = {of: lot for lot, of in held.values()}
    for of, count in Counter(of for _, of in held.values()).items():
        label = f"plan {state.plan.number + 1} {of}"
        origins[label] = of
        yield replace(likes[of], label=label, count=count, price=_price_of(state, of))


def _price_of(state: State, of: str) -> Fraction | None:
    listed = (*state.job.lots, *(held.lot for held in state.bought))
    return next((lot.price for lot in listed if lot.label == of), None)


def _priced(state: State, rolls: list[Lot]) -> Iterator[Lot]:
    """Price rolls so that those already open cost nothing more: at 1 a further roll where rolls have no price."""
    is_begun = any(state.is_opened(lot.label) for lot in rolls)
    for lot in rolls:
        price = Fraction(1) if is_begun and lot.price is None else lot.price
        yield replace(lot, price=ZERO if state.is_opened(lot.label) else price)


# The offcuts


def _offcuts(state: State) -> Iterator[Lot]:
    """Yield offcuts kept, whole or cut from already, sound parts of spoiled drops, and what falls out of drops.

    Of the last only what could be some drop of the job: slivers are no stock.
    """
    for roll in state.rolls.values():
        lot = roll.as_lot(state.job.paper.pattern, None) if roll.like.is_offcut else None
        if lot is not None:
            yield replace(lot, cut_from=None, after=None)
    for lot in state.job.lots:
        if lot.is_offcut and lot.label not in state.rolls:
            yield replace(lot, after=None if lot.after is None else _last_before(state, lot.after))
    pattern = state.job.paper.pattern
    for lot in state.fallen.values():
        is_of_use = any(could_hold(pattern, lot, drop) for drop in state.job.drops)
        if is_of_use and lot.label not in state.rolls and lot.cut_from is not None:
            yield replace(lot, cut_from=None, after=_last_before(state, lot.cut_from))


def _last_before(state: State, source: str) -> str | None:
    """Return the last drop that is wanted and hangs no later than ``source``; None when ``source`` can be hung now."""
    if any(drop_of(piece) == source for piece in state.hung):
        return None
    labels = [drop.label for drop in state.job.drops]
    return next((label for label in labels[labels.index(source) :: -1] if label in state.remaining), None)


# The drops


def _wanted(state: State, label: str, count: int) -> Drop:
    """Return a drop as it is still wanted, without the cut-outs that have been cut from already."""
    drop = state.job.drop(label)
    is_turned = None if drop.is_turned is None else drop.turns(drop.count - count + 1)
    return replace(
        drop,
        count=count,
        is_turned=is_turned,
        cut_outs=tuple(cut for cut in drop.cut_outs if cut.label not in state.rolls),
    )


def _settled(state: State, lots: Iterable[Lot], drops: Iterable[Drop]) -> Iterator[Drop]:
    """Yield drops; where paper is of several batches, those of a wall that is begun must be of its batch."""
    cut = {piece: state.papers[piece].batch for piece in (*state.on_table, *state.hung) if piece in state.papers}
    papers = {batch or "" for batch in (*cut.values(), *(lot.batch for lot in lots if not lot.is_offcut))}
    batches = {state.job.drop(drop_of(piece)).wall: batch or "" for piece, batch in cut.items()}
    for drop in drops:
        is_begun = len(papers) > 1 and drop.wall is not None and drop.wall in batches
        yield replace(drop, batch=batches[drop.wall]) if is_begun else drop


# The scenario


def _document(scenario: Scenario, job: Job, *, has_rolls: bool) -> dict[str, object]:
    is_free = job.paper.pattern.is_free
    replaced = ("roll", "offcut", "drop", *SURVEY_KEYS)
    tables = {
        "roll": [plain(roll_entry(lot, is_free=is_free)) for lot in job.rolls if has_rolls],
        "offcut": [plain(offcut_entry(lot, is_free=is_free)) for lot in job.lots if lot.is_offcut],
        "drop": [plain(drop_entry(drop, is_free=is_free, trims=scenario.trims)) for drop in job.drops],
    }
    kept = {key: value for key, value in scenario.document.items() if key not in replaced}
    return kept | {key: entries for key, entries in tables.items() if entries}


def _notes(state: State, job: Job) -> Iterator[str]:
    yield (
        "This plan is for what remained of the job: rolls that were open are listed with what was left of them, at no "
        "price, so that only further rolls count."
    )
    cut = {paper.batch for piece, paper in state.papers.items() if piece in (*state.on_table, *state.hung)}
    others = {lot.batch for lot in job.rolls} - cut
    if not job.must_share_batches and any(cut) and any(others):
        hung = " and ".join(sorted(batch for batch in cut if batch))
        yield (
            f"What is cut already is of batch {hung}, and not every roll is: hang different batches where the eye "
            "cannot compare, never on one wall."
        )
