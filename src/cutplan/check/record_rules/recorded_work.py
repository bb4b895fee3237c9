"""What a record tells, gone through entry by entry: nothing is cut, hung or spoiled that cannot have been."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from hashlib import sha256
from itertools import chain
from typing import Final

from msgspec import Struct, field

from cutplan.check.record_rules.steps_of_plan import Step, read_step, steps_rule, stock_rule
from cutplan.check.report import PlanUnreadable, Violation, counted, mm
from cutplan.check.roll_rules.one_batch_a_wall import read_batches
from cutplan.check.roll_rules.rolls_and_drops import drop_label
from cutplan.check.roll_rules.what_fits_where import WantedDrop
from cutplan.check.stated.document import ListedPlan
from cutplan.check.stated.echo import Wanted, read_wanted
from cutplan.check.stated.fields import Table
from cutplan.check.stated.json_text import json_object
from cutplan.check.stated.match import Match

_TIME: Final = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", re.ASCII)
_SUM: Final = ',"sum":"'
_SUM_DIGITS: Final = 16
_FINGERPRINT_DIGITS: Final = 32


class Work(Struct):
    """Where the work stands: by drop, how many are wanted, lie cut on the table, and hang.

    ``drops`` are as the scenario wants them; none where a survey was corrected, from which they follow. ``sheets`` are
    the numbers of those of a set, by their labels; ``lots`` how long the rolls of each are, those bought too, and
    ``touched`` what was opened, measured or found flawed.
    """

    wanted: Counter[str] = field(default_factory=Counter)
    drops: dict[str, WantedDrop] = field(default_factory=dict)
    match: Match | None = None
    sheets: dict[str, int | None] = field(default_factory=dict)
    pasted: Counter[str] = field(default_factory=Counter)
    is_off: bool = False
    table: Counter[str] = field(default_factory=Counter)
    hung: Counter[str] = field(default_factory=Counter)
    pieces_hung: set[str] = field(default_factory=set)
    plan: int = 0
    steps: dict[int, Step] = field(default_factory=dict)
    done: Counter[int] = field(default_factory=Counter)
    last_step: int = 0
    lots: dict[str, Fraction | None] = field(default_factory=dict)
    touched: set[str] = field(default_factory=set)
    scenario: str = ""

    def apply(self, line: RecordedLine) -> Iterator[Violation]:
        """Yield what cannot have happened as an entry, other than a plan, tells it."""
        facts, where = line.facts, f"line {line.number}"
        rules = {"done": self._done, "cut": self._cut, "pasted": self._pasted, "hung": self._hung}
        rules |= {"bought": self._bought, "spoiled": self._spoiled, "at work": self._at_work}
        rule = (rules | {"corrected": self._corrected}).get(line.kind)
        self.touched.add(facts.optional_text("roll") or "")
        of_scenario = self._scenario(line) if line.kind == "corrected" else ()
        for message in chain(() if rule is None else rule(facts), of_scenario):
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
            self.touched |= {step.lot, *(f"{step.lot}-{step.first + more}" for more in range(step.count))}
            if self.done[step.number] > step.count:
                yield f"step {number} is done {counted(self.done[step.number], 'time')}, it is for {step.count}"
            if step.piece is not None:
                self.table[drop_label(step.piece)] += times

    def _cut(self, facts: Table) -> Iterator[str]:
        """Judge a piece cut otherwise than planned: one too short for its place is paper, and wanted again."""
        piece, length = facts.text("piece"), facts.number("length") or Fraction(0)
        label, corrects = drop_label(piece), bool(facts.flag("corrects"))
        drop = self.drops.get(label)
        if self.drops and drop is None:
            yield f"there is no drop {label}"
        roll = facts.text("roll")
        if drop is not None and self.sheets.get(roll, drop.sheet) != drop.sheet:
            yield f"piece {piece} is a part of sheet {drop.sheet}, and is cut from {roll}"
        if corrects and not self.table[label]:
            yield f"piece {piece} is found to be of another length, and it was not cut"
            return
        if not corrects:
            if self.wanted and self.table[label] + self.hung[label] >= self.wanted[label]:
                yield f"piece {piece} is cut once more than it is wanted"
            alike = (step for step in self.steps.values() if step.piece and self.done[step.number] < step.count)
            steps = sorted(alike, key=lambda step: step.piece != piece)
            step = next((step for step in steps if drop_label(step.piece or "") == label), None)
            if step is not None:
                self.done[step.number] += 1
            self.table[label] += 1
        is_short, trims = bool(facts.flag("short")), () if drop is None else sorted((drop.trim_top, drop.trim_bottom))
        if drop is not None and is_short not in {length < drop.height + trim for trim in trims}:
            said = "not to reach" if is_short else "to reach"
            yield f"piece {piece}, {mm(length)} long, is said {said}, for {mm(drop.height)}"
        if is_short:
            self.table[label] -= 1
            self.pasted[label] = min(self.pasted[label], self.table[label])

    def _bought(self, facts: Table) -> Iterator[str]:
        """Take up rolls that came in: each of their lots is its own, and new."""
        for entry in facts.tables("stock"):
            label = entry.text("label")
            if entry.text("of") != label or label in self.lots:
                yield f"the rolls bought are called {label}, which is taken, or said to be of another lot"
            self.lots[label] = entry.number("length")

    def _pasted(self, facts: Table) -> Iterator[str]:
        for piece in _listed(facts, "pieces"):
            label = drop_label(str(piece))
            self.pasted[label] += 1
            if self.pasted[label] > self.table[label]:
                yield f"piece {piece} is pasted, and it does not lie unpasted on the table"

    def _at_work(self, facts: Table) -> Iterator[str]:
        begins = bool(facts.flag("begins"))
        if not begins and self.is_off:
            yield "work is left off, and it was left off already"
        self.is_off = not begins

    def _corrected(self, facts: Table) -> Iterator[str]:
        """Take up what a corrected scenario makes of the pieces: each that is held is told of, once."""
        told, table, hung = facts.values.get("pieces"), Counter[str](), Counter[str]()
        before: Counter[str] = Counter()
        pieces_hung: set[str] = set()
        for piece, labels in told.items() if isinstance(told, dict) else ():
            names = [str(label) for label in labels] if isinstance(labels, list) else []
            before[drop_label(piece)] += 1
            (hung if piece in self.pieces_hung else table).update(drop_label(name) for name in names)
            pieces_hung |= set(names) if piece in self.pieces_hung else set()
        if before != +self.table + +self.hung:
            yield "the correction does not tell of each piece that is cut or hangs, once"
        self.table, self.hung, self.pieces_hung = table, hung, pieces_hung
        self.pasted = self.pasted & table
        document = facts.table("document")
        wanted = None if document is None else read_wanted(document)
        self.drops = {} if wanted is None else wanted.drops
        self.wanted = Counter({drop.label: drop.count for drop in self.drops.values()})

    def _hung(self, facts: Table) -> Iterator[str]:
        for piece in map(str, _listed(facts, "pieces")):
            label = drop_label(piece)
            if piece in self.pieces_hung or not self.table[label]:
                why = "hangs already" if piece in self.pieces_hung else "was not cut"
                yield f"piece {piece} is hung, and it {why}"
                continue
            self.pieces_hung.add(piece)
            self.table[label] -= 1
            self.hung[label] += 1
            self.pasted[label] = min(self.pasted[label], self.table[label])

    def _spoiled(self, facts: Table) -> Iterator[str]:
        piece = facts.text("piece")
        held = self.hung if piece in self.pieces_hung else self.table
        if not held[drop_label(piece)]:
            yield f"piece {piece} is spoiled, and it was not cut"
            return
        held[drop_label(piece)] -= 1
        self.pieces_hung.discard(piece)
        self.pasted[drop_label(piece)] = min(self.pasted[drop_label(piece)], self.table[drop_label(piece)])

    def take_up(self, line: RecordedLine, wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
        """Yield what is wrong with the steps of a plan that is put to use."""
        if not self.plan:
            self.drops, self.match = wanted.drops, wanted.match
            self.wanted = Counter({drop.label: drop.count for drop in wanted.drops.values()})
        steps = line.facts.each("steps", read_step)
        stock = list(line.facts.tables("stock"))
        if not self.plan:
            self.lots = {entry.text("label"): entry.number("length") for entry in stock}
        batches = read_batches(line.facts.needed_table("document"))
        number = line.facts.count("plan")
        rules: tuple[Iterator[str], ...] = (
            self._scenario(line),
            self._same_drops(wanted),
            self._stock(stock, number),
            steps_rule(steps, wanted, plan),
            stock_rule(stock, wanted, plan, {} if batches is None else batches.of_walls),
            self._what_remains(steps),
        )
        for message in chain(self._numbers(steps, number), *rules):
            yield Violation("record", f"line {line.number}", message)
        if line.facts.faults:
            raise PlanUnreadable(line.facts.faults)
        self.sheets |= {lot.label: lot.sheet for lot in wanted.lots.values()}
        self.plan, self.steps, self.done = number, {step.number: step for step in steps}, Counter()
        self.last_step = steps[-1].number if steps else self.last_step

    def _scenario(self, line: RecordedLine) -> Iterator[str]:
        """Yield where a plan, or a correction, is not said to be for the scenario that counts.

        That is the one that the first plan answers, until a correction brings another.
        """
        if not self.scenario or line.kind == "corrected":
            self.scenario = line.fingerprint
        if line.facts.text("scenario") != self.scenario:
            yield "is for another scenario than the one that counts"

    def _same_drops(self, wanted: Wanted) -> Iterator[str]:
        """Yield where what remains is planned as other drops than the scenario wants, or of another print."""
        if wanted.match != self.match:
            yield "is for a print that repeats or steps otherwise than in the plans before"
        for label, drop in wanted.drops.items():
            if self.drops and (label not in self.drops or _hangs_as(drop) != _hangs_as(self.drops[label])):
                yield f"drop {label} is another than the scenario wants"

    def _stock(self, stock: list[Table], number: int) -> Iterator[str]:
        """Yield which rolls are of a lot that nobody has, or not as long as they were, neither opened nor measured.

        Those not opened are called by the plan.
        """
        for entry in stock:
            label, of = entry.text("label"), entry.text("of")
            is_called_so = of in self.lots and (label.startswith(f"{of}-") or label == f"plan {number} {of}")
            if label != of and not is_called_so:
                yield f"the stock has {label} of {of}, of which it is not"
            if of in self.lots and label not in self.touched and entry.number("length") != self.lots[of]:
                yield f"{label} is not as long as the rolls of {of}, and was neither opened nor measured"

    def _numbers(self, steps: Sequence[Step], number: int) -> Iterator[str]:
        """Yield where plans or their steps are not numbered onwards; numbers of what was undone are not used again."""
        if number <= self.plan:
            yield f"plan {number} comes after plan {self.plan}"
        first = max([self.last_step + 1, *(step.number for step in steps[:1])])
        for place, step in enumerate(steps, start=first):
            if step.number != place:
                yield f"step {step.number} stands where step {place} has its turn"
                return

    def _what_remains(self, steps: Sequence[Step]) -> Iterator[str]:
        """Yield where the steps do not cut what is wanted and neither lies cut nor hangs."""
        cut: Counter[str] = Counter()
        for step in steps:
            if step.piece is not None:
                cut[drop_label(step.piece)] += step.count
        for label, count in self.wanted.items():  # of a corrected survey nothing is known but what the plan wants
            remains = count - self.table[label] - self.hung[label]
            if cut[label] != remains:
                yield f"drop {label} is to be cut {counted(cut[label], 'time')}, and {remains} of it remain"


def _hangs_as(drop: WantedDrop) -> tuple[object, ...]:
    return drop.height, drop.first_motif, drop.trim_top, drop.trim_bottom, drop.left, drop.right, drop.sheet


def _listed(facts: Table, key: str) -> list[object]:
    value = facts.values.get(key)
    if isinstance(value, list) and value:
        return value
    facts.fault(key, "must be a list of one or more")
    return []


class RecordedLine(Struct, frozen=True):
    """One entry of a record: its number from 1, what kind it is, and its facts with where they stand.

    ``fingerprint`` is the digest of the scenario in its document, ``sum`` that over the line and those before it.
    """

    number: int
    kind: str
    facts: Table
    fingerprint: str
    sum: str


def end_rule(lines: Sequence[RecordedLine], end: Table) -> Iterator[Violation]:
    """Require the entries that the file beside a record counts: as many, and the last of them that one."""
    entries, told = end.count("entries", 0), end.text("sum")
    if end.faults:
        raise PlanUnreadable(end.faults)
    if entries > len(lines):
        what = f"the record was cut off: it ends after entry {len(lines)}, and {entries} were recorded"
        yield Violation("record", "", what, Fraction(entries - len(lines)))
    elif entries and lines[entries - 1].sum != told:
        yield Violation("record", f"line {entries}", "is not the entry that was recorded there")


def read_lines(text: str) -> Iterator[RecordedLine]:
    """Yield the entries of a record; a last line that was never finished is none.

    A line that was changed since it was written, after which one was lost, or that is no entry, is unreadable.
    """
    sum_before = ""
    for number, line in enumerate(text.split("\n")[:-1], start=1):
        body, found, end = line.rpartition(_SUM)
        written = sha256((sum_before + body).encode()).hexdigest()[:_SUM_DIGITS]
        if not found or end != f'{written}"}}':
            raise PlanUnreadable([f"line {number}: was changed, or a line before it lost, since it was recorded"])
        sum_before = written
        yield _line(body, number, written)


def _line(body: str, number: int, written: str) -> RecordedLine:
    table = Table(f"line {number}", json_object(body + "}", f"line {number}: ", "an entry of a record"), [])
    kind, entry = table.text("kind"), table.whole("entry", 1)
    if _TIME.fullmatch(table.text("at")) is None:
        table.fault("at", "must be a time, such as 2031-05-04T16:02:11Z")
    if entry not in (None, number):
        table.fault("entry", f"says {entry}")
    if table.faults:
        raise PlanUnreadable(table.faults)
    return RecordedLine(number, kind, table, _fingerprint(json.loads(body + "}").get("document")), written)


def _fingerprint(document: object) -> str:
    """Return the digest of a scenario, or of a plan's: the same whatever the order of its keys."""
    scenario = document.get("scenario", document) if isinstance(document, dict) else None
    text = json.dumps(scenario, sort_keys=True, separators=(",", ":"))
    return sha256(text.encode()).hexdigest()[:_FINGERPRINT_DIGITS]
