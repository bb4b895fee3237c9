"""Plan files: the plan as the JSON document that other programs, and ``cutplan check``, read.

Exact lengths stand as text (``"from": "640/3"``) beside the floats that are easy to read (``"from_mm"``).
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from collections.abc import Sequence as Rows
from fractions import Fraction
from typing import TYPE_CHECKING, Final, TypeAlias

from msgspec.structs import replace

from cutplan.lengths import exact_mm, exact_number, to_float_mm
from cutplan.paper.stock import Paper
from cutplan.plan.order import CuttingOrder
from cutplan.plan.plan import Plan, RollLayout
from cutplan.plan.proof import BatchChoice, Prices, Proof, Status
from cutplan.plan.sheet_cuts import sheet_cuts
from cutplan.scenario.read import Scenario
from cutplan.setting_out import Closing, Panel, Piece, SettingOut
from cutplan.table.sequence import sequence_of
from cutplan.table.steps import CutDrop, Sequence
from cutplan.table.timetable import DAY, Act, Pace, clock, timetable_of

if TYPE_CHECKING:
    from cutplan.buying.by_length import Order

FORMAT: Final = "cutplan-plan/1"
Json: TypeAlias = "dict[str, object]"
_OF_THE_WHOLE: Final = ("at_best", "notes", "scenario")


def plan_document(plan: Plan, scenario: Scenario) -> Json:
    """Return the plan in hanging order, its bound, its proof and the scenario it answers, as plain JSON.

    Cuts stand in order along the roll, measured from its outer end in millimetres, trims included.
    """
    return document_of(sequence_of(plan), scenario)


def document_of(sequence: Sequence, scenario: Scenario) -> Json:
    """Return the plan document of a plan whose sequence is known already; see :func:`plan_document`."""
    plan = sequence.plan
    return {
        "format": FORMAT,
        "status": plan.status.value,
        "objective": "cost" if plan.job.counts_cost else "rolls_to_buy" if plan.job.buys_beside_hand else "rolls",
        "rolls_needed": plan.rolls_needed,
        "lower_bound": plan.lower_bound,
        **_cost(plan),
        **_bought(plan, plan.value, plan.proof, "rolls_to_buy"),
        **_to_buy(plan),
        **_at_best(plan),
        "stopped": plan.stopped,
        "proof": {
            **proof_document(plan.proof, for_every_choice=plan.batches is not None and not plan.batches.by_search),
            **_both_proofs(plan, plan.value, plan.proof),
        },
        **_at_best_proof(plan),
        **_ordered(plan, scenario.ordered),
        **_widths(plan.job.paper),
        "rolls": _rolls(sequence),
        **sheets_document(plan),
        **_rolls_at_best(plan),
        **_without_offcuts(plan, scenario),
        **({"batches": _batches(plan, plan.batches)} if plan.batches is not None else {}),
        **({"order": _order(sequence, plan.order)} if plan.order is not None else {}),
        **_timetable(sequence, scenario.pace),
        **({"setting_out": setting_out_document(scenario.setting_out)} if scenario.setting_out is not None else {}),
        "notes": list(scenario.notes),
        "scenario": scenario.document,
    }


def plan_text(document: Json) -> str:
    """Return the document as JSON text, in ASCII, so that any pipe and any file takes it."""
    return json.dumps(document, indent=2, allow_nan=False) + "\n"


def _cost(plan: Plan) -> Json:
    """Return what the rolls cost where each has a price; offcuts are there already and cost nothing.

    Where one is a part of a roll, and its price that of a whole one, nobody knows it.
    """
    job = plan.job
    opened = [job.lot(layout.lot) for layout in plan.layouts]
    has_part = any(job.paper.is_part(lot.length) and lot.price == job.paper.price for lot in opened)
    if any(lot.price is None for lot in job.rolls) or (has_part and not job.counts_cost):
        return {}
    cost = sum((layout.count * (plan.job.lot(layout.lot).price or Fraction(0)) for layout in plan.layouts), Fraction(0))
    bound = {"cost_lower_bound": exact_number(plan.proof.bound)} if plan.job.counts_cost else {}
    return {"cost": exact_number(cost), **bound}


def _bought(plan: Plan, value: Fraction, proof: Proof, key: str) -> Json:
    """Return how many rolls are bought beside those in hand, and the fewest that can be."""
    job = plan.job
    if not job.buys_beside_hand:
        return {}
    return {key: job.bought_in(value), f"{key}_lower_bound": job.bought_in(proof.bound)}


def _both_proofs(plan: Plan, value: Fraction, proof: Proof) -> Json:
    """Return how many rolls are bought at least, and how many opened by plans that buy no more than one of this value.

    Prices of those opened are left out where a search has proved more of those bought: they are of other plans.
    """
    job, to_buy = plan.job, proof.to_buy
    if to_buy is None:
        return {}
    bought = job.bought_in(proof.bound)
    by_search = to_buy.by_search or bought > to_buy.bound
    proved = proof_document(replace(to_buy, bound=Fraction(bought), by_search=by_search))
    opened: Json = {"bound": str(plan.rolls_at_least(value, proof)), "to_buy": proved}
    is_followed = bought == to_buy.bound == job.bought_in(value)
    return opened if is_followed else {**opened, "by": "search", "prices": None}


def _to_buy(plan: Plan) -> Json:
    """Return what to ask for in the shop, of a paper that is sold in packets or counted in singles."""
    if not plan.is_bought_as_sold:
        return {}
    paper, rolls = plan.job.paper, plan.rolls_to_buy
    sale, cost = paper.sale, paper.cost(rolls)
    least = plan.job.bought_in(plan.proof.bound) if plan.job.buys_beside_hand else plan.lower_bound
    packets = {"packets": sale.packets(rolls), "packets_lower_bound": sale.packets(least)}
    facts: Json = {
        **(packets if sale.packet > 1 else {}),
        "rolls": sale.bought(rolls),
        **({"singles": sale.bought(rolls) * sale.singles} if sale.singles > 1 else {}),
        **({} if cost is None else {"cost": exact_number(cost)}),
    }
    return {"to_buy": facts}


def _ordered(plan: Plan, order: Order | None) -> Json:
    """Return what is ordered of a paper that is cut to order, and the pieces in which it comes."""
    if order is None:
        return {}
    pieces = [
        {"lot": lot.label, "length": exact_mm(lot.length), "count": lot.count}
        for lot in plan.job.rolls
        if lot.count is not None
    ]
    return {"ordered": {**order_document(order, plan.job.paper), "pieces": pieces}}


def order_document(order: Order, paper: Paper) -> Json:
    """Return a length to order, the bound on it, what the drops take up of one piece, and what it costs."""
    needed, cost = order.needed, order.cost(paper)
    return {
        "length": exact_mm(order.length),
        "lower_bound": exact_mm(order.least),
        **({} if needed is None else {"needed": exact_mm(needed)}),
        **({} if cost is None else {"cost": exact_number(cost)}),
    }


def _widths(paper: Paper) -> Json:
    """Return the width of the paper as sold and as it hangs, and what is lost between, where they differ."""
    edges, sold, hung = paper.edges, paper.width_as_sold, paper.roll_width
    if sold is None or hung is None or not edges.lost:
        return {}
    lost = {"selvedge_left": edges.left, "selvedge_right": edges.right, "overlap": edges.overlap}
    widths = {"as_sold": sold, **lost, "as_hung": hung}
    return {"widths": {key: exact_mm(width) for key, width in widths.items()}}


def _at_best(plan: Plan) -> Json:
    best = plan.at_best
    if best is None:
        return {"at_best": None}
    figures: Json = {
        "at_best": best.rolls,
        "at_best_lower_bound": plan.rolls_at_least(best.value, best.proof),
        "at_best_status": best.status.value,
        **_bought(plan, best.value, best.proof, "at_best_to_buy"),
    }
    if plan.job.counts_cost:
        figures["at_best_cost"] = exact_number(best.value)
        figures["at_best_cost_lower_bound"] = exact_number(best.proof.bound)
    return figures


def _at_best_proof(plan: Plan) -> Json:
    best = plan.at_best
    if best is None:
        return {}
    return {"at_best_proof": {**proof_document(best.proof), **_both_proofs(plan, best.value, best.proof)}}


def proof_document(proof: Proof, *, for_every_choice: bool = False) -> Json:
    """Return a proof; ``for_every_choice`` tells that what looks like a search is proved by the batches' prices."""
    by = "none" if proof.prices is None else "prices"
    if proof.by_search:
        by = "batches" if for_every_choice else "search"
    return {
        "by": by,
        "bound": str(proof.bound),
        "prices": None if proof.prices is None else prices_document(proof.prices),
    }


