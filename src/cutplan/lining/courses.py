"""A lining set out: courses from the ceiling down, or strips clear of the paper's joints, and each of their lengths."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import count, pairwise
from math import ceil
from typing import TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from cutplan.lengths import ZERO, Length
from cutplan.lining.clear_joints import Clash, PaperJoint, Run, clashes_of
from cutplan.lining.groups import Cell, LinedFace, cells_of, groups_of, highest_of, lowest_of
from cutplan.lining.wishes import AtOpenings, Lining
from cutplan.room.walls import CornerKind, Room

_Beside: TypeAlias = "tuple[int, tuple[str, ...]]"
_Place: TypeAlias = "tuple[int, int, tuple[str, ...]]"


class InReveal(Struct, frozen=True):
    """A side of a reveal, ``left``, ``right`` or ``head``; the wall is counted from 0."""

    wall: int
    opening: str
    side: str


class LiningPiece(Struct, frozen=True):
    """One length of lining."""

    label: str
    """What is written on its back."""
    course: int
    """Its course from the ceiling down, or its strip from the left, from 1; 0 for a piece in a reveal."""
    cells: tuple[Cell, ...]
    """What it covers of each wall, left to right; nothing in a reveal."""
    along: Length
    """How long it is on the wall."""
    left: Length
    right: Length
    """What it needs of the roll's width: across a course down from its upper edge, across a strip to the right."""
    reveal: InReveal | None = None
    """Where it lies in a reveal; None on a wall."""
    is_beside: bool = False
    """True for a narrow piece over, under or in an opening, which what is ripped off elsewhere may serve."""

    @property
    def width(self) -> Length:
        """How much of the roll's width it needs."""
        return self.right - self.left

    @property
    def folds(self) -> Iterator[tuple[Cell, Cell]]:
        """What of it meets round corners: two walls' parts each."""
        return pairwise(self.cells)

    @property
    def wall(self) -> int:
        """The wall that it begins on, counted from 0."""
        return self.cells[0].face.wall if self.reveal is None else self.reveal.wall


class LiningSetOut(Struct, frozen=True):
    """A room's lining set out."""

    room: Room
    lining: Lining
    """What it was made from; ``lining`` says whether courses run on at openings or are broken."""
    pieces: tuple[LiningPiece, ...]
    """In hanging order: course by course, wall by wall; then what is ripped to its width, the longest first; what is
    narrow beside openings last."""
    clashes: tuple[Clash, ...]
    """Joints that come too near the paper's."""
    paper: tuple[PaperJoint, ...]
    """Joints of the papers that hang over it."""


def set_out_lining(room: Room, lining: Lining, paper: Sequence[PaperJoint]) -> LiningSetOut:
    """Return the lengths of a lining for a room in which the joints of the paper over it are known."""
    groups = groups_of(room, lining)
    if lining.is_horizontal:
        whole = _courses_of(room, lining, groups, paper)
    else:
        whole = [
            piece
            for group in groups
            for piece in _strips(room, lining, group, _first_joint(room, lining, group, paper))
        ]
    narrow = [piece for piece in whole if piece.is_beside]
    if not lining.patches:
        narrow += _in_reveals(room, lining)
    lengths = [piece for piece in whole if not piece.is_beside]
    full = [piece for piece in lengths if piece.width == lining.roll_width]
    ripped = [piece for piece in lengths if piece.width < lining.roll_width]
    hung = [*full, *_from_both_edges(ripped, narrow, lining), *_side_by_side(narrow, lining.roll_width)]
    letter = "B" if lining.is_damp_barrier else "L"
    pieces = tuple(replace(piece, label=f"{letter}{number}") for number, piece in enumerate(hung, 1))
    return LiningSetOut(room, lining, pieces, clashes_of(room, pieces, paper, lining.clear), tuple(paper))


# Courses.


