"""Plan files of jobs that the rolls are too few for: why, what stays bare, and the plan of what they do."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.plan.proof import Status
from cutplan.render.documents.plan_document import FORMAT, document_of, plan_text, prices_document, setting_out_document

if TYPE_CHECKING:
    from collections.abc import Iterable

    from cutplan.scenario.read import Scenario
    from cutplan.table.steps import Sequence
    from cutplan.too_few import Covered, GivenUp

_OF_THE_WHOLE = ("format", "setting_out", "notes", "scenario")


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
                }
                for step in steps
            ],
            "partial": partial and {key: value for key, value in partial.items() if key not in _OF_THE_WHOLE},
            **({} if setting_out is None else {"setting_out": setting_out_document(setting_out)}),
            "notes": list(scenario.notes),
            "scenario": scenario.document,
        }
    )
