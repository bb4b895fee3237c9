"""Paper on the wall: where the print falls on each strip, the joints, and the numbers of the drops."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import partial
from typing import Final

from msgspec import Struct

from cutplan.lengths import ZERO, Length
from cutplan.photograph.print_of import Print
from cutplan.render.drawing.elevation import Elevation, Face
from cutplan.render.drawing.lettering import Box, Lettering, isolated, width_of
from cutplan.render.drawing.marks import CUT, HAIR, NUMBER, PENCIL, motif_mark, zigzag
from cutplan.render.drawing.picture import Pen, Picture
from cutplan.setting_out import Column, Panel, Piece, SettingOut
from cutplan.setting_out.pieces import slices_of

_SIZES: Final = (NUMBER, 27.0, 21.0)
_CLOSEST_PRINT: Final = 9.0
"""Lines of the print nearer to one another than this many units are a blur: only the first is drawn."""
_ROOM: Final = 1.5
_READING: Final = 17.0
_ROWS_OUTSIDE: Final = 4
_FINEST_PRINT: Final = 2.0
"""A real print that repeats within fewer units than this could not be made out, and is left out."""
_LAP: Final = 0.3
"""Units that one repeat of a real print is laid over the next, so that no white line shows between them."""


class Shown(Struct, frozen=True):
    """As much of a strip as one face shows: the face, the panel, and how far the face shows it."""

    face: Face
    panel: Panel
    left: Length
    right: Length


def shown_of(elevation: Elevation, panels: tuple[Panel, ...]) -> Iterator[Shown]:
    """Yield what the faces of a part show of some panels, left to right."""
    for face in elevation.faces:
        for panel in panels:
            if panel.wall == face.wall and panel.left < face.right and face.left < panel.right:
                yield Shown(face, panel, max(panel.left, face.left), min(panel.right, face.right))


def draw_strips(
    picture: Picture, elevation: Elevation, setting_out: SettingOut, clip: str, printed: Print | None
) -> list[Box]:
    """Draw the print and the joints of every strip that a part shows, and return where motifs are.

    ``clip`` leaves out what is not papered; ``printed`` is the print itself, where it is known.
    """
    if printed is not None:
        motifs: list[Box] = []
        _lay_print(picture, elevation, setting_out, clip, printed)
    else:
        motifs = _draw_print(picture, elevation, setting_out, clip)
    for face, along in _joints(elevation, setting_out):
        x = elevation.x(face, along)
        picture.line(
            [(x, 0), (x, elevation.bottom)],
            HAIR if printed is not None and printed.opacity == 1 else CUT,
            clip=clip,
            counts=False,
        )
    closing = setting_out.closing
    for face in elevation.faces:
        if closing is not None and closing.joint.wall == face.wall and face.left <= closing.joint.at <= face.right:
            x = elevation.x(face, closing.joint.at)
            picture.line(zigzag(x, 0, elevation.bottom), Pen(3), clip=clip, counts=False)
    return motifs


def _joints(elevation: Elevation, setting_out: SettingOut) -> Iterator[tuple[Face, Length]]:
    """Yield where strips end within the faces, but for the closing joint."""
    closing = setting_out.closing
    left_out = None if closing is None else (closing.joint.wall, closing.joint.at)
    for face in elevation.faces:
        edges = {
            edge
            for column in setting_out.columns
            for panel in column.panels
            if panel.wall == face.wall
            for edge in (panel.left, panel.right)
        }
        for edge in sorted(edges):
            if face.left < edge < face.right and (face.wall, edge) != left_out:
                yield face, edge


# The print


def _draw_print(picture: Picture, elevation: Elevation, setting_out: SettingOut, clip: str) -> list[Box]:
    paper = setting_out.paper
    if paper.pattern.is_free:
        return []
    width = paper.wet_width or ZERO
    across = paper.wet_motif_from_left
    middle = width / 2 if across is None else across
    reach = elevation.size(min(middle, width - middle)) - 2
    is_marked = reach > 2  # noqa: PLR2004 - units: less than a pencil's width is not worth a mark
    above, below = (elevation.size(length) for length in (paper.motif_above, paper.motif_below))
    mark = motif_mark(picture, above, below, max(reach, 0))
    lines, places = [], []
    for column in setting_out.columns:
        heights = list(_datums(elevation, setting_out, column))
        for shown in shown_of(elevation, column.panels):
            left, right = elevation.x(shown.face, shown.left), elevation.x(shown.face, shown.right)
            lines += [[(left, y), (right, y)] for y in heights]
            along = shown.panel.left + middle - shown.panel.paper_left
            if is_marked and across is not None and shown.left <= along <= shown.right:
                x = elevation.x(shown.face, along)
                places += [(x, y) for y in heights]
    picture.lines(lines, PENCIL, clip=clip)
    picture.stamp(mark, places, clip=clip)
    side = min(reach, (above + below) / 2)
    return [Box(x - side, y - above, x + side, y + below) for x, y in places]


def _lay_print(picture: Picture, elevation: Elevation, setting_out: SettingOut, clip: str, printed: Print) -> None:
    """Lay the print itself on every strip, each from its own first motif, repeat below repeat."""
    paper = setting_out.paper
    width, height = elevation.size(paper.wet_width or ZERO), elevation.size(printed.height)
    attributes = {
        "href": printed.href,
        "width": f"{width:.2f}",
        "height": f"{height + _LAP:.2f}",
        "preserveAspectRatio": "none",
    }
    step = height if paper.pattern.is_free else elevation.size(paper.pattern.repeat)
    if step < _FINEST_PRINT:
        return
    mark = picture.define("print", "image", attributes, ())
    for column in setting_out.columns:
        first = elevation.y(setting_out.level_line - column.first_motif)
        first -= (first // step + 1) * step
        heights = [first + step * number for number in range(int((elevation.bottom - first) // step) + 1)]
        for shown in shown_of(elevation, column.panels):
            left, right = elevation.x(shown.face, shown.left), elevation.x(shown.face, shown.right)
            edge = elevation.x(shown.face, shown.panel.left - shown.panel.paper_left)
            box = Box(left, 0, right, elevation.bottom)
            about = (edge + width / 2, elevation.bottom / 2) if setting_out.is_turned(column.number) else None
            places = [(edge, y) for y in heights]
            picture.tiles(mark, places, box, clip=clip, opacity=printed.opacity, about=about)


def _datums(elevation: Elevation, setting_out: SettingOut, column: Column) -> Iterator[float]:
    """Yield where a column's motif datums lie, from above the top of a part to below its foot, in units down."""
    paper = setting_out.paper
    first = elevation.y(setting_out.level_line - column.first_motif)
    repeat, below = elevation.size(paper.pattern.repeat), elevation.size(paper.motif_below)
    if repeat < _CLOSEST_PRINT:
        yield first
        return
    y = first - (first + below) // repeat * repeat
    while y < elevation.bottom + elevation.size(paper.motif_above):
        yield y
        y += repeat


