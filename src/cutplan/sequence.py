"""The cutting sequence: numbered steps to follow at the pasting table, one at a time.

Steps are the trade's acts with exact lengths; how they are worded and rounded is the renderer's business.
Every cut is found **by the print**: a step says how far below the new cut end the first motif must lie,
so that a rounded tape reading never adds up from drop to drop.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Final, TypeAlias

from cutplan.hanging_order import MOST_OPEN, in_hanging_order, walk

if TYPE_CHECKING:
    from cutplan.drops import Drop
    from cutplan.hanging_order import Walk
    from cutplan.lengths import Length
    from cutplan.plan import Cut, Plan, RollLayout

__all__ = [
    "MOST_OPEN",
    "CheckMatch",
    "CutDrop",
    "CutOff",
    "LeftOver",
    "OpenRoll",
    "Sequence",
    "Step",
    "in_hanging_order",
    "sequence_of",
]

SHORT_ROLL: Final = Fraction(15, 1000)
"""A roll may be this part shorter than it is marked: EN 233 clause 5.2.2."""


@dataclass(frozen=True, slots=True)
class OpenRoll:
    """Take up a roll, or the first of ``count`` rolls that are cut alike, one after another.

    Attributes
    ----------
    number
        Of the step, from 1.
    roll, last_roll
        Label of the roll, and of the last of these rolls; the same when ``count`` is 1.
    count
        How many rolls are cut like this.
    length
        Marked length of the roll.
    first_motif
        From the roll's end down to its first motif; None where that is not known (a sealed roll).
    batch
        As printed on the label, or None.
    is_open
        True when it was opened before, by an earlier plan: ``length`` is then what is certain to be left.

    """

    number: int
    roll: str
    last_roll: str
    count: int
    length: Length
    first_motif: Length | None
    batch: str | None
    is_open: bool = False


@dataclass(frozen=True, slots=True)
class CutOff:
    """Cut paper off the end of the roll: a lead-in, or match loss between two drops.

    Attributes
    ----------
    number, roll
        Of the step, from 1; label of the roll.
    length
        What comes off; None on a sealed roll, where it is less than a repeat and the print decides.
    motif_below
        From the new cut end down to the first motif, in [0, repeat); None for a free match.
    is_lead_in
        True before the first drop of a roll.

    """

    number: int
    roll: str
    length: Length | None
    motif_below: Length | None
    is_lead_in: bool


@dataclass(frozen=True, slots=True)
class CutDrop:
    """Cut a drop off the end of the roll and write its label on the back.

    Attributes
    ----------
    number, roll
        Of the step, from 1; label of the roll.
    drop
        Label of the drop.
    piece
        What to write on its back: the label, or ``1 (2 of 3)`` where several are alike and cut singly.
    length
        Cut length, trims included.
    motif_below
        From its cut top end down to the first motif, in [0, repeat); None for a free match.

    """

    number: int
    roll: str
    drop: str
    piece: str
    length: Length
    motif_below: Length | None


@dataclass(frozen=True, slots=True)
class CheckMatch:
    """Lay two drops side by side, cut tops level, and look at the match before cutting on.

    Where the print steps sideways this also shows whether its direction was read rightly from the roll.

    Attributes
    ----------
    number, roll
        Of the step, from 1; label of the roll.
    left, right
        Pieces whose prints meet along the joint when ``right`` lies to the right of ``left``.

    """

    number: int
    roll: str
    left: str
    right: str


Step: TypeAlias = OpenRoll | CutOff | CutDrop | CheckMatch


@dataclass(frozen=True, slots=True)
class LeftOver:
    """What is left of a roll, or of each of ``count`` rolls cut alike.

    Attributes
    ----------
    roll, last_roll, count
        As in :class:`OpenRoll`.
    length
        Left at the inner end; on a sealed roll at least this much.
    is_at_least
        True where the lead-in is not known, so that more than ``length`` may be left.
    first_motif
        From its cut end down to the first motif, in [0, repeat); None for a free match.
    slack
        By how much the roll could be short and its layout still fit.
    roll_length
        Marked length of the roll.

    """

    roll: str
    last_roll: str
    count: int
    length: Length
    is_at_least: bool
    first_motif: Length | None
    slack: Length
    roll_length: Length

    @property
    def needs_full_length(self) -> bool:
        """True when a roll as short as EN 233 clause 5.2.2 allows (1.5 %) would not be enough."""
        return self.slack < SHORT_ROLL * self.roll_length


@dataclass(frozen=True, slots=True)
class Sequence:
    """What to do at the table, in order, and what is left at the end.

    Attributes
    ----------
    plan
        The plan in hanging order: its layouts are in the order in which rolls are opened.
    steps
        Numbered from 1, without gaps.
    pieces
        For each layout of ``plan``, what to write on the back of its drops, in order along the roll.
    left
        One for each layout of ``plan``, in the same order.

    """

    plan: Plan
    steps: tuple[Step, ...]
    pieces: tuple[tuple[str, ...], ...]
    left: tuple[LeftOver, ...]


def sequence_of(plan: Plan) -> Sequence:
    """Return the cutting sequence of a plan, following the hanging order as nearly as its layouts allow."""
    walked = walk(plan)
    return _Writer(walked).sequence()


class _Writer:
    """Writes the steps of one walk; holds where each roll has been cut to."""

    def __init__(self, walked: Walk) -> None:
        self.plan = walked.plan
        self.moves = walked.moves
        self.pattern = self.plan.job.paper.pattern
        self.lots = {lot.label: lot for lot in self.plan.job.all_lots}
        self.drops = {drop.label: drop for drop in self.plan.job.drops}
        self.made = [0] * len(self.plan.layouts)
        self.used: Counter[str] = Counter()
        self.pieces: list[list[str]] = [[] for _ in self.plan.layouts]
        self.steps: list[Step] = []
        self.has_checked = self.pattern.is_free
        self.cut_by_top: dict[tuple[Length, Length], str] = {}

    def sequence(self) -> Sequence:
        for index in self.moves:
            layout = self.plan.layouts[index]
            if not self.made[index]:
                self.steps.append(self._opening(layout))
            self._make_cut(index, layout)
        left = tuple(self._left(layout) for layout in self.plan.layouts)
        return Sequence(self.plan, tuple(self.steps), tuple(tuple(held) for held in self.pieces), left)

    @property
    def _number(self) -> int:
        return len(self.steps) + 1

    def _opening(self, layout: RollLayout) -> OpenRoll:
        lot = self.lots[layout.lot]
        first, last = self._labels(layout)
        return OpenRoll(self._number, first, last, layout.count, lot.length, self._motif(lot.first_motif), lot.batch)

    def _make_cut(self, index: int, layout: RollLayout) -> None:
        roll, _ = self._labels(layout)
        place = self.made[index]
        cut = layout.cuts[place]
        drop = self.drops[cut.drop]
        motif = self._motif(drop.motif_below_cut)
        loss = self._loss(layout, place)
        if loss != 0:
            self.steps.append(CutOff(self._number, roll, loss, motif, is_lead_in=place == 0))
        piece = self._piece(cut, layout.count)
        self.pieces[index].append(piece)
        self.steps.append(CutDrop(self._number, roll, cut.drop, piece, drop.cut_length, motif))
        self.made[index] += 1
        self.used[cut.drop] += layout.count
        if not self.has_checked:
            self._check_match(roll, drop, piece)

    def _loss(self, layout: RollLayout, place: int) -> Length | None:
        """Return what is cut off before the cut at ``place``; None where only the print can say."""
        start = layout.cuts[place].start
        if place:
            return start - layout.cuts[place - 1].end
        return None if self.lots[layout.lot].is_sealed and not self.pattern.is_free else start

    def _piece(self, cut: Cut, rolls: int) -> str:
        return cut.drop if rolls > 1 else self.drops[cut.drop].piece_label(self.used[cut.drop] + 1)

    def _check_match(self, roll: str, drop: Drop, piece: str) -> None:
        """Add the check of the match as soon as two cut drops would meet along a joint, their tops level."""
        left = self.cut_by_top.get((self.pattern.first_motif(-1, drop.first_motif), drop.trim_top))
        right = self.cut_by_top.get((self.pattern.first_motif(1, drop.first_motif), drop.trim_top))
        if left is not None:
            self.steps.append(CheckMatch(self._number, roll, left, piece))
        elif right is not None:
            self.steps.append(CheckMatch(self._number, roll, piece, right))
        self.has_checked = left is not None or right is not None
        self.cut_by_top.setdefault((self.pattern.within_repeat(drop.first_motif), drop.trim_top), piece)

    def _left(self, layout: RollLayout) -> LeftOver:
        lot = self.lots[layout.lot]
        first, last = self._labels(layout)
        drop = self.drops[layout.cuts[-1].drop]
        return LeftOver(
            roll=first,
            last_roll=last,
            count=layout.count,
            length=lot.length - layout.end,
            is_at_least=lot.is_sealed and not self.pattern.is_free,
            first_motif=self._motif(drop.motif_below_cut - drop.cut_length),
            slack=lot.length - layout.end,
            roll_length=lot.length,
        )

    def _labels(self, layout: RollLayout) -> tuple[str, str]:
        lot = self.lots[layout.lot]
        return (
            lot.roll_label(layout.first_number),
            lot.roll_label(layout.first_number + layout.count - 1),
        )

    def _motif(self, distance: Length | None) -> Length | None:
        """Return a distance down to the first motif within the repeat; None where there is none to find."""
        return None if distance is None or self.pattern.is_free else self.pattern.within_repeat(distance)
