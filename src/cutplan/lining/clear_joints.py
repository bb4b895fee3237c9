"""Where joints of a lining come near those of the paper over it, along the run unfolded at its external corners."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import accumulate
from typing import TYPE_CHECKING, NamedTuple

from msgspec import Struct

from cutplan.lengths import ZERO, Length
from cutplan.room.walls import CornerKind, Room
from cutplan.setting_out import SettingOut

if TYPE_CHECKING:
    from cutplan.lining.courses import LiningPiece


class Clash(Struct, frozen=True, order=True):
    """A joint of the lining near one of the paper: both on a wall, counted from 0, from its left edge.

    ``paper_at`` may lie beyond the wall, round an external corner. ``foot`` and ``top`` are the lining joint's heights.
    """

    wall: int
    at: Length
    paper_at: Length
    foot: Length
    top: Length


class Run:
    """A room's run unfolded: places are measured from the left edge of its first wall."""

    def __init__(self, room: Room) -> None:
        self.room = room
        self.lefts = tuple(accumulate((wall.width for wall in room.walls), initial=ZERO))[:-1]
        pairs = zip(self.lefts, map(room.corner_left_of, range(len(room.walls))), strict=True)
        self.ends = {at for at, corner in pairs if corner is None or corner.kind is CornerKind.INTERNAL}
        if not room.closes:
            self.ends.add(room.length)

    def place(self, wall: int, at: Length) -> Length:
        """Return where a place of a wall lies along the run."""
        place = self.lefts[wall] + at
        return ZERO if self.room.closes and place == self.room.length else place

    def to(self, other: Length, one: Length, nearer_than: Length) -> Length | None:
        """Return how far right of ``one`` another place lies, negative to its left, if it lies that near.

        None where it does not, or where they are on either side of an internal corner.
        """
        length = self.room.length
        by = other - one
        if self.room.closes and abs(by) * 2 > length:
            by += length if by < 0 else -length
        if abs(by) >= nearer_than:
            return None
        low, high = min(one, one + by), max(one, one + by)
        turns = (end + turn for end in self.ends for turn in (-length, ZERO, length))
        return None if any(low < end < high for end in turns) else by


class PaperJoint(NamedTuple):
    """An edge of the paper's strips: its place along the run, and between which heights."""

    place: Length
    foot: Length
    top: Length


def joints_of_paper(setting_outs: Iterable[SettingOut]) -> tuple[PaperJoint, ...]:
    """Return the joints of the papers of a room, one above another; none in internal corners and at the run's ends."""
    found = set()
    for setting_out in setting_outs:
        room, run = setting_out.room, Run(setting_out.room)
        for panel in (panel for column in setting_out.columns for panel in column.panels):
            wall = room.walls[panel.wall]
            for at in (panel.left, panel.right):
                if (place := run.place(panel.wall, at)) not in run.ends:
                    low = min(wall.foot.just_left_of(at), wall.foot.just_right_of(at))
                    high = max(wall.top.just_left_of(at), wall.top.just_right_of(at))
                    found.add(PaperJoint(place, low, high))
    return tuple(sorted(found))


def joints_of_lining(room: Room, pieces: Iterable[LiningPiece]) -> Iterator[tuple[Length, Length, Length]]:
    """Yield where two pieces butt side by side: place along the run, foot and top; none in internal corners."""
    run = Run(room)
    begun: dict[Length, list[tuple[Length, Length]]] = {}
    ended: dict[Length, list[tuple[Length, Length]]] = {}
    for piece in pieces:
        for cell in piece.cells:
            heights = cell.foot, cell.top
            begun.setdefault(run.place(cell.face.wall, cell.left), []).append(heights)
            ended.setdefault(run.place(cell.face.wall, cell.right), []).append(heights)
        for left, right in piece.folds:
            begun[run.place(right.face.wall, right.left)].remove((right.foot, right.top))
            ended[run.place(left.face.wall, left.right)].remove((left.foot, left.top))
    for place in sorted((begun.keys() & ended.keys()) - run.ends):
        for foot, top in begun[place]:
            for low, high in ended[place]:
                if max(foot, low) < min(top, high):
                    yield place, max(foot, low), min(top, high)


def clashes_of(
    room: Room, pieces: Iterable[LiningPiece], paper: Sequence[PaperJoint], clear: Length
) -> tuple[Clash, ...]:
    """Return every joint of a lining that is nearer than ``clear`` to one of the paper's, left to right."""
    run = Run(room)
    found = set()
    for place, foot, top in joints_of_lining(room, pieces):
        wall = max(number for number, left in enumerate(run.lefts) if left <= place)
        for joint in paper:
            by = run.to(joint.place, place, clear)
            if by is not None and max(foot, joint.foot) < min(top, joint.top):
                at = place - run.lefts[wall]
                found.add(Clash(wall, at, at + by, foot, top))
    return tuple(sorted(found))
