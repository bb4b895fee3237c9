"""Patches: the ends of a reveal's head under which a strip cannot go, for it is turned in at the side."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from cutplan.check.report import Violation, exact_text, mm
from cutplan.check.wall_rules.print_across_joints import nearest

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from fractions import Fraction

    from cutplan.check.stated.match import Match
    from cutplan.check.survey.surveyed import Survey, Thing, Wall
    from cutplan.check.wall_rules.hung import Hung, Panel, Piece


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
    for column, bare, thing in _bare_heads(survey, hung):
        patch = there.pop((column, (bare,)), None)
        if patch is None:
            place = f"from {mm(bare.left)} to {mm(bare.right)} along {survey.walls[bare.wall].name!r}"
            yield Violation(
                "patches", f"column {exact_text(column)}", f"leaves the head of {thing.name!r} bare {place}"
            )
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
