"""Where the work stands: what is cut, lies on the table, hangs or is spoiled, and what is left on each roll.

The state is what the record's entries add up to. An entry is tried here before it is written, so that the record
never holds what cannot have happened.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from fractions import Fraction
from functools import reduce
from itertools import count
from typing import Final

from msgspec import Struct, field
from msgspec.structs import replace

from cutplan.errors import CutplanError
from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.job.offcuts import cut_out_lots
from cutplan.job.print_along import is_of_its_sheet, motif_along
from cutplan.lengths import ZERO, Length, Rounding, show
from cutplan.paper.stock import Lot
from cutplan.progress.entries import (
    AtWork,
    Bought,
    Corrected,
    CutPiece,
    Done,
    Event,
    Flawed,
    Hung,
    Measured,
    Pasted,
    Spoiled,
    Undone,
)
from cutplan.progress.plan_in_use import Effect, PlanInUse, StockLot, TableStep
from cutplan.progress.roll_now import RollAtTable, roll_at_table
from cutplan.scenario.read import scenario_of
from cutplan.wording import counted

MOST_LONGER: Final = Fraction(3, 100)
"""By what part a roll may measure longer than it is marked before it is called a slip of the tape: twice what
EN 233 clause 5.2.2 lets a roll differ."""
_MOST_NAMED: Final = 6
_MOST_DIGITS: Final = 9
"""Of a roll's number: there are fewer rolls."""


class NotPossibleError(CutplanError):
    """Something that cannot have happened as it was told: the message says why, and what to record instead."""

    exit_status = 2


class Loss(Struct, frozen=True):
    """A spoiled piece, why, and whether it hung already."""

    piece: str
    why: str
    was_hung: bool


