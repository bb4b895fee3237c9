"""The rules that each roll and each drop must keep: one function per rule, faults as values.

A cut of a drop whose datum lies ``datum`` below its cut top may start at s, on a roll with datums at
m, m + R, m + 2R …, exactly when s + datum ≡ m (mod R). On a sealed roll m is not known: one m must serve all
cuts of the roll, and the first cut starts at R or later, so that the layout fits however the roll begins.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from itertools import accumulate, pairwise
from typing import Final

from cutplan.check.report import Violation, counted, float_rule, mm
from cutplan.check.roll_rules.rolls_there import lot_of, roll_facts_rule, rolls_known, stock_rule
from cutplan.check.roll_rules.what_fits_where import StockLot, Stretch, WantedDrop
from cutplan.check.stated.document import SIDES, ListedCut, ListedPlan, ListedRoll
from cutplan.check.stated.echo import Wanted

_PIECE: Final = re.compile(r"(?P<drop>.*) \((?P<number>[1-9][0-9]{0,8}) of (?P<count>[1-9][0-9]{0,8})\)", re.DOTALL)


def drop_label(piece: str) -> str:
    """Return the label of the drop that a piece belongs to: ``1`` of ``1 (2 of 3)``."""
    return piece.partition(" (")[0]


def piece_number(piece: str) -> int | None:
    """Return the number of a piece among those of its drop: 2 of ``1 (2 of 3)``; None where it bears none."""
    numbered = _PIECE.fullmatch(piece)
    return int(numbered["number"]) if numbered else None


def known_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require every cut to be of a drop that is wanted, and a cut on every roll opened."""
    for roll in plan.rolls:
        if not roll.cuts:
            yield Violation("cuts", f"roll {roll.label}", "nothing is cut from it")
        for cut in roll.cuts:
            if drop_label(cut.piece) not in wanted.drops:
                yield Violation("cuts", f"roll {roll.label}", f"drop {cut.piece} is not in the scenario")


def place_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require every drop to start where the print allows."""
    repeat = wanted.match.repeat
    if not repeat:
        return
    for roll, lot in rolls_known(wanted, plan):
        datums = {number: stretch.datum for number, stretch in enumerate(lot.stretches)}
        places = dict.fromkeys(datums, "the nearest legal place")
        for cut, drop in _cuts_known(wanted, roll):
            number, place = lot.stretch_at(cut.start), cut.start + lot.datum_of(drop)
            datum = datums[number]
            if datum is None:
                datums[number] = place
                places[number] = f"the nearest place in step with drop {cut.piece}"
                continue
            ahead = (place - datum) % repeat
            if ahead:
                amount = min(ahead, repeat - ahead)
                message = f"drop {cut.piece} starts {mm(amount)} from {places[number]}"
                yield Violation("place", f"roll {roll.label}", message, amount)


def length_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require every cut to be as long as both trims and the height."""
    for roll, _, cut, drop in _every_cut(wanted, plan):
        excess = cut.end - cut.start - drop.cut_length
        if excess:
            amount, way = abs(excess), "long" if excess > 0 else "short"
            message = f"drop {cut.piece} is cut {mm(amount)} too {way}: trims and height are {mm(drop.cut_length)}"
            yield Violation("length", f"roll {roll.label}", message, amount)


def end_rule(wanted: Wanted, plan: ListedPlan, *, at_best: bool = False) -> Iterator[Violation]:
    """Require cuts to lie within one stretch of the roll, beyond the worst lead-in where its print is not known.

    ``at_best`` lets such a roll begin where it likes.
    """
    for roll, lot in rolls_known(wanted, plan):
        for number, stretch in enumerate(lot.stretches):
            cuts = [cut for cut in roll.cuts if lot.stretch_at(cut.start) == number]
            if cuts:
                name = "the roll" if len(lot.stretches) == 1 else f"stretch {number + 1} of the roll"
                lead_in = wanted.match.repeat if stretch.datum is None and not at_best else Fraction(0)
                yield from _ends_of(stretch, name, lead_in, cuts, f"roll {roll.label}")


