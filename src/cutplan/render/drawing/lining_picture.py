"""Pictures of a lining: its lengths on each wall, to scale, with the paper's joints drawn over them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from cutplan.lengths import Length, show
from cutplan.lining.clear_joints import Run
from cutplan.render.drawing.elevation import Elevation, Face, elevations_of
from cutplan.render.drawing.fixtures import opening_boxes
from cutplan.render.drawing.lettering import Box, Lettering
from cutplan.render.drawing.marks import CUT, NAME, SMALL
from cutplan.render.drawing.picture import INK, Pen, Picture
from cutplan.render.drawing.set_marks import lay_tape, name_walls
from cutplan.render.drawing.wall_picture import WallPicture, clear_of_openings, draw_walls, title_of
from cutplan.render.pages.lining_page import lining_lines

if TYPE_CHECKING:
    from cutplan.lining.courses import LiningSetOut
    from cutplan.lining.groups import Cell

_PAPER: Final = Pen(1.2, (7, 5))
"""Joints of the paper that hangs over a lining: dashed, for they are not there yet."""


def lining_pictures(found: LiningSetOut, units: str = "mm") -> tuple[WallPicture, ...]:
    """Return pictures of the walls of a room that is lined, left to right."""
    pictures = []
    lines = list(lining_lines(found, units))
    for number, elevation in enumerate(elevations_of(found.room), start=1):
        names = [elevation.wall(face).name for face in elevation.faces]
        said = " ".join(line for line in lines if line.startswith(tuple(f"{wall}," for wall in names)))
        picture = Picture(f"lining-{number}", title_of(elevation), said)
        clip = clear_of_openings(picture, elevation)
        for place, _ in _labelled(found, elevation, units):
            picture.box(_box(elevation, *place), pen=CUT, clip=clip)
        _draw_paper(picture, elevation, found, clip)
        draw_walls(picture, elevation)
        for place, words in _labelled(found, elevation, units):
            _name_length(picture, elevation, place, words)
        lay_tape(picture, elevation, sorted(set(_ends(found, elevation)), key=str), units)
        name_walls(picture, elevation, [])
        pictures.append(WallPicture(picture, elevation))
    return tuple(pictures)


def _labelled(found: LiningSetOut, elevation: Elevation, units: str) -> Iterator[tuple[tuple[Face, Cell], list[str]]]:
    """Yield what each length covers of each face, and what may be written in it: the longest first."""
    for piece in found.pieces:
        ripped = "" if piece.width == found.lining.roll_width else f", {show(piece.width, units)} wide"
        for cell in piece.cells:
            for face in elevation.faces:
                if face.wall == cell.face.wall and max(face.left, cell.left) < min(face.right, cell.right):
                    words = [f"{piece.label}: {show(piece.along, units)}{ripped}", f"{piece.label}", ""]
                    yield (face, cell), words


def _box(elevation: Elevation, face: Face, cell: Cell) -> Box:
    left, right = elevation.x(face, max(face.left, cell.left)), elevation.x(face, min(face.right, cell.right))
    return Box(left, elevation.y(cell.top), right, elevation.y(cell.foot))


def _name_length(picture: Picture, elevation: Elevation, place: tuple[Face, Cell], words: list[str]) -> None:
    box = _clear_part(_box(elevation, *place), [box for _, box in opening_boxes(elevation, place[0])])
    x, y = (box.left + box.right) / 2, (box.top + box.bottom) / 2
    letterings = [
        Lettering(text, size, x, y, is_upright=is_upright)
        for text in words
        for is_upright in (False, True)
        for size in (NAME, SMALL, 15)
    ]
    picture.letter_first((each for each in letterings if each.text and each.box.lies_in(box)), plate=True)


def _clear_part(box: Box, openings: list[Box]) -> Box:
    """Return the largest part of a box beside, over or under the openings in it."""
    for opening in openings:
        if box.meets(opening):
            parts = (
                Box(box.left, box.top, min(opening.left, box.right), box.bottom),
                Box(max(opening.right, box.left), box.top, box.right, box.bottom),
                Box(box.left, box.top, box.right, min(opening.top, box.bottom)),
                Box(box.left, max(opening.bottom, box.top), box.right, box.bottom),
            )
            box = max(parts, key=lambda part: max(part.width, 0) * max(part.height, 0))
    return box


def _draw_paper(picture: Picture, elevation: Elevation, found: LiningSetOut, clip: str) -> None:
    run = Run(found.room)
    for face in elevation.faces:
        for joint in found.paper:
            along = joint.place - run.lefts[face.wall]
            if face.left < along < face.right:
                x = elevation.x(face, along)
                picture.line(
                    [(x, elevation.y(joint.top)), (x, elevation.y(joint.foot))], _PAPER, clip=clip, counts=False
                )
        for clash in found.clashes:
            if clash.wall == face.wall and face.left <= clash.at <= face.right:
                left, right = sorted((elevation.x(face, clash.at), elevation.x(face, clash.paper_at)))
                picture.box(Box(left, elevation.y(clash.top), right, elevation.y(clash.foot)), fill=INK, clip=clip)


def _ends(found: LiningSetOut, elevation: Elevation) -> Iterator[tuple[Face, Length]]:
    """Yield where lengths end along the faces, for the tape."""
    for piece in found.pieces:
        for cell in piece.cells:
            for face in elevation.faces:
                if face.wall == cell.face.wall:
                    yield from ((face, along) for along in (cell.left, cell.right) if face.left < along < face.right)
