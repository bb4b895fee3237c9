"""The steps as cards to tick, roll by roll: what to do, the figure to read across a table, the rest in a sentence."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from msgspec import Struct

from cutplan.paper.stock import Lot
from cutplan.render.drawing.lettering import ISOLATED
from cutplan.render.words.names import roll_named
from cutplan.render.words.step_words import steps_told
from cutplan.table.left_over import Leavings
from cutplan.table.steps import CutDrop, OpenRoll, Sequence, Step


class Marks(Struct, frozen=True):
    """What the record says of a plan's work: numbers of the steps done, pieces spoiled, and a sentence on it all."""

    done: Collection[int] = ()
    spoiled: Collection[str] = ()
    said: str = ""


class Card(Struct, frozen=True):
    """One step."""

    number: int
    """As the plan numbers it: the day goes by these, whatever roll a step is on."""
    what: str
    """What to do, in a few words."""
    figure: str
    """The one length to measure; empty where there is none."""
    more: str
    """Whatever else belongs to it."""
    write: str = ""
    """What is written on the back of a piece."""
    place: str = ""
    """Where a drop hangs; empty where nobody has said."""
    then: str = ""
    """Which roll and step comes next, where another roll is taken up; else empty."""
    is_done: bool = False
    is_spoiled: bool = False
    is_turned: bool = False
    """As recorded; whether its piece hangs turned end for end."""


class RollCards(Struct, frozen=True):
    """The cards of one roll, or of rolls cut alike, under their name."""

    heading: str
    cards: list[Card]


def cards_of(
    sequence: Sequence,
    units: str,
    places: Mapping[str, str] | None = None,
    marks: Marks | None = None,
    leavings: Leavings | None = None,
) -> dict[str, RollCards]:
    """Return the cards by the label of their roll, in the order in which rolls are taken up.

    ``places`` tells by a drop's label where it hangs.
    """
    places, marks = places or {}, marks or Marks()
    lots = {step.roll: step.lot for step in sequence.steps if isinstance(step, OpenRoll)}
    found: dict[str, RollCards] = {}
    for (heading, step, told), after in zip(
        steps_told(sequence, units, ISOLATED, leavings), [*sequence.steps[1:], None], strict=True
    ):
        cut = step if isinstance(step, CutDrop) else None
        card = Card(
            *(step.number, told.what, told.figure, told.more, told.write),
            place="" if cut is None else places.get(cut.drop, ""),
            then=_then(step, after, lots),
            is_done=step.number in marks.done,
            is_spoiled=cut is not None and cut.piece in marks.spoiled,
            is_turned=cut is not None and cut.is_turned,
        )
        found.setdefault(step.roll, RollCards(heading, [])).cards.append(card)
    return found


def _then(step: Step, after: Step | None, lots: Mapping[str, Lot]) -> str:
    if after is None or after.roll == step.roll:
        return ""
    return f"now {roll_named(after.roll, lots[after.roll], ISOLATED)}, step {after.number}"