def prices_document(prices: Prices) -> Json:
    """Return a certificate: whole prices by drop, whole premiums by lot, and their scale."""
    return {"scale": prices.scale, "drops": dict(prices.drops), "premiums": dict(prices.premiums)}


def sheets_document(plan: Plan) -> Json:
    """Return what of each sheet of a numbered set does not hang, trims included; nothing for paper in rolls."""
    cuts = [
        {
            "sheet": cut.sheet,
            "roll": cut.roll,
            "head": exact_mm(cut.head),
            "foot": exact_mm(cut.foot),
            "left": exact_mm(cut.left),
            "right": exact_mm(cut.right),
        }
        for cut in sheet_cuts(plan)
    ]
    return {"sheets": cuts} if cuts else {}


def plan_within(plan: Plan, scenario: Scenario, placed: SettingOut | None = None) -> Json:
    """Return the keys of a plan that stands within the document of another; ``placed`` is its room, if it is told."""
    listed = document_of(sequence_of(plan), replace(scenario, setting_out=placed, pace=None, ordered=None))
    return {key: value for key, value in listed.items() if not key.startswith(_OF_THE_WHOLE)}


def _rolls_at_best(plan: Plan) -> Json:
    """Return how the rolls of the best case are cut, where it is better: each as if it began where that suits it."""
    best = plan.at_best
    if best is None or not best.layouts or (best.value, best.rolls) == (plan.value, plan.rolls_needed):
        return {}
    return {
        "at_best_rolls": [
            {
                "roll": plan.job.lot(layout.lot).roll_label(layout.first_number),
                "lot": layout.lot,
                "count": layout.count,
                "cuts": [
                    {"drop": cut.drop, "from": exact_mm(cut.start), "to": exact_mm(cut.end)} for cut in layout.cuts
                ],
            }
            for layout in best.layouts
        ]
    }


