"""The steps as cards to tick: what to do, the figure to read across a table, and the rest in a sentence."""

from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass, replace
from typing import TYPE_CHECKING, Any, TypeVar

from cutplan.lengths import ZERO, Rounding, show
from cutplan.render.drawing.lettering import isolated, isolated_piece
from cutplan.render.pages.plan_page import worded
from cutplan.render.words.lay_aside_words import aside_sentences
from cutplan.render.words.readings import left_over, place, to_cut
from cutplan.table.lay_aside import asides_of
from cutplan.table.sequence import CheckMatch, CutDrop, CutOff, OpenRoll

if TYPE_CHECKING:
    from cutplan.lengths import Length
    from cutplan.paper.stock import Lot
    from cutplan.table.sequence import Sequence, Step

_Record = TypeVar("_Record")


@dataclass(frozen=True, slots=True)
class Card:
    """One step.

    Attributes
    ----------
    number
        As the plan numbers it; None for what is done by the way.
    what
        What to do, in a few words.
    figure
        The one length to measure; empty where there is none.
    more
        Whatever else belongs to it.
    heading
        Said above it when the work turns to another roll; empty when it goes on.

    """

    number: int | None
    what: str
    figure: str
    more: str
    heading: str = ""


def cards_of(sequence: Sequence, units: str) -> list[Card]:
    """Return the steps of a sequence as cards, with a heading wherever another roll is taken up."""
    lots = {step.roll: step.lot for step in sequence.steps if isinstance(step, OpenRoll)}
    repeat = show(sequence.plan.job.paper.pattern.repeat, units, Rounding.UP)
    asides = asides_of(sequence)
    seen: set[str] = set()
    now = None
    cards = []
    for step in sequence.steps:
        card = _card(step, units, repeat)
        aside = aside_sentences(asides.get(step.number, ()), units, isolated, ("“", "”"))
        card = replace(card, more=f"{card.more} {aside}".strip())
        if step.roll != now:
            now = step.roll
            card = replace(card, heading=_heading(step, lots[now], is_again=now in seen))
            seen.add(now)
        cards.append(card)
    return cards


def _card(step: Step, units: str, repeat: str) -> Card:
    if isinstance(step, CutDrop):
        return _cutting(step, units)
    if isinstance(step, CutOff):
        return _cutting_off(step, units, repeat)
    if isinstance(step, OpenRoll):
        return _opening(step, units)
    if isinstance(step, CheckMatch):
        lay = f"Lay drop {isolated_piece(step.right)} to the right of drop {isolated_piece(step.left)}"
        if step.left == step.right:
            lay = f"Lay two drops {isolated_piece(step.left)} side by side"
        more = f"{lay}, tops level. The print must meet all down the joint; if not, cut no further."
        return Card(step.number, "Check the match", "", more)
    return Card(step.number, worded(_isolated_in(step), units, repeat), "", "")


def _cutting(step: CutDrop, units: str) -> Card:
    motif = ""
    if step.motif_below is not None and step.is_foot_first:
        motif = f"{_motif(step.motif_below, units, 'its foot, which comes first', 'from')}. "
    elif step.motif_below is not None:
        motif = f"{_motif(step.motif_below, units, 'its top')}. "
    arrow, turned = ("↓", " It hangs turned end for end.") if step.is_turned else ("↑", "")
    more = f"{motif[:1].upper()}{motif[1:]}Write “{isolated_piece(step.piece)} {arrow}” on its back.{turned}"
    return Card(step.number, f"Cut drop {isolated_piece(step.piece)}", to_cut(step.length, units), more)


def _cutting_off(step: CutOff, units: str, repeat: str) -> Card:
    what = "Cut off the end" if step.is_lead_in else "Cut off"
    if step.motif_below is None:
        return Card(step.number, what, "" if step.length is None else place(step.length, units), "")
    motif = _motif(step.motif_below, units, "the new end")
    if step.length is None:
        more = f"From the new end down to the motif. Less than {repeat} comes off."
        return Card(step.number, "Find the print and cut the end back", place(step.motif_below, units), more)
    reading = place(step.length, units)
    if reading == place(ZERO, units):
        reading = "a sliver"
    return Card(step.number, what, reading, f"It leaves the {motif}.")


def _opening(step: OpenRoll, units: str) -> Card:
    lot = step.lot
    name = "each roll" if step.count > 1 else roll_named(step.roll, lot)
    take = f"Take up {name} again" if step.is_open else f"Take {name}" if lot.is_offcut else f"Open {name}"
    if lot.cut_from is not None:
        take = f"When drop {isolated(lot.cut_from)} hangs and is trimmed, take up {name}"
    facts = [f"at least {left_over(step.length, units)}" if step.is_open else show(step.length, units)]
    if lot.batch is not None:
        facts.append(f"batch {isolated(lot.batch)}")
    if lot.left is not None and lot.right is not None:
        facts.append(f"from {show(lot.left, units)} to {show(lot.right, units)} of the strip's width")
    said = [f"{', '.join(facts)}."]
    if step.first_motif is not None:
        way = "from" if lot.is_foot_first else "below"
        said.append(f"Check: {_motif(step.first_motif, units, 'its end', way)}.")
    if lot.is_foot_first:
        said.append("It comes off foot first.")
    return Card(step.number, take, "", " ".join(said))


def _motif(below: Length, units: str, where: str, way: str = "below") -> str:
    return f"motif {place(below, units)} {way} {where}" if below else f"motif exactly at {where}"


def _heading(step: Step, lot: Lot, *, is_again: bool) -> str:
    if isinstance(step, OpenRoll) and step.count > 1:
        first, last = isolated(step.roll), isolated(step.last_roll)
        return f"{step.count} rolls alike: {first} to {last}, each cut like this"
    name = roll_named(step.roll, lot)
    return f"{name[:1].upper()}{name[1:]}{' again' if is_again else ''}"


def roll_named(label: str, lot: Lot) -> str:
    """Return what a roll or an offcut is called in a sentence."""
    kind = "offcut" if lot.is_offcut else "roll"
    is_named = lot.cut_from is not None or label.lower().startswith(kind)
    return isolated(label) if is_named else f"{kind} {isolated(label)}"


def _isolated_in(record: _Record) -> _Record:
    """Return a record whose texts, at any depth, keep their own direction to themselves."""
    changes: dict[str, Any] = {}
    for field in fields(record):  # type: ignore[arg-type]
        value = getattr(record, field.name)
        if isinstance(value, str):
            changes[field.name] = isolated(value)
        elif is_dataclass(value) and not isinstance(value, type):
            changes[field.name] = _isolated_in(value)
    return replace(record, **changes)  # type: ignore[type-var]
