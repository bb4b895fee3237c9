"""What rolls and pieces are called in a sentence, and how lists are written."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, NamedTuple

from cutplan.paper.stock import Lot

if TYPE_CHECKING:
    from cutplan.table.steps import LeftOver, OpenRoll

NO_BREAK = "\N{NO-BREAK SPACE}"
"""Keeps words on one line while a paragraph is wrapped; printed as a plain space."""


class Script(NamedTuple):
    """How what people have named is set among our own words.

    ``label`` sets the name of a roll, a wall or a drop, ``piece`` what is written on a piece, such as ``1 (2 of 3)``;
    ``quotes`` stand around what is to be written down.
    """

    label: Callable[[str], str] = str
    piece: Callable[[str], str] = str
    quotes: tuple[str, str] = ('"', '"')

    def written(self, text: str, arrow: str = "↑") -> str:
        """Return what is to be written on paper, in quotes, with the arrow to its top."""
        return f"{self.quotes[0]}{text} {arrow}{self.quotes[1]}".replace(" ", NO_BREAK)


PLAIN = Script()
"""As plain text has it."""


def capital(text: str) -> str:
    """Return a text as it begins a sentence."""
    return text[:1].upper() + text[1:]


def listed_with_and(names: Sequence[str]) -> str:
    """Return names as a sentence lists them: ``A, B and C``."""
    return _listed(names, "and")


def listed_with_or(names: Sequence[str]) -> str:
    """Return names as a sentence lists them to choose from: ``A, B or C``."""
    return _listed(names, "or")


def _listed(names: Sequence[str], word: str) -> str:
    return f" {word} ".join([", ".join(names[:-1]), names[-1]]) if len(names) > 1 else names[0]


def drops_named(labels: Sequence[str], script: Script = PLAIN) -> str:
    """Return what drops are called in a sentence: ``drop 4``, ``drops 4, 5 and 6``."""
    return f"{'drop' if len(labels) == 1 else 'drops'} {listed_with_and([script.label(label) for label in labels])}"


def roll_named(label: str, lot: Lot, script: Script = PLAIN) -> str:
    """Return what a roll or an offcut is called in a sentence: its label, after its kind where it does not say so."""
    kind = "offcut" if lot.is_offcut else "roll" if lot.sheet is None else "sheet"
    is_named = lot.cut_from is not None or label.lower().startswith((kind, "cut-out ", "rest "))
    return script.label(label) if is_named else f"{kind} {script.label(label)}"


def rolls_named(rolls: LeftOver | OpenRoll, script: Script = PLAIN) -> str:
    """Return the label of a roll, or of the first and last of rolls cut alike."""
    first = script.label(rolls.roll)
    return first if rolls.count == 1 else f"{first} to {script.label(rolls.last_roll)}"