def _without_offcuts(plan: Plan, scenario: Scenario) -> Json:
    """Return what the job needs without offcuts, where the plan uses any; figures are null where none is known."""
    without = plan.without_offcuts
    if without is None:
        return {}
    other = without.plan
    facts: Json = {"rolls_needed": None if other is None else other.rolls_needed, "proved": without.is_proved}
    if plan.job.counts_cost:
        facts["cost"] = None if other is None else exact_number(other.value)
    if other is not None:
        facts["plan"] = plan_within(other, scenario)
    return {"without_offcuts": facts}


def _batches(plan: Plan, batches: BatchChoice) -> Json:
    """Return from which batch each wall is papered, the rolls of each, and the prices that bound every other choice."""
    rolls = dict.fromkeys(batches.of_walls.values(), 0)
    for layout in plan.layouts:
        lot = plan.job.lot(layout.lot)
        if not lot.is_offcut:
            rolls[lot.batch or ""] += layout.count
    return {
        "walls": dict(batches.of_walls),
        "rolls": rolls,
        "changes": [
            {"left": pair.left, "right": pair.right, "corner": "internal" if pair.is_internal else "external"}
            for pair in batches.changes
        ],
        "by": "search" if batches.by_search else "prices",
        "certificates": [
            {"batch": listed.batch, "shortage": listed.is_shortage, **prices_document(listed.prices)}
            for listed in batches.certificates
        ],
    }


def _order(sequence: Sequence, order: CuttingOrder) -> Json:
    """Return the order of cutting: its figures, their bounds, and the pieces in the order in which they are cut."""
    return {
        "follow": order.follow.value,
        "open_rolls": order.open_rolls,
        "most_waiting": order.most_waiting,
        "most_waiting_lower_bound": order.most_waiting_bound,
        "furthest_ahead": order.furthest_ahead,
        "furthest_ahead_lower_bound": order.furthest_ahead_bound,
        "status": (Status.OPTIMAL if order.is_proved else Status.FEASIBLE).value,
        "cuts": [step.piece for step in sequence.steps if isinstance(step, CutDrop)],
    }


