"""What is marked on a wall before hanging: level and plumb lines, start, closing joint, a tape along the foot."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from msgspec import Struct

from cutplan.lengths import ZERO, Length
from cutplan.render.drawing.elevation import Elevation, Face
from cutplan.render.drawing.lettering import Box, Lettering, fitted, isolated
from cutplan.render.drawing.marks import (
    CHALK,
    CORNER,
    CUT,
    EDGE,
    NAME,
    PENCIL,
    SMALL,
    arrow_head,
    chalk_line,
    flag,
    plumb_bob,
    torn_edge,
)
from cutplan.render.drawing.paper_on_wall import shown_of
from cutplan.render.drawing.picture import FULL_WIDTH, INK, PAPER, Pen, Picture, Point
from cutplan.render.words.readings import on_tape
from cutplan.room.walls import Corner, CornerKind
from cutplan.setting_out import SettingOut, Way
from cutplan.wording import signed

_ROWS: Final = 9
_ROW: Final = 40.0
_LINES: Final = 15
"""Places along a wall to which a line from its name may come down."""
_TICK: Final = 10.0
_SHORTEST_PLUMB: Final = 40.0
_OVER_THE_EDGE: Final = 6.0
"""A level line along the very top of a wall, or of the highest part of one, is drawn so much above it, to be seen."""
_WORDS_OF_WAY: Final = {
    Way.RIGHT_THEN_LEFT: "START → then ←",
    Way.LEFT_THEN_RIGHT: "START ← then →",
    Way.RIGHT: "START →",
    Way.LEFT: "START ←",
}


# The walls themselves


def draw_edges(picture: Picture, elevation: Elevation) -> None:
    """Draw the walls' tops, feet, corners and ends."""
    for face in elevation.faces:
        wall = elevation.wall(face)
        picture.line(elevation.line_of(face, wall.top), EDGE)
        picture.line(elevation.line_of(face, wall.foot), Pen(5))
        for along, is_end in ((face.left, face.left == 0), (face.right, face.right == wall.width)):
            high, low = wall.top.highest(along, along), wall.foot.lowest(along, along)
            x, top, bottom = elevation.x(face, along), elevation.y(high), elevation.y(low)
            if is_end:
                picture.line([(x, top), (x, bottom)], EDGE)
            else:
                torn_edge(picture, x, top, bottom)
    for x, y, corner in _corners(elevation):
        tip = 7 if corner.kind is CornerKind.INTERNAL else -7
        sign = [(x - 8, y - 10 - tip), (x + 8, y - 10 - tip), (x, y - 10 + tip)]
        fill = PAPER if corner.kind is CornerKind.INTERNAL else INK
        picture.shape([sign], fill=fill, pen=Pen(1.6))
        picture.keep_clear(Box(x - 9, y - CORNER + 1, x + 9, y))


def _corners(elevation: Elevation) -> Iterator[tuple[float, float, Corner]]:
    """Yield each corner that a part shows, with the place of its upper end."""
    room = elevation.room
    for place, face in enumerate(elevation.faces):
        wall = elevation.wall(face)
        corner = room.corner_left_of(face.wall)
        if place == 0 and face.left == 0 and corner is not None:
            yield elevation.x(face, ZERO), elevation.y(wall.top.just_right_of(ZERO)), corner
        corner = room.corner_right_of(face.wall)
        if face.right == wall.width and corner is not None:
            heights = [wall.top.just_left_of(wall.width)]
            if place + 1 < len(elevation.faces):
                after = elevation.faces[place + 1]
                heights.append(elevation.wall(after).top.just_right_of(after.left))
            yield elevation.x(face, wall.width), elevation.y(max(heights)), corner


class _Naming(Struct, frozen=True):
    """Where a wall's name is written, and the line down to the wall: its place to the right, and its foot; or none."""

    name: Lettering
    line: tuple[float, float] | None

    @property
    def boxes(self) -> list[Box]:
        """What it keeps clear."""
        if self.line is None:
            return [self.name.box]
        x, foot = self.line
        return [self.name.box, Box(x - 4, self.name.box.bottom, x + 4, foot - 1)]


