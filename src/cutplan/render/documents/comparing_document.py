"""Placements side by side, as the JSON document that other programs read.

Exact lengths in millimetres stand as text, whole numbers or fractions (``"560/3"``); values of rolls as numbers, of
money as decimal text.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from cutplan.comparing.comparison import Comparison
from cutplan.comparing.figures import Compared
from cutplan.comparing.heights import HeightRange, Heights, MotifCut
from cutplan.comparing.proving import Proved
from cutplan.lengths import Length, exact_mm, exact_number
from cutplan.render.documents.plan_document import Json
from cutplan.render.words.start_lines import start_lines
from cutplan.room.walls import Room
from cutplan.scenario.read import Scenario
from cutplan.setting_out import Closing, Finish, FinishAt

FORMAT: Final = "cutplan-compare/1"


def comparison_document(comparison: Comparison, scenario: Scenario) -> Json:
    """Return the whole comparison as plain JSON types."""
    room, rolls = comparison.setting_out.room, "rolls_to_buy" if comparison.counts_bought else "rolls"
    return {
        "format": FORMAT,
        "objective": "cost" if comparison.counts_cost else rolls if comparison.unit is None else "order",
        "focus": {"wall": room.walls[comparison.focus.wall].name, "at_mm": exact_mm(comparison.focus.at)},
        "step_mm": exact_mm(comparison.step),
        "tried": comparison.tried,
        "refused": comparison.refused,
        "too_few_rolls": comparison.without_plan,
        "left": comparison.left,
        "stopped": comparison.stopped,
        "all_proved": not comparison.unproved,
        "own": _compared(comparison, comparison.own, scenario.units),
        "best": [_compared(comparison, compared, scenario.units) for compared in comparison.front],
        "heights": None if comparison.heights is None else _heights(comparison, comparison.heights),
        "notes": list(scenario.notes),
        "scenario": scenario.document,
    }


def _compared(comparison: Comparison, compared: Compared, units: str) -> Json:
    room, placement = comparison.setting_out.room, compared.placement
    start = placement.start
    return {
        "is_own": placement.is_own,
        "start": {
            "wall": room.walls[start.wall].name,
            "at_mm": exact_mm(start.at),
            "puts": start.puts.value,
            "motif_drop_mm": exact_mm(start.motif_drop),
            "way": comparison.setting_out.way.value,
        },
        "finish": None if placement.finish is None else _finish(room, placement.finish),
        "on_focus": None if placement.on_focus is None else placement.on_focus.value,
        **_proved(comparison, compared.proved),
        "narrowest_strip_mm": exact_mm(compared.narrowest),
        "nearest_joint_to_opening_mm": None if compared.to_opening is None else exact_mm(compared.to_opening),
        "columns_cut_at_top": compared.cut_at_top,
        **({} if compared.clashes is None else {"joints_near_the_linings": compared.clashes}),
        "closing": None if compared.closing is None else _closing(room, compared.closing),
        "toml": "\n".join(start_lines(room, placement, comparison.setting_out.way, units)) + "\n",
    }


def _proved(comparison: Comparison, proved: Proved | None) -> Json:
    if proved is None:
        return {"rolls": None, "lower_bound": None, "proved": False}
    if comparison.unit is not None:
        value, bound = exact_mm(proved.value), exact_mm(proved.bound)
        return {"order_mm": value, "order_lower_bound_mm": bound, "proved": proved.is_proved}
    if not comparison.counts_cost:
        return {"rolls": proved.rolls, "lower_bound": int(proved.bound), "proved": proved.is_proved}
    return {
        "rolls": proved.rolls,
        "cost": exact_number(proved.value),
        "cost_lower_bound": exact_number(proved.bound),
        "proved": proved.is_proved,
    }


def _finish(room: Room, finish: Finish) -> Json:
    wall = room.walls[finish.wall]
    if isinstance(finish, FinishAt):
        return {"wall": wall.name, "at_mm": exact_mm(finish.at)}
    return {"wall": wall.name, "over": wall.openings[finish.opening].name}


def _closing(room: Room, closing: Closing) -> Json:
    return {
        "wall": room.walls[closing.joint.wall].name,
        "at_mm": exact_mm(closing.joint.at),
        "lower_mm": exact_mm(closing.height),
        "missing_mm": exact_mm(closing.sideways),
    }


def _heights(comparison: Comparison, heights: Heights) -> Json:
    return {
        "now_mm": exact_mm(heights.now),
        "ceiling_mm": exact_mm(heights.ceiling),
        "foot_mm": exact_mm(heights.foot),
        "classes": heights.classes,
        "ranges": [_range(height) for height in heights.ranges],
        "whole_at_top_mm": _runs(heights.whole_at_top),
        "whole_mm": _runs(heights.whole),
        "balanced_mm": [exact_mm(drop) for drop in heights.balanced],
        "costs_paper": bool(comparison.by_height),
        "rolls": [
            {"motif_drop_mm": exact_mm(at.placement.start.motif_drop), **_proved(comparison, at.proved)}
            for at in comparison.by_height
        ],
    }


def _range(height: HeightRange) -> Json:
    return {
        "from_mm": exact_mm(height.low),
        "to_mm": exact_mm(height.high),
        "classes": [{"ceiling": _cut(cuts.ceiling), "foot": _cut(cuts.skirting)} for cuts in height.classes],
    }


def _cut(cut: MotifCut | None) -> list[str] | None:
    return None if cut is None else [exact_mm(cut.at_low), exact_mm(cut.at_high)]


def _runs(runs: Iterable[tuple[Length, Length]]) -> list[list[str]]:
    return [[exact_mm(low), exact_mm(high)] for low, high in runs]
