"""Working placements out one after another: the room set out, its drops, their proved number of rolls."""

from __future__ import annotations

import os
import signal
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from itertools import islice
from math import ceil
from typing import TYPE_CHECKING, Final, TypeAlias

from msgspec import Struct

from cutplan.comparing.figures import Compared, figures_of
from cutplan.comparing.placements import Placement
from cutplan.comparing.proving import Proved, Prover
from cutplan.comparing.remembering import Name
from cutplan.comparing.same_strips import AsLaid, Strips, strips_of
from cutplan.errors import NoPlanError
from cutplan.interruption import end_children, stop_if_asked, unheard_by_children
from cutplan.job.drops import Drop, drops_of
from cutplan.lengths import Length
from cutplan.paper.stock import Lot, Paper
from cutplan.plan.plan import INTERRUPTED, TIME_LIMIT
from cutplan.room.finding import RoomError
from cutplan.room.walls import Room
from cutplan.setting_out import Piece, SettingOut, Way, set_out
from cutplan.solve.clock import UNHURRIED, Clock, TimeIsUp

if TYPE_CHECKING:
    from concurrent.futures import Future

    from cutplan.job.beside import Beside
    from cutplan.lining.courses import LiningSetOut

Progress: TypeAlias = "Callable[[int, int], None]"
"""Told how many placements are worked out, and of how many."""

LEARNT_FROM: Final = 4
"""Placements worked out first: they are dear, because nothing is known yet."""
TRIED_FIRST: Final = 20
"""Placements worked out next, before it is known whether more processes pay."""
PAYS_FROM: Final = 4.0
"""Seconds of work left from which more processes pay: each takes half a second to start, and learns its own plans."""
BLOCKS_EACH: Final = 4
"""Into how many runs of neighbours a process's share is cut: each run begins dearly, and is told of when it ends."""
MOST_LAID: Final = 200
"""Of so many placements it is kept what serves others that lay the same strips."""
SHARE_OF_ONE: Final = 0.1
"""Part of the time left that one placement may take."""
LOOK: Final = 0.1
"""Seconds between two looks whether the user has asked to stop."""


class SweepTask(Struct, frozen=True):
    """What all placements share."""

    room: Room
    paper: Paper
    way: Way
    """As a setting out takes them."""
    lots: tuple[Lot, ...]
    trims: tuple[Length, Length]
    """Trim at the top and at the foot of each drop."""
    time_limit: float = 10.0
    """Seconds for each placement that is not settled sooner."""
    further: tuple[Lot, ...] | None = None
    """The rolls with as many further ones as are needed: what a placement comes to that those in hand do not do for."""
    linings: tuple[LiningSetOut, ...] = ()
    """What lies under the paper and has joints of its own."""
    beside: Beside | None = None
    """What else is cut from the same rolls, and stays where it hangs; None for nothing."""


class Bench:
    """Works out placements, remembering what it has proved.

    Along a whole wall (``is_along_wall``) many lay the same strips, so what serves the others is remembered too.
    """

    def __init__(self, task: SweepTask, *, is_along_wall: bool = False) -> None:
        self.task = task
        self.is_along_wall = is_along_wall
        self.prover = Prover(task.paper, task.lots, task.time_limit)
        self.laid: dict[Strips, AsLaid] = {}
        self.further = None if task.further is None else Prover(task.paper, task.further, task.time_limit)

    def allow(self, seconds: float) -> None:
        """Take no more than these seconds for a placement from now on, nor more than the task allows for each."""
        for prover in filter(None, (self.prover, self.further)):
            prover.time_limit = min(self.task.time_limit, seconds)

    def work_out(self, placement: Placement) -> Compared | None:
        """Return a placement with its figures; None when the room cannot be set out like that."""
        strips = strips_of(self.task, placement) if self.is_along_wall else None
        laid = None if strips is None else self.laid.get(strips)
        with suppress(NoPlanError):
            if laid is not None and (moved := laid.moved_to(placement, self.task, self.prover)):
                return moved
        try:
            setting_out = self.set_out(placement)
        except RoomError:
            return None
        if not setting_out.pieces:
            return None
        drops, names = self._drops_of(setting_out)
        proved, further = _found(self.prover, drops, names), None
        if proved is not None:
            self.further = None  # Rolls in hand that do somewhere are what all places are judged by.
        elif self.further is not None:
            further = _found(self.further, drops, names)
        compared = figures_of(placement, setting_out, proved, further, self.task.linings)
        if strips is not None and proved is not None and proved.is_proved:
            if len(self.laid) >= MOST_LAID:
                self.laid.clear()
            self.laid[strips] = AsLaid(compared, setting_out, drops, names)
        return compared

    def set_out(self, placement: Placement) -> SettingOut:
        """Return the room set out at a placement; RoomError when it cannot be."""
        task = self.task
        return set_out(task.room, task.paper, placement.start, task.way, placement.finish)

    def prove_set_out(self, setting_out: SettingOut) -> Proved:
        """Return what the rolls come to for a room set out; NoPlanError says what those in hand are short."""
        return self.prover.prove(*self._drops_of(setting_out))

    def _drops_of(self, setting_out: SettingOut) -> tuple[tuple[Drop, ...], list[Name]]:
        """Return what is cut for a room set out and for what hangs beside it, and what each drop is called."""
        beside, trims, names = self.task.beside, self.task.trims, names_of(setting_out.hung)
        if beside is None:
            return drops_of(setting_out, *trims, counts_cut_outs=True), names
        names = [*labels_of(beside.before), *names, *labels_of(beside.after)]
        return beside.with_band(setting_out, trims), names


