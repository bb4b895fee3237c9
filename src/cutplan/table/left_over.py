"""What is left when a plan is cut: paper worth keeping, with its place in the print, and paper to throw away.

Worth keeping is what could be any one drop of the job again, for a repair, and a long end of full width, for patches.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Iterator
from collections.abc import Sequence as Rows
from heapq import merge
from itertools import accumulate, islice
from typing import Final, NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from cutplan.job.drops import Drop
from cutplan.job.offcuts import cut_out_lots, part_of
from cutplan.job.print_along import agree_in_batch, could_hold, is_of_no_roll, paper_of
from cutplan.lengths import UNITS, Length
from cutplan.paper.stock import Lot, Stretch
from cutplan.plan.plan import Cut, Plan, RollLayout
from cutplan.table.sequence import stretch_of

LEAST_FOR_PATCHES: Final = UNITS["m"]
"""A piece of full width as long as this is kept for patches, though it could be no drop [practice]."""


class Served:
    """The drops that a piece could be, the longest first: not listed, for many pieces may each be any of many drops."""

    __slots__ = ("drops", "runs")

    def __init__(self, drops: Rows[Drop] = (), runs: Rows[tuple[Rows[int], int]] = ()) -> None:
        """Take all drops, the longest first, and runs of places among them, ascending, each to count from an index."""
        self.drops, self.runs = drops, runs

    def __len__(self) -> int:
        """Return how many they are."""
        return sum(len(places) - begin for places, begin in self.runs)

    def __iter__(self) -> Iterator[Drop]:
        """Yield each of them."""
        return (self.drops[place] for place in merge(*(islice(places, begin, None) for places, begin in self.runs)))


class Leaving(Struct, frozen=True):
    """One continuous piece of paper that is left, or as many alike as rolls are cut alike."""

    paper: Lot
    """What is left, as stock: what is written on it, its length, its first motif from its top, its width and batch. The
    first motif is None for a free match and where nobody knows it."""
    labels: Labels
    """What is written on each of them."""
    is_at_least: bool = False
    """True where a lead-in was not known, so that the piece may be longer."""
    is_lead_in: bool = False
    """True for the lead-in of a roll whose start was not known: it is shorter than its ``length`` says."""
    is_lost: bool = False
    """True for a lead-in, and for match loss between two drops."""
    serves: Served = Served()
    """The drops of the job that it could be, the longest first."""
    place: Place | None = None
    """Where it lies on its roll; None for what falls out of a drop, and for an offcut that nothing is cut from."""
    fell_from: str | None = None
    """Label of the drop that it falls out of; None for any other paper."""
    waits_for: str | None = None
    """Label of the drop that must hang before it is there; None for what is there from the first."""


class Place(NamedTuple):
    """Where paper lies: on which roll, which stretch of it, from 0, and behind how many cuts of that stretch."""

    roll: str
    stretch: int
    cuts: int


class Labels(Struct, frozen=True):
    """What is written on pieces left of rolls that are cut alike: ``prefix`` before each roll's own label."""

    prefix: str
    lot: Lot
    first_number: int = 1
    count: int = 1

    def __iter__(self) -> Iterator[str]:
        """Yield them in the order of the rolls."""
        for number in range(self.first_number, self.first_number + self.count):
            yield self.at(number)

    @property
    def shown(self) -> str:
        """The label, or the first and the last of several."""
        return self.prefix + self.lot.roll_labels(self.first_number, self.count)

    def at(self, number: int) -> str:
        """Return the label of what is left of roll ``number`` of the lot."""
        return self.prefix + self.lot.roll_label(number)


class Leavings(Struct, frozen=True):
    """All that is left: what to keep and what to throw away."""

    kept: tuple[Leaving, ...]
    binned: tuple[Leaving, ...]


def leavings_of(plan: Plan) -> Leavings:
    """Return what is left when ``plan`` is cut; untouched rolls are no leavings, untouched offcuts are kept on."""
    servable = _Servable(plan)
    kept_before = {lot.label for lot in plan.job.lots if lot.is_offcut}
    kept: list[Leaving] = []
    binned: list[Leaving] = []
    for piece in _pieces(plan):
        found = replace(piece, serves=servable.by(piece))
        is_kept = found.serves or _gives_patches(found) or found.paper.label in kept_before
        (kept if is_kept else binned).append(found)
    return Leavings(tuple(kept), tuple(binned))


def first_served(found: Iterable[tuple[Served, int]]) -> Iterator[tuple[Drop, int]]:
    """Yield the drops that pieces could be, each with the least number of such a piece; some more than once.

    Many pieces may each be any of many drops, so a run of drops that they share, one and the same list, is gone through
    only once.
    """
    shared: dict[int, tuple[Rows[Drop], Rows[int], list[tuple[int, int]]]] = {}
    for served, number in found:
        for places, begin in served.runs:
            shared.setdefault(id(places), (served.drops, places, []))[2].append((begin, number))
    for drops, places, begins in shared.values():
        begins.sort()
        ends = [*(begin for begin, _ in begins[1:]), len(places)]
        leasts = accumulate((number for _, number in begins), min)
        for (begin, _), end, least in zip(begins, ends, leasts, strict=True):
            yield from ((drops[place], least) for place in places[begin:end])


def _gives_patches(piece: Leaving) -> bool:
    paper = piece.paper
    return paper.left is None and paper.right is None and paper.length >= LEAST_FOR_PATCHES


