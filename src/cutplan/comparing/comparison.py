"""The whole comparison: other places for the start and the finish of a room, and other heights of the print."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil
from typing import TYPE_CHECKING, Final

from msgspec import Struct
from msgspec.structs import replace

from cutplan.comparing.figures import Compared
from cutplan.comparing.front import front_of
from cutplan.comparing.heights import Heights, heights_of
from cutplan.comparing.placements import METRIC_STEP, Focus, Insisted, NotARoomError, Placement, placements_of
from cutplan.comparing.sweep import Bench, Progress, SweepTask, processors, sweep
from cutplan.errors import NoPlanError
from cutplan.job.job import Job
from cutplan.lengths import Length
from cutplan.plan.plan import INTERRUPTED
from cutplan.plan.proof import TooFewRollsError
from cutplan.setting_out import SettingOut
from cutplan.solve.clock import Clock, go_on

if TYPE_CHECKING:
    from cutplan.job.beside import Beside
    from cutplan.lining.courses import LiningSetOut

TIME_LIMIT: Final = 60.0
"""Seconds for all placements together; few comparisons take so long."""


class Comparison(Struct, frozen=True):
    """Placements worked out side by side."""

    setting_out: SettingOut
    """The scenario's own."""
    focus: Focus
    step: Length
    counts_cost: bool
    """True when rolls differ in price, so that their cost is compared; else their number."""
    own: Compared
    """The scenario's own placement."""
    front: tuple[Compared, ...]
    """The placements that nobody would overrule, cheapest first."""
    tried: int
    """How many placements were worked out."""
    refused: int
    """How many more the room cannot be set out by."""
    left: int
    """How many more, heights among them, were not reached before time was up, or the user interrupted."""
    without_plan: int
    """How many of those tried need more rolls than are in hand."""
    heights: Heights | None
    """The vertical question; None for a free match, or when it was not asked."""
    by_height: tuple[Compared, ...]
    """The scenario's own placement at each height, where measured rolls make them differ; empty where all are
    sealed."""
    short: TooFewRollsError | None = None
    """Why the rolls in hand are too few at the scenario's own placement, where they are so at every one: the figures
    count further rolls then. None where they do somewhere."""
    unit: str | None = None
    """Of the length to order, which is compared where the paper is cut to order; else None."""
    stopped: str | None = None
    """Why some were not reached, as a plan says it; None when all were."""
    counts_bought: bool = False
    """True when only rolls to buy are counted, beside those in hand."""

    @property
    def was_interrupted(self) -> bool:
        """True when the user stopped it before all was compared."""
        return self.stopped == INTERRUPTED

    @property
    def unproved(self) -> int:
        """How many of the placements shown are not proved to be the best that can be done there."""
        shown = (self.own, *self.front)
        return sum(compared.proved is not None and not compared.proved.is_proved for compared in shown)