# The numbers


def number_drops(
    picture: Picture,
    elevation: Elevation,
    setting_out: SettingOut,
    drawn: list[Box],
    readings: Mapping[str, tuple[str, ...]] | None,
) -> None:
    """Write each drop's number on its widest part that has room for it; else above the wall, with a line to it.

    Without ``readings`` nothing is written above the wall, for other papers hang there. What is ``drawn`` there already
    is written on only where there is no other room. Of a drop's ``readings`` the first that has room is then written
    in it, from the foot up.
    """
    left_out, parts = [], []
    for piece in setting_out.pieces:
        shown = list(shown_of(elevation, piece.panels))
        free = sorted(_free_parts(elevation, piece, shown), key=lambda box: (-min(box.width, 60), -box.height))
        letterings = _letterings(elevation, setting_out, piece, free, drawn)
        if shown and picture.letter_first(letterings, plate=True) is None:
            left_out.append((piece, shown))
        parts.append((piece, free))
    if readings is None:
        return
    for piece, shown in left_out:
        _number_outside(picture, elevation, setting_out, piece, shown)
    for piece, free in parts:
        places = (
            lettering
            for reading in readings.get(piece.label, ())
            for box in free
            for lettering in _upright(reading, box, [other for other in drawn if other.meets(box)])
        )
        picture.letter_first(places, plate=True)


def _upright(reading: str, box: Box, drawn: list[Box]) -> Iterator[Lettering]:
    """Yield where a reading may stand along a drop, first where it hides least of what is ``drawn``."""
    half, aside = width_of(reading, _READING) / 2 + _ROOM, _READING * 0.7
    heights = ((box.top + box.bottom) / 2, box.bottom - half, box.top + half)
    sides = (box.left + aside, box.right - aside, (box.left + box.right) / 2)
    places = [Lettering(reading, _READING, x, y, is_upright=True) for x in sides for y in heights]
    inside = [lettering for lettering in places if lettering.box.lies_in(box)]
    yield from sorted(inside, key=lambda lettering: sum(lettering.box.meets(other) for other in drawn))


