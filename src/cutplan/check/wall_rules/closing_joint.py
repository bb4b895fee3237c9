"""The closing joint of a room, where the print never matches: is it where it should be, and truly told."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from math import floor

from cutplan.check.report import Violation, mm
from cutplan.check.stated.match import Match
from cutplan.check.survey.surveyed import Finish, Thing
from cutplan.check.wall_rules.hung import Hung, Panel, column_name
from cutplan.check.wall_rules.print_across_joints import nearest
from cutplan.check.wall_rules.run import Run

_WHERE = "closing joint"
_HALF = Fraction(1, 2)


def closing_rule(run: Run, hung: Hung, match: Match, printed: Mapping[str, Fraction]) -> Iterator[Violation]:
    """Require the closing joint to be told where it is, and how far the print is out there."""
    survey, claimed = run.survey, hung.closing
    if claimed is None or not survey.closes:
        if survey.closes:
            yield Violation("closing", _WHERE, "is not told, but the room closes")
        elif claimed is not None:
            yield Violation("closing", _WHERE, "is told, but the run does not close")
        return
    right = run.laid[0].panel
    if (claimed.wall, claimed.at) != (right.wall, right.left):
        said = f"{mm(claimed.at)} along {survey.walls[claimed.wall].name!r}"
        yield Violation("closing", _WHERE, f"is said to be {said}; it is {run.place(Fraction(0))}")
    sideways, lower = out_at_closing(run, hung, match, printed)
    for what, told, found in (("sideways", claimed.sideways, sideways), ("in height", claimed.height, lower)):
        if found is not None and told != found:
            message = f"is said to be {mm(told)} out {what}; on the wall it is {mm(found)}"
            yield Violation("closing", _WHERE, message, abs(told - found))


def out_at_closing(
    run: Run, hung: Hung, match: Match, printed: Mapping[str, Fraction]
) -> tuple[Fraction, Fraction | None]:
    """Return how far the print is out: missing sideways, and lower on the right; None where no paper tells.

    The nearest place of the lattice counts, first sideways, then in height: n strips to the right of the
    left strip are n widths along and n offsets down. A free match is never out.
    """
    if not match.repeat:
        return Fraction(0), Fraction(0)
    strip = run.survey.strip
    left, right = run.laid[-1], run.laid[0]
    missing = right.panel.paper_left - left.panel.paper_right
    strips = -floor(missing / strip + _HALF)
    before = datum_of_column(hung, match, printed, left.column)
    after = datum_of_column(hung, match, printed, right.column)
    sideways = missing + strips * strip
    if before is None or after is None:
        return sideways, None
    return sideways, nearest(before - strips * match.offset - after, match.repeat)


def datum_of_column(hung: Hung, match: Match, printed: Mapping[str, Fraction], column: int) -> Fraction | None:
    """Return the height of a datum of a column; of one without paper, as the nearest with paper has it."""
    pieces = [piece for piece in hung.pieces if piece.drop in printed]
    if not pieces:
        return None
    piece = min(pieces, key=lambda piece: (abs(piece.column - column), -piece.top))
    return printed[piece.drop] + (piece.column - column) * match.offset


def finish_rule(run: Run, hung: Hung) -> Iterator[Violation]:
    """Require the room to close where the survey says, or where the trade would have it.

    A room hung one way closes at the first strip's outer edge. Without a finish it closes over a door or a
    window off the wall of the start, else in a corner (Wallcoverings Association, "Where to start").
    """
    survey = run.survey
    if survey.start.is_one_way:
        yield from _one_way_rule(run, hung)
    elif survey.closes and survey.finish is not None:
        yield from _finish_given_rule(run, survey.finish)
    elif survey.closes:
        panel = run.laid[0].panel
        wall = survey.walls[panel.wall]
        over = any(
            thing.kind in ("door", "window") and thing.left <= panel.left <= thing.right for thing in wall.openings
        )
        if panel.left not in (0, wall.width) and (not over or panel.wall == survey.start.wall):
            message = f"is {run.place(Fraction(0))}: over no door or window off the wall of the start, and in no corner"
            yield Violation("finish", _WHERE, message)


def _one_way_rule(run: Run, hung: Hung) -> Iterator[Violation]:
    is_right = run.survey.start.is_right_first
    outer, way = (hung.columns[0], "right") if is_right else (hung.columns[-1], "left")
    if outer.number != 0:
        yield Violation("finish", column_name(outer.number), f"hanging goes {way} only, so column 0 must come first")
    elif run.survey.closes:
        panel = outer.panels[0 if is_right else -1]
        edge = panel.paper_left if is_right else run.survey.strip - panel.paper_right
        if edge and not _is_turned_away(run, panel, edge, rightwards=not is_right):
            message = f"cuts {mm(edge)} off the first strip; hung {way} only, a room closes at its own edge"
            yield Violation("finish", _WHERE, message, edge)


def _is_turned_away(run: Run, last: Panel, edge: Fraction, *, rightwards: bool) -> bool:
    """Return True when the edge of a strip that shows ``last`` at its end lies under the lap of a corner there.

    Then all that was left of the strip was turned, no more than the corner's turn, and the lap covers ``edge``.
    """
    walls = run.survey.walls
    ends = {walls[last.wall].width: last.wall, Fraction(0): (last.wall - 1) % len(walls)}
    ahead, behind = (last.right, last.left) if rightwards else (last.left, last.right)
    for place, shown in ((ahead, Fraction(0)), (behind, last.right - last.left)):
        if place in ends:
            corner = walls[ends[place]].corner
            turned = shown + edge
            if turned <= corner.turn and min(corner.lap, turned) == edge and not corner.is_true:
                return True
    return False


def _finish_given_rule(run: Run, finish: Finish) -> Iterator[Violation]:
    survey = run.survey
    panel = run.laid[0].panel
    closes = survey.lefts[panel.wall] + panel.left
    if finish.over is None:
        wanted = survey.lefts[finish.wall] + (finish.at or Fraction(0))
        out = nearest(closes - wanted, survey.length)
        if out:
            message = f"is {mm(abs(out))} to the {'right' if out > 0 else 'left'} of where the survey has it"
            yield Violation("finish", _WHERE, message, abs(out))
        return
    yield from _over_rule(run, finish.wall, finish.over)


def _over_rule(run: Run, wall: int, thing: Thing) -> Iterator[Violation]:
    """Require the joint over an opening that is nearest to its middle; without one, the middle itself."""
    survey, panel = run.survey, run.laid[0].panel
    # A joint in the corner at the right of a wall is at the left edge of the next.
    is_next = panel.left == 0 and panel.wall == (wall + 1) % len(survey.walls)
    at = panel.left if panel.wall == wall else survey.walls[wall].width if is_next else None
    if at is None or not thing.left <= at <= thing.right:
        yield Violation("finish", _WHERE, f"is not over {thing.name!r}, but {run.place(Fraction(0))}")
        return
    middle = (thing.left + thing.right) / 2
    out = abs(at - middle)
    ends_left, ends_right = run.laid[-1].panel.paper_right == survey.strip, panel.paper_left == 0
    if not (ends_left or ends_right):
        if out:
            message = f"is {mm(out)} from the middle of {thing.name!r}, and no whole strip ends there"
            yield Violation("finish", _WHERE, message, out)
        return
    nearer = [
        any(abs(other - middle) < out for other in _other_joints(run, at, rightwards=way))
        for way, is_whole in ((True, ends_left), (False, ends_right))
        if is_whole
    ]
    if all(nearer):
        message = f"is {mm(out)} from the middle of {thing.name!r}, and another joint is nearer"
        yield Violation("finish", _WHERE, message, out)


def _other_joints(run: Run, at: Fraction, *, rightwards: bool) -> Iterator[Fraction]:
    """Yield where the joints before and after ``at`` are along its wall, where strips laid one way close the room.

    One under the first strip is none.
    """
    survey = run.survey
    gone = survey.length - run.start if rightwards else run.start
    beyond, before = (at + survey.strip, at - survey.strip) if rightwards else (at - survey.strip, at + survey.strip)
    first = [laid for laid in run.laid if laid.column == 0]
    if not first:
        return  # Columns that are not numbered from the start are refused elsewhere.
    behind = run.start - first[0].start if rightwards else first[-1].end - run.start
    ahead = gone + survey.strip
    if ahead < survey.length and ahead <= survey.length - behind:
        yield beyond
    last = run.laid[-1 if rightwards else 0]
    is_whole = last.panel.right - last.panel.left == survey.strip
    if is_whole and last.column != 0:
        yield before
