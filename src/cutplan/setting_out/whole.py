"""Setting out a room: from walls, paper and start to columns, joints and pieces."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property, partial

from msgspec import Struct

from cutplan.lengths import ZERO, Length
from cutplan.paper.stock import Paper
from cutplan.room.finding import RoomError, finding, raise_any
from cutplan.room.walls import Room
from cutplan.setting_out.columns import Column, number_columns
from cutplan.setting_out.cut_outs import PieceCutOut, Reveal, cut_outs_of_piece, reveals_of
from cutplan.setting_out.equal_strips import FROM_THE_LEFT, equal_columns
from cutplan.setting_out.finish import Finish, Rounds, finish_distance
from cutplan.setting_out.joints import Closing, Joint, closing_between, joints_of, nearest_joint
from cutplan.setting_out.patches import patches_of
from cutplan.setting_out.pieces import Piece, pieces_of
from cutplan.setting_out.start import Start, Way, hung_at, left_of_start, level_line_of, start_findings
from cutplan.setting_out.strips import Strip, ends_of, lay, reached_beyond, track_from


class SettingOut(Struct, frozen=True, dict=True):
    """A room set out for hanging."""

    room: Room
    paper: Paper
    start: Start
    way: Way
    """What it was made from."""
    level_line: Length
    """Height above the floor line of the level line that the print hangs from."""
    columns: tuple[Column, ...]
    """By number, so left to right from the last one on the left of the start."""
    joints: tuple[Joint, ...]
    """Between neighbouring columns, in the same order; the closing joint is not among them."""
    pieces: tuple[Piece, ...]
    """In hanging order."""
    closing: Closing | None
    """The closing joint; None when the run does not close."""
    finish: Finish | None = None
    """Where the room was asked to close; None where the trade's rule chose, or nothing had to be chosen."""

    def column(self, number: int) -> Column:
        """Return the column of this number, negative to the left of the start."""
        return self.columns[number - self.columns[0].number]

    def is_turned(self, column: int) -> bool:
        """Return True for a column whose pieces hang turned end for end: every second one, where the label says so."""
        return self.paper.is_reversed and column % 2 == 1

    def sheet_of(self, column: int) -> int | None:
        """Return the number of the sheet that hangs in a column: in their order, left to right; None for rolls."""
        sheets = self.paper.sheets
        return None if sheets is None else sheets.first + column - self.columns[0].number

    def reach_of(self, column: int) -> tuple[Length, Length]:
        """Return how far a column's paper reaches, wet, beyond the strip to the left and to the right: outer ones."""
        reach = _outer_reach(self.room, self.paper)
        is_first, is_last = column == self.columns[0].number, column == self.columns[-1].number
        return reach if is_first else ZERO, reach if is_last else ZERO

    @property
    def narrowest_strip(self) -> Length:
        """Width shown by the narrowest strip, or part of a strip hung by itself after a corner."""
        return min(width for column in self.columns for width in column.part_widths.values())

    @property
    def nearest_joint(self) -> Length | None:
        """Least distance from a joint to an opening or a corner; None when there are neither."""
        return nearest_joint(self.joints if self.closing is None else (*self.joints, self.closing.joint))

    @cached_property
    def cut_outs(self) -> tuple[PieceCutOut, ...]:
        """What falls out of the pieces at openings, in hanging order."""
        return tuple(
            cut_out
            for piece in self.pieces
            for cut_out in cut_outs_of_piece(
                self.room, piece, self.column(piece.column), self.paper.pattern, self.level_line
            )
        )

    @cached_property
    def reveals(self) -> tuple[Reveal, ...]:
        """How both sides of every reveal are papered, and what is left bare at its head."""
        return tuple(reveals_of(self.room, self.columns))

    @cached_property
    def patches(self) -> tuple[Piece, ...]:
        """The pieces for what is left bare at the heads of reveals, in hanging order."""
        return patches_of(self.room, self.pieces, self.reveals, self.paper.pattern)

    @cached_property
    def hung(self) -> tuple[Piece, ...]:
        """Pieces and patches in hanging order: each patch after the piece of its number."""
        return tuple(sorted((*self.pieces, *self.patches), key=lambda piece: piece.number))