class State(Struct, frozen=True):
    """The state of a job."""

    job: Job
    """What the scenario wants."""
    units: str
    """In which messages show lengths."""
    plan: PlanInUse
    """The plan in use."""
    done: Mapping[int, int] = field(default_factory=dict)
    """How many times each step of the plan in use was done; a step left out, never."""
    rolls: Mapping[str, RollAtTable] = field(default_factory=dict)
    """Rolls that were opened or measured, and sound rests of spoiled pieces, by label, in that order."""
    on_table: tuple[str, ...] = ()
    hung: tuple[str, ...] = ()
    """Pieces cut and not spoiled, by what is written on their backs, in the order cut and hung."""
    spoiled: tuple[Loss, ...] = ()
    """Pieces lost."""
    bought: tuple[StockLot, ...] = ()
    """Rolls that have come in since."""
    papers: Mapping[str, Lot] = field(default_factory=dict)
    """For each piece that was cut, the roll or offcut that it is from: its batch, and what it has of the width."""
    lengths: Mapping[str, Length] = field(default_factory=dict)
    """How long a piece was cut, where that is not what its drop is to be cut."""
    pasted: tuple[str, ...] = ()
    """Pieces on the table that are pasted and folded."""
    overnight: tuple[str, ...] = ()
    """Those of them that were pasted before the last day's end."""
    is_off: bool = False
    """True when work was left off, and not taken up again."""
    by: str | None = None
    """Who is at work; None when not told."""
    version: int = 1
    """Which version of the scenario counts: 1 as it was when work began, and one more for each correction."""

    # What can be asked

    @property
    def unpasted(self) -> tuple[str, ...]:
        """Return the pieces on the table that are not pasted."""
        return reduce(_without, self.pasted, self.on_table)

    @property
    def remaining(self) -> dict[str, int]:
        """Return, by drop label in hanging order, how many pieces are still wanted and not cut."""
        held = Counter(drop_of(piece) for piece in (*self.on_table, *self.hung))
        wanted = {drop.label: drop.count - held[drop.label] for drop in self.job.drops}
        return {label: count for label, count in wanted.items() if count > 0}

    @property
    def next_step(self) -> TableStep | None:
        """Return the first step that is not done; None when all are, or a drop of a corrected scenario is another."""
        steps = (step for step in self.plan.steps if self.done.get(step.number, 0) < step.count)
        return next((step for step in steps if self.is_right(step)), None)

    def is_right(self, step: TableStep) -> bool:
        """Return False for a step that cuts a drop as it was wanted before the scenario was corrected."""
        if step.drop is None or self.version == 1:
            return True
        drop = next((drop for drop in self.job.drops if drop.label == step.drop), None)
        if drop is None or step.length != drop.cut_length:
            return False
        return step.motif_below is None or step.motif_below in {
            motif_along(self.job.paper.pattern, replace(lot, is_foot_first=way), drop)
            for lot in self.job.lots[:1]
            for way in (False, True)
        }

    def comes_off_first(self, step: TableStep) -> Length | None:
        """Return what must come off a roll before, or with, a step on it, where the step says otherwise.

        0 where the step says to cut some off, and nothing is to be; None where the step is right, or nobody knows.
        """
        roll = self.rolls.get(self.plan.roll(step, self.done.get(step.number, 0)))
        if roll is None or roll.first_motif is None or step.motif_below is None:
            return None
        if step.act not in (Effect.CUT_OFF, Effect.CUT):
            return None
        off = self.job.paper.pattern.within_repeat(roll.first_motif - step.motif_below)
        said = step.length if step.act is Effect.CUT_OFF else ZERO
        return None if off == said or (said is None and not roll.is_certain) else off

    def goes_past_flaw(self, step: TableStep) -> bool:
        """Return True when a piece no longer fits before a flaw of its roll, and is cut from beyond it."""
        roll = self.rolls.get(self.plan.roll(step, self.done.get(step.number, 0)))
        off = self.comes_off_first(step) or ZERO
        return bool(roll and roll.ahead and step.act is Effect.CUT and off + (step.length or ZERO) > roll.most_left)

    @property
    def to_be_cut(self) -> dict[str, tuple[str, ...]]:
        """Return, for each roll of the plan in use, the drops that the plan will still cut from it, in order."""
        drops: dict[str, tuple[str, ...]] = {}
        for step in self.plan.steps:
            if step.drop is not None and self.is_right(step):
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
            if _is_one_of(lot, label):
                return roll_at_table(label, held)
        lots = [held.lot for held in self.plan.stock]
        names = _some([lot.roll_label(1) if lot.count == 1 else f"{lot.roll_label(1)} …" for lot in lots])
        raise NotPossibleError(f"there is no roll {label!r}; rolls are called {names}")

    # What can happen

    def after(self, event: Event, *, is_new: bool = False) -> State:  # noqa: C901, PLR0911, PLR0912 - one for each
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
            case CutPiece():
                return self._after_cut(event)
            case Flawed():
                return self._after_flaw(event)
            case Pasted():
                return self._after_pasting(event)
            case AtWork():
                return self._after_shift(event)
            case Corrected():
                return self._after_correction(event)
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
        if len(set(event.steps)) < len(event.steps):
            twice = next(number for number in event.steps if event.steps.count(number) > 1)
            raise NotPossibleError(f"step {twice} is given twice, so nothing was recorded")
        steps = [self._step(number) for number in event.steps]
        for step in steps:
            rest = step.count - self.done.get(step.number, 0)
            if event.times > rest > 0:
                what = f"step {step.number} is to be done {counted(rest, 'time')}, not {event.times}"
                raise NotPossibleError(f"{what}, so nothing was recorded")
        openings = [step for step in steps if step.act is Effect.OPEN]
        if event.first_motif is not None and (len(openings) != 1 or event.times > 1):
            raise NotPossibleError("a first motif is measured on one roll: give it with the step that opens that roll")
        state = self
        for _ in range(event.times):
            for step in steps:
                if is_new and step.act is Effect.OPEN:
                    state._refuse_if_absent(self.plan.roll(step, state.done.get(step.number, 0)))
                state = state._after_step(step, event.first_motif if step.act is Effect.OPEN else None)
        return state

    def _step(self, number: int) -> TableStep:
        step = self.plan.step(number)
        if step is not None:
            return step
        first, last = self.plan.first, self.plan.last
        if 0 < number < first:
            what = f"step {number} is of an earlier plan, which plan {self.plan.number} has replaced"
            raise NotPossibleError(f"{what}; its steps run from {first} to {last}")
        raise NotPossibleError(f"there is no step {number}: the plan's steps run from {first} to {last}")

    def _after_step(self, step: TableStep, first_motif: Length | None) -> State:
        times = self.done.get(step.number, 0)
        if times == step.count:
            on = "" if step.count == 1 else f" on all {step.count} rolls"
            raise NotPossibleError(f"step {step.number} is done already{on}; to take back the last entry: undo")
        done = {**self.done, step.number: times + 1}
        if step.act is Effect.OTHER:
            return replace(self, done=done)
        self._refuse_if_ahead(step, times)
        if not self.is_right(step):
            raise NotPossibleError(f"drop {step.drop} is another since the scenario was corrected: plan the rest anew")
        label = self.plan.roll(step, times)
        roll = self.roll(label)
        match step.act:
            case Effect.OPEN:
                roll = roll.opened(self.job.paper.pattern, first_motif)
            case Effect.NEXT_STRETCH:
                while len(roll.ahead) > self._stretches_beyond(step):
                    roll = roll.next_stretch()
            case _:
                if step.drop is not None:
                    self._refuse_another_sheet(roll, self.job.drop(step.drop))
                roll = replace(self._cut(roll, step), is_open=True)
        roll = replace(roll, last=step.piece)
        after = replace(self, done=done, rolls={**self.rolls, label: roll})
        if step.piece is None:
            return after
        return replace(after, on_table=(*self.on_table, step.piece), papers={**self.papers, step.piece: roll.like})

    def _stretches_beyond(self, step: TableStep) -> int:
        """Return how many stretches of a roll lie beyond the one that a step takes up."""
        taken_up = sum(earlier.act is Effect.NEXT_STRETCH for earlier in self._up_to(step))
        return len(self.plan.stock_lot(step.lot).lot.stretches) - 1 - taken_up

    def _up_to(self, step: TableStep) -> list[TableStep]:
        """Return the steps on the same roll up to ``step``, itself included."""
        before = self.plan.steps[: step.number - self.plan.first + 1]
        return [earlier for earlier in before if (earlier.lot, earlier.first_number) == (step.lot, step.first_number)]

    def _refuse_if_ahead(self, step: TableStep, times: int) -> None:
        same = reversed(self._up_to(step)[:-1])
        last = next((earlier for earlier in same if earlier.act is not Effect.OTHER), None)
        if last is not None and self.done.get(last.number, 0) <= times:
            raise NotPossibleError(
                f"step {step.number} comes after step {last.number} on {self.plan.roll(step, times)}, which is not "
                f"done; if it is, record both: {last.number} {step.number}"
            )

    def _refuse_another_sheet(self, roll: RollAtTable, drop: Drop) -> None:
        if not is_of_its_sheet(roll.like, drop):
            sheet = "none" if roll.like.sheet is None else f"sheet {roll.like.sheet}"
            raise NotPossibleError(f"drop {drop.label} is a part of sheet {drop.sheet}, and {roll.label} is of {sheet}")

    def _cut(self, roll: RollAtTable, step: TableStep) -> RollAtTable:
        off = step.length if step.act is Effect.CUT_OFF else None
        length = step.length if step.act is Effect.CUT and step.length is not None else ZERO
        return self._cut_from(roll, step.motif_below, off, length, f"step {step.number}")

    def _cut_from(
        self, roll: RollAtTable, motif: Length | None, off: Length | None, length: Length, what: str
    ) -> RollAtTable:
        """Return a roll with ``length`` cut from it where its print is right: beyond a flaw, if not before it."""
        pattern = self.job.paper.pattern
        after = roll.cut_to(pattern, motif, off).cut_off(pattern, length)
        if after.most_left < 0 and roll.ahead:
            return self._cut_from(roll.next_stretch(), motif, off, length, what)
        if after.most_left < 0:
            left = show(max(roll.most_left, ZERO), self.units)
            raise NotPossibleError(
                f"{roll.label} has only {left} left, so {what} cannot have been done; measure what is left on it first"
            )
        return replace(after, left=max(after.left, ZERO))

    def _after_hanging(self, event: Hung) -> State:
        state = self
        for name in event.pieces:
            piece = _piece_named(name, state.on_table)
            if piece is None:
                raise NotPossibleError(f"drop {name} does not lie on the table{_lying(state.on_table)}")
            state = replace(state.lifted(piece), hung=(*state.hung, piece))
        return state

    def lifted(self, piece: str) -> State:
        """Return the state with one piece less on the table, neither pasted there nor left overnight."""
        lists = (self.on_table, self.pasted, self.overnight)
        on_table, pasted, overnight = (_without(pieces, piece) for pieces in lists)
        return replace(self, on_table=on_table, pasted=pasted, overnight=overnight)

    # Pieces cut otherwise than the plan says

    def cut_of(self, name: str, roll: str | None, length: Length | None) -> CutPiece:
        """Return the piece called ``name`` as it was cut: from ``roll``, by default the plan's, and of ``length``.

        A piece that lies on the table, where no roll is told, is one that was recorded before.

        Raises
        ------
        NotPossibleError
            When there is no such drop, or nothing says from which roll it was cut.

        """
        self._refuse_loss(name)
        drop = self.job.drop(drop_of(name))
        lying = _piece_named(name, self.on_table)
        if lying is not None and roll is None:
            source = next((held.label for held in self.rolls.values() if held.last == lying), None)
            if source is None:
                raise NotPossibleError(
                    f"drop {name} is cut, and so is what lay behind it on its roll: measure what is left on that roll"
                )
            return self._as_cut(CutPiece(lying, source, drop.cut_length if length is None else length, corrects=True))
        step = self._cutting_of(name)
        if step is None and roll is None:
            raise NotPossibleError(f"the plan does not cut drop {name} again: say from which roll it was cut (--from)")
        planned = None if step is None else self.plan.roll(step, self.done.get(step.number, 0))
        taken = (*self.on_table, *self.hung)
        free = (piece for piece in map(drop.piece_label, range(1, drop.count + 1)) if piece not in taken)
        piece = next(free, None) if step is None else step.piece
        if piece is None or drop.label not in self.remaining:
            raise NotPossibleError(f"drop {name} is cut already; if it is spoiled, record that first")
        return self._as_cut(CutPiece(piece, roll or planned or "", drop.cut_length if length is None else length))

    def _as_cut(self, event: CutPiece) -> CutPiece:
        """Return what is cut with the word whether it reaches: its first end is as it is to be, the other may not."""
        drop, is_foot_first = self.job.drop(drop_of(event.piece)), self.roll(event.roll).like.is_foot_first
        needed = drop.height + (drop.trim_bottom if is_foot_first else drop.trim_top)
        return replace(event, is_short=event.length < needed)

    def _cutting_of(self, name: str) -> TableStep | None:
        """Return the next step that cuts the piece called ``name``, or one alike; None when there is none."""
        to_do = (step for step in self.plan.steps if self.done.get(step.number, 0) < step.count)
        return next((step for step in to_do if name in (step.piece, step.drop) and self.is_right(step)), None)

    def _after_cut(self, event: CutPiece) -> State:
        self._refuse_if_absent(event.roll)
        roll, drop = self.roll(event.roll), self.job.drop(drop_of(event.piece))
        if event.length <= 0:
            raise NotPossibleError("what is cut is longer than nothing")
        self._refuse_another_sheet(roll, drop)
        if not roll.like.covers(drop.left, drop.right):
            raise NotPossibleError(f"{event.roll} is too narrow for drop {drop.label}")
        if not event.corrects and drop.label not in self.remaining:
            raise NotPossibleError(f"drop {event.piece} is cut already; if it is spoiled, record that first")
        if event.corrects and event.piece not in self.on_table:
            raise NotPossibleError(f"drop {event.piece} does not lie on the table{_lying(self.on_table)}")
        if event.corrects:
            more = event.length - self._cut_length_of(event.piece)
            after = self._cut_from(replace(roll, ahead=()), None, more, ZERO, f"drop {event.piece}")
            after = replace(after, ahead=roll.ahead)
        else:
            motif = motif_along(self.job.paper.pattern, roll.like, drop)
            after = self._cut_from(roll, motif, None, event.length, f"the cutting of drop {event.piece}")
        after = replace(after, is_open=True, last=event.piece)
        state = replace(
            self._without_step(event, drop),
            rolls={**self.rolls, event.roll: after},
            lengths={**self.lengths, event.piece: event.length},
            papers={**self.papers, event.piece: roll.like},
        )
        if event.is_short:
            why = f"cut {show(event.length, self.units)} long, too short"
            lost = replace(state.lifted(event.piece), spoiled=(*state.spoiled, Loss(event.piece, why, was_hung=False)))
            return _with_rest(lost, event.piece, event.length)
        return state

    def is_short(self, piece: str) -> Length:
        """Return by how much a piece is shorter than its place on the wall; negative where it reaches across."""
        drop = self.job.drop(drop_of(piece))
        return drop.trim_top + drop.height - self._cut_length_of(piece)

    def _cut_length_of(self, piece: str) -> Length:
        return self.lengths.get(piece, self.job.drop(drop_of(piece)).cut_length)

    def _without_step(self, event: CutPiece, drop: Drop) -> State:
        """Return the state with the piece on the table, and the steps that would have cut it done with."""
        if event.corrects:
            return self
        step, done = self._cutting_of(event.piece) or self._cutting_of(drop.label), dict(self.done)
        if step is not None:
            time = done.get(step.number, 0)
            own = [step.number]
            for earlier in reversed([before for before in self._up_to(step)[:-1] if before.act is not Effect.OTHER]):
                is_opening = earlier.act is Effect.OPEN and event.roll == self.plan.roll(step, time)
                if earlier.act is not Effect.CUT_OFF and not is_opening:
                    break
                own.append(earlier.number)
            done |= {number: max(done.get(number, 0), time + 1) for number in own}
        return replace(self, done=done, on_table=(*self.on_table, event.piece))

    def _after_flaw(self, event: Flawed) -> State:
        self._refuse_if_absent(event.roll)
        roll = self.roll(event.roll)
        if not (event.at >= 0 < event.length and event.at <= roll.most_left):
            left = show(roll.most_left, self.units, Rounding.UP)
            raise NotPossibleError(f"a flaw begins within what is left of {event.roll}, {left}, and has a length")
        pattern = self.job.paper.pattern
        roll = roll.flawed(pattern, event.at, event.length)
        if not roll.like.is_offcut:
            return replace(self, rolls={**self.rolls, event.roll: roll})
        rolls = {**self.rolls, event.roll: replace(roll, ahead=())}
        for beyond in roll.ahead:  # what lies behind a flaw of an offcut is an offcut of its own
            label = next(name for name in (f"{event.roll}, part {n}" for n in count(2)) if name not in rolls)
            like = replace(roll.like, label=label, length=beyond.length, first_motif=beyond.first_motif, parts=())
            rolls[label] = roll_at_table(label, StockLot(like, label)).opened(pattern, beyond.first_motif)
        return replace(self, rolls=rolls)

    # The day

    def _after_pasting(self, event: Pasted) -> State:
        state = self
        for name in event.pieces:
            piece = _piece_named(name, state.unpasted)
            if piece is None:
                raise NotPossibleError(f"drop {name} does not lie unpasted on the table{_lying(state.on_table)}")
            state = replace(state, pasted=(*state.pasted, piece))
        return state

    def _after_shift(self, event: AtWork) -> State:
        if event.begins and not self.is_off and event.by in (None, self.by):
            raise NotPossibleError("work is going on; to hand it over, say who takes it up (--by)")
        if not event.begins and self.is_off:
            raise NotPossibleError("work was left off already; to take it up again: cutplan resume")
        by = event.by or self.by
        overnight = self.pasted if event.begins and self.is_off else self.overnight
        return replace(self, is_off=not event.begins, by=by, overnight=overnight)

    # The survey corrected

    def _after_correction(self, event: Corrected) -> State:
        """Return the state with each piece as the drop that it now is; what is none is paper, or hangs for nothing."""
        state, why = self, "the walls proved otherwise"
        for piece in self.on_table:
            if not event.pieces.get(piece):
                state = replace(state.lifted(piece), spoiled=(*state.spoiled, Loss(piece, why, was_hung=False)))
                state = _with_rest(state, piece, self._cut_length_of(piece))
        now = {piece: event.pieces.get(piece, ()) for piece in (*self.on_table, *self.hung)}
        lost = tuple(Loss(piece, why, was_hung=True) for piece in self.hung if not now[piece])
        job = scenario_of(event.document, "the corrected scenario").job
        cut_outs = _renamed_cut_outs(self.job, job, {drop_of(piece): labels for piece, labels in now.items()})
        return replace(
            state,
            job=job,
            version=self.version + 1,
            on_table=_as_now(state.on_table, now),
            hung=_as_now(self.hung, now),
            pasted=_as_now(state.pasted, now),
            overnight=_as_now(state.overnight, now),
            spoiled=(*state.spoiled, *lost),
            papers={label: self.papers[piece] for piece in now for label in now[piece] if piece in self.papers},
            lengths={label: self._cut_length_of(piece) for piece in now for label in now[piece]},
            rolls={cut_outs.get(label, label): replace(roll, last=None) for label, roll in state.rolls.items()},
        )

    def _after_loss(self, event: Spoiled) -> State:
        piece = _piece_named(event.piece, self.on_table)
        was_hung = piece is None
        piece = piece or _piece_named(event.piece, self.hung)
        if piece is None:
            self._refuse_loss(event.piece)
            raise NotPossibleError(f"drop {event.piece} is not cut, so it cannot be spoiled")
        lost = replace(
            self if was_hung else self.lifted(piece),
            hung=_without(self.hung, piece) if was_hung else self.hung,
            spoiled=(*self.spoiled, Loss(piece, event.why, was_hung)),
        )
        length = self._cut_length_of(piece)
        if event.good is not None and not 0 < event.good < length:
            whole = show(length, self.units)
            raise NotPossibleError(f"what is good of drop {piece} must be more than 0 and less than {whole}")
        return lost if event.good is None else _with_rest(lost, piece, event.good, at_top=event.good_at_top)

    def _refuse_loss(self, name: str) -> None:
        label = drop_of(name)
        if label not in {drop.label for drop in self.job.drops}:
            known = _some([drop.label for drop in self.job.drops])
            raise NotPossibleError(f"there is no drop {name!r}; drops are called {known}")

    def _after_measuring(self, event: Measured) -> State:
        roll = self.roll(event.roll)
        pattern = self.job.paper.pattern
        if event.first_motif is not None and pattern.is_free:
            raise NotPossibleError("a free match has no motif to measure; leave it out")
        if event.first_motif is not None and (beyond := pattern.beyond_repeat(event.first_motif, self.units)):
            raise NotPossibleError(f"the first motif below the end of {event.roll} {beyond}")
        if event.left > roll.most_left * (1 + MOST_LONGER):
            most = show(roll.most_left, self.units, Rounding.UP)
            raise NotPossibleError(
                f"{event.roll} can have {most} left at most; measure again, or record what was cut short (cutplan cut)"
            )
        return replace(self, rolls={**self.rolls, event.roll: roll.measured(pattern, event.left, event.first_motif)})