def _courses_of(
    room: Room, lining: Lining, groups: Sequence[Sequence[LinedFace]], paper: Sequence[PaperJoint]
) -> list[LiningPiece]:
    """Return the lengths of courses; for the least waste broken where what is ripped off serves beside an opening."""

    def pieces(is_broken: Callable[[_Place], bool]) -> list[LiningPiece]:
        return [piece for group in groups for piece in _courses(room, lining, group, paper, is_broken)]

    if lining.at_openings is AtOpenings.RUN_ON:
        return pieces(lambda _: False)
    broken = pieces(lambda _: True)
    if lining.at_openings is AtOpenings.BROKEN:
        return broken
    return pieces(_served_by_rests(broken, lining).__contains__)


def _served_by_rests(pieces: Sequence[LiningPiece], lining: Lining) -> set[_Place]:
    """Return the places beside openings whose narrow pieces could all be cut from what is ripped off other lengths."""
    rests = [
        [lining.roll_width - piece.width, piece.along + 2 * lining.end]
        for piece in pieces
        if not piece.is_beside and piece.width < lining.roll_width
    ]
    served: set[_Place] = set()
    bare: set[_Place] = set()
    for piece in sorted((piece for piece in pieces if piece.is_beside), key=lambda piece: -piece.along):
        length = piece.along + 2 * lining.end
        fit = [rest for rest in rests if rest[0] >= piece.width and rest[1] >= length]
        if fit:
            min(fit, key=lambda rest: rest[1])[1] -= length
        (served if fit else bare).update(_place(piece.course, cell) for cell in piece.cells)
    return served - bare


def _place(course: int, cell: Cell) -> _Place:
    """Return what tells a course beside an opening from any other: wall, course, and the openings' names."""
    return cell.face.wall, course, cell.beside[:-1]


def _courses(
    room: Room,
    lining: Lining,
    group: Sequence[LinedFace],
    paper: Sequence[PaperJoint],
    is_broken: Callable[[_Place], bool],
) -> Iterator[LiningPiece]:
    top, lowest = highest_of(room, lining, group), lowest_of(room, lining, group)
    for number in count(1):
        if top <= lowest:
            return
        foot = top - lining.roll_width
        cells = [cell for face in group for cell in cells_of(room, lining, face, foot, top)]
        apart = {(cell.face.wall, cell.beside) for cell in cells if cell.beside and is_broken(_place(number, cell))}
        for joined in _joined(cells, apart):
            for part in _no_longer_than_a_roll(room, lining, joined, paper):
                covered = _by_wall(part)
                along = covered[-1].from_right - covered[0].from_left
                left = top - max(cell.top for cell in covered)
                right = top - min(cell.foot for cell in covered)
                is_beside = all(cell.beside for cell in part)
                yield LiningPiece("", number, covered, along, left, right, is_beside=is_beside)
        top = foot


def _joined(cells: Iterable[Cell], apart: set[_Beside]) -> list[list[Cell]]:
    """Return cells that one length covers: those that touch along the course, but what lies ``apart`` at openings."""
    joined: dict[_Beside | None, list[list[Cell]]] = {}
    for cell in sorted(cells, key=lambda cell: (cell.from_left, cell.foot)):
        beside = cell.face.wall, cell.beside
        lengths = joined.setdefault(beside if beside in apart else None, [])
        if lengths and cell.from_left <= max(other.from_right for other in lengths[-1]):
            lengths[-1].append(cell)
        else:
            lengths.append([cell])
    every = [cells for lengths in joined.values() for cells in lengths]
    return sorted(every, key=lambda cells: (cells[0].from_left, -cells[0].top))


