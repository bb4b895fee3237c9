"""The shopping list of a job, rolls and what they are hung with, each with what it is for; and the day of each part."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from math import ceil
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from cutplan.lengths import ZERO, Length
from cutplan.materials.material import Material, Packs, Use, packs_of
from cutplan.materials.surfaces import area_cut, area_of, joints_between, length_of_joints
from cutplan.parts.clipping import is_empty
from cutplan.parts.part import Part, PartedJob, PartKind
from cutplan.plan.plan import Plan
from cutplan.table import steps
from cutplan.table.timetable import DAY, Minutes, timetable_of

if TYPE_CHECKING:
    from cutplan.buying.by_length import Order
    from cutplan.buying.how_many import RollsToBuy


class PartRolls(Struct, frozen=True):
    """Rolls of one part."""

    part: Part
    buy: int
    """To be bought, in whole packets."""
    in_hand: int
    """Taken from those in hand."""
    returned: int
    """Of those bought or in hand, how many stay unopened."""
    is_proved: bool
    """True where no plan needs fewer, and none of its paper is bought apart for another part."""
    cost: Fraction | None
    """Of what is bought; None when the price is not stated."""
    order: Order | None = None
    """The length to order of a paper that is cut to order; None for one that comes in rolls."""


class ShoppingList(Struct, frozen=True):
    """Everything to be bought for a job."""

    rolls: tuple[PartRolls, ...]
    packs: tuple[Packs, ...]

    @property
    def cost(self) -> Fraction | None:
        """What all of it costs; None where a price or a number is not known."""
        costs = [*(rolls.cost for rolls in self.rolls), *(packs.cost for packs in self.packs)]
        known = [cost for cost in costs if cost is not None]
        return sum(known, ZERO) if len(known) == len(costs) else None


def rolls_planned(part: Part, plan: Plan) -> PartRolls:
    """Return the rolls that a plan of a part takes, or the length that is ordered for it."""
    if part.scenario.ordered is not None:
        return length_ordered(part, part.scenario.ordered)
    paper = plan.job.paper
    needed = plan.rolls_to_buy
    buy = paper.sale.bought(needed) if needed else 0
    there = sum(lot.count or 0 for lot in plan.job.rolls)
    taken = plan.rolls_needed - needed
    return PartRolls(part, buy, taken, buy - needed + there - taken, not plan.gap, paper.cost(needed))


def length_ordered(part: Part, order: Order) -> PartRolls:
    """Return the length that is ordered for a part."""
    return PartRolls(part, 0, 0, 0, order.is_proved, order.cost(part.scenario.job.paper), order)


def rolls_advised(part: Part, answer: RollsToBuy) -> PartRolls:
    """Return the rolls that are to be bought for a part."""
    advised, plan = answer.recommendation, answer.plan
    taken = plan.rolls_needed - plan.rolls_to_buy
    return PartRolls(part, advised.buy, taken, advised.returned, not plan.gap, advised.cost)


def shopping_list(job: PartedJob, rolls: Sequence[PartRolls]) -> ShoppingList:
    """Return the rolls with the materials that the job takes, whether its author has named them or not."""
    materials = [*job.materials, *_not_named(job)]
    alike = {part.name for parts in job.apart for part in parts}
    rolls = [replace(each, is_proved=each.is_proved and each.part.name not in alike) for each in rolls]
    return ShoppingList(tuple(rolls), tuple(_packs(job, material) for material in materials))


def _not_named(job: PartedJob) -> Iterator[Material]:
    """Yield what every job takes where nobody has named it: its label is still to be read."""
    named = {material.name for material in job.materials}
    for name in dict.fromkeys(part.asked.adhesive for part in job.parts if part.asked is not None):
        if name is not None and name not in named:
            on = tuple(part.name for part in job.parts if part.asked is not None and part.asked.adhesive == name)
            yield Material(name, Use.ADHESIVE, on=on)
    pasted = [material for material in job.materials if material.use in (Use.PASTE, Use.ADHESIVE)]
    bare = tuple(
        part.name for part in job.single if not _is_damp(part) and not any(_is_for(part, each) for each in pasted)
    )
    if bare:
        yield Material("paste", Use.PASTE, on=() if not pasted else bare)


def _packs(job: PartedJob, material: Material) -> Packs:
    hung = job.single
    parts = [part for part in hung if _is_for(part, material)]
    names = tuple(part.name for part in parts)
    if material.use is Use.SIZE:
        return packs_of(material, names, area_of(job.room))
    if material.use is Use.FILLER:
        return packs_of(material, names, sum((_joints(part) for part in parts), ZERO))
    area = sum((area_cut(part.scenario.job) for part in parts), ZERO)
    over = sum((_area_over(part, other) for part in parts for other in hung), ZERO)
    return packs_of(material, names, area + over, counts_over=bool(over))


def _is_damp(part: Part) -> bool:
    return part.asked is not None and part.asked.adhesive is not None


def _is_for(part: Part, material: Material) -> bool:
    """Return True when a material is for a part: the one asked for, or all that its use allows.

    Filler is for the joints of linings. What keeps damp back takes the adhesive of its name, and no paste.
    """
    if material.on:
        return part.name in material.on
    if material.use is Use.FILLER:
        return part.kind is PartKind.LINING
    if material.use is Use.ADHESIVE and part.asked is not None:
        return part.asked.adhesive == material.name
    return material.use is not Use.ADHESIVE and not _is_damp(part)


def _area_over(part: Part, other: Part) -> Fraction:
    """Return how much of what keeps damp back another part hangs over: that takes the same adhesive [practice].

    A lining hangs over all of it, a band as far as its walls reach. Borders hang over paper.
    """
    if part.lining is None or not _is_damp(part) or _is_damp(other) or other.kind is PartKind.BORDER:
        return ZERO
    area = ZERO
    for cell in (cell for piece in part.lining.pieces for cell in piece.cells):
        foot, top = cell.foot, cell.top
        for _, found in other.set_out:
            wall = found.room.walls[cell.face.wall]
            foot = max(foot, wall.foot.lowest(cell.left, cell.right))
            top = ZERO if is_empty(wall) else min(top, wall.top.highest(cell.left, cell.right))
        area += (cell.right - cell.left) * max(top - foot, ZERO)
    return area


def _joints(part: Part) -> Length:
    if part.lining is not None:
        return joints_between(cell for piece in part.lining.pieces for cell in piece.cells)
    return sum((length_of_joints(found) for _, found in part.set_out), ZERO)


class PartTurn(Struct, frozen=True):
    """When a part is hung: its first day, from 1, and when it is done, in minutes from midnight of the job's first."""

    part: Part
    day: int
    done: Minutes

    @property
    def dry(self) -> Minutes:
        """When something may hang over it."""
        return self.done + (0 if self.part.asked is None else 60 * self.part.asked.dries)


def calendar_of(found: Iterable[tuple[Part, steps.Sequence]]) -> tuple[PartTurn, ...]:
    """Return when each part is hung, one after another; none unless the pace of every part is told.

    A part begins on the first morning on which the one before is done, and dry where it lines the walls: lining and
    paper are hung on different days [practice].
    """
    turns: list[PartTurn] = []
    for part, sequence in found:
        pace = part.scenario.pace
        timetable = None if pace is None else timetable_of(sequence, pace)
        if pace is None or timetable is None or not timetable.acts:
            return ()
        before = max((turn.dry for turn in turns), default=pace.begin)
        day = max(ceil((before - pace.begin) / DAY), 0) + 1
        turns.append(PartTurn(part, day, (day - 1) * DAY + max(act.end for act in timetable.acts)))
    return tuple(turns)