def _found(prover: Prover, drops: Sequence[Drop], names: Sequence[Name]) -> Proved | None:
    with suppress(NoPlanError):
        return prover.prove(drops, names)
    return None


def names_of(pieces: Iterable[Piece]) -> list[Name]:
    """Return what each piece is called whatever the placement: column, kind, and which of them from the top."""
    seen: Counter[tuple[int, str]] = Counter()
    names: list[Name] = []
    for piece in pieces:
        seen[piece.column, piece.kind.value] += 1
        names.append((piece.column, piece.kind.value, seen[piece.column, piece.kind.value]))
    return names


def labels_of(drops: Iterable[Drop]) -> list[Name]:
    """Return what pieces that stay where they are, are called."""
    return [(drop.label,) for drop in drops]


class Swept(Struct, frozen=True):
    """What a sweep found."""

    compared: tuple[Compared, ...]
    """Placements with their figures, in the order given."""
    refused: int
    """How many the room cannot be set out by."""
    left: int
    """How many were not reached before time was up, or the user interrupted."""
    stopped: str | None = None
    """Which of these it was; None when all were reached."""


def sweep(
    task: SweepTask,
    placements: Sequence[Placement],
    progress: Progress | None = None,
    processes: int = 1,
    clock: Clock = UNHURRIED,
) -> Swept:
    """Return every placement's figures; when time is up and on Ctrl-C, those worked out so far, the first in any case.

    Neighbours stand next to one another. ``processes`` are the most to use at once; more than one only where that pays.
    A program that asks for more must be safe to import, since each process imports it.
    """
    stopped = None
    found: dict[int, Compared | None] = {}
    try:
        for number, result in _worked_out(task, placements, processes, clock):
            stop_if_asked()
            found[number] = result
            if progress is not None:
                progress(len(found), len(placements))
    except (KeyboardInterrupt, TimeIsUp) as end:
        if not found:
            raise
        stopped = end.reason if isinstance(end, TimeIsUp) else INTERRUPTED
    results = [found[number] for number in sorted(found)]
    compared = tuple(result for result in results if result is not None)
    left = len(placements) - len(results)
    return Swept(compared, len(results) - len(compared), left, (stopped or TIME_LIMIT) if left else None)


def _worked_out(
    task: SweepTask, placements: Sequence[Placement], processes: int, clock: Clock
) -> Iterator[tuple[int, Compared | None]]:
    """Yield the number of each placement with what it comes to, in any order; TimeIsUp where some are left."""
    bench = Bench(task)
    numbered = enumerate(placements)
    yield from _in_time(bench, islice(numbered, LEARNT_FROM), clock)
    began = time.monotonic()
    yield from _in_time(bench, islice(numbered, TRIED_FIRST), clock)
    rest = list(numbered)
    seconds = (time.monotonic() - began) / TRIED_FIRST * len(rest)
    if processes > 1 and min(seconds, clock.left) > PAYS_FROM:
        yield from _side_by_side(bench, rest, processes, clock)
    else:
        yield from _in_time(bench, rest, clock)


def _in_time(
    bench: Bench, numbered: Iterable[tuple[int, Placement]], clock: Clock
) -> Iterator[tuple[int, Compared | None]]:
    """Yield the number of each placement with what it comes to; TimeIsUp when that is so, but not before the first."""
    for number, placement in numbered:
        if number:
            clock.check()
        bench.allow(clock.left * SHARE_OF_ONE)
        yield number, bench.work_out(placement)


def processors() -> int:
    """Return how many processors this process may use."""
    allowed = getattr(os, "sched_getaffinity", None)
    return len(allowed(0)) if allowed is not None else os.cpu_count() or 1


# In processes side by side


def _side_by_side(
    bench: Bench, numbered: Sequence[tuple[int, Placement]], processes: int, clock: Clock
) -> Iterator[tuple[int, Compared | None]]:
    from concurrent.futures import FIRST_COMPLETED, ProcessPoolExecutor, wait  # noqa: PLC0415 - loaded where it pays only
    from multiprocessing import get_context  # noqa: PLC0415 - likewise

    size = ceil(len(numbered) / (BLOCKS_EACH * processes))
    pool = ProcessPoolExecutor(processes, get_context("spawn"), _begin, (bench, clock))
    try:
        with unheard_by_children():
            blocks: set[Future[list[tuple[int, Compared | None]]]] = {
                pool.submit(_work_out_block, numbered[first : first + size]) for first in range(0, len(numbered), size)
            }
        while blocks:
            done, blocks = wait(blocks, LOOK, FIRST_COMPLETED)
            stop_if_asked()
            for block in done:
                yield from block.result()
    except BaseException:
        end_children()
        raise
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


_benches: list[tuple[Bench, Clock]] = []
"""The bench of this process, where it is one of several, and the clock that they share."""


def _begin(bench: Bench, clock: Clock) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the process that collects.
    _benches[:] = [(bench, clock)]


def _work_out_block(numbered: Sequence[tuple[int, Placement]]) -> list[tuple[int, Compared | None]]:
    bench, clock = _benches[0]
    found: list[tuple[int, Compared | None]] = []
    with suppress(TimeIsUp):
        found.extend(_in_time(bench, numbered, clock))
    return found