def _no_longer_than_a_roll(
    room: Room, lining: Lining, cells: list[Cell], paper: Sequence[PaperJoint]
) -> Iterator[list[Cell]]:
    """Yield a length in parts that a roll gives: broken at the last internal corner before its end, else at its end.

    A roll's end that would come near a joint of the paper is drawn back from it.
    """
    left, end = min(cell.from_left for cell in cells), max(cell.from_right for cell in cells)
    faces = {cell.face for cell in cells}
    corners = ((face.at, room.corner_left_of(face.wall)) for face in faces)
    turns = [at for at, corner in corners if corner is not None and corner.kind is CornerKind.INTERNAL]
    joints = _in_group(room, faces, paper)
    while end - left > lining.longest:
        reach = left + lining.longest
        corner = max((turn for turn in turns if left < turn <= reach), default=None)
        cut = _drawn_back(reach, joints, lining.clear) if corner is None else corner
        if cut <= left:
            cut = reach
        yield [part for cell in cells if (part := cell.within(left, cut)) is not None]
        left = cut
    yield [part for cell in cells if (part := cell.within(left, end)) is not None]


def _drawn_back(reach: Length, joints: Iterable[Length], clear: Length) -> Length:
    for joint in sorted(joints, reverse=True):
        if abs(joint - reach) < clear:
            reach = joint - clear
    return reach


def _by_wall(cells: Sequence[Cell]) -> tuple[Cell, ...]:
    """Return the rectangle that a length covers of each wall, left to right."""
    faces = sorted({cell.face for cell in cells}, key=lambda face: face.at)
    covered = []
    for face in faces:
        own = [cell for cell in cells if cell.face == face]
        left, right = min(cell.left for cell in own), max(cell.right for cell in own)
        foot, top = min(cell.foot for cell in own), max(cell.top for cell in own)
        covered.append(Cell(face, left, right, foot, top, own[0].beside))
    return tuple(covered)


# Strips.


def _first_joint(room: Room, lining: Lining, group: Sequence[LinedFace], paper: Sequence[PaperJoint]) -> Length:
    """Return where in a group strips first meet, so that as few joints as can be come near the paper's.

    It is tried wherever some joint comes just clear of one of the paper's, or of an opening: between two of these
    places that follow one another the joints that clash are the same ones. Of the best the one with the fewest strips
    is taken, then that with the widest at both ends.
    """
    width, left, right = lining.roll_width, group[0].left, group[-1].at + group[-1].right
    joints = _in_group(room, group, paper)
    sides = {
        face.at + side
        for face in group
        for opening in room.walls[face.wall].openings
        for side in (opening.left - lining.short, opening.right + lining.short)
    }
    lowest, highest = lowest_of(room, lining, group), highest_of(room, lining, group)
    cells = [cell for face in group for cell in cells_of(room, lining, face, lowest, highest)]

    def is_wall(at: Length) -> bool:
        return any(cell.from_left < at <= cell.from_right for cell in cells) and any(
            cell.from_left <= at < cell.from_right for cell in cells
        )

    def rank(first: Length) -> tuple[int, int, Length]:
        strips = ceil((right - first) / width) + 1
        places = [first + number * width for number in range(strips - 1)]
        near = [at for at in places if any(abs(at - joint) < lining.clear for joint in joints) and is_wall(at)]
        return len(near), strips, -min(first - left, right - places[-1])

    near = {joint + by for joint in joints for by in (-lining.clear, lining.clear)}
    tried = {left + ((place - left) % width or width) for place in (left, left + width / 2, *near, *sides)}
    if right - left <= width:
        return right
    return min(sorted(place for place in tried if place < right), key=rank, default=right)


def _in_group(room: Room, group: Iterable[LinedFace], paper: Iterable[PaperJoint]) -> set[Length]:
    """Return where in a group joints of the paper lie, which are told along the run."""
    lefts = Run(room).lefts
    return {
        joint.place - lefts[face.wall] + face.at
        for joint in paper
        for face in group
        if 0 <= joint.place - lefts[face.wall] <= room.walls[face.wall].width
    }


