"""What each column needs: one piece for each unbroken height of wall, from its highest to its lowest."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from cutplan.check.report import Violation, counted, mm
from cutplan.check.roll_rules.what_fits_where import CutOut, WantedDrop
from cutplan.check.stated.fields import NOTHING
from cutplan.check.stated.match import within_repeat
from cutplan.check.survey.surveyed import Survey, Thing, Wall
from cutplan.check.survey.wall_line import is_taken_down, is_taken_up
from cutplan.check.wall_rules.hung import Column, Hung, Panel, Piece, column_name
from cutplan.check.wall_rules.run import reach_of


class Need(Struct, frozen=True):
    """An unbroken height of wall within a column: it takes one piece of paper.

    ``top`` is the highest wall of it, ``foot`` the lowest; ``under`` is what the paper reaches further, to be
    turned under the head of a reveal. ``panels`` are the parts of the column's panels across which it is found.
    It is one with what begins at ``joins`` or above: a turn deeper than its opening is high joins nothing.
    """

    top: Fraction
    foot: Fraction
    under: Fraction
    panels: tuple[Panel, ...]
    joins: Fraction

    @property
    def paper_foot(self) -> Fraction:
        """How far down the paper reaches."""
        return self.foot - self.under

    def joined_to(self, lower: Need) -> Need:
        """Return the unbroken height of this and of one that begins no lower than this one ends."""
        foot = min(self.foot, lower.foot)
        under = foot - min(self.paper_foot, lower.paper_foot)
        return Need(self.top, foot, under, (*self.panels, *lower.panels), min(self.joins, lower.joins))

    def meets(self, piece: Piece) -> bool:
        """Return True when a piece hangs at some of its heights."""
        return min(self.top, piece.top) > max(self.foot, piece.foot)


def needs_of(survey: Survey, column: Column) -> list[Need]:
    """Return what a column needs, from the top down: heights that are wall anywhere across it, joined up."""
    heights = [need for panel in column.panels for need in _needs_across(survey.walls[panel.wall], panel)]
    joined: list[Need] = []
    for need in sorted(heights, key=lambda need: (-need.top, need.paper_foot)):
        above = joined.pop() if joined and need.top >= joined[-1].joins else None
        joined.append(need if above is None else above.joined_to(need))
    return [replace(need, panels=_whole(need.panels, column)) for need in joined]


def _whole(parts: tuple[Panel, ...], column: Column) -> tuple[Panel, ...]:
    """Return, for each panel of a column, all that lies between the outermost of its parts, if it has any."""
    whole = []
    for panel in column.panels:
        own = [part for part in parts if part.wall == panel.wall and panel.left <= part.left < panel.right]
        if own:
            whole.append(_part(panel, min(part.left for part in own), max(part.right for part in own)))
    return tuple(whole)


def _part(panel: Panel, left: Fraction, right: Fraction) -> Panel:
    paper_left, paper_right = panel.paper_left + left - panel.left, panel.paper_right + right - panel.right
    return replace(panel, left=left, right=right, paper_left=paper_left, paper_right=paper_right)


def _needs_across(wall: Wall, panel: Panel) -> Iterator[Need]:
    """Yield the heights of wall behind a panel, apart for each stretch with the same openings."""
    sides = {side for thing in wall.openings for side in (thing.left, thing.right) if panel.left < side < panel.right}
    for start, end in pairwise(sorted({panel.left, panel.right} | sides)):
        part = (_part(panel, start, end),)
        base, under = wall.foot.span(start, end)[0], NOTHING
        joins = base
        top = wall.top.span(start, end)[1]
        for thing in openings_across(wall, start, end):
            if base < min(thing.foot, top):
                yield Need(min(thing.foot, top), base, under, part, joins)
            if thing.head > base:
                base, under = thing.head, thing.reveal
                joins = base if under >= thing.head - thing.foot else base - under
        if base < top:
            yield Need(top, base, under, part, joins)


def openings_across(wall: Wall, left: Fraction, right: Fraction) -> list[Thing]:
    """Return the openings that stand over the whole of a stretch, from the foot up."""
    return sorted(
        (thing for thing in wall.openings if thing.left <= left and right <= thing.right), key=lambda thing: thing.foot
    )


def heights_needed(hung: Hung, needs_by_column: Sequence[Sequence[Need]]) -> dict[str, Fraction]:
    """Return, by drop, the finished height that its piece must have; pieces that fit no one need left out."""
    heights = {}
    for column, needs in zip(hung.columns, needs_by_column, strict=True):
        pieces = hung.pieces_of(column.number)
        for need in needs:
            met = [piece for piece in pieces if need.meets(piece)]
            if len(met) == 1:
                heights[met[0].drop] = _height(need, met[0])
    return heights


def _height(need: Need, piece: Piece) -> Fraction:
    """Return the finished height that is needed, each end where the piece has it if it may end there."""
    top = piece.top if is_taken_up(piece.top, need.top) else need.top
    foot = piece.foot if is_taken_down(piece.foot, need.foot) else need.foot
    return top - foot + _under(need, foot)


def _under(need: Need, foot: Fraction) -> Fraction:
    """Return what is turned under a reveal, from a foot that may be taken down at a slope."""
    return max(need.under - (need.foot - foot), NOTHING) if need.under else NOTHING


def piece_rule(survey: Survey, hung: Hung, needs_by_column: Sequence[Sequence[Need]]) -> Iterator[Violation]:
    """Require one piece for each unbroken height of a column, from its highest wall to its lowest."""
    numbers = {column.number for column in hung.columns}
    for piece in hung.pieces:
        if piece.column not in numbers:
            yield Violation("pieces", piece.name, f"hangs in {column_name(piece.column)}, which is not listed")
    for column, needs in zip(hung.columns, needs_by_column, strict=True):
        where, pieces = column_name(column.number), hung.pieces_of(column.number)
        for need in needs:
            met = [piece for piece in pieces if need.meets(piece)]
            if len(met) == 1:
                yield from _ends_rule(where, need, met[0])
                yield from _panels_rule(survey, where, need, met[0])
                yield from _strip_rule(where, survey.strip, reach_of(survey, hung, column.number), met[0])
                continue
            span = f"from {mm(need.foot)} to {mm(need.top)} above the floor line"
            if met:
                message = f"{counted(len(met), 'piece')} hang where the wall is unbroken {span}"
            else:
                message = f"nothing hangs on the wall {span}"
            yield Violation("pieces", where, message, need.top - need.foot)
        for piece in pieces:
            if sum(need.meets(piece) for need in needs) != 1:
                what = "over more than one height of wall" if any(need.meets(piece) for need in needs) else "on no wall"
                yield Violation("pieces", where, f"{piece.name} hangs {what}")


def _ends_rule(where: str, need: Need, piece: Piece) -> Iterator[Violation]:
    for end, said, found, is_taken, what in (
        ("top", piece.top, need.top, is_taken_up, "the highest wall within its width"),
        ("foot", piece.foot, need.foot, is_taken_down, "the lowest wall within its width"),
    ):
        if not is_taken(said, found):
            way = "above" if said > found else "below"
            message = f"the {end} of {piece.name} is {mm(abs(said - found))} {way} {what}, at {mm(found)}"
            yield Violation("pieces", where, message, abs(said - found))
    under = _under(need, piece.foot if is_taken_down(piece.foot, need.foot) else need.foot)
    if piece.turned_under != under:
        message = f"{piece.name} has {mm(piece.turned_under)} to turn under a reveal; it needs {mm(under)}"
        yield Violation("pieces", where, message, abs(piece.turned_under - under))


def _panels_rule(survey: Survey, where: str, need: Need, piece: Piece) -> Iterator[Violation]:
    """Require a piece to hang across all of its height of wall and no more, and to have that part of the strip."""
    for what, panels, others in (
        ("is missing", need.panels, piece.panels),
        ("is not needed", piece.panels, need.panels),
    ):
        for panel in panels:
            if panel not in others:
                place = f"from {mm(panel.left)} to {mm(panel.right)} along {survey.walls[panel.wall].name!r}"
                paper = f"(paper {mm(panel.paper_left)} to {mm(panel.paper_right)})"
                yield Violation("pieces", where, f"{piece.name} {what} {place} {paper}")
    if list(piece.panels) != sorted(piece.panels, key=lambda panel: panel.paper_left):
        yield Violation("pieces", where, f"the panels of {piece.name} are not listed left to right")
    for panel in piece.panels:
        short = max(piece.paper_left - panel.paper_left, panel.paper_right - piece.paper_right)
        if short > 0:
            message = f"{piece.name} shows {mm(short)} more of the strip's width than it is said to need"
            yield Violation("pieces", where, message, short)


def _strip_rule(where: str, strip: Fraction, reach: tuple[Fraction, Fraction], piece: Piece) -> Iterator[Violation]:
    """Require a piece to need no more than its strip has."""
    beyond = max(-piece.paper_left - reach[0], piece.paper_right - strip - reach[1])
    if beyond > 0:
        yield Violation("pieces", where, f"{piece.name} is said to need {mm(beyond)} more than the strip has", beyond)


def with_widths(drop: WantedDrop, survey: Survey, piece: Piece, repeat: Fraction) -> WantedDrop:
    """Return the drop of a piece with the part of the dry strip that it needs, and with what comes away from it.

    At a reveal nothing is counted on: the edges of what falls out there are turned in. Every strip of a roll is as
    much wider, on either edge, as an outer one shows beyond its joint.
    """
    cut_outs = list(_fallen(drop, survey, piece, repeat))
    most = -drop.reach[0], survey.strip / survey.wet + drop.reach[1]
    left, right = max(piece.paper_left / survey.wet, most[0]), min(piece.paper_right / survey.wet, most[1])
    if (left, right) == most:
        return replace(drop, cut_outs=tuple(cut_outs))
    if survey.start.usable is not None:  # what is trimmed off equal strips is lost
        return replace(drop, left=left, right=right, cut_outs=tuple(cut_outs))
    motif = within_repeat(drop.datum, repeat)
    for side, begin, end in (("left", left * 0, left), ("right", right, survey.strip / survey.wet)):
        if begin < end:
            cut_outs.append(CutOut(f"{side} of {drop.label}", drop.cut_length, motif, begin, end))
    return replace(drop, left=left, right=right, cut_outs=tuple(cut_outs))


def _fallen(drop: WantedDrop, survey: Survey, piece: Piece, repeat: Fraction) -> Iterator[CutOut]:
    """Yield what falls out of a piece at openings, panel by panel as the survey lists them."""
    found = []
    for panel in piece.panels:
        for opening in survey.walls[panel.wall].openings:
            left, right = max(panel.left, opening.left), min(panel.right, opening.right)
            top, foot = min(opening.head, piece.top), max(opening.foot, piece.foot)
            if not opening.reveal and left < right and foot < top:
                found.append((panel, left, right, top, top - foot))
    for number, (panel, left, right, top, length) in enumerate(found, 1):
        label = f"cut-out of {drop.label}" if len(found) == 1 else f"cut-out {number} of {drop.label}"
        motif = within_repeat(drop.first_motif - (piece.top - top), repeat)
        edges = [(panel.paper_left + side - panel.left) / survey.wet for side in (left, right)]
        yield CutOut(label, length, motif, *edges)
