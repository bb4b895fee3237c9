"""Stock: the paper as it is sold, and the rolls in hand."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from msgspec import Struct
from msgspec.structs import replace

from cutplan.errors import CutplanError
from cutplan.lengths import ZERO, Length, show
from cutplan.paper.pattern import Pattern
from cutplan.paper.sale import BY_THE_ROLL, NO_EDGES, Edges, Sale

if TYPE_CHECKING:
    from cutplan.paper.photographed import Photographed

SHORT_ROLL: Final = Fraction(15, 1000)
"""A roll may be this part shorter than it is marked: EN 233 clause 5.2.2."""


class SheetSet(Struct, frozen=True):
    """Numbered sheets that make one picture, a mural or a scenic set: no sheet stands in for another."""

    count: int
    """How many sheets the set has, numbered from 1, left to right."""
    first: int = 1
    """Number of the sheet that hangs furthest to the left."""
    first_motif: Length = ZERO
    """From the top edge of a sheet down to the point of the picture that hanging goes by: the horizon, say."""


class Paper(Struct, frozen=True):
    """A paper as its label describes it."""

    name: str
    """What the customer calls it."""
    pattern: Pattern
    """Repeat and match."""
    roll_length: Length
    """Marked length of a roll."""
    roll_width: Length | None = None
    """Width of a strip as it hangs, dry, from joint to joint; None when not stated (a plain list of drops needs
    none)."""
    price: Fraction | None = None
    """Price of one roll, in the scenario's own currency, whatever the label prices; None when not stated."""
    motif_from_left: Length | None = None
    """From the strip's left edge as it hangs, dry, to the middle of the motif; None when not measured."""
    motif_above: Length = ZERO
    motif_below: Length = ZERO
    """How far the motif reaches above and below its datum; both 0 when not measured."""
    wet_growth: Fraction = ZERO
    """How much wider the pasted strip is than the dry one, as a part of the dry width: 1/100 is 1 %."""
    is_foil: bool = False
    """True for a paper that conducts."""
    is_reversed: bool = False
    """True when the label says to turn every second length end for end."""
    may_lie_sideways: bool = False
    """True when a short piece may be hung on its side, across the roll: plain, or printed alike every way."""
    motif_width: Length = ZERO
    """How wide the motif is, dry, half of it on either side of that middle; 0 when not measured."""
    sale: Sale = BY_THE_ROLL
    """How it is sold."""
    edges: Edges = NO_EDGES
    """What the paper as sold is wider than the strip."""
    photographed: Photographed | None = None
    """A photograph of it; None where there is none."""
    sheets: SheetSet | None = None
    """The set of numbered sheets that it is; None for paper in rolls. A sheet is then a roll's length long, and so is
    the repeat: nothing on a sheet comes twice."""
    edge_trim: Length | None = None
    """The least that comes off each edge where every wall is hung in equal strips; None where walls are not."""

    @property
    def as_ordered(self) -> Paper:
        """The same without its photograph: two papers are one where these are."""
        return replace(self, photographed=None)

    @property
    def width_as_sold(self) -> Length | None:
        """Width of the paper as the label states it; None when not stated."""
        return None if self.roll_width is None else self.roll_width + self.edges.lost

    @property
    def wet_width(self) -> Length | None:
        """Width of a strip as it lies on the wall; None when the roll's width is not stated."""
        return None if self.roll_width is None else self._wet(self.roll_width)

    def cost(self, rolls: int) -> Fraction | None:
        """Return what so many rolls cost, no packet broken; None when the price is not stated."""
        return self.sale.cost(rolls, self.price)

    def is_part(self, length: Length) -> bool:
        """Return True for paper shorter than a roll may be sold: a part of one. Of numbered sheets none is."""
        return self.sheets is None and length < (1 - SHORT_ROLL) * self.roll_length

    @property
    def wet_motif_from_left(self) -> Length | None:
        """From the left edge of a strip on the wall to the middle of its motif; None when not measured."""
        return None if self.motif_from_left is None else self._wet(self.motif_from_left)

    @property
    def wet_motif(self) -> tuple[Length | None, Length]:
        """Where the middle of a strip's motif is on the wall, as above, and half its width; 0 when not measured."""
        return self.wet_motif_from_left, self._wet(self.motif_width) / 2

    @property
    def outer_reach(self) -> Length:
        """How far the outer strip of a run reaches, wet, beyond itself on the side where it is not lapped."""
        return self._wet(self.edges.overlap / 2)

    def _wet(self, width: Length) -> Length:
        return width * (1 + self.wet_growth) if self.wet_growth else width


