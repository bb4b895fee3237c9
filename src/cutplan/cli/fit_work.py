"""An offcut in the hand judged: where it fits, and what it saves."""

from __future__ import annotations

from msgspec.structs import replace

from cutplan.cli.in_and_out import scenario_from
from cutplan.cli.terminal import UsageError, length_typed, print_text, progress_line
from cutplan.job.job import Job
from cutplan.job.offcut_in_hand import fits_of, misses_of, name_in_hand
from cutplan.lengths import ZERO, Length, show
from cutplan.paper.stock import Lot
from cutplan.render.pages.fitting_page import fitting_page
from cutplan.scenario.read import Scenario
from cutplan.too_few import uses_of


def answer_fitting(
    source: str, told: tuple[str, str | None, str | None, str | None], *, batch: str | None, sheet: int | None,
    time_limit: float, units: str | None,
) -> None:  # fmt: skip
    """Print where an offcut fits; ``told`` are its length, its first motif, and where it begins and ends across."""
    read = scenario_from(source)
    _refuse_sheet(read.job, sheet)
    offcut = replace(_offcut(read, *told), sheet=sheet, batch=batch)
    fits, uses = fits_of(read.job, offcut), None
    if fits:
        with progress_line() as show_line:
            uses = uses_of(read.job, read.cutting, read.setting_out, offcut, time_limit=time_limit, progress=show_line)
    print_text(fitting_page(offcut, fits, misses_of(read.job, offcut), uses, units or read.units))


def _refuse_sheet(job: Job, sheet: int | None) -> None:
    sheets = job.paper.sheets
    if sheets is None and sheet is not None:
        raise UsageError("--sheet: this paper is no numbered set; leave it out")
    if sheets is not None and (sheet is None or not 1 <= sheet <= sheets.count):
        raise UsageError(
            f"--sheet: say of which sheet it is a part, 1 to {sheets.count}: no sheet stands in for another"
        )


def _offcut(read: Scenario, length: str, first_motif: str | None, left: str | None, right: str | None) -> Lot:
    """Return the offcut as it was measured, in the scenario's units."""
    size = length_typed("--length", length, read.units)
    if size == 0:
        raise UsageError("--length: must be more than 0")
    motif = _first_motif(read, first_motif)
    begin, end = _across(read, left, right)
    return Lot(name_in_hand(read.job), size, motif, left=begin, right=end, is_offcut=True)


def _first_motif(read: Scenario, text: str | None) -> Length | None:
    pattern = read.job.paper.pattern
    if pattern.is_free and text is not None:
        raise UsageError("--first-motif: a free match has no motif to measure; leave it out")
    if text is None:
        return ZERO if pattern.is_free else None
    motif = length_typed("--first-motif", text, read.units)
    if beyond := pattern.beyond_repeat(motif, read.units):
        raise UsageError(f"--first-motif: {beyond}")
    return motif


def _across(read: Scenario, left: str | None, right: str | None) -> tuple[Length | None, Length | None]:
    if left is None and right is None:
        return None, None
    strip, units = read.job.paper.roll_width, read.units
    begin = ZERO if left is None else length_typed("--left", left, units)
    end = strip if right is None else length_typed("--right", right, units)
    if end is None:
        raise UsageError("--right is missing: the scenario has no roll_width under [paper] to go by")
    if strip is not None and end > strip:
        raise UsageError(f"--right: lies beyond the strip, which is {show(strip, units)} wide")
    if begin >= end:
        what = f"must lie to the right of --left, which is {show(begin, units)}"
        raise UsageError(f"--right: {what}, not at {show(end, units)}")
    return (None, None) if not begin and end == strip else (begin, end)