def way_down_to(point: Point) -> Box:
    """Return the way by which tape somewhere above a place points down to it."""
    return Box(point[0] - 6, -FULL_WIDTH, point[0] + 6, point[1])


def name_walls(picture: Picture, elevation: Elevation, ways: list[Box]) -> None:
    """Write each wall's name above it, higher where other words need the room, with a line down to it.

    Names stand close beside ``ways`` that are reserved for tape.
    """
    by_width = sorted(elevation.faces, key=lambda face: face.width)
    orders = (elevation.faces, elevation.faces[::-1], by_width, by_width[::-1])
    plans = [_namings(picture, elevation, order, ways) for order in orders]
    for naming in max(plans, key=len):
        picture.letter(naming.name)
        if naming.line is not None:
            x, foot = naming.line
            picture.point_down(x, naming.name.box.bottom, foot, PENCIL)


def _namings(picture: Picture, elevation: Elevation, faces: Iterable[Face], ways: list[Box]) -> list[_Naming]:
    """Return where names find room when they are placed in the order of ``faces``."""
    placed: list[_Naming] = []
    for face in faces:
        taken = [box for naming in placed for box in naming.boxes]
        for naming in _ways_to_name(elevation, face, ways):
            if not any(box.meets(other) for box in naming.boxes for other in taken) and all(
                picture.is_free(box) for box in naming.boxes if box.top < box.bottom
            ):
                placed.append(naming)
                break
    return placed


def _ways_to_name(elevation: Elevation, face: Face, ways: list[Box]) -> Iterator[_Naming]:
    """Yield where a wall's name may stand, the best first: low, and over the middle of its wall."""
    name = fitted(isolated(elevation.wall(face).name), FULL_WIDTH - 20, NAME, is_bold=True)
    half = Lettering(name, NAME, 0, 0, is_bold=True).box.width / 2
    left, right = elevation.x(face, face.left), elevation.x(face, face.right)
    middle = (left + right) / 2
    beside = [side + by * (half + 1) for way in ways for side, by in ((way.left, -1), (way.right, 1))]
    flush = [left + half, right - half]
    places = sorted([middle, left, right, *flush, *beside], key=lambda x: abs(x - middle))
    for y in _rows():
        for x in places:
            written = Lettering(name, NAME, min(max(x, half), max(elevation.width - half, half)), y, is_bold=True)
            if y > -_ROW and left <= written.box.left and written.box.right <= right:
                yield _Naming(written, None)
            for part in sorted(range(_LINES), key=lambda part: abs(2 * part + 1 - _LINES)):
                along = face.left + face.width * (2 * part + 1) / (2 * _LINES)
                foot = elevation.y(elevation.wall(face).top.just_right_of(along))
                to = elevation.x(face, along)
                if written.box.left < to < written.box.right:
                    yield _Naming(written, (to, foot))


def _rows() -> Iterator[float]:
    yield from (-_ROW * (row + 0.9) for row in range(_ROWS))


# What is marked on them


def draw_level_line(picture: Picture, elevation: Elevation, setting_out: SettingOut) -> None:
    """Snap the level line across every wall that it meets."""
    level = setting_out.level_line
    for face in elevation.faces:
        wall = elevation.wall(face)
        if wall.foot.lowest(face.left, face.right) <= level <= wall.top.highest(face.left, face.right):
            y = elevation.y(level)
            if wall.top.highest(face.left, face.right) == level:
                y -= _OVER_THE_EDGE
            outline = [(x, along - _OVER_THE_EDGE - 2) for x, along in elevation.line_of(face, wall.top)]
            clip = picture.clip([[*outline, *reversed(elevation.line_of(face, wall.foot))]])
            picture.line([(elevation.x(face, face.left), y), (elevation.x(face, face.right), y)], CHALK, clip=clip)


def draw_plumb_lines(picture: Picture, elevation: Elevation, setting_out: SettingOut) -> None:
    """Hang the plumb lines to hang to: of the first strip, on each wall of equal strips, and of what is slit off."""
    for face, along in _plumb_places(elevation, setting_out):
        wall = elevation.wall(face)
        x = elevation.x(face, along)
        met = [opening.head for opening in wall.openings if opening.left < along < opening.right]
        top = elevation.y(wall.top.lowest(along, along))
        foot = elevation.y(max(met, default=wall.foot.highest(along, along)))
        if foot - top < _SHORTEST_PLUMB:
            continue
        chalk_line(picture, (x, top), (x, foot - 22))
        plumb_bob(picture, x, foot - 3)


