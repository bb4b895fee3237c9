"""Plans made, written out, and what is told beside them."""

from __future__ import annotations

from typing import NamedTuple

import typer
from msgspec.structs import replace

import cutplan
from cutplan.cli.in_and_out import AnswerFile, job_from
from cutplan.cli.terminal import INTERRUPTED, STANDARD, UsageError, progress_line, tell
from cutplan.errors import NoPlanError
from cutplan.plan.order import Follow
from cutplan.plan.plan import Plan
from cutplan.plan.proof import TooFewRollsError
from cutplan.progress.record_beside import has_record, record_path
from cutplan.render.pages.left_over_page import stock_text
from cutplan.render.written_plan import with_notices
from cutplan.scenario.read import Scenario
from cutplan.solve.clock import Clock
from cutplan.table.left_over import leavings_of


class PlanWish(NamedTuple):
    """What was asked for on the command line; None for what the scenario says."""

    time_limit: float
    order: Follow | None
    open_rolls: int | None

    def on(self, scenario: Scenario) -> Scenario:
        """Return the scenario with what was asked for about the order of cutting."""
        habit = scenario.cutting
        asked = replace(habit, follow=self.order or habit.follow, open_rolls=self.open_rolls or habit.open_rolls)
        return replace(scenario, cutting=asked)


def answer_planning(
    source: str, output: AnswerFile, wish: PlanWish, units: str | None, kept: AnswerFile | None
) -> None:
    """Write the plan of a scenario, or those of every part of a job; what too few rolls do where they are."""
    job = job_from(source)
    if isinstance(job, cutplan.PartedJob):
        if kept is not None:
            raise UsageError(f"--stock-out: for one part at a time, such as {job.addresses[0]}")
        _plan_parts(job, output, wish, units)
        return
    scenario = wish.on(with_notices(job, units))
    clock = Clock(wish.time_limit)
    try:
        found = solved(scenario, wish.time_limit)
    except TooFewRollsError as short:
        from cutplan.cli.too_few_shared import put_covered  # noqa: PLC0415 - for too few rolls only

        plan = put_covered(scenario, short, output, clock, units=units)
        if plan is not None and kept is not None:
            _write_stock(plan, scenario.units, kept)
        # What is not cut stands on the page: other pieces might do as well.
        raise NoPlanError(short.why) from short
    if found.order is None and not found.was_interrupted and (wish.order or wish.open_rolls):
        tell("so many pieces are cut in layouts that repeat: their order is left as it comes, two rolls open at most")
    sequence = cutplan.sequence_of(found)
    if output.is_json:
        text = cutplan.write_document(sequence, scenario)
    else:
        text = cutplan.write_page(sequence, scenario, units, is_over=clock.is_over)
    if kept is not None:
        _write_stock(sequence.plan, scenario.units, kept)
    output.write(text)
    if output.is_unseen:
        tell_gap(found)
    note_work_begun(source)
    end_if_interrupted(found)


def _plan_parts(job: cutplan.PartedJob, output: AnswerFile, wish: PlanWish, units: str | None) -> None:
    from cutplan.cli.parts_shared import bought_together, named  # noqa: PLC0415 - for several parts only
    from cutplan.parts.shopping import rolls_planned  # noqa: PLC0415 - likewise
    from cutplan.render.documents.parts_document import PLANS, parts_text  # noqa: PLC0415 - likewise
    from cutplan.render.documents.plan_document import document_of  # noqa: PLC0415 - likewise
    from cutplan.render.pages.parts_page import parts_page, sentence_of, with_lining  # noqa: PLC0415 - likewise

    clock = Clock(wish.time_limit)
    found = []
    for part, seconds in clock.shared_out(job.parts):
        scenario = wish.on(with_notices(part.scenario, units))
        with named(part, "plan"):
            found.append((part, scenario, cutplan.sequence_of(solved(scenario, seconds))))
    shown = units or job.parts[0].scenario.units
    rolls = (rolls_planned(part, order.plan) for part, _, order in found)
    page, listed = bought_together(job, rolls, shown, [(part, order) for part, _, order in found])
    if output.is_json:
        output.write(parts_text(job, PLANS, [(part, document_of(order, read)) for part, read, order in found], listed))
    else:
        pages = [
            (
                part,
                sentence_of(order.plan, read.ordered),
                with_lining(part, cutplan.write_page(order, read, units, is_over=clock.is_over), shown),
            )
            for part, read, order in found
        ]
        output.write(parts_page("plan", job, pages, page))
    for part, _, order in found:
        if output.is_unseen:
            tell_gap(order.plan, f"{part.name}: ")
        note_work_begun(part.scenario.source)
    for _, _, order in found:
        end_if_interrupted(order.plan)


def _write_stock(plan: Plan, units: str, target: AnswerFile) -> None:
    target.write(stock_text(leavings_of(plan), units, is_free=plan.job.paper.pattern.is_free))


def note_work_begun(source: str) -> None:
    """Say that the plan being worked from is another, where work on the scenario has been recorded."""
    if source != STANDARD and has_record(source):
        tell(
            f"work on {source} is begun by the plan in {record_path(source)}, which need not be this one; "
            f"for its steps: cutplan status --steps {source}"
        )


def tell_gap(found: Plan, of: str = "") -> None:
    """Say it where a plan is not proved, beside output that does not."""
    if found.gap:
        tell(f"{of}the plan holds but is not proved: value {found.value}, lower bound {found.proof.bound}")


def end_if_interrupted(found: Plan) -> None:
    """End the command with its status where the search for a plan was interrupted."""
    if found.was_interrupted:
        raise typer.Exit(INTERRUPTED)


def solved(scenario: Scenario, time_limit: float) -> Plan:
    """Return the plan of a scenario, its progress shown; NoPlanError when none was found in time."""
    with progress_line() as show:
        return cutplan.make_plan(scenario.job, scenario.cutting, time_limit=time_limit, progress=show)