def _timetable(sequence: Sequence, pace: Pace | None) -> Json:
    timetable = None if pace is None else timetable_of(sequence, pace)
    return {} if timetable is None else {"timetable": [_act(act) for act in timetable.acts]}


def _act(act: Act) -> Json:
    """Return an act with its day, from 1, when it begins, also in minutes from the first midnight, and its minutes."""
    return {
        "act": act.kind.value,
        "piece": act.piece,
        "day": int(act.begin // DAY) + 1,
        "at": clock(act.begin),
        "begin": str(act.begin),
        "minutes": _number(Fraction(act.end - act.begin)),
        **({"steps": list(act.steps)} if act.steps is not None else {}),
    }


def _rolls(sequence: Sequence) -> list[Json]:
    job = sequence.plan.job
    cuts = [step for step in sequence.steps if isinstance(step, CutDrop)]
    turned = {step.piece: step.is_turned for step in cuts if job.drop(step.drop).is_turned is not None}
    return [
        {
            "roll": left.roll,
            "lot": left.lot.label,
            "count": left.count,
            "length_mm": _number(left.lot.length),
            "first_motif_mm": None if left.lot.first_motif is None else _number(left.lot.first_motif),
            "sealed": left.lot.first_motif is None,
            "cuts": _cuts(layout, pieces, turned if layout.count == 1 else {}),
            "left_mm": _number(left.slack),
            "slack_mm": _number(left.slack),
        }
        for layout, pieces, left in zip(sequence.plan.layouts, sequence.pieces, sequence.left, strict=True)
    ]


def _cuts(layout: RollLayout, pieces: Rows[str], turned: Mapping[str, bool]) -> list[Json]:
    return [
        {
            "drop": piece,
            "from_mm": to_float_mm(cut.start),
            "to_mm": to_float_mm(cut.end),
            "from": exact_mm(cut.start),
            "to": exact_mm(cut.end),
            **({"turned": turned[piece]} if turned else {}),
        }
        for cut, piece in zip(layout.cuts, pieces, strict=True)
    ]


def setting_out_document(setting_out: SettingOut) -> Json:
    """Return where everything hangs: columns left to right along the run, pieces in hanging order."""
    walls = [wall.name for wall in setting_out.room.walls]
    closing = setting_out.closing
    return {
        "level_line": exact_mm(setting_out.level_line),
        "columns": [
            {"column": column.number, "panels": _panels(column.panels, walls)} for column in setting_out.columns
        ],
        "pieces": [_piece(piece, walls) for piece in setting_out.pieces],
        "patches": [_piece(patch, walls) for patch in setting_out.patches],
        "closing": None if closing is None else _closing(closing, walls),
    }


def _piece(piece: Piece, walls: Rows[str]) -> Json:
    """Return one piece: heights above the floor line, the first motif down from its finished top."""
    return {
        "drop": piece.label,
        "column": piece.column,
        "top": exact_mm(piece.top),
        "foot": exact_mm(piece.foot),
        "turned_under": exact_mm(piece.turned_under),
        "first_motif": exact_mm(piece.first_motif),
        "paper_from": exact_mm(piece.paper_left),
        "paper_to": exact_mm(piece.paper_right),
        "panels": _panels(piece.panels, walls),
    }


def _panels(panels: Rows[Panel], walls: Rows[str]) -> list[Json]:
    """Return panels: along their wall from its left edge, and across the wet strip from its left edge."""
    return [
        {
            "wall": walls[panel.wall],
            "from": exact_mm(panel.left),
            "to": exact_mm(panel.right),
            "paper_from": exact_mm(panel.paper_left),
            "paper_to": exact_mm(panel.paper_right),
        }
        for panel in panels
    ]


def _closing(closing: Closing, walls: Rows[str]) -> Json:
    return {
        "wall": walls[closing.joint.wall],
        "at": exact_mm(closing.joint.at),
        "sideways": exact_mm(closing.sideways),
        "height": exact_mm(closing.height),
    }


def _number(length: Fraction) -> int | float:
    """Return a length in mm as JSON shows it best: a whole number whole, any other as a float."""
    return length.numerator if length.denominator == 1 else to_float_mm(length)
