"""Where along paper a piece may start, and which paper may serve which piece: length, print, width, batch and time.

The only place that knows. Along a roll or an offcut distances count from its outer end; a drop's own go down from its
cut top. On paper whose print nobody has measured the worst is allowed for: a whole repeat is lost before the first cut.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from msgspec.structs import replace

from cutplan.job.drops import Drop
from cutplan.job.offcuts import cut_out_lots, part_of, told_as_wide
from cutplan.lengths import ZERO, Length
from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Lot, Paper, Stretch, lot_of_stretches

if TYPE_CHECKING:
    from cutplan.job.job import Job


class Placed(NamedTuple):
    """A drop on a roll, and where it starts from the roll's outer end."""

    drop: Drop
    start: Length

    @property
    def end(self) -> Length:
        """Where it ends, from the roll's outer end."""
        return self.start + self.drop.cut_length


# Where a piece may start: length and print.


def motif_along(pattern: Pattern, lot: Lot, drop: Drop) -> Length:
    """Return how far the first motif lies from the end of ``drop`` that comes off ``lot`` first, within the repeat."""
    below = drop.cut_length - drop.motif_below_cut if lot.is_foot_first else drop.motif_below_cut
    return pattern.within_repeat(below)


def motif_behind(pattern: Pattern, lot: Lot, drop: Drop) -> Length:
    """Return how far behind ``drop``, once it is cut from ``lot``, the next motif lies on what is left."""
    return pattern.within_repeat(motif_along(pattern, lot, drop) - drop.cut_length)


def lead_in(pattern: Pattern, lot: Lot, drop: Drop, stretch: Stretch | None = None) -> Length:
    """Return what is lost at the beginning of a stretch, the first one if None, before the print is right for ``drop``.

    A whole repeat, the worst, where nobody has measured the print; nothing for a free match.
    """
    first_motif = (stretch or lot.stretches[0]).first_motif
    if first_motif is None:
        return pattern.repeat
    return pattern.within_repeat(first_motif - motif_along(pattern, lot, drop))


def spare_length(pattern: Pattern, lot: Lot, drop: Drop, *, at_best: bool = False) -> Length:
    """Return by how much the best stretch of a lot exceeds ``drop`` and its lead-in; negative if none is enough.

    ``at_best`` nothing is lost at the beginning of a stretch whose print nobody has measured.
    """
    return max(
        stretch.length - (ZERO if at_best and stretch.first_motif is None else lead_in(pattern, lot, drop, stretch))
        for stretch in lot.stretches
    ) - drop.cut_length  # fmt: skip


def first_start(
    pattern: Pattern, lot: Lot, stretch: Stretch, drop: Drop, behind: Placed | None = None
) -> Length | None:
    """Return the first place on a stretch where ``drop`` may start, ``behind`` another piece if one is cut before it.

    None when it would reach beyond the stretch.
    """
    if behind is None:
        start = stretch.start + lead_in(pattern, lot, drop, stretch)
    else:
        next_motif = motif_behind(pattern, lot, behind.drop)
        start = behind.end + pattern.within_repeat(next_motif - motif_along(pattern, lot, drop))
    return start if start + drop.cut_length <= stretch.start + stretch.length else None


def place_along(job: Job, lot: Lot, drops: Iterable[str]) -> tuple[Placed, ...] | None:
    """Return drops cut from a roll in this order, each with where it starts; None when they do not all fit.

    Each starts as early as the print lets it, on a sealed roll behind the worst lead-in. None too for a drop that is a
    part of another sheet of a numbered set.
    """
    placed: list[Placed] = []
    ahead = list(lot.stretches)
    stretch, behind = ahead.pop(0), None
    for label in drops:
        drop = job.drop(label)
        if not is_of_its_sheet(lot, drop):
            return None
        while (start := first_start(job.paper.pattern, lot, stretch, drop, behind)) is None and ahead:
            stretch, behind = ahead.pop(0), None
        if start is None:
            return None
        behind = Placed(drop, start)
        placed.append(behind)
    return tuple(placed)


def rest_after(job: Job, lot: Lot, drops: Iterable[str]) -> Lot | None:
    """Return what is certain to be left of a roll after ``drops`` are cut from it, as a roll; None for nothing."""
    placed = place_along(job, lot, drops)
    if not placed:
        return lot_of_stretches(lot, list(lot.stretches), label=lot.label, price=None)
    last, stretches = placed[-1], []
    for stretch in lot.stretches:
        beyond = stretch.start + stretch.length - last.end
        if stretch.start >= last.end:
            stretches.append(stretch)
        elif beyond > 0:
            stretches.append(Stretch(last.end, beyond, motif_behind(job.paper.pattern, lot, last.drop)))
    return lot_of_stretches(lot, stretches, label=lot.label, price=None) if stretches else None


# Which paper may serve which piece: width, batch and time as well.


def could_hold(pattern: Pattern, lot: Lot, drop: Drop, *, at_best: bool = False) -> bool:
    """Return True when ``drop`` could be cut from ``lot``: its length, its place in the print and its width fit.

    ``at_best`` print that nobody has measured lies as the drop wants it.
    """
    there = is_of_its_sheet(lot, drop) and lot.covers(drop.left, drop.right)
    return there and spare_length(pattern, lot, drop, at_best=at_best) >= 0


def agree_in_batch(lot: Lot, drop: Drop) -> bool:
    """Return True when ``drop`` may be cut from paper of this lot's batch, and is a part of the sheet that it is."""
    return is_of_its_sheet(lot, drop) and (drop.batch is None or drop.batch == (lot.batch or ""))


