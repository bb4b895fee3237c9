"""The answer in sentences: how many rolls, how good that is, and what would help."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.lengths import Rounding, show
from cutplan.plan.proof import Status
from cutplan.render.words.reuse_words import reuse_lines
from cutplan.render.words.sale_words import as_sold, in_unit
from cutplan.render.words.sheet_words import sheets_needed
from cutplan.wording import counted

if TYPE_CHECKING:
    from fractions import Fraction

    from cutplan.buying.by_length import Order
    from cutplan.job.job import Job
    from cutplan.paper.stock import Paper
    from cutplan.plan.plan import AtBest, Plan


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
    rolls = _amount(plan, plan.rolls_needed, plan.value) + _cost(plan)
    does = "is" if plan.rolls_needed == 1 else "are"
    if plan.at_best is None or plan.job.paper.pattern.is_free:
        return f"{rolls} {does} enough."
    certain = f"{rolls} {does} certain to be enough, however the sealed rolls begin"
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
        return f"{_proof(plan)}: no plan {'costs less' if plan.job.counts_cost else 'needs fewer'}."
    why = f" ({plan.stopped})" if plan.stopped else ""
    found, bound = _value(plan, plan.value), _value(plan, plan.proof.bound)
    return f"Best found {found}, lower bound {bound}: not proved to be the least{why}. The plan itself holds."


def _proof(plan: Plan) -> str:
    if plan.proof.by_search and plan.batches is not None and not plan.batches.by_search:
        return "Proved for every choice of one batch for each wall, by prices that anyone can check (see --json)"
    if plan.proof.by_search:
        return "Proved by an exhaustive search"
    return "Proved by prices that anyone can check (see --json)" if plan.proof.prices else "Proved"


def _amount(plan: Plan, rolls: int, value: Fraction) -> str:
    words = counted(rolls, "roll")
    return f"{words} costing {money(value)}" if plan.job.counts_cost else words


def _cost(plan: Plan) -> str:
    """Return what the rolls cost, where they are counted and not costed but their one price is known."""
    price = plan.job.rolls[0].price
    if plan.job.counts_cost or price is None or plan.is_bought_as_sold:
        return ""
    return f" ({money(price * plan.rolls_needed)} in all)"


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
    pieces = [f"{counted(int(whole), 'whole roll')} of {in_unit(paper.roll_length, unit)}"] if whole else []
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
    return f"{needed}Not proved to be the shortest; never under {in_unit(order.least, unit)}."


def _value(plan: Plan, value: Fraction) -> str:
    return money(value) if plan.job.counts_cost else str(value)


def money(amount: Fraction) -> str:
    """Return an amount with two decimals, as a price is written; rounded half up.

    >>> from fractions import Fraction
    >>> money(Fraction(588)), money(Fraction("7.125"))
    ('588.00', '7.13')

    """
    hundredths = (amount * 200 + 1) // 2
    return f"{hundredths // 100}.{hundredths % 100:02d}"
