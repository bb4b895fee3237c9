"""How many rolls to buy, as the JSON document that other programs read.

Exact lengths stand as text (``"first_motif": "285/2"``), amounts of money as decimal text, chances as a float beside
the exact fraction.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from cutplan.buying.certain import Figure
from cutplan.buying.how_many import RollsToBuy
from cutplan.buying.need import Size
from cutplan.buying.odds import Odds
from cutplan.buying.savings import SmallerTrim
from cutplan.lengths import exact_mm, exact_number
from cutplan.paper.sale import Sale
from cutplan.plan.plan import Plan
from cutplan.render.documents.plan_document import Json, sheets_document
from cutplan.scenario.read import Scenario

FORMAT: Final = "cutplan-buy/1"


def sheets_ordered(order: Sequence[int], plan: Plan, scenario: Scenario) -> Json:
    """Return which sheets of a numbered set to order, and what comes off each, as plain JSON types."""
    price = plan.job.paper.price
    facts = {"format": FORMAT, "order": list(order), "cost": None if price is None else _money(price * len(order))}
    return {**facts, **sheets_document(plan), "notes": list(scenario.notes)}


def buying_document(answer: RollsToBuy, scenario: Scenario) -> Json:
    """Return the whole answer as plain JSON types. Figures are rolls to buy besides those in hand."""
    return {
        "format": FORMAT,
        "buy": _recommendation(answer),
        "size": _size(answer.need.size),
        "rolls_in_hand": answer.need.rolls_in_hand,
        "certain": _figure(answer.sure.figure),
        "measured_first": {
            **_figure(answer.opened.figure),
            "combinations": answer.opened.combinations,
            "too_few_with": None if answer.opened.worst is None else list(map(exact_mm, answer.opened.worst)),
            "too_few_with_in_hand": [
                {"length": exact_mm(length), "first_motif": exact_mm(motif)}
                for length, motif in answer.opened.worst_in_hand
            ],
        },
        "at_best": _figure(answer.sure.at_best),
        "odds": [_odds(odds) for odds in answer.odds],
        "short_rolls": _short(answer),
        "savings": _savings(answer),
        "spoiled_drop": {
            **_figure(answer.spoiled.figure),
            "dearest": list(answer.spoiled.dearest),
            "only_if_planned": list(answer.spoiled.only_if_planned),
            "not_settled": list(answer.spoiled.not_settled),
            "left_over": answer.spoiled.is_left_over,
        },
        "sizes": [
            {
                **_size(choice.size),
                "rolls": None if choice.figure is None else _figure(choice.figure),
                "cost": _money(choice.cost),
                "measured_first": None if choice.found is None else choice.found.buy,
                "measured_cost": _money(choice.measured_cost),
            }
            for choice in answer.sizes
        ],
        "mixture": _mixture(answer),
        "returning": _returning(answer, scenario.units),
        "rules_of_thumb": [{"rule": rule.name, "rolls": rule.rolls} for rule in answer.rules],
        "notes": list(scenario.notes),
        "scenario": scenario.document,
    }


def _recommendation(answer: RollsToBuy) -> Json:
    advised = answer.recommendation
    return {
        "rolls": advised.buy,
        **_as_sold(answer.need.size.sale, advised.buy),
        "cost": _money(advised.cost),
        "must_measure": advised.must_measure,
        "measure_first": advised.open_first,
        "chance_those_do": float(advised.chance),
        "return_unopened": advised.returned,
        "refund": _money(advised.refund),
        "must_join": list(answer.need.batches),
        "of_batches": dict(advised.of_batches),
        "if_of_another_batch": None if answer.otherwise is None else answer.otherwise.buy,
        "spare_drop": answer.need.job.drops[-1].label if answer.wishes.wants_spare else None,
    }


def _figure(figure: Figure) -> Json:
    return {"rolls": figure.enough, "lower_bound": figure.least}


def _size(size: Size) -> Json:
    return {"length": exact_mm(size.length), "price": _money(size.price), **_as_sold(size.sale, size.sale.packet)}


def _as_sold(sale: Sale, rolls: int) -> Json:
    """Return in how many packets so many rolls are, and as how many singles they count, where either is not plain."""
    packets: Json = {"packets": sale.packets(rolls), "rolls_in_a_packet": sale.packet} if sale.packet > 1 else {}
    return packets | ({"singles": rolls * sale.singles} if sale.singles > 1 else {})


def _odds(odds: Odds) -> Json:
    return {
        "rolls": odds.rolls,
        "chance": float(odds.chance),
        "exact": str(odds.chance) if odds.is_exact else None,
        "low": odds.low,
        "high": odds.high,
        "draws": odds.draws,
        "at_least": odds.is_at_least,
    }


def _short(answer: RollsToBuy) -> Json | None:
    short = answer.short
    if short is None:
        return None
    return {
        "tolerance": float(short.tolerance),
        "length": exact_mm(short.length),
        "certain": _figure(short.figure),
        "measured_first": _figure(short.opened),
        "too_tight": [
            {"roll": roll.roll, "slack": exact_mm(roll.slack), "lacking": exact_mm(roll.lacking)}
            for roll in answer.tight
        ],
    }


def _savings(answer: RollsToBuy) -> Json:
    longer = answer.longer
    return {
        "trim": _trim(answer.trim),
        "double_length": None if longer is None else {"length": exact_mm(longer.length), **_figure(longer.figure)},
        "further": [{"what": saving.what.read(), **_figure(saving.figure)} for saving in answer.further_savings],
    }


def _trim(trim: SmallerTrim | None) -> Json | None:
    if trim is None:
        return None
    ends = {"top": exact_mm(trim.top), "bottom": exact_mm(trim.bottom)}
    return {**ends, "is_largest": trim.is_largest, **_figure(trim.figure)}


def _returning(answer: RollsToBuy, units: str) -> Json | None:
    back = answer.returning
    if back is None:
        return None
    return {
        "opened": back.opened,
        "unopened": list(back.unopened),
        "of_those_needed_if_short": back.must_stay,
        "one_more_by_another_plan": back.by_another_plan,
        "one_more_if_measured": back.if_measured,
        "one_more_with_trim": _trim(back.trim),
        "one_more_otherwise": [what.read(units) for what in back.otherwise],
    }


def _mixture(answer: RollsToBuy) -> Json | None:
    mixed = answer.mixed
    if mixed is None:
        return None
    rolls = [{**_size(size), "rolls": count} for size, count in mixed.rolls]
    return {"rolls": rolls, "cost": exact_number(mixed.cost), "cost_lower_bound": exact_number(mixed.least_cost)}


def _money(amount: Fraction | None) -> str | None:
    return None if amount is None else exact_number(amount)
