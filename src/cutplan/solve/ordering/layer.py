"""The rows of a layer: states after equally many cuts, and how each came about."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np
from msgspec import Struct

if TYPE_CHECKING:
    from typing import Self

    from numpy.typing import NDArray

    Whole = NDArray[np.int64]
    Bits = NDArray[np.uint64]
    Truth = NDArray[np.bool_]

HORIZON: Final = 64
"""Only this many pieces after the next to be hung are looked at: their cuts are remembered as bits."""

ONE: Final = np.uint64(1)


class InRows(Struct):
    """Arrays of which each row, the last axis, is of one thing."""

    def rows(self, index: Whole) -> Self:
        """Return some of the rows."""
        return type(self)(*(getattr(self, name).take(index, axis=-1) for name in self.__struct_fields__))


class Layer(InRows):
    """States after equally many cuts, a row each."""

    ahead: Bits
    """Bit d is set when the piece d + 1 places after the next to be hung is cut."""
    rolls: Whole
    """``rolls[place]``: states of the open rolls, the greatest first, :data:`SPENT` in empty places."""
    held: Whole
    """State of the roll from which a drop was cut before its turn and the next cut must come; else SPENT."""
    before: Whole
    early: Whole
    """With ``held``: that roll's state before the cut, and the kind that was cut."""
    opens: Truth
    """True when the next cut must open a roll: a drop was cut before its turn to make room for it."""
    unopened: Whole
    """How many rolls of each stack are unopened, as one number: see :attr:`TableInArrays.digits`."""
    lost: Whole
    """``lost[list]``: what was lost so far, by each list of prices."""

    def __len__(self) -> int:
        return len(self.ahead)


class Trace(InRows):
    """How each state of a layer came about: its state before, the piece cut, the roll, and what was put away.

    ``source`` is the roll's state before the cut, or −1 − index of its stack when it was opened for it;
    ``closed`` the state of the roll put away to open it; ``is_shut`` when the roll itself was put away after
    the cut.
    """

    parent: Whole
    piece: Whole
    source: Whole
    closed: Whole
    is_shut: Truth


class Ready(Struct):
    """Ways to take a roll in hand: from which state of the layer, and what is then left beside it."""

    parent: Whole
    is_bound: Truth
    state: Whole
    source: Whole
    beside: Whole
    closed: Whole
    unopened: Whole
    lost: Whole


class Cuts(Struct):
    """What may be cut next: the piece, its kind, whether it is cut before its turn, and what is then cut ahead."""

    piece: Whole
    kind: Whole
    is_early: Truth
    ahead: Bits


class FittingCuts(InRows):
    """Cuts by the way to take a roll in hand and what is cut, the roll's state after it, and what is then lost."""

    ready: Whole
    cut: Whole
    after: Whole
    lost: Whole


def one_after_another(begins: Whole, counts: Whole) -> Whole:
    """Return so many numbers one after another from each beginning."""
    ends = counts.cumsum()
    total = int(ends[-1]) if len(ends) else 0
    found: Whole = np.arange(total) + (begins - ends + counts).repeat(counts)
    return found


def with_piece(ahead: Bits, distance: Whole) -> Bits:
    """Return the bits once the piece at ``distance`` is cut; at 0 all pieces cut in a row from there are passed."""
    # Where more are shifted out than there are, nothing is left: numpy's shifts say so.
    passed = np.bitwise_count(ahead & ~(ahead + ONE))
    found: Bits = np.where(distance == 0, ahead >> passed >> ONE, ahead | ONE << (distance - 1).view(np.uint64))
    return found


def with_roll(beside: Whole, state: Whole) -> Whole:
    """Return the open rolls with one more, the greatest first; there is an empty place for it."""
    rolls = np.empty_like(beside)
    for place, lying in enumerate(beside):
        np.maximum(lying, state, out=rolls[place])
        state = np.minimum(lying, state)
    return rolls


def added_up(values: Whole, rolls: Whole) -> Whole:
    """Return what the open rolls add up to, by the value of each state."""
    total: Whole = values[rolls].sum(axis=0)
    return total


def row_changes(columns: list[Whole] | list[Bits]) -> Truth:
    """Return in which rows some column is not as in the row before; the first row is one of them."""
    found = np.ones(len(columns[0]), dtype=bool)
    found[1:] = False
    for column in columns:
        found[1:] |= column[1:] != column[:-1]
    return found
