"""What commands do with too few rolls: the plan of what they cover; places compared, with further rolls if need be."""

from __future__ import annotations

import typer
from msgspec.structs import replace

import cutplan
from cutplan.cli.in_and_out import AnswerFile
from cutplan.cli.terminal import INTERRUPTED, progress_line
from cutplan.comparing.comparison import Comparison
from cutplan.comparing.placements import METRIC_STEP, Focus, Insisted
from cutplan.errors import NoPlanError
from cutplan.lengths import Length, show
from cutplan.plan.plan import Plan
from cutplan.plan.proof import TooFewRollsError
from cutplan.render.documents.too_few_document import too_few_text
from cutplan.render.pages.layout_of_page import bullets, wrapped, wrapped_lines
from cutplan.render.words.too_few_words import given_up_lines, too_few_lines
from cutplan.render.written_plan import covered_by
from cutplan.scenario.read import Scenario
from cutplan.setting_out import SettingOut
from cutplan.solve.clock import Clock
from cutplan.too_few import Covered, could_be_given_up, more_rolls


def covered_of(scenario: Scenario, short: TooFewRollsError, time_limit: float) -> tuple[Covered, Scenario]:
    """Return what the rolls of a scenario cover, and the scenario with the pieces only that hang then."""
    with progress_line() as show:
        covered = covered_by(scenario, short, time_limit, show)
    setting_out = scenario.setting_out
    hung = None if setting_out is None or covered.plan is None else covered.hung_of(setting_out)
    return covered, replace(scenario, setting_out=hung)


def put_covered(
    scenario: Scenario, short: TooFewRollsError, output: AnswerFile, clock: Clock, *, units: str | None
) -> Plan | None:
    """Print what too few rolls do, and return the plan of it; None when they do nothing."""
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
            head += f"\n\n{wrapped('What could be given up instead, dearest last')}\n{listed}"
        output.write(cutplan.write_page(sequence, hung, units, head=head, is_over=clock.is_over))
    return None if sequence is None else sequence.plan


def compared(
    scenario: Scenario,
    setting_out: SettingOut,
    time_limit: float,
    focus: Focus | None = None,
    *,
    step: Length = METRIC_STEP,
    insisted: Insisted | None = None,
    asks_heights: bool = False,
) -> Comparison:
    """Return places for the start of a scenario's room compared, as :func:`cutplan.compare` takes them."""
    of_all = scenario.of_all
    with progress_line("show what is compared so far") as show_line:
        return cutplan.compare(
            setting_out,
            of_all.job_to_order,
            focus or cutplan.focus_of(setting_out),
            step=step,
            insisted=insisted,
            asks_heights=asks_heights,
            time_limit=time_limit,
            progress=None if show_line is None else show_line.places,
            processes=None,
            further=more_rolls(of_all.job),
            linings=scenario.under,
            beside=scenario.beside,
        )


def counting_further(comparison: Comparison, scenario: Scenario) -> Scenario:
    """Return a compared scenario, with a note where its figures count further rolls of its paper."""
    if comparison.short is None:
        return scenario
    length = show(scenario.job.paper.roll_length, scenario.units)
    note = (
        "the rolls in hand are too few wherever hanging starts: the figures are how many further rolls "
        f"of {length} are to be bought"
    )
    return replace(scenario, job=more_rolls(scenario.job), notes=(note, *scenario.notes))


def end_if_short(comparison: Comparison) -> None:
    """End the command with its status where the rolls in hand do at no place that was compared."""
    if comparison.short is not None:
        raise NoPlanError(comparison.short.why) from comparison.short
    if comparison.was_interrupted:
        raise typer.Exit(INTERRUPTED)
