"""The rules that a plan's figures must keep: what it needs, what it costs, its bounds and its status."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import ceil
from typing import Final

from cutplan.check.proof.prices_proof import figure
from cutplan.check.report import Violation, counted, exact_text
from cutplan.check.roll_rules.as_sold import ordered_rule, to_buy_rule, widths_rule
from cutplan.check.roll_rules.rolls_there import lot_of, rolls_known
from cutplan.check.stated.document import Figures, ListedPlan
from cutplan.check.stated.echo import Wanted


def objective_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require cost to be what counts exactly when rolls differ in price, and rolls to buy only beside rolls in hand."""
    objective = "cost" if wanted.counts_cost else "rolls"
    if plan.buys_first and wanted.buys_beside_hand:
        return
    if plan.objective not in (None, objective):
        why = "rolls differ in price" if wanted.counts_cost else "no two rolls differ in price"
        yield Violation("totals", "", f"objective says {plan.objective}, but {why}")


def rolls_needed_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require the rolls needed to be the rolls listed."""
    listed, claimed = rolls_listed(wanted, plan), plan.certain.rolls
    if claimed is not None and claimed != listed:
        message = f"rolls_needed says {claimed}, the rolls listed are {listed}"
        yield Violation("totals", "", message, Fraction(abs(listed - claimed)))


def cost_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require the cost to be that of the rolls listed."""
    claimed, cost = plan.certain.cost, cost_listed(wanted, plan)
    if claimed is None:
        if wanted.counts_cost:
            yield Violation("totals", "", "rolls differ in price, but the plan gives no cost")
    elif cost is None:
        yield Violation("totals", "", f"cost says {exact_text(claimed)}, but not every roll has a price")
    elif claimed != cost:
        message = f"cost says {exact_text(claimed)}, the rolls listed cost {exact_text(cost)}"
        yield Violation("totals", "", message, abs(cost - claimed))


def lower_bound_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require the lower bounds given to be those of the proofs."""
    dearest = max((wanted.value_of(lot) for lot in wanted.rolls), default=Fraction(0))
    for figures in (plan.certain, plan.at_best):
        bound = Fraction(0) if figures.proof is None else figures.proof.bound
        rolls, cost = figures.lower_bound, figures.cost_lower_bound
        proved = ceil(bound / dearest) if dearest else 0
        if rolls is not None and rolls != proved:
            yield _unproved(figures, figures.names[1], Fraction(rolls), counted(proved, "roll"), abs(rolls - proved))
        if cost is not None and not wanted.counts_cost:
            message = f"{figures.names[3]} says {exact_text(cost)}, but rolls are counted, not cost"
            yield Violation("bound", "", message)
        elif cost is not None and (cost != bound or figures.proof is None):
            yield _unproved(figures, figures.names[3], cost, exact_text(bound), abs(cost - bound))


def _unproved(figures: Figures, key: str, claimed: Fraction, proved: str, by: Fraction | int) -> Violation:
    why = "but no proof is given" if figures.proof is None else f"its proof's bound comes to {proved}"
    return Violation("bound", "", f"{key} says {exact_text(claimed)}, {why}", Fraction(by))


def status_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require figures not below their bounds, and equal to them where called optimal."""
    for figures, value in (
        (plan.certain, value_listed(wanted, plan)),
        (plan.at_best, _at_best(wanted, plan)),
    ):
        status, key = figures.status, figures.names[4]
        if value is None:
            if status in ("optimal", "feasible"):
                yield Violation("status", "", f"{key} says {status}, but there is no figure")
            continue
        if status in ("infeasible", "unknown") and (figures is plan.at_best or plan.rolls):
            there = "there is a figure" if figures is plan.at_best else "rolls are listed"
            yield Violation("status", "", f"{key} says {status}, but {there}")
        bound = Fraction(0) if figures.proof is None else figures.proof.bound
        reached, limit = figure(wanted, value), figure(wanted, bound)
        if value < bound:
            yield Violation("status", "", f"{figures.names[0]}: {reached} is below the bound of {limit}", bound - value)
        elif status == "optimal" and value > bound:
            message = f"{key} says optimal, but {reached} is above the bound of {limit}"
            yield Violation("status", "", message, value - bound)


def at_best_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require a best case only where rolls are sealed, and no worse than what is certain."""
    best, value = _at_best(wanted, plan), value_listed(wanted, plan)
    if best is None:
        return
    if not any(lot.is_sealed for lot in wanted.rolls):
        yield Violation("at best", "", f"at best {figure(wanted, best)}, but no roll is sealed: the plan is exact")
    if best > value and plan.at_best.bought == plan.certain.bought:
        message = f"at best {figure(wanted, best)} is more than the {figure(wanted, value)} that are certain"
        yield Violation("at best", "", message, best - value)


def at_best_rolls_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require the rolls of the best case to be a number that its cost, where cost counts, can buy."""
    rolls, cost = plan.at_best.rolls, plan.at_best.cost
    if cost is not None and not wanted.counts_cost:
        yield Violation("at best", "", f"at_best_cost says {exact_text(cost)}, but rolls are counted, not cost")
    if rolls is None or cost is None or not wanted.counts_cost:
        return
    cheapest, dearest = _price_of(wanted, rolls), _price_of(wanted, rolls, is_dearest=True)
    if cheapest is None or dearest is None:
        yield Violation("at best", "", f"at best {counted(rolls, 'roll')}, and there are not so many")
    elif not cheapest <= cost <= dearest:
        message = f"at_best says {counted(rolls, 'roll')}, which cost {exact_text(cheapest)} to {exact_text(dearest)}"
        amount = max(cheapest - cost, cost - dearest)
        yield Violation("at best", "", f"{message}; at_best_cost says {exact_text(cost)}", amount)


