"""An offcut in the hand judged: where it fits, and what it saves."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from msgspec.structs import replace

from cutplan.cli.in_and_out import scenario_from
from cutplan.cli.terminal import UsageError, length_typed, print_text, progress_line
from cutplan.errors import NoPlanError
from cutplan.job.job import Job
from cutplan.job.offcut_in_hand import fits_of, misses_of
from cutplan.job.print_along import is_of_no_roll
from cutplan.lengths import ZERO, Length, show
from cutplan.paper.stock import Lot
from cutplan.plan.plan import Plan
from cutplan.plan.proof import TooFewRollsError
from cutplan.render.pages.fitting_page import BatchUse, fitting_page
from cutplan.scenario.read import Scenario
from cutplan.solve import solve
from cutplan.solve.clock import Clock
from cutplan.too_few import cover, walls_in_order


def answer_fitting(
    source: str, told: tuple[str, str | None, str | None, str | None], *, batch: str | None, sheet: int | None,
    time_limit: float, units: str | None,
) -> None:  # fmt: skip
    """Print where an offcut fits; ``told`` are its length, its first motif, and where it begins and ends across."""
    read = scenario_from(source)
    _refuse_sheet(read.job, sheet)
    offcut = replace(_InHand(read).offcut(*told), sheet=sheet)
    _fit(read, offcut, batch, time_limit, units or read.units)


def _refuse_sheet(job: Job, sheet: int | None) -> None:
    sheets = job.paper.sheets
    if sheets is None and sheet is not None:
        raise UsageError("--sheet: this paper is no numbered set; leave it out")
    if sheets is not None and (sheet is None or not 1 <= sheet <= sheets.count):
        raise UsageError(
            f"--sheet: say of which sheet it is a part, 1 to {sheets.count}: no sheet stands in for another"
        )


class _InHand:
    """Reads what was measured of the offcut, in the scenario's units."""

    def __init__(self, scenario: Scenario) -> None:
        self.job: Job = scenario.job
        self.units = scenario.units

    def offcut(self, length: str, first_motif: str | None, left: str | None, right: str | None) -> Lot:
        size = self._length("--length", length)
        if size == 0:
            raise UsageError("--length: must be more than 0")
        motif = self._first_motif(first_motif)
        begin, end = self._across(left, right)
        taken = {lot.label for lot in (*self.job.lots, *self.job.offcuts)}
        taken |= {cut_out.label for drop in self.job.drops for cut_out in drop.cut_outs}
        label = "in the hand"
        while label in taken:
            label = f"the one {label}"
        return Lot(label, size, motif, left=begin, right=end, is_offcut=True)

    def _first_motif(self, text: str | None) -> Length | None:
        pattern = self.job.paper.pattern
        if pattern.is_free:
            if text is not None:
                raise UsageError("--first-motif: a free match has no motif to measure; leave it out")
            return ZERO
        if text is None:
            return None
        motif = self._length("--first-motif", text)
        if motif >= pattern.repeat:
            within = show(pattern.within_repeat(motif), self.units)
            repeat = show(pattern.repeat, self.units)
            raise UsageError(f"--first-motif: must be less than the repeat of {repeat}; it is then at {within}")
        return motif

    def _across(self, left: str | None, right: str | None) -> tuple[Length | None, Length | None]:
        if left is None and right is None:
            return None, None
        strip = self.job.paper.roll_width
        begin = ZERO if left is None else self._length("--left", left)
        end = strip if right is None else self._length("--right", right)
        if end is None:
            raise UsageError("--right is missing: the scenario has no roll_width under [paper] to go by")
        if strip is not None and end > strip:
            raise UsageError(f"--right: lies beyond the strip, which is {show(strip, self.units)} wide")
        if begin >= end:
            what = f"must lie to the right of --left, which is {show(begin, self.units)}"
            raise UsageError(f"--right: {what}, not at {show(end, self.units)}")
        return (None, None) if not begin and end == strip else (begin, end)

    def _length(self, option: str, text: str) -> Length:
        length = length_typed(option, text, self.units)
        if length < 0:
            raise UsageError(f"{option}: cannot be less than 0")
        return length


def _fit(scenario: Scenario, offcut: Lot, batch: str | None, time_limit: float, units: str) -> None:
    fits = fits_of(scenario.job, offcut)
    uses = _uses(scenario, offcut, batch, time_limit) if fits else None
    print_text(fitting_page(offcut, fits, misses_of(scenario.job, offcut), uses, units))


def _uses(scenario: Scenario, offcut: Lot, batch: str | None, time_limit: float) -> list[BatchUse]:
    """Return what the offcut saves: if it is of ``batch``, or of each batch of the rolls where that is not told.

    Each of the plans, one without it and one for each batch, may take the same part of the time.
    """
    job = scenario.job
    told = [told for told in job.batches if told]
    batches = [*told, *([None] if "" in job.batches else [])] if batch is None and told else [batch]
    paper = [replace(offcut, batch=each) for each in batches]
    jobs = [scenario, *(_with(scenario, lot) for lot in paper)]
    with progress_line() as show:
        without, *plans = [_plan(each, seconds, show) for each, seconds in Clock(time_limit).shared_out(jobs)]
    return [
        BatchUse(lot, is_of_no_roll(lot, job.rolls), *without, *found) for lot, found in zip(paper, plans, strict=True)
    ]


def _with(scenario: Scenario, lot: Lot) -> Scenario:
    return replace(scenario, job=replace(scenario.job, lots=(*scenario.job.lots, lot)))


def _plan(
    scenario: Scenario, time_limit: float, show: Callable[[str], None] | None
) -> tuple[Plan | None, Mapping[str, int]]:
    """Return a plan, and what stays bare in it: of all drops, or, where the rolls are too few, of what they cover."""
    job, clock = scenario.job, Clock(time_limit)
    try:
        found = solve(job, time_limit=time_limit, progress=show)
    except TooFewRollsError as short:
        walls = walls_in_order(job, scenario.setting_out, scenario.cutting.first_walls)
        covered = cover(job, scenario.cutting, short, walls, time_limit=clock.left, progress=show)
        return covered.plan, covered.bare
    except NoPlanError:
        return None, {}
    return (found if found.layouts else None), {}