def compare(
    setting_out: SettingOut,
    job: Job,
    focus: Focus,
    *,
    step: Length = METRIC_STEP,
    insisted: Insisted | None = None,
    asks_heights: bool = True,
    time_limit: float = TIME_LIMIT,
    progress: Progress | None = None,
    processes: int | None = 1,
    further: Job | None = None,
    linings: tuple[LiningSetOut, ...] = (),
    beside: Beside | None = None,
    clock: Clock | None = None,
) -> Comparison:
    """Return other places for the start and the finish of a room beside the scenario's own.

    Parameters
    ----------
    setting_out, job
        The room set out as the scenario says, and what is cut for it: paper, rolls, and drops with their trims; of a
        band with something beside it what is cut for all.
    insisted
        What is fixed; None for nothing.
    asks_heights
        True to answer the vertical question too.
    time_limit
        Seconds for all placements together: those not reached by then are counted. Most take milliseconds.
    processes
        Most processes to use at once, None for as many as there are processors; more than one only where that pays, and
        only in a program that is safe to import.
    further
        The job with further rolls, as many as are needed: what is counted where no place does with those in hand.
    linings
        What lies under the paper and has joints of its own, which are to be kept clear of the paper's.
    beside
        What else is cut from the same rolls, and stays where it hangs: all figures count it. None for nothing.

    clock
        Counts the time instead, where it is counted already.

    Raises
    ------
    NoPlanError
        When no placement can be cut from the rolls in hand, nor with ``further`` ones, or none was in time.
    NotARoomError
        When walls are hung in equal strips, which leave no start to choose.

    """
    if setting_out.paper.edge_trim is not None:
        raise NotARoomError("each wall is set out by itself in equal strips, so there is no start to compare")
    clock = clock or Clock(time_limit)
    own_first = job.drops[0 if beside is None else len(beside.before)]
    trims = own_first.trim_top, own_first.trim_bottom
    task = SweepTask(
        setting_out.room,
        setting_out.paper,
        setting_out.way,
        job.lots,
        trims,
        further=None if further is None else further.lots,
        linings=linings,
        beside=beside,
    )
    placements = placements_of(setting_out, focus, step=step, insisted=insisted)
    swept = sweep(task, placements, progress, processors() if processes is None else processes, clock)
    short = None
    if further is not None and all(compared.proved is None for compared in swept.compared):
        job, task, short = (
            further,
            replace(task, lots=further.lots),
            _why_short(task, swept.compared[0].placement, clock),
        )
        with_further = tuple(replace(compared, proved=compared.further) for compared in swept.compared)
        swept = replace(swept, compared=with_further)
    own = next(compared for compared in swept.compared if compared.placement.is_own)
    wanted = None if insisted is None else insisted.on_focus
    front = front_of(
        compared
        for compared in swept.compared
        if not compared.placement.is_own or wanted in (None, compared.placement.on_focus)
    )
    if not front and swept.left:
        go_on(swept.stopped)
        raise NoPlanError(f"no placement was worked out before this: {swept.stopped}; allow it more with --time-limit")
    if not front:
        if own.proved is None:
            _prove(task, own.placement, clock)
        raise NoPlanError("no placement that you ask for can be set out in this room; insist on less")
    heights = heights_of(setting_out) if asks_heights else None
    at_heights: tuple[Placement, ...] = ()
    if heights is not None and not swept.left:
        at_heights = tuple(_at_heights(task, own, step))
    by_height = sweep(task, at_heights, clock=clock)
    return Comparison(
        setting_out=setting_out,
        focus=focus,
        step=step,
        counts_cost=job.counts_cost,
        own=own,
        front=front,
        tried=len(swept.compared),
        refused=swept.refused,
        left=swept.left + by_height.left,
        without_plan=sum(compared.proved is None for compared in swept.compared),
        heights=heights,
        by_height=() if by_height.left else by_height.compared,
        short=short,
        unit=None if job.rolls else job.paper.sale.unit,
        stopped=swept.stopped or by_height.stopped,
        counts_bought=job.buys_beside_hand,
    )


def _why_short(task: SweepTask, own: Placement, clock: Clock) -> TooFewRollsError | None:
    try:
        _prove(task, own, clock)
    except TooFewRollsError as short:
        return short
    except NoPlanError:
        return None
    return None


def _prove(task: SweepTask, own: Placement, clock: Clock) -> None:
    bench = Bench(task)
    bench.allow(clock.left)
    bench.prove_set_out(bench.set_out(own))


def _at_heights(task: SweepTask, own: Compared, step: Length) -> Iterator[Placement]:
    """Yield a placement at each height from 0 to the repeat, if its rolls are not always the same."""
    is_sealed = all(stretch.first_motif is None for lot in task.lots for stretch in lot.stretches)
    if is_sealed and task.beside is None:  # What hangs beside keeps its height.
        return
    start = own.placement.start
    for number in range(ceil(task.paper.pattern.repeat / step)):
        yield replace(own.placement, start=replace(start, motif_drop=number * step, motif_at=None))
