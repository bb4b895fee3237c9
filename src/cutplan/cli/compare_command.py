"""``cutplan compare``: other places for the start of a room, and other heights of its print, side by side."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, Annotated, Final

import typer

import cutplan
from cutplan.cli.app import AsJson, InUnits, Output, ScenarioFile, check_time_limit, command
from cutplan.cli.in_and_out import COMPARING, COMPARING_PAGE, AnswerFile, Force
from cutplan.cli.parts_shared import job_from, named
from cutplan.cli.terminal import STANDARD, UsageError, length_typed
from cutplan.lengths import Length
from cutplan.render.documents.comparing_document import comparison_document
from cutplan.setting_out import SettingOut

if TYPE_CHECKING:
    from cutplan.comparing import Comparison, Focus, Insisted
    from cutplan.parts.part import PartedJob
    from cutplan.scenario.read import Scenario

_FINEST: Final = 1
_COARSEST: Final = 10
"""Steps of the sweep, in millimetres."""


class Keep(StrEnum):
    """What of the scenario stays as it is."""

    START = "start"
    FINISH = "finish"
    HEIGHT = "height"


class Centre(StrEnum):
    """What must lie on the focal point."""

    MOTIF = "motif"
    JOINT = "joint"
    MIDDLE = "middle"


@command
def compare(
    scenario: ScenarioFile,
    *,
    centre: Annotated[Centre | None, typer.Option(help="What must lie on the focal point, whatever it costs.")] = None,
    around: Annotated[
        str | None,
        typer.Option(metavar="NAME", help="Focal point: the middle of this wall, opening or fitting; else your start."),
    ] = None,
    keep: Annotated[
        list[Keep] | None, typer.Option(help="What of your scenario stays as it is; may be repeated.")
    ] = None,
    step: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="Step of the sweep, 1 to 10 mm; else 10 mm, or 3/8 in.")
    ] = None,
    as_json: AsJson = False,
    output: Output = STANDARD,
    force: Force = False,
    time_limit: Annotated[
        float,
        typer.Option(
            metavar="SECONDS", callback=check_time_limit, help="When to stop; what was not looked at by then is told."
        ),
    ] = 60.0,
    units: InUnits = None,
) -> None:
    """Compare places for the start and finish of a room, and heights of its print.

    Every place is set out and its number of rolls proved; the few that nobody would overrule are shown, each with
    the lines that put it into the scenario. When time is up, and on Ctrl-C, what has been compared so far is shown.

    Keep the motif on the hearth:  cutplan compare room.toml --around hearth --centre motif
    """
    wishes = _Wishes(centre, around, frozenset(keep or ()), step, time_limit)
    target = AnswerFile(output, scenario, COMPARING if as_json else COMPARING_PAGE, force=force)
    _compare(scenario, wishes, target, units)


class _Wishes:
    """What was asked for on the command line."""

    def __init__(
        self, centre: Centre | None, around: str | None, keep: frozenset[Keep], step: str | None, time_limit: float
    ) -> None:
        self.centre = centre
        self.around = around
        self.keep = keep
        self.step = step
        self.time_limit = time_limit
        if centre is not None and Keep.START in keep:
            raise UsageError("--centre moves the start, and --keep start leaves it where it is; ask for one of them")

    def insisted(self) -> Insisted:
        from cutplan.setting_out import Puts  # noqa: PLC0415 - help does without

        on_focus = None if self.centre is None else Puts(self.centre.value)
        return cutplan.Insisted(on_focus, start=Keep.START in self.keep, finish=Keep.FINISH in self.keep)

    def focus(self, setting_out: SettingOut) -> Focus:
        return (
            cutplan.focus_of(setting_out) if self.around is None else cutplan.focus_named(setting_out.room, self.around)
        )

    def step_in(self, units: str) -> Length:
        from cutplan.comparing import IMPERIAL_STEP, METRIC_STEP  # noqa: PLC0415 - with the solver, which help does without

        if self.step is None:
            return METRIC_STEP if units in {"mm", "cm", "m"} else IMPERIAL_STEP
        length = length_typed("--step", self.step, units)
        if not _FINEST <= length <= _COARSEST:
            raise UsageError(f"--step: must be from {_FINEST} mm to {_COARSEST} mm, not {self.step!r}")
        return length


def _compare(source: str, wishes: _Wishes, output: AnswerFile, units: str | None) -> None:
    from cutplan.cli.too_few_shared import counting_further, end_if_short  # noqa: PLC0415 - with the solver, likewise
    from cutplan.render.documents.plan_document import plan_text  # noqa: PLC0415 - likewise

    scenario = job_from(source)
    if isinstance(scenario, cutplan.PartedJob):
        _compare_parts(scenario, wishes, output, units)
        return
    comparison = _compared(scenario, wishes, wishes.time_limit)
    scenario = counting_further(comparison, scenario)
    if output.is_json:
        text = plan_text(comparison_document(comparison, scenario))
    else:
        from cutplan.render.pages.comparing_page import comparison_page  # noqa: PLC0415 - not for JSON

        text = comparison_page(comparison, scenario.notes, units or scenario.units, scenario.units, scenario.band)
    output.write(text)
    end_if_short(comparison)


def _compare_parts(job: PartedJob, wishes: _Wishes, output: AnswerFile, units: str | None) -> None:
    """Compare places for the start of every band of a job; borders, lining and equal strips have none of this kind."""
    from cutplan.cli.too_few_shared import counting_further, end_if_short  # noqa: PLC0415 - with the solver, likewise
    from cutplan.render.documents.parts_document import COMPARING, parts_text  # noqa: PLC0415
    from cutplan.render.pages.comparing_page import comparison_page, own_sentence  # noqa: PLC0415
    from cutplan.render.pages.parts_page import parts_page  # noqa: PLC0415
    from cutplan.solve.clock import Clock  # noqa: PLC0415

    found = []
    movable = [part for part in job.single_bands if part.scenario.job.paper.edge_trim is None]
    for part, seconds in Clock(wishes.time_limit).shared_out(movable):
        comparison = _compared(part.scenario, wishes, seconds)
        found.append((part, counting_further(comparison, part.scenario), comparison))
    if output.is_json:
        text = parts_text(job, COMPARING, [(part, comparison_document(result, read)) for part, read, result in found])
    else:
        pages = [
            (
                part,
                own_sentence(result),
                comparison_page(result, read.notes, units or read.units, read.units, read.band),
            )
            for part, read, result in found
        ]
        text = parts_page("compare", job, pages)
    output.write(text)
    for part, _, comparison in found:
        with named(part, "compare"):
            end_if_short(comparison)


def _compared(scenario: Scenario, wishes: _Wishes, seconds: float) -> Comparison:
    from cutplan.cli.too_few_shared import compared  # noqa: PLC0415 - with the solver, likewise

    setting_out = scenario.setting_out
    if setting_out is None:
        what = "lists its drops, so there is no start to move; survey the room in [[wall]] to compare places"
        if scenario.bands:
            what = f"hangs in several places: compare each by itself, {' or '.join(name for name, _ in scenario.bands)}"
        raise cutplan.NotARoomError(f"{scenario.source} {what}")
    return compared(
        scenario,
        setting_out,
        seconds,
        wishes.focus(setting_out),
        step=wishes.step_in(scenario.units),
        insisted=wishes.insisted(),
        asks_heights=Keep.HEIGHT not in wishes.keep,
    )
