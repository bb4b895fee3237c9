"""Cut-outs as stock: what falls out of a drop once it hangs, or is slit off beside it, is paper like any offcut."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from cutplan.paper.stock import Lot

if TYPE_CHECKING:
    from cutplan.job.drops import Drop
    from cutplan.paper.stock import Paper


def cut_out_lots(drop: Drop, paper: Paper, source: Lot | None = None) -> list[Lot]:
    """Return the cut-outs of a drop as stock.

    With ``source``, the paper that the drop is cut from, they are of its batch, and only as much of their width as it
    has. Without, they are as wide as they can be, and of the batch that the drop must be cut from.
    """
    lots = (
        Lot(
            label=cut_out.label,
            length=cut_out.length,
            first_motif=cut_out.first_motif,
            batch=drop.batch or None if source is None else source.batch,
            left=cut_out.left if source is None or source.left is None else max(cut_out.left, source.left),
            right=cut_out.right if source is None or source.right is None else min(cut_out.right, source.right),
            is_offcut=True,
            cut_from=drop.label,
        )
        for cut_out in drop.cut_outs
    )
    return [told_as_wide(lot, paper) for lot in lots if lot.left is None or lot.right is None or lot.left < lot.right]


def told_as_wide(lot: Lot, paper: Paper) -> Lot:
    """Return an offcut, of full width where it reaches from edge to edge of the strip."""
    reaches_across = not lot.left and lot.right is not None and lot.right == paper.roll_width
    return replace(lot, left=None, right=None) if reaches_across else lot
