"""Cut-outs as stock: what falls out of a drop once it hangs, or is slit off beside it, is paper like any offcut."""

from __future__ import annotations

from msgspec.structs import replace

from cutplan.job.drops import Drop
from cutplan.paper.stock import Lot, Paper


def cut_out_lots(drop: Drop, paper: Paper, source: Lot | None = None) -> list[Lot]:
    """Return the cut-outs of a drop as stock.

    With ``source``, the paper that the drop is cut from, they are of its batch, and only as much of their width as it
    has. Without, they are as wide as they can be, and of the batch that the drop must be cut from.
    """
    lots = [
        Lot(
            label=cut_out.label,
            length=cut_out.length,
            first_motif=cut_out.first_motif,
            batch=drop.batch or None,
            sheet=drop.sheet,
            left=cut_out.left,
            right=cut_out.right,
            is_offcut=True,
            cut_from=drop.label,
        )
        for cut_out in drop.cut_outs
    ]
    there = lots if source is None else [part for lot in lots if (part := part_of(lot, source)) is not None]
    return [told_as_wide(lot, paper) for lot in there]


def part_of(lot: Lot, source: Lot) -> Lot | None:
    """Return as much of a cut-out as there is when its drop is cut from ``source``; None for nothing."""
    left, right = lot.left, lot.right
    if source.left is not None and (left is None or left < source.left):
        left = source.left
    if source.right is not None and (right is None or right > source.right):
        right = source.right
    is_there = left is None or right is None or left < right
    return replace(lot, batch=source.batch, left=left, right=right) if is_there else None


def told_as_wide(lot: Lot, paper: Paper) -> Lot:
    """Return an offcut, of full width where it reaches from edge to edge of the strip."""
    reaches_across = not lot.left and lot.right is not None and lot.right == paper.roll_width
    return replace(lot, left=None, right=None) if reaches_across else lot
