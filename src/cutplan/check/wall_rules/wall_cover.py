"""What hangs on the walls: every bit that is no opening under paper, and under one piece only."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from cutplan.check.report import Violation, mm
from cutplan.check.stated.fields import NOTHING
from cutplan.check.stated.match import Match
from cutplan.check.survey.surveyed import Survey, Thing, Wall
from cutplan.check.survey.wall_line import Box, covers_across, slices_of, uncovered
from cutplan.check.wall_rules.hung import Hung, Panel, Piece, column_name
from cutplan.check.wall_rules.print_across_joints import nearest


class _Sheet(Struct, frozen=True):
    """A piece as it lies on one wall: a rectangle of paper, trims not counted."""

    piece: Piece
    left: Fraction
    right: Fraction

    @property
    def box(self) -> Box:
        """What it covers of its wall."""
        return self.left, self.right, self.piece.foot, self.piece.top


def cover_rule(survey: Survey, hung: Hung) -> Iterator[Violation]:
    """Require every bit of wall that is no opening to lie under paper, and under one piece only."""
    sheets: list[list[_Sheet]] = [[] for _ in survey.walls]
    for piece in hung.pieces:
        for panel in piece.panels:
            sheets[panel.wall].append(_Sheet(piece, panel.left, panel.right))
    for wall, hanging in zip(survey.walls, sheets, strict=True):
        yield from _twice_rule(wall, hanging)
        yield from _bare_rule(wall, hanging)


def _twice_rule(wall: Wall, sheets: Sequence[_Sheet]) -> Iterator[Violation]:
    open_sheets: list[_Sheet] = []
    for sheet in sorted(sheets, key=lambda sheet: sheet.left):
        open_sheets = [other for other in open_sheets if other.right > sheet.left]
        for other in open_sheets:
            if sheet.piece.meets(other.piece):
                wide = min(sheet.right, other.right) - sheet.left
                what = f"{other.piece.name} and {sheet.piece.name} hang over one another, {mm(wide)} wide"
                message = f"{what} at {mm(sheet.left)} along {wall.name!r}"
                yield Violation("cover", column_name(sheet.piece.column), message, wide)
        open_sheets.append(sheet)


def _bare_rule(wall: Wall, sheets: Sequence[_Sheet]) -> Iterator[Violation]:
    worst, begun, ended = NOTHING, NOTHING, None
    boxes = [*(thing.box for thing in wall.openings), *(sheet.box for sheet in sheets)]
    for left, right in slices_of((wall.foot, wall.top), boxes):
        covers = covers_across(boxes, left, right)
        ends = zip(wall.foot.ends(left, right), wall.top.ends(left, right), strict=True)
        bare = max(sum(high - low for low, high in uncovered(foot, top, covers)) for foot, top in ends)
        if bare:
            if ended is not None and ended != left:
                yield _bare_violation(wall, worst, begun, ended)
            if ended != left:
                worst, begun = NOTHING, left
            worst, ended = max(worst, bare), right
    if ended is not None:
        yield _bare_violation(wall, worst, begun, ended)


def _bare_violation(wall: Wall, height: Fraction, left: Fraction, right: Fraction) -> Violation:
    message = f"up to {mm(height)} of its height lie bare from {mm(left)} to {mm(right)} along it"
    return Violation("cover", f"wall {wall.name!r}", message, height)


def _bare_heads(survey: Survey, hung: Hung) -> Iterator[tuple[int, Panel, Thing]]:
    """Yield, by column, what a strip across a side of a reveal leaves bare of its head, and the opening."""
    for column in hung.columns:
        for panel in column.panels:
            wall = survey.walls[panel.wall]
            for thing in wall.openings:
                across = any(panel.left < side < panel.right for side in (thing.left, thing.right))
                left, right = max(panel.left, thing.left), min(panel.right, thing.right)
                if thing.reveal and across and _is_wall_above(wall, thing, left, right):
                    shift = panel.paper_left - panel.left
                    bare = replace(panel, left=left, right=right, paper_left=left + shift, paper_right=right + shift)
                    yield column.number, bare, thing


def _is_wall_above(wall: Wall, thing: Thing, left: Fraction, right: Fraction) -> bool:
    taken = any(
        other.foot <= thing.head < other.head and other.left <= left and right <= other.right for other in wall.openings
    )
    return not taken and wall.top.span(left, right)[1] > thing.head


def patch_heights(survey: Survey, hung: Hung) -> dict[str, Fraction]:
    """Return, by drop, how long its patch must be: as the reveal is deep. Patches that cover nothing are left out."""
    depths = {(column, bare): thing.reveal for column, bare, thing in _bare_heads(survey, hung)}
    found = {patch.drop: depths.get((patch.column, panel)) for patch in hung.patches or () for panel in patch.panels}
    return {drop: depth for drop, depth in found.items() if depth is not None}


def patch_rule(survey: Survey, hung: Hung, match: Match, printed: Mapping[str, Fraction]) -> Iterator[Violation]:
    """Require a patch for each bare end of a head, with the print that goes on there, and no other."""
    if hung.patches is None:
        return
    there = {(patch.column, patch.panels): patch for patch in hung.patches}
    last = {piece.column: number for number, piece in enumerate(hung.pieces)}
    turns = [(last.get(patch.column, -1), patch.paper_left) for patch in hung.patches]
    if turns != sorted(turns):
        yield Violation("patches", "", "are not told as they hang: after the last piece of their column, left to right")
    for column, bare, thing in _bare_heads(survey, hung):
        patch = there.pop((column, (bare,)), None)
        if patch is None:
            place = f"from {mm(bare.left)} to {mm(bare.right)} along {survey.walls[bare.wall].name!r}"
            yield Violation("patches", column_name(column), f"leaves the head of {thing.name!r} bare {place}")
        else:
            yield from _as_needed(patch, bare, thing)
    for patch in there.values():
        yield Violation("patches", patch.name, "covers nothing that is bare at the head of a reveal")
    if match.repeat:
        yield from _print_rule(hung, match, printed)


def _print_rule(hung: Hung, match: Match, printed: Mapping[str, Fraction]) -> Iterator[Violation]:
    for patch in hung.patches or ():
        above = next((piece for piece in hung.pieces_of(patch.column) if piece.drop in printed), None)
        if above is None or patch.drop not in printed:
            continue
        out = nearest(printed[above.drop] - printed[patch.drop], match.repeat)
        if out:
            message = f"its print is {mm(abs(out))} out against {above.name}"
            yield Violation("print", patch.name, message, abs(out))


def _as_needed(patch: Piece, bare: Panel, thing: Thing) -> Iterator[Violation]:
    told = (patch.top, patch.foot, patch.turned_under, patch.paper_left, patch.paper_right)
    needed = (thing.head, thing.head - thing.reveal, thing.head * 0, bare.paper_left, bare.paper_right)
    for what, said, found in zip(("top", "foot", "turn", "left edge", "right edge"), told, needed, strict=True):
        if said != found:
            message = f"its {what} is said to be {mm(said)}; by the survey it is {mm(found)}"
            yield Violation("patches", patch.name, message, abs(said - found))
