"""Equal strips: each wall by itself in as few strips of one width as the paper allows, trimmed alike on both edges."""

from __future__ import annotations

from math import ceil
from typing import TYPE_CHECKING

from cutplan.check.report import Violation, counted, mm

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cutplan.check.survey.surveyed import Survey
    from cutplan.check.wall_rules.hung import Hung


def equal_rule(survey: Survey, hung: Hung) -> Iterator[Violation]:
    """Require the strips of a wall to be equal, no more of them than its width takes, each the middle of its paper."""
    usable = survey.start.usable or survey.strip
    if hung.closing is not None:
        yield Violation("equal strips", "", "have no closing joint, for each wall is hung by itself")
    for column in hung.columns:
        if len(column.panels) > 1:
            yield Violation("equal strips", f"column {column.number}", "is taken round a corner")
    for number, wall in enumerate(survey.walls):
        where, wanted = f"wall {wall.name!r}", ceil(wall.width / usable)
        panels = [panel for column in hung.columns for panel in column.panels if panel.wall == number]
        if len(panels) != wanted:
            yield Violation("equal strips", where, f"has {counted(len(panels), 'strip')}; its width takes {wanted}")
            continue
        for panel in panels:
            wide, off = panel.right - panel.left, survey.strip - panel.paper_right
            if wide != wall.width / wanted:
                message = f"the strip at {mm(panel.left)} is {mm(wide)} wide; each must be {mm(wall.width / wanted)}"
                yield Violation("equal strips", where, message, abs(wide - wall.width / wanted))
            if panel.paper_left != off:
                sides = f"{mm(panel.paper_left)} off its left and {mm(off)} off its right"
                message = f"the strip at {mm(panel.left)} is not trimmed alike: {sides}"
                yield Violation("equal strips", where, message, abs(panel.paper_left - off))
