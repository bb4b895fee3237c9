"""Rolls certain wherever hanging starts and wherever the openings stand; and a number that no place goes below.

Why the first is enough. No start takes more strips than :attr:`Notebook.most_columns`, and their prints follow one
another as the match has it, so shifting all of them alike changes nothing for rolls that begin anywhere. What a strip
shows beside, over or under an opening can be cut from the full drop that it would be without it, so openings counted as
wall are never too few. A door wider than a strip and more is certain to hold some strips that hang over it only; which
of the print they have depends on where it stands, so every place in the match is tried, and the dearest counts.

Why the second holds. At least :attr:`Notebook.fewest_full` lengths from ceiling to skirting must come off the rolls,
whatever prints they have, so the cheapest choice of prints counts; and what hangs over and under openings is left out.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from fractions import Fraction
from functools import lru_cache
from itertools import islice, product
from math import ceil
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from cutplan.buying.by_length import Order, one_piece_needed, shortest_order
from cutplan.buying.opened_first import shared_out
from cutplan.errors import NoPlanError
from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.lengths import ZERO, Length, show
from cutplan.paper.stock import Lot, Paper
from cutplan.quantity.sizes_told import Notebook
from cutplan.room.walls import OpeningKind
from cutplan.solve import solve
from cutplan.solve.clock import Clock, TimeIsUp

_MOST_TRIED: Final = 48
"""Places in the match of all openings, or choices of prints, that are tried; beyond, a plainer number holds."""

_Shape = tuple["Length", "Length"]
"""Height of a piece, and its first motif below its finished top."""


class Anywhere(Struct, frozen=True):
    """The range of a room that nobody has surveyed."""

    certain: int
    """Rolls that are enough wherever hanging starts and the openings stand, however the sealed rolls begin."""
    counts_gaps_as_wall: bool
    """True when openings made no difference to ``certain``, or were too many to try."""
    least: int
    """No start and no place of the openings is certain with fewer."""
    order: Order | None = None
    """The length to order of a paper that is cut to order, enough anywhere, openings counted as wall; its ``least`` is
    what no start and no place goes below. None for paper sold by the roll."""


def anywhere(notebook: Notebook, clock: Clock) -> Anywhere:
    """Return the range, as narrow as it is found before a clock runs out.

    NoPlanError when a drop from ceiling to skirting is longer than a roll is sure to give.
    """
    refuse_too_long(notebook)
    asker = _Asker(notebook, clock)
    as_wall = asker.enough(_full(notebook, notebook.most_columns))
    dearest = max(map(asker.enough, _with_doors(notebook)), default=as_wall)
    order = None if notebook.paper.sale.unit is None else _order(notebook, clock)
    return Anywhere(min(as_wall, dearest), dearest >= as_wall, asker.least(), order)


def _order(notebook: Notebook, clock: Clock) -> Order:
    """Return how much to order; what the lengths that no place spares take up of one piece is never less.

    Several pieces are no shorter: laid end to end they are one, with a lead-in where the next of them began.
    """
    job = _job(notebook, dict(_full(notebook, notebook.most_columns)))
    found = shortest_order(replace(job, lots=()), clock.left / 2)
    least = notebook.fewest_full * notebook.cut_length + notebook.paper.pattern.repeat
    with suppress(TimeIsUp):
        choices = list(islice(_choices_of_print(notebook, clock), _MOST_TRIED + 1))
        if 0 < len(choices) <= _MOST_TRIED:
            least = max(least, min(one_piece_needed(_job(notebook, dict(shapes))) for shapes in choices))
    return replace(found, least=notebook.paper.sale.orderable(least), needed=None)


class _Asker:
    """Asks the solver about sets of drops from sealed rolls, each set once."""

    def __init__(self, notebook: Notebook, clock: Clock) -> None:
        self.notebook = notebook
        self.clock = clock
        self._values = lru_cache(maxsize=None)(self._solved)

    def enough(self, shapes: Counter[_Shape]) -> int:
        """Return rolls that are enough for pieces of these shapes."""
        return self._values(frozenset(shapes.items()))[0]

    def least(self) -> int:
        """Return the fewest rolls that any choice of prints for the full lengths can do with."""
        notebook = self.notebook
        per_roll = (notebook.paper.roll_length - notebook.paper.pattern.repeat) // notebook.cut_length
        plain = ceil(Fraction(notebook.fewest_full, per_roll))
        found = []
        with suppress(TimeIsUp):
            for shapes in _choices_of_print(notebook, self.clock):
                found.append(self._values(frozenset(shapes.items()))[1])
                if found[-1] <= plain or len(found) > _MOST_TRIED:
                    return plain
            return max(plain, min(found, default=plain))
        return plain

    def _solved(self, shapes: frozenset[tuple[_Shape, int]]) -> tuple[int, int]:
        plan = solve(_job(self.notebook, dict(shapes)), time_limit=self.clock.left / 4)
        return plan.rolls_needed, ceil(plan.proof.bound)


def _job(notebook: Notebook, shapes: dict[_Shape, int]) -> Job:
    paper = notebook.paper
    drops = tuple(
        Drop(str(number), height, first_motif, notebook.trim_top, notebook.trim_bottom, count)
        for number, ((height, first_motif), count) in enumerate(sorted(shapes.items()), 1)
    )
    return Job(paper, (Lot("roll", paper.roll_length, count=None),), drops)


def classes_of(paper: Paper) -> int:
    """Return after how many strips to the right the print stands level again.

    >>> from cutplan.paper.pattern import Pattern
    >>> from cutplan.paper.stock import Paper
    >>> classes_of(Paper("", Pattern(Fraction(610), Fraction(610, 3)), Fraction(10050)))
    3

    """
    pattern = paper.pattern
    return 1 if pattern.is_free else (pattern.offset / pattern.repeat).denominator


def _full(notebook: Notebook, columns: int) -> Counter[_Shape]:
    """Return so many drops side by side, from ceiling to skirting."""
    pattern = notebook.paper.pattern
    return Counter((notebook.height, pattern.first_motif(column, ZERO)) for column in range(columns))


# Doors: strips that are certain to hang over one only


def _with_doors(notebook: Notebook) -> Iterator[Counter[_Shape]]:
    """Yield the drops for every place in the match of the strips that hang over a door only, if they can be tried."""
    doors = [gap for gap in notebook.gaps if gap.kind is OpeningKind.DOOR]
    over = [(notebook.height - door.height, max(door.width // notebook.strip - 1, 0)) for door in doors]
    over = [(height, strips) for height, strips in over if strips]
    classes = classes_of(notebook.paper)
    if not over or classes ** len(over) > _MOST_TRIED:
        return
    pattern = notebook.paper.pattern
    for places in product(range(classes), repeat=len(over)):
        shapes = _full(notebook, notebook.most_columns)
        for first, (height, strips) in zip(places, over, strict=True):
            for column in range(first, first + strips):
                motif = pattern.first_motif(column, ZERO)
                shapes[notebook.height, motif] -= 1
                shapes[height, motif] += 1
        yield +shapes if min(shapes.values()) >= 0 else _full(notebook, notebook.most_columns)


# Choices of prints for the full lengths


def _choices_of_print(notebook: Notebook, clock: Clock) -> Iterator[Counter[_Shape]]:
    """Yield every choice of prints of the fewest full lengths; none where the match has more places than are tried.

    Choices that differ by a shift of all are one.

    TimeIsUp when a clock runs out.
    """
    classes, count = classes_of(notebook.paper), notebook.fewest_full
    most = -(-notebook.most_columns // classes)
    pattern = notebook.paper.pattern
    seen = set()
    if classes > _MOST_TRIED:
        return
    for counts in shared_out(count, classes, most):
        clock.check()
        shifted = min(counts[turn:] + counts[:turn] for turn in range(classes))
        if shifted in seen:
            continue
        seen.add(shifted)
        shapes = {(notebook.height, pattern.first_motif(place, ZERO)): times for place, times in enumerate(counts)}
        yield +Counter(shapes)


def refuse_too_long(notebook: Notebook) -> None:
    """Raise NoPlanError where no drop from ceiling to skirting is sure to come off a sealed roll."""
    paper = notebook.paper
    sure = paper.roll_length - paper.pattern.repeat
    if notebook.cut_length > sure:
        raise NoPlanError(
            f"a drop of {show(notebook.cut_length)} does not come off a roll of {show(paper.roll_length)} for certain: "
            f"{show(paper.pattern.repeat)} of it may be lost before the print is right"
        )
