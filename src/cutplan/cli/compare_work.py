"""Other places for a start compared, in one room or in every band of a job, and written out."""

from __future__ import annotations

from collections.abc import Collection
from typing import Final, NamedTuple

import cutplan
from cutplan.cli.in_and_out import AnswerFile, job_from
from cutplan.cli.parts_shared import named
from cutplan.cli.terminal import UsageError, length_typed
from cutplan.cli.too_few_shared import compared, counting_further, end_if_short
from cutplan.comparing.comparison import Comparison
from cutplan.comparing.placements import IMPERIAL_STEP, METRIC_STEP, Focus, Insisted
from cutplan.lengths import Length
from cutplan.parts.part import PartedJob
from cutplan.render.documents.comparing_document import comparison_document
from cutplan.render.documents.parts_document import COMPARING, parts_text
from cutplan.render.documents.plan_document import plan_text
from cutplan.render.pages.comparing_page import comparison_page, own_sentence
from cutplan.render.pages.parts_page import parts_page
from cutplan.scenario.read import Scenario
from cutplan.setting_out import Puts, SettingOut
from cutplan.solve.clock import Clock

_FINEST: Final = 1
_COARSEST: Final = 10
"""Steps of the sweep, in millimetres."""


class Wishes(NamedTuple):
    """What was asked for on the command line: what must lie on which focal point, what is kept, the step, seconds."""

    centre: str | None
    around: str | None
    keep: Collection[str]
    step: str | None
    time_limit: float

    def insisted(self) -> Insisted:
        """Return what stays as it is, and what must lie on the focal point."""
        on_focus = None if self.centre is None else Puts(self.centre)
        return Insisted(on_focus, start="start" in self.keep, finish="finish" in self.keep)

    def focus(self, setting_out: SettingOut) -> Focus:
        """Return the focal point."""
        return (
            cutplan.focus_of(setting_out) if self.around is None else cutplan.focus_named(setting_out.room, self.around)
        )

    def step_in(self, units: str) -> Length:
        """Return the step of the sweep."""
        if self.step is None:
            return METRIC_STEP if units in {"mm", "cm", "m"} else IMPERIAL_STEP
        length = length_typed("--step", self.step, units)
        if not _FINEST <= length <= _COARSEST:
            raise UsageError(f"--step: must be from {_FINEST} mm to {_COARSEST} mm, not {self.step!r}")
        return length


def answer_comparing(source: str, wishes: Wishes, output: AnswerFile, units: str | None) -> None:
    """Write places for the start compared, of a scenario or of every band of a job."""
    scenario = job_from(source)
    if isinstance(scenario, cutplan.PartedJob):
        _compare_parts(scenario, wishes, output, units)
        return
    comparison = _compared(scenario, wishes, wishes.time_limit)
    scenario = counting_further(comparison, scenario)
    if output.is_json:
        text = plan_text(comparison_document(comparison, scenario))
    else:
        text = comparison_page(comparison, scenario.notes, units or scenario.units, scenario.units, scenario.band)
    output.write(text)
    end_if_short(comparison)


def _compare_parts(job: PartedJob, wishes: Wishes, output: AnswerFile, units: str | None) -> None:
    """Compare places for the start of every band of a job; borders, lining and equal strips have none of this kind."""
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


def _compared(scenario: Scenario, wishes: Wishes, seconds: float) -> Comparison:
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
        asks_heights="height" not in wishes.keep,
    )