def _plumb_places(elevation: Elevation, setting_out: SettingOut) -> Iterator[tuple[Face, Length]]:
    for column in setting_out.columns:
        for shown in shown_of(elevation, column.panels):
            panel = shown.panel
            is_first_on_wall = setting_out.paper.edge_trim is not None and not panel.left
            if panel.part == 0 and column.number != 0 and not is_first_on_wall:
                continue
            is_left = panel.part < 0 or (panel.part == 0 and setting_out.way.is_right_first and not is_first_on_wall)
            edge = panel.left if is_left else panel.right
            if 0 < edge < elevation.wall(shown.face).width and shown.left <= edge <= shown.right:
                yield shown.face, edge


def flags_of(elevation: Elevation, setting_out: SettingOut, *, with_start: bool) -> list[tuple[str, Point]]:
    """Return what tape is stuck over a part: the start with the way to go, and the closing joint; words and place."""
    start, closing = setting_out.start, setting_out.closing
    wanted = [(_WORDS_OF_WAY[setting_out.way], start.wall, start.at)] if with_start else []
    if closing is not None:
        wanted.append(("closing joint", closing.joint.wall, closing.joint.at))
    found = []
    for words, wall, at in wanted:
        for face in elevation.faces:
            if face.wall == wall and face.left <= at <= face.right:
                found.append((words, (elevation.x(face, at), elevation.y(elevation.wall(face).top.lowest(at, at)))))
                break
    return found


def stick_flag(picture: Picture, elevation: Elevation, words: str, point: Point) -> None:
    """Stick tape with words on it above everything that is in the way down from it to a place."""
    half = Lettering(words, NAME, 0, 0, is_bold=True).box.width / 2 + 14
    # The tape begins and ends within the picture, and over the point.
    least, most = max(half, point[0] - half), min(max(elevation.width - half, half), point[0] + half)
    for y in _rows():
        for x in (min(max(point[0], least), most), least, most):
            if flag(picture, words, (x, y), point):
                return
    flag(picture, words, (least, picture.bounds.top - _ROW), point, anyway=True)


# The tape


def lay_tape(picture: Picture, elevation: Elevation, places: list[tuple[Face, Length]], units: str) -> None:
    """Lay a tape along the foot with a reading at each place, from the left of its wall.

    Ends of walls are read too, where there is room.
    """
    y = elevation.bottom + 26
    picture.line([(0, y), (elevation.width, y)], CUT)
    ends = [(face, along) for face in elevation.faces for along in (face.right, face.left)]
    readings = [(elevation.x(face, along), on_tape(along, units)) for face, along in (*places, *ends)]
    for x, reading in readings:
        picture.line([(x, y), (x, y + _TICK)], CUT)
        half = Lettering(reading, NAME, 0, 0).box.width / 2
        picture.letter(Lettering(reading, NAME, x, y + _TICK + 3 + half, is_upright=True))
    for face in elevation.faces:
        arrow_head(picture, (min(elevation.x(face, face.left) + 14, elevation.x(face, face.right)), y), (1, 0), 8)


def name_columns(picture: Picture, elevation: Elevation, setting_out: SettingOut) -> None:
    """Write each column's number under its strip, where there is room for it."""
    for column in setting_out.columns:
        for shown in shown_of(elevation, column.panels):
            left, right = elevation.x(shown.face, shown.left), elevation.x(shown.face, shown.right)
            sheet = setting_out.sheet_of(column.number)
            words = f"col {signed(column.number)}" if sheet is None else f"sheet {sheet}"
            sizes = [(words, SMALL), (words, 16), *([] if sheet is None else [(str(sheet), SMALL)])]
            letterings = [Lettering(*said, (left + right) / 2, elevation.bottom + 13) for said in sizes]
            if picture.letter_first(letter for letter in letterings if letter.box.width <= right - left):
                break
