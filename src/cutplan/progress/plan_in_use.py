"""The plan that is being worked from: frozen, so that a step's number means the same from first to last.

It is kept whole in the record: the steps as they were worded, the rolls they are cut from, and the plan document
with its proof. A newer program, or another choice of order, may plan otherwise; what has been begun stays.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from enum import Enum
from functools import partial
from typing import Final

from msgspec import Struct

from cutplan.lengths import Length
from cutplan.paper.stock import Lot, Stretch
from cutplan.plan.plan import RollLayout
from cutplan.progress.record import Json
from cutplan.progress.shapes import EXACT, MARK, TABLE, TEXT, WHOLE, Form, Shape, several, shaped
from cutplan.table.steps import CheckMatch, CutDrop, CutOff, NextStretch, OpenRoll, Sequence, Step


class Effect(Enum):
    """What a step does to the paper."""

    OPEN = "open"
    CUT_OFF = "cut off"
    CUT = "cut"
    NEXT_STRETCH = "next stretch"
    OTHER = "other"


class TableStep(Struct, frozen=True):
    """One step of the plan in use."""

    number: int
    """As printed."""
    act: Effect
    """What it does to the paper."""
    lot: str
    first_number: int
    count: int
    """The step is done once on each of ``count`` rolls of the lot, one roll after another, beginning with roll
    ``first_number``."""
    words: str
    """The step as it was printed."""
    drop: str | None = None
    piece: str | None = None
    """Label of the drop cut, and what is written on its back; None for every other act."""
    length: Length | None = None
    """Cut off, or cut; None where there is none, or only the print can say."""
    motif_below: Length | None = None
    """From the new end, or the top of the piece, down to the first motif; for a roll that is opened, from its end; None
    where there is none or it is not known."""


class StockLot(Struct, frozen=True):
    """Rolls that a plan may cut, and which of the scenario's rolls they are."""

    lot: Lot
    """The rolls as the plan knows them: of a roll begun, what is left of it."""
    of: str
    """Label of the scenario's lot that they belong to, or of the lot bought since."""


class PlanInUse(Struct, frozen=True):
    """A plan with its steps."""

    number: int
    """1 for the first plan of a record, 2 for what replaced it, and so on."""
    scenario: str
    """Fingerprint of the scenario that it was made for."""
    steps: tuple[TableStep, ...]
    """Numbered without gaps; a later plan goes on where the numbers of the earlier ones end."""
    stock: tuple[StockLot, ...]
    """The rolls it may cut."""
    document: Json
    """The plan document, with the proof and the scenario that it answers."""

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
    """Return a plan ready to be worked from, its steps numbered as they are to be printed, in these ``words``.

    ``origins`` is, for each lot of the plan, the scenario's lot that it belongs to; a lot left out belongs to itself.
    """
    job = sequence.plan.job
    layouts = {job.lot(layout.lot).roll_label(layout.first_number): layout for layout in sequence.plan.layouts}
    steps = tuple(_table_step(step, layouts, words(step)) for step in sequence.steps)
    stock = tuple(StockLot(lot, origins.get(lot.label, lot.label)) for lot in job.all_lots)
    return PlanInUse(number, scenario, steps, stock, document)


def _table_step(step: Step, layouts: Mapping[str, RollLayout], words: str) -> TableStep:
    layout = layouts[step.roll]
    place = (layout.lot, layout.first_number, layout.count)
    match step:
        case OpenRoll():
            return TableStep(step.number, Effect.OPEN, *place, words, None, None, step.lot.length, step.lot.first_motif)
        case NextStretch():
            return TableStep(step.number, Effect.NEXT_STRETCH, *place, words)
        case CutOff():
            return TableStep(step.number, Effect.CUT_OFF, *place, words, None, None, step.length, step.motif_below)
        case CutDrop():
            return TableStep(
                step.number, Effect.CUT, *place, words, step.drop, step.piece, step.length, step.motif_below
            )
        case CheckMatch():
            return TableStep(step.number, Effect.OTHER, *place[:2], 1, words)


# As JSON

_STEP: Final = Shape(
    TableStep,
    number=("step", WHOLE),
    act=Form(lambda act: act.value, Effect),
    lot=TEXT,
    first_number=("first", WHOLE),
    count=WHOLE,
    words=TEXT,
    drop=TEXT,
    piece=TEXT,
    length=EXACT,
    motif_below=("motif", EXACT),
)
_STRETCH: Final = Shape(partial(Stretch, first_motif=None), start=EXACT, length=EXACT, first_motif=EXACT)
_STRETCHES: Final = several(shaped(_STRETCH))
_LOT: Final = Shape(
    partial(Lot, first_motif=None, count=None),
    label=TEXT,
    length=EXACT,
    first_motif=EXACT,
    count=WHOLE,
    batch=TEXT,
    price=Form(str, EXACT.read),
    parts=Form(lambda parts: _STRETCHES.write(parts) or None, _STRETCHES.read),
    is_foot_first=("foot_first", MARK),
    left=EXACT,
    right=EXACT,
    is_offcut=("offcut", MARK),
    cut_from=TEXT,
    sheet=WHOLE,
)
STOCK: Final = several(
    Form(
        lambda held: _LOT.facts(held.lot) | {"of": held.of},
        lambda facts: StockLot(_LOT.read(facts), TEXT.read(facts["of"])),
    )
)
PLAN: Final = Shape(
    PlanInUse,
    number=("plan", WHOLE),
    scenario=TEXT,
    steps=several(shaped(_STEP)),
    stock=STOCK,
    document=TABLE,
)