def is_of_its_sheet(lot: Lot, drop: Drop) -> bool:
    """Return True when a lot is of the numbered sheet that ``drop`` is a part of; of paper in rolls, always."""
    return lot.sheet == drop.sheet


def is_of_no_roll(offcut: Lot, rolls: Sequence[Lot]) -> bool:
    """Return True when there are rolls, the batch of each is told, and the offcut's is another, or not told."""
    batches = {roll.batch for roll in rolls}
    return bool(batches) and None not in batches and offcut.batch not in batches


def match_rolls(
    drops: Sequence[Drop], rolls: Sequence[Lot], barred: Collection[tuple[str, str]]
) -> Mapping[str, tuple[str, ...]]:
    """Return, for each drop, the labels of the rolls wide enough, of its batch and sheet, however long, not barred."""
    alike: dict[tuple[Length | None, Length | None, str | None, int | None], tuple[str, ...]] = {}
    found = {}
    for drop in drops:
        key = drop.left, drop.right, drop.batch, drop.sheet
        if key not in alike:
            wide = (roll for roll in rolls if roll.covers(drop.left, drop.right))
            alike[key] = tuple(roll.label for roll in wide if agree_in_batch(roll, drop))
        found[drop.label] = alike[key]
        if barred:
            found[drop.label] = tuple(label for label in alike[key] if (drop.label, label) not in barred)
    return found


def match_offcuts(
    paper: Paper, kept: Sequence[Lot], drops: Sequence[Drop], rolls: Sequence[Lot], barred: Collection[tuple[str, str]]
) -> tuple[tuple[Lot, ...], Mapping[str, tuple[str, ...]]]:
    """Return the offcuts that at best could hold some drop, and for each drop the labels of those that could hold it.

    Where nobody has measured an offcut's print, a layout alone tells whether a drop is sure to fit.

    Offcuts are those ``kept`` and the cut-outs of ``drops``. A cut-out exists once its drop is hung, so it can hold
    only drops hung later. It is taken to be as wide as it can be, and of any batch that its drop may be of: whether the
    paper that its drop is cut from is so, only a whole plan can tell (:func:`cannot_stand`). Nothing is cut from
    offcuts of a batch of which there is none of the ``rolls``, but a drop that must be of that batch; nor a drop from
    an offcut with which it is ``barred``, by their labels; nor one that hangs turned from what falls out of one that
    does not.
    """
    if not kept and not any(drop.cut_outs for drop in drops):
        return (), {drop.label: () for drop in drops}
    told = [told_as_wide(lot, paper) for lot in kept]
    there = [lot for lot in told if lot.after is None]
    turned = {drop.label: drop.is_turned for drop in drops}
    foreign = {offcut.label for offcut in kept if is_of_no_roll(offcut, rolls)}
    holders: dict[str, tuple[str, ...]] = {}
    for drop in drops:
        agreeing = (
            lot for lot in there if agree_in_batch(lot, drop) or (lot.cut_from is not None and lot.batch is None)
        )
        fit = [lot for lot in agreeing if could_hold(paper.pattern, lot, drop, at_best=True)]
        fit = [lot for lot in fit if lot.cut_from is None or turned[lot.cut_from] == drop.is_turned]
        allowed = (lot.label for lot in fit if lot.label not in foreign or drop.batch)
        holders[drop.label] = tuple(label for label in allowed if (drop.label, label) not in barred)
        there += cut_out_lots(drop, paper)
        there += [lot for lot in told if lot.after == drop.label]
    used = {label for labels in holders.values() for label in labels}
    return tuple(offcut for offcut in there if offcut.label in used), holders


def paper_of(job: Job, drop: str, lot_of: Mapping[str, str]) -> Lot:
    """Return the lot that a drop is cut from, with the width and the batch that it has in a plan.

    ``lot_of`` is the label of the lot of each drop. A cut-out is no wider than the paper that its drop is cut from,
    which may be a cut-out itself. Of one that is not there at all the batch alone is told rightly.
    """
    lot = job.lot(lot_of[drop])
    if lot.cut_from is None:
        return lot
    source = paper_of(job, lot.cut_from, lot_of)
    return part_of(lot, source) or replace(lot, batch=source.batch)


def serves(lot: Lot, drop: Drop) -> bool:
    """Return True when paper of a lot may be ``drop``, or what that is cut from: it is wide enough, and of its batch.

    The batch of a cut-out is not told where its drop may be of any.
    """
    is_settled = lot.cut_from is None or lot.batch is not None
    return lot.covers(drop.left, drop.right) and (not is_settled or agree_in_batch(lot, drop))


def cannot_stand(job: Job, cut_from: Collection[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    """Return pairs of a drop and its lot that cannot all stand in one plan, because a cut-out is not as it was taken.

    ``cut_from`` are all such pairs of a plan, by their labels. Returned are the drop that needs more width than is
    there, or another batch, with the cut-out that it is cut from; the cut-out's drop with its lot; and so on up to the
    paper that does not serve. None are returned for a plan that can be cut.
    """
    lot_of = dict(cut_from)
    for pair in cut_from:
        pairs, drop = [pair], job.drop(pair[0])
        while (source := job.lot(pairs[-1][1]).cut_from) is not None:
            pairs.append((source, lot_of[source]))
            if not serves(job.lot(lot_of[source]), drop):
                return tuple(pairs)
    return ()
