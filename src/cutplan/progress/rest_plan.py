"""The new plan as a plan in its own right: every roll under its own name, and a scenario that it answers.

Rolls that were opened stand in that scenario with what is left of them and the first motif below their present
ends, so that anyone can check the plan without knowing the record.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeAlias

from cutplan.job.print_along import place_along
from cutplan.lengths import exact_number
from cutplan.plan.plan import Cut, Plan, RollLayout
from cutplan.plan.proof import Prices, Status
from cutplan.progress.replan import MOST_NAMED_SINGLY
from cutplan.table.sequence import sequence_of
from cutplan.table.steps import OpenRoll

if TYPE_CHECKING:
    from collections.abc import Iterator
    from fractions import Fraction

    from cutplan.job.job import Job
    from cutplan.lengths import Length
    from cutplan.paper.stock import Lot
    from cutplan.plan.proof import Proof
    from cutplan.progress.remains import Remains
    from cutplan.progress.replan import Cutting, Replan
    from cutplan.progress.state import State
    from cutplan.scenario.read import Scenario
    from cutplan.table.steps import LeftOver, Sequence

Json: TypeAlias = "dict[str, object]"


@dataclass(frozen=True, slots=True)
class RestPlan:
    """The new plan, ready to be worked from.

    Attributes
    ----------
    sequence
        Its steps, numbered on from those of earlier plans.
    scenario
        What it answers: the drops still wanted, and the rolls as they now are.
    origins
        For each of its lots, the scenario's lot that the rolls belong to.

    """

    sequence: Sequence
    scenario: Scenario
    origins: dict[str, str]


def rest_plan(found: Replan, scenario: Scenario, number: int, first_step: int) -> RestPlan:
    """Return the new plan.

    Parameters
    ----------
    found
        What is cut from which roll.
    scenario
        The scenario of the whole job.
    number
        Number of the new plan, 2 or more.
    first_step
        Number of its first step.

    """
    naming = _Naming(found, number)
    layouts = tuple(naming.layouts())
    job = replace(found.remains.job, lots=tuple(naming.lots()))
    proof = naming.proof(found.fresh.proof)
    status = Status.OPTIMAL if found.value == proof.bound else Status.FEASIBLE
    best = found.fresh.at_best
    at_best = None if best is None else replace(best, proof=naming.proof(best.proof))
    plan = Plan(job, layouts, status, proof, at_best, found.fresh.stopped)
    state = found.remains.state
    opened = [label for label, roll in state.rolls.items() if roll.is_open]
    sequence = _as_rolls_are(_numbered_from(sequence_of(plan, opened), first_step), state)
    return RestPlan(sequence, _scenario_of(scenario, job), naming.origins)


def _numbered_from(sequence: Sequence, first: int) -> Sequence:
    steps = tuple(replace(step, number=step.number + first - 1) for step in sequence.steps)
    return replace(sequence, steps=steps)


def _as_rolls_are(sequence: Sequence, state: State) -> Sequence:
    """Return the sequence with rolls that are open taken up again, and what may be left on them not understated."""
    steps = tuple(
        replace(step, is_open=True) if isinstance(step, OpenRoll) and state.is_opened(step.roll) else step
        for step in sequence.steps
    )
    left = tuple(_as_roll_is(over, state) for over in sequence.left)
    return replace(sequence, steps=steps, left=left)


def _as_roll_is(over: LeftOver, state: State) -> LeftOver:
    roll = state.rolls.get(over.roll)
    if roll is None:
        return over
    return replace(over, is_measured=roll.is_measured, is_at_least=over.is_at_least or not roll.is_certain)


class _Naming:
    """Gives every roll of what remains the name that it has, or will have when it is opened."""

    def __init__(self, found: Replan, number: int) -> None:
        self.found = found
        self.remains: Remains = found.remains
        self.number = number
        self.lots_then = {lot.label: lot for lot in self.remains.job.all_lots}
        self.used = Counter[str]()
        for cutting in found.cuttings:
            if cutting.drops:
                self.used[cutting.lot] += cutting.count
        self.groups = [label for label in self.lots_then if label not in self.remains.state.rolls and self._size(label)]
        self.singly = sum(self._size(label) for label in self.groups) <= MOST_NAMED_SINGLY
        self.rolls = {label: self._names(label) for label in self.groups}
        self.origins: dict[str, str] = {}

    def lots(self) -> Iterator[Lot]:
        """Yield the new plan's lots: rolls touched, then the others."""
        for lot in self.remains.job.lots:
            label = lot.label
            if label in self.remains.state.rolls:
                self.origins[label] = self.remains.state.rolls[label].of
            if label not in self.groups:
                yield lot
            for roll in self.rolls.get(label, ()):
                self.origins[roll] = label
                yield replace(lot, label=roll, count=1 if self.singly else self._size(label))

    def layouts(self) -> Iterator[RollLayout]:
        """Yield how each roll is cut."""
        free = {label: list(rolls) for label, rolls in self.rolls.items()}
        begun = Counter[str]()
        for cutting in self._best_named_first():
            if not cutting.drops:
                continue
            placed = place_along(self.remains.job, self.lots_then[cutting.lot], cutting.drops) or ()
            cuts = tuple(Cut(at.drop.label, at.start, at.end) for at in placed)
            if cutting.lot not in self.groups:
                yield RollLayout(cutting.lot, 1, cutting.count, cuts)
            elif self.singly:
                for _ in range(cutting.count):
                    yield RollLayout(self._take(free[cutting.lot], cutting), 1, 1, cuts)
            else:
                roll = self.rolls[cutting.lot][0]
                yield RollLayout(roll, begun[cutting.lot] + 1, cutting.count, cuts)
                begun[cutting.lot] += cutting.count

    def proof(self, proof: Proof) -> Proof:
        """Return a proof about the lots of what remains as one about the new plan's lots."""
        if proof.prices is None:
            return proof
        premiums: dict[str, int] = {}
        for label, premium in proof.prices.premiums.items():
            premiums |= dict.fromkeys(self.rolls.get(label, [label]), premium)
        prices = Prices(proof.prices.drops, premiums, proof.prices.scale)
        return replace(proof, prices=prices)

    def _size(self, label: str) -> int:
        """Return how many rolls of a lot the new plan lists: all, or those it uses of a lot without limit.

        One at least, so that the rolls already open can be seen to cost less.
        """
        count = self.lots_then[label].count
        return max(self.used[label], 1) if count is None else count

    def _names(self, label: str) -> list[str]:
        """Return the labels of a lot's rolls: the plan in use's own first, then the next that are free."""
        if not self.singly:
            return [f"plan {self.number} {label}"]
        size = self._size(label)
        kept = [cutting.roll for cutting in self.found.cuttings if cutting.lot == label and cutting.roll is not None]
        state = self.remains.state
        planned = [roll for roll in state.to_be_cut if roll not in state.rolls and state.roll(roll).of == label]
        names = list(dict.fromkeys([*kept, *planned]))[:size]
        whole = self.remains.whole.get(label, self.lots_then[label])
        number = 1
        while len(names) < size:
            roll = whole.roll_label(number)
            if roll not in state.rolls and roll not in names:
                names.append(roll)
            number += 1
        return sorted(names, key=_by_number)

    def _best_named_first(self) -> list[Cutting]:
        """Return the cuttings with those first whose rolls the plan in use names."""
        return sorted(self.found.cuttings, key=lambda cutting: cutting.roll is None)

    def _take(self, free: list[str], cutting: Cutting) -> str:
        """Take a roll's name: the cutting's own, else that of the roll meant for the most of the same."""
        name = cutting.roll
        if name is None:
            name = max(free, key=lambda roll: self._shared(roll, cutting))
        free.remove(name)
        return name

    def _shared(self, roll: str, cutting: Cutting) -> int:
        job = self.remains.state.job
        meant = Counter(job.kind_of(drop) for drop in self.remains.state.to_be_cut.get(roll, ()))
        return (meant & Counter(job.kind_of(drop) for drop in cutting.drops)).total()


