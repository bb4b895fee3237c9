"""The answer in sentences: how many rolls, how good that is, and what would help."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from typing import TYPE_CHECKING

from cutplan.job.job import Job
from cutplan.lengths import Rounding, show
from cutplan.paper.stock import Paper
from cutplan.plan.order import CuttingOrder, Follow
from cutplan.plan.plan import AtBest, Plan
from cutplan.plan.proof import Status
from cutplan.render.words.names import capital, drops_named, listed_with_and, roll_named
from cutplan.render.words.sale_words import as_sold, in_unit
from cutplan.render.words.sheet_words import sheets_needed
from cutplan.wording import counted

if TYPE_CHECKING:
    from cutplan.buying.by_length import Order


def answer(plan: Plan, order: Order | None = None) -> list[str]:
    """Return the answer in sentences: how many rolls, or what to order; how good that is, and what would help."""
    if order is not None:
        return [order_line(plan.job, order), *([order_proof(plan.job.paper, order)] if order.length else [])]
    lines = [needed(plan), _proved(plan), *_to_buy(plan)]
    lines += reuse_lines(plan, lambda rolls, value: _amount(plan, rolls, value))
    if plan.at_best is not None and plan.at_best.value < plan.value:
        lines.append(
            "To learn what your rolls need, open them, measure first_motif on each, write it into the "
            "scenario and plan again."
        )
    return lines


def needed(plan: Plan) -> str:
    """Return how many rolls are enough, in a sentence."""
    if sheets := sheets_needed(plan):
        return f"{sheets}{_cost(plan)}."
    rolls = _costing(plan, rolls_and_parts(plan), plan.value) + _cost(plan)
    does = ":" if plan.job.buys_beside_hand else " is" if plan.rolls_needed == 1 else " are"
    enough = f"{capital(rolls)}{does}"
    if plan.at_best is None or plan.job.paper.pattern.is_free:
        return f"{enough} enough."
    certain = f"{enough} certain to be enough, however the sealed rolls begin"
    return f"{certain}; {_at_best(plan, plan.at_best)}."


def _at_best(plan: Plan, best: AtBest) -> str:
    if best.value == plan.value == best.proof.bound:
        return f"even at best no {'cheaper plan' if plan.job.counts_cost else 'fewer'} will do"
    amount = _amount(plan, best.rolls, best.value)
    if best.status is Status.OPTIMAL:
        return f"at best {amount}"
    return f"at best {amount}, or even less (not proved; never under {_value(plan, best.proof.bound)})"


def _proved(plan: Plan) -> str:
    if plan.status is Status.OPTIMAL:
        each = ", each part of a roll counted as one" if _counts_parts(plan.job) and not plan.job.counts_cost else ""
        return f"{proof_words(plan)}: no plan {_does_better(plan.job)}{each}."
    why = f" ({plan.stopped})" if plan.stopped else ""
    found, bound = _value(plan, plan.value), _value(plan, plan.proof.bound)
    return f"Best found {found}, lower bound {bound}: not proved to be the least{why}. The plan itself holds."


def _does_better(job: Job) -> str:
    if job.buys_beside_hand:
        return "buys fewer, and none that buys as few opens fewer"
    return "costs less" if job.counts_cost else "needs fewer"


def proof_words(plan: Plan) -> str:
    """Return what proves a plan, as the beginning of a sentence."""
    if plan.proof.by_search and plan.batches is not None and not plan.batches.by_search:
        return "Proved for every choice of one batch for each wall, by prices that anyone can check (see --json)"
    if plan.proof.by_search or (plan.proof.to_buy is not None and plan.proof.to_buy.by_search):
        return "Proved by an exhaustive search"
    return "Proved by prices that anyone can check (see --json)" if plan.proof.prices else "Proved"


def rolls_and_parts(plan: Plan) -> str:
    """Return how many rolls a plan opens, and how many that are a part of a roll only."""
    parts = plan.parts_needed
    whole = plan.rolls_needed - parts
    words = [counted(whole, "roll")] if whole or not parts else []
    return listed_with_and([*words, *([counted(parts, "part of a roll", "parts of rolls")] if parts else [])])


def _counts_parts(job: Job) -> bool:
    """Return True when some of the rolls are a part of a roll only, each of which counts as a roll does."""
    return any(job.paper.is_part(lot.length) for lot in job.rolls)


def _in_all(job: Job, rolls: int) -> str:
    """Return a number of rolls of which nobody says how many are a part of a roll only."""
    if all(job.paper.is_part(lot.length) for lot in job.rolls):
        return counted(rolls, "part of a roll", "parts of rolls")
    return (
        counted(rolls, "roll or part of one", "rolls and parts of rolls")
        if _counts_parts(job)
        else counted(rolls, "roll")
    )


def _amount(plan: Plan, rolls: int, value: Fraction) -> str:
    return _costing(plan, _in_all(plan.job, rolls), value)


def _costing(plan: Plan, words: str, value: Fraction) -> str:
    if plan.job.buys_beside_hand:
        bought = plan.job.bought_in(value)
        to_buy = f"{counted(bought, 'roll')} to buy, and {words} to open in all"
        return to_buy if bought else f"nothing to buy, and {words} in hand to open"
    return f"{words} costing {money(value)}" if plan.job.counts_cost else words


def _cost(plan: Plan) -> str:
    """Return what the rolls cost, where they are whole, counted and not costed, but their one price is known."""
    price = plan.job.rolls[0].price
    paid, parts = plan.rolls_needed, plan.parts_needed
    if plan.job.buys_beside_hand:
        paid, parts = plan.rolls_to_buy, 0
    if plan.job.counts_cost or price is None or plan.is_bought_as_sold or parts or not paid:
        return ""
    return f" ({money(price * paid)} in all)"


def _to_buy(plan: Plan) -> list[str]:
    """Return what to ask for in the shop, of a paper that is not sold roll by roll."""
    if not plan.is_bought_as_sold:
        return []
    paper, rolls = plan.job.paper, plan.rolls_to_buy
    cost = paper.cost(rolls)
    return [f"To buy: {as_sold(paper.sale, rolls)}{'' if cost is None else f', {money(cost)} in all'}."]


def order_line(job: Job, order: Order) -> str:
    """Return what to order of a paper that is cut to order, in which pieces."""
    paper, unit = job.paper, job.paper.sale.unit or "m"
    if not order.length:
        return f"Order no {paper.name}: what is in hand is certain to be enough."
    cost = order.cost(paper)
    whole, rest = divmod(order.length, paper.roll_length)
    roll = in_unit(paper.roll_length, unit, Rounding.DOWN)
    pieces = [f"{counted(int(whole), 'whole roll')} of {roll}"] if whole else []
    pieces += [f"a piece of {in_unit(rest, unit)}"] if rest else []
    how = "in one piece" if len(pieces) == 1 and whole <= 1 else f"as {' and '.join(pieces)}"
    price = "" if cost is None else f" ({money(cost)})"
    return f"Order {in_unit(order.length, unit)} of {paper.name}{price}, {how}: certain, however the paper begins."


def order_proof(paper: Paper, order: Order) -> str:
    """Return why no shorter order will do, as far as that is known."""
    unit = paper.sale.unit or "m"
    needed = "" if order.needed is None else f"The drops take up {show(order.needed, 'mm', Rounding.UP)} of it. "
    if order.is_proved:
        return f"{needed}Proved: no shorter order is certain."
    return f"{needed}Not proved to be the shortest; never under {in_unit(order.least, unit, Rounding.DOWN)}."


def _value(plan: Plan, value: Fraction) -> str:
    if plan.job.buys_beside_hand:
        return _amount(plan, plan.job.opened_in(value), value)
    return money(value) if plan.job.counts_cost else str(value)


def money(amount: Fraction) -> str:
    """Return an amount with two decimals, as a price is written; rounded half up.

    >>> from fractions import Fraction
    >>> money(Fraction(588)), money(Fraction("7.125"))
    ('588.00', '7.13')

    """
    hundredths = (amount * 200 + 1) // 2
    return f"{hundredths // 100}.{hundredths % 100:02d}"


def reuse_lines(plan: Plan, amount: Callable[[int, Fraction], str]) -> Iterator[str]:
    """Yield what the plan cuts from offcuts, and what it would take without them; nothing for a plan without any.

    ``amount`` says how many rolls in words, or what they cost.
    """
    without = plan.without_offcuts
    if without is None:
        return
    pieces = listed_with_and(list(_pieces(plan)))
    if without.plan is None:
        what = "the rolls are too few" if without.is_proved else "no plan was found"
        yield f"Without offcuts {what}: {pieces}."
        return
    more = amount(without.plan.rolls_needed, without.plan.value)
    if without.plan.value == plan.value:
        yield f"Offcuts are used, but {more} would do without them too: {pieces}."
    else:
        it_takes = "it takes" if without.is_proved else "it was seen to take"
        yield f"Offcuts save {_saved(plan, without.plan)}: without them {it_takes} {more}. From them come {pieces}."


def _saved(plan: Plan, without: Plan) -> str:
    if plan.job.counts_cost:
        return "money"
    bought = plan.job.bought_in(without.value) - plan.rolls_to_buy if plan.job.buys_beside_hand else 0
    return counted(bought, "roll") if bought else _in_all(plan.job, without.rolls_needed - plan.rolls_needed)


def _pieces(plan: Plan) -> Iterator[str]:
    """Yield what is cut from each offcut: ``drop 8 from cut-out of 3``."""
    for layout in plan.layouts:
        lot = plan.job.lot(layout.lot)
        if lot.is_offcut:
            yield f"{drops_named([cut.drop for cut in layout.cuts])} from {roll_named(lot.label, lot)}"


def order_in_words(order: CuttingOrder) -> str:
    """Return what a user should know about the order of cutting."""
    if order.follow is Follow.NOTHING:
        return "All drops are cut at once, one roll after another."
    rolls = counted(order.open_rolls, "roll")
    is_by_wall = order.follow is Follow.WALLS
    keeping = "Cut wall by wall" if is_by_wall else "Cut as you hang"
    return f"{keeping}, with no more than {rolls} open: {_figures(order, is_by_wall=is_by_wall)}. {_standing(order)}"


def _figures(order: CuttingOrder, *, is_by_wall: bool) -> str:
    if not order.most_waiting:
        return "no drop is cut before its wall's turn" if is_by_wall else "each drop can be hung as soon as it is cut"
    one = order.most_waiting == 1
    waiting = counted(order.most_waiting, "drop ever lies", "drops ever lie")
    places = counted(order.furthest_ahead, "wall" if is_by_wall else "place")
    whose = "its" if one else "their"
    return f"no more than {waiting} cut before {whose} turn, and none more than {places} ahead"


def _standing(order: CuttingOrder) -> str:
    if order.is_proved:
        return "Proved: no order of cutting these rolls does better."
    if order.most_waiting > order.most_waiting_bound:
        least = order.most_waiting_bound
        return f"Not proved to be the best; fewer than {least} is ruled out." if least else "Not proved to be the best."
    return f"No order has fewer waiting; less than {order.furthest_ahead_bound} ahead is ruled out."
