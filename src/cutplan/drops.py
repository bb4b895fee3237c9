"""Drops: the pieces of paper to be cut, each with its length and its place in the print."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from cutplan.errors import CutplanError
from cutplan.lengths import show

if TYPE_CHECKING:
    from cutplan.lengths import Length
    from cutplan.setting_out import SettingOut


@dataclass(frozen=True, slots=True)
class CutOut:
    """Paper that comes away from a drop once it is hung and trimmed: less than a full width.

    Attributes
    ----------
    label
        What is written on it.
    length, first_motif
        From its upper edge down.
    left, right
        Which part of the strip's width it has, from the strip's left edge.

    """

    label: str
    length: Length
    first_motif: Length
    left: Length
    right: Length


@dataclass(frozen=True, slots=True)
class Drop:
    """One piece of paper to hang, or ``count`` pieces exactly alike.

    Attributes
    ----------
    label
        What is written on its back.
    height
        Finished height on the wall, trims not included.
    first_motif
        From the finished top edge down to the first motif datum, in [0, repeat).
    trim_top, trim_bottom
        Added above and below, and cut off on the wall.
    count
        How many alike.
    left, right
        Which part of the strip's width is hung, from the strip's left edge; None for the full width.
    wall
        Name of the wall it hangs on; None when not told.
    column
        Number of its column; None when not told.
    cut_outs
        What comes away from it. Only drops with a count of 1 have any.

    """

    label: str
    height: Length
    first_motif: Length
    trim_top: Length
    trim_bottom: Length
    count: int = 1
    left: Length | None = None
    right: Length | None = None
    wall: str | None = None
    column: int | None = None
    cut_outs: tuple[CutOut, ...] = ()

    def __post_init__(self) -> None:
        if self.height <= 0:
            raise CutplanError(f"drop {self.label}: the height must be more than 0, not {show(self.height)}")
        if self.first_motif < 0 or self.trim_top < 0 or self.trim_bottom < 0:
            raise CutplanError(f"drop {self.label}: trims and first motif cannot be negative")
        if self.count < 1:
            raise CutplanError(f"drop {self.label}: count must be 1 or more, not {self.count}")

    @property
    def cut_length(self) -> Length:
        """Length to cut: height and both trims."""
        return self.trim_top + self.height + self.trim_bottom

    @property
    def motif_below_cut(self) -> Length:
        """From the cut top edge down to the first motif below the **finished** top; may exceed a repeat."""
        return self.trim_top + self.first_motif

    def piece_label(self, number: int) -> str:
        """Return the label of piece ``number``, from 1: ``1``, or ``1 (2 of 3)`` when there are more."""
        return self.label if self.count == 1 else f"{self.label} ({number} of {self.count})"


def cut_out_label(drop: str, number: int, count: int) -> str:
    """Return what is written on cut-out ``number`` of the ``count`` of a drop.

    >>> cut_out_label("7", 1, 1), cut_out_label("7", 2, 2)
    ('cut-out of 7', 'cut-out 2 of 7')

    """
    return f"cut-out of {drop}" if count == 1 else f"cut-out {number} of {drop}"


def drops_of(setting_out: SettingOut, trim_top: Length, trim_bottom: Length) -> tuple[Drop, ...]:
    """Return one drop for each piece of a room, in hanging order, labelled with the piece's number."""
    return tuple(
        Drop(
            piece.label,
            piece.height,
            piece.first_motif,
            trim_top,
            trim_bottom,
            wall=setting_out.room.walls[piece.panels[0].wall].name,
            column=piece.column,
        )
        for piece in setting_out.pieces
    )
