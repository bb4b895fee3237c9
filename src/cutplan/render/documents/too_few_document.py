"""The plan file where rolls are too few: what they do, why, and what could be given up, each with its own plan."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from msgspec.structs import replace

from cutplan.comparing.placements import Placement
from cutplan.job.job import Job
from cutplan.plan.plan import Plan
from cutplan.plan.proof import Status
from cutplan.render.documents.plan_document import (
    FORMAT,
    Json,
    document_of,
    plan_text,
    plan_within,
    prices_document,
    setting_out_document,
)
from cutplan.render.words.start_lines import start_lines
from cutplan.scenario.read import Scenario, plain_document
from cutplan.scenario.toml_file import parse_toml
from cutplan.scenario.write import drop_entry, plain
from cutplan.setting_out import SettingOut
from cutplan.table.steps import Sequence
from cutplan.too_few import Covered, GivenUp

_OF_THE_WHOLE: Final = ("format", "setting_out", "notes", "scenario")


def too_few_text(covered: Covered, sequence: Sequence | None, scenario: Scenario, steps: Iterable[GivenUp] = ()) -> str:
    """Return the document as JSON; ``sequence`` is that of the plan of what is covered, None when nothing is."""
    short, setting_out = covered.short, scenario.setting_out
    partial = None if sequence is None else document_of(sequence, scenario)
    return plan_text(
        {
            "format": FORMAT,
            "status": (Status.INFEASIBLE if short.is_proved else Status.UNKNOWN).value,
            "rolls_needed": None,
            "lower_bound": None,
            "rolls": [],
            "reason": str(short).splitlines(),
            "shortage_prices": None if short.prices is None else prices_document(short.prices),
            "bare": dict(covered.bare),
            "walls_in_order": list(covered.walls),
            "whole_walls": list(covered.whole),
            "covers_most": covered.is_most,
            "given_up": [
                {
                    "kind": step.kind,
                    "what": step.what.read(scenario.units),
                    "more_rolls_needed": step.missing.enough,
                    "more_rolls_lower_bound": step.missing.least,
                    "rolls_of_another_batch": None if step.other is None else step.other.enough,
                    "plan": _plan_of_step(step.plan, scenario, step.placed),
                    **({} if step.other_plan is None else {"other_plan": _plan_of_step(step.other_plan, scenario)}),
                }
                for step in steps
            ],
            "partial": partial and {key: value for key, value in partial.items() if key not in _OF_THE_WHOLE},
            **({} if setting_out is None else {"setting_out": setting_out_document(setting_out)}),
            "notes": list(scenario.notes),
            "scenario": scenario.document,
        }
    )


def _plan_of_step(plan: Plan, scenario: Scenario, placed: SettingOut | None = None) -> Json:
    """Return the plan of what is cut when one thing is given up: the rolls to be had, what is wanted then, its keys.

    Of another start, where the room is ``placed`` anew, that is the start; else the drops that differ from those of the
    scenario, and those left out.
    """
    in_hand = {lot.label for lot in scenario.job.lots if lot.count is not None}
    had = [{"lot": lot.label, "batch": lot.batch} for lot in plan.job.rolls if lot.label not in in_hand]
    changed = _drops_changed(scenario, plan.job) if placed is None else _start(placed, scenario)
    return {"rolls_to_be_had": had, **changed, **plan_within(plan, scenario, placed)}


def _start(placed: SettingOut, scenario: Scenario) -> Json:
    placement = Placement(placed.start, placed.finish, None)
    lines = start_lines(placed.room, placement, placed.way, scenario.units)
    return plain_document(parse_toml("\n".join(lines), scenario.source))


def _drops_changed(scenario: Scenario, made: Job) -> Json:
    before = {drop.label: drop for drop in scenario.job.drops}
    told = {drop.wall for drop in before.values() if drop.batch is not None}
    # Which batch a wall is papered from is the plan's choice, and no change, where nobody told it.
    wanted = [drop if drop.wall in told else replace(drop, batch=None) for drop in made.drops]
    kept = {drop.label for drop in wanted}
    changed = [drop for drop in wanted if drop != before.get(drop.label)]
    return {
        "drop": [plain(drop_entry(drop, is_free=scenario.is_free, trims=scenario.trims)) for drop in changed],
        "left_out": [label for label in before if label not in kept],
    }