def _strips(room: Room, lining: Lining, group: Sequence[LinedFace], joint: Length) -> Iterator[LiningPiece]:
    """Yield the pieces of strips, the first joint between which lies at ``joint`` in the group."""
    width = lining.roll_width
    top, lowest = highest_of(room, lining, group), lowest_of(room, lining, group)
    left, end = joint - width, group[-1].at + group[-1].right
    for number in count(1):
        if left >= end:
            return
        cells = [
            cell
            for face in group
            if (part := _narrowed(face, left, left + width)) is not None
            for cell in cells_of(room, lining, part, lowest, top)
        ]
        for piece in _upright(cells):
            covered = _by_wall(piece)
            along = max(cell.top for cell in covered) - min(cell.foot for cell in covered)
            across = covered[0].from_left - left, covered[-1].from_right - left
            yield LiningPiece("", number, covered, along, *across, is_beside=all(cell.beside for cell in piece))
        left += width


def _narrowed(face: LinedFace, left: Length, right: Length) -> LinedFace | None:
    low, high = max(face.left, left - face.at), min(face.right, right - face.at)
    return replace(face, left=low, right=high) if low < high else None


def _upright(cells: Iterable[Cell]) -> list[list[Cell]]:
    """Return cells that one upright length covers, from the top down: those whose heights touch."""
    lengths: list[list[Cell]] = []
    for cell in sorted(cells, key=lambda cell: -cell.top):
        if lengths and cell.top >= min(other.foot for other in lengths[-1]):
            lengths[-1].append(cell)
        else:
            lengths.append([cell])
    return lengths


# Narrow pieces.


def _in_reveals(room: Room, lining: Lining) -> Iterator[LiningPiece]:
    """Yield the pieces for sides and heads of reveals, as deep as these are."""
    for wall, opening in ((number, one) for number, each in enumerate(room.walls) for one in each.openings):
        for side, along in (("left", opening.height), ("head", opening.width), ("right", opening.height)):
            deep = opening.reveal
            while deep > 0:
                width = min(deep, lining.roll_width)
                place = InReveal(wall, opening.name, side)
                yield LiningPiece("", 0, (), along, ZERO, width, place, is_beside=True)
                deep -= width


def _from_both_edges(
    ripped: Sequence[LiningPiece], narrow: Iterable[LiningPiece], lining: Lining
) -> Iterator[LiningPiece]:
    """Yield ripped lengths, the longest first, each from an edge of the roll by which it can butt.

    One that what is ripped off a longer one holds, beside what of that serves beside openings, lies along the lower
    edge, so that it is cut from there; all others lie along the upper one.
    """
    pieces = sorted(ripped, key=lambda piece: -piece.along)
    rests = [piece.along + 2 * lining.end for piece in pieces]
    gives: set[int] = set()
    for small in sorted(narrow, key=lambda piece: -piece.along):
        length = small.along + 2 * lining.end
        fit = [
            number
            for number, piece in enumerate(pieces)
            if piece.width + small.width <= lining.roll_width and rests[number] >= length
        ]
        if fit:
            source = min(fit, key=rests.__getitem__)
            rests[source] -= length
            gives.add(source)
    served: set[int] = set()
    for source, piece in enumerate(pieces):
        for number in range(source + 1, len(pieces) if source not in served else 0):
            length = pieces[number].along + 2 * lining.end
            is_held = piece.width + pieces[number].width <= lining.roll_width and length <= rests[source]
            if is_held and number not in served | gives:
                rests[source] -= length
                served.add(number)
    for number, piece in enumerate(pieces):
        edge = lining.roll_width - piece.width if number in served else ZERO
        yield replace(piece, left=edge, right=edge + piece.width)


def _side_by_side(pieces: Iterable[LiningPiece], width: Length) -> Iterator[LiningPiece]:
    """Yield narrow pieces beside one another across the roll, from its lower edge: so they may share what is ripped."""
    edge = width
    for piece in pieces:
        needed = piece.width
        if needed > edge:
            edge = width
        yield replace(piece, left=edge - needed, right=edge)
        edge -= needed