def set_out(
    room: Room,
    paper: Paper,
    start: Start,
    way: Way = Way.RIGHT_THEN_LEFT,
    finish: Finish | None = None,
) -> SettingOut:
    """Return the columns, joints and pieces of a room.

    ``finish`` is where a room closes that is hung both ways; None for the place that the trade would choose. Of a paper
    that is hung in equal strips each wall is set out by itself, whatever the start.

    Raises
    ------
    RoomError
        When the room cannot be set out like that, with the path of each key that is wrong.

    """
    if paper.edge_trim is not None:
        return _in_equal_strips(room, paper)
    raise_any(start_findings(room, paper, start))
    start = hung_at(room, paper, start)
    rightwards, leftwards = _FromStart(room, paper, start, way).both_ways(finish)
    columns = number_columns(rightwards, leftwards, paper.pattern, start.motif_drop)
    level_line = level_line_of(room, start)
    found = SettingOut(
        room=room,
        paper=paper,
        start=start,
        way=way,
        level_line=level_line,
        columns=columns,
        joints=joints_of(room, columns),
        pieces=pieces_of(room, _hanging_order(columns, way), paper.pattern, level_line),
        closing=closing_between(room, paper, columns[-1], columns[0]) if room.closes else None,
        finish=finish,
    )
    if paper.sheets is not None and (patches := found.patches):
        text = (
            "have no second paper for the end of a reveal's head, at {}; write reveal = 0 there, and paper the reveal "
        )
        text += "from what is cut out"
        raise RoomError((finding(("sheets",), text, patches[0].openings[0]),))
    return found


def _in_equal_strips(room: Room, paper: Paper) -> SettingOut:
    """Return each wall by itself in equal strips: no joint but on a wall, nothing turned, and no closing joint."""
    columns, level_line = equal_columns(room, paper), level_line_of(room, FROM_THE_LEFT)
    return SettingOut(
        room=room,
        paper=paper,
        start=FROM_THE_LEFT,
        way=Way.RIGHT,
        level_line=level_line,
        columns=columns,
        joints=tuple(joint for joint in joints_of(room, columns) if joint.at),
        pieces=pieces_of(room, columns, paper.pattern, level_line),
        closing=None,
    )


def _hanging_order(columns: Sequence[Column], way: Way) -> list[Column]:
    right = [column for column in columns if column.number > 0]
    left = [column for column in reversed(columns) if column.number < 0]
    first = [column for column in columns if column.number == 0]
    return first + right + left if way.is_right_first else first + left + right


