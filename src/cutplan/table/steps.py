"""Steps of a cutting sequence: the trade's acts at the table, with exact lengths and not yet worded.

Every cut is found **by the print**: a step says how far below the new cut end the first motif must lie,
so that a rounded tape reading never adds up from drop to drop. ``number`` is the step's, from 1; ``roll`` is the label
of the roll.
"""

from __future__ import annotations

from typing import TypeAlias

from msgspec import Struct

from cutplan.lengths import Length
from cutplan.paper.sale import NO_EDGES, Edges
from cutplan.paper.stock import SHORT_ROLL, Lot
from cutplan.plan.plan import Plan


class OpenRoll(Struct, frozen=True):
    """Take up a roll, the first of ``count`` rolls cut alike one after another, or an offcut."""

    number: int
    roll: str

    last_roll: str
    """Label of the last of these rolls; the same as of the first when ``count`` is 1."""
    count: int
    """How many rolls are cut like this."""
    lot: Lot
    """What is known of it: length, batch, and whether it is an offcut or comes off foot first."""
    first_motif: Length | None
    """From its end along it to its first motif; None where nobody has measured it, and for a free match."""
    is_open: bool = False
    """True when it was opened before, by an earlier plan: ``length`` is then what is certain to be left."""
    hangs_first: str | None = None
    """Label of the drop, cut by an earlier plan, that must hang and be trimmed before this paper is there."""

    @property
    def length(self) -> Length:
        """Marked length of the roll, or what is left on one that is open."""
        return self.lot.length


class NextStretch(Struct, frozen=True):
    """Leave what remains of a stretch of the roll: go past a flaw, or take up the next piece of a bolt."""

    number: int
    roll: str

    stretch: int
    """Which stretch comes now, from 2."""
    length: Length | None
    """What remains, up to the flaw or the end of the piece; None where a lead-in before it was not known."""
    flaw: Length
    """Length of the flaw that is cut away; 0 where the next piece begins."""


class CutOff(Struct, frozen=True):
    """Cut paper off the end of the roll: a lead-in, or match loss between two drops."""

    number: int
    roll: str

    length: Length | None
    """What comes off; None where the print is not known, and less than a repeat comes off to find it."""
    motif_below: Length | None
    """From the new cut end along the roll to the first motif, in [0, repeat); None for a free match."""
    is_lead_in: bool
    """True before the first drop of a stretch."""


class CutDrop(Struct, frozen=True):
    """Cut a drop off the end of the roll and write its label on the back."""

    number: int
    roll: str
    drop: str
    """Label of the drop."""
    piece: str
    """What to write on its back: the label, or ``1 (2 of 3)`` where several are alike and cut singly."""
    length: Length
    """Cut length, trims included."""
    motif_below: Length | None
    """From the end that comes off first along the drop to the first motif, in [0, repeat); None for a free match. That
    end is its top, or its foot when it ``is_foot_first``."""
    is_foot_first: bool = False
    """True on a roll that comes off foot first."""
    is_turned: bool = False
    """True when it hangs turned end for end against its neighbours: every second length of a paper whose label says
    so."""
    edges: Edges = NO_EDGES
    """What is then trimmed off its edges by knife and straightedge; nothing for paper without a selvedge, and for what
    is cut from an offcut, which has lost it."""


class CheckMatch(Struct, frozen=True):
    """Lay two drops side by side, cut tops level, and look at the match before cutting on.

    Where the print steps sideways this also shows whether its direction was read rightly from the roll.
    """

    number: int
    roll: str

    left: str
    right: str
    """Pieces whose prints meet along the joint when ``right`` lies to the right of ``left``."""
    is_along: bool = False
    """True for strips hung along their length, whose long edges meet nothing: their prints must be alike."""


Step: TypeAlias = OpenRoll | NextStretch | CutOff | CutDrop | CheckMatch


class Rest(Struct, frozen=True):
    """One continuous piece that is left of a roll."""

    stretch: int
    """Which stretch of the roll it comes from, from 1."""
    length: Length
    """Its length; at least this much where a lead-in was not known."""
    first_motif: Length | None
    """From its outer end along the roll to the first motif, in [0, repeat); None for a free match or where nobody
    knows."""


class LeftOver(Struct, frozen=True):
    """What is left of a roll, or of each of ``count`` rolls cut alike."""

    roll: str
    last_roll: str
    count: int
    lot: Lot
    """As in :class:`OpenRoll`."""
    slack: Length
    """By how much the roll could be short and its layout still fit: from the last cut to its inner end."""
    is_at_least: bool
    """True where a lead-in was not known, so that more may be left."""
    rests: tuple[Rest, ...]
    """The pieces left, from the outer end; one for a roll without flaws, and then as long as the slack."""
    is_measured: bool = False
    """True for a roll on which what is left was measured at the table, after it was opened."""

    @property
    def needs_full_length(self) -> bool:
        """True when a roll as short as EN 233 clause 5.2.2 allows (1.5 %) would not be enough.

        Offcuts, and rolls known piece by piece, have been measured already.
        """
        is_as_sold = not self.lot.is_offcut and not self.lot.parts and not self.is_measured
        return is_as_sold and self.slack < SHORT_ROLL * self.lot.length


class Sequence(Struct, frozen=True):
    """What to do at the table, in order, and what is left at the end."""

    plan: Plan
    """The plan in hanging order: its layouts are in the order in which rolls are opened."""
    steps: tuple[Step, ...]
    """Numbered from 1, without gaps."""
    pieces: tuple[tuple[str, ...], ...]
    """For each layout of ``plan``, what to write on the back of its drops, in order along the roll."""
    left: tuple[LeftOver, ...]
    """One for each layout of ``plan``, in the same order."""
