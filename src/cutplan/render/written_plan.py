"""The plan of a scenario written out: as the page that ``cutplan plan`` prints, and as the file that it writes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from msgspec.structs import replace

from cutplan.plan.proof import TooFewRollsError
from cutplan.render.pages.layout_of_page import questions, wrapped_lines
from cutplan.scenario.read import Scenario
from cutplan.setting_out import notices_of
from cutplan.table.steps import Sequence

if TYPE_CHECKING:
    from cutplan.progress.plan_in_use import PlanInUse
    from cutplan.progress.still_enough import StillEnough
    from cutplan.progress.work import Work
    from cutplan.too_few import Covered


def with_notices(scenario: Scenario, units: str | None) -> Scenario:
    """Return the scenario with what its room's setting out wants looked at among its notes."""
    own = [] if scenario.setting_out is None else [("", scenario.setting_out)]
    rooms = own or [(f"{name}: ", found) for name, found in scenario.bands]
    if not rooms:
        return scenario
    shown = units or scenario.units
    notices = (f"{band}{notice.what.read(shown)}" for band, found in rooms for notice in notices_of(found))
    return replace(scenario, notes=(*scenario.notes, *notices))


def covered_by(
    scenario: Scenario, short: TooFewRollsError, time_limit: float, progress: Callable[[str], None] | None = None
) -> Covered:
    """Return what the rolls of a scenario cover that are too few for it."""
    from cutplan.too_few import cover, walls_in_order  # noqa: PLC0415 - for too few rolls only

    walls = walls_in_order(scenario.job, scenario.setting_out, scenario.cutting.first_walls)
    return cover(scenario.job, scenario.cutting, short, walls, time_limit=time_limit, progress=progress)


def plan_in_use(
    scenario: Scenario, number: int, sequence: Sequence, document: dict[str, object], origins: Mapping[str, str]
) -> PlanInUse:
    """Return plan ``number`` of a scenario as it is recorded, once it is the one to work from."""
    from cutplan.progress.plan_in_use import freeze  # noqa: PLC0415 - for what is recorded only
    from cutplan.progress.record import fingerprint  # noqa: PLC0415 - likewise
    from cutplan.render.words.step_words import words_of  # noqa: PLC0415 - likewise

    return freeze(
        number=number,
        scenario=fingerprint(scenario.document),
        sequence=sequence,
        origins=origins,
        document=document,
        words=words_of(sequence, scenario.units),
    )


def rest_in_use(scenario: Scenario, work: Work, answer: StillEnough) -> tuple[Sequence, PlanInUse]:
    """Return the steps of the plan of an answer, which has one, numbered on; and that plan as it is recorded."""
    from cutplan.progress.still_enough import sequence_of_rest  # noqa: PLC0415 - likewise
    from cutplan.render.documents.plan_document import document_of  # noqa: PLC0415 - likewise

    assert answer.plan is not None  # noqa: S101 - so the caller has seen
    sequence = sequence_of_rest(answer.plan, scenario.cutting, work.begun(), work.last_step + 1)
    document = document_of(sequence, answer.remains.scenario)
    return sequence, plan_in_use(scenario, work.last_plan + 1, sequence, document, answer.remains.origins)


def write_page(
    sequence: Sequence,
    scenario: Scenario,
    units: str | None = None,
    *,
    head: str | None = None,
    is_over: Callable[[], bool] | None = None,
) -> str:
    """Return the page to take to the table: lengths in ``units``, by default the scenario's own.

    ``head`` is what the page begins with; None for the plan's own answer. ``is_over`` tells when to stop proving that
    no timetable has its hands idle for less; None for never.
    """
    from cutplan.render.pages.plan_page import plan_page  # noqa: PLC0415 - JSON needs no page
    from cutplan.render.words.answer_words import answer  # noqa: PLC0415 - likewise

    if head is None and scenario.ordered is not None:
        head = wrapped_lines(answer(sequence.plan, scenario.ordered))
    notes = scenario.notes[len(scenario.doubts) :]
    shown, found = units or scenario.units, scenario.setting_out
    bands = scenario.bands
    page = plan_page(sequence, notes, shown, found, scenario.pace, head=head, bands=bands, is_over=is_over)
    return "\n\n".join([*questions(scenario.doubts), page])


def write_document(sequence: Sequence, scenario: Scenario) -> str:
    """Return the plan with its proof as JSON, which ``check_text`` judges and another program can read."""
    from cutplan.render.documents.plan_document import document_of, plan_text  # noqa: PLC0415 - a page needs no JSON

    return plan_text(document_of(sequence, scenario))
