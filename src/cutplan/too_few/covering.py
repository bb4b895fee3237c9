"""What too few rolls cover: whole walls in their order, then what further pieces the paper still gives.

A wall is taken when it fits beside those taken before it, and left only when the solver proves that it does not. The
same is then asked of the pieces of the walls left, in hanging order. Where no walls are told, of all pieces as listed.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from fractions import Fraction
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from cutplan.buying.need import Need, Size, batches_in_hand
from cutplan.errors import NoPlanError
from cutplan.job.drops import Drop
from cutplan.job.job import Job
from cutplan.plan.order import CuttingHabit
from cutplan.plan.plan import Plan
from cutplan.plan.proof import TooFewRollsError
from cutplan.setting_out import SettingOut
from cutplan.solve import make_plan, plan_by
from cutplan.solve.clock import Clock

SHARE_OF_ONE: Final = 0.2
"""Part of the time left that one question may take."""


class Covered(Struct, frozen=True):
    """What the rolls cover of a job that they are too few for."""

    short: TooFewRollsError
    """Why they are too few, and what proves it."""
    plan: Plan | None
    """Of the pieces that are cut; None when they give not one."""
    walls: Mapping[str, tuple[str, ...]]
    """The drops on each wall, in the order in which walls were to be taken; empty where no walls are told."""
    wanted: Mapping[str, int]
    """How many pieces of each drop the job wants."""
    bare: Mapping[str, int]
    """Of each drop that is not cut as often as wanted, how many pieces stay bare."""
    is_most: bool
    """True when every wall and every piece left is proved not to fit beside those taken before it."""

    @property
    def whole(self) -> tuple[str, ...]:
        """Walls papered whole."""
        return tuple(wall for wall, drops in self.walls.items() if not any(label in self.bare for label in drops))

    def hung_of(self, setting_out: SettingOut) -> SettingOut:
        """Return a setting out with the pieces only that are cut."""
        return replace(setting_out, pieces=tuple(one for one in setting_out.pieces if one.label not in self.bare))


def walls_in_order(
    job: Job, setting_out: SettingOut | None = None, first: Sequence[str] = ()
) -> dict[str, tuple[str, ...]]:
    """Return the drops on each wall: those named ``first``, the wall that hanging starts from, the others by area.

    Of area the largest comes first.

    A drop that turns a corner is on both walls. Drops whose wall nobody has told are on none.
    """
    areas: dict[str, Fraction] = {}
    on: dict[str, dict[str, None]] = {}
    for name, label, area in _parts(job) if setting_out is None else _panels(setting_out):
        areas[name] = areas.get(name, Fraction(0)) + area
        on.setdefault(name, {})[label] = None
    focal = None if setting_out is None else setting_out.room.walls[setting_out.start.wall].name
    told = {wall: place for place, wall in enumerate(first)}
    order = sorted(areas, key=lambda wall: (told.get(wall, len(told)), wall != focal, -areas[wall]))
    return {wall: tuple(on[wall]) for wall in order}


def _parts(job: Job) -> Iterator[tuple[str, str, Fraction]]:
    strip = job.paper.roll_width or Fraction(1)
    for drop in job.drops:
        if drop.wall is not None:
            wide = strip if drop.left is None or drop.right is None else drop.right - drop.left
            yield drop.wall, drop.label, drop.height * wide * drop.count


def _panels(setting_out: SettingOut) -> Iterator[tuple[str, str, Fraction]]:
    for piece in setting_out.pieces:
        for panel in piece.panels:
            yield setting_out.room.walls[panel.wall].name, piece.label, piece.height * (panel.right - panel.left)


def cover(
    job: Job,
    habit: CuttingHabit,
    short: TooFewRollsError,
    walls: Mapping[str, tuple[str, ...]],
    *,
    time_limit: float = 10.0,
    progress: Callable[[str], None] | None = None,
) -> Covered:
    """Return what the rolls of a job cover that is refused as ``short``, those of its walls first that are told first.

    Choosing takes half of the time at most.
    """
    clock = Clock(time_limit)
    asked = _Asked(job, clock.share(0.5), progress or (lambda _: None))
    for wall, drops in walls.items():
        asked.takes(drops, wall)
    for drop in job.drops:
        if drop.label not in asked.taken:
            asked.take_pieces(drop)
    plan = None
    if asked.taken:
        plan = make_plan(with_pieces(job, asked.taken), habit, time_limit=clock.left, progress=progress)
    wanted = {drop.label: drop.count for drop in job.drops}
    bare = {label: left for label, count in wanted.items() if (left := count - asked.taken.get(label, 0))}
    return Covered(short, plan, walls, wanted, bare, asked.is_proved)


def with_pieces(job: Job, counts: Mapping[str, int]) -> Job:
    """Return the job with so many pieces of each drop, and without offcuts that come with drops no longer hung."""
    drops = tuple(replace(drop, count=counts[drop.label]) for drop in job.drops if counts.get(drop.label))
    hung = {drop.label for drop in drops}
    return replace(job, drops=drops, lots=tuple(lot for lot in job.lots if lot.after is None or lot.after in hung))


def more_rolls(job: Job) -> Job:
    """Return the job with as many further rolls as are needed, as the paper is sold and of the batches in hand."""
    need = Need(job, Size(job.paper.roll_length), batches_in_hand(job))
    prices = [lot.price for lot in job.rolls if lot.price is not None]
    # What is ordered by length has no price of its own: beside it nothing has.
    price = None if len(prices) < len(job.rolls) else job.paper.price or max(prices, default=None)
    return replace(job, lots=(*need.in_hand, *(replace(lot, price=price) for lot in need.new)))


class _Asked:
    """Pieces taken so far, each by an answer of the solver."""

    def __init__(self, job: Job, clock: Clock, progress: Callable[[str], None]) -> None:
        self.job = job
        self.clock = clock
        self.progress = progress
        self.taken: dict[str, int] = {}
        self.is_proved = True
        self._refused: list[Drop] = []

    def takes(self, drops: Collection[str], what: str) -> bool:
        """Take all pieces of some drops if they fit beside those taken."""
        return self._takes({label: self.job.drop(label).count for label in drops}, what)

    def take_pieces(self, drop: Drop) -> None:
        """Take as many pieces of a drop as fit beside those taken: all, or what halving finds."""
        if any(self._is_no_easier(drop, refused) for refused in self._refused):
            return
        if self.takes([drop.label], f"drop {drop.label}"):
            return
        few, many = 0, drop.count
        while many - few > 1:
            middle = (few + many) // 2
            if self._takes({drop.label: middle}, f"{middle} of drop {drop.label}"):
                few = middle
            else:
                many = middle
        self._refused.append(drop)

    def _is_no_easier(self, drop: Drop, refused: Drop) -> bool:
        """Return True when a drop needs all that one refused needs: as long, alike in print, of one wall and sheet."""
        print_of = self.job.paper.pattern.within_repeat
        return (
            drop.cut_length >= refused.cut_length
            and print_of(drop.motif_below_cut) == print_of(refused.motif_below_cut)
            and (drop.wall == refused.wall or not self.job.must_share_batches)
            and (drop.batch, drop.sheet) == (refused.batch, refused.sheet)
            and not self.job.offcuts_for(drop)
        )

    def _takes(self, counts: Mapping[str, int], what: str) -> bool:
        together = {**self.taken, **counts}
        if not self.clock.left:
            self.is_proved = False
            return False
        self.progress(f"what the rolls give: {what}")
        try:
            found = plan_by(self.clock.share(SHARE_OF_ONE), with_pieces(self.job, together))
        except NoPlanError as error:
            self.is_proved = self.is_proved and isinstance(error, TooFewRollsError) and error.is_proved
            return False
        if found.layouts:
            self.taken = together
        else:
            self.is_proved = False
        return bool(found.layouts)
