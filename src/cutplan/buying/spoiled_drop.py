"""What it costs when one drop is spoiled and has to be cut again."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from cutplan.buying.certain import Figure, certain_figure
from cutplan.buying.need import Need
from cutplan.job.drops import Drop
from cutplan.plan.plan import Plan
from cutplan.solve.clock import Clock
from cutplan.table.left_over import first_served, leavings_of
from cutplan.wording import unlike_all


class SpoilingCost(Struct, frozen=True):
    """What one spoiled drop costs, whichever it is. Drops are named by their labels, in hanging order."""

    figure: Figure
    """Rolls to buy that are certain to be enough whichever drop it is."""
    dearest: tuple[str, ...] = ()
    """Every drop that, spoiled, needs more rolls than the plan has."""
    only_if_planned: tuple[str, ...] = ()
    """Every drop that the plan leaves no paper for, though as many rolls would do for one more of it: the spare must be
    planned for before the first cut."""
    not_settled: tuple[str, ...] = ()
    """Drops for which it was not found out in time."""

    @property
    def is_left_over(self) -> bool:
        """True when any drop can be cut again from what the plan leaves over."""
        return not (self.dearest or self.only_if_planned or self.not_settled)


def cost_of_spoiling(need: Need, plan: Plan, now: Figure, clock: Clock) -> SpoilingCost:
    """Return what one spoiled drop costs beside the rolls to buy ``now``, which are cut as the plan says.

    Drops that are not looked at before the clock runs out are said not to be settled.
    """
    served = drops_left_over(plan)
    waiting = [drop for drop in need.job.drops if drop.label not in served]
    figures: dict[str, Figure] = {}
    for alike in _alike_in_print(need, waiting):
        figures |= _figures(need, alike, now, clock)
    # A roll more is always enough for one drop.
    worst = Figure(now.enough + 1, now.least) if len(figures) < len(waiting) else now
    for figure in figures.values():
        worst = Figure(max(worst.enough, figure.enough), max(worst.least, figure.least))
    labels = [drop.label for drop in waiting]
    return SpoilingCost(
        worst,
        tuple(label for label in labels if label in figures and figures[label].enough > now.enough),
        tuple(label for label in labels if label in figures and figures[label].enough <= now.enough),
        tuple(label for label in labels if label not in figures),
    )


def drops_left_over(plan: Plan) -> set[str]:
    """Return the drops that can each be cut again from what the plan leaves over.

    What falls out of a drop, or is left of that, can serve those hung later.
    """
    turn = {drop.label: number for number, drop in enumerate(plan.job.drops)}
    kept = leavings_of(plan).kept
    found = ((piece.serves, -1 if piece.waits_for is None else turn[piece.waits_for]) for piece in kept)
    return {drop.label for drop, after in first_served(found) if after < turn[drop.label]}


def _alike_in_print(need: Need, drops: Sequence[Drop]) -> Iterator[list[Drop]]:
    """Yield the drops that have the same place in the print and the same paper to come from, the longest first."""
    pattern = need.job.paper.pattern
    groups: dict[object, list[Drop]] = {}
    for drop in drops:
        key = (pattern.within_repeat(drop.motif_below_cut), need.to_buy.lots_for(drop))
        groups.setdefault((*key, drop.wall) if need.to_buy.must_share_batches else key, []).append(drop)
    for group in groups.values():
        yield sorted(group, key=lambda drop: -drop.cut_length)


def _figures(need: Need, alike: Sequence[Drop], now: Figure, clock: Clock) -> dict[str, Figure]:
    """Return the rolls to buy for one more of each drop, the longest first: what does for one does for shorter ones."""
    figures: dict[str, Figure] = {}
    lengths = list(dict.fromkeys(drop.cut_length for drop in alike))
    low, high = 0, len(lengths)
    of_length: dict[object, Figure] = {}
    while low < high:
        if not clock.left:
            break
        # The longest is looked at first, for it is often the answer for all.
        middle = low if not of_length else (low + high) // 2
        drop = next(drop for drop in alike if drop.cut_length == lengths[middle])
        figure = of_length[lengths[middle]] = certain_figure(need.with_drops(_with_one_more(need, drop)), clock)
        if figure.enough > now.enough:
            low = middle + 1
        else:
            high = middle
    for place, length in enumerate(lengths):
        known = of_length.get(length)
        if known is None and place < low:
            known = Figure(now.enough + 1, now.least)
        if known is None and place >= high:
            known = now
        if known is not None:
            figures |= {drop.label: known for drop in alike if drop.cut_length == length}
    return figures


def _with_one_more(need: Need, wanted: Drop) -> tuple[Drop, ...]:
    """Return the drops with one more like ``wanted``, hung after it."""
    label = unlike_all("again", (drop.label for drop in need.job.drops))
    again = replace(wanted, label=label, count=1, cut_outs=())
    number = need.job.drops.index(wanted) + 1
    return (*need.job.drops[:number], again, *need.job.drops[number:])
