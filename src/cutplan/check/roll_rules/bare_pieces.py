"""What is said of a job that its rolls are too few for: that they are, what stays bare, and that no more fits."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from cutplan.check.proof.prices_proof import bound_of_prices, fair_prices_rule, labels_rule
from cutplan.check.proof.worth import TooLongToFollowError
from cutplan.check.report import Report, Violation, counted
from cutplan.check.roll_rules.rolls_and_drops import drop_label
from cutplan.check.roll_rules.rolls_there import lot_of
from cutplan.check.roll_rules.steps_given_up import ListedStep, read_steps, steps_rule
from cutplan.check.roll_rules.what_fits_where import StockLot, WantedDrop
from cutplan.check.stated.document import ListedPlan, ListedPrices, ListedRoll, read_prices
from cutplan.check.stated.echo import Wanted
from cutplan.check.stated.fields import Table
from cutplan.check.stated.match import within_repeat


class ListedBare(Struct, frozen=True):
    """What the document says of a job that is not done.

    ``pieces`` are those bare of each drop, ``whole`` the walls said to be papered whole, ``order`` the walls as they
    were taken, None in a file of an earlier version; ``prices`` prove that the rolls are too few; ``steps`` are what
    could be given up.
    """

    is_short: bool
    pieces: dict[str, int]
    whole: tuple[str, ...]
    is_most: bool
    prices: ListedPrices | None
    order: tuple[str, ...] | None
    steps: tuple[ListedStep, ...]


def read_bare(document: Table) -> ListedBare:
    """Return what a document says of a job that is not done; faults go into its table."""
    status = document.one_of("status", ("infeasible", "unknown"))
    for key in ("rolls_needed", "lower_bound"):
        if document.has(key):
            document.fault(key, "must be null where the rolls are too few; the partial plan has figures of its own")
    if document.values.get("rolls"):
        document.fault("rolls", "must be empty where the rolls are too few; those cut stand in the partial plan")
    return ListedBare(
        status == "infeasible",
        document.whole_numbers("bare"),
        document.texts("whole_walls", "names"),
        document.flag("covers_most") is True,
        document.one("shortage_prices", read_prices),
        document.texts("walls_in_order", "names") if document.has("walls_in_order") else None,
        read_steps(document),
    )


def without_bare(wanted: Wanted, bare: ListedBare) -> Wanted:
    """Return what is wanted without what stays bare, nor what would fall out of drops or come with them."""
    left = {label: drop.count - bare.pieces.get(label, 0) for label, drop in wanted.drops.items()}
    drops = {label: replace(drop, count=left[label]) for label, drop in wanted.drops.items() if left[label] > 0}
    lots = {label: lot for label, lot in wanted.lots.items() if lot.waits_for is None or lot.waits_for in drops}
    return replace(wanted, drops=drops, lots=lots)


def judge_bare(wanted: Wanted, bare: ListedBare, plan: ListedPlan, on_walls: Mapping[str, set[str]]) -> Report:
    """Return the judgement of what stays bare; ``on_walls`` are the drops on each wall, none where not told."""
    violations = [*pieces_rule(wanted, bare), *walls_rule(bare, on_walls)]
    violations += steps_rule(bare.steps, wanted.drops, set(on_walls))
    if bare.is_most and len({lot.batch for lot in wanted.rolls}) == 1:
        violations += most_rule(wanted, bare, plan)
    searched = ("that no piece left bare fits beside those taken is the word of a search",) if bare.is_most else ()
    if not bare.is_short:
        trusted = ("whether the rolls are too few: the planner had not the time",)
        return Report(tuple(violations), (), searched, trusted)
    if bare.prices is None:
        short = "that the rolls are too few is the word of a search: the plan gives no prices that prove it"
        return Report(tuple(violations), (), (short, *searched))
    try:
        violations += shortage_rule(wanted, bare.prices)
    except TooLongToFollowError:
        too_long = "the rolls are too few, by a proof that is too long to be followed here"
        return Report(tuple(violations), (), (too_long, *searched))
    stay = counted(sum(bare.pieces.values()), "piece")
    return Report(tuple(violations), (f"the rolls are too few, proved by prices; {stay} bare",), searched)


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
        opened[lot.label] += roll.count
        for drop in drops:
            if _fits_behind(wanted, lot, roll, drop):
                yield Violation(
                    "bare", f"drop {drop.label}", f"stays bare, and fits behind the last of roll {roll.label}"
                )
    for lot in wanted.rolls:
        spare = lot.count is None or lot.count > opened[lot.label]
        for drop in drops if spare else ():
            if not lot.parts and lot.may_give(drop) and lot.can_hold(drop, wanted.match.repeat):
                yield Violation("bare", f"drop {drop.label}", f"stays bare, and a roll of {lot.label} is not opened")


def _fits_behind(wanted: Wanted, lot: StockLot, roll: ListedRoll, drop: WantedDrop) -> bool:
    first, last = roll.cuts[0], max(roll.cuts, key=lambda cut: cut.end)
    known = wanted.drops.get(drop_label(first.piece))
    if lot.parts or known is None or not lot.may_give(drop):
        return False
    datum = first.start + lot.datum_of(known) if lot.first_motif is None else lot.first_motif
    lead_in = within_repeat(datum - lot.datum_of(drop) - last.end, wanted.match.repeat)
    return last.end + lead_in + drop.cut_length <= lot.length
