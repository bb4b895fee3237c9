"""What stands on a wall besides paper: openings, and fittings that the paper goes behind or round."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from cutplan.render.drawing.elevation import Elevation, Face
from cutplan.render.drawing.lettering import Box, Lettering, fitted, isolated
from cutplan.render.drawing.marks import NAME, OUTLINE, SMALL
from cutplan.render.drawing.picture import PAPER, Pen, Picture, Point
from cutplan.room.walls import Fitting, FittingKind, Opening

_SYMBOL: Final = 18.0
_LINE: Final = Pen(1.8)
_LEAST_NAME: Final = 3
"""A name shortened to fewer signs says nothing."""


def opening_boxes(elevation: Elevation, face: Face) -> list[tuple[Opening, Box]]:
    """Return the openings that a face shows, each with its place."""
    found = []
    for opening in elevation.wall(face).openings:
        left, right = max(opening.left, face.left), min(opening.right, face.right)
        if left < right:
            box = Box(
                elevation.x(face, left), elevation.y(opening.head), elevation.x(face, right), elevation.y(opening.foot)
            )
            found.append((opening, box))
    return found


def draw_openings(picture: Picture, elevation: Elevation, face: Face, fill: str, clip: str) -> None:
    """Hatch and outline the openings of a face, over whatever lies there; ``clip`` is the wall."""
    for _, box in opening_boxes(elevation, face):
        picture.box(box, fill=PAPER, clip=clip)
        picture.box(box, fill=fill, pen=OUTLINE, clip=clip)


def name_openings(picture: Picture, elevation: Elevation, face: Face) -> None:
    """Write each opening's name in it, across or upright, shortened where it must be."""
    for opening, box in opening_boxes(elevation, face):
        picture.letter_first(_names_within(isolated(opening.name), box), plate=True)


def _names_within(name: str, box: Box) -> Iterator[Lettering]:
    x, y = (box.left + box.right) / 2, (box.top + box.bottom) / 2
    ways = sorted((False, True), key=lambda upright: (box.width < box.height) != upright and len(name) > _LEAST_NAME)
    whole = [upright for upright in (False, True) if fitted(name, _along(box, upright=upright), NAME) == name]
    for upright in whole or ways:
        across = box.width if upright else box.height
        shown = fitted(name, _along(box, upright=upright), NAME)
        if across < NAME or len(shown) < min(_LEAST_NAME, len(name)):
            continue
        for shift in (0, -NAME * 1.6, NAME * 1.6):
            yield Lettering(shown, NAME, x + shift * upright, y + shift * (not upright), is_upright=upright)


def _along(box: Box, *, upright: bool) -> float:
    return (box.height if upright else box.width) - 10


def draw_fittings(picture: Picture, elevation: Elevation, face: Face) -> list[tuple[Fitting, Box]]:
    """Draw the fittings of a face by their signs; return each with its place."""
    drawn = []
    for fitting in elevation.wall(face).fittings:
        left, right = max(fitting.left, face.left), min(fitting.right, face.right)
        if left > right:
            continue
        x, y = elevation.x(face, (left + right) / 2), elevation.y(fitting.foot + fitting.height / 2)
        wide, tall = elevation.size(right - left), elevation.size(fitting.height)
        box = _about(x, y, max(wide, _SYMBOL), max(tall, _SYMBOL))
        _SIGNS[fitting.kind](picture, box)
        drawn.append((fitting, box))
    return drawn


def name_fitting(picture: Picture, elevation: Elevation, fitting: Fitting, box: Box) -> None:
    """Write a fitting's name below it, above it or in it, where there is room; the page lists it in any case."""
    x = (box.left + box.right) / 2
    shown = fitted(isolated(fitting.name), elevation.width - 12, SMALL)
    half = Lettering(shown, SMALL, 0, 0).box.width / 2
    x = min(max(x, half + 6), elevation.width - half - 6)
    places = (box.bottom + SMALL * 0.8, box.top - SMALL * 0.8, (box.top + box.bottom) / 2)
    inside = [y for y in places if SMALL <= y <= elevation.bottom - SMALL / 2]
    picture.letter_first((Lettering(shown, SMALL, x, y) for y in inside), plate=True)


def _about(x: float, y: float, width: float, height: float) -> Box:
    return Box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)


# Signs


def _radiator(picture: Picture, box: Box) -> None:
    picture.box(box, fill=PAPER, pen=OUTLINE)
    count = max(int(box.width // 14), 1)
    fins = [box.left + box.width * number / count for number in range(1, count)]
    picture.lines(([(x, box.top), (x, box.bottom)] for x in fins), _LINE)


def _light(picture: Picture, box: Box) -> None:
    """Draw an electric light: a cross in a ring."""
    x, y, radius = (box.left + box.right) / 2, (box.top + box.bottom) / 2, _SYMBOL / 2
    half_turn = f"a{radius:g} {radius:g} 0 1 0"
    ring = f"M{x - radius:.1f} {y:.1f}{half_turn} {2 * radius:g} 0{half_turn} {-2 * radius:g} 0Z"
    picture.path(ring, _about(x, y, _SYMBOL, _SYMBOL), fill=PAPER, pen=_LINE)
    arm = radius * 0.7
    cross: list[list[Point]] = [[(x - arm, y - arm), (x + arm, y + arm)], [(x - arm, y + arm), (x + arm, y - arm)]]
    picture.lines(cross, _LINE)


def _socket(picture: Picture, box: Box) -> None:
    picture.box(box, fill=PAPER, pen=_LINE)
    x, y = (box.left + box.right) / 2, (box.top + box.bottom) / 2
    picture.lines(([(x + side, y - 3), (x + side, y + 3)] for side in (-4, 4)), Pen(2.4))


def _switch(picture: Picture, box: Box) -> None:
    picture.box(box, fill=PAPER, pen=_LINE)
    x, y = (box.left + box.right) / 2, (box.top + box.bottom) / 2
    picture.line([(x - 4, y + 5), (x + 4, y - 5)], Pen(2.4))


def _other(picture: Picture, box: Box) -> None:
    picture.box(box, fill=PAPER, pen=OUTLINE)


_SIGNS: Final = {
    FittingKind.RADIATOR: _radiator,
    FittingKind.LIGHT: _light,
    FittingKind.SOCKET: _socket,
    FittingKind.SWITCH: _switch,
    FittingKind.OTHER: _other,
}
