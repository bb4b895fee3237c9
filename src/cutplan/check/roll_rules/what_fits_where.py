"""Paper that may be cut and drops that are wanted from it: which fits where, by the judge's own arithmetic."""

from __future__ import annotations

from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from cutplan.check.stated.fields import NOTHING
from cutplan.check.stated.match import within_repeat


class CutOut(Struct, frozen=True):
    """What falls out of a drop once it hangs; ``first_motif`` from its upper edge, ``left``, ``right`` across."""

    label: str
    length: Fraction
    first_motif: Fraction
    left: Fraction
    right: Fraction


class WantedDrop(Struct, frozen=True):
    """A drop as the scenario wants it; lengths in mm, first motif from the finished top down.

    ``count`` is how many pieces of it, all alike; ``left`` and ``right`` the part of the strip's width that is hung,
    None for all of it; ``cut_outs`` what falls out of it; ``wall`` the wall on which it hangs, None where not told;
    ``batch`` that of which it must be, None for any; ``is_turned`` whether it, or the first of several, hangs turned
    end for end, None where no length does; ``sheet`` the number of the sheet of a set that it is a part of; ``reach``
    how far that reaches beyond the strip to the left and to the right; ``is_along`` whether it is said to hang along
    its length, as a border does; ``room`` which room of several it is for.
    """

    label: str
    height: Fraction
    first_motif: Fraction
    trim_top: Fraction
    trim_bottom: Fraction
    count: int
    left: Fraction | None = None
    right: Fraction | None = None
    cut_outs: tuple[CutOut, ...] = ()
    wall: str | None = None
    batch: str | None = None
    is_turned: bool | None = None
    sheet: int | None = None
    reach: tuple[Fraction, Fraction] = (Fraction(0), Fraction(0))
    is_along: bool | None = None
    room: str | None = None

    @property
    def cut_length(self) -> Fraction:
        """Length of paper to cut: both trims and the height."""
        return self.trim_top + self.height + self.trim_bottom

    @property
    def datum(self) -> Fraction:
        """From the cut top edge down to the first motif below the finished top."""
        return self.trim_top + self.first_motif

    def width_of(self, strip: Fraction) -> Fraction:
        """Return how much is hung of the width of a strip."""
        return strip if self.left is None or self.right is None else self.right - self.left


class Stretch(Struct, frozen=True):
    """Continuous paper from ``start`` to ``end`` of a roll; ``datum`` is a datum of its print, None if not known."""

    start: Fraction
    end: Fraction
    datum: Fraction | None


