"""The rows of a layer: states after equally many cuts, and how each came about."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np
from msgspec import Struct

from cutplan.solve.ordering.open_paper import SPENT

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Whole = NDArray[np.int64]
    Bits = NDArray[np.uint64]
    Truth = NDArray[np.bool_]

HORIZON: Final = 64
"""Only this many pieces after the next to be hung are looked at: their cuts are remembered as bits."""

ONE: Final = np.uint64(1)


class Layer(Struct):
    """States after equally many cuts, a row each."""

    ahead: Bits
    """Bit d is set when the piece d + 1 places after the next to be hung is cut."""
    rolls: Whole
    """States of the open rolls, the greatest first, :data:`SPENT` in empty places."""
    held: Whole
    """State of the roll from which a drop was cut before its turn and the next cut must come; else SPENT."""
    before: Whole
    early: Whole
    """With ``held``: that roll's state before the cut, and the kind that was cut."""
    opens: Truth
    """True when the next cut must open a roll: a drop was cut before its turn to make room for it."""
    unopened: Whole
    """How many rolls of each stack are unopened, as one number: see :attr:`Table.digits`."""
    lost: Whole
    """What was lost so far, by each list of prices."""

    def rows(self, index: Whole) -> Layer:
        """Return some of the rows."""
        return Layer(*(getattr(self, name).take(index, axis=0) for name in Layer.__struct_fields__))

    def __len__(self) -> int:
        return len(self.ahead)


class Trace(Struct):
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

    def rows(self, index: Whole) -> Trace:
        """Return some of the rows."""
        return Trace(*(getattr(self, name).take(index) for name in Trace.__struct_fields__))


class Ready(Struct):
    """Ways to take a roll in hand: from which state of the layer, and what is then left beside it."""

    parent: Whole
    state: Whole
    source: Whole
    beside: Whole
    closed: Whole
    unopened: Whole
    lost: Whole


def joined_rows(parts: list[Ready]) -> Ready:
    """Return the rows of all parts, one part after another."""
    return Ready(*(np.concatenate([getattr(part, name) for part in parts]) for name in Ready.__struct_fields__))


def with_piece(ahead: Bits, distance: Whole) -> Bits:
    """Return the bits once the piece at ``distance`` is cut; at 0 all pieces cut in a row from there are passed."""
    is_next = distance == 0
    bit = np.left_shift(ONE, np.maximum(distance - 1, 0).astype(np.uint64))
    free = ~ahead
    lowest = free & (~free + ONE)
    passed = np.where(free == 0, np.uint64(HORIZON), np.bitwise_count(lowest - ONE))
    shift = np.minimum(passed + ONE, np.uint64(HORIZON - 1))
    shifted = np.where(passed + ONE >= HORIZON, np.uint64(0), ahead >> shift)
    return np.where(is_next, shifted, ahead | bit)


def with_roll(beside: Whole, state: Whole) -> Whole:
    """Return the open rolls with one more, the greatest first; there is an empty place for it."""
    rolls = np.empty_like(beside)
    for place, column in enumerate(beside.T):
        rolls[:, place] = np.maximum(column, state)
        state = np.minimum(column, state)
    return rolls


def without_roll(rolls: Whole, place: int) -> Whole:
    """Return the open rolls without that at ``place``, the others in their order."""
    others = np.full_like(rolls, SPENT)
    others[:, :place], others[:, place:-1] = rolls[:, :place], rolls[:, place + 1 :]
    return others


def added_up(values: Whole, rolls: Whole) -> Whole:
    """Return what the open rolls add up to, by the value of each state."""
    # Column by column, here as elsewhere, since numpy takes long over many short rows.
    total: Whole = sum(values[column] for column in rolls.T)
    return total
