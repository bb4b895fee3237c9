"""What a record tells, gone through entry by entry: nothing is cut, hung or spoiled that cannot have been."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from cutplan.check.report import PlanUnreadable, Violation, counted, mm
from cutplan.check.roll_rules.rolls_and_drops import drop_label

if TYPE_CHECKING:
    from collections.abc import Iterator
    from fractions import Fraction

    from cutplan.check.record_rules.recorded_lines import RecordedLine
    from cutplan.check.stated.document import ListedPlan
    from cutplan.check.stated.echo import Wanted
    from cutplan.check.stated.fields import Table

KINDS: Final = ("plan", "done", "hung", "spoiled", "measured", "bought", "undone")


@dataclass(frozen=True, slots=True)
class Step:
    """A step of a plan in use, done once on each of ``count`` rolls; ``piece`` is None for all but cutting."""

    number: int
    count: int
    piece: str | None
    length: Fraction | None


@dataclass
class Work:
    """Where the work stands: by drop, how many are wanted, lie cut on the table, and hang."""

    wanted: Counter[str] = field(default_factory=Counter)
    table: Counter[str] = field(default_factory=Counter)
    hung: Counter[str] = field(default_factory=Counter)
    pieces_hung: set[str] = field(default_factory=set)
    plan: int = 0
    steps: dict[int, Step] = field(default_factory=dict)
    done: Counter[int] = field(default_factory=Counter)
    last_step: int = 0

    def apply(self, line: RecordedLine) -> Iterator[Violation]:
        """Yield what cannot have happened as an entry, other than a plan, tells it."""
        facts, where = line.facts, f"line {line.number}"
        rule = {"done": self._done, "hung": self._hung, "spoiled": self._spoiled}.get(line.kind)
        for message in () if rule is None else rule(facts):
            yield Violation("record", where, message)
        if facts.faults:
            raise PlanUnreadable(facts.faults)

    def _done(self, facts: Table) -> Iterator[str]:
        times = facts.whole("times", 1) or 1
        if facts.whole("plan", 1) != self.plan:
            yield f"tells of plan {facts.values.get('plan')}, and plan {self.plan} is in use"
            return
        for number in _listed(facts, "steps"):
            step = self.steps.get(number) if isinstance(number, int) else None
            if step is None:
                yield f"plan {self.plan} has no step {number}"
                continue
            self.done[step.number] += times
            if self.done[step.number] > step.count:
                yield f"step {number} is done {counted(self.done[step.number], 'time')}, it is for {step.count}"
            if step.piece is not None:
                self.table[drop_label(step.piece)] += times

    def _hung(self, facts: Table) -> Iterator[str]:
        for piece in _listed(facts, "pieces"):
            label = drop_label(str(piece))
            if piece in self.pieces_hung or not self.table[label]:
                why = "hangs already" if piece in self.pieces_hung else "was not cut"
                yield f"piece {piece} is hung, and it {why}"
                continue
            self.pieces_hung.add(str(piece))
            self.table[label] -= 1
            self.hung[label] += 1

    def _spoiled(self, facts: Table) -> Iterator[str]:
        piece = facts.text("piece") or ""
        held = self.hung if piece in self.pieces_hung else self.table
        if not held[drop_label(piece)]:
            yield f"piece {piece} is spoiled, and it was not cut"
            return
        held[drop_label(piece)] -= 1
        self.pieces_hung.discard(piece)

    def take_up(self, line: RecordedLine, wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
        """Yield what is wrong with the steps of a plan that is put to use."""
        if not self.plan:
            self.wanted = Counter({drop.label: drop.count for drop in wanted.drops.values()})
        steps = [step for step in map(_step, line.facts.tables("steps")) if step is not None]
        number = line.facts.whole("plan", 1)
        if line.facts.faults:
            raise PlanUnreadable(line.facts.faults)
        for message in (*self._numbers(steps, number), *_steps_cut(steps, plan), *self._what_remains(steps)):
            yield Violation("record", f"line {line.number}", message)
        self.plan, self.steps, self.done = number or 0, {step.number: step for step in steps}, Counter()
        self.last_step = steps[-1].number if steps else self.last_step

    def _numbers(self, steps: list[Step], number: int | None) -> Iterator[str]:
        """Yield where plans or their steps are not numbered onwards; numbers of what was undone are not used again."""
        if number is None or number <= self.plan:
            yield f"plan {number} comes after plan {self.plan}"
        first = max(self.last_step + 1, steps[0].number) if steps else 0
        for place, step in enumerate(steps, start=first):
            if step.number != place:
                yield f"step {step.number} stands where step {place} has its turn"
                return

    def _what_remains(self, steps: list[Step]) -> Iterator[str]:
        """Yield where the steps do not cut what is wanted and neither lies cut nor hangs."""
        cut: Counter[str] = Counter()
        for step in steps:
            cut[drop_label(step.piece or "")] += step.count if step.piece is not None else 0
        for label, count in self.wanted.items():
            remains = count - self.table[label] - self.hung[label]
            if cut[label] != remains:
                yield f"drop {label} is to be cut {counted(cut[label], 'time')}, and {remains} of it remain"


def _listed(facts: Table, key: str) -> list[object]:
    value = facts.values.get(key)
    if isinstance(value, list):
        return value
    facts.fault(key, "must be a list")
    return []


def _step(table: Table) -> Step | None:
    number, count = table.whole("step", 1), table.whole("count", 1)
    if number is None or count is None:
        return None
    is_cut = table.text("act") == "cut"
    return Step(number, count, table.text("piece") if is_cut else None, table.number("length"))


def _steps_cut(steps: list[Step], plan: ListedPlan) -> Iterator[str]:
    """Yield where the steps do not make the plan's cuts, in its order where it gives one."""
    made = [step for step in steps if step.piece is not None]
    listed = [cut.piece for roll in plan.rolls for cut in roll.cuts]
    due = list(plan.order.cuts) if plan.order is not None else sorted(listed)
    pieces = [step.piece or "" for step in made]
    if (pieces if plan.order is not None else sorted(pieces)) != due:
        yield "the steps do not cut the pieces of the plan in its order"
    lengths = {cut.piece: cut.end - cut.start for roll in plan.rolls for cut in roll.cuts}
    for step in made:
        length = lengths.get(step.piece or "")
        if length is not None and step.length != length:
            said = "nothing" if step.length is None else mm(step.length)
            yield f"step {step.number} cuts {said} for piece {step.piece}; the plan cuts {mm(length)}"
