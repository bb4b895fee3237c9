"""The plan that is being worked from: frozen, so that a step's number means the same from first to last.

It is kept whole in the record: the steps as they were worded, the rolls they are cut from, and the plan document
with its proof. A newer program, or another choice of order, may plan otherwise; what has been begun stays.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from typing import TYPE_CHECKING, TypeAlias, TypeVar

from cutplan.lengths import exact_mm
from cutplan.paper.stock import Lot, Stretch
from cutplan.table.steps import CheckMatch, CutDrop, CutOff, NextStretch, OpenRoll

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from cutplan.lengths import Length
    from cutplan.plan.plan import RollLayout
    from cutplan.table.steps import Sequence, Step

Json: TypeAlias = "dict[str, object]"
_Value = TypeVar("_Value")


class Act(Enum):
    """What a step does to the paper."""

    OPEN = "open"
    CUT_OFF = "cut off"
    CUT = "cut"
    NEXT_STRETCH = "next stretch"
    OTHER = "other"


@dataclass(frozen=True, slots=True)
class TableStep:
    """One step of the plan in use.

    Attributes
    ----------
    number
        As printed.
    act
        What it does to the paper.
    lot, first_number, count
        The step is done once on each of ``count`` rolls of the lot, one roll after another, beginning with roll
        ``first_number``.
    words
        The step as it was printed.
    drop, piece
        Label of the drop cut, and what is written on its back; None for every other act.
    length
        Cut off, or cut; None where there is none, or only the print can say.
    motif_below
        From the new end, or the top of the piece, down to the first motif; for a roll that is opened, from its
        end; None where there is none or it is not known.

    """

    number: int
    act: Act
    lot: str
    first_number: int
    count: int
    words: str
    drop: str | None = None
    piece: str | None = None
    length: Length | None = None
    motif_below: Length | None = None


@dataclass(frozen=True, slots=True)
class StockLot:
    """Rolls that a plan may cut, and which of the scenario's rolls they are.

    Attributes
    ----------
    lot
        The rolls as the plan knows them: of a roll begun, what is left of it.
    of
        Label of the scenario's lot that they belong to, or of the lot bought since.

    """

    lot: Lot
    of: str


@dataclass(frozen=True, slots=True)
class PlanInUse:
    """A plan with its steps.

    Attributes
    ----------
    number
        1 for the first plan of a record, 2 for what replaced it, and so on.
    scenario
        Fingerprint of the scenario that it was made for.
    steps
        Numbered without gaps; a later plan goes on where the numbers of the earlier ones end.
    stock
        The rolls it may cut.
    document
        The plan document, with the proof and the scenario that it answers.

    """

    number: int
    scenario: str
    steps: tuple[TableStep, ...]
    stock: tuple[StockLot, ...]
    document: Json

    @property
    def first(self) -> int:
        """Number of the first step."""
        return self.steps[0].number

    @property
    def last(self) -> int:
        """Number of the last step."""
        return self.steps[-1].number

    def step(self, number: int) -> TableStep | None:
        """Return the step with this number; None when the plan has none such."""
        place = number - self.first
        return self.steps[place] if 0 <= place < len(self.steps) else None

    def stock_lot(self, label: str) -> StockLot:
        """Return the lot with this label; KeyError when there is none."""
        return {held.lot.label: held for held in self.stock}[label]

    def roll(self, step: TableStep, time: int) -> str:
        """Return the label of the roll on which ``step`` is done for the ``time``-th time, counted from 0."""
        return self.stock_lot(step.lot).lot.roll_label(step.first_number + time)


def freeze(
    *,
    number: int,
    scenario: str,
    sequence: Sequence,
    origins: Mapping[str, str],
    document: Json,
    words: Callable[[Step], str],
) -> PlanInUse:
    """Return a plan ready to be worked from.

    Parameters
    ----------
    number
        1 for a first plan.
    scenario
        Fingerprint of the scenario.
    sequence
        The plan's steps, numbered as they are to be printed.
    origins
        For each lot of the plan, the scenario's lot that it belongs to; a lot left out belongs to itself.
    document
        The plan document.
    words
        How a step is printed.

    """
    layouts = {_first_label(sequence, layout): layout for layout in sequence.plan.layouts}
    steps = tuple(_table_step(step, layouts, words(step)) for step in sequence.steps)
    stock = tuple(StockLot(lot, origins.get(lot.label, lot.label)) for lot in sequence.plan.job.all_lots)
    return PlanInUse(number, scenario, steps, stock, document)


def _first_label(sequence: Sequence, layout: RollLayout) -> str:
    return sequence.plan.job.lot(layout.lot).roll_label(layout.first_number)


def _table_step(step: Step, layouts: Mapping[str, RollLayout], words: str) -> TableStep:
    layout = layouts[step.roll]
    place = (layout.lot, layout.first_number, layout.count)
    match step:
        case OpenRoll():
            return TableStep(step.number, Act.OPEN, *place, words, None, None, step.lot.length, step.lot.first_motif)
        case NextStretch():
            return TableStep(step.number, Act.NEXT_STRETCH, *place, words)
        case CutOff():
            return TableStep(step.number, Act.CUT_OFF, *place, words, None, None, step.length, step.motif_below)
        case CutDrop():
            return TableStep(step.number, Act.CUT, *place, words, step.drop, step.piece, step.length, step.motif_below)
        case CheckMatch():
            return TableStep(step.number, Act.OTHER, *place[:2], 1, words)


# As JSON


def plan_facts(plan: PlanInUse) -> Json:
    """Return a plan in use as plain JSON."""
    return {
        "scenario": plan.scenario,
        "plan": plan.number,
        "steps": [_step_facts(step) for step in plan.steps],
        "stock": [stock_facts(held) for held in plan.stock],
        "document": plan.document,
    }


def plan_from(facts: Mapping[str, object]) -> PlanInUse:
    """Return the plan in use that :func:`plan_facts` wrote.

    Raises
    ------
    ValueError
        When the facts are not those of a plan; also KeyError or TypeError.

    """
    document = facts["document"]
    if not isinstance(document, dict):
        raise TypeError("a plan's document is a table")
    return PlanInUse(
        whole(facts["plan"]),
        text(facts["scenario"]),
        tuple(_step_from(step) for step in rows(facts["steps"])),
        tuple(stock_from(held) for held in rows(facts["stock"])),
        document,
    )


def _step_facts(step: TableStep) -> Json:
    facts: Json = {
        "step": step.number,
        "act": step.act.value,
        "lot": step.lot,
        "first": step.first_number,
        "count": step.count,
        "drop": step.drop,
        "piece": step.piece,
        "length": _exact(step.length),
        "motif": _exact(step.motif_below),
        "words": step.words,
    }
    return {key: value for key, value in facts.items() if value is not None}


def _step_from(facts: Mapping[str, object]) -> TableStep:
    return TableStep(
        number=whole(facts["step"]),
        act=Act(facts["act"]),
        lot=text(facts["lot"]),
        first_number=whole(facts["first"]),
        count=whole(facts["count"]),
        words=text(facts["words"]),
        drop=maybe(text, facts.get("drop")),
        piece=maybe(text, facts.get("piece")),
        length=maybe(length, facts.get("length")),
        motif_below=maybe(length, facts.get("motif")),
    )


def stock_facts(held: StockLot) -> Json:
    """Return rolls in hand as plain JSON."""
    lot = held.lot
    facts: Json = {
        "label": lot.label,
        "of": held.of,
        "length": exact_mm(lot.length),
        "first_motif": _exact(lot.first_motif),
        "count": lot.count,
        "batch": lot.batch,
        "price": None if lot.price is None else str(lot.price),
        "parts": [_stretch_facts(stretch) for stretch in lot.parts] or None,
        "foot_first": lot.is_foot_first or None,
        "left": _exact(lot.left),
        "right": _exact(lot.right),
        "offcut": lot.is_offcut or None,
        "cut_from": lot.cut_from,
        "sheet": lot.sheet,
    }
    return {key: value for key, value in facts.items() if value is not None}


def stock_from(facts: Mapping[str, object]) -> StockLot:
    """Return the rolls in hand that :func:`stock_facts` wrote; raises as :func:`plan_from` does."""
    lot = Lot(
        label=text(facts["label"]),
        length=length(facts["length"]),
        first_motif=maybe(length, facts.get("first_motif")),
        count=maybe(whole, facts.get("count")),
        batch=maybe(text, facts.get("batch")),
        price=maybe(length, facts.get("price")),
        parts=tuple(_stretch_from(stretch) for stretch in rows(facts.get("parts", []))),
        is_foot_first=facts.get("foot_first") is True,
        left=maybe(length, facts.get("left")),
        right=maybe(length, facts.get("right")),
        is_offcut=facts.get("offcut") is True,
        cut_from=maybe(text, facts.get("cut_from")),
        sheet=maybe(whole, facts.get("sheet")),
    )
    return StockLot(lot, text(facts["of"]))


def _stretch_facts(stretch: Stretch) -> Json:
    motif = {} if stretch.first_motif is None else {"first_motif": exact_mm(stretch.first_motif)}
    return {"start": exact_mm(stretch.start), "length": exact_mm(stretch.length), **motif}


def _stretch_from(facts: Json) -> Stretch:
    return Stretch(length(facts["start"]), length(facts["length"]), maybe(length, facts.get("first_motif")))


def _exact(distance: Length | None) -> str | None:
    return None if distance is None else exact_mm(distance)


def maybe(read: Callable[[object], _Value], value: object) -> _Value | None:
    """Return ``value`` as ``read`` reads it, None for None."""
    return None if value is None else read(value)


def whole(value: object) -> int:
    """Return a whole number of JSON; TypeError for anything else."""
    if not isinstance(value, int) or isinstance(value, bool):
        raise TypeError(f"{value!r} is no whole number")
    return value


def text(value: object) -> str:
    """Return a text of JSON; TypeError for anything else."""
    if not isinstance(value, str):
        raise TypeError(f"{value!r} is no text")
    return value


def length(value: object) -> Fraction:
    """Return an exact number that was written as text; TypeError or ValueError for anything else."""
    return Fraction(text(value))


def rows(value: object) -> list[Json]:
    """Return a list of tables of JSON; TypeError for anything else."""
    if not isinstance(value, list) or not all(isinstance(row, dict) for row in value):
        raise TypeError(f"{value!r} is no list of tables")
    return value