class Stretch(Struct, frozen=True):
    """A stretch of continuous, faultless paper within a roll."""

    start: Length
    """From the roll's outer end to where the stretch begins."""
    length: Length

    first_motif: Length | None
    """From its beginning down to its first motif datum; None when nobody has measured it."""


class Lot(Struct, frozen=True):
    """Rolls that are alike: same length, same start of the print, same batch and price."""

    label: str
    """What is written on the roll; rolls of a lot of several are ``label-1``, ``label-2`` …"""
    length: Length
    """Usable length from the outer end."""
    first_motif: Length | None = None
    """Distance from the outer end down to the first motif datum, in [0, repeat); None for a sealed roll, whose start is
    unknown."""
    count: int | None = 1
    """How many there are; None for as many as needed."""
    batch: str | None = None
    """Batch as printed on the label, or None."""
    price: Fraction | None = None
    """Price of one roll; None when not stated."""
    parts: tuple[Stretch, ...] = ()
    """The stretches that may be cut, from the outer end, of a roll with flaws or a bolt in several pieces; empty when
    the whole roll is one."""
    is_foot_first: bool = False
    """True when the roll comes off foot first: along it, from its outer end, the print runs upwards, and
    ``first_motif`` is measured up the print."""
    left: Length | None = None
    right: Length | None = None
    """Which part of a strip's width an offcut has, from the strip's left edge; None for the full width."""
    is_offcut: bool = False
    """True for paper that is there already and counts as no roll: an offcut kept, or a cut-out."""
    cut_from: str | None = None
    """Label of the drop whose cut-out this is: the paper exists once that drop is hung and trimmed."""
    after: str | None = None
    """Label of the drop with which an offcut comes to be there, though it is no cut-out of it: once that drop hangs, so
    does what it falls out of. None for one that is there from the first."""
    sheet: int | None = None
    """Number of the sheet that it is, or is a part of, of a numbered set; None for paper in rolls."""

    def __post_init__(self) -> None:
        if self.length <= 0:
            raise CutplanError(f"roll {self.label}: the length must be more than 0, not {show(self.length)}")
        if self.count is not None and self.count < 1:
            raise CutplanError(f"roll {self.label}: count must be 1 or more, not {self.count}")
        if self.first_motif is not None and self.first_motif < 0:
            raise CutplanError(f"roll {self.label}: first_motif is measured down from the end, so it is not negative")

    @property
    def is_sealed(self) -> bool:
        """True when nobody has measured where the print starts on these rolls, or on some piece of them."""
        return any(stretch.first_motif is None for stretch in self.stretches)

    @property
    def waits_for(self) -> str | None:
        """The drop that must hang before this paper is there; None for paper that is there from the first."""
        return self.after if self.cut_from is None else self.cut_from

    @property
    def is_as_sold(self) -> bool:
        """True for a roll in one piece that nobody has measured: it may be as short as rolls may be sold."""
        return self.first_motif is None and not self.parts and not self.is_offcut

    @property
    def stretches(self) -> tuple[Stretch, ...]:
        """The stretches of a roll that may be cut, from its outer end."""
        return self.parts or (Stretch(ZERO, self.length, self.first_motif),)

    def covers(self, left: Length | None, right: Length | None) -> bool:
        """Return True when this paper has the part of the strip from ``left`` to ``right``; None is its edge."""
        wide_left = self.left is None or (left is not None and left >= self.left)
        wide_right = self.right is None or (right is not None and right <= self.right)
        return wide_left and wide_right

    def roll_label(self, number: int) -> str:
        """Return the label of roll ``number`` of this lot, counted from 1."""
        return self.label if self.count == 1 else f"{self.label}-{number}"

    def roll_labels(self, first: int, count: int) -> str:
        """Return the label of roll ``first``, or the first and the last of several from there on."""
        label = self.roll_label(first)
        return label if count == 1 else f"{label} to {self.roll_label(first + count - 1)}"


def lot_of_stretches(like: Lot, stretches: list[Stretch], *, label: str, price: Fraction | None) -> Lot:
    """Return a roll of these stretches, from its outer end, otherwise like another; with one it has no parts."""
    parts = tuple(replace(stretch, start=stretch.start - stretches[0].start) for stretch in stretches)
    return replace(
        like,
        label=label,
        length=parts[-1].start + parts[-1].length,
        first_motif=parts[0].first_motif,
        count=1,
        price=price,
        parts=parts if len(parts) > 1 else (),
    )