def _ends_of(stretch: Stretch, name: str, lead_in: Fraction, cuts: list[ListedCut], where: str) -> Iterator[Violation]:
    first = min(cuts, key=lambda cut: cut.start)
    earliest = stretch.start + lead_in
    if first.start < earliest:
        amount = earliest - first.start
        end = f"worst lead-in of {mm(lead_in)}" if lead_in else f"beginning of {name}"
        yield Violation("ends", where, f"drop {first.piece} starts {mm(amount)} before the {end}", amount)
    for cut in cuts:
        if cut.end > stretch.end:
            amount = cut.end - stretch.end
            yield Violation("ends", where, f"drop {cut.piece} ends {mm(amount)} beyond the end of {name}", amount)


def order_rule(_wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require cuts to be listed in their order along the roll."""
    for roll in plan.rolls:
        for cut, following in pairwise(roll.cuts):
            amount = cut.start - following.start
            if amount > 0:
                message = f"drop {cut.piece} is listed before drop {following.piece}, but starts {mm(amount)} behind it"
                yield Violation("order", f"roll {roll.label}", message, amount)


def overlap_rule(_wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require that no two cuts share paper."""
    for roll in plan.rolls:
        furthest: ListedCut | None = None
        for cut in sorted(roll.cuts, key=lambda cut: cut.start):
            if furthest is not None and cut.start < furthest.end:
                amount = min(furthest.end, cut.end) - cut.start
                message = f"drops {furthest.piece} and {cut.piece} overlap by {mm(amount)}"
                yield Violation("overlap", f"roll {roll.label}", message, amount)
            if furthest is None or cut.end > furthest.end:
                furthest = cut


def shown_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require the figures shown to be the exact ones rounded, and what is left of a roll to be right."""
    for roll in plan.rolls:
        where, lot = f"roll {roll.label}", lot_of(wanted, roll)
        for cut in roll.cuts:
            yield from float_rule("figures", where, f"drop {cut.piece}: from_mm", cut.shown_start, cut.start)
            yield from float_rule("figures", where, f"drop {cut.piece}: to_mm", cut.shown_end, cut.end)
        if lot is None or not roll.cuts:
            continue
        left = lot.length - max(cut.end for cut in roll.cuts)
        yield from float_rule("figures", where, "left_mm", roll.left, left)
        yield from float_rule("figures", where, "slack_mm", roll.slack, left)


def count_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require every drop to be cut exactly as often as it is wanted."""
    cut = Counter[str]()
    for roll in plan.rolls:
        for piece in roll.cuts:
            cut[drop_label(piece.piece)] += roll.count
    for drop in wanted.drops.values():
        if cut[drop.label] != drop.count:
            message = f"cut {counted(cut[drop.label], 'time')}, wanted {drop.count}"
            amount = Fraction(abs(cut[drop.label] - drop.count))
            yield Violation("count", f"drop {drop.label}", message, amount)


def piece_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require pieces written «1 (2 of 3)» to be numbered within their drop's count, each number once."""
    seen: set[str] = set()
    for roll, _, cut, drop in _every_cut(wanted, plan):
        if cut.piece == drop.label:
            continue
        where, numbered = f"roll {roll.label}", _PIECE.fullmatch(cut.piece)
        if numbered is None:
            message = f"piece {cut.piece!r} should be written like '{drop.label} (1 of {drop.count})'"
            yield Violation("pieces", where, message)
        elif int(numbered["count"]) != drop.count or int(numbered["number"]) > drop.count:
            message = f"there is no piece {cut.piece}: {drop.count} of drop {drop.label} wanted"
            yield Violation("pieces", where, message)
        elif roll.count > 1 or cut.piece in seen:
            yield Violation("pieces", where, f"piece {cut.piece} is cut more than once")
        seen.add(cut.piece)


def width_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require paper to have the part of the strip's width that each piece cut from it needs.

    A cut-out has no more of it than the paper that its drop is cut from, which may be a cut-out itself.
    """
    for roll, cut, drop, lots in _back_to_paper(wanted, plan):
        for number, lot in enumerate(lots):
            short, where = lot.short_across(drop), f"roll {roll.label}"
            by = f", for that falls out of what is cut from {lot.label}" if number else ""
            if short is None:
                yield Violation("width", where, f"drop {cut.piece} needs the full width of the strip{by}")
            elif short:
                message = f"drop {cut.piece} needs {mm(short)} of the strip's width that is not there{by}"
                yield Violation("width", where, message, short)


def _back_to_paper(
    wanted: Wanted, plan: ListedPlan
) -> Iterator[tuple[ListedRoll, ListedCut, WantedDrop, list[StockLot]]]:
    """Yield every cut with its lot; if that is a cut-out, what its drop is cut from; and so on, back to paper kept.

    Of several pieces of such a drop the last counts.
    """
    paper_of = {drop.label: lot for _, lot, _, drop in _every_cut(wanted, plan)}
    for roll, own, cut, drop in _every_cut(wanted, plan):
        lots, lot = [], own
        while lot is not None and lot not in lots:
            lots.append(lot)
            lot = None if lot.cut_from is None else paper_of.get(lot.cut_from)
        yield roll, cut, drop, lots


def batch_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require a drop that must be of a batch to be cut from it, and others from no offcut of which there is no roll.

    A cut-out is of the batch of the paper that its drop is cut from, which may be a cut-out itself.
    """
    for roll, cut, drop, lots in _back_to_paper(wanted, plan):
        lot = next((lot for lot in lots if not lot.is_of_its_batch(drop)), None)
        if lot is not None and drop.batch is not None:
            what = f"drop {cut.piece} must be of batch {drop.batch or 'not told'}, not {lot.batch or 'not told'}"
            yield Violation("batches", f"roll {roll.label}", what)
        elif lot is not None and lot is lots[0]:
            yield Violation("batches", f"roll {roll.label}", f"is of batch {lot.batch}, and no roll is")


def sheet_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require every part of a numbered set to be cut from its own sheet: no sheet stands in for another."""
    for roll, lot, cut, drop in _every_cut(wanted, plan):
        if lot is not None and lot.sheet != drop.sheet:
            own = "no sheet" if drop.sheet is None else f"sheet {drop.sheet}"
            found = "none" if lot.sheet is None else f"sheet {lot.sheet}"
            yield Violation("sheets", f"roll {roll.label}", f"drop {cut.piece} is a part of {own}, not of {found}")


def sheet_figures_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require what is said to come off the head, foot and sides of each sheet to be what its cuts leave of it."""
    sheets = {roll.label: (roll, lot) for roll, lot in rolls_known(wanted, plan) if lot.sheet and not lot.is_offcut}
    told = {sheet.roll: sheet for sheet in plan.sheets}
    for one, other in pairwise(plan.sheets):
        if (one.sheet, one.roll) >= (other.sheet, other.roll):
            message = f"is told after sheet {one.sheet}; sheets are told once each, from left to right"
            yield Violation("sheets", f"roll {other.roll}", message)
    for label in sorted(sheets.keys() ^ told.keys() if plan.sheets else ()):
        yield Violation("sheets", f"roll {label}", "is cut, and nothing is said of it, or the other way round")
    for label, (roll, lot) in sheets.items():
        cuts = list(_cuts_known(wanted, roll))
        if label not in told or not cuts:
            continue
        head = min(cut.start + drop.trim_top for cut, drop in cuts)
        foot = lot.length - max(cut.end - drop.trim_bottom for cut, drop in cuts)
        none, strip = Fraction(0), wanted.strip
        left = min(none if drop.left is None else drop.reach[0] + drop.left for _, drop in cuts)
        rights = (
            none if drop.right is None or strip is None else strip - drop.right + drop.reach[1] for _, drop in cuts
        )
        said = told[label]
        if said.sheet != lot.sheet:
            yield Violation("sheets", f"roll {label}", f"is said to be sheet {said.sheet}; it is sheet {lot.sheet}")
        for side, stated, found in zip(SIDES, said.off, (head, foot, left, min(rights)), strict=True):
            if stated != found:
                message = f"{mm(stated)} are said to come off its {side}; it is {mm(found)}"
                yield Violation("sheets", f"roll {label}", message, abs(stated - found))


def turned_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require every second length to hang turned end for end where the label says so, and what falls out of it as it.

    An earlier version did not say which hang turned, and of rolls cut alike nobody can.
    """
    told = [label for label, drop in wanted.drops.items() if drop.is_turned is not None]
    for label in () if wanted.is_reversed else told:
        yield Violation("turned", f"drop {label}", "is said to hang turned or not, of a paper that is not reversed")
    is_said = any(cut.is_turned is not None for roll in plan.rolls for cut in roll.cuts)
    for roll, lot, cut, drop in _every_cut(wanted, plan):
        is_second = (piece_number(cut.piece) or 1) % 2 == 0
        turns = None if drop.is_turned is None else drop.is_turned != is_second
        if (roll.count == 1 or turns is None) and is_said and bool(cut.is_turned) != bool(turns):
            what = "must hang turned end for end, and is not said to" if turns else "is said to hang turned"
            yield Violation("turned", f"roll {roll.label}", f"drop {cut.piece} {what}")
        if roll.count == 1 and lot is not None and lot.cut_from is not None and lot.is_turned != turns:
            what = f"falls out of drop {lot.cut_from}, which hangs the other way up than drop {cut.piece}"
            yield Violation("turned", f"roll {roll.label}", what)


def source_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require a cut-out to serve only what is hung, and cut, after the drop that it falls out of."""
    rank = {label: number for number, label in enumerate(wanted.drops)}
    turn = {} if plan.order is None else {drop_label(piece): number for number, piece in enumerate(plan.order.cuts)}
    last_before = [*accumulate(rank, lambda *pair: max(pair, key=lambda label: turn.get(label, 0)))]
    for roll, lot in rolls_known(wanted, plan):
        source = lot.waits_for
        for cut, drop in () if source is None else _cuts_known(wanted, roll):
            for places, what in ((rank, "hung"), (turn, "cut")):
                if source in places and places.get(drop.label, len(places)) <= places[source]:
                    message = f"drop {cut.piece} is {what} before drop {source}, which it is to fall out of"
                    yield Violation("source", f"roll {roll.label}", message)
            if source in turn and drop.label in turn and rank.get(source):
                last = last_before[rank[source] - 1]
                if turn.get(last, 0) > turn[drop.label]:
                    message = f"drop {cut.piece} is cut before drop {last}, and until that hangs drop {source} cannot"
                    yield Violation("order", f"roll {roll.label}", message)


def _every_cut(wanted: Wanted, plan: ListedPlan) -> Iterator[tuple[ListedRoll, StockLot | None, ListedCut, WantedDrop]]:
    """Yield every cut of a drop that is wanted, with its roll and, where that is in the stock, its lot."""
    for roll in plan.rolls:
        lot = lot_of(wanted, roll)
        yield from ((roll, lot, cut, drop) for cut, drop in _cuts_known(wanted, roll))


def _cuts_known(wanted: Wanted, roll: ListedRoll) -> Iterator[tuple[ListedCut, WantedDrop]]:
    for cut in roll.cuts:
        drop = wanted.drops.get(drop_label(cut.piece))
        if drop is not None:
            yield cut, drop


ROLL_RULES: Final = (
    stock_rule,
    roll_facts_rule,
    known_rule,
    place_rule,
    length_rule,
    end_rule,
    order_rule,
    overlap_rule,
    shown_rule,
    count_rule,
    piece_rule,
    width_rule,
    source_rule,
    batch_rule,
    turned_rule,
    sheet_rule,
    sheet_figures_rule,
)  # fmt: skip
