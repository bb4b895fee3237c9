"""Which offcut could hold which drop: long enough, wide enough, the print right, and there in time."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from cutplan.lengths import ZERO
from cutplan.paper.stock import Lot

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from cutplan.job.drops import Drop
    from cutplan.lengths import Length
    from cutplan.paper.pattern import Pattern
    from cutplan.paper.stock import Paper


def lead_in(pattern: Pattern, offcut: Lot, drop: Drop) -> Length:
    """Return what is lost from the end of an offcut before the print is right for ``drop``."""
    if offcut.first_motif is None:
        return ZERO
    below = drop.motif_below_cut
    if offcut.is_foot_first:
        below = drop.cut_length - below
    return pattern.within_repeat(offcut.first_motif - below)


def spare_length(pattern: Pattern, offcut: Lot, drop: Drop) -> Length:
    """Return what an offcut is longer than ``drop`` and its lead-in need; negative when it is too short."""
    return offcut.length - lead_in(pattern, offcut, drop) - drop.cut_length


def could_hold(pattern: Pattern, offcut: Lot, drop: Drop) -> bool:
    """Return True when ``drop`` could be cut from ``offcut``: its length, its place in the print and its width fit."""
    return offcut.covers(drop.left, drop.right) and spare_length(pattern, offcut, drop) >= 0


def agree_in_batch(lot: Lot, drop: Drop) -> bool:
    """Return True when ``drop`` may be cut from paper of this lot's batch."""
    return drop.batch is None or drop.batch == (lot.batch or "")


def is_of_no_roll(offcut: Lot, rolls: Sequence[Lot]) -> bool:
    """Return True when the batch of an offcut is told, and that of every roll too, and no roll is of the same."""
    batches = {roll.batch for roll in rolls}
    return offcut.batch is not None and None not in batches and offcut.batch not in batches


def match_offcuts(
    paper: Paper, kept: Sequence[Lot], drops: Sequence[Drop], rolls: Sequence[Lot] = ()
) -> tuple[tuple[Lot, ...], Mapping[str, tuple[str, ...]]]:
    """Return the offcuts that could hold some drop, and for each drop the labels of those that could hold it.

    Offcuts are those ``kept`` and the cut-outs of ``drops``. A cut-out exists once its drop is hung, so it can hold
    only drops hung later; and only cut-outs of drops that no offcut could hold, of whatever batch, are counted on, for
    the others' may never come to be. Nothing is cut from offcuts of a batch of which there is none of the ``rolls``.
    """
    there = [_told_as_wide(lot, paper) for lot in kept]
    foreign = {offcut.label for offcut in kept if is_of_no_roll(offcut, rolls)} if rolls else set()
    holders: dict[str, tuple[str, ...]] = {}
    for drop in drops:
        could = [offcut for offcut in there if could_hold(paper.pattern, offcut, drop)]
        agreeing = (offcut.label for offcut in could if agree_in_batch(offcut, drop))
        holders[drop.label] = tuple(label for label in agreeing if label not in foreign)
        if not could:
            there += cut_out_lots(drop, paper)
    used = {label for labels in holders.values() for label in labels}
    return tuple(offcut for offcut in there if offcut.label in used), holders


def cut_out_lots(drop: Drop, paper: Paper) -> list[Lot]:
    """Return the cut-outs of a drop as stock."""
    lots = (
        Lot(
            label=cut_out.label,
            length=cut_out.length,
            first_motif=cut_out.first_motif,
            batch=drop.batch or None,
            left=cut_out.left,
            right=cut_out.right,
            is_offcut=True,
            cut_from=drop.label,
        )
        for cut_out in drop.cut_outs
    )
    return [_told_as_wide(lot, paper) for lot in lots]


def _told_as_wide(lot: Lot, paper: Paper) -> Lot:
    """Return an offcut, of full width where it reaches from edge to edge of the strip."""
    reaches_across = not lot.left and lot.right is not None and lot.right == paper.roll_width
    return replace(lot, left=None, right=None) if reaches_across else lot
