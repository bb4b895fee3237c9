"""Is there still enough paper? And if not: how much is short, and what would do."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from fractions import Fraction
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from cutplan.buying.by_length import Order, shortest_order
from cutplan.errors import NoPlanError
from cutplan.job.bought_beside import in_hand_for_nothing
from cutplan.job.print_along import agree_in_batch, place_along
from cutplan.lengths import ZERO, Length
from cutplan.paper.stock import Lot
from cutplan.plan.order import CuttingHabit
from cutplan.plan.plan import Plan, RollLayout
from cutplan.plan.proof import Status
from cutplan.progress.joined import Joined, joined_from
from cutplan.progress.remains import Remains, remains_of
from cutplan.progress.state import State
from cutplan.scenario.read import Scenario
from cutplan.solve import solve
from cutplan.solve.clock import Clock
from cutplan.solve.ordering import order_cuts
from cutplan.table.sequence import sequence_of
from cutplan.table.steps import LeftOver, OpenRoll, Sequence, Step

SHARE_FOR_PLAN: Final = 0.75
"""Part of the time for the plan of what is in hand; the rest is for what would do where that is too little."""

FURTHER: Final = "further roll"
"""How rolls are called that would have to be bought."""


class Shortage(Struct, frozen=True):
    """What is short of the rolls in hand."""

    rolls: int
    """Further rolls that would do, beyond those in hand."""
    batches: dict[str, int]
    """How many of them of each batch, where they must be of a certain one; empty where nobody has told any."""
    is_proved: bool
    """True when it is proved that fewer would not."""
    drops: dict[str, int]
    """By label, the pieces that the further rolls would be cut into."""
    length: Length
    """Their cut lengths together."""
    price: Fraction | None
    """What the further rolls would cost, no packet broken; None when not known."""
    to_measure: tuple[str, ...] = ()
    """Rolls of which more may be left than is certain: if what is left on them is measured first, ``rolls_if_measured``
    may do."""
    rolls_if_measured: int | None = None
    """Fewest further rolls that can come out of it; None when measuring cannot help."""
    joined: Joined | None = None
    """A joined piece that would do instead, if there is one."""
    sheets: tuple[int, ...] = ()
    """Numbers of the sheets that must be had again, of a numbered set; empty for paper in rolls."""
    order: Order | None = None
    """How much to order instead, of a paper that is cut to order."""


class StillEnough(Struct, frozen=True):
    """The answer to whether there is still enough paper."""

    remains: Remains
    """What remains, with the rolls to be bought where they are taken as they are needed."""
    plan: Plan | None
    """How it is cut; None when the rolls in hand are too few to go on with."""
    in_hand: int
    """Rolls in hand that are not opened yet."""
    shortage: Shortage | None
    """What is short; None when there is enough."""

    @property
    def is_enough(self) -> bool:
        """True when nothing is short."""
        return self.shortage is None

    @property
    def further(self) -> int:
        """How many rolls that nobody has opened yet the plan opens."""
        layouts = () if self.plan is None else self.plan.layouts
        rolls = {lot.label for lot in self.remains.job.rolls if not self.remains.state.is_opened(lot.label)}
        return sum(layout.count for layout in layouts if layout.lot in rolls)


def still_enough(
    state: State,
    scenario: Scenario,
    *,
    time_limit: float = 10.0,
    progress: Callable[[str], None] | None = None,
) -> StillEnough:
    """Return whether what is in hand is enough for what remains, with a plan where one is possible.

    Where rolls are taken as they are needed a plan is always possible: what it needs beyond those in hand is short.

    Raises
    ------
    NothingToCutError
        When every drop wanted has been cut.
    NoPlanError
        When a drop wanted is longer than any roll could give, or no plan was found in time.

    """
    clock, remains = Clock(time_limit), remains_of(state, scenario)
    plan = _planned(remains, clock.left * SHARE_FOR_PLAN, progress)
    if plan is not None:
        return StillEnough(remains, plan, remains.in_hand, None)
    shortage = _shortage(remains, scenario, clock)
    if any(lot.count is None for lot in state.job.lots):
        ample = remains_of(state, scenario, further=shortage.rolls)
        return StillEnough(ample, _planned(ample, clock.left, progress), remains.in_hand, shortage)
    return StillEnough(remains, None, remains.in_hand, shortage)


def _planned(remains: Remains, time_limit: float, progress: Callable[[str], None] | None) -> Plan | None:
    """Return the plan for what remains; None when the rolls in hand are too few."""
    try:
        plan = solve(remains.job, time_limit=time_limit, progress=progress)
    except NoPlanError:
        return None
    return None if plan.rolls_needed and not remains.has_rolls else plan


def _shortage(remains: Remains, scenario: Scenario, clock: Clock) -> Shortage:
    plan = _with_further(remains, clock.left / 2)
    job = plan.job
    batches = Counter[str]()
    for layout in _of_further_rolls(plan):
        batches[job.lot(layout.lot).batch or ""] += layout.count
    sheets = (job.lot(layout.lot).sheet for layout in _of_further_rolls(plan))
    held, missing = _shared_out(plan)
    rolls = batches.total()
    if not rolls:
        raise NoPlanError("no plan was found in time, though the paper is enough; allow it more with --time-limit")
    listed = [lot.price for lot in remains.state.job.rolls if lot.price is not None]
    to_measure, fewer = _if_measured(remains.state, scenario, rolls, clock.left / 2)
    return Shortage(
        rolls=rolls,
        batches={batch: count for batch, count in batches.items() if batch},
        is_proved=plan.status is Status.OPTIMAL,
        drops=dict(missing),
        length=sum((job.drop(label).cut_length * count for label, count in missing.items()), ZERO),
        price=job.paper.sale.cost(rolls, job.paper.price or max(listed, default=None)),
        to_measure=to_measure,
        rolls_if_measured=fewer,
        joined=joined_from(job, held, job.drop(next(iter(missing)))) if missing.total() == 1 else None,
        sheets=tuple(sorted(sheet for sheet in sheets if sheet is not None)),
        order=None if job.paper.sale.unit is None else shortest_order(remains.job, clock.left / 2),
    )


def _of_further_rolls(plan: Plan) -> list[RollLayout]:
    return [layout for layout in plan.layouts if plan.job.lot(layout.lot).count is None]


def _shared_out(plan: Plan) -> tuple[dict[str, list[str]], Counter[str]]:
    """Return the drops cut from each roll in hand, and those for further rolls that no roll in hand has room for."""
    job = plan.job
    held: dict[str, list[str]] = {lot.label: [] for lot in job.rolls if lot.count == 1}
    for layout in plan.layouts:
        if layout.lot in held:
            held[layout.lot] = [cut.drop for cut in layout.cuts]
    wanted = [cut.drop for layout in _of_further_rolls(plan) for cut in layout.cuts for _ in range(layout.count)]
    missing = Counter[str]()
    for label in sorted(wanted, key=lambda label: -job.drop(label).cut_length):
        agreeing = (lot for lot in job.rolls if lot.label in held and agree_in_batch(lot, job.drop(label)))
        home = next((lot for lot in agreeing if place_along(job, lot, [*held[lot.label], label]) is not None), None)
        if home is None:
            missing[label] += 1
        else:
            held[home.label].append(label)
    return held, missing


def _with_further(remains: Remains, time_limit: float) -> Plan:
    """Return how to cut what the rolls in hand give for nothing, and the rest from the fewest further rolls."""
    job = remains.job
    in_hand = (lot for lot in job.lots if lot.count is not None)
    whole, sheets = job.paper.roll_length, job.paper.sheets
    if sheets is None:
        batches = [batch for batch in job.batches_of_rolls if batch] or [""]
        further = [Lot(f"{FURTHER} {batch}", whole, count=None, batch=batch or None) for batch in batches]
    else:
        numbers, motif = dict.fromkeys(drop.sheet for drop in job.drops), sheets.first_motif
        further = [Lot(f"{FURTHER} {sheet}", whole, motif, count=None, sheet=sheet) for sheet in numbers]
    return solve(replace(job, lots=in_hand_for_nothing((*in_hand, *further))), time_limit=time_limit)


def _if_measured(state: State, scenario: Scenario, rolls: int, time_limit: float) -> tuple[tuple[str, ...], int | None]:
    uncertain = [roll.label for roll in state.rolls.values() if not roll.is_certain]
    if not uncertain:
        return (), None
    plan = _with_further(remains_of(state, scenario, hoped=True), time_limit)
    used = {layout.lot for layout in plan.layouts}
    fewer = sum(layout.count for layout in _of_further_rolls(plan))
    return (tuple(roll for roll in uncertain if roll in used), fewer) if fewer < rolls else ((), None)


def rest_sequence(plan: Plan, state: State, first_step: int) -> Sequence:
    """Return the steps of ``plan``, the first of which has the number ``first_step``.

    Rolls that are open are taken up again, and what may be left on them is not understated.
    """
    opened = [label for label, roll in state.rolls.items() if roll.is_open]
    sequence = sequence_of(plan, opened)
    steps = tuple(_as_it_lies(replace(step, number=step.number + first_step - 1), state) for step in sequence.steps)
    return replace(sequence, steps=steps, left=tuple(_as_it_is(over, state) for over in sequence.left))


def sequence_of_rest(plan: Plan, habit: CuttingHabit, state: State, first_step: int) -> Sequence:
    """Return the steps of a plan for what remains, its cuts put in order by the habits of the whole job."""
    return rest_sequence(order_cuts(plan, follow=habit.follow, open_rolls=habit.open_rolls), state, first_step)


def _as_it_lies(step: Step, state: State) -> Step:
    if not isinstance(step, OpenRoll):
        return step
    source = state.falls_from.get(step.roll)
    is_to_fall = source in state.on_table and step.roll not in state.rolls
    return replace(step, is_open=state.is_opened(step.roll), hangs_first=source if is_to_fall else step.hangs_first)


def _as_it_is(over: LeftOver, state: State) -> LeftOver:
    roll = state.rolls.get(over.roll)
    if roll is None:
        return over
    return replace(over, is_measured=roll.is_measured, is_at_least=over.is_at_least or not roll.is_certain)
