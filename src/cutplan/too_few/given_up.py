"""What could be given up where rolls are too few, each with the rolls that are still missing then, dearest last.

Each step is a job of its own, asked of the solver: the figures are those of its plan, with its bound.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from math import ceil
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from cutplan.buying.certain import Figure
from cutplan.buying.need import Need, Size, batches_in_hand
from cutplan.buying.savings import smaller_trim
from cutplan.comparing.cheaper import cheaper_placements
from cutplan.errors import NoPlanError
from cutplan.job.drops import drops_of
from cutplan.job.job import Job
from cutplan.lengths import UNITS
from cutplan.plan.plan import Plan
from cutplan.setting_out import SettingOut, set_out
from cutplan.solve import plan_by
from cutplan.solve.clock import Clock
from cutplan.solve.shortage import why_too_long
from cutplan.too_few.other_pieces import Other, joined, long_ones_joined, sideways, turned, unmatched
from cutplan.wording import Wording

STEP: Final = 50 * UNITS["mm"]
"""Other starts are looked for at this distance from one another; «cutplan compare» looks closer."""


class GivenUp(Struct, frozen=True):
    """One thing that could be given up."""

    kind: str
    """Of what kind it is, in one word."""
    what: Wording
    """As a thing to do."""
    plan: Plan
    """Of what is cut then: rolls in hand cost nothing, each that is still to be had one."""
    other_plan: Plan | None = None
    """Of what is cut from another batch besides; None where nothing is."""
    placed: SettingOut | None = None
    """Of another start, the room set out from there; else None."""

    @property
    def missing(self) -> Figure:
        """Rolls, as the paper is sold, still to be had then: so many are enough, and the least that may be."""
        return figure_of(self.plan)

    @property
    def other(self) -> Figure | None:
        """Rolls of another batch that it takes besides; None where it takes none."""
        return None if self.other_plan is None else figure_of(self.other_plan)

    @property
    def to_be_had(self) -> int:
        """Rolls still to be had, of this batch and of another."""
        return self.missing.enough + (0 if self.other is None else self.other.enough)


def figure_of(plan: Plan) -> Figure:
    """Return what a plan comes to, and the least that any may."""
    return Figure(int(plan.value), ceil(plan.proof.bound))


def could_be_given_up(
    job: Job,
    walls: Mapping[str, tuple[str, ...]],
    setting_out: SettingOut | None = None,
    time_limit: float = 10.0,
    progress: Callable[[str], None] | None = None,
) -> tuple[GivenUp, ...]:
    """Return what leaves fewer rolls missing, dearest last: by the rolls still to be had, then by how much it shows.

    What shows least comes first: another start, finish or height; less trim; a hidden joint unmatched; short pieces
    head down; short pieces on their side; a drop joined of two; a wall in another paper; a wall of another batch. Of
    each but walls the one that leaves fewest missing is taken. Of a job with drops that are too long for any roll:
    those joined of two, and walls in another paper.

    ``walls`` are the drops on each wall, those that matter most first: the others are given up before them. A drop on
    two walls goes on being hung.
    """
    found = []
    with suppress(NoPlanError, KeyboardInterrupt):  # What is found by then is told.
        for step in _Ladder(job, walls, setting_out, Clock(time_limit), progress or (lambda _: None)).steps():
            found.append(step)  # noqa: PERF402 - one by one, so that they are kept
    return tuple(sorted(found, key=lambda step: step.to_be_had))


class _Ladder:
    """Asks for one thing after another.

    ``now`` is how many rolls are missing while nothing is given up; None where some drop is too long for any roll.
    """

    def __init__(
        self,
        job: Job,
        walls: Mapping[str, tuple[str, ...]],
        setting_out: SettingOut | None,
        clock: Clock,
        tell: Callable[[str], None],
    ) -> None:
        self.tell = tell
        self.job = job
        self.walls = walls
        is_room = setting_out is not None and {each.label for each in setting_out.hung} == {
            drop.label for drop in job.drops
        }
        self.setting_out = setting_out if is_room else None  # A spare drop, say, hangs nowhere.
        self.clock = clock
        now = self._plan(job)
        self.now = None if now is None else figure_of(now)

    def steps(self) -> Iterator[GivenUp]:
        """Yield what leaves fewer missing for certain."""
        if self.now is None:
            needed = _need(self.job).to_buy
            too_long = [drop.label for drop in needed.drops if why_too_long(needed, drop)]
            yield from self._best("joined", long_ones_joined(self.job, too_long)) if too_long else ()
            yield from self._walls()
            return
        if not self.now.least:
            return
        matters_least = [label for wall in reversed(list(self.walls)) for label in self.walls[wall]]
        setting_out, now = self.setting_out, self.now.least
        yield from () if setting_out is None else self._other_places(setting_out, now)
        yield from self._trim(now)
        yield from () if setting_out is None else self._best("joint", unmatched(self.job, setting_out))
        yield from self._best("turned", turned(self.job))
        yield from self._best("sideways", sideways(self.job))
        yield from self._best("joined", joined(self.job, matters_least))
        yield from self._walls()

    def _plan(self, job: Job) -> Plan | None:
        """Return the plan that takes fewest rolls more; None where some drop is too long for any, or time is up."""
        try:
            plan = plan_by(self.clock, _need(job).to_buy)
        except NoPlanError:
            return None
        return plan if plan.layouts else None

    def _helps(self, job: Job) -> Plan | None:
        """Return the plan of a job if it leaves fewer rolls missing."""
        plan = self._plan(job)
        if plan is None or self.now is None:
            return plan
        return plan if plan.value < self.now.least else None

    def _other_places(self, setting_out: SettingOut, now: int) -> Iterator[GivenUp]:
        self.tell("what another start would save")
        share = self.clock.share(0.8)  # what follows is quick
        found = cheaper_placements(setting_out, _need(self.job).to_buy, share, fewer_than=now, step=STEP)
        for what, _, placement in found:
            first, *rest = what.values
            name = first[:1].lower() + first[1:] if isinstance(first, str) else first
            begin = Wording(f"begin with {what.text}", (name, *rest))
            placed = set_out(setting_out.room, setting_out.paper, placement.start, setting_out.way, placement.finish)
            trims = self.job.drops[0].trim_top, self.job.drops[0].trim_bottom
            plan = self._helps(replace(self.job, drops=drops_of(placed, *trims, counts_cut_outs=True)))
            if plan is not None:
                yield GivenUp("start", begin, plan, placed=placed)

    def _trim(self, now: int) -> Iterator[GivenUp]:
        for target in dict.fromkeys((0, now - 1)):
            trim = smaller_trim(_need(self.job), target, self.clock)
            plan = None if trim is None else self._helps(replace(self.job, drops=trim.drops))
            if trim is not None and plan is not None:
                what = Wording("cut with a trim of {} at the top and {} at the foot", (trim.top, trim.bottom))
                yield GivenUp("trim", what, plan)
                return

    def _best(self, kind: str, ways: Iterable[Other]) -> Iterator[GivenUp]:
        """Yield the way that leaves fewest missing, the first of those alike; nothing where none helps."""
        self.tell(f"what could be given up: {kind}")
        best: GivenUp | None = None
        share = self.clock.share(0.5)
        for what, job in ways:
            if not share.left or (best is not None and not best.missing.enough):
                break
            plan = self._helps(job)
            if plan is not None and (best is None or plan.value < best.missing.enough):
                best = GivenUp(kind, what, plan)
        if best is not None:
            yield best

    def _walls(self) -> Iterator[GivenUp]:
        others = []
        for wall in reversed(list(self.walls)):
            shared = {label for other, labels in self.walls.items() if other != wall for label in labels}
            gone = set(self.walls[wall]) - shared
            rest = tuple(drop for drop in self.job.drops if drop.label not in gone)
            if not gone or not rest or not self.clock.left:
                continue
            lots = tuple(lot for lot in self.job.lots if lot.after not in gone)
            plan = self._helps(replace(self.job, drops=rest, lots=lots))
            if plan is None:
                continue
            yield GivenUp("paper", Wording("hang another paper on {}", (wall,)), plan)
            there = tuple(replace(drop, batch=None) for drop in self.job.drops if drop.label in gone)
            other = self._plan(replace(self.job, drops=there, lots=()))
            if other is not None:
                others.append(GivenUp("batch", Wording("hang another batch on {} alone", (wall,)), plan, other))
        yield from others


def _need(job: Job) -> Need:
    return Need(job, Size(job.paper.roll_length), batches_in_hand(job))