class StockLot(Struct, frozen=True):
    """Rolls that are alike; ``first_motif`` is None while sealed, ``count`` None for as many as needed.

    ``parts`` are the stretches of a roll with flaws or in pieces; ``is_offcut`` tells paper that is no roll, of which
    ``left`` and ``right`` say how much of the strip's width it has; ``cut_from`` is the drop that it falls out of.
    ``batch`` is empty where nobody has told it; ``is_foreign`` tells an offcut of a batch that no roll is of. ``after``
    is the drop with which an offcut comes to be there, though it is none of that drop's cut-outs. ``is_turned`` tells
    whether a cut-out's drop hangs turned end for end; ``sheet`` of which sheet of a set the paper is; ``room`` in which
    room of several a cut-out falls, and serves, None for paper that may serve any.
    """

    label: str
    length: Fraction
    first_motif: Fraction | None
    count: int | None
    price: Fraction | None
    parts: tuple[Stretch, ...] = ()
    is_foot_first: bool = False
    is_offcut: bool = False
    left: Fraction | None = None
    right: Fraction | None = None
    cut_from: str | None = None
    batch: str = ""
    is_foreign: bool = False
    after: str | None = None
    is_turned: bool | None = None
    sheet: int | None = None
    room: str | None = None

    @property
    def waits_for(self) -> str | None:
        """The drop that must hang before this paper is there."""
        return self.after if self.cut_from is None else self.cut_from

    def may_give(self, drop: WantedDrop) -> bool:
        """Return True when ``drop`` may be cut from this by room, batch, sheet, and hangs as what it falls out of."""
        agree = self.is_of_its_batch(drop) and self.sheet == drop.sheet and self.room in (None, drop.room)
        return agree and (self.cut_from is None or drop.is_turned == self.is_turned)

    def is_of_its_batch(self, drop: WantedDrop) -> bool:
        """Return True when the batch of this paper allows ``drop``; a cut-out may be of any that its drop may be of."""
        if self.cut_from is not None:
            return not self.batch or drop.batch in {None, self.batch}
        return drop.batch == self.batch or (drop.batch is None and not self.is_foreign)

    @property
    def stretches(self) -> tuple[Stretch, ...]:
        """The stretches that may be cut, from the outer end."""
        return self.parts or (Stretch(NOTHING, self.length, self.first_motif),)

    @property
    def is_sealed(self) -> bool:
        """True when the print of some stretch is not known."""
        return any(stretch.datum is None for stretch in self.stretches)

    def roll_label(self, number: int) -> str:
        """Return what roll ``number`` of the lot is called, counted from 1."""
        return self.label if self.count == 1 else f"{self.label}-{number}"

    def stretch_at(self, place: Fraction) -> int:
        """Return the number, from 0, of the stretch in which a cut that starts at ``place`` lies."""
        return max((number for number, stretch in enumerate(self.stretches) if stretch.start <= place), default=0)

    def datum_of(self, drop: WantedDrop) -> Fraction:
        """Return how far a datum of ``drop`` lies from the end of it that comes off these rolls first."""
        return drop.cut_length - drop.datum if self.is_foot_first else drop.datum

    def short_across(self, drop: WantedDrop) -> Fraction | None:
        """Return how much of the width that ``drop`` needs this paper has not; None when that is not told."""
        if self.left is None or self.right is None:
            return NOTHING
        if drop.left is None or drop.right is None:
            return None
        return max(self.left - drop.left, NOTHING) + max(drop.right - self.right, NOTHING)

    def can_hold(self, drop: WantedDrop, repeat: Fraction, *, at_best: bool = False) -> bool:
        """Return True when ``drop`` can be cut from this offcut: print, length and width allow it.

        ``at_best`` a print that is not known lies as the drop wants it; otherwise a repeat may be lost.
        """
        if self.short_across(drop) != 0:
            return False
        if self.first_motif is None:
            return (0 if at_best else repeat) + drop.cut_length <= self.length
        lead_in = within_repeat(self.first_motif - self.datum_of(drop), repeat)
        return lead_in + drop.cut_length <= self.length


def with_foreign_told(lots: dict[str, StockLot]) -> dict[str, StockLot]:
    """Return rolls and offcuts kept, each of these told whether every roll is of a batch, and none of the offcut's."""
    batches = {lot.batch for lot in lots.values() if not lot.is_offcut}
    is_told = bool(batches) and "" not in batches
    return {
        label: replace(lot, is_foreign=is_told and lot.is_offcut and lot.batch not in batches)
        for label, lot in lots.items()
    }


def with_cut_outs(
    lots: dict[str, StockLot], drops: dict[str, WantedDrop], strip: Fraction | None
) -> dict[str, StockLot]:
    """Return the stock with every cut-out, as wide as it can be: it is narrower if the paper its drop comes from is.

    ``strip`` is the width of the strip, dry.
    """
    falling = [_lot_of(cut_out, drop, strip) for drop in drops.values() for cut_out in drop.cut_outs]
    return {**lots, **{lot.label: lot for lot in falling}}


def _lot_of(cut_out: CutOut, drop: WantedDrop, strip: Fraction | None) -> StockLot:
    is_full_width = not cut_out.left and cut_out.right == strip
    return StockLot(
        label=cut_out.label,
        length=cut_out.length,
        first_motif=cut_out.first_motif,
        count=1,
        price=None,
        is_offcut=True,
        left=None if is_full_width else cut_out.left,
        right=None if is_full_width else cut_out.right,
        cut_from=drop.label,
        is_turned=drop.is_turned,
        sheet=drop.sheet,
        room=drop.room,
        batch=drop.batch or "",
    )
