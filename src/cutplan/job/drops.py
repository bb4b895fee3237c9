"""Drops: the pieces of paper to be cut, each with its length and its place in the print."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import cached_property

from msgspec import Struct
from msgspec.structs import replace

from cutplan.errors import CutplanError
from cutplan.lengths import ZERO, Length, show
from cutplan.paper.pattern import Pattern
from cutplan.setting_out import PieceCutOut as SetOutCutOut
from cutplan.setting_out import SettingOut
from cutplan.setting_out.pieces import Piece, PieceKind


class CutOut(Struct, frozen=True):
    """Paper that comes away from a drop once it is hung and trimmed: less than a full width."""

    label: str
    """What is written on it."""
    length: Length
    first_motif: Length
    """From its upper edge down."""
    left: Length
    right: Length
    """Which part of the strip's width it has, from the strip's left edge."""


class Drop(Struct, frozen=True, dict=True):
    """One piece of paper to hang, or ``count`` pieces exactly alike."""

    label: str
    """What is written on its back."""
    height: Length
    """Finished height on the wall, trims not included."""
    first_motif: Length
    """From the finished top edge down to the first motif datum, in [0, repeat)."""
    trim_top: Length
    trim_bottom: Length
    """Added above and below, and cut off on the wall."""
    count: int = 1
    """How many alike."""
    left: Length | None = None
    right: Length | None = None
    """Which part of the strip's width is hung, from the strip's left edge; None for the full width."""
    wall: str | None = None
    """Name of the wall it hangs on, the first one where it turns a corner; None when not told."""
    column: int | None = None
    """Number of its column; None when not told."""
    cut_outs: tuple[CutOut, ...] = ()
    """What comes away from it. Only drops with a count of 1 have any."""
    batch: str | None = None
    """Batch that it must be cut from, ``""`` for paper whose batch is not told; None for any."""
    is_turned: bool | None = None
    """Of a paper whose label says to reverse: whether it, or the first of several alike, which alternate, hangs turned
    end for end. None for every other paper."""
    sheet: int | None = None
    """Number of the sheet of a numbered set that it is a part of; None for paper in rolls."""
    reach_left: Length = ZERO
    reach_right: Length = ZERO
    """How far its paper reaches beyond the strip: an outer sheet of a lapped set, where it is not lapped. Of paper in
    rolls any strip of full width does, for it is as much wider than the strip on either edge."""
    is_along: bool = False
    """True for a strip hung along its length, as a border is: its long edges meet nothing."""

    def __post_init__(self) -> None:
        if self.height <= 0:
            raise CutplanError(f"drop {self.label}: the height must be more than 0, not {show(self.height)}")
        if self.first_motif < 0 or self.trim_top < 0 or self.trim_bottom < 0:
            raise CutplanError(f"drop {self.label}: trims and first motif cannot be negative")
        if self.count < 1:
            raise CutplanError(f"drop {self.label}: count must be 1 or more, not {self.count}")

    def __hash__(self) -> int:
        """Return the same for equal drops, sooner than from all that is told of one."""
        return hash((self.label, self.height.as_integer_ratio(), self.first_motif.as_integer_ratio()))

    @cached_property
    def cut_length(self) -> Length:
        """Length to cut: height and both trims."""
        return self.trim_top + self.height + self.trim_bottom

    @cached_property
    def motif_below_cut(self) -> Length:
        """From the cut top edge down to the first motif below the **finished** top; may exceed a repeat."""
        return self.trim_top + self.first_motif

    def turns(self, number: int) -> bool:
        """Return True when piece ``number``, from 1, hangs turned end for end."""
        return self.is_turned is not None and self.is_turned != (number % 2 == 0)

    def piece_label(self, number: int) -> str:
        """Return the label of piece ``number``, from 1: ``1``, or ``1 (2 of 3)`` when there are more."""
        return self.label if self.count == 1 else f"{self.label} ({number} of {self.count})"


def cut_out_label(drop: str, number: int, count: int) -> str:
    """Return what is written on cut-out ``number`` of the ``count`` of a drop.

    >>> cut_out_label("7", 1, 1), cut_out_label("7", 2, 2)
    ('cut-out of 7', 'cut-out 2 of 7')

    """
    return f"cut-out of {drop}" if count == 1 else f"cut-out {number} of {drop}"


def drops_of(
    setting_out: SettingOut, trim_top: Length, trim_bottom: Length, *, counts_cut_outs: bool = False
) -> tuple[Drop, ...]:
    """Return one drop for each piece and patch of a room, in hanging order, labelled as the piece is.

    ``counts_cut_outs`` adds what comes away from each: cut-outs at openings, and what a piece leaves of its strip
    beside it, but not what is trimmed off equal strips. Cut-outs at reveals are left out: their edges are turned in.
    """
    wet = 1 + setting_out.paper.wet_growth
    walls = setting_out.room.walls
    fallen: dict[int, list[SetOutCutOut]] = {}
    for cut_out in setting_out.cut_outs if counts_cut_outs else ():
        if not any(opening.name == cut_out.opening and opening.reveal for opening in walls[cut_out.wall].openings):
            fallen.setdefault(cut_out.piece, []).append(cut_out)
    drops = []
    for piece in setting_out.hung:
        strip, reach_left, reach_right = setting_out.paper.roll_width or ZERO, ZERO, ZERO
        if setting_out.paper.sheets is not None:
            reach_left, reach_right = (reach / wet for reach in setting_out.reach_of(piece.column))
        left, right = piece.paper_left, piece.paper_right
        if wet != 1:
            left, right = left / wet, right / wet
        is_narrower = left > -reach_left or right < strip + reach_right
        drop = Drop(
            piece.label,
            piece.height,
            piece.first_motif,
            trim_top,
            trim_bottom,
            left=max(left, -reach_left) if is_narrower else None,
            right=min(right, strip + reach_right) if is_narrower else None,
            wall=walls[_first_wall(setting_out, piece)].name,
            column=piece.column,
            is_turned=setting_out.is_turned(piece.column) if setting_out.paper.is_reversed else None,
            sheet=setting_out.sheet_of(piece.column),
            reach_left=reach_left,
            reach_right=reach_right,
        )
        cut_outs = _named(drop, () if piece.kind is PieceKind.PATCH else fallen.get(piece.number, ()), wet)
        if counts_cut_outs and setting_out.paper.edge_trim is None:
            cut_outs += beside(drop, strip, setting_out.paper.pattern)
        drops.append(replace(drop, cut_outs=tuple(cut_outs)) if cut_outs else drop)
    return tuple(drops)


def _first_wall(setting_out: SettingOut, piece: Piece) -> int:
    """Return the wall that a piece is hung on first: strips go out from the start, and round corners from there."""
    least = min(abs(panel.part) for panel in piece.panels)
    on = [panel.wall for panel in piece.panels if abs(panel.part) == least]
    if not piece.column and setting_out.start.wall in on:
        return setting_out.start.wall
    return on[-1] if piece.column < 0 else on[0]


def _named(drop: Drop, fallen: Sequence[SetOutCutOut], wet: Fraction) -> list[CutOut]:
    """Return what falls out of a drop at openings, in dry widths."""
    return [
        CutOut(
            cut_out_label(drop.label, number, len(fallen)),
            cut_out.length,
            cut_out.first_motif,
            cut_out.paper_left / wet,
            cut_out.paper_right / wet,
        )
        for number, cut_out in enumerate(fallen, 1)
    ]


def beside(drop: Drop, strip: Length, pattern: Pattern) -> list[CutOut]:
    """Return what is slit off a drop narrower than the strip: as long as it is cut, to its left and to its right."""
    if drop.left is None or drop.right is None:
        return []
    motif = pattern.within_repeat(drop.motif_below_cut)
    sides = (("left", ZERO, drop.left), ("right", drop.right, strip))
    return [
        CutOut(f"{side} of {drop.label}", drop.cut_length, motif, start, end)
        for side, start, end in sides
        if end > start
    ]
