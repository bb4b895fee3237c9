"""The rules on what is bought: whole packets, counted in singles, at the price that the label gives."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from cutplan.check.report import Violation, exact_text
from cutplan.check.roll_rules.rolls_there import rolls_known

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cutplan.check.stated.document import ListedPlan
    from cutplan.check.stated.echo import Wanted


def to_buy_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require what is to be bought to be the rolls cut of those not in hand, in whole packets, and their price."""
    sold, stated = wanted.sold, plan.to_buy
    rolls = sum(roll.count for roll, lot in rolls_known(wanted, plan) if lot.count is None)
    is_plain = sold.packet == sold.singles == 1 or sold.unit is not None or not rolls
    if stated is None or is_plain:
        if (stated is None) != is_plain:
            yield Violation(
                "to buy", "", "to_buy must be given for paper bought in packets or singles, and for no other"
            )
        return
    bought = sold.bought(rolls)
    least = sold.bought(plan.certain.lower_bound or 0) // sold.packet
    figures: dict[str, Fraction | int] = {
        "rolls": bought,
        **({"packets": bought // sold.packet, "packets_lower_bound": least} if sold.packet > 1 else {}),
        **({"singles": bought * sold.singles} if sold.singles > 1 else {}),
        **({} if sold.price is None else {"cost": bought * sold.price}),
    }
    for key in sorted(figures.keys() | stated.keys()):
        is_due, said = figures.get(key), stated.get(key)
        if is_due is None or said is None:
            yield Violation("to buy", "", f"to_buy {'lacks' if said is None else 'must not have'} {key}")
        elif said != is_due:
            message = f"to_buy: {key} says {exact_text(said)}, but {rolls} rolls come to {exact_text(Fraction(is_due))}"
            yield Violation("to buy", "", message, abs(said - is_due))


def widths_rule(wanted: Wanted, plan: ListedPlan) -> Iterator[Violation]:
    """Require the widths given, as sold and as hung, to be those that follow from the scenario."""
    due, stated = wanted.sold.widths or {}, plan.widths or {}
    for key in sorted(due.keys() | stated.keys()):
        if due.get(key) != stated.get(key):
            said, is_due = (exact_text(of[key]) if key in of else "nothing" for of in (stated, due))
            yield Violation("widths", "", f"widths: {key} says {said}, and the scenario's paper has {is_due}")
