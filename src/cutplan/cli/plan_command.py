"""``cutplan plan``: from a scenario to a proven plan and its sequence."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Annotated, NamedTuple

import typer

import cutplan
from cutplan.cli.app import InUnits, Output, ScenarioFile, TimeLimit, command
from cutplan.cli.in_and_out import KEPT, PLAN, PLAN_PAGE, AnswerFile, Force
from cutplan.cli.parts_shared import bought_together, job_from, named
from cutplan.cli.terminal import INTERRUPTED, STANDARD, UsageError, progress_line, tell
from cutplan.errors import NoPlanError
from cutplan.plan.order import Follow
from cutplan.plan.plan import Plan
from cutplan.plan.proof import TooFewRollsError
from cutplan.progress.record_beside import has_record, record_path
from cutplan.render.pages.left_over_page import stock_text
from cutplan.render.written_plan import with_notices
from cutplan.solve.clock import Clock
from cutplan.table.left_over import leavings_of

if TYPE_CHECKING:
    from cutplan.parts.part import PartedJob
    from cutplan.scenario.read import Scenario


@command
def plan(
    scenario: ScenarioFile,
    *,
    as_json: Annotated[bool, typer.Option("--json", help="Print the plan with its proof as JSON.")] = False,
    output: Output = STANDARD,
    force: Force = False,
    time_limit: TimeLimit = 10.0,
    order: Annotated[
        Follow | None,
        typer.Option(help="Cut as drops are hung, or wall by wall, or all at once; otherwise as [cutting] says."),
    ] = None,
    open_rolls: Annotated[
        int | None,
        typer.Option(min=1, metavar="N", help="Rolls that may be open at once; otherwise as [cutting] says, or 2."),
    ] = None,
    stock_out: Annotated[
        str | None,
        typer.Option("--stock-out", metavar="FILE", help="Write what is worth keeping to FILE, for a later scenario."),
    ] = None,
    units: InUnits = None,
) -> None:
    """Plan how to cut a scenario's drops from the fewest rolls (or the cheapest).

    A plan that is good but not proved the best is printed too, and says so. Ctrl-C stops the search and
    prints the best plan so far. Among plans with as few rolls, the one is chosen that is best cut in the
    order in which its drops are hung.
    """
    wish = _Wish(time_limit, order, open_rolls)
    target = AnswerFile(output, scenario, PLAN if as_json else PLAN_PAGE, force=force)
    kept = None if stock_out is None else _stock_file(stock_out, scenario, output, force=force)
    _plan(scenario, target, wish, units, kept)


class _Wish(NamedTuple):
    """What was asked for on the command line; None for what the scenario says."""

    time_limit: float
    order: Follow | None
    open_rolls: int | None

    def on(self, scenario: Scenario) -> Scenario:
        """Return the scenario with what was asked for about the order of cutting."""
        habit = scenario.cutting
        asked = replace(habit, follow=self.order or habit.follow, open_rolls=self.open_rolls or habit.open_rolls)
        return replace(scenario, cutting=asked)


def _stock_file(stock_out: str, source: str, output: str, *, force: bool) -> AnswerFile:
    if stock_out == STANDARD:
        raise UsageError("--stock-out: name a file; standard output is for the plan")
    if stock_out == output:
        raise UsageError(f"--stock-out: {stock_out} is where the plan goes; give what is kept a file of its own")
    return AnswerFile(stock_out, source, KEPT, force=force)


def _plan(source: str, output: AnswerFile, wish: _Wish, units: str | None, kept: AnswerFile | None) -> None:
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
        plan = _put_covered(scenario, short, output, clock, units=units)
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
    _note_work_begun(source)
    end_if_interrupted(found)


def _plan_parts(job: PartedJob, output: AnswerFile, wish: _Wish, units: str | None) -> None:
    """Plan every part of a job, each from rolls of its own."""
    from cutplan.parts.shopping import rolls_planned  # noqa: PLC0415 - for several parts only
    from cutplan.render.documents.parts_document import PLANS, parts_text  # noqa: PLC0415
    from cutplan.render.documents.plan_document import document_of  # noqa: PLC0415
    from cutplan.render.pages.parts_page import parts_page, sentence_of, with_lining  # noqa: PLC0415

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
        _note_work_begun(part.scenario.source)
    for _, _, order in found:
        end_if_interrupted(order.plan)


def _put_covered(
    scenario: Scenario, short: TooFewRollsError, output: AnswerFile, clock: Clock, *, units: str | None
) -> Plan | None:
    """Print what too few rolls do, and return the plan of it; None when they do nothing."""
    from cutplan.cli.too_few_shared import covered_of  # noqa: PLC0415 - for too few rolls only
    from cutplan.render.documents.too_few_document import too_few_text  # noqa: PLC0415
    from cutplan.render.pages.layout_of_page import bullets, wrapped_lines  # noqa: PLC0415
    from cutplan.render.words.too_few_words import given_up_lines, too_few_lines  # noqa: PLC0415
    from cutplan.too_few import could_be_given_up  # noqa: PLC0415

    covered, hung = covered_of(scenario, short, clock.left / 2)
    with progress_line() as show:
        steps = could_be_given_up(scenario.job, covered.walls, scenario.setting_out, clock.left, show)
    sequence = None if covered.plan is None else cutplan.sequence_of(covered.plan)
    if output.is_json:
        output.write(too_few_text(covered, sequence, scenario, steps))
    elif sequence is not None:
        head = wrapped_lines(too_few_lines(covered))
        if steps:
            listed = bullets(given_up_lines(steps, units or scenario.units))
            head += f"\n\nWhat could be given up instead, dearest last\n{listed}"
        output.write(cutplan.write_page(sequence, hung, units, head=head, is_over=clock.is_over))
    return None if sequence is None else sequence.plan


def _write_stock(plan: Plan, units: str, target: AnswerFile) -> None:
    target.write(stock_text(leavings_of(plan), units, is_free=plan.job.paper.pattern.is_free))


def _note_work_begun(source: str) -> None:
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
