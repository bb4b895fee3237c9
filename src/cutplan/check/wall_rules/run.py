"""The columns' panels laid along the run: do they tile every wall, where do two meet, and which hangs in its turn."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise
from math import ceil

from msgspec import Struct

from cutplan.check.report import Violation, counted, mm
from cutplan.check.survey.surveyed import Survey
from cutplan.check.wall_rules.hung import Hung, Panel, column_name


class Laid(Struct, frozen=True):
    """A panel on the run: ``start`` and ``end`` from where the leftmost column begins."""

    column: int
    panel: Panel
    start: Fraction
    end: Fraction


class Seam(Struct, frozen=True):
    """A place where one panel ends and the next on its right begins: a joint, a corner, or where a lap ends."""

    left: Laid
    right: Laid

    @property
    def is_joint(self) -> bool:
        """True when two strips meet."""
        return self.left.column != self.right.column

    @property
    def at(self) -> Fraction:
        """Its place along the run."""
        return self.right.start


class Run(Struct, frozen=True):
    """The run as it is hung, from the left edge of the leftmost column: every panel, and the point of the start.

    ``seams`` are where neighbouring panels meet, without the closing joint; ``corners`` the place of every corner
    within it, with the wall on its left, counted from 0.
    """

    survey: Survey
    laid: tuple[Laid, ...]
    seams: tuple[Seam, ...]
    start: Fraction
    corners: tuple[tuple[Fraction, int], ...]

    def place(self, along: Fraction) -> str:
        """Return a place along the run in words."""
        for laid in self.laid:
            if laid.start <= along < laid.end:
                wall = self.survey.walls[laid.panel.wall].name
                return f"{mm(laid.panel.left + along - laid.start)} along {wall!r}"
        return "the end of the run"


def run_of(survey: Survey, hung: Hung) -> Run:
    """Return the columns laid along the run, each where the plan says that it hangs."""
    first = hung.columns[0].panels[0]
    origin = survey.lefts[first.wall] + first.left
    laid = []
    for column in hung.columns:
        for panel in column.panels:
            start = _along(survey, origin, panel.wall, panel.left)
            laid.append(Laid(column.number, panel, start, start + panel.right - panel.left))
    seams = [Seam(left, right) for left, right in pairwise(laid) if left.end == right.start]
    corners = [
        (_along(survey, origin, number, wall.width), number)
        for number, wall in enumerate(survey.walls)
        if survey.closes or number + 1 < len(survey.walls)
    ]
    start = _along(survey, origin, survey.start.wall, survey.start.at)
    if survey.closes and start == 0 and not survey.start.is_right_first:
        start = survey.length
    inner = [corner for corner in corners if corner[0] > 0]
    return Run(survey, tuple(laid), tuple(seams), start, tuple(sorted(inner)))


def _along(survey: Survey, origin: Fraction, wall: int, at: Fraction) -> Fraction:
    along = survey.lefts[wall] + at - origin
    return along % survey.length if survey.closes else along


def tiling_rule(survey: Survey, hung: Hung) -> Iterator[Violation]:
    """Require the panels to tile each wall from end to end, none of them twice and in the columns' order."""
    for number, wall in enumerate(survey.walls):
        reached, last = wall.width * 0, "its left edge"
        panels = [(panel, column.number) for column in hung.columns for panel in column.panels if panel.wall == number]
        for panel, column in sorted(panels, key=lambda pair: pair[0].left):
            gap = panel.left - reached
            if gap:
                what = f"{mm(abs(gap))} {'lie bare' if gap > 0 else 'are covered twice'}"
                message = f"{what} between {last} and {column_name(column)}"
                yield Violation("tiling", f"wall {wall.name!r}", message, abs(gap))
            reached, last = panel.right, column_name(column)
        if reached != wall.width:
            amount = abs(wall.width - reached)
            what = "lie bare" if reached < wall.width else "of paper hang over the edge"
            message = f"{mm(amount)} {what} between {last} and its right edge"
            yield Violation("tiling", f"wall {wall.name!r}", message, amount)


def sequence_rule(survey: Survey, hung: Hung) -> Iterator[Violation]:
    """Require columns to be numbered left to right along the run, with the first strip as 0."""
    numbers = [column.number for column in hung.columns]
    for left, right in pairwise(numbers):
        if right != left + 1:
            yield Violation("columns", column_name(right), f"is listed on the right of {column_name(left)}")
    if 0 not in numbers:
        yield Violation("columns", "", "there is no column 0, where hanging starts")
    for before, after in pairwise(run_of(survey, hung).laid):
        if before.end != after.start:
            where = f"{column_name(after.column)} on {survey.walls[after.panel.wall].name!r}"
            amount = abs(after.start - before.end)
            message = f"begins {mm(amount)} from where the panel listed before it ends"
            yield Violation("columns", where, message, amount)


def reach_of(survey: Survey, hung: Hung, column: int) -> tuple[Fraction, Fraction]:
    """Return how far a column may reach beyond its strip, left and right: the outer ones of a run."""
    outer = hung.columns[0].number, hung.columns[-1].number
    return survey.reach * (column == outer[0]), survey.reach * (column == outer[1])


def fewest_rule(survey: Survey, hung: Hung) -> Iterator[Violation]:
    """Require no strip for what the uncut edge of the one beside it covers."""
    first, last = hung.columns[:2], hung.columns[:-3:-1]
    for pair, end in ((first, 0), (last, -1)) if survey.reach and len(first) > 1 else ():
        outer, near = pair[0].panels, pair[1].panels[end]
        wide, edge = outer[end].right - outer[end].left, near.paper_right - survey.strip if end else near.paper_left
        if len(outer) == 1 and outer[0].wall == near.wall and edge == 0 and wide <= survey.reach:
            message = f"is one too many: {column_name(pair[1].number)} reaches across its {mm(wide)}"
            yield Violation("columns", column_name(pair[0].number), message, wide)


def paper_rule(survey: Survey, hung: Hung) -> Iterator[Violation]:
    """Require each panel to show as much paper as it is wide, from within its strip."""
    for column in hung.columns:
        reach_left, reach_right = reach_of(survey, hung, column.number)
        for panel in column.panels:
            where = f"{column_name(column.number)} on {survey.walls[panel.wall].name!r}"
            wide, shown = panel.right - panel.left, panel.paper_right - panel.paper_left
            if wide != shown:
                message = f"is {mm(wide)} wide, but shows {mm(shown)} of its paper"
                yield Violation("paper", where, message, abs(wide - shown))
            beyond = max(-panel.paper_left - reach_left, panel.paper_right - survey.strip - reach_right)
            if beyond > 0:
                message = f"takes {mm(beyond)} more paper than the strip's {mm(survey.strip)}"
                yield Violation("paper", where, message, beyond)


def hanging_order_rule(survey: Survey, hung: Hung) -> Iterator[Violation]:
    """Require column 0 first, then outwards on the side hung first, then on the other; down each column."""
    first = 1 if survey.start.is_right_first else -1
    wanted = sorted(hung.pieces, key=lambda piece: (piece.column * first < 0, abs(piece.column), -piece.top))
    for piece, right in zip(hung.pieces, wanted, strict=True):
        if piece is not right:
            yield Violation("order", piece.name, f"is hung where {right.name} has its turn")
            return


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
