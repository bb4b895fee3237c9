"""What is said of a job that its rolls are too few for: that they are, what stays bare, and that no more fits."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from cutplan.check.proof.prices_proof import bound_of_prices, fair_prices_rule, labels_rule
from cutplan.check.proof.worth import TooLongToFollowError
from cutplan.check.report import Report, Violation, counted
from cutplan.check.roll_rules.rolls_there import lot_of
from cutplan.check.stated.document import ListedPrices, read_prices

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from fractions import Fraction

    from cutplan.check.roll_rules.what_fits_where import StockLot, WantedDrop
    from cutplan.check.stated.document import ListedPlan, ListedRoll
    from cutplan.check.stated.echo import Wanted
    from cutplan.check.stated.fields import Table

_NEEDED: Final = "more_rolls_needed"
_LEAST: Final = "more_rolls_lower_bound"
_OTHER: Final = "rolls_of_another_batch"
_DROPS: Final = r"drops? (?P<drops>.+)"
_KINDS: Final = {
    "start": r"begin with .+",
    "trim": r"cut with a trim of .+ at the top and .+ at the foot",
    "joint": r"leave the joint .+ unmatched, behind .+, and hang the print to its (left|right) .+ lower",
    "turned": rf"hang {_DROPS} head down",
    "sideways": rf"turn {_DROPS} by a quarter, across the roll",
    "joined": rf"join (one )?{_DROPS} of two pieces, .+ above (the|its) foot",
    "paper": r"hang another paper on (?P<wall>.+)",
    "batch": r"hang another batch on (?P<wall>.+) alone",
}
"""What could be given up, as it is told of each kind; ``drops`` and ``wall`` are those of the job."""


@dataclass(frozen=True, slots=True)
class ListedBare:
    """What the document says of a job that is not done.

    ``pieces`` are those bare of each drop, ``whole`` the walls said to be papered whole, ``order`` the walls as they
    were taken, None in a file of an earlier version; ``prices`` prove that the rolls are too few. ``steps`` are what
    could be given up: the rolls still to be had of this batch, the bound of them, and those of another; ``called`` is
    what each is, by its kind and in words.
    """

    is_short: bool
    pieces: dict[str, int]
    whole: tuple[str, ...]
    is_most: bool
    prices: ListedPrices | None
    order: tuple[str, ...] | None
    steps: tuple[tuple[int, int, int], ...]
    called: tuple[tuple[str, str], ...]


def read_bare(document: Table) -> ListedBare:
    """Return what a document says of a job that is not done; faults go into its table."""
    status = document.one_of("status", ("infeasible", "unknown"))
    for key in ("rolls_needed", "lower_bound"):
        if document.has(key):
            document.fault(key, "must be null where the rolls are too few; the partial plan has figures of its own")
    if document.values.get("rolls"):
        document.fault("rolls", "must be empty where the rolls are too few; those cut stand in the partial plan")
    prices, steps = document.table("shortage_prices"), tuple(document.tables("given_up"))
    for step in steps:
        if step.one_of("kind", tuple(_KINDS)) != "batch" and step.has(_OTHER):
            step.fault(_OTHER, "must be null: only another batch on a wall takes rolls of another batch")
    return ListedBare(
        status == "infeasible",
        document.whole_numbers("bare"),
        document.texts("whole_walls", "names"),
        document.flag("covers_most") is True,
        None if prices is None else read_prices(prices),
        document.texts("walls_in_order", "names") if document.has("walls_in_order") else None,
        tuple((step.whole(_NEEDED) or 0, step.whole(_LEAST) or 0, step.whole(_OTHER) or 0) for step in steps),
        tuple((step.optional_text("kind") or "", step.optional_text("what") or "") for step in steps),
    )


def without_bare(wanted: Wanted, bare: ListedBare) -> Wanted:
    """Return what is wanted without what stays bare, nor what would fall out of drops or come with them."""
    left = {label: drop.count - bare.pieces.get(label, 0) for label, drop in wanted.drops.items()}
    drops = {label: replace(drop, count=left[label]) for label, drop in wanted.drops.items() if left[label] > 0}
    lots = {label: lot for label, lot in wanted.lots.items() if lot.waits_for is None or lot.waits_for in drops}
    return replace(wanted, drops=drops, lots=lots)


def judge_bare(wanted: Wanted, bare: ListedBare, plan: ListedPlan, on_walls: Mapping[str, set[str]]) -> Report:
    """Return the judgement of what stays bare; ``on_walls`` are the drops on each wall, none where not told."""
    violations = [*pieces_rule(wanted, bare), *walls_rule(bare, on_walls), *steps_rule(bare)]
    violations += words_rule(bare, set(wanted.drops), set(on_walls))
    if bare.is_most and len({lot.batch for lot in wanted.rolls}) == 1:
        violations += most_rule(wanted, bare, plan)
    if not bare.is_short:
        return Report(tuple(violations), (), trusted=("whether the rolls are too few: the planner had not the time",))
    if bare.prices is None:
        return Report(tuple(violations), (), trusted=("the rolls are too few: the plan gives no prices that prove it",))
    try:
        violations += shortage_rule(wanted, bare.prices)
    except TooLongToFollowError:
        too_long = "the rolls are too few, by a proof that is too long to be followed here"
        return Report(tuple(violations), (), searched=(too_long,))
    stay = counted(sum(bare.pieces.values()), "piece")
    return Report(tuple(violations), (f"the rolls are too few, proved by prices; {stay} bare",))


def pieces_rule(wanted: Wanted, bare: ListedBare) -> Iterator[Violation]:
    """Require what stays bare to be wanted, and no more of it than is."""
    for label, count in bare.pieces.items():
        there = wanted.drops[label].count if label in wanted.drops else 0
        if not 0 < count <= there:
            yield Violation("bare", f"drop {label}", f"{counted(count, 'piece')} said to stay bare, of {there} wanted")


def walls_rule(bare: ListedBare, on_walls: Mapping[str, set[str]]) -> Iterator[Violation]:
    """Require exactly those walls to be called whole on which nothing stays bare, and each once."""
    if len(set(bare.whole)) < len(bare.whole):
        yield Violation("bare", "", "a wall is said twice to be papered whole")
    whole = {wall for wall, drops in on_walls.items() if not drops & set(bare.pieces)}
    for wall in sorted(whole ^ set(bare.whole)):
        what = "nothing on it stays bare, and it is not said" if wall in whole else "it is said, and some of it is bare"
        yield Violation("bare", f"wall {wall}", f"papered whole: {what}")


def walls_order_rule(
    bare: ListedBare, areas: Mapping[str, Fraction], told: Sequence[str], focal: str | None
) -> Iterator[Violation]:
    """Require walls to be taken as told, then that of the start, then by the area of paper on them, largest first."""
    if bare.order is None:
        return  # A file of an earlier version.
    places = {wall: place for place, wall in enumerate(told)}
    ranks = {wall: (places.get(wall, len(places)), wall != focal, -area) for wall, area in areas.items()}
    if sorted(bare.order) != sorted(areas) or sorted(bare.order, key=ranks.__getitem__) != list(bare.order):
        first = ", ".join(sorted(areas, key=ranks.__getitem__))
        yield Violation("bare", "", f"the walls are not taken in their order, which is {first}")


def steps_rule(bare: ListedBare) -> Iterator[Violation]:
    """Require no step to claim a bound above its figure, none to be told twice, and the dearest to stand last."""
    if len(set(bare.called)) < len(bare.called):
        yield Violation("given up", "", "one thing is told twice")
    for place, (more, least, _) in enumerate(bare.steps, 1):
        if least > more:
            yield Violation("given up", f"step {place}", f"{more} more needed, and a bound of {least}")
    to_be_had = [more + other for more, _, other in bare.steps]
    if to_be_had != sorted(to_be_had):
        yield Violation("given up", "", "the dearest does not stand last")


def words_rule(bare: ListedBare, drops: set[str], walls: set[str]) -> Iterator[Violation]:
    """Require a step to be told as its kind is, of drops and walls that there are, and of each kind but walls one."""
    kinds = [kind for kind, _ in bare.called if kind not in ("start", "paper", "batch")]
    if len(set(kinds)) < len(kinds):
        yield Violation("given up", "", "one kind is told twice")
    for kind, what in bare.called:
        told = re.fullmatch(_KINDS.get(kind, ".*"), what)
        if told is None:
            yield Violation("given up", "", f"{what!r} is not told as {kind!r} is")
            continue
        named = told.groupdict()
        if "wall" in named and named["wall"] not in walls:
            yield Violation("given up", "", f"{what!r}: the job has no such wall")
        ends = re.split(r", | to ", named.get("drops", ""))
        if "drops" in named and named["drops"] not in drops and not drops.issuperset(ends):
            yield Violation("given up", "", f"{what!r}: the job has no such drop")


def shortage_rule(wanted: Wanted, prices: ListedPrices) -> Iterator[Violation]:
    """Require all drops to be worth more than all rolls hold at the prices, were the rolls to cost nothing."""
    free = replace(wanted, lots={label: replace(lot, price=None) for label, lot in wanted.lots.items()})
    yield from labels_rule(free, prices, "shortage")
    yield from fair_prices_rule(free, prices, "shortage", at_best=False, costs_nothing=True)
    if not bound_of_prices(free, prices):
        yield Violation("shortage", "", "the prices do not prove that the rolls are too few")


def most_rule(wanted: Wanted, bare: ListedBare, plan: ListedPlan) -> Iterator[Violation]:
    """Require that no bare piece fits behind the last cut of a roll, or on a roll that is not opened."""
    drops = [wanted.drops[label] for label in bare.pieces if label in wanted.drops]
    opened = {lot.label: 0 for lot in wanted.rolls}
    for roll in plan.rolls:
        lot = lot_of(wanted, roll)
        if lot is None or lot.is_offcut or not roll.cuts:
            continue
        opened[lot.label] = opened.get(lot.label, 0) + roll.count
        for drop in drops:
            if _fits_behind(wanted, lot, roll, drop):
                yield Violation(
                    "bare", f"drop {drop.label}", f"stays bare, and fits behind the last of roll {roll.label}"
                )
    for lot in wanted.rolls:
        spare = lot.count is None or lot.count > opened[lot.label]
        for drop in drops if spare else ():
            whole = replace(lot, is_offcut=True, left=None, right=None)
            if not lot.parts and lot.may_give(drop) and whole.can_hold(drop, wanted.match.repeat):
                yield Violation("bare", f"drop {drop.label}", f"stays bare, and a roll of {lot.label} is not opened")


def _fits_behind(wanted: Wanted, lot: StockLot, roll: ListedRoll, drop: WantedDrop) -> bool:
    first, last = roll.cuts[0], max(roll.cuts, key=lambda cut: cut.end)
    known = wanted.drops.get(first.piece.partition(" (")[0])
    if lot.parts or known is None or not lot.may_give(drop):
        return False
    datum = first.start + lot.datum_of(known) if lot.first_motif is None else lot.first_motif
    lead_in: Fraction = (
        (datum - lot.datum_of(drop) - last.end) % wanted.match.repeat if wanted.match.repeat else last.end * 0
    )
    return last.end + lead_in + drop.cut_length <= lot.length