def _by_number(roll: str) -> tuple[str, int, str]:
    base, _, number = roll.rpartition("-")
    return (base, int(number), roll) if number.isdecimal() else (roll, 0, roll)


# The scenario that the new plan answers


def _scenario_of(scenario: Scenario, job: Job) -> Scenario:
    drop = job.drops[0]
    document: Json = {
        "units": scenario.units,
        "paper": scenario.document["paper"],
        "trim": {"top": written(drop.trim_top), "bottom": written(drop.trim_bottom)},
        "roll": [_roll(lot, is_free=job.paper.pattern.is_free) for lot in job.lots],
        "drop": [_drop(job, drop.label) for drop in job.drops],
    }
    notes = ["This plan is for what remained of the job; rolls that were open are listed with what was left of them."]
    if job.counts_cost:
        notes.append("Rolls that were open cost nothing more, so the cost is that of further rolls.")
    return replace(scenario, job=job, notes=tuple(notes), document=document, setting_out=None)


def _roll(lot: Lot, *, is_free: bool) -> Json:
    facts: Json = {"label": lot.label, "length": written(lot.length)}
    if lot.first_motif is not None and not is_free:
        facts["first_motif"] = written(lot.first_motif)
    if lot.count is not None and lot.count > 1:
        facts["count"] = lot.count
    if lot.batch is not None:
        facts["batch"] = lot.batch
    if lot.price is not None:
        facts["price"] = _price(lot.price)
    return facts


def _drop(job: Job, label: str) -> Json:
    drop = job.drop(label)
    facts: Json = {"label": label, "height": written(drop.height)}
    if not job.paper.pattern.is_free:
        facts["first_motif"] = written(drop.first_motif)
    return facts | ({"count": drop.count} if drop.count > 1 else {})


def _price(price: Fraction) -> int | float:
    return price.numerator if price.denominator == 1 else float(exact_number(price))


def written(length: Length) -> str:
    """Return a length as a scenario states it exactly: ``2400 mm``, ``213 1/3 mm``.

    >>> from fractions import Fraction
    >>> written(Fraction(640, 3)), written(Fraction(1, 2)), written(Fraction(50))
    ('213 1/3 mm', '1/2 mm', '50 mm')

    """
    whole, part = divmod(length.numerator, length.denominator)
    if not part:
        return f"{whole} mm"
    broken = f"{part}/{length.denominator} mm"
    return f"{whole} {broken}" if whole else broken
