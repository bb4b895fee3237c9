"""What can be recorded at the table, as values, and how each stands in the record."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, TypeAlias

from cutplan.lengths import exact_mm
from cutplan.progress.plan_in_use import (
    PlanInUse,
    StockLot,
    length,
    maybe,
    plan_facts,
    plan_from,
    rows,
    stock_facts,
    stock_from,
    text,
    whole,
)
from cutplan.progress.record import Json, RecordError

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from cutplan.lengths import Length
    from cutplan.progress.record import Entry, Reading


@dataclass(frozen=True, slots=True)
class Done:
    """Steps of the plan in use that were done, in this order.

    Attributes
    ----------
    plan
        Number of the plan whose steps they are.
    steps
        Numbers of the steps.
    times
        On how many rolls, one after another, where the steps are for several rolls cut alike.
    first_motif
        Measured on the roll that one of the steps opens, from its end down; None when not measured.

    """

    plan: int
    steps: tuple[int, ...]
    times: int = 1
    first_motif: Length | None = None


@dataclass(frozen=True, slots=True)
class Hung:
    """Pieces that were hung, by what is written on their backs."""

    pieces: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Spoiled:
    """A piece that can no longer be hung where it was meant to hang.

    Attributes
    ----------
    piece
        What is written on its back.
    why
        What happened, in the user's words.
    good
        Length of sound paper that is kept of it; None when it is thrown away.
    good_at_top
        True when the sound length begins at the piece's cut top, False when it ends at its cut bottom.

    """

    piece: str
    why: str
    good: Length | None = None
    good_at_top: bool = True


@dataclass(frozen=True, slots=True)
class Measured:
    """What is left on a roll, measured from its present end.

    Attributes
    ----------
    roll
        Label of the roll.
    left
        Length left.
    first_motif
        From its end down to the first motif; None when not measured, so that what is known of it stays.

    """

    roll: str
    left: Length
    first_motif: Length | None = None


@dataclass(frozen=True, slots=True)
class Bought:
    """Rolls that have come in since the scenario was written."""

    stock: tuple[StockLot, ...]


@dataclass(frozen=True, slots=True)
class CutPiece:
    """A piece that was cut otherwise than a step says: of another length, from another roll, or by no step at all.

    Attributes
    ----------
    piece
        What is written on its back.
    roll
        The roll or offcut that it was cut from.
    length
        How long it was cut.
    corrects
        True when the piece was recorded before, and is found to be of this length.
    is_short
        True when it does not reach across its place on the wall, so that it is paper only, and wanted again.

    """

    piece: str
    roll: str
    length: Length
    corrects: bool = False
    is_short: bool = False


@dataclass(frozen=True, slots=True)
class Flawed:
    """Paper of no use that begins ``at`` from the present end of a roll and is ``length`` long."""

    roll: str
    at: Length
    length: Length


@dataclass(frozen=True, slots=True)
class Pasted:
    """Pieces that were pasted and folded, by what is written on their backs."""

    pieces: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AtWork:
    """Work is taken up, or left off for the day; ``by`` whom, where it is told."""

    begins: bool
    by: str | None = None


@dataclass(frozen=True, slots=True)
class Corrected:
    """The walls, or where hanging begins, proved otherwise, and the scenario was corrected.

    Attributes
    ----------
    scenario
        Fingerprint of the corrected scenario.
    document
        The corrected scenario, as plain JSON.
    pieces
        For each piece that was cut, the drops of the corrected scenario that it is; none where it is paper only.

    """

    scenario: str
    document: Json
    pieces: dict[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Undone:
    """The entry with this number no longer counts."""

    entry: int


Event: TypeAlias = (
    PlanInUse | Done | CutPiece | Hung | Spoiled | Measured | Flawed | Bought | Pasted | AtWork | Corrected | Undone
)


@dataclass(frozen=True, slots=True)
class Recorded:
    """An event, the number of its entry, and when it was recorded (UTC)."""

    number: int
    at: str
    event: Event


def facts_of(event: Event) -> tuple[str, Json]:  # noqa: C901, PLR0911 - one for each kind
    """Return the kind of entry that records ``event``, and its facts."""
    match event:
        case PlanInUse():
            return "plan", plan_facts(event)
        case Done():
            motif = {} if event.first_motif is None else {"first_motif": exact_mm(event.first_motif)}
            return "done", {"plan": event.plan, "steps": list(event.steps), "times": event.times, **motif}
        case CutPiece():
            facts = {"piece": event.piece, "roll": event.roll, "length": exact_mm(event.length)}
            told = {"corrects": event.corrects, "short": event.is_short}
            return "cut", {**facts, **{key: True for key, is_so in told.items() if is_so}}
        case Hung():
            return "hung", {"pieces": list(event.pieces)}
        case Spoiled():
            at_top = "top" if event.good_at_top else "bottom"
            good = {} if event.good is None else {"good": exact_mm(event.good), "good_at": at_top}
            return "spoiled", {"piece": event.piece, "why": event.why, **good}
        case Measured():
            motif = {} if event.first_motif is None else {"first_motif": exact_mm(event.first_motif)}
            return "measured", {"roll": event.roll, "left": exact_mm(event.left), **motif}
        case Bought():
            return "bought", {"stock": [stock_facts(held) for held in event.stock]}
        case Flawed():
            return "flawed", {"roll": event.roll, "from": exact_mm(event.at), "length": exact_mm(event.length)}
        case Pasted():
            return "pasted", {"pieces": list(event.pieces)}
        case AtWork():
            return "at work", {"begins": event.begins, **({} if event.by is None else {"by": event.by})}
        case Corrected():
            pieces = {piece: list(labels) for piece, labels in event.pieces.items()}
            return "corrected", {"scenario": event.scenario, "pieces": pieces, "document": event.document}
        case Undone():
            return "undone", {"undoes": event.entry}


def _done(facts: Json) -> Done:
    steps = tuple(whole(step) for step in _listed(facts["steps"]))
    return Done(whole(facts["plan"]), steps, whole(facts["times"]), maybe(length, facts.get("first_motif")))


def _pieces(facts: Json) -> tuple[str, ...]:
    return tuple(text(piece) for piece in _listed(facts["pieces"]))


def _cut(facts: Json) -> CutPiece:
    corrects, is_short = facts.get("corrects") is True, facts.get("short") is True
    return CutPiece(text(facts["piece"]), text(facts["roll"]), length(facts["length"]), corrects, is_short)


def _corrected(facts: Json) -> Corrected:
    pieces, document = _table(facts["pieces"]), _table(facts["document"])
    now = {piece: tuple(text(label) for label in _listed(labels)) for piece, labels in pieces.items()}
    return Corrected(text(facts["scenario"]), document, now)


def _at_work(facts: Json) -> AtWork:
    return AtWork(facts["begins"] is True, maybe(text, facts.get("by")))


def _spoiled(facts: Json) -> Spoiled:
    at_top = facts.get("good_at", "top") == "top"
    return Spoiled(text(facts["piece"]), text(facts["why"]), maybe(length, facts.get("good")), at_top)


def _measured(facts: Json) -> Measured:
    return Measured(text(facts["roll"]), length(facts["left"]), maybe(length, facts.get("first_motif")))


def _bought(facts: Json) -> Bought:
    return Bought(tuple(stock_from(held) for held in rows(facts["stock"])))


def _undone(facts: Json) -> Undone:
    return Undone(whole(facts["undoes"]))


def _table(value: object) -> Json:
    if not isinstance(value, dict):
        raise TypeError(f"{value!r} is no table")
    return value


def _listed(value: object) -> list[object]:
    if not isinstance(value, list):
        raise TypeError(f"{value!r} is no list")
    return value


_READERS: Final[dict[str, Callable[[Json], Event]]] = {
    "plan": plan_from,
    "done": _done,
    "cut": _cut,
    "hung": lambda facts: Hung(_pieces(facts)),
    "spoiled": _spoiled,
    "measured": _measured,
    "flawed": lambda facts: Flawed(text(facts["roll"]), length(facts["from"]), length(facts["length"])),
    "bought": _bought,
    "pasted": lambda facts: Pasted(_pieces(facts)),
    "at work": _at_work,
    "corrected": _corrected,
    "undone": _undone,
}


def recorded(reading: Reading, path: Path) -> tuple[Recorded, ...]:
    """Return the events that a record holds, in order.

    Raises
    ------
    RecordError
        When an entry is of a kind, or has facts, that this program does not know: which line.

    """
    return tuple(Recorded(entry.number, entry.at, _event(entry, path)) for entry in reading.entries)


def _event(entry: Entry, path: Path) -> Event:
    try:
        return _READERS[entry.kind](entry.facts)
    except (KeyError, TypeError, ValueError) as error:
        what = f"this program cannot read the entry {entry.kind!r}: {error!r}"
        raise RecordError(f"{path}:{entry.number}: {what}; a newer one may have written it") from error
