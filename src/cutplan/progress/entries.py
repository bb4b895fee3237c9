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
class Undone:
    """The entry with this number no longer counts."""

    entry: int


Event: TypeAlias = PlanInUse | Done | Hung | Spoiled | Measured | Bought | Undone


@dataclass(frozen=True, slots=True)
class Recorded:
    """An event, the number of its entry, and when it was recorded (UTC)."""

    number: int
    at: str
    event: Event


def facts_of(event: Event) -> tuple[str, Json]:  # noqa: PLR0911 - one for each kind
    """Return the kind of entry that records ``event``, and its facts."""
    match event:
        case PlanInUse():
            return "plan", plan_facts(event)
        case Done():
            motif = {} if event.first_motif is None else {"first_motif": exact_mm(event.first_motif)}
            return "done", {"plan": event.plan, "steps": list(event.steps), "times": event.times, **motif}
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
        case Undone():
            return "undone", {"undoes": event.entry}


def _done(facts: Json) -> Done:
    steps = tuple(whole(step) for step in _listed(facts["steps"]))
    return Done(whole(facts["plan"]), steps, whole(facts["times"]), maybe(length, facts.get("first_motif")))


def _hung(facts: Json) -> Hung:
    return Hung(tuple(text(piece) for piece in _listed(facts["pieces"])))


def _spoiled(facts: Json) -> Spoiled:
    at_top = facts.get("good_at", "top") == "top"
    return Spoiled(text(facts["piece"]), text(facts["why"]), maybe(length, facts.get("good")), at_top)


def _measured(facts: Json) -> Measured:
    return Measured(text(facts["roll"]), length(facts["left"]), maybe(length, facts.get("first_motif")))


def _bought(facts: Json) -> Bought:
    return Bought(tuple(stock_from(held) for held in rows(facts["stock"])))


def _undone(facts: Json) -> Undone:
    return Undone(whole(facts["undoes"]))


def _listed(value: object) -> list[object]:
    if not isinstance(value, list):
        raise TypeError(f"{value!r} is no list")
    return value


_READERS: Final[dict[str, Callable[[Json], Event]]] = {
    "plan": plan_from,
    "done": _done,
    "hung": _hung,
    "spoiled": _spoiled,
    "measured": _measured,
    "bought": _bought,
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
