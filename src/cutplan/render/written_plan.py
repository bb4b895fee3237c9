"""The plan of a scenario written out: as the page that ``cutplan plan`` prints, and as the file that it writes."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from cutplan.scenario.read import Scenario
    from cutplan.table.steps import Sequence


def write_page(sequence: Sequence, scenario: Scenario, units: str | None = None, *, head: str | None = None) -> str:
    """Return the page to take to the table: lengths in ``units``, by default the scenario's own.

    ``head`` is what the page begins with; None for the plan's own answer.
    """
    from cutplan.render.pages.layout_of_page import questions  # noqa: PLC0415 - likewise
    from cutplan.render.pages.plan_page import plan_page  # noqa: PLC0415 - JSON needs no page

    notes = scenario.notes[len(scenario.doubts) :]
    page = plan_page(sequence, notes, units or scenario.units, scenario.setting_out, scenario.pace, head=head)
    return "\n\n".join([*questions(scenario.doubts), page])


def write_document(sequence: Sequence, scenario: Scenario) -> str:
    """Return the plan with its proof as JSON, which ``check_text`` judges and another program can read."""
    from cutplan.render.documents.plan_document import document_of, plan_text  # noqa: PLC0415 - a page needs no JSON

    return plan_text(document_of(sequence, scenario))