class _FromStart:
    """Lays strips to the right and to the left of one start."""

    def __init__(self, room: Room, paper: Paper, start: Start, way: Way) -> None:
        self.room = room
        self.start = start
        self.way = way
        self.width = paper.wet_width or ZERO
        self.reach = _outer_reach(room, paper)
        self.noun = "strip" if paper.sheets is None else "sheet"
        self.left_part = left_of_start(paper, start, right_first=way.is_right_first)

    def both_ways(self, finish: Finish | None) -> tuple[list[Strip], list[Strip]]:
        """Return the strips laid to the right and to the left; the first of each is a half of column 0."""
        if self.room.closes and not self.way.is_one_way:
            return self.round_to(finish)
        if finish is not None:
            text = "belongs to a room that closes; leave it out, or set closes = true"
            if self.room.closes:
                text = "is the first strip's own edge when hanging goes one way only; leave it out, or go both ways"
            raise RoomError((finding(("finish",), text),))
        return self.one_way_round() if self.room.closes else self.on_open_run()

    def strips(self, distance: Length | None, *, rightwards: bool, most: int | None = None) -> list[Strip]:
        track = track_from(self.room, self.start.wall, self.start.at, rightwards=rightwards, distance=distance)
        used = self.left_part if rightwards else self.width - self.left_part
        strips = lay(self.room, track, self.width, used, most)
        return reached_beyond(strips, track, self.width, self.reach) if self.reach else strips

    def on_open_run(self) -> tuple[list[Strip], list[Strip]]:
        right = self.strips(None, rightwards=True)
        left = self.strips(None, rightwards=False)
        if self.way.is_one_way:
            self._refuse_bare(left if self.way is Way.RIGHT else right)
        if not right[0].panels and not left[0].panels:
            text = "leaves the first strip no wall to hang on; put a joint there and go the other way, or move it"
            raise RoomError((finding(("start", "at"), text),))
        self._refuse_covered(right, left)
        self._refuse_covered(left, right)
        return right, left

    def _refuse_covered(self, half: list[Strip], other: list[Strip]) -> None:
        """Refuse a first strip at a run's end that the uncut edge of the one beside it reaches across."""
        if len(half) > 1 or len(other) == 1:
            return
        wide = _reach(half[0]) + _reach(other[0])
        walls = {panel.wall for panel in (*half[0].panels, *other[0].panels, other[1].panels[0])}
        if wide <= self.reach and len(walls) == 1:
            text = "leaves the first {} {}, which the one beside it covers; go the other way, or move the start"
            raise RoomError((finding(("start", "at"), text, self.noun, wide),))

    def _refuse_bare(self, half: list[Strip]) -> None:
        rightwards = self.way is Way.LEFT
        whole = track_from(self.room, self.start.wall, self.start.at, rightwards=rightwards, distance=None).length
        bare = whole - _reach(half[0])
        if bare:
            text = "leaves {} bare on the {} of the start; go both ways, or start at that end of the run"
            raise RoomError((finding(("start", "way"), text, bare, "right" if rightwards else "left"),))

    def one_way_round(self) -> tuple[list[Strip], list[Strip]]:
        rounds = self._rounds()
        if self.way is Way.RIGHT:
            half = self.strips(rounds.length, rightwards=False, most=1)
            return self.strips(rounds.length - rounds.first_left, rightwards=True), half
        half = self.strips(rounds.length, rightwards=True, most=1)
        return half, self.strips(rounds.length - rounds.first_right, rightwards=False)

    def round_to(self, finish: Finish | None) -> tuple[list[Strip], list[Strip]]:
        rounds = self._rounds()
        distance = finish_distance(self.room, self.start, finish, rounds)
        return (
            self.strips(distance, rightwards=True),
            self.strips(rounds.length - distance, rightwards=False),
        )

    def _rounds(self) -> Rounds:
        length = self.room.length
        if length < self.width:
            text = "are {} round, less than one strip of {}; check their widths"
            raise RoomError((finding(("wall",), text, length, self.width),))
        right, left = (_reach(self.strips(length, rightwards=rightwards, most=1)[0]) for rightwards in (True, False))
        right_first = self.way.is_right_first
        joints = tuple(partial(self._joints_round, rightwards=way) for way in (right_first, not right_first))
        return Rounds(length, right, left, right_first, joints)

    def _joints_round(self, *, rightwards: bool) -> list[tuple[int, Length]]:
        strips = self.strips(self.room.length, rightwards=rightwards)
        return ends_of(strips, rightwards=rightwards)


def _outer_reach(room: Room, paper: Paper) -> Length:
    """Return :attr:`Paper.outer_reach` where a run has ends; all round, the closing joint is lapped like any other."""
    return ZERO if room.closes or paper.edge_trim is not None else paper.outer_reach


def _reach(strip: Strip) -> Length:
    """Return how far along the run a strip reaches."""
    return sum((panel.right - panel.left for panel in strip.panels), ZERO)
