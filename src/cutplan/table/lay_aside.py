"""What to lay aside while the work goes on, and when: paper worth keeping, and cut-outs that serve later drops."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator

from msgspec import Struct

from cutplan.paper.stock import Lot
from cutplan.table.left_over import Labels, Leaving, Leavings, Place, leavings_of
from cutplan.table.steps import CutDrop, CutOff, NextStretch, OpenRoll, Sequence, Step


class Aside(Struct, frozen=True):
    """Paper to lay aside."""

    labels: Labels
    """What to write on it."""
    paper: Lot

    falls: bool = False
    """True for what comes away from a drop once it hangs and is trimmed."""
    is_cut_off: bool = False
    """True for what a step cuts off, a lead-in or match loss; otherwise it is what is left behind the last cut."""
    for_drops: tuple[str, ...] = ()
    """Labels of the drops that the plan cuts from it later; none for paper that is kept."""


def asides_of(sequence: Sequence, leavings: Leavings | None = None) -> dict[int, tuple[Aside, ...]]:
    """Return, by the number of the step, what is then to be laid aside; ``leavings`` are the plan's, where known."""
    found: defaultdict[int, list[Aside]] = defaultdict(list)
    kept = (leavings or leavings_of(sequence.plan)).kept
    falling = _falling(sequence, kept)
    of_roll: defaultdict[str, list[tuple[Leaving, Place]]] = defaultdict(list)
    for piece in kept:
        if piece.place is not None:
            of_roll[piece.place.roll].append((piece, piece.place))
    for step, reached, is_last in _placed(sequence):
        found[step.number] += [
            _aside(piece)
            for piece, place in of_roll[reached.roll]
            if _is_due(piece.is_lost, place, step, reached, is_last=is_last)
        ]
        if isinstance(step, CutDrop):
            found[step.number] += falling.pop(step.drop, [])
    return {number: tuple(asides) for number, asides in found.items() if asides}


def _placed(sequence: Sequence) -> Iterator[tuple[Step, Place, bool]]:
    """Yield each step that cuts, the place on the roll where it leaves off, and whether it is the roll's last."""
    left: Counter[str] = Counter()
    for step in sequence.steps:
        left[step.roll] += isinstance(step, CutDrop)
    places: dict[str, Place] = {}
    for step in sequence.steps:
        if isinstance(step, OpenRoll):
            places[step.roll] = Place(step.roll, 0, 0)
        elif isinstance(step, CutOff):
            yield step, places[step.roll], False
        elif isinstance(step, NextStretch):
            yield step, places[step.roll], False
            places[step.roll] = Place(step.roll, step.stretch - 1, 0)
        elif isinstance(step, CutDrop):
            places[step.roll] = places[step.roll]._replace(cuts=places[step.roll].cuts + 1)
            left[step.roll] -= 1
            yield step, places[step.roll], not left[step.roll]


def _is_due(is_lost: bool, place: Place, step: Step, reached: Place, *, is_last: bool) -> bool:  # noqa: FBT001
    """Return True when a piece at ``place`` of a roll is left at a step on it that leaves off at ``reached``."""
    if is_lost or isinstance(step, CutOff):
        return is_lost and isinstance(step, CutOff) and place == reached
    return (is_last and place >= reached) or (isinstance(step, NextStretch) and place == reached)


def _falling(sequence: Sequence, kept: tuple[Leaving, ...]) -> dict[str, list[Aside]]:
    """Return, by drop, what comes away from it and is kept or cut from later."""
    falling: defaultdict[str, list[Aside]] = defaultdict(list)
    for layout in sequence.plan.layouts:
        lot = sequence.plan.job.lot(layout.lot)
        if lot.cut_from is not None:
            drops = tuple(cut.drop for cut in layout.cuts)
            falling[lot.cut_from].append(Aside(Labels("", lot), lot, falls=True, for_drops=drops))
    for piece in kept:
        if piece.fell_from is not None:
            falling[piece.fell_from].append(_aside(piece))
    return falling


def _aside(piece: Leaving) -> Aside:
    return Aside(piece.labels, piece.paper, falls=piece.fell_from is not None, is_cut_off=piece.is_lost)