def _with_rest(state: State, piece: str, good: Length, *, at_top: bool = True) -> State:
    """Keep what is sound of a spoiled piece as if it were a short roll, already open."""
    drop = state.job.drop(drop_of(piece))
    names = (f"rest {number} of {drop.label}" for number in count(1))
    label = next(name for name in names if name not in state.rolls)
    paper, length = state.papers.get(piece), state.lengths.get(piece, drop.cut_length)
    above = ZERO if at_top else length - good
    if paper is not None and paper.is_foot_first:  # its foot is where it was to be, so what is amiss is at its top
        above += drop.cut_length - length
    motif = state.job.paper.pattern.within_repeat(drop.motif_below_cut - above)
    batch = None if paper is None else paper.batch
    like = Lot(label, good, motif, batch=batch, left=drop.left, right=drop.right, is_offcut=True, sheet=drop.sheet)
    rest = roll_at_table(label, StockLot(like, label)).opened(state.job.paper.pattern, motif)
    return replace(state, rolls={**state.rolls, label: rest})


def _as_now(pieces: tuple[str, ...], now: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    return tuple(label for piece in pieces for label in now[piece])


def _renamed_cut_outs(before: Job, after: Job, now: Mapping[str, tuple[str, ...]]) -> dict[str, str]:
    """Return, by its label before, how what falls out of a drop is called once the drop is another."""
    cut_outs = {drop.label: drop.cut_outs for drop in after.drops}
    return {
        old.label: new.label
        for drop in before.drops
        for label in now.get(drop.label, ())[:1]
        for old, new in zip(drop.cut_outs, cut_outs.get(drop_of(label), ()), strict=False)
    }


def begun_with(event: Event, job: Job, units: str) -> State:
    """Return the state of a job at its beginning; NotPossibleError when ``event`` is no plan."""
    if isinstance(event, PlanInUse):
        return State(job, units, event)
    raise NotPossibleError("nothing can be done before there is a plan")


def drop_of(piece: str) -> str:
    """Return the label of the drop that a piece belongs to: ``1`` of ``1 (2 of 3)``."""
    return piece.partition(" (")[0]


def _is_one_of(lot: Lot, label: str) -> bool:
    if lot.count == 1:
        return label == lot.label
    digits = label.rpartition("-")[2][:_MOST_DIGITS]
    number = int(digits) if digits.isdecimal() else 0
    return 0 < number <= (lot.count or number) and label == lot.roll_label(number)


def _piece_named(name: str, pieces: tuple[str, ...]) -> str | None:
    """Return the piece called ``name``, or the last cut of those alike when ``name`` is their drop's label."""
    if name in pieces:
        return name
    return next((piece for piece in reversed(pieces) if drop_of(piece) == name), None)


def _without(pieces: tuple[str, ...], piece: str) -> tuple[str, ...]:
    """Return pieces without one of this name, if any has it: of rolls cut alike each gives pieces of one name."""
    place = pieces.index(piece) if piece in pieces else len(pieces)
    return pieces[:place] + pieces[place + 1 :]


def _some(names: list[str]) -> str:
    return ", ".join(names[:_MOST_NAMED]) + (" …" if len(names) > _MOST_NAMED else "")


def _lying(pieces: tuple[str, ...]) -> str:
    return f"; these do: {', '.join(pieces)}" if pieces else "; none does"
