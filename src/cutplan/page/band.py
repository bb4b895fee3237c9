"""The band along the tape: how many rolls each start on a wall takes, worked out from the finger outward.

Processes of their own work, so that the finger never waits for them: one takes half a strip to the left of the finger
and every place whole strips from there, the other half a strip to its right. Each looks for a new order before each
place: what was not reached of the old one is dropped.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from multiprocessing import get_context
from threading import Lock, Thread
from typing import TYPE_CHECKING, Final

from msgspec import Struct
from msgspec.structs import replace

from cutplan.comparing.figures import Compared
from cutplan.comparing.front import front_of
from cutplan.comparing.placements import IMPERIAL_STEP, METRIC_STEP, Placement
from cutplan.comparing.sweep import Bench, SweepTask
from cutplan.interruption import unheard_by_children
from cutplan.lengths import UNITS, Length, Rounding, show
from cutplan.render.words.readings import FEET, place
from cutplan.render.words.sale_words import in_unit
from cutplan.wording import counted

if TYPE_CHECKING:
    from multiprocessing.connection import Connection
    from multiprocessing.context import SpawnProcess

    from cutplan.page.moving import Begun

FARTHEST: Final = 50
"""So many places the finger moves before the rest is worked out around it anew."""
_AFTER_THE_FINGER: Final = 10
"""By how much these processes stand back where the finger wants the processor."""
_EACH: Final = 1.0
"""Seconds for the proof of one place."""


class Outward(Struct, frozen=True):
    """Places to be worked out by one process, the first first.

    ``number`` tells this order's answers from those of others; ``side`` is 0 for the left and 1 for the right.
    """

    number: int
    side: int
    task: SweepTask
    placements: tuple[Placement, ...]


class StartsBand:
    """The band of one wall at a time: ``found`` is what is known so far, by place.

    ``send`` takes orders; without it processes of our own do.
    """

    def __init__(self, send: Callable[[Outward], object] | None = None) -> None:
        self._send_order = send or (lambda order: self._worker(order.side).send(order))
        self.found: dict[Length, Compared | None] = {}
        self._places: tuple[Length, ...] = ()
        self._key: object = None
        self._number = 0
        self._units = "mm"
        self._unit = ""
        self._finger: Length | None = None
        self._lock = Lock()
        self._workers: dict[int, tuple[Connection, SpawnProcess]] = {}

    def aim(self, task: SweepTask, begun: Begun, units: str) -> None:
        """Work out the wall on which hanging is to begin, outward from there."""
        start = begun.start
        key = _wall_of(task, begun)
        with self._lock:
            self._units = units
            has_rolls = any(not lot.is_offcut for lot in task.lots)
            self._unit = "" if has_rolls else task.paper.sale.unit or ""
            step = IMPERIAL_STEP if units in FEET else METRIC_STEP
            if key != self._key:
                width = task.room.walls[start.wall].width
                self._key, self.found, self._finger = key, {}, None
                self._places = tuple(number * step for number in range(int(width / step) + 1))
            if self._finger is None or abs(start.at - self._finger) > FARTHEST * step:
                self._send(task, begun)

    def _send(self, task: SweepTask, begun: Begun) -> None:
        left = [spot for spot in self._places if spot not in self.found]
        if not left:
            return
        self._finger = begun.start.at
        left.sort(key=lambda spot: abs(spot - begun.start.at))
        self._number += 1
        quick = replace(task, time_limit=_EACH)
        strip = task.paper.wet_width or task.room.length
        for side in (0, 1):
            spots = [spot for spot in left if (0 < (spot - begun.start.at) % strip <= strip / 2) == bool(side)]
            places = tuple(Placement(replace(begun.start, at=spot), begun.finish, None) for spot in spots)
            self._send_order(Outward(self._number, side, quick, places))

    def known(self, task: SweepTask, begun: Begun) -> Compared | None:
        """Return what a start comes to where that is proved already; None where it is not."""
        with self._lock:
            found = self.found.get(begun.start.at) if self._key == _wall_of(task, begun) else None
        return found if found is not None and found.proved is not None and found.proved.is_proved else None

    def _worker(self, side: int) -> Connection:
        if side not in self._workers or not self._workers[side][1].is_alive():
            context = get_context("spawn")
            pipe, theirs = context.Pipe()
            process = context.Process(target=work, args=(theirs,), daemon=True)
            with unheard_by_children():
                process.start()
            theirs.close()
            self._workers[side] = pipe, process
            Thread(target=self._collect, args=(pipe,), daemon=True).start()
        return self._workers[side][0]

    def _collect(self, pipe: Connection) -> None:
        while True:
            try:
                number, placement, compared = pipe.recv()
            except (EOFError, OSError):
                return
            with self._lock:
                if number == self._number:
                    self.found[placement.start.at] = compared

    def stop(self) -> None:
        """End the processes."""
        for _, process in self._workers.values():
            process.kill()

    @property
    def mark(self) -> str:
        """What changes whenever more is known."""
        return f"{self._number}-{len(self.found)}"

    def content(self) -> dict[str, object]:
        """Return the band as far as it is known: each place with its rolls, and the places nobody would overrule."""
        with self._lock:
            found, places, unit = dict(self.found), self._places, self._unit
        known = [compared for compared in found.values() if compared is not None and compared.proved is not None]
        front = front_of(known)
        return {
            "unit": unit or "rolls",
            "places": [[float(spot), *_amount(compared, unit)] for spot, compared in sorted(found.items())],
            "whole": len(found) == len(places),
            "of": len(places),
            "front": [[float(compared.placement.start.at), _worth(compared, self._units, unit)] for compared in front],
        }

    def choices(self) -> Sequence[Compared]:
        """Return the places that nobody would overrule, of those known."""
        with self._lock:
            known = [compared for compared in self.found.values() if compared is not None]
        return front_of(compared for compared in known if compared.proved is not None)


def _wall_of(task: SweepTask, begun: Begun) -> object:
    """Return what all starts of one band have in common."""
    return task, replace(begun.start, at=task.room.walls[begun.start.wall].width), begun.finish


def _worth(compared: Compared, units: str, unit: str) -> str:
    """Return what a place is worth, in a few words."""
    proved = compared.proved
    told = "" if proved is None else in_unit(proved.value, unit) if unit else counted(proved.rolls, "roll")
    cut = f", {counted(compared.cut_at_top, 'strip')} cut at the top" if compared.cut_at_top else ""
    narrowest = show(compared.narrowest, units, Rounding.DOWN)
    return f"{place(compared.placement.start.at, units)}{told and f': {told}'}, narrowest strip {narrowest}{cut}"


def _amount(compared: Compared | None, unit: str) -> list[float | bool | None]:
    """Return rolls, or how much is ordered in ``unit``, and whether that is proved.

    None where hanging cannot begin, or the rolls in hand are too few.
    """
    if compared is None or compared.proved is None:
        return [None, False]
    proved = compared.proved
    return [float(proved.value / UNITS[unit]) if unit else proved.rolls, proved.is_proved]


def work(pipe: Connection) -> None:
    """Work orders off, in a process of its own, until nobody listens any more."""
    bench: Bench | None = None
    if hasattr(os, "nice"):
        os.nice(_AFTER_THE_FINGER)
    while True:
        try:
            order: Outward = pipe.recv()
            if bench is None or bench.task != order.task:
                bench = Bench(order.task, is_along_wall=True)
            for placement in order.placements:
                if pipe.poll():
                    break
                pipe.send((order.number, placement, bench.work_out(placement)))
        except (EOFError, OSError):
            return
