"""The steps as cards to tick: what to do, the figure to read across a table, and the rest in a sentence."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from cutplan.render.drawing.lettering import ISOLATED
from cutplan.render.words.step_words import steps_told

if TYPE_CHECKING:
    from cutplan.table.sequence import Sequence


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
    return [
        Card(step.number, told.what, told.figure, told.more, heading)
        for heading, step, told in steps_told(sequence, units, ISOLATED)
    ]