def _price_of(wanted: Wanted, rolls: int, *, is_dearest: bool = False) -> Fraction | None:
    """Return the price of so many of the cheapest rolls, or of the dearest; None when there are not so many."""
    price, left = Fraction(0), rolls
    for lot in sorted(wanted.rolls, key=wanted.value_of, reverse=is_dearest):
        taken = left if lot.count is None else min(left, lot.count)
        price += taken * wanted.value_of(lot)
        left -= taken
    return None if left else price


def without_offcuts_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require what is said of the job without offcuts to be no less than what the plan proves of it with them."""
    without = plan.without_offcuts
    if without is None:
        return
    if not any(lot.is_offcut for _, lot in rolls_known(wanted, plan)):
        yield Violation("without offcuts", "", "without_offcuts is given, but the plan cuts from none")
    if (without.cost is not None) and not wanted.counts_cost:
        yield Violation("without offcuts", "", "without_offcuts gives a cost, but rolls are counted")
    if without.rolls is None:
        if without.cost is not None:
            yield Violation("without offcuts", "", "without_offcuts gives a cost, and no rolls")
        return
    value = without.cost if wanted.counts_cost else Fraction(without.rolls)
    least = Fraction(0) if plan.certain.proof is None else plan.certain.proof.bound
    if value is None:
        yield Violation("without offcuts", "", "rolls differ in price, but without_offcuts gives no cost")
    elif plan.buys_first:
        return  # Without them more may be bought and fewer opened, as the plan of it shows.
    elif value < least:
        message = f"without offcuts {figure(wanted, value)}, fewer than the bound of {figure(wanted, least)} with them"
        yield Violation("without offcuts", "", message, least - value)
    yield from _enough_without(wanted, plan, value, is_proved=without.is_proved)


def without_rule(bare: Wanted, plan: ListedPlan, listed: ListedPlan) -> Iterator[Violation]:
    """Require what is said of the job without offcuts to be what the plan of it needs, and proved only where it is."""
    without, value = plan.without_offcuts, value_listed(bare, listed)
    if without is None:
        return
    if (without.rolls, without.cost or value) != (rolls_listed(bare, listed), value):
        yield Violation("without offcuts", "", f"its plan needs {figure(bare, value)}, and other figures are told")
    bounds = [figures.proof.bound for figures in (listed.certain, plan.certain) if figures.proof is not None]
    if without.is_proved and value not in bounds:
        yield Violation("without offcuts", "", "is said to be proved, and no bound comes to as much")


def _enough_without(
    wanted: Wanted, plan: ListedPlan, value: Fraction | None, *, is_proved: bool
) -> Iterator[Violation]:
    """Require a figure called proved to be no more than the plan's, and a roll for each piece from an offcut."""
    endless = [lot for lot in wanted.rolls if lot.count is None]
    if value is None or not is_proved or not endless:
        return
    longest = max(drop.cut_length for drop in wanted.drops.values())
    if longest + wanted.match.repeat > endless[0].length or len({lot.batch for lot in wanted.lots.values()}) > 1:
        return
    from_offcuts = sum(len(roll.cuts) for roll, lot in rolls_known(wanted, plan) if lot.is_offcut)
    most = value_listed(wanted, plan) + from_offcuts * wanted.value_of(endless[0])
    if value > most:
        message = f"without offcuts {figure(wanted, value)}, but {figure(wanted, most)} are enough"
        yield Violation("without offcuts", "", message, value - most)


def _at_best(wanted: Wanted, plan: ListedPlan) -> Fraction | None:
    if wanted.counts_cost:
        return plan.at_best.cost
    return None if plan.at_best.rolls is None else Fraction(plan.at_best.rolls)


def rolls_listed(wanted: Wanted, plan: ListedPlan) -> int:
    """Return how many rolls the entries stand for; offcuts are none."""
    lots = ((lot_of(wanted, roll), roll.count) for roll in plan.rolls)
    return sum(count for lot, count in lots if lot is None or not lot.is_offcut)


def cost_listed(wanted: Wanted, plan: ListedPlan) -> Fraction | None:
    """Return what the rolls listed cost, those of unknown lots left out; None when some lot has no price."""
    if any(lot.price is None for lot in wanted.rolls):
        return None
    return sum((roll.count * (lot.price or Fraction(0)) for roll, lot in rolls_known(wanted, plan)), Fraction(0))


def value_listed(wanted: Wanted, plan: ListedPlan) -> Fraction:
    """Return what the plan minimises: the number of rolls listed, or their cost where prices differ."""
    cost = cost_listed(wanted, plan)
    return cost if wanted.counts_cost and cost is not None else Fraction(rolls_listed(wanted, plan))


TOTAL_RULES: Final = (
    objective_rule,
    rolls_needed_rule,
    cost_rule,
    lower_bound_rule,
    status_rule,
    at_best_rule,
    at_best_rolls_rule,
    without_offcuts_rule,
    to_buy_rule,
    ordered_rule,
    widths_rule,
)