def _letterings(
    elevation: Elevation, setting_out: SettingOut, piece: Piece, free: list[Box], drawn: list[Box]
) -> Iterator[Lettering]:
    """Yield where a piece's number may be written in one of some boxes, the best first."""
    label = _marked(setting_out, piece)
    for size in _SIZES:
        wanted = width_of(label, size, is_bold=True) + 2 * _ROOM
        for box in free:
            if box.width < wanted or box.height < size:
                continue
            aside = (box.width - wanted) / 2
            within = [other for other in drawn if other.meets(box)]
            letterings = [
                Lettering(label, size, (box.left + box.right) / 2 + shift, y, is_bold=True)
                for shift in (0, -aside, aside)
                for y in _heights_for(elevation, setting_out, piece, box, size)
            ]
            yield from sorted(letterings, key=partial(_covered, within))


def _covered(drawn: list[Box], lettering: Lettering) -> int:
    """Return how much of what is drawn a text would hide."""
    half = lettering.size / 2
    glyphs = Box(lettering.box.left, lettering.y - half, lettering.box.right, lettering.y + half)
    return sum(glyphs.meets(box) for box in drawn)


def _free_parts(elevation: Elevation, piece: Piece, shown: list[Shown]) -> Iterator[Box]:
    """Yield the rectangles of wall that a piece covers whatever its slope, one for each stretch of each slice."""
    for part in shown:
        wall = elevation.wall(part.face)
        for piece_slice in slices_of(wall, part.panel):
            left, right = max(piece_slice.left, part.left), min(piece_slice.right, part.right)
            if left >= right:
                continue
            low = max(wall.foot.highest(left, right), piece.foot)
            high = min(wall.top.lowest(left, right), piece.top)
            for opening in (*piece_slice.openings, None):
                end = high if opening is None else min(opening.foot, high)
                if low < end:
                    yield Box(
                        elevation.x(part.face, left),
                        elevation.y(end),
                        elevation.x(part.face, right),
                        elevation.y(low),
                    )
                if opening is not None:
                    low = max(low, opening.head)


def _heights_for(elevation: Elevation, setting_out: SettingOut, piece: Piece, box: Box, size: float) -> Iterator[float]:
    """Yield where the number may stand: first between the motifs, nearest to the middle; then anywhere."""
    middle = (box.top + box.bottom) / 2
    half = size / 2
    paper = setting_out.paper
    repeat, above, below = map(elevation.size, (paper.pattern.repeat, paper.motif_above, paper.motif_below))
    inside = []
    if repeat and repeat - above - below >= size * 0.8:
        between = elevation.y(piece.top - piece.first_motif) + (repeat - above + below) / 2
        first = between - (between - box.top - half) // repeat * repeat
        inside = [first + repeat * number for number in range(int((box.bottom - half - first) // repeat) + 1)]
    yield from sorted(inside, key=lambda y: abs(y - middle))
    yield from (middle, box.top + half, box.bottom - half)


def _marked(setting_out: SettingOut, piece: Piece) -> str:
    """Return a piece's number, with an arrow down where it hangs turned end for end."""
    return isolated(piece.label) + (" ↓" if setting_out.is_turned(piece.column) else "")


def _number_outside(
    picture: Picture, elevation: Elevation, setting_out: SettingOut, piece: Piece, shown: list[Shown]
) -> None:
    widest = max(shown, key=lambda part: part.right - part.left)
    x = elevation.x(widest.face, (widest.left + widest.right) / 2)
    size = _SIZES[-1]
    top = elevation.wall(widest.face).top.highest(widest.left, widest.right)
    y = elevation.y(min(piece.top, top))
    letterings = [
        Lettering(_marked(setting_out, piece), size, x + aside, -size - row * (size + 6), is_bold=True)
        for row in range(_ROWS_OUTSIDE)
        for aside in (0, -size, size, -2 * size, 2 * size)
    ]
    written = picture.letter_first(
        lettering
        for lettering in letterings
        if (
            lettering.box.left >= -size and lettering.box.right <= elevation.width + size
            if lettering.x != x
            else picture.is_clear_way(x, lettering.box.bottom, min(y, 0) - 1)
        )
    )
    if written is not None:
        picture.line([(written.x, written.box.bottom), (x, y + 12)], Pen(1.4))
        picture.keep_clear(Box(x - 4, written.box.bottom, x + 4, 0))