class _Servable:
    """The drops of a job by what they need but length and print, so that no piece is held against every drop."""

    def __init__(self, plan: Plan) -> None:
        self.job = plan.job
        self.drops = sorted(self.job.drops, key=lambda drop: -drop.cut_length)
        self.shorter = [-drop.cut_length for drop in self.drops]  # ascending
        self.alike: defaultdict[object, list[int]] = defaultdict(list)
        for place, drop in enumerate(self.drops):
            self.alike[drop.batch, drop.sheet, drop.left, drop.right].append(place)

    def by(self, piece: Leaving) -> Served:
        """Return the drops that a piece could be; of those so short that its print cannot matter, none is tried."""
        pattern, paper = self.job.paper.pattern, piece.paper
        if piece.is_lead_in or is_of_no_roll(paper, self.job.rolls):
            return Served()
        longest = max(stretch.length for stretch in paper.stretches)
        fits, is_sure = (bisect_left(self.shorter, pattern.repeat * times - longest) for times in (0, 1))
        runs: list[tuple[Rows[int], int]] = []
        for places in self.alike.values():
            first = self.drops[places[0]]
            if agree_in_batch(paper, first) and paper.covers(first.left, first.right):
                sure = bisect_left(places, is_sure)
                tried = places[bisect_left(places, fits) : sure]
                runs.append(([place for place in tried if could_hold(pattern, paper, self.drops[place])], 0))
                runs.append((places, sure))
        return Served(self.drops, runs)


def _pieces(plan: Plan) -> Iterator[Leaving]:
    lot_of = plan.lot_of
    for layout in plan.layouts:
        lot = plan.job.lot(layout.lot)
        if lot.cut_from is not None:
            source = paper_of(plan.job, lot.cut_from, lot_of)
            lot = part_of(lot, source) or replace(lot, batch=source.batch)
        for stretch in range(len(lot.stretches)):
            yield from _of_stretch(plan, layout, lot, stretch)
    used = {layout.lot for layout in plan.layouts}
    for lot in plan.job.lots:
        if lot.is_offcut and lot.label not in used:
            yield _leaving(plan, lot)
    for drop in plan.job.drops:
        for lot in cut_out_lots(drop, plan.job.paper, paper_of(plan.job, drop.label, lot_of)):
            if lot.label not in used:
                yield replace(_leaving(plan, lot), fell_from=drop.label)


def _of_stretch(plan: Plan, layout: RollLayout, lot: Lot, number: int) -> Iterator[Leaving]:
    """Yield what is left of one stretch of a roll: before its first cut, between cuts, and behind the last."""
    stretch = lot.stretches[number]
    cuts = [cut for cut in layout.cuts if stretch_of(lot, cut) == number]
    within = "" if len(lot.stretches) == 1 else f"stretch {number + 1} of "
    datum = _datum(plan, lot, stretch, cuts)
    is_unknown = stretch.first_motif is None and not plan.job.paper.pattern.is_free
    starts = [stretch.start, *(cut.end for cut in cuts)]
    ends = [*(cut.start for cut in cuts), stretch.start + stretch.length]
    for place, (start, end) in enumerate(zip(starts, ends, strict=True)):
        if end <= start:
            continue
        where = "end of " if place == len(cuts) else "start of " if not place else f"loss {place} of "
        labels = Labels(where + within, lot, layout.first_number, layout.count)
        is_lead_in = is_unknown and not place and bool(cuts)
        # From its inner end, its top, nobody knows how far a roll that is foot first goes on below its last cut.
        is_end_unknown = is_unknown and lot.is_foot_first and place == len(cuts)
        motif = None if is_lead_in or is_end_unknown else _motif(plan, lot, start, end, datum)
        paper = Lot(
            labels.at(layout.first_number),
            end - start,
            motif,
            batch=lot.batch,
            left=lot.left,
            right=lot.right,
            is_offcut=True,
            sheet=lot.sheet,
        )
        yield Leaving(
            paper,
            labels,
            is_at_least=is_unknown and place == len(cuts) > 0,
            is_lead_in=is_lead_in,
            is_lost=place < len(cuts),
            place=Place(lot.roll_label(layout.first_number), number, place),
            waits_for=lot.waits_for,
        )


def _datum(plan: Plan, lot: Lot, stretch: Stretch, cuts: list[Cut]) -> Length | None:
    """Return where a datum of a stretch's print lies, from the roll's outer end; None where nobody knows."""
    if stretch.first_motif is not None:
        return stretch.start + stretch.first_motif
    if not cuts:
        return None
    below = plan.job.drop(cuts[0].drop).motif_below_cut
    return cuts[0].end - below if lot.is_foot_first else cuts[0].start + below


def _motif(plan: Plan, lot: Lot, start: Length, end: Length, datum: Length | None) -> Length | None:
    """Return the first motif of a piece from its own top, which is its inner end on a roll that is foot first."""
    pattern = plan.job.paper.pattern
    if pattern.is_free or datum is None:
        return None
    return pattern.within_repeat(end - datum if lot.is_foot_first else datum - start)


def _leaving(plan: Plan, paper: Lot) -> Leaving:
    if plan.job.paper.pattern.is_free:
        paper = replace(paper, first_motif=None)
    kept = replace(paper, cut_from=None, after=None)
    return Leaving(kept, Labels("", kept), waits_for=paper.waits_for)
