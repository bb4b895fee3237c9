"""Jobs and rooms as scenarios, for what is measured as a whole command or judged with what it was planned from."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.lengths import exact_mm

if TYPE_CHECKING:
    from cutplan.job.job import Job


def scenario_text(job: Job) -> str:
    """Return a job of plain rolls and drops as a scenario in millimetres."""
    pattern = job.paper.pattern
    part = {pattern.repeat / 3: "third"}.get(pattern.offset, f"{exact_mm(pattern.offset)} mm")
    match = "free" if pattern.is_free else f"{exact_mm(pattern.repeat)} mm/{part}"
    lines = [f'units = "mm"\n[paper]\nroll_length = {job.paper.roll_length}\nmatch = "{match}"']
    lines.append("" if pattern.is_free else 'offset_direction = "down"')
    for lot in job.lots:
        if lot.count is not None:
            motif = "" if pattern.is_free else f"first_motif = {lot.first_motif}"
            lines.append(f'[[roll]]\nlabel = "{lot.label}"\n{motif}')
    for drop in job.drops:
        motif = "" if pattern.is_free else f'first_motif = "{exact_mm(drop.first_motif)} mm"'
        lines.append(f'[[drop]]\nlabel = "{drop.label}"\nheight = {drop.height}\ncount = {drop.count}\n{motif}')
    return "\n".join(lines) + "\n"
