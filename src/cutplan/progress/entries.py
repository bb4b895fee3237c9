"""What can be recorded at the table, as values, and how each stands in the record."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final, TypeAlias

from msgspec import Struct

from cutplan.lengths import Length
from cutplan.progress.plan_in_use import PLAN, STOCK, PlanInUse, StockLot
from cutplan.progress.record import Entry, Json, RecordError, RecordRead
from cutplan.progress.shapes import EXACT, FLAG, MARK, TABLE, TEXT, WHOLE, Form, Shape, several


class Done(Struct, frozen=True):
    """Steps of the plan in use that were done, in this order."""

    plan: int
    """Number of the plan whose steps they are."""
    steps: tuple[int, ...]
    """Their numbers."""
    times: int = 1
    """On how many rolls, one after another, where the steps are for several rolls cut alike."""
    first_motif: Length | None = None
    """Measured on the roll that one of the steps opens, from its end down; None when not measured."""


class Hung(Struct, frozen=True):
    """Pieces that were hung, by what is written on their backs."""

    pieces: tuple[str, ...]


class Spoiled(Struct, frozen=True):
    """A piece that can no longer be hung where it was meant to hang."""

    piece: str
    """What is written on its back."""
    why: str
    """What happened, in the user's words."""
    good: Length | None = None
    """Length of sound paper that is kept of it; None when it is thrown away."""
    good_at_top: bool = True
    """True when the sound length begins at the piece's cut top, False when it ends at its cut bottom."""


class Measured(Struct, frozen=True):
    """What is left on a roll, measured from its present end."""

    roll: str
    left: Length

    first_motif: Length | None = None
    """From its end down to the first motif; None when not measured, so that what is known of it stays."""


class Bought(Struct, frozen=True):
    """Rolls that have come in since the scenario was written."""

    stock: tuple[StockLot, ...]


class CutPiece(Struct, frozen=True):
    """A piece that was cut otherwise than a step says: of another length, from another roll, or by no step at all."""

    piece: str
    """What is written on its back."""
    roll: str
    """The roll or offcut that it was cut from."""
    length: Length
    """How long it was cut."""
    corrects: bool = False
    """True when the piece was recorded before, and is found to be of this length."""
    is_short: bool = False
    """True when it does not reach across its place on the wall, so that it is paper only, and wanted again."""


class Flawed(Struct, frozen=True):
    """Paper of no use that begins ``at`` from the present end of a roll and is ``length`` long."""

    roll: str
    at: Length
    length: Length


class Pasted(Struct, frozen=True):
    """Pieces that were pasted and folded, by what is written on their backs."""

    pieces: tuple[str, ...]


class AtWork(Struct, frozen=True):
    """Work is taken up, or left off for the day; ``by`` whom, where it is told."""

    begins: bool
    by: str | None = None


class Corrected(Struct, frozen=True):
    """The walls, or where hanging begins, proved otherwise, and the scenario was corrected."""

    scenario: str
    """Fingerprint of the corrected scenario."""
    document: Json
    """The corrected scenario, as plain JSON."""
    pieces: dict[str, tuple[str, ...]]
    """For each piece that was cut, the drops of the corrected scenario that it is; none where it is paper only."""


class Undone(Struct, frozen=True):
    """The entry with this number no longer counts."""

    entry: int


Event: TypeAlias = (
    PlanInUse | Done | CutPiece | Hung | Spoiled | Measured | Flawed | Bought | Pasted | AtWork | Corrected | Undone
)


class Recorded(Struct, frozen=True):
    """An event, the number of its entry, and when it was recorded (UTC)."""

    number: int
    at: str
    event: Event


_PIECES: Final = several(TEXT)
_END: Final = Form(lambda is_top: "top" if is_top else "bottom", {"top": True, "bottom": False}.__getitem__)
_SHAPES: Final[dict[str, Shape[Any]]] = {
    "plan": PLAN,
    "done": Shape(Done, plan=WHOLE, steps=several(WHOLE), times=WHOLE, first_motif=EXACT),
    "cut": Shape(CutPiece, piece=TEXT, roll=TEXT, length=EXACT, corrects=MARK, is_short=("short", MARK)),
    "hung": Shape(Hung, pieces=_PIECES),
    "spoiled": Shape(Spoiled, piece=TEXT, why=TEXT, good=EXACT, good_at_top=("good_at", _END)),
    "measured": Shape(Measured, roll=TEXT, left=EXACT, first_motif=EXACT),
    "flawed": Shape(Flawed, roll=TEXT, at=("from", EXACT), length=EXACT),
    "bought": Shape(Bought, stock=STOCK),
    "pasted": Shape(Pasted, pieces=_PIECES),
    "at work": Shape(AtWork, begins=FLAG, by=TEXT),
    "corrected": Shape(
        Corrected,
        scenario=TEXT,
        pieces=Form(
            lambda pieces: {piece: _PIECES.write(labels) for piece, labels in pieces.items()},
            lambda facts: {piece: _PIECES.read(labels) for piece, labels in TABLE.read(facts).items()},
        ),
        document=TABLE,
    ),
    "undone": Shape(Undone, entry=("undoes", WHOLE)),
}


def facts_of(event: Event) -> tuple[str, Json]:
    """Return the kind of entry that records ``event``, and its facts."""
    kind, shape = next((kind, shape) for kind, shape in _SHAPES.items() if shape.kind is type(event))
    return kind, shape.facts(event)


def recorded(reading: RecordRead, path: Path) -> tuple[Recorded, ...]:
    """Return the events that a record holds, in order.

    Raises
    ------
    RecordError
        When an entry is of a kind, or has facts, that this program does not know: which line.

    """
    return tuple(Recorded(entry.number, entry.at, _event(entry, path)) for entry in reading.entries)


def _event(entry: Entry, path: Path) -> Event:
    try:
        event: Event = _SHAPES[entry.kind].read(entry.facts)
    except (KeyError, TypeError, ValueError) as error:
        what = f"this program cannot read the entry {entry.kind!r}: {error!r}"
        raise RecordError(f"{path}:{entry.number}: {what}; a newer one may have written it") from error
    return event
