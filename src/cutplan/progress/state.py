"""Where the work stands: what is cut, lies on the table, hangs or is spoiled, and what is left on each roll.

The state is what the record's entries add up to. An entry is tried here before it is written, so that the record
never holds what cannot have happened.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from cutplan.errors import CutplanError
from cutplan.job.offcuts import cut_out_lots
from cutplan.lengths import ZERO, Rounding, show
from cutplan.paper.stock import Lot
from cutplan.progress.entries import Bought, Done, Hung, Measured, Spoiled, Undone
from cutplan.progress.plan_in_use import Act, PlanInUse, StockLot
from cutplan.progress.roll_now import RollAtTable, roll_at_table

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from cutplan.job.job import Job
    from cutplan.lengths import Length
    from cutplan.progress.entries import Event, Recorded
    from cutplan.progress.plan_in_use import TableStep


MOST_LONGER: Final = Fraction(3, 100)
"""By what part a roll may measure longer than it is marked before it is called a slip of the tape: twice what
EN 233 clause 5.2.2 lets a roll differ."""


_MOST_NAMED: Final = 6


class NotPossibleError(CutplanError):
    """Something that cannot have happened as it was told: the message says why, and what to record instead."""

    exit_status = 2


@dataclass(frozen=True, slots=True)
class Loss:
    """A spoiled piece, why, and whether it hung already."""

    piece: str
    why: str
    was_hung: bool


@dataclass(frozen=True, slots=True)
class State:
    """The state of a job.

    Attributes
    ----------
    job
        What the scenario wants.
    units
        In which messages show lengths.
    plan
        The plan in use.
    done
        How many times each step of the plan in use was done; a step left out, never.
    rolls
        Rolls that were opened or measured, and sound rests of spoiled pieces, by label, in that order.
    on_table, hung
        Pieces cut and not spoiled, by what is written on their backs, in the order cut and hung.
    spoiled
        Pieces lost.
    bought
        Rolls that have come in since.
    papers
        For each piece that was cut, the roll or offcut that it is from: its batch, and what it has of the width.

    """

    job: Job
    units: str
    plan: PlanInUse
    done: Mapping[int, int] = field(default_factory=dict)
    rolls: Mapping[str, RollAtTable] = field(default_factory=dict)
    on_table: tuple[str, ...] = ()
    hung: tuple[str, ...] = ()
    spoiled: tuple[Loss, ...] = ()
    bought: tuple[StockLot, ...] = ()
    papers: Mapping[str, Lot] = field(default_factory=dict)

    # What can be asked

    @property
    def remaining(self) -> dict[str, int]:
        """Return, by drop label in hanging order, how many pieces are still wanted and not cut."""
        held = Counter(drop_of(piece) for piece in (*self.on_table, *self.hung))
        wanted = {drop.label: drop.count - held[drop.label] for drop in self.job.drops}
        return {label: count for label, count in wanted.items() if count > 0}

    @property
    def next_step(self) -> TableStep | None:
        """Return the first step that is not done; None when all are."""
        return next((step for step in self.plan.steps if self.done.get(step.number, 0) < step.count), None)

    @property
    def to_be_cut(self) -> dict[str, tuple[str, ...]]:
        """Return, for each roll of the plan in use, the drops that the plan will still cut from it, in order."""
        drops: dict[str, tuple[str, ...]] = {}
        for step in self.plan.steps:
            if step.drop is not None:
                for time in range(self.done.get(step.number, 0), step.count):
                    roll = self.plan.roll(step, time)
                    drops[roll] = (*drops.get(roll, ()), step.drop)
        return drops

    @property
    def wanted_again(self) -> dict[str, int]:
        """Return, by drop label, how many pieces are wanted that the plan in use will not cut."""
        planned = Counter(drop for drops in self.to_be_cut.values() for drop in drops)
        missing = {label: count - planned[label] for label, count in self.remaining.items()}
        return {label: count for label, count in missing.items() if count > 0}

    @property
    def falls_from(self) -> dict[str, str]:
        """Return, by what is written on each cut-out of the job, the drop that it falls out of."""
        return {cut_out.label: drop.label for drop in self.job.drops for cut_out in drop.cut_outs}

    @property
    def fallen(self) -> dict[str, Lot]:
        """Return, by label, what falls out of the pieces that are cut and not spoiled, as wide as their paper is."""
        return {
            lot.label: lot
            for piece in (*self.on_table, *self.hung)
            for lot in cut_out_lots(self.job.drop(drop_of(piece)), self.job.paper, self.papers.get(piece))
        }

    def is_lost(self, label: str) -> bool:
        """Return True for a cut-out of a drop that is not cut, or was spoiled."""
        return label in self.falls_from and label not in self.rolls and label not in self.fallen

    @property
    def unopened(self) -> dict[str, tuple[Lot, str]]:
        """Return the rolls in hand that nobody has touched: by label, the lot as listed, and of which lot they are.

        Of rolls taken as they are needed those are in hand that the plan in use cuts.
        """
        known = {held.lot.label for held in self.plan.stock}
        stock = [*self.plan.stock, *(held for held in self.bought if held.lot.label not in known)]
        found: dict[str, tuple[Lot, str]] = {}
        for held in stock:
            lot = held.lot
            labels = self._labels_in_plan(lot) if lot.count is None else map(lot.roll_label, range(1, lot.count + 1))
            if not lot.is_offcut:
                found |= {label: (lot, held.of) for label in labels if label not in self.rolls}
        return found

    def _labels_in_plan(self, lot: Lot) -> list[str]:
        steps = [step for step in self.plan.steps if step.lot == lot.label]
        return list(dict.fromkeys(self.plan.roll(step, time) for step in steps for time in range(step.count)))

    def is_in_hand(self, roll: str) -> bool:
        """Return True for a roll that was opened, or that is listed, bought, or cut by the plan in use."""
        return self.is_opened(roll) or roll in replace(self, rolls={}).unopened

    def is_opened(self, roll: str) -> bool:
        """Return True when the roll has been opened, or is the rest of a piece."""
        return roll in self.rolls and self.rolls[roll].is_open

    def roll(self, label: str) -> RollAtTable:
        """Return a roll as it now is, opened or not.

        Raises
        ------
        NotPossibleError
            When the plan in use has no such roll.

        """
        known = self.rolls.get(label)
        if known is not None:
            return known
        fallen = self.fallen.get(label)
        if fallen is not None:
            return roll_at_table(label, StockLot(fallen, label))
        for held in (*self.plan.stock, *self.bought):
            lot = held.lot
            number = _number_within(label, lot.label, lot.count)
            if number is not None:
                return roll_at_table(label, held)
        lots = [held.lot for held in self.plan.stock]
        names = _some([lot.roll_label(1) if lot.count == 1 else f"{lot.roll_label(1)} …" for lot in lots])
        raise NotPossibleError(f"there is no roll {label!r}; rolls are called {names}")

    # What can happen

    def after(self, event: Event, *, is_new: bool = False) -> State:
        """Return the state after one more thing has happened.

        What ``is_new`` must also be of paper that is there; older records, which did not ask, still open.

        Raises
        ------
        NotPossibleError
            When it cannot have happened in this state.

        """
        match event:
            case PlanInUse():
                return replace(self, plan=event, done={})
            case Done():
                return self._after_steps(event, is_new=is_new)
            case Hung():
                return self._after_hanging(event)
            case Spoiled():
                return self._after_loss(event)
            case Measured():
                if is_new:
                    self._refuse_if_absent(event.roll)
                return self._after_measuring(event)
            case Bought():
                return replace(self, bought=(*self.bought, *event.stock))
            case Undone():
                raise NotPossibleError("what is undone is left out of the state, not added to it")

    def _refuse_if_absent(self, label: str) -> None:
        """Refuse paper that is not there: a roll that is not in hand, or what falls out of a drop that is not cut."""
        roll = self.roll(label)
        if self.is_lost(label):
            source = self.falls_from[label]
            why = "was spoiled" if any(drop_of(loss.piece) == source for loss in self.spoiled) else "is not cut"
            raise NotPossibleError(f"{label} is not there: drop {source} {why}")
        if not roll.like.is_offcut and not self.is_in_hand(label):
            names = _some(list(self.unopened)) or "all in hand are opened"
            raise NotPossibleError(f"{label} is not in hand; rolls not opened yet: {names}")

    def _after_steps(self, event: Done, *, is_new: bool) -> State:
        if event.plan != self.plan.number:
            raise NotPossibleError(f"these are steps of plan {event.plan}, and plan {self.plan.number} is in use")
        steps = [self._step(number) for number in event.steps]
        openings = [step for step in steps if step.act is Act.OPEN]
        if event.first_motif is not None and (len(openings) != 1 or event.times > 1):
            raise NotPossibleError("a first motif is measured on one roll: give it with the step that opens that roll")
        state = self
        for _ in range(event.times):
            for step in steps:
                if is_new and step.act is Act.OPEN:
                    state._refuse_if_absent(self.plan.roll(step, state.done.get(step.number, 0)))
                state = state._after_step(step, event.first_motif if step.act is Act.OPEN else None)
        return state

    def _step(self, number: int) -> TableStep:
        step = self.plan.step(number)
        if step is not None:
            return step
        first, last = self.plan.first, self.plan.last
        if number < first:
            what = f"step {number} is of an earlier plan, which plan {self.plan.number} has replaced"
            raise NotPossibleError(f"{what}; its steps run from {first} to {last}")
        raise NotPossibleError(f"there is no step {number}: the plan's steps run from {first} to {last}")

    def _after_step(self, step: TableStep, first_motif: Length | None) -> State:
        times = self.done.get(step.number, 0)
        if times == step.count:
            on = "" if step.count == 1 else f" on all {step.count} rolls"
            raise NotPossibleError(f"step {step.number} is done already{on}; to take back the last entry: undo")
        done = {**self.done, step.number: times + 1}
        if step.act is Act.OTHER:
            return replace(self, done=done)
        self._refuse_if_ahead(step, times)
        label = self.plan.roll(step, times)
        roll = self.roll(label)
        match step.act:
            case Act.OPEN:
                roll = roll.opened(first_motif)
            case Act.NEXT_STRETCH:
                roll = roll.next_stretch()
            case _:
                roll = self._cut(roll, step)
        after = replace(self, done=done, rolls={**self.rolls, label: roll})
        if step.piece is None:
            return after
        return replace(after, on_table=(*self.on_table, step.piece), papers={**self.papers, step.piece: roll.like})

    def _refuse_if_ahead(self, step: TableStep, times: int) -> None:
        """Refuse a step on a roll before the steps that come first on it."""
        before = reversed(self.plan.steps[: step.number - self.plan.first])
        same = (earlier for earlier in before if (earlier.lot, earlier.first_number) == (step.lot, step.first_number))
        last = next((earlier for earlier in same if earlier.act is not Act.OTHER), None)
        if last is not None and self.done.get(last.number, 0) <= times:
            raise NotPossibleError(
                f"step {step.number} comes after step {last.number} on {self.plan.roll(step, times)}, which is not "
                f"done; if it is, record both: {last.number} {step.number}"
            )

    def _cut(self, roll: RollAtTable, step: TableStep) -> RollAtTable:
        pattern = self.job.paper.pattern
        off = step.length if step.act is Act.CUT_OFF else None
        length = step.length if step.act is Act.CUT and step.length is not None else ZERO
        after = roll.cut_to(pattern, step.motif_below, off).cut_off(pattern, length)
        if after.most_left < 0:
            left = show(max(roll.most_left, ZERO), self.units)
            raise NotPossibleError(
                f"{roll.label} has only {left} left, so step {step.number} cannot have been done; measure what is "
                "left on it first"
            )
        return replace(after, left=max(after.left, ZERO))

    def _after_hanging(self, event: Hung) -> State:
        state = self
        for name in event.pieces:
            piece = _piece_named(name, state.on_table)
            if piece is None:
                raise NotPossibleError(f"drop {name} does not lie on the table{_lying(state.on_table)}")
            state = replace(state, on_table=_without(state.on_table, piece), hung=(*state.hung, piece))
        return state

    def _after_loss(self, event: Spoiled) -> State:
        piece = _piece_named(event.piece, self.on_table)
        was_hung = piece is None
        piece = piece or _piece_named(event.piece, self.hung)
        if piece is None:
            self._refuse_loss(event.piece)
            raise NotPossibleError(f"drop {event.piece} is not cut, so it cannot be spoiled")
        lost = replace(
            self,
            on_table=self.on_table if was_hung else _without(self.on_table, piece),
            hung=_without(self.hung, piece) if was_hung else self.hung,
            spoiled=(*self.spoiled, Loss(piece, event.why, was_hung)),
        )
        return lost if event.good is None else _with_rest(lost, piece, event.good, at_top=event.good_at_top)

    def _refuse_loss(self, name: str) -> None:
        label = drop_of(name)
        if label not in {drop.label for drop in self.job.drops}:
            known = _some([drop.label for drop in self.job.drops])
            raise NotPossibleError(f"there is no drop {name!r}; drops are called {known}")

    def _after_measuring(self, event: Measured) -> State:
        roll = self.roll(event.roll)
        pattern = self.job.paper.pattern
        if event.first_motif is not None and (pattern.is_free or event.first_motif >= pattern.repeat):
            limit = "this paper has no motif" if pattern.is_free else f"under {show(pattern.repeat, self.units)}"
            raise NotPossibleError(f"the first motif below the end of a roll is less than a repeat: {limit}")
        if event.left > roll.most_left * (1 + MOST_LONGER):
            most = show(roll.most_left, self.units, Rounding.UP)
            raise NotPossibleError(f"{event.roll} can have {most} left at most; measure again")
        return replace(self, rolls={**self.rolls, event.roll: roll.measured(event.left, event.first_motif)})


def _with_rest(state: State, piece: str, good: Length, *, at_top: bool) -> State:
    """Keep what is sound of a spoiled piece as if it were a short roll, already open."""
    drop = state.job.drop(drop_of(piece))
    if not 0 < good < drop.cut_length:
        whole = show(drop.cut_length, state.units)
        raise NotPossibleError(f"what is good of drop {piece} must be more than 0 and less than {whole}")
    names = (f"rest {number} of {drop.label}" for number in range(1, len(state.rolls) + 2))
    label = next(name for name in names if name not in state.rolls)
    above = ZERO if at_top else drop.cut_length - good
    motif = state.job.paper.pattern.within_repeat(drop.motif_below_cut - above)
    paper = state.papers.get(piece)
    batch = None if paper is None else paper.batch
    like = Lot(label, good, motif, batch=batch, left=drop.left, right=drop.right, is_offcut=True)
    rest = roll_at_table(label, StockLot(like, label)).opened(motif)
    return replace(state, rolls={**state.rolls, label: rest})


def state_of(events: Iterable[Recorded], job: Job, units: str) -> State | None:
    """Return the state that events add up to; None when no plan has been begun.

    Raises
    ------
    NotPossibleError
        When the record holds what cannot have happened: which entry.

    """
    state: State | None = None
    for recorded in counting(events):
        try:
            state = begun_with(recorded.event, job, units) if state is None else state.after(recorded.event)
        except NotPossibleError as error:
            raise NotPossibleError(f"entry {recorded.number} of the record: {error}") from error
    return state


def begun_with(event: Event, job: Job, units: str) -> State:
    """Return the state of a job at its beginning; NotPossibleError when ``event`` is no plan."""
    if isinstance(event, PlanInUse):
        return State(job, units, event)
    raise NotPossibleError("nothing can be done before there is a plan")


def counting(events: Iterable[Recorded]) -> list[Recorded]:
    """Return the events that still count: those not undone, in order.

    Raises
    ------
    NotPossibleError
        When an entry undoes anything but the last that counts.

    """
    still: list[Recorded] = []
    for recorded in events:
        if not isinstance(recorded.event, Undone):
            still.append(recorded)
        elif still and still[-1].number == recorded.event.entry:
            still.pop()
        else:
            raise NotPossibleError(
                f"entry {recorded.number} of the record undoes entry {recorded.event.entry}, which is not the last"
            )
    return still


def drop_of(piece: str) -> str:
    """Return the label of the drop that a piece belongs to: ``1`` of ``1 (2 of 3)``."""
    return piece.partition(" (")[0]


def _number_within(label: str, lot: str, count: int | None) -> int | None:
    if count == 1:
        return 1 if label == lot else None
    base, _, number = label.rpartition("-")
    if base != lot or not number.isdecimal() or number.startswith("0"):
        return None
    return int(number) if count is None or int(number) <= count else None


def _piece_named(name: str, pieces: tuple[str, ...]) -> str | None:
    """Return the piece called ``name``, or the last cut of those alike when ``name`` is their drop's label."""
    if name in pieces:
        return name
    return next((piece for piece in reversed(pieces) if drop_of(piece) == name), None)


def _without(pieces: tuple[str, ...], piece: str) -> tuple[str, ...]:
    place = pieces.index(piece)
    return pieces[:place] + pieces[place + 1 :]


def _some(names: list[str]) -> str:
    return ", ".join(names[:_MOST_NAMED]) + (" …" if len(names) > _MOST_NAMED else "")


def _lying(pieces: tuple[str, ...]) -> str:
    return f"; these do: {', '.join(pieces)}" if pieces else "; none does"
